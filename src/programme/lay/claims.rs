//! What the tasks of a programme take from the rows of the selection: a programme never takes more than a selection may,
//! so that the selection's bound holds for it.
//!
//! It knows rows and periods, not the calendar.

use super::super::select::{Rows, TOLERANCE};
use super::super::types::Plan;

/// Which task claims which period, and what that leaves.
#[derive(Clone)]
pub(super) struct Claims<'a> {
    plan: &'a Plan,
    rows: &'a Rows,
    pub(super) periods: Vec<Option<usize>>,
    left: Vec<f64>,
}

impl<'a> Claims<'a> {
    /// The claims of a selection; least shares that it misses count for nothing.
    pub(super) fn new(plan: &'a Plan, rows: &'a Rows, periods: &[Option<usize>], shares_missed: &[usize]) -> Self {
        let mut left = rows.caps.clone();
        for row in shares_missed.iter().filter_map(|number| rows.of_share(*number)) {
            left[row] = f64::INFINITY;
        }
        let mut claims = Self { plan, rows, periods: vec![None; plan.tasks.len()], left };
        for (task, period) in periods.iter().enumerate() {
            period.iter().for_each(|period| claims.add(task, *period));
        }
        claims
    }

    fn add(&mut self, task: usize, period: usize) {
        self.rows.uses(self.plan, task, period).iter().for_each(|(row, amount)| self.left[*row] -= amount);
        self.periods[task] = Some(period);
    }

    /// Gives up the claim of a task.
    pub(super) fn release(&mut self, task: usize) {
        let Some(period) = self.periods[task].take() else { return };
        self.rows.uses(self.plan, task, period).iter().for_each(|(row, amount)| self.left[*row] += amount);
    }

    /// Claims a period for a task if all that it takes is left.
    pub(super) fn claim(&mut self, task: usize, period: usize) -> bool {
        let uses = self.rows.uses(self.plan, task, period);
        let fits = uses.iter().all(|(row, amount)| *amount <= 0.0 || self.left[*row] - amount >= -TOLERANCE);
        if fits {
            self.add(task, period);
        }
        fits
    }

    /// The periods in which a task could be finished if it were alone.
    pub(super) fn reached(&self, task: usize) -> &'a [usize] {
        self.rows.reached[task].as_deref().unwrap_or(&[])
    }

    /// The largest part of what is there altogether that a task would take from any row.
    pub(super) fn scarcest(&self, task: usize, period: usize) -> f64 {
        let uses = self.rows.uses(self.plan, task, period);
        let parts = uses
            .iter()
            .filter(|(row, _)| self.rows.caps[*row] > 0.0)
            .map(|(row, amount)| amount / self.rows.caps[*row]);
        parts.fold(0.0, f64::max)
    }

    /// Whether a least share is reached by what is claimed.
    pub(super) fn reaches(&self, number: usize) -> bool {
        let Some(row) = self.rows.of_share(number) else { return false };
        let claimed = self.periods.iter().enumerate().filter_map(|(task, period)| Some((task, (*period)?)));
        let over = claimed.map(|(task, period)| self.taken(task, period, row)).sum::<f64>();
        over <= TOLERANCE
    }

    /// What a task takes from the row of a least share; below 0 where it gives.
    pub(super) fn over_share(&self, task: usize, number: usize) -> f64 {
        match (self.rows.of_share(number), self.periods[task]) {
            (Some(row), Some(period)) => self.taken(task, period, row),
            _ => 0.0,
        }
    }

    fn taken(&self, task: usize, period: usize, row: usize) -> f64 {
        let uses = self.rows.uses(self.plan, task, period);
        uses.iter().filter(|(own, _)| *own == row).map(|(_, amount)| amount).sum()
    }
}
