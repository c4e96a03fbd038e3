//! A selection in the making: which choice each task takes, and what is left of the rows.
//!
//! It knows what may be put where; what is worth putting it does not.

use super::problem::Problem;
use super::rows::TOLERANCE;

/// Which choice each task takes.
#[derive(Clone)]
pub(super) struct State<'a> {
    pub(super) problem: &'a Problem,
    pub(super) taken: Vec<usize>,
    pub(super) left: Vec<f64>,
    pub(super) worth: f64,
}

impl<'a> State<'a> {
    pub(super) fn new(problem: &'a Problem, taken: Vec<usize>) -> Self {
        let (left, worth) = (problem.left(&taken), problem.worth(&taken));
        Self { problem, taken, left, worth }
    }

    /// Puts a task to another choice whether or not the rows are kept.
    pub(super) fn put(&mut self, task: usize, choice: usize) {
        let choices = &self.problem.tasks[task];
        let (old, new) = (&choices[self.taken[task]], &choices[choice]);
        old.uses.iter().for_each(|(row, amount)| self.left[*row] += amount);
        new.uses.iter().for_each(|(row, amount)| self.left[*row] -= amount);
        self.worth += new.worth - old.worth;
        self.taken[task] = choice;
    }

    /// Puts a task to another choice if no row that was kept breaks by it.
    pub(super) fn put_if_kept(&mut self, task: usize, choice: usize) -> bool {
        let choices = &self.problem.tasks[task];
        let old = self.taken[task];
        self.put(task, choice);
        let touched = choices[old].uses.iter().chain(&choices[choice].uses);
        let kept = touched.map(|(row, _)| self.left[*row]).all(|left| left >= -TOLERANCE);
        if !kept {
            self.put(task, old);
        }
        kept
    }

    /// Moves single tasks to choices worth more while any can be, those with most regret first.
    pub(super) fn fill(&mut self, regrets: &[Vec<f64>]) {
        for _ in 0..10 {
            let mut order: Vec<usize> =
                (0..self.taken.len()).filter(|task| self.problem.tasks[*task].len() > 1).collect();
            let regret = |task: usize| regrets[task][self.taken[task]];
            order.sort_by(|a, b| regret(*b).total_cmp(&regret(*a)).then(a.cmp(b)));
            let mut moved = false;
            for task in order {
                let choices = &self.problem.tasks[task];
                let worth = choices[self.taken[task]].worth;
                let mut better: Vec<usize> = (0..choices.len()).filter(|own| choices[*own].worth > worth).collect();
                better.sort_by(|a, b| regrets[task][*a].total_cmp(&regrets[task][*b]).then(a.cmp(b)));
                moved |= better.into_iter().any(|choice| self.put_if_kept(task, choice));
            }
            if !moved {
                break;
            }
        }
    }
}
