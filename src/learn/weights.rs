//! Weights of what a fact may prove to be, adjusted by outcomes.
//!
//! The weights `w` of a fact under a condition have a Dirichlet prior worth `prior_sites` sites, in the shares that are
//! stated. With `n` the counts of what the fact proved to be,
//!
//! ```text
//! w after = (prior_sites * w before + n) / (prior_sites + sum of n)
//! ```
//!
//! Where somebody saw the fact, its count is 1. Where only the verdict on site is known, the count is what is to be
//! expected given that verdict and the weights themselves, found by expectation-maximisation until nothing moves: the
//! fixed point is the mode of the posterior.
//!
//! The standard error counts what was really learned. The information is the sum over sites of the outer product of
//! their scores (expected counts less the weights' shares of them), which for a site of which only the verdict is known
//! has nothing in it of what the verdict does not tell, and the prior's own. Its inverse, over all weights at once, has
//! the doubt between facts that explain the same verdicts in it. An error is given as the greater of that at the weights
//! after and, in proportion, at those before: of something rare that was not met, little is known.

use super::evidence::{Blocks, Counts, Evidence, Told};
use super::found::Proved;
use super::matrix::Square;
use super::{Case, FoundFact};
use crate::reference::{HOLDING, PLAUSIBLE};
use crate::rules::Rules;

/// Rounds at most, and the change of a weight below which it has settled.
const ROUNDS: usize = 1_000;
const SETTLED: f64 = 1e-7;
/// Below this correlation two weights are hard to tell apart by what was found.
const RIVALS: f64 = -0.4;
/// A weight is written in parts of this many.
pub(super) const PARTS: f64 = 10_000.0;

/// The weights of one fact under one condition.
#[derive(Clone, Debug, PartialEq)]
pub struct LearnedWeight {
    /// Survey field.
    pub field: &'static str,
    /// Condition of the table.
    pub when: &'static str,
    /// Its alternatives, in the order of the table.
    pub values: Vec<&'static str>,
    /// Their stated weights.
    pub before: Vec<f64>,
    /// Their weights after what was found.
    pub after: Vec<f64>,
    /// Their standard errors.
    pub error: Vec<f64>,
    /// Sites at which the fact was seen.
    pub seen: f64,
    /// Sites of which the verdict alone tells.
    pub by_verdict: f64,
    /// As many sites with the fact seen would have told as much; one whose verdict tells little counts for little.
    pub worth: f64,
    /// What it is hard to tell from.
    pub rival: Option<Rival>,
    /// The weights proposed, in ten thousandths that add up to 10 000; `None` where nothing is.
    pub proposed: Option<Vec<u32>>,
    /// Why nothing is proposed; empty where something is.
    pub why_not: &'static str,
}

/// Another fact that explains the same verdicts: more of the one means less of the other.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rival {
    /// Survey field.
    pub field: &'static str,
    /// Condition of the table.
    pub when: &'static str,
    /// Correlation of the two weights, below 0.
    pub correlation: f64,
}

/// All weights, and what the sites said of them.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Weights {
    /// By field and condition, those that most sites tell of first.
    pub all: Vec<LearnedWeight>,
    /// Sites that told something.
    pub sites: u32,
    /// Verdicts on site that nothing open explains.
    pub unexplained: u32,
    /// Verdicts left out because facts were found otherwise than surveyed, or as no alternative.
    pub otherwise: u32,
    /// Facts found that are none of the alternatives: field, condition and count.
    pub none_of_them: Vec<(&'static str, &'static str, u32)>,
    /// Rounds until the weights had settled.
    pub rounds: u32,
}

/// Weights by what was found, and what each case told.
pub(super) fn learn(cases: &[Case<'_>], rules: &Rules) -> (Weights, Vec<Told>) {
    let mut blocks = Blocks::default();
    let mut told: Vec<Told> = cases.iter().map(|case| Told::of(case, rules, &mut blocks)).collect();
    let evidence: Vec<Evidence> = told.iter_mut().filter_map(|told| told.evidence.take()).collect();
    let prior = rules.learn.prior_sites;
    let (after, rounds) = settle(&evidence, &blocks, prior);
    let (covariance, counts) = covariance(&evidence, &blocks, &after, prior);
    let mut all = each(&blocks, &after, covariance.as_ref(), &counts, rules);
    all.retain(|weight| weight.seen + weight.by_verdict > 0.0);
    all.sort_by(|a, b| b.worth.total_cmp(&a.worth).then_with(|| (a.field, a.when).cmp(&(b.field, b.when))));
    let unused = |why: &str| told.iter().filter(|told| told.verdict_unused == why).count() as u32;
    let weights = Weights {
        all,
        sites: evidence.len() as u32,
        unexplained: unused("explained by nothing that was open"),
        otherwise: unused("found otherwise than surveyed"),
        none_of_them: none_of_them(told.iter().flat_map(|told| &told.facts)),
        rounds,
    };
    (weights, told)
}

fn none_of_them<'a>(facts: impl Iterator<Item = &'a FoundFact>) -> Vec<(&'static str, &'static str, u32)> {
    let mut counts = std::collections::BTreeMap::new();
    for fact in facts {
        if let Proved::None(when) = fact.proved {
            *counts.entry((fact.field, when)).or_insert(0_u32) += 1;
        }
    }
    counts.into_iter().map(|((field, when), count)| (field, when, count)).collect()
}

/// The weights at which expectation and maximisation agree, and the rounds that took.
fn settle(evidence: &[Evidence], blocks: &Blocks, prior: f64) -> (Vec<f64>, u32) {
    let before = blocks.before();
    let mut weights = before.clone();
    for round in 1..=ROUNDS {
        let mut counts = Counts::zero(blocks);
        for site in evidence {
            site.expect(&weights, &mut counts);
        }
        let mut moved = 0.0_f64;
        for (at, block) in blocks.all.iter().enumerate() {
            let sites = counts.blocks.get(at).copied().unwrap_or_default();
            for place in block.first..block.first + block.values.len() {
                let of = |list: &[f64]| list.get(place).copied().unwrap_or_default();
                let next = (prior * of(&before) + of(&counts.weights)) / (prior + sites);
                moved = moved.max((next - of(&weights)).abs());
                if let Some(slot) = weights.get_mut(place) {
                    *slot = next;
                }
            }
        }
        if moved < SETTLED {
            return (weights, round as u32);
        }
    }
    (weights, ROUNDS as u32)
}

/// The covariance of the weights, and the counts that are expected at them.
fn covariance(evidence: &[Evidence], blocks: &Blocks, weights: &[f64], prior: f64) -> (Option<Square>, Counts) {
    /// So little that it shows in no error, and enough that a weight of nought is no fault.
    const NEXT_TO_NOTHING: f64 = 1e-9;
    let mut information = Square::zero(blocks.size);
    let mut slopes = Square::zero(blocks.size);
    let mut all = Counts::zero(blocks);
    for site in evidence {
        let mut counts = Counts::zero(blocks);
        site.expect(weights, &mut counts);
        let mut score = Vec::new();
        for (at, block) in blocks.all.iter().enumerate() {
            let sites = counts.blocks.get(at).copied().unwrap_or_default();
            if sites > 0.0 {
                score.extend((block.first..block.first + block.values.len()).filter_map(|place| {
                    let (count, weight) = (counts.weights.get(place)?, weights.get(place)?);
                    Some((place, count - sites * weight))
                }));
            }
        }
        information.add_outer(&score, 1.0);
        for (sum, own) in
            [(&mut all.weights, &counts.weights), (&mut all.blocks, &counts.blocks), (&mut all.seen, &counts.seen)]
        {
            sum.iter_mut().zip(own).for_each(|(sum, own)| *sum += own);
        }
    }
    // Weights are the shares of exponentials: raising all of a block alike changes none, which the ones below pin down.
    for block in &blocks.all {
        let places = || block.first..block.first + block.values.len();
        let weight = |place: usize| weights.get(place).copied().unwrap_or_default();
        for row in places() {
            information.add(row, row, NEXT_TO_NOTHING);
            for column in places() {
                let diagonal = if row == column { weight(row) } else { 0.0 };
                let slope = diagonal - weight(row) * weight(column);
                slopes.add(row, column, slope);
                information.add(row, column, prior * slope + 1.0);
            }
        }
    }
    (information.inverse().map(|inverse| slopes.product(&inverse).product(&slopes)), all)
}

fn each(
    blocks: &Blocks,
    after: &[f64],
    covariance: Option<&Square>,
    counts: &Counts,
    rules: &Rules,
) -> Vec<LearnedWeight> {
    let policy = &rules.learn;
    let error_of = |place: usize| covariance.map_or(f64::NAN, |all| all.at(place, place).max(0.0).sqrt());
    let one = |(at, block): (usize, &super::evidence::Block)| {
        let places = block.first..block.first + block.values.len();
        let after: Vec<f64> = after.get(places.clone()).unwrap_or_default().to_vec();
        let plain: Vec<f64> = places.clone().map(error_of).collect();
        let error: Vec<f64> = plain
            .iter()
            .zip(block.before.iter().zip(&after))
            .map(|(error, (before, after))| {
                let (was, is) = (before * (1.0 - before), after * (1.0 - after));
                if is > 0.0 { error * (was / is).sqrt().max(1.0) } else { *error }
            })
            .collect();
        let of = |list: &[f64]| list.get(at).copied().unwrap_or_default();
        let (sites, seen) = (of(&counts.blocks), of(&counts.seen));
        let worth = worth(&after, &plain, policy.prior_sites).min(sites);
        let moved = moved(&block.before, &after, &error);
        let why_not = if sites < f64::from(policy.least_sites) {
            "too few sites"
        } else if !moved.is_finite() || moved <= policy.told_by_errors {
            "not told from what is stated"
        } else if takes_a_hold(block, &after) {
            "would take a hold from sites"
        } else {
            ""
        };
        LearnedWeight {
            field: block.field,
            when: block.when,
            values: block.values.clone(),
            before: block.before.clone(),
            proposed: why_not.is_empty().then(|| in_parts(&after, &block.before)),
            after,
            error,
            seen,
            by_verdict: sites - seen,
            worth,
            rival: covariance.and_then(|all| rival(blocks, at, all)),
            why_not,
        }
    };
    blocks.all.iter().enumerate().map(one).collect()
}

/// Whether a hold goes with these weights, because what it is for would no longer count as plausible: that is for people
/// to decide.
fn takes_a_hold(block: &super::evidence::Block, after: &[f64]) -> bool {
    let each = block.values.iter().zip(block.before.iter().zip(after));
    let mut gone = each.filter(|(_, (before, after))| **before >= PLAUSIBLE && **after < PLAUSIBLE);
    gone.any(|(value, _)| HOLDING.contains(&(block.field, block.when, *value)))
}

/// How far weights moved, in standard errors: of two alternatives that of either, of several their mean, each weighed so
/// that chance alone gives 1.
fn moved(before: &[f64], after: &[f64], error: &[f64]) -> f64 {
    let each = before.iter().zip(after).zip(error).filter(|(_, error)| **error > 0.0);
    let sum: f64 = each.map(|((before, after), error)| (1.0 - before) * ((after - before) / error).powi(2)).sum();
    (sum / (before.len().saturating_sub(1).max(1)) as f64).sqrt()
}

/// As many sites with the fact seen as would leave the same error: of the alternative that is best known.
fn worth(after: &[f64], error: &[f64], prior: f64) -> f64 {
    let of = |(after, error): (&f64, &f64)| {
        let whole = after * (1.0 - after);
        (whole > 0.0 && *error > 0.0).then(|| whole / (error * error) - prior)
    };
    after.iter().zip(error).filter_map(of).fold(0.0, f64::max)
}

/// The block whose weights move against those of this one most.
fn rival(blocks: &Blocks, at: usize, covariance: &Square) -> Option<Rival> {
    let own = blocks.all.get(at)?;
    // The alternative that is worst for a verdict stands last.
    let last = |block: &super::evidence::Block| block.first + block.values.len().saturating_sub(1);
    let spread = |place: usize| covariance.at(place, place).max(0.0).sqrt();
    let others = blocks.all.iter().enumerate().filter(|(other, _)| *other != at);
    let correlated = others.filter_map(|(_, other)| {
        let (one, two) = (last(own), last(other));
        let both = spread(one) * spread(two);
        (both > 0.0).then(|| (covariance.at(one, two) / both, other))
    });
    let (correlation, other) = correlated.min_by(|a, b| a.0.total_cmp(&b.0))?;
    (correlation < RIVALS).then_some(Rival { field: other.field, when: other.when, correlation })
}

/// Weights in ten thousandths that add up to the whole: the greatest remainders are rounded up, and what had a weight
/// keeps one part at least.
pub(super) fn in_parts(weights: &[f64], before: &[f64]) -> Vec<u32> {
    let mut parts: Vec<u32> = weights
        .iter()
        .zip(before)
        .map(|(weight, before)| ((weight * PARTS).floor() as u32).max(u32::from(*before > 0.0)))
        .collect();
    let mut order: Vec<usize> = (0..parts.len()).collect();
    let left = |place: &usize| weights.get(*place).map_or(0.0, |weight| (weight * PARTS).fract());
    order.sort_by(|a, b| left(b).total_cmp(&left(a)).then_with(|| a.cmp(b)));
    let mut missing = PARTS as i64 - parts.iter().map(|part| i64::from(*part)).sum::<i64>();
    for place in order.iter().cycle().take(4 * order.len()) {
        let Some(part) = parts.get_mut(*place) else { break };
        if missing > 0 {
            *part += 1;
            missing -= 1;
        } else if missing < 0 && *part > 1 {
            *part -= 1;
            missing += 1;
        }
    }
    // More is missing only where the weights did not add to 1: the greatest takes it.
    if let Some(greatest) = parts.iter_mut().max() {
        *greatest = u32::try_from(i64::from(*greatest) + missing).unwrap_or_default();
    }
    parts
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn weights_as_written_add_up() {
        for (weights, before) in [
            (vec![0.333_33, 0.333_33, 0.333_34], vec![0.5, 0.3, 0.2]),
            (vec![0.999_999, 0.000_001], vec![0.99, 0.01]),
            (vec![1.0, 0.0], vec![1.0, 0.0]),
            (vec![0.123_456, 0.876_544], vec![0.2, 0.8]),
        ] {
            let parts = in_parts(&weights, &before);
            assert_eq!(parts.iter().sum::<u32>(), 10_000, "{parts:?}");
            assert!(parts.iter().zip(&before).all(|(part, before)| (*part > 0) || *before == 0.0), "{parts:?}");
        }
        assert_eq!(in_parts(&[0.45, 0.55], &[0.2, 0.8]), [4500, 5500]);
    }

    #[test]
    fn no_proposal_takes_a_hold_from_a_site() {
        let block = |field, when, values: [&'static str; 2], second: f64| {
            let (values, before) = (values.to_vec(), vec![1.0 - second, second]);
            crate::learn::evidence::Block { field, when, values, before, first: 0 }
        };
        let storeys = block("storeys", "storeys not known", ["3", "8"], 0.05);
        assert!(takes_a_hold(&storeys, &[0.97, 0.03]) && !takes_a_hold(&storeys, &[0.9, 0.1]));
        let loops = block("looped_service", "built 1970 to 1989", ["no", "yes"], 0.05);
        assert!(!takes_a_hold(&loops, &[0.99, 0.01]));
    }

    #[test]
    fn a_move_of_one_error_is_one_for_two_alternatives() {
        assert!((moved(&[0.8, 0.2], &[0.7, 0.3], &[0.1, 0.1]) - 1.0).abs() < 1e-12);
        assert!((worth(&[0.5, 0.5], &[0.05, 0.05], 5.0) - 95.0).abs() < 1e-9);
    }
}
