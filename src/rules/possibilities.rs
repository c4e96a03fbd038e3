//! The user's own weights of what a fact may prove to be, laid over the table.

use super::RulesError;
use crate::reference::{Alternatives, Possible, possible};
use std::collections::BTreeMap;
use std::sync::Arc;

/// What facts may prove to be under the rules of a run: the table, or the table with the user's weights.
#[derive(Clone, Debug, Default)]
pub struct Possibilities(Option<Arc<Possible>>);

/// Weights as the rules file writes them: field, condition, value.
type Weights = BTreeMap<String, BTreeMap<String, BTreeMap<String, f64>>>;

impl Possibilities {
    /// The alternatives of a field under a condition; `None` for a pair that the table does not have.
    pub fn of(&self, field: &str, when: &str) -> Option<&Alternatives> {
        self.0.as_deref().unwrap_or_else(|| possible()).get(field)?.get(when)
    }

    /// The table with these weights.
    ///
    /// # Errors
    /// When a field, condition or value is not in the table, or the weights of one condition are no chances that add
    /// to 1.
    pub(super) fn with(weights: &Weights, file: &str) -> Result<Self, RulesError> {
        if weights.is_empty() {
            return Ok(Self(None));
        }
        let mut all = possible().clone();
        for (field, conditions) in weights {
            for (when, values) in conditions {
                let absurd = |found: &str, expected: String| RulesError::Absurd {
                    file: file.to_owned(),
                    key: format!("possible.{field}.{when:?}"),
                    found: found.to_owned(),
                    expected,
                };
                let listed =
                    |words: &mut dyn Iterator<Item = &&'static str>| words.copied().collect::<Vec<&str>>().join(", ");
                let Some(of_field) = all.get_mut(field.as_str()) else {
                    return Err(absurd("weights", format!("a fact of the table: {}", listed(&mut possible().keys()))));
                };
                let known = listed(&mut of_field.keys());
                let Some(entry) = of_field.get_mut(when.as_str()) else {
                    return Err(absurd("weights", format!("a condition of the table: {known}")));
                };
                let named: Vec<&str> = entry.of.iter().map(|alternative| alternative.value).collect();
                if let Some(unknown) = values.keys().find(|value| !named.contains(&value.as_str())) {
                    return Err(absurd(unknown, format!("one of {}", named.join(", "))));
                }
                for alternative in &mut entry.of {
                    alternative.weight = values.get(alternative.value).copied().unwrap_or_default();
                }
                let sum: f64 = entry.of.iter().map(|alternative| alternative.weight).sum();
                let chances = entry.of.iter().all(|alternative| (0.0..=1.0).contains(&alternative.weight));
                if !chances || (sum - 1.0).abs() > 1e-6 {
                    return Err(absurd(
                        &format!("weights that add to {sum}"),
                        "weights from 0 to 1 that add to 1".into(),
                    ));
                }
            }
        }
        Ok(Self(Some(Arc::new(all))))
    }
}

#[cfg(test)]
mod tests {
    use crate::rules::load::from_text;

    fn weight(rules: &crate::rules::Rules, value: &str) -> f64 {
        let entry = rules.alternatives.of("looped_service", "built before 1945").unwrap();
        entry.of.iter().find(|alternative| alternative.value == value).unwrap().weight
    }

    #[test]
    fn own_weights_lie_over_the_table() {
        let rules =
            from_text("[possible.looped_service.\"built before 1945\"]\nno = 0.6\nyes = 0.4\n", "mine").unwrap();
        assert_eq!(weight(&rules, "yes"), 0.4);
        assert_eq!(weight(crate::rules::default_rules(), "yes"), 0.2);
    }

    #[test]
    fn what_the_table_does_not_have_is_named() {
        for (text, said) in [
            ("[possible.loop.\"built before 1945\"]\nno = 1\n", "a fact of the table"),
            ("[possible.looped_service.\"built in 1900\"]\nno = 1\n", "a condition of the table"),
            ("[possible.looped_service.\"built before 1945\"]\nperhaps = 1\n", "one of no, yes"),
            ("[possible.looped_service.\"built before 1945\"]\nno = 0.6\nyes = 0.6\n", "add to 1"),
        ] {
            let fault = from_text(text, "mine.toml").unwrap_err().to_string();
            assert!(fault.contains(said) && fault.contains("mine.toml"), "{fault}");
        }
    }
}
