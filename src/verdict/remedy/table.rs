//! `remedies.csv`: what can be done about a reason, what it does to the facts, its items, weeks, payer and chance.

use crate::finding::Weeks;
use crate::table::Table;
use std::sync::OnceLock;

/// What a remedy does to the facts.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Change {
    /// The reason goes away when the likely outcome holds.
    Settles,
    /// The cut-out becomes this rating, amperes.
    Cutout(f64),
    /// The operator lays a service that carries this rating, amperes: whatever its policy on fuses of old ones.
    Service(f64),
    /// The operator brings three phases to a home that has one, sized for the load: the reason goes away.
    ThreePhases,
    /// Existing demand proves to be in the middle of its band.
    DemandLikely,
    /// Nothing here settles it.
    Nothing,
}

impl Change {
    /// A larger fuse or service, rather than a better figure of demand.
    pub(super) fn is_supply(self) -> bool {
        matches!(self, Change::Cutout(_) | Change::Service(_) | Change::ThreePhases)
    }

    /// Whether the site has to be judged again with it.
    pub(super) fn changes_facts(self) -> bool {
        matches!(self, Change::Cutout(_) | Change::Service(_) | Change::DemandLikely)
    }

    fn from_words(text: &str) -> Self {
        match text.split_once('=') {
            Some(("cutout", amps)) => amps.parse().map_or(Change::Nothing, Change::Cutout),
            Some(("service", amps)) => amps.parse().map_or(Change::Nothing, Change::Service),
            Some(("phases", "3")) => Change::ThreePhases,
            Some(("demand", "likely")) => Change::DemandLikely,
            _ if text == "settles" => Change::Settles,
            _ => Change::Nothing,
        }
    }
}

/// One row: a remedy for one reason. Rows with the same words for the remedy are one remedy: done and paid once.
#[derive(Debug)]
pub(super) struct Row {
    pub(super) reason: &'static str,
    pub(super) remedy: &'static str,
    /// Place of the first row with these words: the same for all rows of one remedy.
    pub(super) id: usize,
    pub(super) change: Change,
    pub(super) payer: &'static str,
    pub(super) items: &'static str,
    pub(super) weeks: Weeks,
    pub(super) chance: f64,
    pub(super) applies_to: &'static str,
}

/// Every row, in the order of the file.
pub(super) fn rows() -> &'static [Row] {
    static ROWS: OnceLock<Vec<Row>> = OnceLock::new();
    ROWS.get_or_init(|| {
        let mut rows: Vec<Row> = Vec::new();
        for row in Table::of(include_str!("../remedies.csv")).rows() {
            let weeks = |column: &str| row.number(column).map_or(0, |weeks| weeks as u16);
            let remedy = row.kept("remedy");
            rows.push(Row {
                reason: row.kept("reason"),
                remedy,
                id: rows.iter().position(|other| other.remedy == remedy).unwrap_or(rows.len()),
                change: Change::from_words(row.text("change")),
                payer: row.kept("payer"),
                items: row.kept("items"),
                weeks: Weeks { low: weeks("weeks_low"), likely: weeks("weeks_likely"), high: weeks("weeks_high") },
                chance: row.number("chance").unwrap_or(0.5),
                applies_to: row.kept("applies_to"),
            });
        }
        rows
    })
}
