//! What must hold of every programme, checked from the rules alone: the calendar is walked day by day, the money added up
//! anew. It calls nothing of the room.

use crate::rules::{could_be_finished, keeps, stated, working_days, works_on, worth};
use baywright::programme::{Laid, Moment, Plan, Unspent, Visit, Why};
use std::collections::BTreeMap;

/// Everything that is wrong with a programme, a sentence each.
pub fn wrongs(plan: &Plan, laid: &Laid) -> Vec<String> {
    let mut wrongs = Vec::new();
    wrongs.extend(wrong_visits(plan, laid));
    wrongs.extend(wrong_crews(plan, laid));
    wrongs.extend(wrong_tasks(plan, laid));
    wrongs.extend(wrong_sums(plan, laid));
    wrongs.extend(wrong_reasons(plan, laid));
    wrongs
}

/// Quarters worked from the first to the last of a visit.
fn quarters(plan: &Plan, visit: &Visit) -> i64 {
    let days = working_days(plan, visit.first.date, visit.last.date).len() as i64;
    4 * days - i64::from(visit.first.quarter) - (3 - i64::from(visit.last.quarter))
}

fn wrong_visits(plan: &Plan, laid: &Laid) -> Vec<String> {
    let mut wrongs = Vec::new();
    for visit in &laid.visits {
        let mut say = |what: &str| wrongs.push(format!("{what}: {visit:?}"));
        let (task, crew) = (&plan.tasks[visit.task], &plan.crews[visit.crew]);
        let work = &task.work[visit.work];
        if crew.trade != work.trade {
            say("another trade");
        }
        for Moment { date, quarter } in [visit.first, visit.last] {
            if !works_on(plan, date) || quarter > 3 {
                say("not a working day");
            }
            if date < crew.from || date > crew.to {
                say("the crew is not there");
            }
        }
        if visit.last < visit.first || quarters(plan, visit) != i64::from(work.quarters) {
            say("another length");
        }
        if visit.first.date < task.not_before || visit.first.date < plan.periods[0].from {
            say("before its day");
        }
    }
    wrongs
}

fn wrong_crews(plan: &Plan, laid: &Laid) -> Vec<String> {
    let mut wrongs = Vec::new();
    let mut moves = 0;
    for crew in 0..plan.crews.len() {
        let mut own: Vec<&Visit> = laid.visits.iter().filter(|visit| visit.crew == crew).collect();
        own.sort_by_key(|visit| visit.first);
        for two in own.windows(2) {
            if two[1].first <= two[0].last {
                wrongs.push(format!("a crew at two sites at once: {two:?}"));
            }
            moves += u32::from(plan.tasks[two[0].task].place != plan.tasks[two[1].task].place);
        }
    }
    if moves != laid.moves {
        wrongs.push(format!("{moves} moves, not {}", laid.moves));
    }
    if !laid.visits.is_sorted_by_key(|visit| (visit.crew, visit.first)) {
        wrongs.push("visits are not by crew and time".to_owned());
    }
    wrongs
}

fn wrong_tasks(plan: &Plan, laid: &Laid) -> Vec<String> {
    let mut wrongs = Vec::new();
    let mut told: Vec<usize> =
        laid.done.iter().map(|done| done.task).chain(laid.left_out.iter().map(|own| own.0)).collect();
    told.sort_unstable();
    if told != (0..plan.tasks.len()).collect::<Vec<_>>() {
        wrongs.push("a task is told twice or not at all".to_owned());
    }
    let mut visits: BTreeMap<usize, Vec<&Visit>> = BTreeMap::new();
    laid.visits.iter().for_each(|visit| visits.entry(visit.task).or_default().push(visit));
    for done in &laid.done {
        let (task, period) = (&plan.tasks[done.task], &plan.periods[done.period]);
        let mut own = visits.remove(&done.task).unwrap_or_default();
        own.sort_by_key(|visit| visit.work);
        let mut say = |what: &str| wrongs.push(format!("{what}: {done:?} {own:?}"));
        if !own.iter().map(|visit| visit.work).eq(0..task.work.len()) {
            say("not each work once");
        }
        if own.windows(2).any(|two| two[1].first <= two[0].last) {
            say("works out of order");
        }
        if own.last().map(|visit| visit.last.date) != Some(done.finish) {
            say("finished on another day");
        }
        if done.finish < period.from || done.finish > period.to {
            say("finished outside its period");
        }
        if task.finish_by.is_some_and(|by| done.finish > by) {
            say("finished too late");
        }
    }
    if !visits.is_empty() {
        wrongs.push(format!("visits to tasks that are not done: {visits:?}"));
    }
    wrongs
}

fn wrong_sums(plan: &Plan, laid: &Laid) -> Vec<String> {
    let mut wrongs = Vec::new();
    let mut spent = vec![0; plan.periods.len()];
    laid.done.iter().for_each(|done| spent[done.period] += plan.tasks[done.task].cost.0);
    let mut left = 0;
    for (period, spent) in plan.periods.iter().zip(&spent) {
        left = period.budget.0 - spent + if plan.unspent == Unspent::Carried { left } else { 0 };
        if left < 0 {
            wrongs.push(format!("over budget: {period:?} by {left}"));
        }
    }
    let sum: f64 = laid.done.iter().map(|done| worth(plan, done.task, done.period)).sum();
    if (sum - laid.worth).abs() > 1e-9 * sum.max(1.0) {
        wrongs.push(format!("worth {sum}, not {}", laid.worth));
    }
    if laid.worth > laid.bound {
        wrongs.push(format!("worth {} above the bound {}", laid.worth, laid.bound));
    }
    let done = |task: usize| laid.done.iter().any(|done| done.task == task);
    let musts: Vec<usize> = (0..plan.tasks.len()).filter(|task| plan.tasks[*task].must && !done(*task)).collect();
    if musts != laid.musts_missed {
        wrongs.push(format!("musts missed are {musts:?}, not {:?}", laid.musts_missed));
    }
    let points = |counts: &dyn Fn(usize) -> bool| -> u32 {
        laid.done.iter().filter(|done| counts(done.task)).map(|done| plan.tasks[done.task].points).sum()
    };
    for (number, least) in plan.least.iter().enumerate() {
        let (own, all) = (points(&|task| least.tasks.contains(&task)), points(&|_| true));
        let reached = f64::from(own) >= least.share * f64::from(all) - 1e-6;
        if reached == laid.shares_missed.contains(&number) {
            wrongs.push(format!("{own} of {all} points for {least:?}, missed {:?}", laid.shares_missed));
        }
    }
    let mut periods = vec![None; plan.tasks.len()];
    laid.done.iter().for_each(|done| periods[done.task] = Some(done.period));
    if !keeps(&stated(plan), &periods, &laid.shares_missed) {
        wrongs.push("takes more than a selection may".to_owned());
    }
    wrongs
}

fn wrong_reasons(plan: &Plan, laid: &Laid) -> Vec<String> {
    let mut wrongs = Vec::new();
    for (task, why) in &laid.left_out {
        let could = could_be_finished(plan, &plan.tasks[*task]);
        let money = |period: usize| -> i64 {
            let first = if plan.unspent == Unspent::Carried { 0 } else { period };
            plan.periods[first..=period].iter().map(|period| period.budget.0).sum()
        };
        let dear = !could.is_empty() && could.iter().all(|period| plan.tasks[*task].cost.0 > money(*period));
        let fits = match why {
            Why::TooLate | Why::NoCrew { .. } => could.is_empty(),
            Why::TooDear => dear,
            Why::WorthLess | Why::NoRoom => !could.is_empty() && !dear,
        };
        if !fits {
            wrongs.push(format!("not the reason: {task} {why:?}"));
        }
    }
    wrongs
}
