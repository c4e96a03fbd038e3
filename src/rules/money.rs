//! The policy of money: tax, what moves prices away from the price book, what is added to a bid.

use super::{Rules, RulesError};
use serde::{Deserialize, Serialize};

/// What moves prices away from the price book.
#[derive(Clone, Debug, Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
#[allow(missing_docs)] // each line of rules.toml says what it is
pub struct PriceRules {
    pub materials_percent_a_year: f64,
    pub labour_percent_a_year: f64,
    #[serde(default)]
    pub region: Vec<Region>,
}

/// Postcode areas where labour or materials cost more or less than in the price book.
#[derive(Clone, Debug, Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
#[allow(missing_docs)]
pub struct Region {
    pub name: String,
    pub postcode_areas: Vec<String>,
    pub labour: f64,
    pub materials: f64,
}

impl PriceRules {
    /// The region of a postcode: the first that names its area.
    pub fn region(&self, postcode: &str) -> Option<&Region> {
        let letters = postcode.trim().bytes().take_while(u8::is_ascii_alphabetic).count();
        let area = postcode.trim().get(..letters).filter(|area| !area.is_empty())?;
        self.region.iter().find(|region| region.postcode_areas.iter().any(|own| own.eq_ignore_ascii_case(area)))
    }
}

/// What is added to direct cost in a bid, in the order in which it is added.
#[derive(Clone, Debug, Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
#[allow(missing_docs)]
pub struct BidRules {
    pub preliminaries_percent: f64,
    pub risk_percentile: f64,
    pub overhead_percent: f64,
    pub profit_percent: f64,
}

/// What counts as moved where scenarios stand side by side.
#[derive(Clone, Debug, Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
#[allow(missing_docs)]
pub struct ScenarioRules {
    pub moved_cost_percent: f64,
}

impl Rules {
    /// Rate of value-added tax for this kind of premises (its word in the survey), per cent.
    pub fn vat_percent(&self, premises: &str) -> f64 {
        self.policy.vat_percent_by_premises.get(premises).copied().unwrap_or(self.policy.vat_percent)
    }
}

/// Whether every figure of money makes sense.
pub(super) fn check_money(rules: &Rules, file: &str) -> Result<(), RulesError> {
    const PREMISES: [&str; 5] = ["house", "flat", "block", "workplace", "depot"];
    let absurd = |key: String, found: String, expected: &str| {
        Err(RulesError::Absurd { file: file.into(), key, found, expected: expected.into() })
    };
    for (premises, percent) in &rules.policy.vat_percent_by_premises {
        let key = format!("policy.vat_percent_by_premises.{premises}");
        if !PREMISES.contains(&premises.as_str()) {
            return absurd(key, percent.to_string(), &format!("one of {}", PREMISES.join(", ")));
        }
        if !(0.0..=100.0).contains(percent) {
            return absurd(key, percent.to_string(), "0 to 100");
        }
    }
    let (price, bid) = (&rules.price, &rules.bid);
    for (key, found, low, high) in [
        ("policy.vat_percent", rules.policy.vat_percent, 0.0, 100.0),
        ("price.materials_percent_a_year", price.materials_percent_a_year, -20.0, 50.0),
        ("price.labour_percent_a_year", price.labour_percent_a_year, -20.0, 50.0),
        ("bid.preliminaries_percent", bid.preliminaries_percent, 0.0, 100.0),
        ("bid.overhead_percent", bid.overhead_percent, 0.0, 100.0),
        ("bid.profit_percent", bid.profit_percent, 0.0, 100.0),
        ("bid.risk_percentile", bid.risk_percentile, 50.0, 99.0),
        ("scenario.moved_cost_percent", rules.scenario.moved_cost_percent, 0.0, 100.0),
        ("survey.settled_share", rules.survey.settled_share, 0.5, 1.0),
        ("survey.least_gain", rules.survey.least_gain, 0.0, 1.0),
    ] {
        if !(low..=high).contains(&found) {
            return absurd(key.into(), found.to_string(), &format!("{low} to {high}"));
        }
    }
    for region in &rules.price.region {
        for (word, factor) in [("labour", region.labour), ("materials", region.materials)] {
            if !(0.5..=3.0).contains(&factor) {
                let key = format!("price.region \"{}\" {word}", region.name);
                return absurd(key, factor.to_string(), "0.5 to 3");
            }
        }
        if region.postcode_areas.is_empty() {
            let key = format!("price.region \"{}\" postcode_areas", region.name);
            return absurd(key, "nothing".into(), "the letters that postcodes there begin with");
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use crate::rules::default_rules;

    #[test]
    fn a_postcode_belongs_to_the_first_region_that_names_its_area() {
        let price = &default_rules().price;
        assert_eq!(price.region("SW1A 1AA").map(|region| region.name.as_str()), Some("London"));
        assert_eq!(price.region("n1 9gu").map(|region| region.labour), Some(1.2));
        for elsewhere in ["NE1 4XD", "QX4 7LP", "", "12"] {
            assert!(price.region(elsewhere).is_none(), "{elsewhere}");
        }
    }

    #[test]
    fn tax_goes_by_premises_where_the_rules_say_so() {
        let mut rules = default_rules().clone();
        assert_eq!(rules.vat_percent("house"), 20.0);
        rules.policy.vat_percent_by_premises.insert("house".into(), 5.0);
        assert_eq!((rules.vat_percent("house"), rules.vat_percent("depot")), (5.0, 20.0));
    }

    #[test]
    fn figures_without_sense_are_refused() {
        let with = |text: &str| crate::rules::load::from_text(text, "own.toml");
        for text in [
            "[bid]\nrisk_percentile = 0.8\n",
            "[scenario]\nmoved_cost_percent = -1\n",
            "[survey]\nsettled_share = 95\n",
            "[survey]\nleast_gain = -0.1\n",
            "[policy.vat_percent_by_premises]\nshed = 20\n",
            "[policy.vat_percent_by_premises]\nhouse = 120\n",
            "[[price.region]]\nname = \"x\"\npostcode_areas = []\nlabour = 1\nmaterials = 1\n",
            "[[price.region]]\nname = \"x\"\npostcode_areas = [\"QX\"]\nlabour = 10\nmaterials = 1\n",
        ] {
            let said = with(text).unwrap_err().to_string();
            assert!(said.contains("expected"), "{said}");
        }
    }
}
