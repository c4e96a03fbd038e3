//! Plans drawn with a fixed seed: invented tasks, crews and money, scarce enough that choosing matters.

use crate::draws::Draws;
use baywright::programme::{Crew, LeastShare, Period, Place, Plan, Task, Unspent, Work};
use baywright::quantity::Pence;
use jiff::ToSpan;
use jiff::civil::{Date, date};

/// How large a plan is to be.
#[derive(Clone, Copy)]
pub struct Size {
    pub tasks: usize,
    pub periods: usize,
    pub trades: usize,
    /// Tasks at one place, on average; 0 is one place for them all.
    pub at_a_place: usize,
}

fn later(day: Date, days: usize) -> Date {
    day + i64::try_from(days).unwrap().days()
}

/// A number of hundredths from `low` to `high`.
fn between(draws: &mut Draws, low: usize, high: usize) -> f64 {
    (low + draws.below(high - low + 1)) as f64 / 100.0
}

/// One plan of a sequence.
pub fn drawn(sequence: u64, number: u64, size: Size) -> Plan {
    let draws = &mut Draws::of(sequence, number);
    let first = later(date(2027, 1, 4), draws.below(60));
    let places = size.tasks.checked_div(size.at_a_place).unwrap_or(1).max(1);
    let crews_a_trade: Vec<usize> = (0..size.trades).map(|_| 1 + draws.below(3)).collect();
    let longest = 3 + draws.below(12);
    let mut tasks: Vec<Task> = (0..size.tasks).map(|_| task(draws, size, longest, places)).collect();
    // Crews have about this much of what all tasks need, money about that much.
    let (of_crews, of_money) = (between(draws, 35, 110), between(draws, 30, 100));
    let needed = |trade: usize| -> u32 {
        tasks.iter().flat_map(|task| &task.work).filter(|work| work.trade == trade).map(|work| work.quarters).sum()
    };
    let days = (0..size.trades).map(|trade| f64::from(needed(trade)) / crews_a_trade[trade] as f64 / 4.0);
    let days = days.fold(0.0, f64::max) * of_crews / size.periods as f64 * 1.4;
    let length = (days as usize).max(5);
    let periods: Vec<Period> = (0..size.periods)
        .map(|own| {
            // A few have days between them.
            let from = later(first, own * length);
            let shorter = if draws.chance(10) { length / 5 } else { 0 };
            let cost: i64 = tasks.iter().map(|task| task.cost.0).sum();
            let share = of_money * between(draws, 40, 160) / size.periods as f64;
            Period { from, to: later(from, length - 1 - shorter), budget: Pence((cost as f64 * share) as i64) }
        })
        .collect();
    let end = periods.last().unwrap().to;
    let mut crews = Vec::new();
    for (trade, count) in crews_a_trade.iter().enumerate() {
        for own in 0..*count {
            let (mut from, mut to) = (first, end);
            if draws.chance(15) {
                from = later(first, draws.below(length * size.periods / 2));
            }
            if draws.chance(15) {
                to = later(from, draws.below(length * size.periods).max(3));
            }
            crews.push(Crew { name: format!("Trade {trade} crew {own}"), trade, from, to });
        }
    }
    for task in &mut tasks {
        if draws.chance(40) {
            task.not_before = later(first, draws.below(length * size.periods * 4 / 5));
        } else {
            task.not_before = first;
        }
        if draws.chance(20) {
            task.finish_by = Some(later(task.not_before, draws.below(length * 2)));
        }
    }
    let mut closed: Vec<Date> = (0..draws.below(8)).map(|_| later(first, draws.below(length * size.periods))).collect();
    closed.sort_unstable();
    closed.dedup();
    let least = if draws.chance(50) {
        (0..1 + draws.below(2)).map(|own| least(draws, own, size.tasks)).collect()
    } else {
        vec![]
    };
    Plan {
        tasks,
        places: (0..places).map(|own| place(draws, own)).collect(),
        periods,
        unspent: if draws.chance(50) { Unspent::Lost } else { Unspent::Carried },
        crews,
        closed,
        usable_share: between(draws, 75, 100),
        later_share: between(draws, 85, 100),
        least,
    }
}

fn task(draws: &mut Draws, size: Size, longest: usize, places: usize) -> Task {
    let mut work = Vec::new();
    for trade in 0..size.trades {
        if draws.chance(70) || (trade + 1 == size.trades && work.is_empty()) {
            work.push(Work { trade, quarters: 1 + draws.below(longest) as u32 });
        }
    }
    if draws.chance(20) {
        work.reverse();
    }
    let quarters: u32 = work.iter().map(|work| work.quarters).sum();
    let pounds = 400 + 150 * quarters as usize + draws.below(6000);
    let points = 1 + draws.below(6) as u32;
    Task {
        worth: f64::from(points) * between(draws, 20, 300) + between(draws, 0, 99),
        cost: Pence((pounds * 100 + draws.below(100)) as i64),
        points,
        work,
        not_before: Date::MIN,
        finish_by: None,
        place: draws.below(places),
        must: draws.chance(4),
    }
}

fn place(draws: &mut Draws, own: usize) -> Place {
    let spot = draws.chance(85).then(|| (52.0 + between(draws, 0, 100), -1.5 + between(draws, 0, 150)));
    Place { name: format!("Place {own}"), spot }
}

fn least(draws: &mut Draws, own: usize, tasks: usize) -> LeastShare {
    let named = (0..tasks).filter(|_| draws.chance(30)).collect();
    LeastShare { name: format!("Group {own}"), share: between(draws, 20, 60), tasks: named }
}
