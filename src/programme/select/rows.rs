//! The rows that a selection must keep: money of the periods, quarters of the crews, least shares of the points.
//!
//! It says what a task takes from each row when it is finished in a period; which tasks to take it does not know.

use super::super::reach::{Dated, real_work};
use super::super::types::{Plan, Unspent, Why};
use std::collections::{BTreeMap, BTreeSet};

/// Sums of pence and of quarters are exact; only shares of points are not whole numbers.
pub(in super::super) const TOLERANCE: f64 = 1e-6;
/// Beyond so many windows of crews only those that begin with the first period are kept.
const MOST_WINDOWS: usize = 200;

/// What a row counts.
#[derive(Clone, Debug, PartialEq)]
enum Counts {
    /// Costs of what is finished in these periods.
    Costs { first: usize, last: usize },
    /// Quarters of a trade at tasks that may not begin before the first of these periods and are finished by the end of
    /// the last.
    Quarters { trade: usize, first: usize, last: usize },
    /// Quarters of the work that finishes tasks in a period: it ends in the period, so no more than one run of a crew
    /// can have begun before it.
    Finishing { trade: usize, period: usize },
    /// A share of all points less the points of those that are to give it.
    Share { number: usize },
}

/// The rows of a plan.
#[derive(Clone, Debug)]
pub(in super::super) struct Rows {
    counts: Vec<Counts>,
    /// The most that each row may come to.
    pub(in super::super) caps: Vec<f64>,
    /// The first period with whose first day, or after it, a task may begin; by task.
    starts_in: Vec<usize>,
    in_share: Vec<Vec<bool>>,
    /// The periods in which each task could be finished if it were alone, or why there is none.
    pub(in super::super) reached: Vec<Result<Vec<usize>, Why>>,
}

/// A usable share as it is counted: none where it is no number.
fn usable(plan: &Plan) -> f64 {
    if plan.usable_share.is_nan() { 0.0 } else { plan.usable_share.clamp(0.0, 1.0) }
}

impl Rows {
    pub(in super::super) fn of(plan: &Plan, dated: &Dated) -> Self {
        let reached: Vec<_> = plan.tasks.iter().map(|task| super::super::reach::reach(plan, dated, task)).collect();
        let starts_in = plan
            .tasks
            .iter()
            .map(|task| plan.periods.iter().rposition(|period| period.from <= task.not_before).unwrap_or(0));
        let in_share = plan.least.iter().map(|least| {
            let named: BTreeSet<usize> = least.tasks.iter().copied().collect();
            (0..plan.tasks.len()).map(|task| named.contains(&task)).collect()
        });
        let (starts_in, in_share) = (starts_in.collect(), in_share.collect());
        let mut rows = Self { counts: Vec::new(), caps: Vec::new(), starts_in, in_share, reached };
        rows.add_money(plan);
        rows.add_crews(plan, dated);
        for number in 0..plan.least.len() {
            rows.add(Counts::Share { number }, 0.0);
        }
        rows
    }

    fn add(&mut self, counts: Counts, cap: f64) {
        self.counts.push(counts);
        self.caps.push(cap);
    }

    fn add_money(&mut self, plan: &Plan) {
        let mut carried = 0.0;
        for (number, period) in plan.periods.iter().enumerate() {
            let budget = period.budget.0.max(0) as f64;
            carried += budget;
            match plan.unspent {
                Unspent::Lost => self.add(Counts::Costs { first: number, last: number }, budget),
                Unspent::Carried => self.add(Counts::Costs { first: 0, last: number }, carried),
            }
        }
    }

    fn add_crews(&mut self, plan: &Plan, dated: &Dated) {
        let trades: BTreeSet<usize> = plan.crews.iter().map(|crew| crew.trade).collect();
        let starts: BTreeSet<usize> = self.starts_in.iter().copied().filter(|first| *first > 0).collect();
        let periods = plan.periods.len();
        let all = trades.len() * (periods + starts.iter().map(|first| periods - first).sum::<usize>());
        let firsts: BTreeSet<usize> =
            if all > MOST_WINDOWS { BTreeSet::from([0]) } else { starts }.into_iter().chain([0]).collect();
        for &trade in &trades {
            let longest = self.longest_finishing(plan, trade);
            for (number, period) in dated.periods.iter().enumerate() {
                for &first in firsts.iter().filter(|first| **first <= number) {
                    let begin = if first == 0 { 0 } else { dated.periods[first].start };
                    let quarters = dated.crew_quarters(plan, trade, &(begin..period.end)) as f64;
                    self.add(Counts::Quarters { trade, first, last: number }, (usable(plan) * quarters + 1e-9).floor());
                }
                let Some(longest) = longest.get(&number) else { continue };
                let across = plan.crews.iter().zip(&dated.crews).filter(|(crew, works)| {
                    crew.trade == trade && works.start < period.start && works.end > period.start
                });
                let quarters = dated.crew_quarters(plan, trade, period) as f64;
                let begun = (across.count() * (longest - 1)) as f64;
                self.add(Counts::Finishing { trade, period: number }, (usable(plan) * quarters + 1e-9).floor() + begun);
            }
        }
    }

    /// The longest work of a trade that may finish a task in each period after the first.
    fn longest_finishing(&self, plan: &Plan, trade: usize) -> BTreeMap<usize, usize> {
        let mut longest = BTreeMap::new();
        for (task, reached) in plan.tasks.iter().zip(&self.reached) {
            let last = real_work(task).next_back().filter(|(_, last, _)| *last == trade);
            let (Some((_, _, quarters)), Ok(reached)) = (last, reached) else { continue };
            for &period in reached.iter().filter(|period| **period > 0) {
                let most = longest.entry(period).or_insert(quarters);
                *most = quarters.max(*most);
            }
        }
        longest
    }

    /// The rows that a task takes from when it is finished in a period, and how much.
    pub(in super::super) fn uses(&self, plan: &Plan, task: usize, period: usize) -> Vec<(usize, f64)> {
        let Some(own) = plan.tasks.get(task) else { return Vec::new() };
        let mut quarters: BTreeMap<usize, usize> = BTreeMap::new();
        for (_, trade, needed) in real_work(own) {
            *quarters.entry(trade).or_default() += needed;
        }
        let last = real_work(own).next_back();
        let amount = |counts: &Counts| match *counts {
            Counts::Costs { first, last } if (first..=last).contains(&period) => own.cost.0.max(0) as f64,
            Counts::Quarters { trade, first, last } if period <= last && self.starts_in[task] >= first => {
                quarters.get(&trade).copied().unwrap_or(0) as f64
            }
            Counts::Finishing { trade, period: own } if own == period => {
                last.filter(|(_, last, _)| *last == trade).map_or(0.0, |(_, _, quarters)| quarters as f64)
            }
            Counts::Share { number } => {
                let given = if self.in_share[number][task] { 1.0 } else { 0.0 };
                (share(plan, number) - given) * f64::from(own.points)
            }
            Counts::Costs { .. } | Counts::Quarters { .. } | Counts::Finishing { .. } => 0.0,
        };
        let found = self.counts.iter().map(amount).enumerate();
        found.filter(|(_, amount)| *amount != 0.0).collect()
    }

    /// Whether a row counts quarters of crews.
    pub(in super::super) fn is_of_crews(&self, row: usize) -> bool {
        matches!(self.counts.get(row), Some(Counts::Quarters { .. } | Counts::Finishing { .. }))
    }

    /// The row of a least share.
    pub(in super::super) fn of_share(&self, number: usize) -> Option<usize> {
        self.counts.iter().position(|counts| *counts == Counts::Share { number })
    }
}

fn share(plan: &Plan, number: usize) -> f64 {
    plan.least.get(number).map_or(0.0, |least| if least.share.is_nan() { 0.0 } else { least.share.clamp(0.0, 1.0) })
}
