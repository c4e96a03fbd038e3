//! Ways out: the cheapest and the quickest set of remedies that turns a site ready (`remedies.csv`).
//!
//! Every reason that stops or holds needs one remedy. A remedy that changes a fact (a larger fuse, measured demand) is
//! offered only when the site, judged again with it, is no longer stopped or held by its design.

use super::types::{Remedy, RemedyKind};
use super::unknowns::{verdict_for, with_demand};
use crate::design::Facts;
use crate::estimate::{ItemIndex, PriceBook, combine_costs, price_items};
use crate::finding::{Effect, Finding, Weeks};
use crate::quantity::CostBand;
use crate::rules::Rules;
use crate::site::Verdict;
use std::sync::OnceLock;

/// What a remedy does to the facts.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Change {
    /// The reason goes away when the likely outcome holds.
    Settles,
    /// The cut-out becomes this rating, amperes.
    Cutout(f64),
    /// Existing demand proves to be its likely value.
    DemandLikely,
    /// Nothing here settles it.
    Nothing,
}

/// One row of `remedies.csv`.
struct Row {
    reason: &'static str,
    remedy: &'static str,
    change: Change,
    payer: &'static str,
    items: &'static str,
    weeks: Weeks,
    chance: f64,
    applies_to: &'static str,
}

fn rows() -> &'static [Row] {
    static ROWS: OnceLock<Vec<Row>> = OnceLock::new();
    ROWS.get_or_init(|| {
        csv::Reader::from_reader(include_str!("remedies.csv").as_bytes())
            .records()
            .flatten()
            .map(|record| {
                let cell = |index: usize| -> &'static str {
                    Box::leak(record.get(index).unwrap_or_default().to_owned().into_boxed_str())
                };
                let weeks = |index: usize| cell(index).parse().unwrap_or(0);
                Row {
                    reason: cell(0),
                    remedy: cell(1),
                    change: match cell(2).split_once('=') {
                        Some(("cutout", amps)) => amps.parse().map_or(Change::Nothing, Change::Cutout),
                        Some(("demand", "likely")) => Change::DemandLikely,
                        _ if cell(2) == "settles" => Change::Settles,
                        _ => Change::Nothing,
                    },
                    payer: cell(3),
                    items: cell(4),
                    weeks: Weeks { low: weeks(5), likely: weeks(6), high: weeks(7) },
                    chance: cell(8).parse().unwrap_or(0.5),
                    applies_to: cell(11),
                }
            })
            .collect()
    })
}

/// What the ways out are looked for with.
pub(super) struct Situation<'a> {
    pub(super) facts: &'a Facts,
    pub(super) rules: &'a Rules,
    pub(super) prices: &'a PriceBook,
    /// Largest cut-out the operator's policy allows a home, amperes.
    pub(super) fuse_policy_a: Option<f64>,
}

impl Situation<'_> {
    fn offers(&self, row: &Row) -> bool {
        let home = self.facts.premises.is_home();
        let here = match row.applies_to {
            "home" => home,
            "site" => !home,
            _ => true,
        };
        here && match row.change {
            Change::Settles => true,
            Change::Nothing => false,
            Change::Cutout(amps) => {
                let allowed = self.fuse_policy_a.is_none_or(|policy_a| amps <= policy_a);
                let larger = Facts { cutout_a: amps, ..self.facts.clone() };
                allowed && amps > self.facts.cutout_a && verdict_for(&larger, self.rules) == Verdict::Ready
            }
            Change::DemandLikely => {
                let measured = with_demand(self.facts, self.facts.demand.band_a.likely);
                verdict_for(&measured, self.rules) == Verdict::Ready
            }
        }
    }
}

/// The cheapest and the quickest set for these findings; one entry when they are the same, none when some reason has
/// no way out.
pub(super) fn ways_out(findings: &[Finding], situation: &Situation<'_>) -> Vec<Remedy> {
    let mut reasons: Vec<&'static str> = Vec::new();
    for finding in findings.iter().filter(|finding| finding.effect >= Effect::Holds) {
        if let Some(code) = finding.code().filter(|code| !reasons.contains(code)) {
            reasons.push(code);
        }
    }
    if reasons.is_empty() {
        return Vec::new();
    }
    let mut options: Vec<Vec<(&Row, CostBand, Vec<(ItemIndex, f64)>)>> = Vec::new();
    for reason in &reasons {
        let offered: Vec<_> = rows()
            .iter()
            .filter(|row| row.reason == *reason && situation.offers(row))
            .filter_map(|row| {
                let items = situation.prices.parse_items(row.items).ok()?;
                Some((row, price_items(&items, situation.prices), items))
            })
            .collect();
        if offered.is_empty() {
            return Vec::new();
        }
        options.push(offered);
    }
    let cheapest = set(&options, situation, RemedyKind::Cheapest);
    let quickest = set(&options, situation, RemedyKind::Quickest);
    if cheapest.set == quickest.set { vec![cheapest] } else { vec![cheapest, quickest] }
}

type Options<'a> = Vec<Vec<(&'a Row, CostBand, Vec<(ItemIndex, f64)>)>>;

fn set(options: &Options<'_>, situation: &Situation<'_>, kind: RemedyKind) -> Remedy {
    let mut chosen: Vec<&(&Row, CostBand, Vec<(ItemIndex, f64)>)> = Vec::new();
    for offered in options {
        let best = offered.iter().min_by_key(|(row, cost, _)| match kind {
            RemedyKind::Cheapest => (cost.likely.0, i64::from(row.weeks.likely)),
            RemedyKind::Quickest => (i64::from(row.weeks.likely), cost.likely.0),
        });
        // One photograph answers several questions: the same remedy is done and paid once.
        chosen.extend(best.filter(|best| !chosen.iter().any(|other| other.0.remedy == best.0.remedy)));
    }
    let mut payers: Vec<&str> = Vec::new();
    for (row, ..) in &chosen {
        if !payers.contains(&row.payer) {
            payers.push(row.payer);
        }
    }
    Remedy {
        set: chosen.iter().map(|(row, ..)| row.remedy).collect(),
        cost: combine_costs(chosen.iter().map(|(_, cost, _)| *cost), situation.prices),
        weeks: chosen.iter().map(|(row, ..)| row.weeks).fold(Weeks::default(), Weeks::beside),
        payer: payers.join(" and "),
        kind,
        chance: chosen.iter().map(|(row, ..)| row.chance).product(),
    }
}
