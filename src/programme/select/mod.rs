//! Which tasks to do in which period: those worth most for the money and the crews, with the bound that no selection
//! passes.
//!
//! It knows rows of money, quarters and points, not on which day a crew stands where.

mod interior;
mod multipliers;
mod problem;
mod rows;
mod search;
mod solve;
mod state;
#[cfg(test)]
mod tests;

use super::reach::Dated;
use super::types::{Plan, Selection};
use multipliers::{Bound, linear};
use problem::{Choice, Problem};
pub(super) use rows::{Rows, TOLERANCE};
use solve::solve;
use std::collections::BTreeSet;

/// Chooses the tasks worth most together and the period in which each is to be finished.
///
/// What a selection must keep: a task is finished once at most, in a period in which it could be if it were alone; the
/// costs stay within the budget of each period (with [`Unspent::Carried`](super::Unspent::Carried), within the budgets so
/// far); the quarters of each trade at what is finished by the end of a period stay within the usable share of those that
/// its crews have from the first period on, and so do those at tasks that may not begin before a later period, from that
/// period on; the works that finish tasks in a period stay within the usable share of that period's quarters and, for each
/// crew that works across its first day, one run begun before it.
///
/// Musts come first: as many as fit together, then by worth. Then the least shares in their order: one that cannot be
/// reached with the musts and the shares before it is dropped. A share that nothing is done towards is reached where
/// nothing is done at all. `bound` holds for every selection with the same musts and shares kept; it is `worth` where the
/// selection is proven to be the best.
pub fn select(plan: &Plan) -> Selection {
    select_without(plan, &BTreeSet::new())
}

/// The selection among those that finish none of the tasks given in the period given.
pub(super) fn select_without(plan: &Plan, barred: &BTreeSet<(usize, usize)>) -> Selection {
    let dated = Dated::of(plan);
    let order = in_order(plan);
    let mut rows = Rows::of(plan, &dated);
    for (task, reached) in rows.reached.iter_mut().enumerate() {
        reached.iter_mut().for_each(|reached| reached.retain(|period| !barred.contains(&(task, *period))));
    }
    let sorted = Sorted { plan, rows, order };
    let mut kept = Kept { musts: vec![false; plan.tasks.len()], shares: vec![false; plan.least.len()] };
    let mut periods = sorted.musts(&mut kept);
    for number in 0..plan.least.len() {
        periods = sorted.share(&mut kept, number, periods);
    }
    let problem = sorted.problem(&kept, |task, period| sorted.worth(task, period));
    let answer = solve(&problem.own, problem.taken(&periods), f64::INFINITY);
    let periods = problem.periods(&answer.taken, plan.tasks.len());
    let worth = worth(plan, &sorted.order, &periods);
    // The same sum in another order may differ in its last digits.
    let proven = answer.bound <= worth + 1e-9 * worth.abs();
    let missed = |task: &usize| plan.tasks[*task].must && !kept.musts[*task];
    Selection {
        worth,
        bound: if proven { worth } else { answer.bound },
        musts_missed: (0..plan.tasks.len()).filter(missed).collect(),
        shares_missed: (0..plan.least.len()).filter(|number| !kept.shares[*number]).collect(),
        periods,
    }
}

/// The bound of the linear programme alone, for the musts and least shares that a programme keeps.
pub(super) fn linear_bound(plan: &Plan, musts: Vec<bool>, shares: Vec<bool>) -> f64 {
    let dated = Dated::of(plan);
    let sorted = Sorted { plan, rows: Rows::of(plan, &dated), order: in_order(plan) };
    let problem = sorted.problem(&Kept { musts, shares }, |task, period| sorted.worth(task, period)).own;
    Bound::of(&problem, &linear(&problem).multipliers).worth
}

/// What a task is worth when it is finished in a period; 0 where that is no number.
pub(super) fn worth_in(plan: &Plan, task: usize, period: usize) -> f64 {
    let later = plan.later_share.powi(i32::try_from(period).unwrap_or(i32::MAX));
    let worth = plan.tasks.get(task).map_or(0.0, |task| task.worth) * later;
    if worth.is_finite() { worth.max(0.0) } else { 0.0 }
}

/// What tasks are worth together, added up in one order whatever that of the plan.
pub(super) fn worth(plan: &Plan, order: &[usize], periods: &[Option<usize>]) -> f64 {
    order.iter().filter_map(|task| periods[*task].map(|period| worth_in(plan, *task, period))).sum()
}

/// The tasks in an order that follows from what they are, not from where they stand.
pub(super) fn in_order(plan: &Plan) -> Vec<usize> {
    let shares_of = |task: usize| -> Vec<bool> { plan.least.iter().map(|least| least.tasks.contains(&task)).collect() };
    let shares: Vec<Vec<bool>> = (0..plan.tasks.len()).map(shares_of).collect();
    let mut order: Vec<usize> = (0..plan.tasks.len()).collect();
    let key = |task: usize| {
        let own = &plan.tasks[task];
        let work: Vec<(usize, u32)> = own.work.iter().map(|work| (work.trade, work.quarters)).collect();
        (own.cost, own.points, work, own.not_before, own.finish_by, own.place, own.must, &shares[task])
    };
    order.sort_by(|a, b| {
        let (first, second) = (&plan.tasks[*a], &plan.tasks[*b]);
        second.worth.total_cmp(&first.worth).then_with(|| key(*a).cmp(&key(*b))).then(a.cmp(b))
    });
    order
}

/// Musts and least shares that a selection keeps.
struct Kept {
    musts: Vec<bool>,
    shares: Vec<bool>,
}

/// A plan with its rows and its tasks in order.
struct Sorted<'a> {
    plan: &'a Plan,
    rows: Rows,
    order: Vec<usize>,
}

/// A problem and which task of the plan each of its tasks is.
struct Own {
    own: Problem,
    tasks: Vec<usize>,
}

impl Own {
    /// The choices that finish each task in the period given, or leave it out.
    fn taken(&self, periods: &[Option<usize>]) -> Vec<usize> {
        let place = |(choices, task): (&Vec<Choice>, &usize)| {
            choices.iter().position(|choice| choice.period == periods[*task]).unwrap_or(choices.len() - 1)
        };
        self.own.tasks.iter().zip(&self.tasks).map(place).collect()
    }

    fn periods(&self, taken: &[usize], tasks: usize) -> Vec<Option<usize>> {
        let mut periods = vec![None; tasks];
        for ((choices, taken), task) in self.own.tasks.iter().zip(taken).zip(&self.tasks) {
            periods[*task] = choices[*taken].period;
        }
        periods
    }
}

impl Sorted<'_> {
    fn worth(&self, task: usize, period: usize) -> f64 {
        worth_in(self.plan, task, period)
    }

    /// Every task that could be done, with what each period is worth for it; musts and shares as far as kept.
    fn problem(&self, kept: &Kept, worth: impl Fn(usize, usize) -> f64) -> Own {
        let mut caps = self.rows.caps.clone();
        for number in (0..self.plan.least.len()).filter(|number| !kept.shares[*number]) {
            self.rows.of_share(number).into_iter().for_each(|row| caps[row] = f64::INFINITY);
        }
        let (mut tasks, mut choices_of) = (Vec::new(), Vec::new());
        for &task in &self.order {
            let Ok(reached) = &self.rows.reached[task] else { continue };
            let in_period = |period: &usize| Choice {
                period: Some(*period),
                worth: worth(task, *period),
                uses: self.rows.uses(self.plan, task, *period),
            };
            let mut choices: Vec<Choice> = reached.iter().map(in_period).collect();
            if !kept.musts[task] {
                choices.push(Choice { period: None, worth: 0.0, uses: Vec::new() });
            }
            tasks.push(task);
            choices_of.push(choices);
        }
        Own { own: Problem { tasks: choices_of, caps }.tidied(), tasks }
    }

    /// Musts that fit together, most of them and then those worth most, and the periods in which they do.
    fn musts(&self, kept: &mut Kept) -> Vec<Option<usize>> {
        let musts = || self.plan.tasks.iter().enumerate().filter(|(_, task)| task.must);
        let whole: f64 = musts().map(|(task, _)| self.worth(task, 0)).sum();
        let mut problem = self.problem(kept, |task, _| 1.0 + 0.5 * self.worth(task, 0) / whole.max(f64::MIN_POSITIVE));
        let is_must = |task: usize| self.plan.tasks[task].must;
        let keep: Vec<bool> = problem.tasks.iter().map(|task| is_must(*task)).collect();
        let mut keep_choices = keep.iter();
        problem.own.tasks.retain(|_| keep_choices.next() == Some(&true));
        problem.tasks.retain(|task| is_must(*task));
        problem.own = std::mem::take(&mut problem.own).tidied();
        let start = problem.taken(&vec![None; self.plan.tasks.len()]);
        let answer = solve(&problem.own, start, f64::INFINITY);
        let periods = problem.periods(&answer.taken, self.plan.tasks.len());
        for (kept, period) in kept.musts.iter_mut().zip(&periods) {
            *kept = period.is_some();
        }
        periods
    }

    /// Keeps a least share too, if a selection that reaches it is found.
    fn share(&self, kept: &mut Kept, number: usize, periods: Vec<Option<usize>>) -> Vec<Option<usize>> {
        let Some(row) = self.rows.of_share(number) else { return periods };
        let over = |task: usize, period: usize| -> f64 {
            self.rows
                .uses(self.plan, task, period)
                .iter()
                .filter(|(own, _)| *own == row)
                .map(|(_, amount)| amount)
                .sum()
        };
        let problem = self.problem(kept, |task, period| -over(task, period));
        let answer = solve(&problem.own, problem.taken(&periods), 0.0);
        if problem.own.worth(&answer.taken) < -TOLERANCE {
            return periods;
        }
        kept.shares[number] = true;
        problem.periods(&answer.taken, self.plan.tasks.len())
    }
}
