//! What a user's rules may not do: weaken earthing, disconnection, overload or fault duty, or make no sense. What they
//! loosen otherwise is put into words for the Summary.

use super::learning::check_learning;
use super::money::check_money;
use super::operator::check_operator;
use super::worth::check_worth;
use super::{Possibilities, Rules, RulesError};
use crate::finding::{Effect, reasons};
use crate::quantity::round_to;
use crate::reference::{HOLDING, PLAUSIBLE};

/// Refuses what weakens safety; lists what loosens a preference.
pub(super) fn check(rules: &mut Rules, base: &Rules, file: &str) -> Result<(), RulesError> {
    let at_most = |key: &str, found: f64, limit: f64, why: &str| {
        if found <= limit && found > 0.0 {
            return Ok(());
        }
        Err(RulesError::Unsafe {
            file: file.into(),
            key: key.into(),
            found: found.to_string(),
            why: why.into(),
            remedy: format!("give {limit} or less"),
        })
    };
    let at_least = |key: &str, found: f64, limit: f64, why: &str| {
        if found >= limit && found.is_finite() {
            return Ok(());
        }
        Err(RulesError::Unsafe {
            file: file.into(),
            key: key.into(),
            found: found.to_string(),
            why: why.into(),
            remedy: format!("give {limit} or more"),
        })
    };
    let (circuit, standard) = (&rules.circuit, &base.circuit);
    at_most(
        "circuit.drop_limit_percent",
        circuit.drop_limit_percent,
        standard.drop_limit_percent,
        "voltage at the vehicle",
    )?;
    at_least(
        "circuit.declared_ze_tn_c_s_ohm",
        circuit.declared_ze_tn_c_s_ohm,
        standard.declared_ze_tn_c_s_ohm,
        "disconnection",
    )?;
    at_least(
        "circuit.declared_ze_tn_s_ohm",
        circuit.declared_ze_tn_s_ohm,
        standard.declared_ze_tn_s_ohm,
        "disconnection",
    )?;
    at_most("circuit.ze_low_ohm", circuit.ze_low_ohm, standard.ze_low_ohm, "fault duty")?;
    at_least(
        "circuit.fault_level_single_phase_ka",
        circuit.fault_level_single_phase_ka,
        standard.fault_level_single_phase_ka,
        "fault duty",
    )?;
    at_least(
        "circuit.fault_level_three_phase_ka",
        circuit.fault_level_three_phase_ka,
        standard.fault_level_three_phase_ka,
        "fault duty",
    )?;
    at_most(
        "circuit.conditional_rating_ka",
        circuit.conditional_rating_ka,
        standard.conditional_rating_ka,
        "fault duty",
    )?;
    at_most(
        "circuit.residual_device_breaking_ka",
        circuit.residual_device_breaking_ka,
        standard.residual_device_breaking_ka,
        "fault duty",
    )?;
    at_most("circuit.electrode_limit_ohm", circuit.electrode_limit_ohm, standard.electrode_limit_ohm, "earthing")?;
    at_most(
        "circuit.electrode_greatest_ohm",
        circuit.electrode_greatest_ohm,
        standard.electrode_greatest_ohm,
        "earthing",
    )?;
    at_least("circuit.main_bonding_mm2", circuit.main_bonding_mm2, standard.main_bonding_mm2, "earthing")?;
    at_least(
        "circuit.earthing_conductor_mm2",
        circuit.earthing_conductor_mm2,
        standard.earthing_conductor_mm2,
        "earthing",
    )?;
    for (key, found, least) in [
        ("circuit.separation_above_m", circuit.separation_above_m, standard.separation_above_m),
        ("circuit.separation_below_m", circuit.separation_below_m, standard.separation_below_m),
        ("circuit.electrode_season_margin", circuit.electrode_season_margin, standard.electrode_season_margin),
    ] {
        at_least(key, found, least, "earthing")?;
    }
    at_least(
        "circuit.added_board_switch_a",
        circuit.added_board_switch_a,
        standard.added_board_switch_a,
        "overload of the added board's switch",
    )?;
    at_least("demand.existing_point_a", rules.demand.existing_point_a, base.demand.existing_point_a, "overload")?;
    check_electrode(rules, file)?;
    at_most(
        "supply.home_threshold_a",
        rules.supply.home_threshold_a,
        base.supply.home_threshold_a,
        "the operators' process",
    )?;
    at_most("supply.limiter_share", rules.supply.limiter_share, base.supply.limiter_share, "overload of the cut-out")?;
    at_most(
        "supply.tails_16mm2_serve_a",
        rules.supply.tails_16mm2_serve_a,
        base.supply.tails_16mm2_serve_a,
        "overload of the tails",
    )?;
    at_most(
        "supply.tails_25mm2_serve_a",
        rules.supply.tails_25mm2_serve_a,
        base.supply.tails_25mm2_serve_a,
        "overload of the tails",
    )?;
    at_most(
        "supply.tails_longest_m",
        rules.supply.tails_longest_m,
        base.supply.tails_longest_m,
        "protection of the tails",
    )?;
    if !circuit.terminals_70c {
        return Err(RulesError::Unsafe {
            file: file.into(),
            key: "circuit.terminals_70c".into(),
            found: "false".into(),
            why: "temperature of devices and terminals".into(),
            remedy: "leave it true".into(),
        });
    }
    for [setting_a, rating_a] in &circuit.device_for_setting {
        at_least("circuit.device_for_setting", *rating_a, *setting_a, "overload: In must not be below Ib")?;
    }
    for (key, found) in [
        ("demand.measured", rules.demand.measured),
        ("demand.half_hour", rules.demand.half_hour),
        ("demand.calculated", rules.demand.calculated),
        ("demand.estimated", rules.demand.estimated),
        ("demand.not_stated", rules.demand.not_stated),
    ] {
        if !(found[0] > 0.0 && found[0] <= found[1] && found[1] >= 1.0 && found[1] < 10.0) {
            return Err(RulesError::Absurd {
                file: file.into(),
                key: key.into(),
                found: format!("{found:?}"),
                expected: "a low share and a high share round 1, such as [0.9, 1.1]".into(),
            });
        }
    }
    if rules.charge_point.is_empty() || rules.charging.setting_steps_a.is_empty() {
        return Err(RulesError::Absurd {
            file: file.into(),
            key: "charge_point / charging.setting_steps_a".into(),
            found: "nothing".into(),
            expected: "at least one charge point and one setting".into(),
        });
    }
    if let Some(point) = rules.charge_point.iter().find(|point| !matches!(point.phases, 1 | 3)) {
        return Err(RulesError::Absurd {
            file: file.into(),
            key: "charge_point.phases".into(),
            found: point.phases.to_string(),
            expected: "1 or 3".into(),
        });
    }
    let (share, step_m) = (rules.order.length_margin_share, rules.order.cut_step_m);
    if !(0.0..=3.0).contains(&share) {
        let (key, expected) = ("order.length_margin_share", "0 (the likely length) to 1 (its high end), 3 at most");
        return Err(absurd(file, key, share, expected));
    }
    if !(0.1..=5.0).contains(&step_m) || (step_m * 10.0 - (step_m * 10.0).round()).abs() > 1e-9 {
        return Err(absurd(file, "order.cut_step_m", step_m, "0.1 to 5 metres in whole tenths"));
    }
    check_outlets(rules, file)?;
    check_money(rules, file)?;
    check_worth(rules, file)?;
    check_operator(rules, file)?;
    check_learning(rules, file)?;
    check_effects(rules, file)?;
    rules.alternatives = Possibilities::with(&rules.possible, file)?;
    loosened(rules, base);
    Ok(())
}

fn absurd(file: &str, key: &str, found: f64, expected: &str) -> RulesError {
    RulesError::Absurd { file: file.into(), key: key.into(), found: found.to_string(), expected: expected.into() }
}

/// Soil and rods that an electrode can be reckoned from.
fn check_electrode(rules: &Rules, file: &str) -> Result<(), RulesError> {
    let circuit = &rules.circuit;
    let absurd = |key: &str, found: String, expected: &str| RulesError::Absurd {
        file: file.into(),
        key: key.into(),
        found,
        expected: expected.into(),
    };
    let [low, likely, high] = circuit.soil_resistivity_ohm_m;
    if !(low > 0.0 && low <= likely && likely <= high && high <= 100_000.0) {
        let found = format!("{:?}", circuit.soil_resistivity_ohm_m);
        let expected = "a low, a likely and a high figure above 0, such as [40, 100, 250]";
        return Err(absurd("circuit.soil_resistivity_ohm_m", found, expected));
    }
    let (length_m, diameter_m) = (circuit.rod_length_m, circuit.rod_diameter_m);
    if !(0.5..=30.0).contains(&length_m) {
        return Err(absurd("circuit.rod_length_m", length_m.to_string(), "0.5 to 30 m"));
    }
    if !(0.008..=0.05).contains(&diameter_m) {
        return Err(absurd("circuit.rod_diameter_m", diameter_m.to_string(), "0.008 to 0.05 m"));
    }
    Ok(())
}

/// An outlet is one of two words, and a household socket-outlet has one phase and 13 A (BS 1363).
fn check_outlets(rules: &Rules, file: &str) -> Result<(), RulesError> {
    const SOCKET_TO_A: f64 = 13.0;
    for point in &rules.charge_point {
        if !point.is_socket() && point.outlet != "vehicle connector" {
            return Err(RulesError::Absurd {
                file: file.into(),
                key: "charge_point.outlet".into(),
                found: format!("{:?}", point.outlet),
                expected: "\"vehicle connector\" or \"BS 1363 socket\"".into(),
            });
        }
        if point.is_socket() && (point.phases != 1 || point.largest_setting_a > SOCKET_TO_A) {
            return Err(RulesError::Unsafe {
                file: file.into(),
                key: "charge_point.largest_setting_a".into(),
                found: format!("{} on {} phases", point.largest_setting_a, point.phases),
                why: "overload of a household socket-outlet".into(),
                remedy: format!("give one phase and {SOCKET_TO_A} A or less"),
            });
        }
    }
    Ok(())
}

fn check_effects(rules: &mut Rules, file: &str) -> Result<(), RulesError> {
    let mut loosened = Vec::new();
    for (code, word) in &rules.effects {
        let key = format!("effects.{code}");
        let Some(reason) = reasons().into_iter().find(|reason| reason.code == code) else {
            return Err(RulesError::NotRules {
                file: file.into(),
                why: format!("{key}: no such reason code. The sheet Assumptions lists them."),
            });
        };
        let Some(effect) = Effect::from_word(word) else {
            return Err(RulesError::Absurd {
                file: file.into(),
                key,
                found: format!("{word:?}"),
                expected: "none, note, step, holds or stops".into(),
            });
        };
        if effect >= reason.effect {
            continue;
        }
        if reason.safety {
            return Err(RulesError::Unsafe {
                file: file.into(),
                key,
                found: format!("{word:?}"),
                why: reason.when.into(),
                remedy: format!("leave it at {:?} or worse", reason.effect.word()),
            });
        }
        loosened.push(format!("{} counts as {:?} instead of {:?}", reason.title, word, reason.effect.word()));
    }
    rules.loosened.extend(loosened);
    Ok(())
}

/// Preferences that are not safety but make more sites ready than the defaults would.
fn loosened(rules: &mut Rules, base: &Rules) {
    let mut say = |loose: bool, sentence: String| {
        if loose {
            rules.loosened.push(sentence);
        }
    };
    let (charging, shared) = (rules.charging.clone(), rules.shared.clone());
    say(
        charging.useful_current_a < base.charging.useful_current_a,
        format!(
            "a point of {} A counts as worth having (default {} A)",
            charging.useful_current_a, base.charging.useful_current_a
        ),
    );
    say(
        shared.accept_share < base.shared.accept_share,
        format!(
            "{} % of the points wanted are accepted (default {} %)",
            shared.accept_share * 100.0,
            base.shared.accept_share * 100.0
        ),
    );
    let (formality, usual) = (rules.supply.capacity_formality_share, base.supply.capacity_formality_share);
    say(
        formality > usual,
        format!(
            "an application within {} % of the agreed capacity counts as a formality (default {} %)",
            formality * 100.0,
            usual * 100.0
        ),
    );
    for (field, when, value) in HOLDING {
        let weight = |rules: &Rules| rules.alternatives.of(field, when).and_then(|entry| entry.weight_of(value));
        let (own, usual) = (weight(rules).unwrap_or_default(), weight(base).unwrap_or_default());
        if usual >= PLAUSIBLE && own < PLAUSIBLE {
            let field = field.replace('_', " ");
            rules.loosened.push(format!(
                "{field} of {value} weighs {} % where it is not known (default {} %), so no site is held for it",
                round_to(own * 100.0, 2),
                round_to(usual * 100.0, 2)
            ));
        }
    }
}
