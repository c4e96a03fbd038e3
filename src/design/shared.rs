//! Several points on one supply: group limit, points served, sub-main and final circuits.
//!
//! The existing load is taken as constant at its peak until half-hourly profiles are given.

use super::charging::{Charging, Fit, Supply, say_near_cutout};
use super::demand::DemandOrigin;
use super::facts::Facts;
use super::findings::Findings;
use super::{Control, Shared};
use crate::quantity::{Band, U0_V};
use crate::reference::device_ratings;
use crate::rules::Rules;

/// The largest device of one sub-main, amperes: several sub-mains share what is more.
pub(super) fn largest_device_a() -> f64 {
    device_ratings().last().copied().unwrap_or(125.0)
}

/// What a shared supply gives its points.
#[derive(Clone, Copy, Debug)]
pub(super) struct Group {
    pub(super) shared: Shared,
    /// Current a phase that the sub-mains carry.
    pub(super) group_a: f64,
    /// All points at their full setting at once, amperes a phase.
    all_at_once_a: f64,
    /// Energy that the group limit can deliver over the plugged-in hours, kilowatt-hours.
    deliverable_kwh: f64,
    /// Setting and phases of a point.
    setting_a: f64,
    phases: u8,
}

/// Points at one setting on the supply, the group held at `most_a` a phase at most (infinity for what the supply has
/// room for). `None` when not even one session at the pilot floor fits.
pub(super) fn group(facts: &Facts, rules: &Rules, setting_a: f64, phases: u8, most_a: f64) -> Option<Charging> {
    let supply = Supply::of(facts);
    let (_, existing) = supply.governing();
    let floor_a = rules.charging.pilot_floor_a;
    let supply_phases = f64::from(facts.supply_phases);
    let points = facts.wanted.points;
    // Single-phase points are spread over the phases; the worst phase carries the extra one.
    let points_a_phase = if phases == 3 { f64::from(points) } else { (f64::from(points) / supply_phases).ceil() };
    let all_at_once_a = points_a_phase * setting_a;
    // A controller is set in whole amperes.
    let room_a = supply.room_a().min(most_a).floor();
    if room_a < floor_a {
        return None;
    }
    let group_a = all_at_once_a.min(room_a);
    let at_once_a_phase = (group_a / floor_a).floor();
    let points_at_once = if phases == 3 { at_once_a_phase } else { at_once_a_phase * supply_phases };
    let points_at_once = (points_at_once as u32).min(points);
    // Energy: constant room over the plugged-in hours on every phase.
    let volts_hours = U0_V * supply_phases * facts.wanted.window_h / 1000.0;
    let one_point_kwh = setting_a * U0_V * f64::from(phases) * facts.wanted.window_h / 1000.0;
    let need_kwh = facts.wanted.daily_kwh;
    let deliverable_kwh = group_a * volts_hours;
    let points_served = points_served(facts, setting_a, phases, group_a);
    let energy_needed_kwh = need_kwh * f64::from(points);
    let served_by_point_kwh = need_kwh.min(one_point_kwh) * f64::from(points);
    let shared = Shared {
        group_limit_a: group_a,
        points_at_once,
        points_served,
        energy_needed_kwh,
        energy_unserved_kwh: (energy_needed_kwh - deliverable_kwh.min(served_by_point_kwh)).max(0.0),
        least_group_limit_a: (energy_needed_kwh / volts_hours.max(1e-9)).max(floor_a),
    };
    Some(Charging {
        setting_a,
        phases,
        control: if all_at_once_a > room_a { Control::Group { limit_a: group_a } } else { Control::None },
        maximum_demand_a: existing.plus(Band::exact(group_a)),
        fit: Fit::Group(Group { shared, group_a, all_at_once_a, deliverable_kwh, setting_a, phases }),
    })
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
        let (limit_a, existing) = Supply::of(facts).governing();
        out.say("group-limit", "supply-fits", |f| {
            f.at_most(existing.high + self.group_a, limit_a).terms(&[limit_a, existing.high, self.all_at_once_a])
        });
        say_near_cutout(facts, rules, self.group_a, out);
        let (served, points) = (f64::from(self.shared.points_served), f64::from(facts.wanted.points));
        let terms = [self.deliverable_kwh, facts.wanted.daily_kwh];
        if served >= points {
            out.show("points-served", |f| f.at_least(served, points).terms(&terms));
        } else {
            let code = shortfall(facts, rules, self.setting_a, self.phases, self.shared.points_served);
            out.say("points-served", code, |f| f.at_least(served, points).terms(&terms));
        }
        let at_once = f64::from(self.shared.points_at_once);
        if at_once < points {
            let terms = [self.group_a, rules.charging.pilot_floor_a];
            out.say("rotation", "rotation-needed", |f| f.at_least(at_once, points).terms(&terms));
        }
        if self.group_a < self.all_at_once_a {
            // Sub-mains that share a group limit carry their share only if each is held to it.
            let submains = (self.group_a / largest_device_a()).ceil().max(1.0);
            out.say("group-control", "group-control-fails-low", |f| f.terms(&[submains, self.group_a / submains]));
        }
    }

    /// Whether so many of the points wanted are served that the rest may wait.
    pub(super) fn is_worth_it(&self, facts: &Facts, rules: &Rules) -> bool {
        f64::from(self.shared.points_served) >= rules.shared.accept_share * f64::from(facts.wanted.points)
    }
}

/// Points whose daily need `group_a` a phase delivers over the plugged-in hours.
fn points_served(facts: &Facts, setting_a: f64, phases: u8, group_a: f64) -> u32 {
    let kwh = |amps: f64, phases: u8| amps * U0_V * f64::from(phases) * facts.wanted.window_h / 1000.0;
    let (points, need_kwh) = (facts.wanted.points, facts.wanted.daily_kwh);
    if kwh(setting_a, phases) + 1e-9 < need_kwh {
        return 0;
    }
    if need_kwh <= 0.0 {
        return points;
    }
    let by_energy = (kwh(group_a, facts.supply_phases) / need_kwh + 1e-9).floor();
    (by_energy as u32).min(points)
}

/// Why fewer points are served than wanted. Too few to be worth it stops the site, unless the existing demand is the
/// cause and is not proven: calculated or assumed, or estimated with room enough at its low end. Then it is measured.
fn shortfall(facts: &Facts, rules: &Rules, setting_a: f64, phases: u8, points_served: u32) -> &'static str {
    let least = rules.shared.accept_share * f64::from(facts.wanted.points);
    if f64::from(points_served) >= least {
        return "fewer-points-half";
    }
    let enough = |group_a: f64| f64::from(self::points_served(facts, setting_a, phases, group_a)) >= least;
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
    out.say("points-served", shortfall(facts, rules, setting_a, phases, 0), |f| {
        f.at_least(0.0, f64::from(facts.wanted.points)).terms(&[0.0, facts.wanted.daily_kwh])
    });
}
