//! `checks.csv`: title, clause, source and formula of every check.

use super::Finding;
use crate::quantity::round_to;
use crate::table::{Named, Table};
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
    /// The same formula in the trade's symbols; empty where the check compares without reckoning.
    pub expression: &'static str,
    /// What has to be measured on site before energising; set for every check whose failure could hurt someone.
    pub measure: &'static str,
    /// Position in the table: the order in which a designer works.
    pub position: usize,
}

fn table() -> &'static Named<Check> {
    static TABLE: OnceLock<Named<Check>> = OnceLock::new();
    TABLE.get_or_init(|| {
        let table = Table::of(include_str!("checks.csv"));
        let checks = table.rows().enumerate().map(|(position, row)| {
            let name = row.kept("check");
            (
                name,
                Check {
                    name,
                    part: row.kept("part"),
                    title: row.kept("title"),
                    clause: row.kept("clause"),
                    edition: row.kept("edition"),
                    source: row.kept("source"),
                    status: row.kept("status"),
                    unit: row.kept("unit"),
                    places: row.number("places").map_or(2, |places| places as u32),
                    limit_is_least: row.text("limit_is") == "least",
                    formula: row.kept("formula"),
                    expression: row.kept("expression"),
                    measure: row.kept("measure"),
                    position,
                },
            )
        });
        checks.collect()
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
    // A test holds that the table has the check of a missing fact.
    table.get(name).or_else(|| table.get("unsettled-fact")).expect("a check of a missing fact")
}

impl Check {
    /// The formula with a finding's numbers put in. Terms are shown to four significant figures, so that a reader can
    /// follow the sum with a pocket calculator; value and limit to the places of the check.
    pub fn fill_formula(&self, finding: &Finding) -> String {
        let mut text = String::with_capacity(self.formula.len() + 32);
        let mut rest = self.formula;
        while let Some((before, after)) = rest.split_once('{') {
            text.push_str(before);
            let Some((name, tail)) = after.split_once('}') else {
                rest = after;
                break;
            };
            match name {
                "value" => push_shown(&mut text, finding.value, self.places),
                "limit" => push_shown(&mut text, finding.limit, self.places),
                "subject" => text.push_str(finding.subject),
                index => {
                    if let Some(term) = index.parse::<usize>().ok().and_then(|index| finding.terms.get(index)) {
                        push_number(&mut text, *term, places_of(*term));
                    }
                }
            }
            rest = tail;
        }
        text.push_str(rest);
        text
    }
}

fn push_shown(text: &mut String, number: Option<f64>, places: u32) {
    match number {
        Some(number) => push_number(text, number, places),
        None => text.push('?'),
    }
}

/// Decimal places that show four significant figures, four places at most.
fn places_of(number: f64) -> u32 {
    match number.abs() {
        large if large >= 1000.0 => 0,
        large if large >= 100.0 => 1,
        middle if middle >= 10.0 => 2,
        middle if middle >= 1.0 => 3,
        _ => 4,
    }
}

/// A number to `places` decimal places, without needless zeros.
fn push_number(text: &mut String, number: f64, places: u32) {
    use std::fmt::Write;
    let start = text.len();
    // Writing to a String cannot fail.
    let _ = write!(text, "{:.*}", places as usize, round_to(number, places));
    if text[start..].contains('.') {
        let kept = text.trim_end_matches('0').trim_end_matches('.').len();
        text.truncate(kept);
    }
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

    #[test]
    fn numbers_have_four_figures_and_no_needless_zeros() {
        for (number, shown) in
            [(13.5294, "13.53"), (0.35, "0.35"), (1667.0, "1667"), (32.0, "32"), (0.17904, "0.179"), (120.04, "120")]
        {
            let mut text = String::from("10");
            push_number(&mut text, number, places_of(number));
            assert_eq!(text, format!("10{shown}"));
        }
    }
}
