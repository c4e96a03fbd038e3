//! What each crew does when, in quarters of working days, and where the next work of a task would stand best.
//!
//! It knows crews and quarters, no money; whether a task should be done at all it is not asked.

use super::super::reach::{Dated, real_work};
use super::super::types::Plan;
use std::ops::Range;

/// One crew at one site, from a quarter until the quarter after its last.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Run {
    pub(super) start: usize,
    pub(super) end: usize,
    pub(super) place: usize,
    pub(super) task: usize,
    pub(super) work: usize,
}

/// Every crew's runs in order of time.
#[derive(Clone)]
pub(super) struct Board<'a> {
    plan: &'a Plan,
    dated: &'a Dated,
    pub(super) crews: Vec<Vec<Run>>,
}

impl<'a> Board<'a> {
    pub(super) fn new(plan: &'a Plan, dated: &'a Dated) -> Self {
        Self { plan, dated, crews: vec![Vec::new(); plan.crews.len()] }
    }

    /// Lays every work of a task so that it is finished in a period, each as soon as it can be; a crew that has to move
    /// for it counts as if it came so many quarters later. Nothing is laid where not all finds room.
    pub(super) fn lay(&mut self, task: usize, period: usize, move_quarters: usize) -> bool {
        let own = &self.plan.tasks[task];
        let Some(within) = self.dated.periods.get(period) else { return false };
        let mut ready = self.dated.ready(own);
        let latest = within.end.min(self.dated.latest(own));
        let mut after: usize = real_work(own).map(|(_, _, quarters)| quarters).sum();
        let mut laid: Vec<(usize, usize)> = Vec::new();
        for (work, trade, quarters) in real_work(own) {
            after -= quarters;
            // What comes after it must fit too; what finishes the task must end in the period.
            let soonest = if after == 0 { ready.max((within.start + 1).saturating_sub(quarters)) } else { ready };
            let window = soonest..latest.saturating_sub(after);
            let Some((crew, start)) = self.best(own.place, trade, quarters, &window, move_quarters) else {
                laid.into_iter().for_each(|(crew, start)| self.take_off(crew, start));
                return false;
            };
            let run = Run { start, end: start + quarters, place: own.place, task, work };
            self.put(crew, run);
            laid.push((crew, start));
            ready = run.end;
        }
        true
    }

    /// Takes every work of a task off again: crew and run of each.
    pub(super) fn remove(&mut self, task: usize) -> Vec<(usize, Run)> {
        let mut taken_off = Vec::new();
        for (crew, runs) in self.crews.iter_mut().enumerate() {
            taken_off.extend(runs.iter().filter(|run| run.task == task).map(|run| (crew, *run)));
            runs.retain(|run| run.task != task);
        }
        taken_off
    }

    /// Puts a run where nothing else is in the way.
    pub(super) fn put(&mut self, crew: usize, run: Run) {
        let at = self.crews[crew].partition_point(|other| other.start < run.start);
        self.crews[crew].insert(at, run);
    }

    fn take_off(&mut self, crew: usize, start: usize) {
        self.crews[crew].retain(|run| run.start != start);
    }

    /// The crew of a trade and the start that come first, moves counted.
    fn best(
        &self,
        place: usize,
        trade: usize,
        quarters: usize,
        window: &Range<usize>,
        move_quarters: usize,
    ) -> Option<(usize, usize)> {
        let crews = self.plan.crews.iter().enumerate().filter(|(_, crew)| crew.trade == trade);
        let starts = crews.filter_map(|(crew, _)| {
            let works = &self.dated.crews[crew];
            let within = window.start.max(works.start)..window.end.min(works.end);
            let (cost, start) = best_gap(&self.crews[crew], &within, quarters, place, move_quarters)?;
            Some((cost, crew, start))
        });
        starts.min().map(|(_, crew, start)| (crew, start))
    }

    /// How often crews go from one place to another.
    pub(super) fn moves(&self) -> u32 {
        let of_crew = |runs: &Vec<Run>| runs.windows(2).filter(|two| two[0].place != two[1].place).count();
        u32::try_from(self.crews.iter().map(of_crew).sum::<usize>()).unwrap_or(u32::MAX)
    }

    /// The quarter after the last one of a task.
    pub(super) fn end_of(&self, task: usize) -> Option<usize> {
        self.crews.iter().flatten().filter(|run| run.task == task).map(|run| run.end).max()
    }
}

/// The start within the quarters given at which nothing else is in the way and that comes first, the moves that a run
/// there adds counted; with what it comes to.
fn best_gap(
    runs: &[Run],
    within: &Range<usize>,
    quarters: usize,
    place: usize,
    move_quarters: usize,
) -> Option<(usize, usize)> {
    let mut best = None;
    let mut next = runs.partition_point(|run| run.end <= within.start);
    let mut start = within.start;
    while start + quarters <= within.end && best.is_none_or(|(cost, _)| start < cost) {
        let after = runs.get(next);
        if after.is_none_or(|run| run.start >= start + quarters) {
            let before = next.checked_sub(1).and_then(|before| runs.get(before));
            let moves = |one: Option<&Run>| usize::from(one.is_some_and(|run| run.place != place));
            let already = before.zip(after).is_some_and(|(before, after)| before.place != after.place);
            let added = (moves(before) + moves(after)).saturating_sub(usize::from(already));
            let cost = (start + added * move_quarters, start);
            best = Some(best.map_or(cost, |best: (usize, usize)| best.min(cost)));
        }
        let Some(after) = after else { break };
        start = start.max(after.end);
        next += 1;
    }
    best
}

#[cfg(test)]
mod tests {
    use super::*;

    fn run(start: usize, end: usize, place: usize) -> Run {
        Run { start, end, place, task: 0, work: 0 }
    }

    #[test]
    fn a_gap_is_used_where_the_run_fits_and_not_where_it_does_not() {
        let runs = [run(0, 4, 1), run(7, 9, 1), run(20, 24, 2)];
        let gap = |from, to, quarters, place| best_gap(&runs, &(from..to), quarters, place, 1);
        assert_eq!(gap(0, 40, 3, 1), Some((4, 4)));
        assert_eq!(gap(0, 40, 3, 5), Some((6, 4)));
        assert_eq!(gap(0, 40, 4, 2), Some((9, 9)));
        assert_eq!(gap(0, 40, 12, 3), Some((25, 24)));
        assert_eq!(gap(0, 35, 12, 3), None);
        assert_eq!(gap(22, 40, 1, 3), Some((25, 24)));
        assert_eq!(best_gap(&[], &(3..5), 2, 3, 9), Some((3, 3)));
    }

    #[test]
    fn a_later_gap_is_taken_where_it_saves_moves_that_count_for_more() {
        let runs = [run(0, 4, 1), run(8, 12, 1), run(12, 16, 2)];
        assert_eq!(best_gap(&runs, &(0..40), 2, 2, 4), Some((12, 4)));
        assert_eq!(best_gap(&runs, &(0..40), 2, 2, 7), Some((16, 16)));
    }
}
