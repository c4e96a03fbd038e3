//! The rules of a selection stated anew, day by day and without the room's code: what could be finished when, and what
//! each row counts.

use baywright::programme::{Plan, Task, Unspent};
use jiff::civil::{Date, Weekday};

pub const TOLERANCE: f64 = 1e-6;

pub fn works_on(plan: &Plan, day: Date) -> bool {
    !matches!(day.weekday(), Weekday::Saturday | Weekday::Sunday) && !plan.closed.contains(&day)
}

/// The working days from one day to another.
pub fn working_days(plan: &Plan, from: Date, to: Date) -> Vec<Date> {
    let mut days = Vec::new();
    let mut day = from;
    while day <= to {
        if works_on(plan, day) {
            days.push(day);
        }
        day = day.tomorrow().unwrap();
    }
    days
}

/// Quarters that crews of a trade have on the days from one to another.
fn quarters(plan: &Plan, trade: usize, from: Date, to: Date) -> usize {
    let crews = plan.crews.iter().filter(|crew| crew.trade == trade);
    crews.map(|crew| 4 * working_days(plan, crew.from.max(from), crew.to.min(to)).len()).sum()
}

/// The days on which work could end when it begins at the earliest at a quarter of the crew-days of one of the crews.
/// A moment is a day and a quarter, counted from midnight of the day; the answer is day and quarter of each possible end.
fn soonest_end(plan: &Plan, trade: usize, needed: u32, ready: (Date, u8), last: Date) -> Vec<((Date, u8), Date)> {
    let mut found = Vec::new();
    for crew in plan.crews.iter().filter(|crew| crew.trade == trade) {
        let mut left = needed;
        for day in working_days(plan, crew.from.max(ready.0), crew.to.min(last)) {
            for quarter in 0..4 {
                if (day, quarter) >= ready && left > 0 {
                    left -= 1;
                    if left == 0 {
                        found.push(((day, quarter), crew.to.min(last)));
                    }
                }
            }
        }
    }
    found
}

/// The periods in which a task could be finished if it were alone.
pub fn could_be_finished(plan: &Plan, task: &Task) -> Vec<usize> {
    let (first, last) = (plan.periods[0].from, plan.periods.last().unwrap().to);
    let mut ready = (task.not_before.max(first), 0u8);
    let (finishing, before) = task.work.split_last().unwrap();
    for work in before {
        let Some(((day, quarter), _)) = soonest_end(plan, work.trade, work.quarters, ready, last).into_iter().min()
        else {
            return vec![];
        };
        ready = (day, quarter + 1);
    }
    let ends = soonest_end(plan, finishing.trade, finishing.quarters, ready, last);
    let fits = |period: usize| {
        let (from, to) = (plan.periods[period].from, plan.periods[period].to);
        ends.iter().any(|((soonest, _), crew_to)| {
            let latest = to.min(*crew_to).min(task.finish_by.unwrap_or(Date::MAX));
            !working_days(plan, from.max(*soonest), latest).is_empty()
        })
    };
    (0..plan.periods.len()).filter(|period| fits(*period)).collect()
}

/// Caps of all rows, and what each task takes from each when it is finished in each period; `None` where it cannot be.
pub struct Stated {
    pub caps: Vec<f64>,
    pub uses: Vec<Vec<Option<Vec<f64>>>>,
    /// Where the rows of least shares begin.
    pub shares: usize,
}

pub fn stated(plan: &Plan) -> Stated {
    let (tasks, periods) = (plan.tasks.len(), plan.periods.len());
    let could: Vec<Vec<usize>> = plan.tasks.iter().map(|task| could_be_finished(plan, task)).collect();
    let mut uses: Vec<Vec<Option<Vec<f64>>>> =
        could.iter().map(|own| (0..periods).map(|period| own.contains(&period).then(Vec::new)).collect()).collect();
    let mut caps = Vec::new();
    let mut row = |cap: f64, amount: &dyn Fn(usize, usize) -> f64| {
        caps.push(cap);
        for (task, periods) in uses.iter_mut().enumerate() {
            for (period, own) in periods.iter_mut().enumerate() {
                own.iter_mut().for_each(|own| own.push(amount(task, period)));
            }
        }
    };
    let spent = |task: usize| plan.tasks[task].cost.0 as f64;
    for own in 0..periods {
        let so_far: i64 = plan.periods[..=own].iter().map(|period| period.budget.0).sum();
        match plan.unspent {
            Unspent::Lost => {
                row(plan.periods[own].budget.0 as f64, &|task, period| if period == own { spent(task) } else { 0.0 })
            }
            Unspent::Carried => row(so_far as f64, &|task, period| if period <= own { spent(task) } else { 0.0 }),
        }
    }
    let trades = plan.crews.iter().map(|crew| crew.trade).max().unwrap_or(0) + 1;
    for trade in 0..trades {
        let of_trade = |task: usize| -> u32 {
            plan.tasks[task].work.iter().filter(|work| work.trade == trade).map(|work| work.quarters).sum()
        };
        let finishing = |task: usize| {
            plan.tasks[task].work.last().filter(|work| work.trade == trade).map_or(0, |work| work.quarters)
        };
        for last in 0..periods {
            let period = &plan.periods[last];
            for first in 0..=last {
                let from = plan.periods[first].from;
                let cap = (plan.usable_share * quarters(plan, trade, from, period.to) as f64 + 1e-9).floor();
                row(cap, &|task, period| {
                    let counts = period <= last && (first == 0 || plan.tasks[task].not_before >= from);
                    if counts { f64::from(of_trade(task)) } else { 0.0 }
                });
            }
            let longest = (0..tasks).filter(|task| could[*task].contains(&last)).map(finishing).max().unwrap_or(0);
            if last == 0 || longest == 0 {
                continue;
            }
            // A run may have begun before the period where its crew works on both sides of its first day.
            let day_before = period.from.yesterday().unwrap();
            let both = |from: Date, to: Date| {
                !working_days(plan, from.max(plan.periods[0].from), to.min(day_before)).is_empty()
                    && !working_days(plan, from.max(period.from), to.min(plan.periods[periods - 1].to)).is_empty()
            };
            let across = plan.crews.iter().filter(|crew| crew.trade == trade && both(crew.from, crew.to)).count();
            let own = (plan.usable_share * quarters(plan, trade, period.from, period.to) as f64 + 1e-9).floor();
            row(own + across as f64 * f64::from(longest - 1), &|task, period| {
                if period == last { f64::from(finishing(task)) } else { 0.0 }
            });
        }
    }
    let shares = caps.len();
    let mut row = |amount: &dyn Fn(usize) -> f64| {
        caps.push(0.0);
        for (task, periods) in uses.iter_mut().enumerate() {
            periods.iter_mut().flatten().for_each(|own| own.push(amount(task)));
        }
    };
    for least in &plan.least {
        row(&|task| {
            (least.share - f64::from(u8::from(least.tasks.contains(&task)))) * f64::from(plan.tasks[task].points)
        });
    }
    Stated { caps, uses, shares }
}

/// What a task is worth when it is finished in a period.
pub fn worth(plan: &Plan, task: usize, period: usize) -> f64 {
    plan.tasks[task].worth * plan.later_share.powi(period as i32)
}

/// Whether a selection keeps every row but those of the least shares that it may miss.
pub fn keeps(stated: &Stated, periods: &[Option<usize>], missed: &[usize]) -> bool {
    let mut left = stated.caps.clone();
    for (own, period) in stated.uses.iter().zip(periods) {
        let Some(period) = period else { continue };
        let Some(own) = &own[*period] else { return false };
        left.iter_mut().zip(own).for_each(|(left, amount)| *left -= amount);
    }
    let counts = |row: usize| row < stated.shares || !missed.contains(&(row - stated.shares));
    left.iter().enumerate().all(|(row, left)| !counts(row) || *left >= -TOLERANCE)
}
