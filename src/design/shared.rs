//! Several points on one supply: group limit, points served, sub-main and final circuits.
//!
//! The existing load is taken as constant at its peak until half-hourly profiles are given.

use super::charging::{Charging, Fit, Supply, say_near_cutout};
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
}

/// Points at one setting on the whole supply. `None` when not even one session at the pilot floor fits.
pub(super) fn group(facts: &Facts, rules: &Rules, setting_a: f64, phases: u8) -> Option<Charging> {
    let supply = Supply::of(facts);
    let (_, existing) = supply.governing();
    let floor_a = rules.charging.pilot_floor_a;
    let supply_phases = f64::from(facts.supply_phases);
    let points = facts.wanted.points;
    // Single-phase points are spread over the phases; the worst phase carries the extra one.
    let points_a_phase = if phases == 3 { f64::from(points) } else { (f64::from(points) / supply_phases).ceil() };
    let all_at_once_a = points_a_phase * setting_a;
    // A controller is set in whole amperes.
    let room_a = supply.room_a().floor();
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
    let by_energy = if need_kwh > 0.0 { (deliverable_kwh / need_kwh + 1e-9).floor() } else { f64::from(points) };
    let points_served = if one_point_kwh + 1e-9 < need_kwh { 0 } else { (by_energy as u32).min(points) };
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
        fit: Fit::Group(Group { shared, group_a, all_at_once_a, deliverable_kwh }),
    })
}

impl Group {
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
            let half = served >= rules.shared.accept_share * points;
            let code = if half { "fewer-points-half" } else { "fewer-points" };
            out.say("points-served", code, |f| f.at_least(served, points).terms(&terms));
        }
        let at_once = f64::from(self.shared.points_at_once);
        if at_once < points {
            let terms = [self.group_a, rules.charging.pilot_floor_a];
            out.say("rotation", "rotation-needed", |f| f.at_least(at_once, points).terms(&terms));
        }
        if self.group_a < self.all_at_once_a {
            out.say("group-control", "group-control-fails-low", |f| f);
        }
    }
}
