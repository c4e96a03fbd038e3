//! What a site may prove to be: its verdict over every way in which its open facts may be settled, with the weights of
//! those ways. Odds, decisive facts, the worth of an answer and the portfolio's band are all read off it.

mod given;
mod split;
mod swings;
#[cfg(test)]
mod tests;
mod ways;

pub use given::Known;
pub(super) use swings::swings;
pub use swings::{Swing, SwingEnd};
pub use ways::{Answers, Ways};

use super::types::Odds;
use crate::design::Facts;
use crate::finding::Effect;
use crate::possible::{Open, OpenFact, open, told};
use crate::rules::Rules;
use crate::site::{Site, Verdict};
use jiff::civil::Date;

/// Ways of settling the open facts that all come to one verdict: for each fact, in the order of the outlook's, the
/// alternatives from one up to another.
#[derive(Clone, Debug)]
struct Leaf {
    verdict: Verdict,
    ranges: Box<[(u8, u8)]>,
}

/// The verdicts of one site over its open facts.
#[derive(Clone, Debug, Default)]
pub struct Outlook {
    open: Open,
    leaves: Vec<Leaf>,
    /// Verdicts that had to be worked out.
    looked_at: usize,
    age: &'static str,
    told: Vec<(&'static str, &'static str)>,
}

/// What a site is judged with here: no price bears on it, and no stance, because in a world every fact is known.
#[derive(Clone, Copy)]
pub(super) struct Judged<'a> {
    pub(super) site: &'a Site,
    pub(super) rules: &'a Rules,
    pub(super) as_of: Date,
    /// What is found whatever the open facts prove to be.
    pub(super) floor: Effect,
}

impl Outlook {
    /// The outlook of a site whose most likely facts (before anything in doubt was settled) are `likely`.
    pub(super) fn of(judged: &Judged<'_>, likely: &Facts) -> Self {
        let open = open(judged.site, likely, judged.rules);
        let (leaves, looked_at) = split::split(judged, likely, &open);
        let (age, told) = told(judged.site, likely, judged.rules);
        Self { open, leaves, looked_at, age, told }
    }

    /// Chance of each verdict once every open fact is settled.
    pub fn odds(&self) -> Odds {
        self.odds_where(&[])
    }

    /// The open facts, in the order of the survey.
    pub fn open_facts(&self) -> &[OpenFact] {
        &self.open.facts
    }

    /// All ways of settling the open facts in parts of one verdict each: for each fact, in their order, the alternatives
    /// from one up to another. No weight bears on them.
    pub fn parts(&self) -> impl Iterator<Item = (Verdict, &[(u8, u8)])> {
        self.leaves.iter().map(|leaf| (leaf.verdict, &*leaf.ranges))
    }

    /// Years of building that are possible, with weights; one of weight 1 where it is known.
    pub fn years(&self) -> &[(Option<f64>, f64)] {
        &self.open.years
    }

    /// The age of the building, in the words of the table of possible facts.
    pub fn age(&self) -> &'static str {
        self.age
    }

    /// What was seen of facts that homes of one street and age share: survey field and value.
    pub fn told(&self) -> &[(&'static str, &'static str)] {
        &self.told
    }

    /// Verdicts that had to be worked out for it.
    pub fn looked_at(&self) -> usize {
        self.looked_at
    }
}
