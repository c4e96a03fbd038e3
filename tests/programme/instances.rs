//! The 300-site plans that another solver has solved: drawn with a fixed seed and kept as text, one record a line.

use crate::plans::{Size, drawn};
use baywright::programme::{Plan, Unspent};
use std::fmt::Write as _;

/// How many are kept.
pub const KEPT: u64 = 10;

pub fn instance(number: u64) -> Plan {
    let (tasks, periods) = [(300, 6), (300, 4), (300, 8), (300, 6), (300, 1)][number as usize % 5];
    drawn(2027, number, Size { tasks, periods, trades: 1 + number as usize % 3, at_a_place: 12 })
}

/// Every plan as records; the README of these tests says what their fields are.
pub fn text() -> String {
    let mut text = String::from("plan,record,fields\n");
    for number in 0..KEPT {
        let plan = instance(number);
        let mut line = |record: &str, fields: String| writeln!(text, "{number},{record},{fields}").unwrap();
        let carried = plan.unspent == Unspent::Carried;
        line("plan", format!("{carried} {} {}", plan.usable_share, plan.later_share));
        for period in &plan.periods {
            line("period", format!("{} {} {}", period.from, period.to, period.budget.0));
        }
        for crew in &plan.crews {
            line("crew", format!("{} {} {}", crew.trade, crew.from, crew.to));
        }
        for day in &plan.closed {
            line("closed", day.to_string());
        }
        for least in &plan.least {
            let tasks: Vec<String> = least.tasks.iter().map(ToString::to_string).collect();
            line("share", format!("{} {}", least.share, tasks.join(";")));
        }
        for task in &plan.tasks {
            let work: Vec<String> = task.work.iter().map(|work| format!("{}:{}", work.trade, work.quarters)).collect();
            let by = task.finish_by.map_or("-".to_owned(), |day| day.to_string());
            let (worth, cost, points) = (task.worth, task.cost.0, task.points);
            line("task", format!("{worth} {cost} {points} {} {} {by} {}", work.join(";"), task.not_before, task.must));
        }
    }
    text
}
