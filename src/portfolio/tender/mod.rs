//! What belongs beside a bid: questions whose answers move the price, what is left out, and grants that may be had. It
//! knows no sheet; words are data (`questions.csv`, `exclusions.csv`, `grants.csv`).

mod grants;

pub use grants::{GrantSum, grants};

use super::{Bid, Ranked};
use crate::estimate::Estimate;
use crate::quantity::Pence;
use crate::table::{Row, Table};
use std::sync::OnceLock;

const QUESTIONS: &str = include_str!("questions.csv");
const EXCLUSIONS: &str = include_str!("exclusions.csv");

/// A question to the client: a fact that the price hangs on and nobody stated, or that no survey tells.
#[derive(Clone, Debug, PartialEq)]
pub struct Question {
    /// Survey field; empty where no column of the survey tells.
    pub field: &'static str,
    /// In a sentence.
    pub question: &'static str,
    /// Whether it is asked where the field is assumed; else wherever what hangs on it is priced.
    pub where_assumed: bool,
    /// Sites of the bid where it is asked.
    pub sites: u32,
    /// Likely cost there of what hangs on it.
    pub hangs_on_it: Pence,
}

/// Something that the bid leaves out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Exclusion {
    /// In a sentence.
    pub text: &'static str,
    /// Sites of the bid that it touches.
    pub sites: u32,
}

/// A row of the table of questions.
struct Asked {
    field: &'static str,
    question: &'static str,
    /// How the codes of the items begin that hang on it, parted by strokes.
    items: &'static str,
    /// Only where the field is assumed; else wherever such items are priced.
    where_assumed: bool,
}

fn asked() -> &'static [Asked] {
    static ASKED: OnceLock<Vec<Asked>> = OnceLock::new();
    let read = |row: Row<'_>| Asked {
        field: row.kept("field"),
        question: row.kept("question"),
        items: row.kept("items"),
        where_assumed: row.text("asked") == "assumed",
    };
    ASKED.get_or_init(|| Table::of(QUESTIONS).rows().map(read).collect())
}

/// The table of exclusions: where each applies, and its text.
fn excluded() -> &'static [(&'static str, &'static str)] {
    static EXCLUDED: OnceLock<Vec<(&str, &str)>> = OnceLock::new();
    let read = |row: Row<'_>| (row.kept("where"), row.kept("text"));
    EXCLUDED.get_or_init(|| Table::of(EXCLUSIONS).rows().map(read).collect())
}

/// Questions to ask, the dearest first; of equals in the order of the table.
pub fn questions(sites: &[Ranked], bid: &Bid) -> Vec<Question> {
    let mut questions: Vec<Question> = Vec::new();
    for Asked { field, question, items, where_assumed } in asked() {
        let where_assumed = *where_assumed;
        let mut question = Question { field, question, where_assumed, sites: 0, hangs_on_it: Pence(0) };
        for (site, estimate) in priced(sites, bid) {
            if !where_assumed || site.judgement.assumed.iter().any(|assumed| assumed.field == *field) {
                let cost = cost_of(estimate, items);
                question.sites += u32::from(cost.0 > 0);
                question.hangs_on_it = question.hangs_on_it + cost;
            }
        }
        if question.sites > 0 {
            questions.push(question);
        }
    }
    questions.sort_by_key(|question| std::cmp::Reverse(question.hangs_on_it));
    questions
}

/// What the bid leaves out, in the order of the table.
pub fn exclusions(sites: &[Ranked], bid: &Bid) -> Vec<Exclusion> {
    let touched = |place: &str| -> u32 {
        let touches = |(site, estimate): &(&Ranked, &Estimate)| match place.split_once(':') {
            Some(("item", item)) => lines(estimate).any(|(code, _)| code.starts_with(item)),
            Some(("reason", code)) => site.judgement.reasons.iter().any(|reason| reason.code == code),
            _ => true,
        };
        u32::try_from(priced(sites, bid).filter(touches).count()).unwrap_or(u32::MAX)
    };
    let all = excluded().iter().map(|(place, text)| Exclusion { text, sites: touched(place) });
    all.filter(|exclusion| exclusion.sites > 0).collect()
}

/// The sites of a bid with their estimates.
fn priced<'a>(sites: &'a [Ranked], bid: &'a Bid) -> impl Iterator<Item = (&'a Ranked, &'a Estimate)> {
    bid.sites.iter().filter_map(|own| {
        let site = sites.get(own.at)?;
        Some((site, site.judgement.estimate.as_ref()?))
    })
}

/// Item and likely cost of every line of an estimate.
fn lines(estimate: &Estimate) -> impl Iterator<Item = (&'static str, Pence)> + '_ {
    let bill = estimate.bill.iter().map(|line| (line.item, line.cost.likely));
    bill.chain(estimate.tasks.iter().map(|line| (line.task, line.cost.likely)))
}

/// Likely cost of the lines whose item begins with one of these, parted by strokes.
fn cost_of(estimate: &Estimate, beginnings: &str) -> Pence {
    let hangs = |code: &str| beginnings.split('|').any(|beginning| code.starts_with(beginning));
    lines(estimate).filter(|(code, _)| hangs(code)).map(|(_, cost)| cost).sum()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::estimate::PriceBook;
    use crate::finding::reasons;
    use crate::site::fields;

    #[test]
    fn tables_name_what_there_is() {
        let book = PriceBook::default_book();
        let known = |beginning: &str| book.items().iter().any(|item| item.code.starts_with(beginning));
        let questions = Table::of(QUESTIONS);
        assert_eq!(questions.rows().count(), 23);
        for row in questions.rows() {
            let field = row.text("field");
            let priced = row.text("asked") == "priced";
            assert!(priced || row.text("asked") == "assumed", "{field}");
            let is_field = fields().iter().any(|known| known.name == field);
            assert!(is_field || (priced && field.is_empty()), "{field}");
            for item in row.text("items").split('|') {
                assert!(known(item), "{field}: {item}");
            }
        }
        let exclusions = Table::of(EXCLUSIONS);
        assert_eq!(exclusions.rows().count(), 13);
        for row in exclusions.rows() {
            let found = match row.text("where").split_once(':') {
                Some(("item", item)) => known(item),
                Some(("reason", code)) => reasons().into_iter().any(|reason| reason.code == code),
                _ => row.text("where") == "always",
            };
            assert!(found, "{}", row.text("where"));
        }
    }
}
