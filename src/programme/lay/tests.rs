//! Small programmes that can be seen through.

use super::*;
use crate::programme::{Crew, Period, Place, Task, Work};
use crate::quantity::Pence;
use jiff::civil::date;

/// A fortnight of one crew with money for everything; tasks of a day each at the places given.
fn plan(places: &[usize]) -> Plan {
    let (from, to) = (date(2027, 3, 1), date(2027, 3, 12));
    let at = |place: usize| Task {
        worth: 1.0 + place as f64 / 100.0,
        cost: Pence(100),
        points: 1,
        work: vec![Work { trade: 0, quarters: 4 }],
        not_before: from,
        finish_by: None,
        place,
        must: false,
    };
    Plan {
        tasks: places.iter().map(|place| at(*place)).collect(),
        places: (0..4)
            .map(|own| Place { name: String::new(), spot: Some((52.0 + f64::from(own) / 10.0, 0.0)) })
            .collect(),
        periods: vec![Period { from, to, budget: Pence(100_000) }],
        crews: vec![Crew { name: "Crew".to_owned(), trade: 0, from, to }],
        usable_share: 1.0,
        later_share: 1.0,
        ..Plan::default()
    }
}

#[test]
fn a_crew_goes_to_each_place_once_and_to_the_nearest_next() {
    let laid = lay(&plan(&[0, 3, 1, 2, 0, 3, 1, 2]));
    assert_eq!((laid.done.len(), laid.moves), (8, 3));
    let places: Vec<usize> = laid.visits.iter().map(|visit| [0, 3, 1, 2, 0, 3, 1, 2][visit.task]).collect();
    assert_eq!(places, [0, 0, 1, 1, 2, 2, 3, 3]);
}

#[test]
fn an_electrician_comes_after_the_ground_is_done_and_not_on_a_closed_day() {
    let mut plan = plan(&[0]);
    plan.crews.push(Crew { name: "Second trade".to_owned(), trade: 1, ..plan.crews[0].clone() });
    plan.tasks[0].work.push(Work { trade: 1, quarters: 2 });
    plan.tasks[0].work[0].quarters = 6;
    plan.closed = vec![date(2027, 3, 2)];
    let laid = lay(&plan);
    let moment = |day: i8, quarter: u8| Moment { date: date(2027, 3, day), quarter };
    let times: Vec<_> = laid.visits.iter().map(|visit| (visit.crew, visit.first, visit.last)).collect();
    assert_eq!(times, [(0, moment(1, 0), moment(3, 1)), (1, moment(3, 2), moment(3, 3))]);
    assert_eq!(laid.done, [Done { task: 0, period: 0, finish: date(2027, 3, 3) }]);
}

#[test]
fn every_task_left_out_has_its_reason() {
    let mut plan = plan(&[0, 0, 0, 0, 0]);
    plan.tasks[0].not_before = date(2027, 3, 15);
    plan.tasks[1].work[0].trade = 9;
    plan.tasks[2].cost = Pence(100_001);
    plan.tasks[3].work[0].quarters = 40;
    plan.tasks[3].worth = 0.5;
    let laid = lay(&plan);
    let reasons = [(0, Why::TooLate), (1, Why::NoCrew { trade: 9 }), (2, Why::TooDear), (3, Why::WorthLess)];
    assert_eq!(laid.left_out, reasons);
}
