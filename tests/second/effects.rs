//! What is said of one way of giving charging whatever its cables, and what has to be done with it (effects.csv).
//!
//! Codes and works only; figures are in `chain`, `supply` and `circuit`. The effect of a code is that of the rules, else
//! of the effects table as read by `published`.

use super::chain::Task;
use super::published::effect_words;
use super::supply::*;
use baywright::design::{Bonding, EarthingPath, Facts, Feed, Work};
use baywright::finding::Effect;
use baywright::rules::{ChargePoint, Rules};
use baywright::site::{EarthingSystem, Premises, RcdType, Verdict};

pub fn effect_of(rules: &Rules, code: &str) -> Effect {
    let word = rules.effects.get(code).map_or(effect_words(code).0, String::as_str);
    Effect::from_word(word).unwrap()
}

pub fn worst(rules: &Rules, codes: &[&str]) -> Effect {
    codes.iter().map(|code| effect_of(rules, code)).max().unwrap_or(Effect::None)
}

pub fn verdict_of(effect: Effect) -> Verdict {
    match effect {
        Effect::Stops => Verdict::Blocked,
        Effect::Holds => Verdict::Marginal,
        _ => Verdict::Ready,
    }
}

/// How the charging sits on the supply, several points included.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Load {
    One(Sits),
    /// Several points behind one group limit; with its setpoint where it follows the load.
    Group {
        follows: Option<f64>,
    },
    /// Not even one session of several points.
    NoSession,
}

/// Codes and works of a way.
pub fn of_way(task: &Task<'_>, load: Load, point: &ChargePoint) -> (Vec<&'static str>, Vec<Work>) {
    let (mut codes, mut works) = (Vec::new(), Vec::new());
    demand(task, load, &mut codes, &mut works);
    let (facts, rules) = (task.facts, task.rules);
    if facts.fault_level_ka > task.breaking(facts.fault_level_ka).0 {
        codes.push("fault-duty");
    }
    let not = matches!(load, Load::One(Sits::Not) | Load::NoSession);
    if let (Some(carries_a), Some(needed_a)) = (task.existing_carries_a(), task.existing_needed_a())
        && (carries_a < needed_a || task.existing_unprotected())
        && !not
    {
        codes.push("submain-too-small");
    }
    earthing(task, &mut codes, &mut works);
    if task.feed == Feed::AddedBoard {
        codes.push("added-board");
    }
    if unsuitable_rcd(facts, point) && task.feed != Feed::Distribution {
        codes.push("rcd-type-upstream");
    }
    if let Some(mm2) = facts.tails_mm2 {
        tails(task, mm2, &mut codes, &mut works);
    }
    if facts.bonding != Bonding::Sound {
        codes.push("bonding-upgrade");
        works.push(Work::BondingUpgrade { proven: facts.bonding == Bonding::TooSmall });
    }
    if !facts.surge_protection {
        codes.push("surge-protection-added");
        works.push(Work::SurgeProtection);
    }
    if facts.asbestos_survey {
        works.push(Work::AsbestosSurvey);
    }
    if facts.no_signal {
        works.push(Work::NetworkLink);
    }
    if !point.declared_harmonics {
        codes.push("no-declaration");
    }
    if point.exports {
        codes.push("export-capable");
    }
    if point.exports || facts.power_flows_back {
        codes.push("bidirectional-device");
    }
    capacity(task, &mut codes);
    let formality = |code: &&&str| effect_of(rules, code) == Effect::Step && effect_words(code).1 == "apply";
    if codes.iter().find(formality).is_some() {
        works.push(Work::Application);
    }
    if facts.covered || matches!(facts.premises, Premises::Flat | Premises::Block) {
        works.push(Work::FireStopping);
    }
    (codes, works)
}

/// What the supply says of the charging current.
pub fn demand(task: &Task<'_>, load: Load, codes: &mut Vec<&'static str>, works: &mut Vec<Work>) {
    let (facts, rules) = (task.facts, task.rules);
    let wanted = &facts.wanted;
    let (given_a, asked_a) = (task.setting_a * f64::from(task.phases), wanted.setting_a * f64::from(wanted.phases));
    let less = given_a < asked_a || task.phases < wanted.phases;
    let added_a = task.group_a.unwrap_or(task.setting_a);
    let at_cutout_a = facts.demand.band_a.high + added_a;
    let near = at_cutout_a > rules.supply.near_cutout_share * facts.cutout_a;
    match load {
        Load::One(Sits::Alone) => {
            let over = facts.premises.is_home() && at_cutout_a > rules.supply.home_threshold_a;
            codes.push(if over { "demand-over-60" } else { "supply-fits" });
        }
        Load::One(Sits::Limiter { setpoint_a }) => {
            let (_, kwh) = limiter_energy(facts, rules, task.setting_a, task.phases, setpoint_a);
            codes.push(if kwh >= wanted.daily_kwh { "limiter-needed" } else { "limiter-energy-short" });
            works.push(Work::LimiterSensor);
        }
        Load::Group { follows } => {
            codes.push(if follows.is_some() { "limiter-needed" } else { "supply-fits" });
            if follows.is_none() && facts.premises.is_home() && at_cutout_a > rules.supply.home_threshold_a {
                codes.push("demand-over-60");
            }
            let served_now = served(facts, rules, (task.setting_a, task.phases), added_a, follows);
            if served_now < f64::from(wanted.points) {
                codes.push(why_fewer(facts, rules, task.setting_a, task.phases, served_now));
            }
            if high_day_kwh(facts, rules, (task.setting_a, task.phases), added_a, follows).1 > 0.0 {
                codes.push("high-day-short");
            }
            if follows.is_some() || added_a < points_a_phase(facts, task.phases) * task.setting_a {
                codes.push("group-control-fails-low");
                works.push(Work::GroupController);
            }
            if follows.is_some() {
                works.push(Work::LimiterSensor);
            }
        }
        Load::One(Sits::Not) => codes.push(why_nothing(facts)),
        Load::NoSession => {
            codes.push(why_nothing(facts));
            let phases = wanted.phases.min(facts.supply_phases);
            codes.push(why_fewer(facts, rules, task.setting_a, phases, 0.0));
        }
    }
    if near && matches!(load, Load::One(Sits::Alone) | Load::Group { follows: None }) {
        codes.push("demand-over-90-percent");
    }
    if less && !matches!(load, Load::One(Sits::Not) | Load::NoSession) {
        codes.push("less-than-asked");
    }
}

fn earthing(task: &Task<'_>, codes: &mut Vec<&'static str>, works: &mut Vec<Work>) {
    let (facts, circuit) = (task.facts, &task.rules.circuit);
    if facts.earthing == Some(EarthingSystem::Tt) {
        codes.push(match facts.electrode_ohm {
            None => "electrode-unmeasured",
            Some(ohm) if ohm <= circuit.electrode_limit_ohm => "electrode-good",
            Some(ohm) if ohm <= circuit.electrode_greatest_ohm => "electrode-high",
            Some(_) => "electrode-missing",
        });
        return;
    }
    if facts.earthing_open {
        codes.push("earthing-unknown");
    }
    if facts.earthing == Some(EarthingSystem::TnS) {
        codes.push("tn-s-taken-as-pme");
    }
    let declared_ohm = match facts.earthing {
        Some(EarthingSystem::TnCS) => circuit.declared_ze_tn_c_s_ohm,
        _ => circuit.declared_ze_tn_s_ohm,
    };
    if facts.ze_ohm > declared_ohm {
        codes.push("ze-over-declared");
    }
    match task.path {
        EarthingPath::Electrode => {
            codes.extend(["electrode-unmeasured", "earth-separation"]);
            works.push(Work::Electrode { rods: 1 });
        }
        EarthingPath::SupplyEarth => codes.push("pme-unanswered"),
        EarthingPath::SupplyEarthOpenPen | EarthingPath::SupplyEarthOpenPenDevice => codes.push("pme-outdoors"),
    }
}

/// Type AC never stands before a point; A and F only where the point detects smooth direct current itself.
pub fn unsuitable_rcd(facts: &Facts, point: &ChargePoint) -> bool {
    match facts.board_rcd {
        Some(RcdType::Ac) => true,
        Some(RcdType::A) | Some(RcdType::F) => !point.detects_direct_current,
        _ => false,
    }
}

fn tails(task: &Task<'_>, mm2: f64, codes: &mut Vec<&'static str>, works: &mut Vec<Work>) {
    let (facts, supply) = (task.facts, &task.rules.supply);
    let serves_a = if mm2 >= 25.0 {
        supply.tails_25mm2_serve_a
    } else if mm2 >= 16.0 {
        supply.tails_16mm2_serve_a
    } else {
        0.0
    };
    let too_small = serves_a < facts.cutout_a;
    let too_long = facts.tails_m > supply.tails_longest_m && !facts.isolator;
    let mut worked_on = task.feed == Feed::AddedBoard || (task.feed == Feed::Distribution && facts.submain.is_none());
    if too_small || too_long {
        codes.push("tails-upgrade");
        works.push(Work::TailsUpgrade { length_m: if too_small { facts.tails_m } else { supply.tails_longest_m } });
        worked_on = true;
    }
    if !facts.isolator {
        codes.push(if worked_on { "isolator-first" } else { "no-isolator" });
        if worked_on {
            works.push(Work::Isolator);
        }
    }
}

fn capacity(task: &Task<'_>, codes: &mut Vec<&'static str>) {
    let facts = task.facts;
    let Some(capacity_a) = facts.capacity_a else { return };
    if !facts.ct_metered {
        return;
    }
    let points = f64::from(facts.wanted.points);
    let phases = f64::from(facts.supply_phases).min(points * f64::from(task.phases));
    let daily_a = facts.wanted.daily_kwh * points * 1000.0 / (facts.wanted.window_h * 230.0 * phases);
    let whole_a = facts.demand.against_capacity_a.likely + task.group_a.unwrap_or(task.setting_a).min(daily_a);
    if whole_a <= task.rules.supply.capacity_formality_share * capacity_a {
        codes.push("capacity-formality");
    } else if whole_a <= capacity_a {
        codes.push("capacity-tight");
    }
}
