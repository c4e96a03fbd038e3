//! What is left of an outlook as answers come in: the ways that an answer leaves, one fact after another, without
//! looking at any way by itself.
//!
//! Alternatives that no verdict tells apart are one answer, so that a band of 32 cells whose verdict turns once has two.

use super::Outlook;
use crate::site::Verdict;
use std::collections::BTreeMap;

/// The answers to each open fact of an outlook; the place after the last stands for the year of building.
#[derive(Clone, Debug)]
pub struct Answers<'a> {
    outlook: &'a Outlook,
    /// For each place the alternatives from one up to another that are one answer.
    classes: Vec<Vec<(u8, u8)>>,
    /// For each place whether a verdict turns on it.
    bears: Vec<bool>,
}

/// What tells ways apart: their verdict, their year, and their alternatives of the facts asked about.
type Apart = (Verdict, u32, Vec<(u8, u8)>);

/// Ways of settling everything that is open, as far as some answers leave them.
#[derive(Clone, Debug)]
pub struct Ways {
    /// Leaf, year and probability; none that is 0.
    parts: Vec<(u32, u32, f64)>,
    /// Probability of each verdict.
    verdicts: [f64; 3],
}

impl Ways {
    /// Probability of all of them.
    pub fn chance(&self) -> f64 {
        self.verdicts.iter().sum()
    }

    /// Probability of those with the verdict that most of them have.
    pub fn leading(&self) -> f64 {
        self.verdicts.iter().copied().fold(0.0, f64::max)
    }

    /// The same ways with another probability of all.
    pub fn weighing(&self, chance: f64) -> Ways {
        let now = self.chance();
        let times = if now > 0.0 { chance / now } else { 0.0 };
        let parts = self.parts.iter().map(|(leaf, year, part)| (*leaf, *year, part * times)).collect();
        Ways { parts, verdicts: self.verdicts.map(|verdict| verdict * times) }
    }
}

impl<'a> Answers<'a> {
    /// The answers to what is open in `outlook`.
    pub fn of(outlook: &'a Outlook) -> Self {
        let facts = &outlook.open.facts;
        let several_years = outlook.open.years.len() > 1;
        let mut bears = vec![false; facts.len() + 1];
        for leaf in &outlook.leaves {
            for ((bears, fact), (from, to)) in bears.iter_mut().zip(facts).zip(leaf.ranges.iter()) {
                *bears |= *from > 0 || *to < fact.count();
            }
        }
        let on_year = several_years && facts.iter().zip(&bears).any(|(fact, bears)| *bears && fact.by_year());
        if let Some(year) = bears.last_mut() {
            *year = on_year;
        }
        let mut classes: Vec<Vec<(u8, u8)>> = facts
            .iter()
            .enumerate()
            .map(|(place, fact)| {
                let tells_the_year = fact.by_year() && on_year;
                let mut ends: Vec<u8> = match tells_the_year {
                    true => (1..=fact.count()).collect(),
                    false => {
                        outlook.leaves.iter().filter_map(|leaf| leaf.ranges.get(place)).map(|(_, to)| *to).collect()
                    }
                };
                ends.push(fact.count());
                ends.sort_unstable();
                ends.dedup();
                let froms = std::iter::once(0).chain(ends.iter().copied());
                froms.zip(ends.iter().copied()).collect()
            })
            .collect();
        let years = u8::try_from(outlook.open.years.len()).unwrap_or(u8::MAX);
        classes.push(if on_year { (0..years).map(|year| (year, year + 1)).collect() } else { vec![(0, years)] });
        Self { outlook, classes, bears }
    }

    /// Whether a verdict turns on the fact of this place.
    pub fn bears(&self, place: usize) -> bool {
        self.bears.get(place).copied().unwrap_or_default()
    }

    /// Whether its answer could change any chance: a verdict turns on it, or it tells the age that others go by.
    pub fn tells(&self, place: usize) -> bool {
        self.classes.get(place).is_some_and(|classes| classes.len() > 1)
    }

    /// Every way, before anything is answered.
    pub fn all(&self) -> Ways {
        let open = &self.outlook.open;
        let years = (0..).zip(&open.years);
        let parts = years.flat_map(|(year, (_, of_year))| {
            (0..).zip(&self.outlook.leaves).map(move |(leaf, found)| {
                let facts = open.facts.iter().zip(found.ranges.iter());
                let of_leaf: f64 = facts.map(|(fact, (from, to))| fact.weight(*from, *to, year as usize)).product();
                (leaf, year, of_year * of_leaf)
            })
        });
        self.ways(parts)
    }

    /// The same for those who ask about these places alone: ways that no answer of theirs tells apart are one, which
    /// leaves few.
    pub fn told_apart_by(&self, all: &Ways, places: &[usize]) -> Ways {
        // Of few ways each is sooner looked at than held against the others.
        const FEW: usize = 96;
        if all.parts.len() <= FEW {
            return all.clone();
        }
        let open = &self.outlook.open;
        let by_year = |place: &usize| open.facts.get(*place).is_none_or(|fact| fact.by_year());
        let years_count = places.iter().any(by_year);
        let mut apart: BTreeMap<Apart, (u32, f64)> = BTreeMap::new();
        for (leaf, year, part) in &all.parts {
            let Some(found) = self.outlook.leaves.get(*leaf as usize) else { continue };
            let ranges = places.iter().filter_map(|place| found.ranges.get(*place).copied()).collect();
            let year = if years_count { *year } else { 0 };
            apart.entry((found.verdict, year, ranges)).or_insert((*leaf, 0.0)).1 += part;
        }
        self.ways(apart.into_iter().map(|((_, year, _), (leaf, part))| (leaf, year, part)))
    }

    /// What each answer to the fact of this place leaves of some ways, in the order of its alternatives. A fact is
    /// answered once: the second time its answers would be counted again.
    pub fn asked(&self, ways: &Ways, place: usize) -> Vec<Ways> {
        let Some(classes) = self.classes.get(place) else { return vec![ways.clone()] };
        let left = classes.iter().map(|(from, to)| self.left(ways, place, (*from, *to)));
        left.filter(|ways| !ways.parts.is_empty()).collect()
    }

    fn left(&self, ways: &Ways, place: usize, (from, to): (u8, u8)) -> Ways {
        let Some(fact) = self.outlook.open.facts.get(place) else {
            let years = u32::from(from)..u32::from(to);
            return self.ways(ways.parts.iter().copied().filter(|(_, year, _)| years.contains(year)));
        };
        self.ways(ways.parts.iter().filter_map(|(leaf, year, part)| {
            let (low, high) = *self.outlook.leaves.get(*leaf as usize)?.ranges.get(place)?;
            // An answer lies within the range of a leaf or outside it.
            let within = low <= from && to <= high;
            let whole = fact.weight(low, high, *year as usize);
            within.then(|| (*leaf, *year, part * fact.weight(from, to, *year as usize) / whole))
        }))
    }

    fn ways(&self, parts: impl Iterator<Item = (u32, u32, f64)>) -> Ways {
        let mut verdicts = [0.0; 3];
        let parts: Vec<(u32, u32, f64)> = parts.filter(|(_, _, part)| *part > 0.0).collect();
        for (leaf, _, part) in &parts {
            match self.outlook.leaves.get(*leaf as usize).map(|leaf| leaf.verdict) {
                Some(Verdict::Ready) => verdicts[0] += part,
                Some(Verdict::Marginal) => verdicts[1] += part,
                Some(Verdict::Blocked) => verdicts[2] += part,
                None => {}
            }
        }
        Ways { parts, verdicts }
    }
}
