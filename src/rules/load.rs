//! From a TOML file to rules: overlay on the defaults, refuse what is unknown, absurd or unsafe.

use super::guard::check;
use super::{Rules, RulesSource};
use crate::digest::sha256_of;
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
            rules.source = RulesSource { name: "defaults".into(), sha256: sha256_of(DEFAULTS.as_bytes()) };
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
    let mut rules = from_text(&text, &file)?;
    let name = path.file_name().map_or_else(|| file.clone(), |name| name.to_string_lossy().into_owned());
    rules.source = RulesSource { name, sha256: sha256_of(text.as_bytes()) };
    Ok(rules)
}

/// The same from text already read, checked.
pub(super) fn from_text(text: &str, file: &str) -> Result<Rules, RulesError> {
    let mut rules = parse(DEFAULTS, text, file)?;
    check(&mut rules, default_rules(), file)?;
    Ok(rules)
}

fn parse(defaults: &str, overlay: &str, file: &str) -> Result<Rules, RulesError> {
    let not_rules = |why: String| RulesError::NotRules { file: file.to_owned(), why };
    let mut table: toml::Table = defaults.parse().map_err(|fault: toml::de::Error| not_rules(fault.to_string()))?;
    let over: toml::Table =
        overlay.parse().map_err(|fault: toml::de::Error| not_rules(format!("not TOML: {fault}")))?;
    lay_over(&mut table, over, "").map_err(|misfit| not_rules(misfit.sentence(overlay)))?;
    table.try_into().map_err(|fault: toml::de::Error| not_rules(with_line(overlay, fault.message())))
}

/// A line of the user's file that fits nothing in the defaults.
enum Misfit {
    /// No such key.
    Unknown(String),
    /// The key exists, the value is of another kind.
    Kind { key: String, found: String, expected: &'static str },
}

impl Misfit {
    fn sentence(&self, text: &str) -> String {
        let line = |key: &str| line_of(text, key.rsplit('.').next().unwrap_or(key));
        match self {
            Misfit::Unknown(key) => format!(
                "{}the key {key} does not exist. sample-portfolio/rules.toml holds every key: take the name from there.",
                line(key)
            ),
            Misfit::Kind { key, found, expected } => {
                format!("{}{key} = {found} is not {expected}. Write {expected}.", line(key))
            }
        }
    }
}

/// What a value is, in a person's words; whole numbers and others are the same to a person.
fn kind(value: &toml::Value) -> &'static str {
    match value {
        toml::Value::Integer(_) | toml::Value::Float(_) => "a number",
        toml::Value::String(_) => "a text in quotation marks",
        toml::Value::Boolean(_) => "true or false",
        toml::Value::Array(_) => "a list in square brackets",
        toml::Value::Table(_) => "a section",
        toml::Value::Datetime(_) => "a date",
    }
}

/// Lays `over` on `base`; what `base` does not have is a misfit (except under `effects`).
fn lay_over(base: &mut toml::Table, over: toml::Table, path: &str) -> Result<(), Misfit> {
    for (key, value) in over {
        let full = if path.is_empty() { key.clone() } else { format!("{path}.{key}") };
        match (base.get_mut(&key), value) {
            (Some(toml::Value::Table(inner)), toml::Value::Table(new)) => lay_over(inner, new, &full)?,
            (None, toml::Value::Datetime(date)) if full == "as_of" => {
                base.insert(key, toml::Value::String(date.to_string()));
            }
            (None, value)
                if matches!(path, "effects" | "possible" | "policy.vat_percent_by_premises") || full == "as_of" =>
            {
                base.insert(key, value);
            }
            (None, _) => return Err(Misfit::Unknown(full)),
            (Some(slot), value) if kind(slot) != kind(&value) => {
                return Err(Misfit::Kind { key: full, found: value.to_string(), expected: kind(slot) });
            }
            (Some(slot), value) => {
                *slot = match (&slot, value) {
                    (toml::Value::Float(_), toml::Value::Integer(whole)) => toml::Value::Float(whole as f64),
                    (_, value) => value,
                };
            }
        }
    }
    Ok(())
}

fn with_line(text: &str, message: &str) -> String {
    // The parser names the field in back quotes; find the line in the user's own file.
    let key = message.split('`').nth(1).unwrap_or_default();
    format!("{}{}", line_of(text, key), message)
}

fn line_of(text: &str, key: &str) -> String {
    text.lines()
        .position(|line| !key.is_empty() && line.trim_start().trim_start_matches('[').starts_with(key))
        .map_or_else(String::new, |index| format!("line {}: ", index + 1))
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
            "[circuit]\nseparation_below_m = 2\n",
            "[circuit]\nelectrode_season_margin = 1\n",
            "[circuit]\nmain_bonding_mm2 = 6\n",
        ] {
            assert!(matches!(with(text), Err(RulesError::Unsafe { .. })), "{text}");
        }
    }

    #[test]
    fn an_outlet_is_one_of_two_and_a_household_socket_carries_13_a() {
        let point = |outlet: &str, largest_a: &str| {
            let lines = DEFAULTS.split("[[charge_point]]").nth(1).unwrap();
            let line = lines.replace("\"vehicle connector\"", &format!("{outlet:?}"));
            with(&format!("[[charge_point]]{}", line.replace("setting_a = 32", &format!("setting_a = {largest_a}"))))
        };
        assert!(point("BS 1363 socket", "13").unwrap().charge_point[0].is_socket());
        assert!(matches!(point("BS 1363 socket", "32"), Err(RulesError::Unsafe { .. })));
        assert!(matches!(point("any socket", "13"), Err(RulesError::Absurd { .. })));
        // Files from before the outlet was asked for stand for a vehicle connector.
        let lines: Vec<&str> = DEFAULTS
            .split("[[charge_point]]")
            .nth(1)
            .unwrap()
            .lines()
            .filter(|line| !line.contains("outlet"))
            .collect();
        let rules = with(&format!("[[charge_point]]{}", lines.join("\n"))).unwrap();
        assert!(!rules.charge_point[0].is_socket());
    }

    #[test]
    fn soil_and_rods_make_sense() {
        for text in ["soil_resistivity_ohm_m = [100, 40, 250]", "rod_length_m = 0", "rod_diameter_m = 2"] {
            assert!(matches!(with(&format!("[circuit]\n{text}\n")), Err(RulesError::Absurd { .. })), "{text}");
        }
    }

    #[test]
    fn loosened_preferences_are_said() {
        let rules = with("[effects]\nparking-unknown = \"step\"\n[charging]\nuseful_current_a = 10\n").unwrap();
        assert_eq!(rules.loosened.len(), 2);
        // A hold that goes with a weight is said as well; a weight that keeps it is not.
        let weighed =
            |eight: f64| format!("[possible.storeys.\"storeys not known\"]\n3 = {}\n8 = {eight}\n", 1.0 - eight);
        assert!(with(&weighed(0.06)).unwrap().loosened.is_empty());
        let rules = with(&weighed(0.01)).unwrap();
        assert!(
            rules.loosened.len() == 1 && rules.loosened[0].contains("storeys of 8 weighs 1 %"),
            "{:?}",
            rules.loosened
        );
    }

    #[test]
    fn a_value_of_another_kind_is_named_with_its_line_and_what_is_wanted() {
        let fault = with("[supply]\nhome_threshold_a = \"sixty\"\n").unwrap_err().to_string();
        assert!(
            fault.contains("line 2") && fault.contains("home_threshold_a") && fault.contains("a number"),
            "{fault}"
        );
        let fault = with("\n[suply]\nhome_threshold_a = 50\n").unwrap_err().to_string();
        assert!(fault.contains("line 2") && fault.contains("suply"), "{fault}");
        assert_eq!(with("as_of = 2026-11-25\n").unwrap().as_of.as_deref(), Some("2026-11-25"));
        assert_eq!(with("[supply]\nhome_threshold_a = 50.5\n").unwrap().supply.home_threshold_a, 50.5);
    }

    #[test]
    fn an_unknown_key_is_named_with_its_line() {
        let fault = with("# mine\n[supply]\nhome_treshold_a = 50\n").unwrap_err().to_string();
        assert!(fault.contains("line 3") && fault.contains("supply.home_treshold_a"), "{fault}");
    }
}
