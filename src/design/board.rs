//! From where the circuit is fed, and what has to be done to tails, isolator, bonding and board with it.

use super::bonding::say_bonding;
use super::charging::{Charging, Fit};
use super::facts::Facts;
use super::findings::Findings;
use super::{Feed, Work};
use crate::reference::protection_figure;
use crate::rules::{ChargePoint, Rules};
use crate::site::{BoardType, EarthingSystem, RcdType};

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

/// From where a new circuit is fed: the existing board where it has a way, its residual-current device may stand before
/// the point and its main switch carries the maximum demand.
pub(super) fn feed(facts: &Facts, charging: &Charging, point: &ChargePoint) -> Feed {
    let switch_carries = facts.main_switch_a.is_none_or(|switch_a| switch_a >= charging.maximum_demand_a.high);
    if matches!(charging.fit, Fit::Group(_)) {
        Feed::Distribution
    } else if facts.spare_way && switch_carries && !unsuitable_rcd(facts, point) {
        Feed::SpareWay
    } else {
        Feed::AddedBoard
    }
}

/// Whether the board's residual-current device may not stand before the point: type AC never; A and F only where the
/// charge point keeps smooth direct current under 6 mA, because else a type B device follows (722.531.3).
fn unsuitable_rcd(facts: &Facts, point: &ChargePoint) -> bool {
    match facts.board_rcd {
        Some(RcdType::Ac) => true,
        Some(RcdType::A | RcdType::F) => !point.detects_direct_current,
        Some(RcdType::B | RcdType::None) | None => false,
    }
}

/// What has to be done at the intake end for a circuit fed so.
pub(super) fn say_intake(
    facts: &Facts,
    charging: &Charging,
    point: &ChargePoint,
    feed: Feed,
    rules: &Rules,
    out: &mut Findings<'_>,
) {
    if feed == Feed::AddedBoard {
        out.say("board", "added-board", |f| f);
        say_added_board(facts, rules, out);
    }
    say_existing_board(facts, charging, feed, out);
    if unsuitable_rcd(facts, point) && feed != Feed::Distribution {
        out.say("rcd-type", "rcd-type-upstream", |f| f);
    }
    if let Some(mm2) = facts.tails_mm2 {
        say_tails(facts, mm2, feed, rules, out);
    }
    say_bonding(facts, out);
    if facts.asbestos_survey {
        out.work(Work::AsbestosSurvey);
    }
    if facts.no_signal {
        out.work(Work::NetworkLink);
    }
}

/// The added board itself: its main switch behind the cut-out fuse, its enclosure in a home, and whether a new board in
/// place of the old one would be better.
fn say_added_board(facts: &Facts, rules: &Rules, out: &mut Findings<'_>) {
    let conditional_to_a = protection_figure("conditional-to");
    let proven = facts.supply_phases == 1 && facts.cutout_a <= conditional_to_a;
    let fill = |f: crate::finding::Finding| {
        f.at_most(facts.cutout_a, conditional_to_a)
            .terms(&[rules.circuit.added_board_switch_a, f64::from(facts.supply_phases)])
    };
    if proven {
        out.show("added-board-switch", fill);
    } else {
        out.say("added-board-switch", "added-board-backup", |f| fill(f).noted());
    }
    if facts.premises.is_home() {
        out.show("board-enclosure", |f| f.subject("the added board is of metal"));
    }
    let advice = match facts.board {
        Some(BoardType::Rewireable) => "replace it: rewirable fuses, and no residual-current protection behind them",
        _ if facts.board_doubtful => "replace it: its condition is in doubt",
        Some(BoardType::Plastic) => {
            "add the small board: a sound plastic one may stay, and a new one would be of metal"
        }
        _ => return,
    };
    out.say("board-choice", "board-replacement", |f| f.subject(advice));
}

/// The existing board: its main switch against the new demand, and what a metal one needs on TT.
fn say_existing_board(facts: &Facts, charging: &Charging, feed: Feed, out: &mut Findings<'_>) {
    if let Some(switch_a) = facts.main_switch_a.filter(|_| feed != Feed::Distribution) {
        out.show("main-switch", |f| {
            let f = f.at_most(charging.maximum_demand_a.high, switch_a);
            match feed {
                Feed::SpareWay => f.subject("the circuit is fed through it"),
                // The charging goes round the switch: what it would have carried is only shown.
                Feed::AddedBoard | Feed::Distribution => f.subject("the circuit is fed from before it").noted(),
            }
        });
    }
    let metal = feed != Feed::SpareWay || facts.board == Some(BoardType::Metal);
    if facts.earthing == Some(EarthingSystem::Tt) && metal {
        out.say("tt-metal-board", "tt-metal-board", |f| f);
    }
}

/// Tails of `mm2` and the isolator they need when they are worked on.
fn say_tails(facts: &Facts, mm2: f64, feed: Feed, rules: &Rules, out: &mut Findings<'_>) {
    // An added board and a new sub-main both start at the tails; behind an existing sub-main nothing does.
    let mut tails_worked_on = match feed {
        Feed::SpareWay => false,
        Feed::AddedBoard => true,
        Feed::Distribution => facts.submain.is_none(),
    };
    let serves_a = tails_serve_a(mm2, rules);
    let longest_m = rules.supply.tails_longest_m;
    let too_long = facts.tails_m > longest_m && !facts.isolator;
    let too_small = serves_a < facts.cutout_a;
    if too_small || too_long {
        // Too long: a switch-fuse within reach of the cut-out. Too small: every metre of them.
        out.work(Work::TailsUpgrade { length_m: if too_small { facts.tails_m } else { longest_m } });
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
/// Annex ZB): its least device then serves. Anything else, a switch-fuse or a distribution board among them, proves
/// itself against the prospective current.
pub(super) fn breaking(facts: &Facts, feed: Feed, rules: &Rules, level_ka: f64) -> Breaking {
    let ratings = &rules.circuit.device_breaking_ka;
    let usual_ka = ratings.first().copied().unwrap_or(6.0);
    let conditional =
        facts.supply_phases == 1 && facts.cutout_a <= protection_figure("conditional-to") && feed != Feed::Distribution;
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
            out.show("breaking-capacity", |f| {
                f.subject(subject).at_least(self.carried_ka, self.level_ka).terms(&[self.carried_ka])
            });
        } else {
            out.say("breaking-capacity", "fault-duty", |f| {
                f.subject(subject).at_least(self.fitted_ka, self.level_ka).terms(&[self.carried_ka])
            });
        }
    }
}
