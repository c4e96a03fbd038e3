//! Demand, limits, limiter and group once more (supply.md, design.md: "Limit, L, E, H").
//!
//! Conventions of the engine that are quoted: the cut-out is held against the minute peak and the agreed capacity
//! against the half-hour one, and the one that leaves least room governs; a controller is set in whole amperes;
//! one-phase points are spread over the phases and the worst takes the extra one; existing load is constant at its high
//! end for a fixed limit, and by half-hour for one that follows it; a home averages the rules' share of its high end; sub-mains share a group of more than the largest device.

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

/// Points on each phase that carries any: one-phase points are dealt out one after the other.
fn dealt(facts: &Facts, phases: u8) -> Vec<f64> {
    let points = facts.wanted.points;
    let lines = u32::from(facts.supply_phases);
    if phases == 3 {
        return vec![f64::from(points)];
    }
    (0..lines).map(|line| f64::from(points / lines + u32::from(line < points % lines))).collect()
}

/// Hours of half-hour `at` within the time that vehicles stand there.
fn hours_within(facts: &Facts, at: usize) -> f64 {
    let group = &facts.vehicles[0];
    let (begins, ends) = (at as f64 / 2.0, (at + 1) as f64 / 2.0);
    let mut hours = 0.0;
    for day in [-24.0, 0.0, 24.0] {
        let (from, to) = (group.arrive_h + day, group.arrive_h + group.window_h() + day);
        hours += (ends.min(to) - begins.max(from)).max(0.0);
    }
    hours
}

/// Kilowatt-hours a day that a group gives its points; `follows` is the setpoint where the limit follows the load. Every
/// phase carries its own points, and half-hour by half-hour no more than limit, room and points take.
fn given_kwh(
    facts: &Facts,
    rules: &Rules,
    (setting_a, phases): (f64, u8),
    (group_a, follows): (f64, Option<f64>),
    high_day: bool,
) -> f64 {
    let need_kwh = if high_day { facts.vehicles[0].high_kwh } else { facts.wanted.daily_kwh };
    let floor_a = rules.charging.pilot_floor_a;
    let mut all_kwh = 0.0;
    for points in dealt(facts, phases) {
        let mut kwh = 0.0;
        for at in 0..48 {
            let mut carries_a = group_a;
            if let Some(setpoint_a) = follows {
                let load = facts.half_hours.as_ref().unwrap();
                let demand = &facts.demand;
                let existing_a = if high_day { load.high_a(demand)[at] } else { load.mean_a(demand)[at] };
                carries_a = carries_a.min(setpoint_a - existing_a);
            }
            if carries_a < floor_a {
                continue;
            }
            // Below twice the floor turns do not fill a limit: whole sessions only.
            if setting_a < 2.0 * floor_a {
                carries_a = carries_a.min((carries_a / floor_a + 1e-9).floor() * setting_a);
            }
            kwh += carries_a.min(points * setting_a) * 0.23 * f64::from(phases) * hours_within(facts, at);
        }
        all_kwh += kwh.min(points * need_kwh);
    }
    all_kwh
}

/// Points whose daily need a group limit delivers.
pub fn served(facts: &Facts, rules: &Rules, point: (f64, u8), group_a: f64, follows: Option<f64>) -> f64 {
    let (points, need) = (f64::from(facts.wanted.points), facts.wanted.daily_kwh);
    let short = short_kwh(facts, rules, point, group_a, follows);
    let one = point.0 * 0.23 * f64::from(point.1) * facts.wanted.window_h;
    if short <= 0.0 {
        points
    } else if one + 1e-9 < need {
        0.0
    } else {
        (points - short / need + 1e-9).floor().max(0.0)
    }
}

/// Kilowatt-hours a day that the points need and a group does not give.
pub fn short_kwh(facts: &Facts, rules: &Rules, point: (f64, u8), group_a: f64, follows: Option<f64>) -> f64 {
    let all = facts.wanted.daily_kwh * f64::from(facts.wanted.points);
    let short = all - given_kwh(facts, rules, point, (group_a, follows), false);
    if short > 1e-6 + all * 1e-9 { short } else { 0.0 }
}

/// The same on a high day: energy needed, and what is short of it.
pub fn high_day_kwh(facts: &Facts, rules: &Rules, point: (f64, u8), group_a: f64, follows: Option<f64>) -> (f64, f64) {
    let all = facts.vehicles[0].high_kwh * f64::from(facts.wanted.points);
    let short = all - given_kwh(facts, rules, point, (group_a, follows), true);
    (all, if short > 1e-6 + all * 1e-9 { short } else { 0.0 })
}

/// The least limit that gives every point its day, by halving; `None` where none does.
pub fn least_limit_a(facts: &Facts, rules: &Rules, point: (f64, u8), follows: Option<f64>) -> Option<f64> {
    let floor_a = rules.charging.pilot_floor_a;
    let enough = |limit_a: f64| short_kwh(facts, rules, point, limit_a, follows) <= 0.0;
    let (mut low, mut high) = (floor_a, points_a_phase(facts, point.1) * point.0 + floor_a);
    if !enough(high) {
        return None;
    }
    if enough(low) {
        return Some(low);
    }
    for _ in 0..60 {
        let middle = (low + high) / 2.0;
        if enough(middle) { high = middle } else { low = middle }
    }
    Some(high)
}

/// Setpoint of a limit that follows the load, where one may be relied on.
pub fn follows_at(facts: &Facts, rules: &Rules) -> Option<f64> {
    limiter_may(facts, rules).then(|| rules.supply.limiter_share * least_limit(facts).0)
}

/// Room of a group in its best half-hour.
pub fn group_room_a(facts: &Facts, follows: Option<f64>) -> f64 {
    match follows {
        None => room_a(facts),
        Some(setpoint_a) => {
            let load = facts.half_hours.as_ref().unwrap().mean_a(&facts.demand);
            load.iter().map(|existing_a| setpoint_a - existing_a).fold(f64::NEG_INFINITY, f64::max)
        }
    }
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
    if served(facts, rules, (setting_a, phases), perhaps_a, None) >= least {
        "demand-over-limit-unproven"
    } else {
        "fewer-points"
    }
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
