//! From a TOML file to rules: overlay on the defaults, refuse what is unknown, absurd or unsafe.

use super::{Rules, RulesSource};
use crate::finding::{Effect, reasons};
use sha2::{Digest, Sha256};
use std::path::Path;
use std::sync::OnceLock;

const DEFAULTS: &str = include_str!("../../sample-portfolio/rules.toml");

/// Why a rules file cannot be used. Each variant names the file and what to do.
#[derive(Debug, thiserror::Error)]
pub enum RulesError {
    /// The file cannot be read.
    #[error("cannot read the rules file {file}: {why}.")]
    Unreadable {
        /// File as given.
        file: String,
        /// The system's reason.
        why: String,
    },
    /// Not TOML, or a key that does not exist, or a value of the wrong kind.
    #[error("{file}: {why}")]
    NotRules {
        /// File as given.
        file: String,
        /// What is wrong, with line and key where known.
        why: String,
    },
    /// Would weaken safety.
    #[error("{file}: {key} = {found} would weaken safety ({why}). Rules may tighten it, never loosen it: {remedy}.")]
    Unsafe {
        /// File as given.
        file: String,
        /// Key.
        key: String,
        /// Value found.
        found: String,
        /// What it guards.
        why: String,
        /// What is allowed.
        remedy: String,
    },
    /// A value that makes no sense.
    #[error("{file}: {key} = {found}, expected {expected}.")]
    Absurd {
        /// File as given.
        file: String,
        /// Key.
        key: String,
        /// Value found.
        found: String,
        /// What is allowed.
        expected: String,
    },
}

/// The embedded defaults.
pub fn default_rules() -> &'static Rules {
    static RULES: OnceLock<Rules> = OnceLock::new();
    RULES.get_or_init(|| match parse(DEFAULTS, "", "the default rules") {
        Ok(mut rules) => {
            rules.source = RulesSource { name: "defaults".into(), sha256: digest(DEFAULTS.as_bytes()) };
            rules
        }
        // Embedded at build time and parsed by a test: a fault here cannot reach a released build.
        Err(fault) => unreachable!("default rules: {fault}"),
    })
}

/// Rules from a user's file, laid over the defaults.
///
/// # Errors
/// When the file cannot be read, is not TOML, names an unknown key, holds an absurd value or would weaken safety.
pub fn load_rules(path: &Path) -> Result<Rules, RulesError> {
    let file = path.display().to_string();
    let bytes =
        std::fs::read(path).map_err(|fault| RulesError::Unreadable { file: file.clone(), why: fault.to_string() })?;
    let text = String::from_utf8(bytes).map_err(|_| RulesError::NotRules {
        file: file.clone(),
        why: "not a text file in UTF-8: save it as plain text.".into(),
    })?;
    let mut rules = parse(DEFAULTS, &text, &file)?;
    let name = path.file_name().map_or_else(|| file.clone(), |name| name.to_string_lossy().into_owned());
    rules.source = RulesSource { name, sha256: digest(text.as_bytes()) };
    check(&mut rules, default_rules(), &file)?;
    Ok(rules)
}

fn digest(bytes: &[u8]) -> String {
    Sha256::digest(bytes).iter().map(|byte| format!("{byte:02x}")).collect()
}

fn parse(defaults: &str, overlay: &str, file: &str) -> Result<Rules, RulesError> {
    let not_rules = |why: String| RulesError::NotRules { file: file.to_owned(), why };
    let mut table: toml::Table = defaults.parse().map_err(|fault: toml::de::Error| not_rules(fault.to_string()))?;
    let over: toml::Table =
        overlay.parse().map_err(|fault: toml::de::Error| not_rules(format!("not TOML: {fault}")))?;
    lay_over(&mut table, over, "").map_err(|key| not_rules(unknown_key(overlay, &key)))?;
    table.try_into().map_err(|fault: toml::de::Error| not_rules(with_line(overlay, fault.message())))
}

/// Lays `over` on `base`; a key that `base` does not have is returned as the error (except under `effects`).
fn lay_over(base: &mut toml::Table, over: toml::Table, path: &str) -> Result<(), String> {
    for (key, value) in over {
        let full = if path.is_empty() { key.clone() } else { format!("{path}.{key}") };
        match (base.get_mut(&key), value) {
            (Some(toml::Value::Table(inner)), toml::Value::Table(new)) => lay_over(inner, new, &full)?,
            (None, value) if path == "effects" || full == "as_of" => {
                base.insert(key, value);
            }
            (None, _) => return Err(full),
            (Some(slot), value) => {
                *slot = match (&slot, value) {
                    // 0 and 0.0 are the same number to a person.
                    (toml::Value::Float(_), toml::Value::Integer(whole)) => toml::Value::Float(whole as f64),
                    (_, value) => value,
                };
            }
        }
    }
    Ok(())
}

fn unknown_key(text: &str, key: &str) -> String {
    let last = key.rsplit('.').next().unwrap_or(key);
    let line = line_of(text, last);
    format!(
        "{line}the key {key} does not exist. sample-portfolio/rules.toml holds every key: take the name from there."
    )
}

fn with_line(text: &str, message: &str) -> String {
    // The parser names the field in back quotes; find the line in the user's own file.
    let key = message.split('`').nth(1).unwrap_or_default();
    format!("{}{}", line_of(text, key), message)
}

fn line_of(text: &str, key: &str) -> String {
    text.lines()
        .position(|line| !key.is_empty() && line.trim_start().starts_with(key))
        .map_or_else(String::new, |index| format!("line {}: ", index + 1))
}

/// Refuses what weakens safety; lists what loosens a preference.
fn check(rules: &mut Rules, base: &Rules, file: &str) -> Result<(), RulesError> {
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

#[cfg(test)]
mod tests {
    use super::*;

    fn with(text: &str) -> Result<Rules, RulesError> {
        let mut rules = parse(DEFAULTS, text, "mine.toml")?;
        check(&mut rules, default_rules(), "mine.toml")?;
        Ok(rules)
    }

    #[test]
    fn the_defaults_pass_their_own_check() {
        assert!(with("").unwrap().loosened.is_empty());
    }

    #[test]
    fn one_line_changes_one_rule() {
        assert_eq!(with("[charging]\nuseful_current_a = 20\n").unwrap().charging.useful_current_a, 20.0);
    }

    #[test]
    fn safety_is_not_loosened() {
        for text in [
            "[circuit]\ndrop_limit_percent = 8\n",
            "[circuit]\nelectrode_limit_ohm = 500\n",
            "[circuit]\ndevice_for_setting = [[32, 25]]\n",
            "[supply]\nlimiter_share = 1.2\n",
            "[effects]\ncutout-unsafe = \"note\"\n",
        ] {
            assert!(matches!(with(text), Err(RulesError::Unsafe { .. })), "{text}");
        }
    }

    #[test]
    fn loosened_preferences_are_said() {
        let rules = with("[effects]\nparking-unknown = \"step\"\n[charging]\nuseful_current_a = 10\n").unwrap();
        assert_eq!(rules.loosened.len(), 2);
    }

    #[test]
    fn an_unknown_key_is_named_with_its_line() {
        let fault = with("# mine\n[supply]\nhome_treshold_a = 50\n").unwrap_err().to_string();
        assert!(fault.contains("line 3") && fault.contains("supply.home_treshold_a"), "{fault}");
    }
}
