//! Small selections that can be seen through, and bounds against closed forms.

use super::multipliers::{Bound, linear};
use super::problem::{Choice, Problem};
use super::solve::solve;
use super::*;
use crate::programme::{Crew, Period, Task, Work};
use crate::quantity::Pence;
use jiff::civil::{Date, date};

fn task(worth: f64, pounds: i64, quarters: u32) -> Task {
    let (work, not_before) = (vec![Work { trade: 0, quarters }], date(2027, 3, 1));
    let (cost, points) = (Pence(pounds * 100), 1);
    Task { worth, cost, points, work, not_before, finish_by: None, place: 0, must: false }
}

/// Two weeks, Monday to Friday each, one crew: 20 quarters a week.
fn plan(tasks: Vec<Task>, pounds: [i64; 2]) -> Plan {
    let week = |from: Date, to: Date, pounds: i64| Period { from, to, budget: Pence(pounds * 100) };
    let (first, last) = (date(2027, 3, 1), date(2027, 3, 12));
    Plan {
        tasks,
        periods: vec![week(first, date(2027, 3, 5), pounds[0]), week(date(2027, 3, 8), last, pounds[1])],
        crews: vec![Crew { name: "Crew".to_owned(), trade: 0, from: first, to: last }],
        usable_share: 1.0,
        later_share: 0.9,
        ..Plan::default()
    }
}

#[test]
fn money_that_is_carried_over_is_spent_and_money_that_is_lost_is_not() {
    let mut plan = plan(vec![task(10.0, 60, 4), task(9.0, 60, 4)], [60, 30]);
    plan.periods[1].budget = Pence(6_000 - 1);
    assert_eq!(select(&plan).periods, [Some(0), None]);
    plan.unspent = crate::programme::Unspent::Carried;
    plan.periods[0].budget = Pence(6_001);
    let found = select(&plan);
    assert_eq!(found.periods, [Some(0), Some(1)]);
    assert!((found.worth - 18.1).abs() < 1e-12 && found.bound == found.worth, "{found:?}");
}

#[test]
fn a_week_of_a_crew_holds_twenty_quarters_and_one_run_begun_before_it() {
    let found = select(&plan(vec![task(5.0, 1, 15), task(5.0, 1, 15), task(5.0, 1, 15)], [100, 100]));
    assert_eq!(found.periods.iter().flatten().count(), 2, "{found:?}");
    let found = select(&plan(vec![task(5.0, 1, 15), task(5.0, 1, 25), task(5.0, 1, 1)], [100, 100]));
    assert_eq!(found.periods.iter().flatten().count(), 2, "{found:?}");
    let found = select(&plan(vec![task(5.0, 1, 15), task(5.0, 1, 25)], [100, 100]));
    assert_eq!(found.periods, [Some(0), Some(1)]);
}

#[test]
fn a_must_comes_before_worth_and_is_missed_only_where_it_cannot_be() {
    let mut plan = plan(vec![task(10.0, 60, 4), task(1.0, 60, 4), task(1.0, 500, 4)], [60, 0]);
    (plan.tasks[1].must, plan.tasks[2].must) = (true, true);
    let found = select(&plan);
    assert_eq!((found.periods, found.musts_missed), (vec![None, Some(0), None], vec![2]));
}

#[test]
fn multipliers_of_a_single_row_are_worth_a_pound_of_the_task_that_is_cut() {
    // Worth a unit: 3, 2, 1; the second task is cut, so one unit more is worth 2, and the bound is 30 + 2 * 5.
    let choices = |worth: f64, amount: f64| {
        let left_out = Choice { period: None, worth: 0.0, uses: vec![] };
        vec![Choice { period: Some(0), worth, uses: vec![(0, amount)] }, left_out]
    };
    let problem =
        Problem { tasks: vec![choices(30.0, 10.0), choices(20.0, 10.0), choices(5.0, 5.0)], caps: vec![15.0] };
    let multipliers = linear(&problem).multipliers;
    assert!((multipliers[0] - 2.0).abs() < 1e-6, "{multipliers:?}");
    assert!((Bound::of(&problem, &multipliers).worth - 40.0).abs() < 1e-6);
    // Any multipliers bound: too high a price too.
    assert!(Bound::of(&problem, &[7.0]).worth >= 35.0);
    let found = solve(&problem, vec![1, 1, 1], f64::INFINITY);
    assert_eq!((problem.worth(&found.taken), found.bound), (35.0, 35.0));
}
