//! What a user's rules may not do: weaken earthing, disconnection, overload or fault duty, or make no sense. What they
//! loosen otherwise is put into words for the Summary.

use super::{Rules, RulesError};
use crate::finding::{Effect, reasons};

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
    check_effects(rules, file)?;
    loosened(rules, base);
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
}
