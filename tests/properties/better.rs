//! Better never hurts: a shorter route, a larger cut-out, a lower demand, more capacity and the like never worsen the
//! verdict, nor for the same point and cable any check of demand, rating, drop or disconnection.
//!
//! Four facts bite both ways, and there a verdict may worsen only through the check named: the fuse against tails and
//! conditional rating; external impedance, and the length of a sub-main, against fault duty; existing load against the
//! balance of an open PEN (which the engine leaves to the charge point, so that nothing worsens through it here).

use super::draw::{Draw, best, draws, has_no_cable, weight};
use super::trials;
use baywright::design::{Arrangement, Control, EarthingPath, Feed, worst_effect};
use baywright::finding::Effect;
use baywright::rules::default_rules;
use baywright::site::EarthingSystem;
use proptest::prelude::*;

const HAIR: f64 = 1e-6;

/// The checks that no better fact may worsen.
const CORE: [&str; 14] = [
    "demand-limit",
    "home-threshold",
    "limiter-setpoint",
    "limiter-energy",
    "group-limit",
    "group-follows",
    "points-served",
    "capacity-share",
    "current-capacity",
    "voltage-drop",
    "disconnection",
    "disconnection-by-rcd",
    "cable-length",
    "charging-current",
];

/// What makes two arrangements the same thing to build: point, phases, a limit that follows the load or none, feed,
/// earthing, cable make-up.
fn key(arrangement: &Arrangement) -> (u64, u8, bool, Feed, EarthingPath, Vec<(u8, u8)>) {
    let runs = arrangement.runs.iter();
    (
        arrangement.setting_a.to_bits(),
        arrangement.phases,
        matches!(arrangement.control, Control::Group { setpoint_a: Some(_), .. }),
        arrangement.feed,
        arrangement.earthing,
        runs.map(|run| (run.cable.family as u8, run.cable.cores)).collect(),
    )
}

fn core_effect(arrangement: &Arrangement) -> Effect {
    arrangement
        .findings
        .iter()
        .filter(|finding| CORE.contains(&finding.check.name))
        .map(|finding| weight(finding.effect))
        .max()
        .unwrap_or(Effect::None)
}

/// The verdict does not worsen, except through findings of the checks allowed.
fn verdict_holds(worse: &Draw, better: &Draw, allowed: &[&str]) -> Result<(), TestCaseError> {
    let rules = default_rules();
    let (before, after) = (worse.built(rules), better.built(rules));
    let (Some(was), Some(is)) = (best(&before), best(&after)) else {
        return Ok(());
    };
    let (from, to) = (weight(worst_effect(was)), weight(worst_effect(is)));
    if to > from {
        let through: Vec<&str> = is
            .findings
            .iter()
            .filter(|finding| weight(finding.effect) > from)
            .map(|finding| finding.check.name)
            .collect();
        prop_assert!(
            through.iter().all(|check| allowed.contains(check)),
            "{:?} became {:?} through {:?}",
            from,
            to,
            through
        );
        return Ok(());
    }
    if to == from && allowed.iter().all(|check| BITES_BACK.contains(check)) {
        let power = |a: &Arrangement| a.setting_a * f64::from(a.phases);
        // What bites back at the old current is answered by a lower one; nothing else may take current away.
        let bitten = |a: &Arrangement| {
            let mut above = a.findings.iter().filter(|finding| weight(finding.effect) > to);
            power(a) >= power(was) - HAIR && above.all(|finding| allowed.contains(&finding.check.name))
        };
        let held = power(is) >= power(was) - HAIR || (is.shared.is_some() && after.iter().any(bitten));
        prop_assert!(held, "less current: {} A after {} A", is.setting_a, was.setting_a);
    }
    Ok(())
}

/// For the same thing to build, no core check worsens, and no larger cable is needed for it.
fn checks_hold(worse: &Draw, better: &Draw) -> Result<(), TestCaseError> {
    let rules = default_rules();
    let (before, after) = (worse.built(rules), better.built(rules));
    for was in before.iter().filter(|arrangement| !has_no_cable(arrangement)) {
        for is in after.iter().filter(|is| key(is) == key(was)) {
            let (from, to) = (core_effect(was), core_effect(is));
            prop_assert!(to <= from, "{from:?} became {to:?}");
            // Sub-main and final circuits share the allowed drop, and where the site may now draw more its tails drop
            // more: there a larger cable is no harm.
            let alike = is.shared.is_none() && is.maximum_demand_a.high <= was.maximum_demand_a.high + HAIR;
            if alike {
                prop_assert!(!has_no_cable(is), "a cable fitted and no longer does");
                for (now, then) in is.runs.iter().zip(&was.runs) {
                    prop_assert!(now.cable.csa_mm2 <= then.cable.csa_mm2, "a larger cable is needed");
                }
            }
        }
    }
    Ok(())
}

/// More current asks for larger cables, and a shorter or larger sub-main lets more fault current through: what the final
/// device must break may worsen (sub-main length against fault duty).
const BITES_BACK: &[&str] = &["breaking-final"];

fn hold(worse: &Draw, better: &Draw) -> Result<(), TestCaseError> {
    verdict_holds(worse, better, BITES_BACK)?;
    checks_hold(worse, better)
}

proptest! {
    #![proptest_config(trials(500))]

    #[test]
    fn a_shorter_route(draw in draws(), share in 0.0..1.0) {
        // The same make-up of route: a part that vanishes changes what cables may be used.
        let shorter = Draw {
            indoor_m: draw.indoor_m * share,
            surface_m: draw.surface_m * share,
            buried_m: draw.buried_m * share,
            ..draw.clone()
        };
        prop_assume!(draw.route_m() > 0.0 && shorter.route_m() > 0.01);
        hold(&draw, &shorter)?;
    }

    #[test]
    fn a_lower_demand(draw in draws(), share in 0.0..1.0) {
        hold(&draw, &Draw { demand_a: draw.demand_a * share, ..draw.clone() })?;
    }

    #[test]
    fn more_capacity(draw in draws(), factor in 1.0..5.0) {
        let more = Draw { capacity_kva: draw.capacity_kva.map(|kva| kva * factor), ..draw.clone() };
        hold(&draw, &more)?;
    }

    #[test]
    fn a_larger_cutout(draw in draws(), to in prop::sample::select(vec![60.0, 63.0, 80.0, 100.0])) {
        let draw = Draw { cutout_a: draw.cutout_a.min(to), ..draw };
        let larger = Draw { cutout_a: to, ..draw.clone() };
        verdict_holds(&draw, &larger, &["tails", "isolator", "breaking-capacity"])?;
        checks_hold(&draw, &larger)?;
    }

    #[test]
    fn a_larger_incoming_device(draw in draws(), factor in 1.0..3.0) {
        // Over 100 A on both sides: no tails, no conditional rating, so nothing bites back.
        let draw = Draw { cutout_a: draw.cutout_a + 100.0, ..draw };
        hold(&draw, &Draw { cutout_a: draw.cutout_a * factor, ..draw.clone() })?;
    }

    #[test]
    fn a_lower_external_impedance(draw in draws(), share in 0.0..1.0) {
        if draw.earthing == Some(EarthingSystem::Tt) {
            return Ok(());
        }
        let lower = Draw { ze_ohm: draw.ze_ohm.map(|ohm| ohm * share), ..draw.clone() };
        // Less impedance is more fault current: only what must bear it may worsen.
        verdict_holds(&draw, &lower, &["protective-conductor-by-energy", "breaking-capacity", "cable-length"])?;
        // As long as the lowest credible impedance is not undercut, nothing bites back.
        if draw.fault_level_ka.is_some() || lower.ze_ohm.is_none_or(|ohm| ohm >= default_rules().circuit.ze_low_ohm) {
            hold(&draw, &lower)?;
        }
    }

    #[test]
    fn a_better_electrode(draw in draws(), ohm in 1.0..2500.0, share in 0.0..1.0) {
        let draw = Draw { earthing: Some(EarthingSystem::Tt), ze_ohm: Some(ohm), ..draw };
        hold(&draw, &Draw { ze_ohm: draw.ze_ohm.map(|ohm| ohm * share), ..draw.clone() })?;
    }

    #[test]
    fn a_lower_fault_level(draw in draws(), share in 0.0..1.0) {
        hold(&draw, &Draw { fault_level_ka: draw.fault_level_ka.map(|ka| ka * share), ..draw.clone() })?;
    }

    #[test]
    fn larger_and_shorter_tails(draw in draws(), shorter in 0.0..1.0) {
        let better = Draw { tails_mm2: Some(35.0), tails_m: draw.tails_m * shorter, ..draw.clone() };
        hold(&draw, &better)?;
    }

    #[test]
    fn an_isolator_and_a_spare_way(draw in draws()) {
        hold(&draw, &Draw { isolator: Some(true), ..draw.clone() })?;
        // A spare way at the end of a sub-main is not nearer than an added board at the intake.
        let draw = Draw { submain: None, ..draw };
        hold(&draw, &Draw { spare_ways: Some(4.0), ..draw.clone() })?;
    }

    #[test]
    fn a_cooler_and_emptier_route(draw in draws(), cooler in 0.0..1.0, fewer in 0.0..1.0, clear in 0.0..1.0) {
        hold(&draw, &Draw { ambient_c: draw.ambient_c * cooler, ..draw.clone() })?;
        hold(&draw, &Draw { grouped: f64::max(1.0, f64::floor(draw.grouped * fewer)), ..draw.clone() })?;
        hold(&draw, &Draw { insulated_m: draw.insulated_m * clear, ..draw.clone() })?;
    }

    #[test]
    fn fewer_miles(draw in draws(), share in 0.0..1.0) {
        hold(&draw, &Draw { miles: draw.miles * share, ..draw.clone() })?;
    }
}
