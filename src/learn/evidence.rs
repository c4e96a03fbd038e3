//! What one site tells of the weights: the ways of settling its open facts that what was found leaves, in few parts.
//!
//! A part is a range of alternatives for each fact that bears on it, with the chance of everything else (bands, figures
//! said with doubt) multiplied in. A fact found on site leaves one alternative; a verdict on site leaves the ways that
//! have it. Where the year of building is not known, every year that is possible is taken with its weight: under each a
//! fact may stand under another condition.

use super::Case;
use super::found::{FoundFact, Proved, compare, learnable};
use crate::design::{Facts, facts};
use crate::possible::{Open, OpenFact, open};
use crate::rules::Rules;
use crate::site::{Reading, Site};
use std::collections::BTreeMap;

/// A verdict of less chance than this under the stated weights is explained by nothing that was open.
const EXPLAINED: f64 = 1e-7;

/// The weights of one fact under one condition, at their place among all parameters.
#[derive(Clone, Debug)]
pub(super) struct Block {
    pub field: &'static str,
    pub when: &'static str,
    pub values: Vec<&'static str>,
    pub before: Vec<f64>,
    /// Place of its first weight.
    pub first: usize,
}

/// Every block that some site tells of.
#[derive(Clone, Debug, Default)]
pub(super) struct Blocks {
    pub all: Vec<Block>,
    by_name: BTreeMap<(&'static str, &'static str), usize>,
    /// Weights in all.
    pub size: usize,
}

impl Blocks {
    fn of(&mut self, field: &str, when: &str, rules: &Rules) -> Option<usize> {
        let entry = rules.alternatives.of(field, when)?;
        if let Some(known) = self.by_name.get(&(entry.field, entry.when)) {
            return Some(*known);
        }
        let at = self.all.len();
        self.all.push(Block {
            field: entry.field,
            when: entry.when,
            values: entry.of.iter().map(|alternative| alternative.value).collect(),
            before: entry.of.iter().map(|alternative| alternative.weight).collect(),
            first: self.size,
        });
        self.size += entry.of.len();
        self.by_name.insert((entry.field, entry.when), at);
        Some(at)
    }

    /// The stated weights of all, none of them quite nought so that what was found can raise it.
    pub fn before(&self) -> Vec<f64> {
        const LEAST: f64 = 1e-9;
        let of = |block: &Block| -> Vec<f64> {
            let even = LEAST / block.before.len().max(1) as f64;
            block.before.iter().map(|weight| weight * (1.0 - LEAST) + even).collect()
        };
        self.all.iter().flat_map(of).collect()
    }
}

/// Under one year: the block of a fact and the parameter of each of its alternatives; `None` where it is not open then
/// and sure to be its first alternative.
type Under = Option<(usize, Vec<usize>)>;

/// One fact of a site that tells of weights.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
struct Telling {
    /// By year.
    under: Vec<Under>,
    /// Whether somebody saw it.
    seen: bool,
}

/// For each fact its alternatives from one up to another.
type Ranges = Box<[(u8, u8)]>;

/// What is left of a site's ways.
#[derive(Clone, Debug)]
pub(super) struct Evidence {
    years: Vec<f64>,
    facts: Vec<Telling>,
    parts: Vec<(f64, Ranges)>,
}

/// Expected counts of one site: by parameter, by block, and by block where somebody saw the fact.
#[derive(Clone, Debug, Default)]
pub(super) struct Counts {
    pub weights: Vec<f64>,
    pub blocks: Vec<f64>,
    pub seen: Vec<f64>,
}

impl Counts {
    pub fn zero(blocks: &Blocks) -> Self {
        let count = blocks.all.len();
        Self { weights: vec![0.0; blocks.size], blocks: vec![0.0; count], seen: vec![0.0; count] }
    }
}

fn add(list: &mut [f64], at: usize, more: f64) {
    if let Some(slot) = list.get_mut(at) {
        *slot += more;
    }
}

/// What one site tells, and what is to be said of it.
#[derive(Clone, Debug, Default)]
pub(super) struct Told {
    pub evidence: Option<Evidence>,
    pub facts: Vec<FoundFact>,
    pub verdict_unused: &'static str,
}

impl Told {
    /// What a case tells; blocks that it speaks of are added.
    pub fn of(case: &Case<'_>, rules: &Rules, blocks: &mut Blocks) -> Self {
        let Case { site, judgement, outcome } = *case;
        let likely = facts(site, rules).0;
        let Some(outlook) = &judgement.outlook else { return Self::default() };
        let open_facts = outlook.open_facts();
        let (found, proved) = match &outcome.found {
            Some(found) => compare(site, found, open_facts, &likely, rules),
            None => (Vec::new(), vec![None; open_facts.len()]),
        };
        // Where the survey itself was wrong, the verdict on site is that of another survey; likewise where a fact
        // proved to be what no alternative is.
        let unlike = found.iter().any(|fact| matches!(fact.proved, Proved::Otherwise(_) | Proved::None(_)));
        let mut unused = if outcome.verdict.is_some() && unlike { "found otherwise than surveyed" } else { "" };
        let years = Years::of(site, outcome.found.as_deref(), outlook.years(), open_facts, &likely, rules);
        let tellings = tellings(open_facts, &years, &proved, rules, blocks);
        let whole: Vec<(u8, u8)> = open_facts.iter().map(|fact| (0, fact.count())).collect();
        let anything = || vec![whole.as_slice()];
        let mut evidence = None;
        if let Some(verdict) = outcome.verdict.filter(|_| !unlike) {
            let ranges: Vec<&[(u8, u8)]> =
                outlook.parts().filter(|(own, _)| *own == verdict).map(|(_, ranges)| ranges).collect();
            let left = Evidence::of(&ranges, open_facts, &tellings, &proved, &years);
            let all = Evidence::of(&anything(), open_facts, &tellings, &proved, &years);
            let before = blocks.before();
            if left.chance(&before) > EXPLAINED * all.chance(&before) {
                evidence = Some(left);
            } else {
                unused = "explained by nothing that was open";
            }
        }
        let evidence = evidence.unwrap_or_else(|| Evidence::of(&anything(), open_facts, &tellings, &proved, &years));
        Self { evidence: (!evidence.facts.is_empty()).then_some(evidence), facts: found, verdict_unused: unused }
    }
}

/// The years of building that are possible, each with what is open then.
struct Years {
    weights: Vec<f64>,
    /// Empty where no condition hangs on the year.
    open: Vec<Open>,
}

impl Years {
    fn of(
        site: &Site,
        found: Option<&Site>,
        possible: &[(Option<f64>, f64)],
        open_facts: &[OpenFact],
        likely: &Facts,
        rules: &Rules,
    ) -> Self {
        let seen = found.and_then(|found| found.permissions.year_built.stated().copied());
        let years: Vec<(Option<f64>, f64)> = match seen {
            Some(year) => vec![(Some(year), 1.0)],
            None => possible.to_vec(),
        };
        let by_year = open_facts.iter().any(OpenFact::by_year);
        let open = |year: Option<f64>| {
            let mut site = site.clone();
            if let Some(year) = year {
                site.permissions.year_built = Reading::of(year);
            }
            open(&site, likely, rules)
        };
        let opened = if by_year { years.iter().map(|(year, _)| open(*year)).collect() } else { Vec::new() };
        Self { weights: years.into_iter().map(|(_, weight)| weight).collect(), open: opened }
    }

    /// The condition of a fact under a year.
    fn condition(&self, fact: &OpenFact, year: usize) -> Option<&'static str> {
        match self.open.get(year).filter(|_| fact.by_year()) {
            Some(open) => open.facts.iter().find(|own| own.field == fact.field).map(|own| own.when),
            None => Some(fact.when),
        }
    }
}

/// For each open fact how its alternatives stand among the parameters; `None` for those without weights of their own.
fn tellings(
    open_facts: &[OpenFact],
    years: &Years,
    proved: &[Option<u8>],
    rules: &Rules,
    blocks: &mut Blocks,
) -> Vec<Option<Telling>> {
    let mut under = |fact: &OpenFact, year: usize| -> Under {
        let at = blocks.of(fact.field, years.condition(fact, year)?, rules)?;
        let block = blocks.all.get(at)?;
        let place = |index: u8| block.values.iter().position(|value| *value == fact.value(index));
        // An alternative that another condition does not have has no weight there: a place beyond all.
        let places = (0..fact.count()).map(|index| place(index).map_or(usize::MAX, |place| block.first + place));
        Some((at, places.collect()))
    };
    open_facts
        .iter()
        .zip(proved)
        .map(|(fact, proved)| {
            learnable(fact, rules).then(|| Telling {
                under: (0..years.weights.len()).map(|year| under(fact, year)).collect(),
                seen: proved.is_some(),
            })
        })
        .collect()
}

impl Evidence {
    fn of(
        ranges: &[&[(u8, u8)]],
        open_facts: &[OpenFact],
        tellings: &[Option<Telling>],
        proved: &[Option<u8>],
        years: &Years,
    ) -> Self {
        // A fact bears where somebody saw it, or some part leaves not all of it.
        let partly = |place: usize, fact: &OpenFact| {
            ranges.iter().filter_map(|part| part.get(place)).any(|range| *range != (0, fact.count()))
        };
        let bears: Vec<bool> = open_facts
            .iter()
            .zip(tellings)
            .enumerate()
            .map(|(place, (fact, telling))| telling.as_ref().is_some_and(|own| own.seen || partly(place, fact)))
            .collect();
        let mut parts: BTreeMap<Ranges, f64> = BTreeMap::new();
        'parts: for part in ranges {
            let (mut chance, mut own) = (1.0, Vec::new());
            for (place, (fact, (from, to))) in open_facts.iter().zip(part.iter().copied()).enumerate() {
                let seen = proved.get(place).copied().flatten();
                match (bears.get(place), seen) {
                    (Some(true), Some(index)) if (from..to).contains(&index) => own.push((index, index + 1)),
                    (Some(true), Some(_)) => continue 'parts,
                    (Some(true), None) => own.push((from, to)),
                    // What has no weights of its own does not hang on the year.
                    _ if tellings.get(place).is_some_and(Option::is_none) => chance *= fact.weight(from, to, 0),
                    _ => {}
                }
            }
            *parts.entry(own.into_boxed_slice()).or_default() += chance;
        }
        let facts = tellings.iter().zip(&bears).filter(|(_, bears)| **bears).filter_map(|(own, _)| own.clone());
        Self {
            years: years.weights.clone(),
            facts: facts.collect(),
            parts: parts.into_iter().map(|(ranges, chance)| (chance, ranges)).collect(),
        }
    }

    /// Weight of a range of a fact under a year.
    fn weight(telling: &Telling, year: usize, (from, to): (u8, u8), weights: &[f64]) -> f64 {
        match telling.under.get(year) {
            Some(Some((_, places))) => {
                let own = places.iter().take(usize::from(to)).skip(usize::from(from));
                own.filter_map(|place| weights.get(*place)).sum()
            }
            _ => f64::from(u8::from(from == 0)),
        }
    }

    /// Chance of each part under each year, year by year.
    fn chances(&self, weights: &[f64]) -> Vec<f64> {
        let years = self.years.iter().enumerate();
        let of_year = |(year, of_year): (usize, &f64)| {
            let of_year = *of_year;
            self.parts.iter().map(move |(chance, ranges)| {
                let facts = self.facts.iter().zip(ranges.iter());
                of_year * chance * facts.map(|(fact, range)| Self::weight(fact, year, *range, weights)).product::<f64>()
            })
        };
        years.flat_map(of_year).collect()
    }

    /// Chance of what was found.
    pub fn chance(&self, weights: &[f64]) -> f64 {
        self.chances(weights).iter().sum()
    }

    /// Adds the counts that are to be expected of the site, given what was found.
    pub fn expect(&self, weights: &[f64], counts: &mut Counts) {
        let chances = self.chances(weights);
        let all: f64 = chances.iter().sum();
        if all <= 0.0 {
            return;
        }
        let parts = self.parts.len().max(1);
        for (at, chance) in chances.into_iter().enumerate().filter(|(_, chance)| *chance > 0.0) {
            let (year, share) = (at / parts, chance / all);
            let Some((_, ranges)) = self.parts.get(at % parts) else { continue };
            for (fact, range) in self.facts.iter().zip(ranges.iter()) {
                let Some(Some((block, places))) = fact.under.get(year) else { continue };
                let whole = Self::weight(fact, year, *range, weights);
                for place in places.iter().take(usize::from(range.1)).skip(usize::from(range.0)) {
                    let own = weights.get(*place).copied().unwrap_or_default();
                    add(&mut counts.weights, *place, share * own / whole);
                }
                add(&mut counts.blocks, *block, share);
                if fact.seen {
                    add(&mut counts.seen, *block, share);
                }
            }
        }
    }
}
