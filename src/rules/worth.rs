//! The policy of programmes: what a site is worth where money and crews do not reach for all, and what is counted on.

use super::{Rules, RulesError};
use serde::{Deserialize, Serialize};

/// What a site of a programme is worth, and how much of a crew's time is counted on.
#[derive(Clone, Debug, Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
#[allow(missing_docs)] // each line of rules.toml says what it is
pub struct ProgrammeRules {
    pub worth_point: f64,
    pub worth_home: f64,
    pub worth_thousand_miles: f64,
    pub worth_need: f64,
    pub marginal_sites: bool,
    pub lead_weeks: Lead,
    pub later_percent: f64,
    pub usable_percent: f64,
    pub workplace_days_a_week: f64,
    pub home_days_a_week: f64,
}

/// Which end of a band of weeks is waited for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize, Serialize)]
#[serde(rename_all = "lowercase")]
#[allow(missing_docs)]
pub enum Lead {
    Low,
    Likely,
    High,
}

/// Whether every figure makes sense.
pub(super) fn check_worth(rules: &Rules, file: &str) -> Result<(), RulesError> {
    let own = &rules.programme;
    for (key, found, low, high) in [
        ("worth_point", own.worth_point, 0.0, 1e6),
        ("worth_home", own.worth_home, 0.0, 1e6),
        ("worth_thousand_miles", own.worth_thousand_miles, 0.0, 1e6),
        ("worth_need", own.worth_need, 0.0, 1e6),
        ("later_percent", own.later_percent, 0.0, 50.0),
        ("usable_percent", own.usable_percent, 10.0, 100.0),
        ("workplace_days_a_week", own.workplace_days_a_week, 1.0, 7.0),
        ("home_days_a_week", own.home_days_a_week, 1.0, 7.0),
    ] {
        if !(low..=high).contains(&found) {
            return Err(RulesError::Absurd {
                file: file.into(),
                key: format!("programme.{key}"),
                found: found.to_string(),
                expected: format!("{low} to {high}"),
            });
        }
    }
    if own.worth_point + own.worth_home + own.worth_thousand_miles + own.worth_need <= 0.0 {
        return Err(RulesError::Absurd {
            file: file.into(),
            key: "programme.worth_point, worth_home, worth_thousand_miles and worth_need".into(),
            found: "0 each".into(),
            expected: "at least one of them above 0: nothing else tells one site from another".into(),
        });
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::super::load::from_text;

    #[test]
    fn a_programme_in_which_nothing_is_worth_anything_is_refused() {
        let worthless = "[programme]\nworth_point = 0\nworth_home = 0\nworth_thousand_miles = 0\nworth_need = 0\n";
        let fault = from_text(worthless, "own.toml").expect_err("nothing to choose by");
        assert!(fault.to_string().contains("at least one of them above 0"), "{fault}");
        let fault = from_text("[programme]\nusable_percent = 0\n", "own.toml").expect_err("no crew works");
        assert!(fault.to_string().contains("programme.usable_percent = 0, expected 10 to 100"), "{fault}");
        assert!(from_text("[programme]\nlead_weeks = \"high\"\n", "own.toml").is_ok());
    }
}
