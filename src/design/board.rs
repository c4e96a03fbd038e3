//! From where the circuit is fed, and what has to be done to tails, isolator, bonding and board with it.

use super::facts::{Bonding, Facts};
use super::{Feed, Work};
use crate::finding::Finding;
use crate::rules::Rules;

/// Feed, works and findings of the intake end.
pub(super) struct Intake {
    pub(super) feed: Feed,
    pub(super) works: Vec<Work>,
    pub(super) findings: Vec<Finding>,
}

/// Conductor size of tails serving a cut-out; 16 mm2 to 80 A, 25 mm2 to 100 A (memory).
fn tails_serve_a(mm2: f64, rules: &Rules) -> f64 {
    if mm2 >= 25.0 {
        rules.supply.tails_25mm2_serve_a
    } else if mm2 >= 16.0 {
        rules.supply.tails_16mm2_serve_a
    } else {
        0.0
    }
}

/// The intake end for a new circuit; `shared` is a distribution board at the parking.
pub(super) fn intake(facts: &Facts, shared: bool, rules: &Rules) -> Intake {
    let mut works = Vec::with_capacity(6);
    let mut findings = Vec::with_capacity(6);
    let feed = if shared {
        Feed::Distribution
    } else if facts.spare_way && !facts.rcd_ac_upstream {
        Feed::SpareWay
    } else {
        findings.push(Finding::new("board").because("added-board"));
        Feed::AddedBoard
    };
    if facts.rcd_ac_upstream && !shared {
        findings.push(Finding::new("rcd-type").because("rcd-type-upstream"));
    }
    let mut tails_worked_on = feed == Feed::AddedBoard;
    if let Some(mm2) = facts.tails_mm2 {
        let serves_a = tails_serve_a(mm2, rules);
        let too_long = facts.tails_m > rules.supply.tails_longest_m && !facts.isolator;
        if serves_a < facts.cutout_a || too_long {
            works.push(Work::TailsUpgrade { length_m: facts.tails_m.min(rules.supply.tails_longest_m) });
            findings.push(Finding::new("tails").because("tails-upgrade").at_least(serves_a, facts.cutout_a).terms(&[
                mm2,
                facts.tails_m,
                rules.supply.tails_longest_m,
            ]));
            tails_worked_on = true;
        }
        if !facts.isolator {
            findings.push(if tails_worked_on {
                works.push(Work::Isolator);
                Finding::new("isolator").because("isolator-first")
            } else {
                Finding::new("isolator").because("no-isolator")
            });
        }
    }
    match facts.bonding {
        Bonding::Sound => {}
        Bonding::TooSmall | Bonding::Unproven => {
            works.push(Work::BondingUpgrade { proven: facts.bonding == Bonding::TooSmall });
            findings.push(
                Finding::new("bonding")
                    .because("bonding-upgrade")
                    .terms(&[rules.circuit.main_bonding_mm2, rules.circuit.earthing_conductor_mm2]),
            );
        }
    }
    if !facts.surge_protection {
        works.push(Work::SurgeProtection);
        findings.push(Finding::new("surge-protection").because("surge-protection-added"));
    }
    if facts.asbestos_survey {
        works.push(Work::AsbestosSurvey);
    }
    if facts.no_signal {
        works.push(Work::NetworkLink);
    }
    Intake { feed, works, findings }
}

/// Rated short-circuit capacity of a device where `level_ka` is the prospective current, kiloamperes, and a finding where more than the usual is needed.
///
/// A single-phase consumer unit behind a cut-out of up to 100 A has a conditional rating of 16 kA (BS EN 61439-3,
/// Annex ZB): its least device then serves. Anything else proves itself against the prospective current.
pub(super) fn breaking(facts: &Facts, rules: &Rules, level_ka: f64) -> (f64, Finding) {
    let ratings = &rules.circuit.device_breaking_ka;
    let usual_ka = ratings.first().copied().unwrap_or(6.0);
    let conditional = facts.supply_phases == 1 && facts.cutout_a <= 100.0;
    let carried_ka = if conditional { rules.circuit.conditional_rating_ka.max(usual_ka) } else { usual_ka };
    let finding =
        Finding::new("breaking-capacity").subject(if conditional { "conditional rating" } else { "device rating" });
    if level_ka <= carried_ka {
        return (usual_ka, finding.at_least(carried_ka, level_ka));
    }
    let fitted_ka = ratings.iter().copied().find(|rating| *rating >= level_ka).unwrap_or(level_ka);
    (fitted_ka, finding.because("fault-duty").at_least(carried_ka, level_ka).terms(&[fitted_ka]))
}
