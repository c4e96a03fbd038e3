//! Finding where the verdict turns: the ways of settling the open facts are split until each part has one verdict.
//!
//! Where the alternatives of every fact stand best first, a part whose best and worst corner have one verdict has it
//! throughout, so nothing between them is looked at. Facts that cut both ways are looked at value by value, and of bands
//! that do some cells, those between them only where they differ.

use super::{Judged, Leaf};
use crate::design::{Evidence, Facts, place_findings, service_findings};
use crate::finding::Effect;
use crate::possible::{Bears, Look, Open, World};
use crate::rules::Stance;
use crate::site::Verdict;
use crate::verdict::choice::verdict_of;
use crate::verdict::unknowns::verdict_for;
use std::collections::BTreeMap;
use std::rc::Rc;

/// A part of all ways: for each fact the alternatives from one up to another.
type Part = Vec<(u8, u8)>;

/// An end of a part.
#[derive(Clone, Copy, PartialEq, Eq)]
enum End {
    Best,
    Worst,
}

/// A value of a fact that was looked at, and what was found there.
type Found = (u8, Rc<Vec<Leaf>>);

/// Cells from one that is looked at to the next, of a band that cuts both ways.
const KNOT: u8 = 8;

/// A part with another range of one fact.
fn with(mut part: Part, place: usize, range: (u8, u8)) -> Part {
    if let Some(slot) = part.get_mut(place) {
        *slot = range;
    }
    part
}

/// A point where one fact proves to be another alternative.
pub(super) fn moved(point: &[u8], place: usize, index: u8) -> Vec<u8> {
    let mut moved = point.to_vec();
    if let Some(slot) = moved.get_mut(place) {
        *slot = index;
    }
    moved
}

/// What was found for one value, told of a range of values.
fn told(found: &[Leaf], place: usize, range: (u8, u8), leaves: &mut Vec<Leaf>) {
    leaves.extend(found.iter().map(|leaf| {
        let ranges = with(leaf.ranges.to_vec(), place, range).into_boxed_slice();
        Leaf { verdict: leaf.verdict, ranges }
    }));
}

struct Search<'a> {
    judged: &'a Judged<'a>,
    look: Look<'a>,
    open: &'a Open,
    seen: World,
    verdicts: BTreeMap<Vec<u8>, Verdict>,
    designs: BTreeMap<Vec<u8>, Verdict>,
}

/// The parts with one verdict each, and how many verdicts were worked out.
pub(super) fn split(judged: &Judged<'_>, likely: &Facts, open: &Open) -> (Vec<Leaf>, usize) {
    let mut search = Search::new(judged, likely, open);
    let whole: Part = open.facts.iter().map(|fact| (0, fact.count())).collect();
    let leaves = search.by_value(whole, 0);
    (told_once(leaves, open), search.verdicts.len())
}

/// The same ways in fewer parts: those that differ by neighbouring values of a fact that cuts both ways alone are one.
/// Only what is told is put together; what was looked at is held value by value.
fn told_once(mut leaves: Vec<Leaf>, open: &Open) -> Vec<Leaf> {
    for (place, _) in open.facts.iter().enumerate().filter(|(_, fact)| !fact.best_first) {
        let mut alike: BTreeMap<(Verdict, Part), Vec<(u8, u8)>> = BTreeMap::new();
        for leaf in leaves {
            let Some(range) = leaf.ranges.get(place).copied() else { continue };
            alike.entry((leaf.verdict, with(leaf.ranges.into_vec(), place, (0, 0)))).or_default().push(range);
        }
        leaves = Vec::with_capacity(alike.len());
        for ((verdict, part), mut ranges) in alike {
            ranges.sort_unstable();
            ranges.dedup_by(|next, before| {
                let follows = before.1 == next.0;
                if follows {
                    before.1 = next.1;
                }
                follows
            });
            let one = |range| Leaf { verdict, ranges: with(part.clone(), place, range).into_boxed_slice() };
            leaves.extend(ranges.into_iter().map(one));
        }
    }
    leaves
}

/// The world where every open fact proves to be this alternative.
pub(super) fn world_at(judged: &Judged<'_>, likely: &Facts, open: &Open, point: &[u8]) -> World {
    Search::new(judged, likely, open).world(point)
}

/// The verdict where every open fact proves to be this alternative, without splitting anything.
pub(super) fn verdict_at(judged: &Judged<'_>, likely: &Facts, open: &Open, point: &[u8]) -> Verdict {
    Search::new(judged, likely, open).work_out(point)
}

impl<'a> Search<'a> {
    fn new(judged: &'a Judged<'a>, likely: &'a Facts, open: &'a Open) -> Self {
        let year = open.years.first().and_then(|(year, _)| *year);
        let look = Look { site: judged.site, facts: likely, rules: judged.rules, year };
        let (verdicts, designs) = (BTreeMap::new(), BTreeMap::new());
        Self { judged, look, open, seen: World::seen(judged.site, likely), verdicts, designs }
    }

    fn world(&self, point: &[u8]) -> World {
        let mut world = self.seen.clone();
        for (fact, index) in self.open.facts.iter().zip(point) {
            fact.settle(&mut world, *index, &self.look);
        }
        world
    }

    /// The verdict where every fact proves to be this alternative.
    fn at(&mut self, point: &[u8]) -> Verdict {
        if let Some(known) = self.verdicts.get(point) {
            return *known;
        }
        let verdict = self.work_out(point);
        self.verdicts.insert(point.to_vec(), verdict);
        verdict
    }

    fn work_out(&mut self, point: &[u8]) -> Verdict {
        let Judged { rules, as_of, floor, .. } = *self.judged;
        let world = self.world(point);
        let facts = world.facts(rules);
        let evidence = Evidence { site: &world.site, facts: &facts, rules, stance: Stance::Screen, as_of };
        let findings = service_findings(&evidence).into_iter().chain(place_findings(&evidence));
        let worst = findings
            .map(|finding| finding.reason.map_or(finding.effect, |reason| rules.effect_of(reason)))
            .fold(floor, Effect::max);
        let of_site = verdict_of(worst);
        if of_site == Verdict::Blocked {
            return of_site;
        }
        let bearing = self.open.facts.iter().zip(point).filter(|(fact, _)| fact.bears == Bears::Design);
        let key: Vec<u8> = bearing.map(|(_, index)| *index).collect();
        let of_design = *self.designs.entry(key).or_insert_with(|| verdict_for(&facts, rules));
        of_site.max(of_design)
    }

    /// The corner of a part.
    fn corner(part: &[(u8, u8)], end: End) -> Vec<u8> {
        part.iter()
            .map(|(from, to)| match end {
                End::Best => *from,
                End::Worst => to.saturating_sub(1),
            })
            .collect()
    }

    /// The one verdict of a part, where its corners agree; where it holds several values of a fact that cuts both ways,
    /// where they agree at its ends (of a band, at some cells between).
    fn one_verdict(&mut self, part: &[(u8, u8)]) -> Option<Verdict> {
        let (best, worst) = (Self::corner(part, End::Best), Self::corner(part, End::Worst));
        let verdict = self.at(&best);
        let several = self.open.facts.iter().zip(part).any(|(fact, (from, to))| !fact.best_first && to - from > 1);
        // Nothing worse than the best corner undoes what blocks it.
        if verdict == Verdict::Blocked && !several {
            return Some(verdict);
        }
        if self.at(&worst) != verdict {
            return None;
        }
        let bands = self.open.facts.iter().enumerate().filter(|(_, fact)| !fact.best_first && fact.is_band());
        for (place, _) in bands {
            let Some((from, to)) = part.get(place).copied() else { continue };
            for index in (from..to).skip(1).step_by(usize::from(KNOT)) {
                for corner in [&best, &worst] {
                    if self.at(&moved(corner, place, index)) != verdict {
                        return None;
                    }
                }
            }
        }
        Some(verdict)
    }

    /// Whether what was found for one value of a fact stands for another.
    fn stands(&mut self, found: &[Leaf], place: usize, index: u8) -> bool {
        found
            .iter()
            .all(|leaf| self.one_verdict(&with(leaf.ranges.to_vec(), place, (index, index + 1))) == Some(leaf.verdict))
    }

    /// The parts of one verdict, the facts from `next` on that cut both ways looked at value by value: what was found
    /// for one value is held against the next, and found anew only where it does not stand. Of a band some cells are
    /// looked at, and where two neighbours among them differ those between, by halves.
    fn by_value(&mut self, part: Part, next: usize) -> Vec<Leaf> {
        let mut open = self.open.facts.iter().enumerate().skip(next);
        let Some((place, fact)) = open.find(|(_, fact)| !fact.best_first) else {
            return self.by_half(part);
        };
        let last = fact.count().saturating_sub(1);
        let step = if fact.is_band() { KNOT } else { 1 };
        let mut knots: Vec<u8> = (0..last).step_by(usize::from(step)).collect();
        knots.push(last);
        let mut leaves = Vec::with_capacity(8);
        let mut before: Option<(u8, Rc<Vec<Leaf>>)> = None;
        for index in knots {
            let found = match &before {
                Some((_, found)) if self.stands(found, place, index) => Rc::clone(found),
                _ => Rc::new(self.by_value(with(part.clone(), place, (index, index + 1)), place + 1)),
            };
            if let Some(before) = before.take() {
                self.between(&part, place, &before, &(index, Rc::clone(&found)), &mut leaves);
            }
            before = Some((index, found));
        }
        if let Some((index, found)) = before {
            told(&found, place, (index, index + 1), &mut leaves);
        }
        leaves
    }

    /// Tells the values from one that was looked at up to another.
    fn between(&mut self, part: &[(u8, u8)], place: usize, from: &Found, to: &Found, leaves: &mut Vec<Leaf>) {
        if to.0 - from.0 <= 1 || Rc::ptr_eq(&from.1, &to.1) {
            return told(&from.1, place, (from.0, to.0), leaves);
        }
        let middle = from.0 + (to.0 - from.0) / 2;
        let found = if self.stands(&from.1, place, middle) {
            Rc::clone(&from.1)
        } else if self.stands(&to.1, place, middle) {
            Rc::clone(&to.1)
        } else {
            Rc::new(self.by_value(with(part.to_vec(), place, (middle, middle + 1)), place + 1))
        };
        let middle = (middle, found);
        self.between(part, place, from, &middle, leaves);
        self.between(part, place, &middle, to, leaves);
    }

    /// Splits a part until the corners of each piece agree.
    fn by_half(&mut self, part: Part) -> Vec<Leaf> {
        let mut leaves = Vec::with_capacity(8);
        let mut waiting = vec![part];
        while let Some(part) = waiting.pop() {
            if let Some(verdict) = self.one_verdict(&part) {
                leaves.push(Leaf { verdict, ranges: part.into_boxed_slice() });
                continue;
            }
            let Some((place, (from, to))) = self.turning(&part) else {
                continue;
            };
            let middle = from + (to - from) / 2;
            for range in [(middle, to), (from, middle)] {
                waiting.push(with(part.clone(), place, range));
            }
        }
        leaves
    }

    /// A fact of a part on which its verdict turns: one that moves it from the best corner, else one that moves it from
    /// the worst, else the one with most alternatives left.
    fn turning(&mut self, part: &[(u8, u8)]) -> Option<(usize, (u8, u8))> {
        let (best, worst) = (Self::corner(part, End::Best), Self::corner(part, End::Worst));
        for (from, to) in [(&best, &worst), (&worst, &best)] {
            let at_from = self.at(from);
            for (place, range) in part.iter().enumerate().filter(|(_, (low, high))| high - low > 1) {
                let moves = to.get(place).is_some_and(|value| self.at(&moved(from, place, *value)) != at_from);
                if moves {
                    return Some((place, *range));
                }
            }
        }
        let wide = part.iter().enumerate().filter(|(_, (from, to))| to - from > 1);
        wide.max_by_key(|(_, (from, to))| to - from).map(|(place, range)| (place, *range))
    }
}
