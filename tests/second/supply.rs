//! Demand, limits, limiter and group once more (supply.md, design.md: "Limit, L, E, H").
//!
//! Conventions of the engine that are quoted: the cut-out is held against the minute peak and the agreed capacity
//! against the half-hour one, and the one that leaves least room governs; a controller is set in whole amperes;
//! one-phase points are spread over the phases and the worst takes the extra one; existing load is constant at its high
//! end; a home averages the rules' share of its high end; sub-mains share a group of more than the largest device.

use super::published::devices;
use baywright::design::{DemandOrigin, Facts};
use baywright::quantity::Band;
use baywright::rules::Rules;

/// Limit and existing demand that govern: the pair that leaves least room.
pub fn governing(facts: &Facts) -> (f64, Band) {
    let at_cutout = facts.demand.band_a;
    let at_capacity = facts.demand.against_capacity_a;
    if let Some(capacity_a) = facts.capacity_a
        && capacity_a - at_capacity.high < facts.cutout_a - at_cutout.high
    {
        return (capacity_a, at_capacity);
    }
    (facts.cutout_a, at_cutout)
}

/// Amperes left at the high end of existing demand.
pub fn room_a(facts: &Facts) -> f64 {
    let (limit_a, existing) = governing(facts);
    limit_a - existing.high
}

/// The least limit and what is held against it: a limiter keeps the incomer within that.
pub fn least_limit(facts: &Facts) -> (f64, Band) {
    if let Some(capacity_a) = facts.capacity_a
        && capacity_a < facts.cutout_a
    {
        return (capacity_a, facts.demand.against_capacity_a);
    }
    (facts.cutout_a, facts.demand.band_a)
}

/// Whether a limiter that follows the load may be used at all: H <= its share of every limit.
pub fn limiter_may(facts: &Facts, rules: &Rules) -> bool {
    let share = rules.supply.limiter_share;
    let cutout = facts.demand.band_a.high <= share * facts.cutout_a;
    let capacity = match facts.capacity_a {
        Some(capacity_a) => facts.demand.against_capacity_a.high <= share * capacity_a,
        None => true,
    };
    rules.supply.allow_limiter && cutout && capacity
}

/// How one point at a setting sits on the supply.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Sits {
    Alone,
    Limiter { setpoint_a: f64 },
    Not,
}

pub fn sits(facts: &Facts, rules: &Rules, setting_a: f64) -> Sits {
    if room_a(facts) >= setting_a {
        Sits::Alone
    } else if limiter_may(facts, rules) {
        Sits::Limiter { setpoint_a: rules.supply.limiter_share * least_limit(facts).0 }
    } else {
        Sits::Not
    }
}

/// Maximum demand with one point.
pub fn demand_with(facts: &Facts, sits: Sits, setting_a: f64) -> Band {
    let plus = |band: Band| Band::new(band.low + setting_a, band.likely + setting_a, band.high + setting_a);
    match sits {
        Sits::Alone | Sits::Not => plus(governing(facts).1),
        Sits::Limiter { setpoint_a } => {
            let with = plus(least_limit(facts).1);
            Band::new(with.low.min(setpoint_a), with.likely.min(setpoint_a), with.high.min(setpoint_a))
        }
    }
}

/// What a limiter leaves: mean headroom in amperes and energy over the plugged-in hours.
pub fn limiter_energy(facts: &Facts, rules: &Rules, setting_a: f64, phases: u8, setpoint_a: f64) -> (f64, f64) {
    let mean = if facts.premises.is_home() { rules.demand.home_mean_share } else { 1.0 };
    let headroom_a = (setpoint_a - mean * facts.demand.band_a.high).min(setting_a);
    if headroom_a < rules.charging.pilot_floor_a {
        return (headroom_a, 0.0);
    }
    (headroom_a, headroom_a * 230.0 * f64::from(phases) * facts.wanted.window_h / 1000.0)
}

/// Why nothing useful fits.
pub fn why_nothing(facts: &Facts) -> &'static str {
    let mut low_over = facts.demand.band_a.low > facts.cutout_a;
    if let Some(capacity_a) = facts.capacity_a {
        low_over |= facts.demand.against_capacity_a.low > capacity_a;
    }
    let paper = matches!(facts.demand.origin, DemandOrigin::Calculated | DemandOrigin::Assumed);
    if low_over && !paper {
        "demand-over-limit"
    } else if matches!(facts.demand.origin, DemandOrigin::Measured | DemandOrigin::HalfHour) {
        "demand-near-limit"
    } else {
        "demand-over-limit-unproven"
    }
}

/// Points that load the worst phase.
pub fn points_a_phase(facts: &Facts, phases: u8) -> f64 {
    let points = f64::from(facts.wanted.points);
    if phases == 3 { points } else { (points / f64::from(facts.supply_phases)).ceil() }
}

/// Points whose daily need a group limit delivers.
pub fn served(facts: &Facts, setting_a: f64, phases: u8, group_a: f64) -> f64 {
    let points = f64::from(facts.wanted.points);
    let need = facts.wanted.daily_kwh;
    let one = setting_a * 230.0 * f64::from(phases) * facts.wanted.window_h / 1000.0;
    let all = group_a * 230.0 * f64::from(facts.supply_phases) * facts.wanted.window_h / 1000.0;
    if one + 1e-9 < need {
        0.0
    } else if need <= 0.0 {
        points
    } else {
        (all / need + 1e-9).floor().min(points)
    }
}

/// Kilowatt-hours a day that the points need and a group does not give.
pub fn short_kwh(facts: &Facts, setting_a: f64, phases: u8, group_a: f64) -> f64 {
    let (points, need) = (f64::from(facts.wanted.points), facts.wanted.daily_kwh);
    let all = group_a * 230.0 * f64::from(facts.supply_phases) * facts.wanted.window_h / 1000.0;
    let one = setting_a * 230.0 * f64::from(phases) * facts.wanted.window_h / 1000.0;
    let given = if one < need { one * points } else { need * points };
    (need * points - if all < given { all } else { given }).max(0.0)
}

/// Why fewer points are served than wanted.
pub fn why_fewer(facts: &Facts, rules: &Rules, setting_a: f64, phases: u8, served_now: f64) -> &'static str {
    let least = rules.shared.accept_share * f64::from(facts.wanted.points);
    if served_now >= least {
        return "fewer-points-half";
    }
    let room_at_low_a = match facts.capacity_a {
        Some(capacity_a) => {
            (facts.cutout_a - facts.demand.band_a.low).min(capacity_a - facts.demand.against_capacity_a.low)
        }
        None => facts.cutout_a - facts.demand.band_a.low,
    };
    let perhaps_a = match facts.demand.origin {
        DemandOrigin::Measured | DemandOrigin::HalfHour => return "fewer-points",
        DemandOrigin::Estimated => room_at_low_a,
        DemandOrigin::Calculated | DemandOrigin::Assumed => f64::INFINITY,
    };
    if served(facts, setting_a, phases, perhaps_a) >= least { "demand-over-limit-unproven" } else { "fewer-points" }
}

/// Sub-mains of a group and the amperes a phase of the one that carries most.
pub fn submains(facts: &Facts, setting_a: f64, phases: u8, group_a: f64) -> (f64, f64) {
    let largest_a = *devices().last().unwrap();
    let points = points_a_phase(facts, phases);
    let all_a = points * setting_a;
    if group_a < all_a {
        let count = (group_a / largest_a).ceil().max(1.0);
        return (count, group_a / count);
    }
    // Without a controller whole points hang on each.
    let most = (largest_a / setting_a).floor().max(1.0);
    let count = (points / most).ceil().max(1.0);
    (count, (points / count).ceil() * setting_a)
}

/// The device of a rules line, else the next preferred rating.
pub fn device_for(rules: &Rules, setting_a: f64) -> f64 {
    for [setting, rating] in &rules.circuit.device_for_setting {
        if *setting == setting_a {
            return *rating;
        }
    }
    next_device(setting_a).unwrap_or(setting_a)
}

pub fn next_device(current_a: f64) -> Option<f64> {
    devices().iter().copied().find(|rating| *rating >= current_a)
}
