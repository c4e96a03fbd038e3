//! A programme week by week and crew by crew: what is finished and spent, and where each crew is. It knows what was laid
//! and lays nothing.

use super::types::{Laid, Plan, Visit};
use crate::quantity::Pence;
use jiff::ToSpan;
use jiff::civil::{Date, Weekday};
use std::collections::BTreeMap;

/// Weeks that are shown at most: ten years and a little.
const MOST_WEEKS: usize = 540;

/// One week.
#[derive(Clone, Debug, PartialEq)]
pub struct Week {
    /// Its Monday.
    pub monday: Date,
    /// Sites finished in it.
    pub sites: u32,
    /// Points that they give.
    pub points: u32,
    /// What they cost, before tax.
    pub cost: Pence,
    /// Points up to its end.
    pub points_so_far: u32,
    /// Cost up to its end.
    pub cost_so_far: Pence,
    /// Quarters of a day that each crew is at sites, by crew.
    pub quarters: Vec<u32>,
}

/// What is finished in a period.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Spent {
    /// Sites.
    pub sites: u32,
    /// Points that they give.
    pub points: u32,
    /// What they cost, before tax.
    pub cost: Pence,
}

/// One crew at one place without another between.
#[derive(Clone, Debug, PartialEq)]
pub struct Stay {
    /// The crew, by number.
    pub crew: usize,
    /// The place, by number.
    pub place: usize,
    /// First day.
    pub first: Date,
    /// Last day.
    pub last: Date,
    /// Visits of sites.
    pub visits: u32,
    /// Quarters of a day worked in each week, by the number of the week.
    pub quarters: BTreeMap<usize, u32>,
}

/// The Monday of a day's week.
fn monday(day: Date) -> Date {
    day.checked_sub(i32::from(day.weekday().to_monday_zero_offset()).days()).unwrap_or(day)
}

/// The week of a day, counted from that of `first`.
fn week_of(first: Date, day: Date) -> usize {
    let days = day.since(monday(first)).map_or(0, |span| span.get_days());
    usize::try_from(days / 7).unwrap_or(0)
}

fn is_worked(plan: &Plan, day: Date) -> bool {
    !matches!(day.weekday(), Weekday::Saturday | Weekday::Sunday) && plan.closed.binary_search(&day).is_err()
}

/// Quarters of a day that a visit takes on each day.
fn quarters_of<'a>(plan: &'a Plan, visit: &'a Visit) -> impl Iterator<Item = (Date, u32)> + 'a {
    let days = visit.first.date.series(1.day()).take_while(|day| *day <= visit.last.date);
    days.filter(|day| is_worked(plan, *day)).map(|day| {
        let first = if day == visit.first.date { visit.first.quarter } else { 0 };
        let last = if day == visit.last.date { visit.last.quarter } else { 3 };
        (day, u32::from(last.saturating_sub(first)) + 1)
    })
}

/// What is finished in each period, by number.
pub fn spent(plan: &Plan, laid: &Laid) -> Vec<Spent> {
    let mut periods = vec![Spent::default(); plan.periods.len()];
    for done in &laid.done {
        if let Some((own, task)) = periods.get_mut(done.period).zip(plan.tasks.get(done.task)) {
            own.sites += 1;
            own.points += task.points;
            own.cost = own.cost + task.cost;
        }
    }
    periods
}

/// The weeks from the first day of the first period to the last day that anything is done.
pub fn weeks(plan: &Plan, laid: &Laid) -> Vec<Week> {
    let Some(first) = plan.periods.first().map(|period| period.from) else { return Vec::new() };
    let finishes = laid.done.iter().map(|done| done.finish);
    let Some(last) = finishes.chain(laid.visits.iter().map(|visit| visit.last.date)).max() else { return Vec::new() };
    let count = (week_of(first, last) + 1).min(MOST_WEEKS);
    let empty = |monday| Week {
        monday,
        sites: 0,
        points: 0,
        cost: Pence(0),
        points_so_far: 0,
        cost_so_far: Pence(0),
        quarters: vec![0; plan.crews.len()],
    };
    let mut weeks: Vec<Week> = monday(first).series(7.days()).take(count).map(empty).collect();
    for done in &laid.done {
        if let Some((week, task)) = weeks.get_mut(week_of(first, done.finish)).zip(plan.tasks.get(done.task)) {
            week.sites += 1;
            week.points += task.points;
            week.cost = week.cost + task.cost;
        }
    }
    for visit in &laid.visits {
        for (day, quarters) in quarters_of(plan, visit) {
            let own = weeks.get_mut(week_of(first, day)).and_then(|week| week.quarters.get_mut(visit.crew));
            if let Some(own) = own {
                *own += quarters;
            }
        }
    }
    let (mut points, mut cost) = (0, Pence(0));
    for week in &mut weeks {
        points += week.points;
        cost = cost + week.cost;
        (week.points_so_far, week.cost_so_far) = (points, cost);
    }
    weeks
}

/// Where each crew is, by crew and time.
pub fn stays(plan: &Plan, laid: &Laid) -> Vec<Stay> {
    let Some(first) = plan.periods.first().map(|period| period.from) else { return Vec::new() };
    let mut visits: Vec<&Visit> = laid.visits.iter().collect();
    visits.sort_by_key(|visit| (visit.crew, visit.first));
    let mut stays: Vec<Stay> = Vec::new();
    for visit in visits {
        let Some(place) = plan.tasks.get(visit.task).map(|task| task.place) else { continue };
        if stays.last().is_none_or(|stay| (stay.crew, stay.place) != (visit.crew, place)) {
            stays.push(Stay {
                crew: visit.crew,
                place,
                first: visit.first.date,
                last: visit.last.date,
                visits: 0,
                quarters: BTreeMap::new(),
            });
        }
        let Some(stay) = stays.last_mut() else { continue };
        stay.visits += 1;
        stay.last = stay.last.max(visit.last.date);
        for (day, quarters) in quarters_of(plan, visit) {
            *stay.quarters.entry(week_of(first, day)).or_default() += quarters;
        }
    }
    stays
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::programme::{Crew, Done, Moment, Period, Place, Task, Work};
    use jiff::civil::date;

    /// A crew that does a task of ten quarters from Thursday 7 January 2027 on, with Friday closed, then one of two.
    fn laid() -> (Plan, Laid) {
        let task = |place, quarters, points| Task {
            worth: 1.0,
            cost: Pence(100_000),
            points,
            work: vec![Work { trade: 0, quarters }],
            not_before: date(2027, 1, 1),
            finish_by: None,
            place,
            must: false,
        };
        let (from, to) = (date(2027, 1, 6), date(2027, 3, 31));
        let plan = Plan {
            tasks: vec![task(0, 10, 3), task(1, 2, 1)],
            places: vec![Place::default(), Place::default()],
            periods: vec![Period { from, to, budget: Pence(1_000_000) }],
            crews: vec![Crew { name: "A".into(), trade: 0, from, to }],
            closed: vec![date(2027, 1, 8)],
            ..Plan::default()
        };
        let at = |day, quarter| Moment { date: date(2027, 1, day), quarter };
        let visit = |task, first, last| Visit { task, work: 0, crew: 0, first, last };
        let laid = Laid {
            visits: vec![visit(0, at(7, 2), at(12, 3)), visit(1, at(13, 0), at(13, 1))],
            done: vec![
                Done { task: 0, period: 0, finish: date(2027, 1, 12) },
                Done { task: 1, period: 0, finish: date(2027, 1, 13) },
            ],
            ..Laid::default()
        };
        (plan, laid)
    }

    #[test]
    fn weeks_hold_what_is_finished_and_where_crews_are() {
        let (plan, laid) = laid();
        let weeks = weeks(&plan, &laid);
        assert_eq!(weeks.len(), 2);
        assert_eq!(weeks[0].monday, date(2027, 1, 4));
        // Two quarters on Thursday, none on the closed Friday; eight by Tuesday, two on Wednesday.
        assert_eq!((weeks[0].quarters[0], weeks[1].quarters[0]), (2, 10));
        assert_eq!((weeks[0].sites, weeks[1].sites, weeks[1].points_so_far), (0, 2, 4));
        assert_eq!(weeks[1].cost_so_far, Pence(200_000));
    }

    #[test]
    fn a_stay_is_a_crew_at_a_place() {
        let (plan, laid) = laid();
        let stays = stays(&plan, &laid);
        assert_eq!(stays.len(), 2);
        assert_eq!((stays[0].first, stays[0].last, stays[0].visits), (date(2027, 1, 7), date(2027, 1, 12), 1));
        assert_eq!(stays[0].quarters, BTreeMap::from([(0, 2), (1, 8)]));
    }
}
