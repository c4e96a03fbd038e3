//! The policy of learning from outcomes: how much the stated figures weigh against what was found, and what is proposed.

use super::{Rules, RulesError};
use serde::{Deserialize, Serialize};

/// How outcomes move weights and hours.
#[derive(Clone, Debug, Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
#[allow(missing_docs)] // each line of rules.toml says what it is
pub struct LearnRules {
    pub prior_sites: f64,
    pub least_sites: u32,
    pub told_by_errors: f64,
    pub hours_prior_sd: f64,
    pub least_factor: f64,
    pub greatest_factor: f64,
}

/// Whether every figure of learning makes sense. None of them bears on safety: weights and hours are all that is learned.
pub(super) fn check_learning(rules: &Rules, file: &str) -> Result<(), RulesError> {
    let learn = &rules.learn;
    for (key, found, low, high) in [
        ("learn.prior_sites", learn.prior_sites, 1.0, 10_000.0),
        ("learn.least_sites", f64::from(learn.least_sites), 3.0, 10_000.0),
        ("learn.told_by_errors", learn.told_by_errors, 0.5, 10.0),
        ("learn.hours_prior_sd", learn.hours_prior_sd, 0.01, 2.0),
        ("learn.least_factor", learn.least_factor, 0.05, 1.0),
        ("learn.greatest_factor", learn.greatest_factor, 1.0, 20.0),
    ] {
        if !(low..=high).contains(&found) {
            return Err(RulesError::Absurd {
                file: file.into(),
                key: key.into(),
                found: found.to_string(),
                expected: format!("{low} to {high}"),
            });
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use crate::rules::load::from_text;

    #[test]
    fn figures_without_sense_are_refused() {
        for text in
            ["prior_sites = 0", "least_sites = 1", "hours_prior_sd = 0", "least_factor = 2", "greatest_factor = 0.5"]
        {
            let said = from_text(&format!("[learn]\n{text}\n"), "own.toml").unwrap_err().to_string();
            assert!(said.contains("expected") && said.contains("learn."), "{said}");
        }
        assert_eq!(from_text("[learn]\nprior_sites = 20\n", "own.toml").unwrap().learn.prior_sites, 20.0);
    }
}
