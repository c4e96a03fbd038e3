//! Chances of what nobody has looked at (`priors.csv`): for ranking and odds only, never for a verdict.

use crate::table::Table;
use std::collections::BTreeMap;
use std::sync::OnceLock;

/// The chance of a fact under a condition, both spelt as in the table; 0.5 for a pair that is not there, which a test
/// excludes for every pair in use.
pub fn chance(fact: &str, when: &str) -> f64 {
    static TABLE: OnceLock<BTreeMap<(&'static str, &'static str), f64>> = OnceLock::new();
    TABLE
        .get_or_init(|| {
            Table::of(include_str!("tables/priors.csv"))
                .rows()
                .map(|row| ((row.kept("fact"), row.kept("when")), row.needed("chance")))
                .collect()
        })
        .get(&(fact, when))
        .copied()
        .unwrap_or(0.5)
}
