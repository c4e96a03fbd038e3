//! When a network operator is told: the policy of dates on the schedules. It knows no site and no calendar.

use super::{Rules, RulesError};
use serde::{Deserialize, Serialize};

/// Dates of the operators' schedules.
#[derive(Clone, Debug, Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
#[allow(missing_docs)] // each line of rules.toml says what it is
pub struct OperatorDates {
    pub weeks_after_acceptance: u16,
    pub notify_within_days: u16,
}

/// The most weeks after acceptance that make sense.
const MOST_WEEKS: u16 = 156;
/// The longest that the operators' process lets a notice wait (R1).
const LATEST_NOTICE_DAYS: u16 = 28;

/// Whether the dates make sense; a notice is never later than the operators' process has it.
pub(super) fn check_operator(rules: &Rules, file: &str) -> Result<(), RulesError> {
    let OperatorDates { weeks_after_acceptance, notify_within_days } = rules.operator;
    if weeks_after_acceptance > MOST_WEEKS {
        return Err(RulesError::Absurd {
            file: file.into(),
            key: "operator.weeks_after_acceptance".into(),
            found: weeks_after_acceptance.to_string(),
            expected: format!("0 to {MOST_WEEKS} weeks"),
        });
    }
    if !(1..=LATEST_NOTICE_DAYS).contains(&notify_within_days) {
        return Err(RulesError::Absurd {
            file: file.into(),
            key: "operator.notify_within_days".into(),
            found: notify_within_days.to_string(),
            expected: format!("1 to {LATEST_NOTICE_DAYS} days, the longest that the operators' process allows"),
        });
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use crate::rules::{default_rules, load::from_text};

    #[test]
    fn a_notice_may_be_earlier_and_never_later_than_the_process_has_it() {
        let with = |line: &str| from_text(&format!("[operator]\n{line}\n"), "mine.toml");
        assert_eq!(default_rules().operator.notify_within_days, 28);
        assert_eq!(with("notify_within_days = 14").unwrap().operator.notify_within_days, 14);
        for line in [
            "notify_within_days = 29",
            "notify_within_days = 0",
            "notify_within_days = -1",
            "weeks_after_acceptance = 157",
            "weeks_after_acceptance = 1.5",
            "weeks_after = 8",
        ] {
            let said = with(line).unwrap_err().to_string();
            assert!(said.contains("mine.toml") && !said.is_empty(), "{said}");
        }
        assert!(with("notify_within_days = 29").unwrap_err().to_string().contains("expected 1 to 28 days"));
    }
}
