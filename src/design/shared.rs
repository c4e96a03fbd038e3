//! Several points on one supply: group limit, points served, sub-mains.
//!
//! A fixed limit stands beside the existing load at its peak; one that follows the load has what each half-hour leaves.
//! Who is charged within it is found exactly in the room `energy`.

use super::charging::{Charging, Fit, Supply, say_home_threshold, say_near_cutout};
use super::demand::DemandOrigin;
use super::facts::Facts;
use super::findings::Findings;
use super::{Control, Shared};
use crate::energy;
use crate::quantity::{Band, U0_V};
use crate::reference::device_ratings;
use crate::rules::Rules;
use crate::site::HALF_HOURS;

/// The largest device of one sub-main, amperes: several sub-mains share what is more.
pub(super) fn largest_device_a() -> f64 {
    device_ratings().last().copied().unwrap_or(125.0)
}

/// How a controller knows what it may share out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Hold {
    /// A fixed limit beside the existing load at its peak.
    Fixed,
    /// The load is measured at the incomer, and the points take what it leaves under a setpoint.
    Following,
}

/// What a shared supply gives its points.
#[derive(Clone, Copy, Debug)]
pub(super) struct Group {
    /// Current a phase that the sub-mains carry.
    pub(super) group_a: f64,
    /// Points that have their day's energy on a mean day.
    pub(super) points_served: u32,
    /// Points that charge at once.
    points_at_once: u32,
    /// Energy needed on a mean day, kilowatt-hours.
    needed_kwh: f64,
    /// Part of it that cannot be given.
    pub(super) unserved_kwh: f64,
    /// All points at their full setting at once, amperes a phase.
    all_at_once_a: f64,
    /// Setting and phases of a point.
    setting_a: f64,
    phases: u8,
    /// Current a phase at which the incomer is held where the group follows the load.
    setpoint_a: Option<f64>,
}

/// Points at one setting on the supply, the group held at `most_a` a phase at most (infinity for what the supply has
/// room for). `None` when not even one session at the pilot floor fits, or a limit may not follow the load.
pub(super) fn group(
    facts: &Facts,
    rules: &Rules,
    (setting_a, phases): (f64, u8),
    most_a: f64,
    hold: Hold,
) -> Option<Charging> {
    let supply = Supply::of(facts);
    let floor_a = rules.charging.pilot_floor_a;
    let supply_phases = f64::from(facts.supply_phases);
    let points = facts.wanted.points;
    // Single-phase points are spread over the phases; the worst phase carries the extra one.
    let points_a_phase = if phases == 3 { f64::from(points) } else { (f64::from(points) / supply_phases).ceil() };
    let all_at_once_a = points_a_phase * setting_a;
    let (room_a, setpoint_a) = match hold {
        Hold::Fixed => (supply.room_a(), None),
        Hold::Following => {
            let setpoint_a = supply.following_setpoint_a(rules)?;
            let load = facts.half_hours.as_ref()?;
            let least_a = load.mean_a(&facts.demand).into_iter().fold(f64::INFINITY, f64::min);
            (setpoint_a - least_a, Some(setpoint_a))
        }
    };
    // A controller is set in whole amperes.
    let room_a = room_a.min(most_a).floor();
    if room_a < floor_a {
        return None;
    }
    let group_a = all_at_once_a.min(room_a);
    let at_once_a_phase = (group_a / floor_a).floor();
    let points_at_once = if phases == 3 { at_once_a_phase } else { at_once_a_phase * supply_phases };
    let day = balance(facts, rules, (setting_a, phases), (group_a, setpoint_a), Day::Mean);
    let group = Group {
        group_a,
        points_served: day.points_served(facts),
        points_at_once: (points_at_once as u32).min(points),
        needed_kwh: day.needed_kwh,
        unserved_kwh: day.short_kwh(),
        all_at_once_a,
        setting_a,
        phases,
        setpoint_a,
    };
    let held = setpoint_a.is_some() || all_at_once_a > room_a;
    let existing = if setpoint_a.is_some() { supply.least().1 } else { supply.governing().1 };
    let with = existing.plus(Band::exact(group_a));
    let most = |amps: f64| setpoint_a.map_or(amps, |setpoint_a| amps.min(setpoint_a));
    Some(Charging {
        setting_a,
        phases,
        control: if held { Control::Group { limit_a: group_a, setpoint_a } } else { Control::None },
        maximum_demand_a: Band::new(most(with.low), most(with.likely), most(with.high)),
        fit: Fit::Group(group),
    })
}

/// Energy of a day: what the vehicles need and what of it they cannot be given.
pub(super) struct Balance {
    /// The vehicles, in the order of the facts' groups.
    pub(super) vehicles: Vec<energy::Vehicles>,
    /// What all of each group go short, in the same order.
    pub(super) unserved_kwh: Vec<f64>,
    needed_kwh: f64,
}

impl Balance {
    fn short_kwh(&self) -> f64 {
        self.unserved_kwh.iter().sum()
    }

    /// Points that have their day: all but those whose vehicles go short.
    fn points_served(&self, facts: &Facts) -> u32 {
        let mut points = facts.wanted.points;
        let groups = facts.vehicles.iter().zip(&self.vehicles).zip(&self.unserved_kwh);
        for ((group, own), unserved_kwh) in groups.filter(|(_, unserved_kwh)| **unserved_kwh > 0.0) {
            // Where its own current is too low for a vehicle none of the group has its day.
            let one_kwh = own.max_a * U0_V * f64::from(own.phases) * group.window_h() / 1000.0;
            let whole = if one_kwh + 1e-9 < own.need_kwh {
                0.0
            } else {
                (f64::from(own.count) - unserved_kwh / own.need_kwh + 1e-9).floor().max(0.0)
            };
            points -= (own.count - (whole as u32).min(own.count)).min(points);
        }
        points
    }
}

/// The energy of a day at points of so many amperes and phases within a group limit; `setpoint_a` where that follows the
/// load.
pub(super) fn balance(
    facts: &Facts,
    rules: &Rules,
    point: (f64, u8),
    (limit_a, setpoint_a): (f64, Option<f64>),
    day: Day,
) -> Balance {
    let vehicles = needs(facts, point, day);
    let needed_kwh = vehicles.iter().map(|own| own.need_kwh * f64::from(own.count)).sum();
    let found = energy::delivered(&vehicles, &room(facts, rules, setpoint_a, day), limit_a);
    Balance { vehicles, unserved_kwh: found.unserved_kwh, needed_kwh }
}

impl Group {
    /// How many sub-mains share the group, and the current a phase of the one that carries most.
    ///
    /// A controller holds each to its share. Without one the points cannot be halved: each sub-main feeds whole points,
    /// and all of them may draw their setting at once.
    pub(super) fn submains(&self) -> (f64, f64) {
        let largest_a = largest_device_a();
        if self.group_a < self.all_at_once_a {
            let count = (self.group_a / largest_a).ceil().max(1.0);
            return (count, self.group_a / count);
        }
        let points_a_phase = (self.all_at_once_a / self.setting_a).round();
        let most_points = (largest_a / self.setting_a).floor().max(1.0);
        let count = (points_a_phase / most_points).ceil().max(1.0);
        (count, (points_a_phase / count).ceil() * self.setting_a)
    }

    /// What the supply says of the group.
    pub(super) fn say(&self, facts: &Facts, rules: &Rules, out: &mut Findings<'_>) {
        if let Some(setpoint_a) = self.setpoint_a {
            let (limit_a, existing) = Supply::of(facts).least();
            out.say("group-follows", "limiter-needed", |f| {
                let terms = [rules.supply.limiter_share, limit_a, existing.high, self.group_a];
                // The figure is within its limit; it is the operator's word that is waited for.
                f.at_most(existing.high, setpoint_a).terms(&terms).noted()
            });
        } else {
            let (limit_a, existing) = Supply::of(facts).governing();
            out.say("group-limit", "supply-fits", |f| {
                f.at_most(existing.high + self.group_a, limit_a).terms(&[limit_a, existing.high, self.all_at_once_a])
            });
            say_home_threshold(facts, rules, self.group_a, out);
            say_near_cutout(facts, rules, self.group_a, out);
        }
        let (served, points) = (f64::from(self.points_served), f64::from(facts.wanted.points));
        let terms = [self.needed_kwh - self.unserved_kwh, self.needed_kwh];
        if served >= points {
            out.show("points-served", |f| f.at_least(served, points).terms(&terms));
        } else {
            let code = shortfall(facts, rules, (self.setting_a, self.phases), self.points_served);
            out.say("points-served", code, |f| f.at_least(served, points).terms(&terms));
        }
        if out.matters("high-day-short") {
            let day = self.high_day(facts, rules);
            let (needed_kwh, short_kwh) = (day.needed_kwh, day.short_kwh());
            if short_kwh > 0.0 {
                out.say("high-day", "high-day-short", |f| f.at_least(needed_kwh - short_kwh, needed_kwh));
            }
        }
        let at_once = f64::from(self.points_at_once);
        if at_once < points {
            let terms = [self.group_a, rules.charging.pilot_floor_a];
            out.say("rotation", "rotation-needed", |f| f.at_least(at_once, points).terms(&terms));
        }
        if self.setpoint_a.is_some() || self.group_a < self.all_at_once_a {
            // Sub-mains that share a group limit carry their share only if each is held to it.
            let submains = (self.group_a / largest_device_a()).ceil().max(1.0);
            out.say("group-control", "group-control-fails-low", |f| f.terms(&[submains, self.group_a / submains]));
        }
    }

    /// Whether so many of the points wanted are served that the rest may wait.
    pub(super) fn is_worth_it(&self, facts: &Facts, rules: &Rules) -> bool {
        f64::from(self.points_served) >= rules.shared.accept_share * f64::from(facts.wanted.points)
    }

    /// The energy of a high day.
    fn high_day(&self, facts: &Facts, rules: &Rules) -> Balance {
        balance(facts, rules, (self.setting_a, self.phases), (self.group_a, self.setpoint_a), Day::High)
    }

    /// What is told of it once it is part of an arrangement, the same for all of one charging current.
    pub(super) fn shared(&self, facts: &Facts, rules: &Rules) -> Shared {
        let least_a = |day: Day| {
            let needs = needs(facts, (self.setting_a, self.phases), day);
            let least_a = energy::least_limit_a(&needs, &room(facts, rules, self.setpoint_a, day))?;
            Some(least_a.max(rules.charging.pilot_floor_a))
        };
        let high_day = self.high_day(facts, rules);
        Shared {
            group_limit_a: self.group_a,
            points_at_once: self.points_at_once,
            points_served: self.points_served,
            energy_needed_kwh: self.needed_kwh,
            energy_unserved_kwh: self.unserved_kwh,
            energy_needed_high_kwh: high_day.needed_kwh,
            energy_unserved_high_kwh: high_day.short_kwh(),
            least_group_limit_a: least_a(Day::Mean),
            least_group_limit_high_a: least_a(Day::High),
        }
    }
}

/// Which day is looked at.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Day {
    /// Mean mileage, mean load.
    Mean,
    /// Every vehicle has its high mileage, and every half-hour its greatest load.
    High,
}

/// The vehicles as a point of so many amperes and phases charges them.
pub(super) fn needs(facts: &Facts, (setting_a, phases): (f64, u8), day: Day) -> Vec<energy::Vehicles> {
    let one = |group: &super::VehicleGroup| energy::Vehicles {
        count: group.points,
        need_kwh: if day == Day::High { group.high_kwh } else { group.mean_kwh },
        arrive_h: group.arrive_h,
        depart_h: group.depart_h,
        max_a: group.max_a.min(setting_a),
        phases: group.phases.min(phases),
    };
    facts.vehicles.iter().map(one).collect()
}

/// What the supply leaves for charging in each half-hour beside what the limit itself allows: nothing more is known
/// where a fixed limit stands beside the load at its peak.
pub(super) fn room(facts: &Facts, rules: &Rules, setpoint_a: Option<f64>, day: Day) -> energy::Supply {
    let mut room_a = [f64::INFINITY; HALF_HOURS];
    if let Some((setpoint_a, load)) = setpoint_a.zip(facts.half_hours.as_ref()) {
        let existing_a = if day == Day::High { load.high_a(&facts.demand) } else { load.mean_a(&facts.demand) };
        for (room_a, existing_a) in room_a.iter_mut().zip(existing_a) {
            *room_a = (setpoint_a - existing_a).max(0.0);
        }
    }
    energy::Supply { phases: facts.supply_phases, room_a, floor_a: rules.charging.pilot_floor_a }
}

/// Why fewer points are served than wanted. Too few to be worth it stops the site, unless the existing demand is the
/// cause and is not proven: calculated or assumed, or estimated with room enough at its low end. Then it is measured.
fn shortfall(facts: &Facts, rules: &Rules, point: (f64, u8), points_served: u32) -> &'static str {
    let least = rules.shared.accept_share * f64::from(facts.wanted.points);
    if f64::from(points_served) >= least {
        return "fewer-points-half";
    }
    let enough = |group_a: f64| {
        let day = balance(facts, rules, point, (group_a, None), Day::Mean);
        f64::from(day.points_served(facts)) >= least
    };
    let unproven = match facts.demand.origin {
        DemandOrigin::Measured | DemandOrigin::HalfHour => false,
        DemandOrigin::Estimated => enough(Supply::of(facts).room_at_low_end_a()),
        DemandOrigin::Calculated | DemandOrigin::Assumed => enough(f64::INFINITY),
    };
    if unproven { "demand-over-limit-unproven" } else { "fewer-points" }
}

/// Where not one session fits no point is served, which can be no better than a few.
pub(super) fn say_no_session(facts: &Facts, rules: &Rules, setting_a: f64, out: &mut Findings<'_>) {
    let phases = facts.wanted.phases.min(facts.supply_phases);
    out.say("points-served", shortfall(facts, rules, (setting_a, phases), 0), |f| {
        let needed_kwh = facts.wanted.daily_kwh * f64::from(facts.wanted.points);
        f.at_least(0.0, f64::from(facts.wanted.points)).terms(&[0.0, needed_kwh])
    });
}
