//! From where the circuit is fed, and what has to be done to tails, isolator, bonding and board with it.

use super::facts::{Bonding, Facts};
use super::findings::Findings;
use super::{Feed, Work};
use crate::rules::Rules;

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

/// From where a new circuit is fed; `shared` is a distribution board at the parking.
pub(super) fn feed(facts: &Facts, shared: bool) -> Feed {
    if shared {
        Feed::Distribution
    } else if facts.spare_way && !facts.rcd_ac_upstream {
        Feed::SpareWay
    } else {
        Feed::AddedBoard
    }
}

/// What has to be done at the intake end for a circuit fed so.
pub(super) fn say_intake(facts: &Facts, feed: Feed, rules: &Rules, out: &mut Findings<'_>) {
    if feed == Feed::AddedBoard {
        out.say("board", "added-board", |f| f);
    }
    if facts.rcd_ac_upstream && feed != Feed::Distribution {
        out.say("rcd-type", "rcd-type-upstream", |f| f);
    }
    if let Some(mm2) = facts.tails_mm2 {
        say_tails(facts, mm2, feed, rules, out);
    }
    if facts.bonding != Bonding::Sound {
        out.work(Work::BondingUpgrade { proven: facts.bonding == Bonding::TooSmall });
        out.say("bonding", "bonding-upgrade", |f| {
            f.terms(&[rules.circuit.main_bonding_mm2, rules.circuit.earthing_conductor_mm2])
        });
    }
    if !facts.surge_protection {
        out.work(Work::SurgeProtection);
        out.say("surge-protection", "surge-protection-added", |f| f);
    }
    if facts.asbestos_survey {
        out.work(Work::AsbestosSurvey);
    }
    if facts.no_signal {
        out.work(Work::NetworkLink);
    }
}

/// Tails of `mm2` and the isolator they need when they are worked on.
fn say_tails(facts: &Facts, mm2: f64, feed: Feed, rules: &Rules, out: &mut Findings<'_>) {
    let mut tails_worked_on = feed == Feed::AddedBoard;
    let serves_a = tails_serve_a(mm2, rules);
    let longest_m = rules.supply.tails_longest_m;
    let too_long = facts.tails_m > longest_m && !facts.isolator;
    if serves_a < facts.cutout_a || too_long {
        out.work(Work::TailsUpgrade { length_m: facts.tails_m.min(longest_m) });
        out.say("tails", "tails-upgrade", |f| {
            f.at_least(serves_a, facts.cutout_a).terms(&[mm2, facts.tails_m, longest_m])
        });
        tails_worked_on = true;
    }
    if facts.isolator {
        return;
    }
    if tails_worked_on {
        out.work(Work::Isolator);
        out.say("isolator", "isolator-first", |f| f);
    } else {
        out.say("isolator", "no-isolator", |f| f);
    }
}

/// Rated short-circuit capacity of a device where `level_ka` is the prospective current, and what is carried without it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Breaking {
    /// Rated capacity of the device fitted, kiloamperes.
    pub(super) fitted_ka: f64,
    carried_ka: f64,
    level_ka: f64,
    conditional: bool,
}

/// The device that the prospective current `level_ka` asks for.
///
/// A single-phase consumer unit behind a cut-out of up to 100 A has a conditional rating of 16 kA (BS EN 61439-3,
/// Annex ZB): its least device then serves. Anything else proves itself against the prospective current.
pub(super) fn breaking(facts: &Facts, rules: &Rules, level_ka: f64) -> Breaking {
    let ratings = &rules.circuit.device_breaking_ka;
    let usual_ka = ratings.first().copied().unwrap_or(6.0);
    let conditional = facts.supply_phases == 1 && facts.cutout_a <= 100.0;
    let carried_ka = if conditional { rules.circuit.conditional_rating_ka.max(usual_ka) } else { usual_ka };
    let fitted_ka = if level_ka <= carried_ka {
        usual_ka
    } else {
        ratings.iter().copied().find(|rating| *rating >= level_ka).unwrap_or(level_ka)
    };
    Breaking { fitted_ka, carried_ka, level_ka, conditional }
}

impl Breaking {
    /// A finding, with a reason where more than the usual rating is fitted.
    pub(super) fn say(&self, out: &mut Findings<'_>) {
        let subject = if self.conditional { "conditional rating" } else { "device rating" };
        if self.level_ka <= self.carried_ka {
            out.show("breaking-capacity", |f| f.subject(subject).at_least(self.carried_ka, self.level_ka));
        } else {
            out.say("breaking-capacity", "fault-duty", |f| {
                f.subject(subject).at_least(self.carried_ka, self.level_ka).terms(&[self.fitted_ka])
            });
        }
    }
}
