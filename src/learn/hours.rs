//! A factor for the hours of each task, by Bayesian linear regression.
//!
//! ```text
//! hours found of a site = sum over tasks of factor * hours said + noise
//! ```
//!
//! with each factor drawn round 1 with the standard deviation of the rules, and a noise that is a share of the hours said
//! of the whole site: a large site is out by more hours than a small one. How large that share is, is estimated from what
//! the factors leave, by expectation-maximisation: no outside figure of it is known, and with a few sites more than tasks
//! the sites tell it themselves. Hours of a task that always comes with another cannot be told from it: both then move a
//! little and keep the error that they had.

use super::Case;
use super::matrix::Square;
use crate::rules::LearnRules;
use std::collections::BTreeMap;

/// Rounds at most, and the change below which the noise has settled.
const ROUNDS: usize = 500;
const SETTLED: f64 = 1e-10;
/// The share that noise is taken as at first, and below which none is believed (hours are written to the quarter).
const FIRST_NOISE: f64 = 0.3;
const LEAST_NOISE: f64 = 0.01;

/// What the hours of one task are to be multiplied by.
#[derive(Clone, Debug, PartialEq)]
pub struct TaskFactor {
    /// Item code of the price book.
    pub task: &'static str,
    /// Sites that have it.
    pub sites: u32,
    /// Its person-hours that were said, all sites together.
    pub said_h: f64,
    /// The factor: mean of the posterior.
    pub factor: f64,
    /// Its standard error.
    pub error: f64,
    /// The factor proposed, within the bounds of the rules; `None` where nothing is.
    pub proposed: Option<f64>,
    /// Whether it had to be brought within those bounds.
    pub clamped: bool,
    /// Why nothing is proposed; empty where something is.
    pub why_not: &'static str,
}

/// The hours of all tasks.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Hours {
    /// Tasks, those that were told best first.
    pub tasks: Vec<TaskFactor>,
    /// Sites with hours said and found.
    pub sites: u32,
    /// Standard deviation of the noise, as a share of the hours said; `None` where nothing was learned.
    pub noise: Option<f64>,
}

/// Factors, and their covariance.
struct Fit {
    mean: Vec<f64>,
    covariance: Square,
}

/// One site: the share that each of its tasks has of its hours, by place, and hours found by hours said.
type Line = (Vec<(usize, f64)>, f64);

pub(super) fn factors(cases: &[Case<'_>], rules: &LearnRules) -> Hours {
    let mut places: BTreeMap<&'static str, usize> = BTreeMap::new();
    let said: Vec<(BTreeMap<&'static str, f64>, f64)> = cases
        .iter()
        .filter_map(|case| {
            let mut tasks: BTreeMap<&'static str, f64> = BTreeMap::new();
            for (task, hours) in case.tasks().filter(|(_, hours)| *hours > 0.0) {
                *tasks.entry(task).or_default() += hours;
            }
            Some((tasks, case.outcome.hours?)).filter(|(tasks, _)| !tasks.is_empty())
        })
        .collect();
    for task in said.iter().flat_map(|(tasks, _)| tasks.keys()) {
        places.entry(task).or_insert(0);
    }
    for (place, slot) in places.values_mut().enumerate() {
        *slot = place;
    }
    let lines: Vec<Line> = said
        .iter()
        .map(|(tasks, found)| {
            let all: f64 = tasks.values().sum();
            let shares = tasks.iter().filter_map(|(task, hours)| Some((*places.get(task)?, hours / all)));
            (shares.collect(), found / all)
        })
        .collect();
    let Some((fit, noise)) = settle(&lines, places.len(), rules.hours_prior_sd) else { return Hours::default() };
    let mut tasks: Vec<TaskFactor> = places
        .iter()
        .filter_map(|(task, place)| {
            let sites = said.iter().filter(|(tasks, _)| tasks.contains_key(task)).count() as u32;
            let said_h = said.iter().filter_map(|(tasks, _)| tasks.get(task)).sum();
            let (factor, error) = (*fit.mean.get(*place)?, fit.covariance.at(*place, *place).max(0.0).sqrt());
            let why_not = if sites < rules.least_sites {
                "too few sites"
            } else if (factor - 1.0).abs() <= rules.told_by_errors * error {
                "not told from 1"
            } else {
                ""
            };
            let within = factor.clamp(rules.least_factor, rules.greatest_factor);
            let proposed = why_not.is_empty().then_some(within);
            let clamped = proposed.is_some() && within != factor;
            Some(TaskFactor { task, sites, said_h, factor, error, proposed, clamped, why_not })
        })
        .collect();
    tasks.sort_by(|a, b| a.error.total_cmp(&b.error).then_with(|| a.task.cmp(b.task)));
    Hours { tasks, sites: lines.len() as u32, noise: Some(noise) }
}

/// The factors at the noise that they themselves leave, and that noise.
fn settle(lines: &[Line], tasks: usize, prior_sd: f64) -> Option<(Fit, f64)> {
    if lines.is_empty() {
        return None;
    }
    let mut noise: f64 = FIRST_NOISE;
    let mut fit = posterior(lines, tasks, prior_sd, noise)?;
    for _ in 0..ROUNDS {
        let squares: f64 = lines
            .iter()
            .map(|(shares, found)| {
                let said: f64 = shares.iter().filter_map(|(place, share)| Some(share * fit.mean.get(*place)?)).sum();
                let doubt: f64 = shares
                    .iter()
                    .map(|(row, one)| {
                        shares.iter().map(|(column, two)| one * two * fit.covariance.at(*row, *column)).sum::<f64>()
                    })
                    .sum();
                (found - said).powi(2) + doubt
            })
            .sum();
        let next = (squares / lines.len() as f64).sqrt().max(LEAST_NOISE);
        let moved = (next - noise).abs();
        noise = next;
        fit = posterior(lines, tasks, prior_sd, noise)?;
        if moved < SETTLED {
            break;
        }
    }
    Some((fit, noise))
}

fn posterior(lines: &[Line], tasks: usize, prior_sd: f64, noise: f64) -> Option<Fit> {
    let (of_prior, of_site) = (1.0 / (prior_sd * prior_sd), 1.0 / (noise * noise));
    let mut precision = Square::zero(tasks);
    let mut right = vec![of_prior; tasks];
    for place in 0..tasks {
        precision.add(place, place, of_prior);
    }
    for (shares, found) in lines {
        precision.add_outer(shares, of_site);
        for (place, share) in shares {
            if let Some(slot) = right.get_mut(*place) {
                *slot += of_site * share * found;
            }
        }
    }
    let covariance = precision.inverse()?;
    Some(Fit { mean: covariance.times(&right), covariance })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_task_alone_is_the_mean_drawn_towards_one() {
        let lines: Vec<Line> = vec![(vec![(0, 1.0)], 1.5); 9];
        let fit = posterior(&lines, 1, 0.3, 0.3).unwrap();
        // Nine sites of the prior's own doubt against the prior: nine tenths of the way.
        assert!((fit.mean[0] - 1.45).abs() < 1e-12);
        assert!((fit.covariance.at(0, 0).sqrt() - 0.3 / 10_f64.sqrt()).abs() < 1e-12);
    }

    #[test]
    fn what_always_comes_together_is_not_told_apart() {
        let lines: Vec<Line> = vec![(vec![(0, 0.5), (1, 0.5)], 1.2); 50];
        let (fit, _) = settle(&lines, 2, 0.3).unwrap();
        // Without noise the matrix is next to singular, so that rounding shows in the ninth place or before.
        assert!((fit.mean[0] - fit.mean[1]).abs() < 1e-7 && (fit.mean[0] - 1.2).abs() < 1e-3, "{:?}", fit.mean);
        // Their difference keeps the doubt of the prior.
        let of = |row, column| fit.covariance.at(row, column);
        assert!(((of(0, 0) - 2.0 * of(0, 1) + of(1, 1)).sqrt() - 0.3 * 2_f64.sqrt()).abs() < 1e-6);
        assert!(settle(&[], 0, 0.3).is_none());
    }
}
