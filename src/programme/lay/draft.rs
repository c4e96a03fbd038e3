//! One way to lay a selection on the calendar: the tasks of each period in turn, what finds no room later, then whatever
//! else still fits.
//!
//! It makes one draft; which of several is best is for `lay`.

use super::super::reach::{Dated, real_work};
use super::super::select::{worth, worth_in};
use super::super::types::Plan;
use super::board::Board;
use super::claims::Claims;
use super::tour::Tour;

/// How often all tasks are laid anew so that crews move less.
const ROUNDS_OF_GATHERING: usize = 4;

/// What is laid before the rest of a period.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum First {
    Nothing,
    Musts,
    /// Musts and tasks with a day by which they must be finished.
    Urgent,
}

/// How a draft is made.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Way {
    pub(super) first: First,
    /// A crew that has to move comes as if so many quarters later.
    pub(super) move_quarters: usize,
}

/// What every draft of a plan stands on.
#[derive(Clone, Copy)]
pub(super) struct Grounds<'a> {
    pub(super) plan: &'a Plan,
    pub(super) dated: &'a Dated,
    /// The order in which tasks are taken that nothing else orders.
    pub(super) order: &'a [usize],
}

/// A selection on the calendar.
#[derive(Clone)]
pub(super) struct Draft<'a> {
    plan: &'a Plan,
    dated: &'a Dated,
    pub(super) board: Board<'a>,
    pub(super) claims: Claims<'a>,
    order: &'a [usize],
    pub(super) way: Way,
    /// Tasks that are laid already before the periods are gone through.
    ahead: Vec<bool>,
}

impl<'a> Draft<'a> {
    /// Lays what is claimed, some tasks ahead of all others; afterwards nothing is claimed that is not laid.
    pub(super) fn laid(on: &Grounds<'a>, claims: &Claims<'a>, way: Way, ahead: &[usize]) -> Self {
        let (plan, dated, order) = (on.plan, on.dated, on.order);
        let (board, claims) = (Board::new(plan, dated), claims.clone());
        let mut draft = Self { plan, dated, board, claims, order, way, ahead: vec![false; plan.tasks.len()] };
        for &task in ahead {
            let claimed = draft.claims.periods[task];
            draft.ahead[task] = claimed.is_some_and(|period| draft.lay(task, period));
        }
        for period in 0..plan.periods.len() {
            draft.lay_period(period);
        }
        draft.fill();
        draft
    }

    fn lay_period(&mut self, period: usize) {
        let first = self.way.first;
        let goes_first = |task: usize| match first {
            First::Nothing => false,
            First::Musts => self.plan.tasks[task].must,
            First::Urgent => self.plan.tasks[task].must || self.plan.tasks[task].finish_by.is_some(),
        };
        let claimed = self.order.iter().copied();
        let claimed = claimed.filter(|task| self.claims.periods[*task] == Some(period) && !self.ahead[*task]);
        let (before, after): (Vec<usize>, Vec<usize>) = claimed.partition(|task| goes_first(*task));
        let mut without_room = Vec::new();
        for tasks in [before, after] {
            let mut tour = Tour::new(self.plan, self.dated, &tasks);
            while let Some(tasks) = tour.next(&self.board) {
                without_room.extend(tasks.into_iter().filter(|task| !self.lay(*task, period)));
            }
        }
        for task in without_room {
            self.claims.release(task);
            let later = self.claims.reached(task).iter().filter(|later| **later > period);
            // The first later period with money and crews for it lays it in its turn.
            let _found = later.into_iter().any(|later| self.claims.claim(task, *later));
        }
    }

    /// Lays a task so that it is finished in a period. A task without work stands on no crew's calendar.
    fn lay(&mut self, task: usize, period: usize) -> bool {
        let idle = real_work(&self.plan.tasks[task]).next().is_none();
        idle || self.board.lay(task, period, self.way.move_quarters)
    }

    /// Tries what is not claimed, those worth most for what they take of the scarcest first, in the soonest period that
    /// has money, crews and room for it.
    fn fill(&mut self) {
        let mut left: Vec<(bool, f64, usize)> = Vec::new();
        for &task in self.order.iter().filter(|task| self.claims.periods[**task].is_none()) {
            let Some(&period) = self.claims.reached(task).first() else { continue };
            let value = worth_in(self.plan, task, period) / self.claims.scarcest(task, period).max(f64::MIN_POSITIVE);
            left.push((self.plan.tasks[task].must, value, task));
        }
        left.sort_by(|a, b| b.0.cmp(&a.0).then(b.1.total_cmp(&a.1)));
        for (_, _, task) in left {
            for &period in self.claims.reached(task) {
                if !self.claims.claim(task, period) {
                    continue;
                }
                if self.lay(task, period) {
                    break;
                }
                self.claims.release(task);
            }
        }
    }

    /// Takes off tasks that do not give to a least share until it is reached, those worth least for it first; leaves all
    /// as it is where that does not reach it. The tasks taken off.
    pub(super) fn reach_share(&mut self, number: usize, shares: &[usize]) -> Vec<usize> {
        if self.claims.reaches(number) {
            return Vec::new();
        }
        let done: Vec<(usize, usize)> = self.claimed().collect();
        let mut takers: Vec<(f64, usize)> = Vec::new();
        for (task, period) in done {
            let over = self.claims.over_share(task, number);
            let gives_to_another = shares.iter().any(|other| self.claims.over_share(task, *other) < 0.0);
            if over > 0.0 && !gives_to_another && !self.plan.tasks[task].must {
                takers.push((worth_in(self.plan, task, period) / over, task));
            }
        }
        takers.sort_by(|a, b| a.0.total_cmp(&b.0));
        let (before, mut taken_off) = (self.clone(), Vec::new());
        for (_, task) in takers {
            if self.claims.reaches(number) {
                break;
            }
            self.board.remove(task);
            self.claims.release(task);
            taken_off.push(task);
        }
        if !self.claims.reaches(number) {
            *self = before;
            taken_off.clear();
        }
        taken_off
    }

    /// Lays each task anew in its period, wherever crews move less by it.
    pub(super) fn gather(&mut self) {
        for _ in 0..ROUNDS_OF_GATHERING {
            let moves = self.board.moves();
            for (task, period) in self.claimed().collect::<Vec<_>>() {
                let before = self.board.moves();
                let runs = self.board.remove(task);
                if !self.lay_moving_least(task, period) || self.board.moves() >= before {
                    self.board.remove(task);
                    runs.into_iter().for_each(|(crew, run)| self.board.put(crew, run));
                }
            }
            if self.board.moves() >= moves {
                break;
            }
        }
    }

    fn lay_moving_least(&mut self, task: usize, period: usize) -> bool {
        let beyond = self.dated.periods.iter().map(|period| period.end).max().unwrap_or(0);
        self.board.lay(task, period, beyond)
    }

    /// Tasks that claim a period, with it.
    fn claimed(&self) -> impl Iterator<Item = (usize, usize)> + '_ {
        self.order.iter().filter_map(|task| Some((*task, self.claims.periods[*task]?)))
    }

    pub(super) fn worth(&self) -> f64 {
        worth(self.plan, self.order, &self.claims.periods)
    }

    pub(super) fn musts(&self) -> usize {
        let done = self.plan.tasks.iter().zip(&self.claims.periods);
        done.filter(|(task, period)| task.must && period.is_some()).count()
    }
}
