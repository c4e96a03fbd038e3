//! Which remedy unlocks how many sites for how much, in the order that unlocks most for least.
//!
//! Looked at is the cheapest set of every site that is not ready. A remedy is done wherever such a set holds it; a site
//! is unlocked once all of its set is done. Next comes what unlocks most sites a pound, a remedy by itself or several
//! that unlock sites only together.

use super::Ranked;
use crate::quantity::Pence;
use crate::site::Verdict;
use crate::verdict::RemedyKind;
use std::cmp::Ordering;
use std::collections::BTreeMap;

/// One remedy over the portfolio.
#[derive(Clone, Debug, PartialEq)]
pub struct Unlock {
    /// The remedy, in words.
    pub remedy: &'static str,
    /// Who pays for it.
    pub payer: &'static str,
    /// Sites in whose cheapest set it is.
    pub sites: u32,
    /// Of them, those whose cheapest set is this alone.
    pub alone: u32,
    /// Sites that are unlocked by it and all remedies before it.
    pub so_far: u32,
    /// Its likely cost before tax, over the sites in whose cheapest set it is.
    pub cost: Pence,
}

/// A set of remedies, a bit for each.
type Set = u128;

/// The remedies of the cheapest sets, in the order that unlocks most for least.
pub(super) fn unlocks(sites: &[Ranked]) -> Vec<Unlock> {
    let mut lines: BTreeMap<&'static str, Unlock> = BTreeMap::new();
    let ways = || sites.iter().filter_map(way_out);
    for remedy in ways() {
        for (words, each) in remedy.set.iter().zip(&remedy.each) {
            let none = Unlock { remedy: words, payer: each.payer, sites: 0, alone: 0, so_far: 0, cost: Pence(0) };
            let line = lines.entry(words).or_insert(none);
            line.sites += 1;
            line.alone += u32::from(remedy.set.len() == 1);
            line.cost = line.cost + each.cost;
        }
    }
    // As many as a set has bits for: a test of the data file holds it to that.
    let lines: Vec<Unlock> = lines.into_values().take(Set::BITS as usize).collect();
    let bit = |words: &&'static str| lines.iter().position(|line| line.remedy == *words).map(|place| 1 << place);
    let mut wanted: BTreeMap<Set, u32> = BTreeMap::new();
    for remedy in ways() {
        if let Some(set) = remedy.set.iter().map(bit).try_fold(0, |set: Set, bit| Some(set | bit?)) {
            *wanted.entry(set).or_default() += 1;
        }
    }
    in_order(&lines, &wanted)
}

/// The cheapest way out of a site that counts as not ready; none where an engineer's word stands instead of a reason.
fn way_out(site: &Ranked) -> Option<&crate::verdict::Remedy> {
    let judgement = &site.judgement;
    let computed = judgement.counted_verdict() == judgement.verdict && judgement.verdict != Verdict::Ready;
    judgement.remedies.iter().find(|remedy| computed && remedy.kind == RemedyKind::Cheapest)
}

/// Remedies that are done together, and what comes of them.
struct Step {
    set: Set,
    unlocked: u32,
    cost: Pence,
}

impl Step {
    /// Most sites a pound first; of as many the more sites, then the order of the words.
    fn cmp(&self, other: &Step) -> Ordering {
        let a_pound = |mine: &Step, others: &Step| i128::from(mine.unlocked) * i128::from(others.cost.0);
        a_pound(other, self)
            .cmp(&a_pound(self, other))
            .then_with(|| other.unlocked.cmp(&self.unlocked))
            .then_with(|| self.set.cmp(&other.set))
    }
}

fn in_order(lines: &[Unlock], wanted: &BTreeMap<Set, u32>) -> Vec<Unlock> {
    let of_set = |set: Set| lines.iter().enumerate().filter(move |(place, _)| set >> place & 1 == 1);
    let unlocked =
        |done: Set| -> u32 { wanted.iter().filter(|(set, _)| **set & !done == 0).map(|(_, sites)| sites).sum() };
    let (mut done, mut ordered): (Set, Vec<Unlock>) = (0, Vec::with_capacity(lines.len()));
    loop {
        // What sites still lack, each once.
        let mut lacking: Vec<Set> = wanted.keys().map(|set| set & !done).filter(|set| *set != 0).collect();
        lacking.sort_unstable();
        lacking.dedup();
        let before = unlocked(done);
        let step = |set: Set| Step {
            set,
            unlocked: unlocked(done | set).saturating_sub(before),
            cost: of_set(set).map(|(_, line)| line.cost).sum(),
        };
        let Some(next) = lacking.into_iter().map(step).min_by(Step::cmp) else { return ordered };
        let mut together: Vec<(usize, &Unlock)> = of_set(next.set).collect();
        together.sort_by_key(|(_, line)| std::cmp::Reverse(line.sites));
        for (place, line) in together {
            done |= 1 << place;
            ordered.push(Unlock { so_far: unlocked(done), ..line.clone() });
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn line(remedy: &'static str, pounds: i64) -> Unlock {
        Unlock { remedy, payer: "programme", sites: 1, alone: 0, so_far: 0, cost: Pence(pounds * 100) }
    }

    fn told(lines: &[Unlock], wanted: &[(Set, u32)]) -> Vec<(&'static str, u32)> {
        in_order(lines, &wanted.iter().copied().collect()).iter().map(|line| (line.remedy, line.so_far)).collect()
    }

    #[test]
    fn most_for_least_comes_first_and_what_costs_nothing_before_it() {
        let lines = [line("dear", 1000), line("cheap", 10), line("free", 0)];
        // Nothing a site; then a site for 10 pounds; then 50 for 1 000, and the 4 that needed both.
        let wanted = [(0b001, 50), (0b010, 1), (0b100, 1), (0b011, 4)];
        assert_eq!(told(&lines, &wanted), [("free", 1), ("cheap", 2), ("dear", 56)]);
        // 200 for 1 000 pounds are more for less than one for 10.
        let wanted = [(0b001, 200), (0b010, 1), (0b100, 1), (0b011, 4)];
        assert_eq!(told(&lines, &wanted), [("free", 1), ("dear", 201), ("cheap", 206)]);
    }

    #[test]
    fn remedies_that_unlock_only_together_come_together() {
        let lines = [line("fuse", 100), line("photograph", 20), line("consent", 500)];
        assert_eq!(told(&lines, &[(0b011, 12), (0b100, 10)]), [("fuse", 0), ("photograph", 12), ("consent", 22)]);
    }

    #[test]
    fn nothing_stands_in_nobodys_way() {
        assert!(unlocks(&[]).is_empty());
    }
}
