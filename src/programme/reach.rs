//! The dates of a plan as quarters, and the periods in which a task by itself could be finished.
//!
//! It looks at one task at a time, as if every crew waited for it; it knows no money and no other task.

use super::calendar::Calendar;
use super::types::{Plan, Task, Why};
use jiff::civil::Date;
use std::ops::Range;

/// The dates of a plan as quarters of working days, counted from the first of its first period.
#[derive(Clone, Debug, Default)]
pub(super) struct Dated {
    pub(super) calendar: Calendar,
    /// Quarters of each period.
    pub(super) periods: Vec<Range<usize>>,
    /// Quarters that each crew works, from the first period to the last.
    pub(super) crews: Vec<Range<usize>>,
}

impl Dated {
    pub(super) fn of(plan: &Plan) -> Self {
        let ends = plan.periods.iter().map(|period| period.to).max();
        let (Some(first), Some(last)) = (plan.periods.iter().map(|period| period.from).min(), ends) else {
            return Self { crews: vec![0..0; plan.crews.len()], ..Self::default() };
        };
        let calendar = Calendar::new(first, last, &plan.closed);
        let span = |from: Date, to: Date| {
            let begin = calendar.begin(from);
            begin..calendar.end(to).max(begin)
        };
        let periods = plan.periods.iter().map(|period| span(period.from, period.to)).collect();
        let crews = plan.crews.iter().map(|crew| span(crew.from, crew.to)).collect();
        Self { periods, crews, calendar }
    }

    /// The first quarter in which work at a task may begin.
    pub(super) fn ready(&self, task: &Task) -> usize {
        self.calendar.begin(task.not_before)
    }

    /// The quarter after the last one in which a task may be finished.
    pub(super) fn latest(&self, task: &Task) -> usize {
        task.finish_by.map_or(usize::MAX, |date| self.calendar.end(date))
    }

    /// The day on which a task without any work counts as finished in a period.
    pub(super) fn idle_finish(&self, plan: &Plan, task: &Task, period: usize) -> Option<Date> {
        let period = plan.periods.get(period)?;
        let day = period.from.max(task.not_before);
        (day <= period.to && task.finish_by.is_none_or(|by| day <= by)).then_some(day)
    }

    /// Quarters in which both a crew of the trade works and the range lies, added up over the crews.
    pub(super) fn crew_quarters(&self, plan: &Plan, trade: usize, within: &Range<usize>) -> usize {
        let crews = plan.crews.iter().zip(&self.crews).filter(|(crew, _)| crew.trade == trade);
        crews.map(|(_, works)| works.end.min(within.end).saturating_sub(works.start.max(within.start))).sum()
    }
}

/// The work of a task that takes time: trade and quarters, in its order, with its number.
pub(super) fn real_work(task: &Task) -> impl DoubleEndedIterator<Item = (usize, usize, usize)> + '_ {
    let with_numbers = task.work.iter().enumerate();
    with_numbers
        .filter(|(_, work)| work.quarters > 0)
        .map(|(number, work)| (number, work.trade, work.quarters as usize))
}

/// The periods in which a task could be finished if it were alone, or why there is none.
pub(super) fn reach(plan: &Plan, dated: &Dated, task: &Task) -> Result<Vec<usize>, Why> {
    let (ready, latest) = (dated.ready(task), dated.latest(task));
    let periods = 0..plan.periods.len();
    let Some((_, last_trade, last_quarters)) = real_work(task).next_back() else {
        let found: Vec<usize> = periods.filter(|period| dated.idle_finish(plan, task, *period).is_some()).collect();
        return if found.is_empty() { Err(Why::TooLate) } else { Ok(found) };
    };
    let crews_of = |trade: usize| {
        plan.crews.iter().zip(&dated.crews).filter(move |(crew, _)| crew.trade == trade).map(|(_, works)| works)
    };
    if let Some((_, trade, _)) = real_work(task).find(|(_, trade, _)| crews_of(*trade).next().is_none()) {
        return Err(Why::NoCrew { trade });
    }
    // The quarter after the last one, where the work could end at `soonest` or later and must end by `last`.
    let ends_in = |period: &Range<usize>, soonest: usize, last: usize| {
        !period.is_empty() && soonest.max(period.start + 1) <= period.end.min(latest).min(last)
    };
    let whole: usize = real_work(task).map(|(_, _, quarters)| quarters).sum();
    if !dated.periods.iter().any(|period| ends_in(period, ready + whole, usize::MAX)) {
        return Err(Why::TooLate);
    }
    let mut free = ready;
    let before_last = real_work(task).count() - 1;
    for (_, trade, quarters) in real_work(task).take(before_last) {
        let ends = crews_of(trade).filter_map(|works| {
            let end = free.max(works.start) + quarters;
            (end <= works.end).then_some(end)
        });
        free = ends.min().ok_or(Why::NoCrew { trade })?;
    }
    let by_some_crew = |period: &Range<usize>| {
        crews_of(last_trade).any(|works| ends_in(period, free.max(works.start) + last_quarters, works.end))
    };
    let found: Vec<usize> = periods.filter(|period| by_some_crew(&dated.periods[*period])).collect();
    if found.is_empty() { Err(Why::NoCrew { trade: last_trade }) } else { Ok(found) }
}
