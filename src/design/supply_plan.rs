//! What several points on one supply come to, beyond the design itself: each group's day, how few points would do, what
//! the site would draw without control, how the points are given to the phases, and when it is full.

use super::charging::Supply;
use super::facts::Facts;
use super::shared::{Balance, Day, balance, needs, room};
use super::{Arrangement, Control, VehicleGroup};
use crate::energy::{self, Points, Way};
use crate::quantity::{U0_V, neutral_a};
use crate::reference::{ChargingUse, Habits, charging_habits};
use crate::rules::Rules;
use crate::site::{HALF_HOURS, Premises};
use std::sync::Arc;

/// A group's day.
#[derive(Clone, Debug, PartialEq)]
pub struct GroupDay {
    /// The group; its needs are a point's.
    pub group: VehicleGroup,
    /// Most current a phase at a point of the design, and the phases, for one of its vehicles.
    pub max_a: f64,
    /// Phases that it draws there.
    pub phases: u8,
    /// Energy that all of it go short on a mean day, kilowatt-hours.
    pub short_mean_kwh: f64,
    /// The same on a high day.
    pub short_high_kwh: f64,
}

/// What the whole site draws at most in a year, existing load included, by how charging is begun.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ThreeWays {
    /// Each vehicle at full power as it comes, kilowatts.
    pub as_they_come_kw: f64,
    /// All at the beginning of a cheap tariff.
    pub at_tariff_start_kw: f64,
    /// Held by the group controller of the design.
    pub controlled_kw: f64,
    /// Existing load alone at its highest half-hour.
    pub existing_kw: f64,
    /// What the supply may be asked for.
    pub limit_kw: f64,
}

/// First years in which something no longer gives every vehicle its mean day; `None` where it lasts to the end of the
/// look ahead.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Runway {
    /// The group limit of the design.
    pub group: Option<i16>,
    /// Its sub-mains, at their devices' ratings.
    pub submain: Option<i16>,
    /// The supply, controlled as in the design.
    pub supply: Option<i16>,
    /// Last year looked at.
    pub until: i16,
}

/// Everything told of a shared supply beside its arrangement.
#[derive(Clone, Debug, PartialEq)]
pub struct SupplyPlan {
    /// The groups.
    pub groups: Vec<GroupDay>,
    /// Whether the existing load by half-hour is the site's own.
    pub own_half_hours: bool,
    /// Fewest points that give all their mean day within the limit.
    pub fewest: Points,
    /// Demand by way of charging.
    pub ways: ThreeWays,
    /// Single-phase points on each phase; all points on each where they are three-phase.
    pub phase_points: [u32; 3],
    /// Neutral current with all of them at their setting at once, amperes.
    pub neutral_a: f64,
    /// The points themselves are too few or too slow for the vehicles today, whatever the supply.
    pub points_short: bool,
    /// A limit that follows the load may be relied on.
    pub may_follow: bool,
    /// When what runs out, as many points as vehicles taken.
    pub runway: Runway,
}

/// Points drawn at most; more are scaled up from so many, which is on the high side because demand a point falls with
/// their number.
const MOST_DRAWN: u32 = 200;

/// The plan of a shared supply from `first_year` on; `None` where the arrangement is of one point.
pub fn supply_plan(facts: &Facts, rules: &Rules, arrangement: &Arrangement, first_year: i16) -> Option<SupplyPlan> {
    let shared = arrangement.shared?;
    let point = (arrangement.setting_a, arrangement.phases);
    let setpoint_a = match arrangement.control {
        Control::Group { setpoint_a, .. } => setpoint_a,
        _ => None,
    };
    let limit_a = shared.group_limit_a;
    let day = |day: Day| balance(facts, rules, point, (limit_a, setpoint_a), day);
    let (Balance { vehicles, unserved_kwh: short_mean, .. }, high) = (day(Day::Mean), day(Day::High));
    let groups = facts.vehicles.iter().zip(&vehicles).zip(short_mean.iter().zip(&high.unserved_kwh));
    let groups = groups.map(|((group, own), (short_mean_kwh, short_high_kwh))| GroupDay {
        group: group.clone(),
        max_a: own.max_a,
        phases: own.phases.min(facts.supply_phases),
        short_mean_kwh: *short_mean_kwh,
        short_high_kwh: *short_high_kwh,
    });
    let supply = room(facts, rules, setpoint_a, Day::Mean);
    let (phase_points, neutral_a) = phases_of(facts, arrangement, &vehicles);
    Some(SupplyPlan {
        groups: groups.collect(),
        own_half_hours: facts.half_hours.as_ref().is_some_and(|load| load.is_own()),
        fewest: energy::fewest_points(&unshared(facts, point), &supply, limit_a, point.0, point.1),
        ways: ways(facts, rules, arrangement, setpoint_a),
        phase_points,
        neutral_a,
        points_short: {
            let boundless = room(facts, rules, None, Day::Mean);
            !energy::delivered(&vehicles, &boundless, f64::INFINITY).serves_all()
        },
        may_follow: Supply::of(facts).following_setpoint_a(rules).is_some(),
        runway: runway(facts, rules, arrangement, setpoint_a, first_year),
    })
}

/// The vehicles themselves, each with its own need, whatever the number of points.
fn unshared(facts: &Facts, point: (f64, u8)) -> Vec<energy::Vehicles> {
    let of_points = needs(facts, point, Day::Mean);
    let one = |(own, group): (energy::Vehicles, &VehicleGroup)| {
        let vehicles = group.vehicles.max(1);
        let need_kwh = own.need_kwh * f64::from(group.points) / f64::from(vehicles);
        energy::Vehicles { count: vehicles, need_kwh, ..own }
    };
    of_points.into_iter().zip(facts.vehicles.iter()).map(one).collect()
}

/// Points on each phase and the neutral current with all at their own most: single-phase ones go to the phases so that
/// these are as even as can be.
fn phases_of(facts: &Facts, arrangement: &Arrangement, vehicles: &[energy::Vehicles]) -> ([u32; 3], f64) {
    let points = facts.wanted.points;
    if facts.supply_phases != 3 {
        return ([points, 0, 0], f64::from(points) * arrangement.setting_a);
    }
    if arrangement.phases == 3 {
        return ([points; 3], 0.0);
    }
    let mut currents_a: Vec<f64> =
        vehicles.iter().flat_map(|own| std::iter::repeat_n(own.max_a, own.count as usize)).collect();
    currents_a.resize(points as usize, arrangement.setting_a);
    let (mut on, mut amps) = ([0_u32; 3], [0.0; 3]);
    for (phase, current_a) in energy::allocate(&currents_a, [0.0; 3]).into_iter().zip(&currents_a) {
        if let Some((count, sum)) = on.get_mut(usize::from(phase)).zip(amps.get_mut(usize::from(phase))) {
            *count += 1;
            *sum += current_a;
        }
    }
    (on, neutral_a(amps))
}

/// What the site would draw at most in a year in three ways, beside the existing load of a high day. No more vehicles charge at once than there are points: each
/// point is drawn with the energy of all that it serves, and with the hours of the group that needs most.
fn ways(facts: &Facts, rules: &Rules, arrangement: &Arrangement, setpoint_a: Option<f64>) -> ThreeWays {
    let kilowatts = |amps: f64| amps * U0_V * f64::from(facts.supply_phases) / 1000.0;
    let mut existing_kw = [0.0; HALF_HOURS];
    if let Some(load) = &facts.half_hours {
        existing_kw = load.high_a(&facts.demand).map(kilowatts);
    }
    let limit_a = Supply::of(facts).limit_a();
    let points: u32 = facts.vehicles.iter().map(|group| group.points).sum();
    let drawn = points.min(MOST_DRAWN);
    let scale = f64::from(points) / f64::from(drawn.max(1));
    let habits = habits(facts, arrangement);
    let group_kw = arrangement.shared.map_or(f64::INFINITY, |shared| kilowatts(shared.group_limit_a));
    let floor_kw = rules.charging.pilot_floor_a * U0_V / 1000.0;
    let peak_kw = |way: Way| {
        let existing_kw = existing_kw.map(|kw| kw / scale);
        energy::demand_of_site(&habits, drawn, way, &existing_kw).peak_kw * scale
    };
    let whole_kw = setpoint_a.map_or(f64::INFINITY, kilowatts);
    ThreeWays {
        as_they_come_kw: peak_kw(Way::AsTheyCome),
        at_tariff_start_kw: peak_kw(Way::AtTariffStart),
        controlled_kw: peak_kw(Way::Controlled {
            group_kw: group_kw / scale,
            whole_kw: whole_kw / scale,
            floor_kw: floor_kw / scale,
        }),
        existing_kw: existing_kw.iter().copied().fold(0.0, f64::max),
        limit_kw: kilowatts(limit_a),
    }
}

/// Habits of the use, with the site's own hours, energy and power.
fn habits(facts: &Facts, arrangement: &Arrangement) -> Habits {
    let of = match facts.premises {
        Premises::House | Premises::Flat | Premises::Block => ChargingUse::Home,
        Premises::Workplace => ChargingUse::Workplace,
        Premises::Depot => ChargingUse::Depot,
    };
    let usual = charging_habits(of);
    let points: f64 = facts.vehicles.iter().map(|group| f64::from(group.points)).sum();
    let daily_kwh = facts.wanted.daily_kwh * f64::from(facts.wanted.points) / points.max(1.0);
    let energy_kwh = |group: &VehicleGroup| group.mean_kwh * f64::from(group.points);
    let largest = facts.vehicles.iter().max_by(|a, b| energy_kwh(a).total_cmp(&energy_kwh(b)));
    Habits {
        session_kwh: daily_kwh * usual.days_a_week / usual.plug_ins_a_week.max(0.1),
        start_mean_h: largest.map_or(usual.start_mean_h, |group| group.arrive_h),
        leave_h: largest.map_or(usual.leave_h, |group| group.depart_h),
        kw: arrangement.setting_a * f64::from(arrangement.phases) * U0_V / 1000.0,
        ..usual
    }
}

/// The years in which limit, sub-mains and supply run out as the vehicles grow in number by the rules' share a year.
fn runway(facts: &Facts, rules: &Rules, arrangement: &Arrangement, setpoint_a: Option<f64>, first_year: i16) -> Runway {
    let last = i16::try_from(rules.energy.runway_years).unwrap_or(i16::MAX);
    let until = first_year.saturating_add(last);
    let supply = room(facts, rules, setpoint_a, Day::Mean);
    let group_a = arrangement.shared.map_or(0.0, |shared| shared.group_limit_a);
    let submains = arrangement.submain_runs().map(|run| f64::from(run.count)).next().unwrap_or(0.0);
    let submain_a = arrangement.submain_device.map_or(f64::INFINITY, |device| device.rating_a * submains);
    let supply_a = if setpoint_a.is_some() { f64::INFINITY } else { Supply::of(facts).room_a().floor() };
    let mut runway = Runway { group: None, submain: None, supply: None, until };
    for year in 0..=last {
        let factor = (1.0 + rules.energy.growth_percent_a_year / 100.0).powi(i32::from(year));
        let mut grown = facts.clone();
        let more = |group: &VehicleGroup| VehicleGroup {
            points: (f64::from(group.points) * factor - 1e-9).ceil() as u32,
            vehicles: (f64::from(group.vehicles) * factor - 1e-9).ceil() as u32,
            ..group.clone()
        };
        grown.vehicles = facts.vehicles.iter().map(more).collect::<Vec<_>>().into();
        let vehicles = unshared(&grown, (arrangement.setting_a, arrangement.phases));
        // No limit at all serves them: the supply is what is full.
        let least_a = energy::least_limit_a(&vehicles, &supply).unwrap_or(f64::INFINITY);
        let named = first_year.saturating_add(year);
        for (slot, carries_a) in [
            (&mut runway.group, group_a),
            (&mut runway.submain, submain_a),
            (&mut runway.supply, if least_a.is_finite() { supply_a } else { 0.0 }),
        ] {
            if slot.is_none() && least_a > carries_a + 1e-6 {
                *slot = Some(named);
            }
        }
        if runway.group.is_some() && runway.submain.is_some() && runway.supply.is_some() {
            break;
        }
    }
    runway
}

impl SupplyPlan {
    /// Names of the groups that go short on a day, the first of the list first.
    pub fn short(&self, of: fn(&GroupDay) -> f64) -> Vec<Arc<str>> {
        self.groups.iter().filter(|day| of(day) > 0.0).map(|day| Arc::clone(&day.group.name)).collect()
    }
}

#[cfg(test)]
mod tests;
