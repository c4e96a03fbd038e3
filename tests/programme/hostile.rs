//! Plans that no file should give: whatever stands in them, selecting and laying come to an end.

use crate::draws::Draws;
use crate::plans::{Size, drawn};
use baywright::programme::{More, Plan, Work, lay, select, with_more};
use baywright::quantity::Pence;
use jiff::civil::Date;

fn spoil(draws: &mut Draws, plan: &mut Plan) {
    let task = draws.below(plan.tasks.len());
    let period = draws.below(plan.periods.len());
    match draws.below(20) {
        0 => plan.tasks[task].worth = *draws.one(&[f64::NAN, f64::INFINITY, -5.0, 0.0, 1e300]),
        1 => plan.tasks[task].cost = *draws.one(&[Pence(i64::MAX), Pence(-500), Pence(0)]),
        2 => plan.tasks[task].place = 99,
        3 => plan.tasks[task].work.push(Work { trade: 77, quarters: 3 }),
        4 => plan.tasks[task].work.clear(),
        5 => plan.tasks[task].work.iter_mut().for_each(|work| work.quarters = 0),
        6 => plan.tasks[task].work.iter_mut().for_each(|work| work.quarters = u32::MAX),
        7 => plan.tasks[task].finish_by = Some(Date::MIN),
        8 => plan.tasks[task].not_before = Date::MAX,
        9 => plan.tasks.iter_mut().for_each(|task| task.must = true),
        10 => plan.periods[period].budget = *draws.one(&[Pence(i64::MAX), Pence(i64::MIN), Pence(0)]),
        11 => plan.periods[period].to = Date::MIN,
        12 => plan.periods.swap(0, period),
        13 => plan.crews.clear(),
        14 => plan.usable_share = *draws.one(&[f64::NAN, -1.0, 0.0, 7.0]),
        15 => plan.later_share = *draws.one(&[f64::NAN, -1.0, 0.0, 3.0, f64::INFINITY]),
        16 => plan.least.iter_mut().for_each(|least| (least.tasks, least.share) = (vec![9999, 0, 0], f64::NAN)),
        17 => plan.least.iter_mut().for_each(|least| least.share = 4.0),
        18 => plan.tasks.truncate(1),
        _ => plan.closed.reverse(),
    }
}

#[test]
fn no_plan_stops_it() {
    for number in 0..300 {
        let draws = &mut Draws::of(19, number);
        let mut plan = drawn(19, number, Size { tasks: 9, periods: 1 + number as usize % 3, trades: 2, at_a_place: 3 });
        for _ in 0..1 + draws.below(4) {
            spoil(draws, &mut plan);
        }
        let (selection, laid) = (select(&plan), lay(&plan));
        assert_eq!(selection.periods.len(), plan.tasks.len());
        assert_eq!(laid.done.len() + laid.left_out.len(), plan.tasks.len(), "plan {number}");
        assert!(laid.worth.is_finite() && laid.bound.is_finite(), "plan {number}: {} {}", laid.worth, laid.bound);
        for change in [More::Crew { trade: 5 }, More::Money(Pence(i64::MAX))] {
            with_more(&plan, &change);
        }
    }
    let empty = Plan::default();
    assert_eq!(lay(&empty), lay(&with_more(&empty, &More::Crew { trade: 0 })));
}
