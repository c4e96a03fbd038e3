//! `checks.csv`: title, clause, source and formula of every check.

use super::Finding;
use crate::quantity::round_to;
use std::collections::BTreeMap;
use std::sync::OnceLock;

/// One row of `checks.csv`.
#[derive(Debug, PartialEq)]
pub struct Check {
    /// Name, as it stands in results.
    pub name: &'static str,
    /// Room of the calculation it belongs to: demand, supply, circuit, earthing, place, shared, evidence.
    pub part: &'static str,
    /// A few words for a row heading.
    pub title: &'static str,
    /// Clause of the wiring regulations or of the operators' process.
    pub clause: &'static str,
    /// Edition or document the clause was taken from.
    pub edition: &'static str,
    /// Published source.
    pub source: &'static str,
    /// How well it is known: print, second-hand, derived, memory, common practice, design rule.
    pub status: &'static str,
    /// Unit of value and limit.
    pub unit: &'static str,
    /// Decimal places shown.
    pub places: u32,
    /// Whether the limit is the least allowed (current-carrying capacity) rather than the most.
    pub limit_is_least: bool,
    /// The formula; `{0}` to `{5}` are the finding's terms, `{value}`, `{limit}` and `{subject}` its own.
    pub formula: &'static str,
    /// Position in the table: the order in which a designer works.
    pub position: usize,
}

fn table() -> &'static BTreeMap<&'static str, Check> {
    static TABLE: OnceLock<BTreeMap<&'static str, Check>> = OnceLock::new();
    TABLE.get_or_init(|| {
        let mut table = BTreeMap::new();
        let mut reader = csv::Reader::from_reader(include_str!("checks.csv").as_bytes());
        for (position, record) in reader.records().flatten().enumerate() {
            let cell = |index: usize| -> &'static str {
                Box::leak(record.get(index).unwrap_or_default().to_owned().into_boxed_str())
            };
            table.insert(
                cell(0),
                Check {
                    name: cell(0),
                    part: cell(1),
                    title: cell(2),
                    clause: cell(3),
                    edition: cell(4),
                    source: cell(5),
                    status: cell(6),
                    unit: cell(7),
                    places: cell(8).parse().unwrap_or(2),
                    limit_is_least: cell(9) == "least",
                    formula: cell(10),
                    position,
                },
            );
        }
        table
    })
}

/// Every check, in working order.
pub fn checks() -> Vec<&'static Check> {
    let mut all: Vec<_> = table().values().collect();
    all.sort_by_key(|check| check.position);
    all
}

/// The check with this name; a name that is not in the table (a fault of ours that a test catches) is answered by
/// the general check of a missing fact.
pub fn check(name: &str) -> &'static Check {
    let table = table();
    table.get(name).unwrap_or_else(|| &table["unsettled-fact"])
}

impl Check {
    /// The formula with a finding's numbers put in. Numbers are shown to four significant places at most, so that a
    /// reader can follow the sum with a pocket calculator.
    pub fn fill_formula(&self, finding: &Finding) -> String {
        let mut text = self.formula.to_owned();
        for (index, term) in finding.terms.iter().enumerate() {
            let mark = format!("{{{index}}}");
            if text.contains(&mark) {
                text = text.replace(&mark, &plain(*term));
            }
        }
        let shown = |number: Option<f64>| number.map_or_else(|| "?".to_owned(), |n| plain(round_to(n, self.places)));
        text.replace("{value}", &shown(finding.value))
            .replace("{limit}", &shown(finding.limit))
            .replace("{subject}", finding.subject)
    }
}

/// A number without needless zeros, four decimal places at most.
fn plain(number: f64) -> String {
    let text = format!("{:.4}", round_to(number, 4));
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_check_says_where_it_comes_from() {
        for check in checks() {
            assert!(!check.title.is_empty() && !check.source.is_empty() && !check.status.is_empty(), "{}", check.name);
        }
    }

    #[test]
    fn formulas_are_filled_with_the_numbers_of_the_finding() {
        let finding = Finding::new("voltage-drop").at_most(11.123, 11.5).terms(&[7.9, 32.0, 44.0]);
        assert!(finding.working().contains("7.9"), "{}", finding.working());
        assert!(!finding.working().contains('{'), "{}", finding.working());
    }
}
