//! Programmes on the calendar, held to the rules by the checker, and the checker held to planted errors.

use crate::checker::wrongs;
use crate::plans::{Size, drawn};
use baywright::programme::{Laid, Plan, Why, lay, select};
use jiff::ToSpan;

fn programme(number: u64) -> (Plan, Laid) {
    let tasks = [6, 10, 15, 20, 25, 30, 35, 40, 60, 80][number as usize % 10];
    let periods = 1 + (number / 10) as usize % 4;
    let size = Size { tasks, periods, trades: 1 + number as usize % 3, at_a_place: [0, 6, 12][(number / 3) as usize % 3] };
    let plan = drawn(500, number, size);
    let laid = lay(&plan);
    (plan, laid)
}

/// Moves when the same tasks are laid in order of worth: each work by the crew of its trade that is free first.
fn moves_by_worth(plan: &Plan, laid: &Laid) -> u32 {
    let mut free: Vec<(u32, Option<usize>)> = vec![(0, None); plan.crews.len()];
    let mut done = laid.done.clone();
    let worth = |task: usize| plan.tasks[task].worth;
    done.sort_by(|a, b| a.period.cmp(&b.period).then(worth(b.task).total_cmp(&worth(a.task))));
    let mut moves = 0;
    for done in done {
        let mut ready = 0;
        for work in &plan.tasks[done.task].work {
            let crews = (0..free.len()).filter(|crew| plan.crews[*crew].trade == work.trade);
            let crew = crews.min_by_key(|crew| free[*crew].0.max(ready)).unwrap();
            let place = plan.tasks[done.task].place;
            moves += u32::from(free[crew].1.is_some_and(|other| other != place));
            ready = free[crew].0.max(ready) + work.quarters;
            free[crew] = (ready, Some(place));
        }
    }
    moves
}

#[test]
fn no_programme_breaks_a_rule_and_no_crew_crosses_the_map_for_worth_alone() {
    let (mut done, mut left_out, mut moves, mut by_worth) = (0, 0, 0, 0);
    let (mut least_moves, mut least_p) = (0, 0);
    let (mut of_selection, mut most_lost, mut no_room, mut musts, mut shares, mut across) = (0.0, 0.0f64, 0, 0, 0, 0);
    for number in 0..500 {
        let (plan, laid) = programme(number);
        let wrongs = wrongs(&plan, &laid);
        assert!(wrongs.is_empty(), "programme {number}: {wrongs:#?}");
        let selection = select(&plan);
        let part = if selection.worth > 0.0 { laid.worth / selection.worth } else { 1.0 };
        if part < 0.85 { println!("programme {number}: {part:.3} {} of {}, {} tasks {} periods musts {:?} {:?} shares {:?} {:?} left {:?}", laid.worth, selection.worth, plan.tasks.len(), plan.periods.len(), selection.musts_missed, laid.musts_missed, selection.shares_missed, laid.shares_missed, laid.left_out.iter().filter(|(t, _)| selection.periods[*t].is_some()).count()); }
        of_selection += part;
        most_lost = most_lost.max(1.0 - part);
        done += laid.done.len();
        left_out += laid.left_out.len();
        no_room += laid.left_out.iter().filter(|(_, why)| *why == Why::NoRoom).count();
        musts += laid.musts_missed.len();
        shares += laid.shares_missed.len();
        if plan.places.len() > 1 {
            moves += laid.moves;
            let mut d: Vec<_> = laid.visits.iter().map(|v| (plan.crews[v.crew].trade, plan.tasks[v.task].place)).collect(); d.sort(); d.dedup();
            least_moves += d.len();
            let mut d: Vec<_> = laid.visits.iter().map(|v| (plan.crews[v.crew].trade, plan.tasks[v.task].place, laid.done.iter().find(|x| x.task == v.task).unwrap().period)).collect(); d.sort(); d.dedup();
            least_p += d.len();
            by_worth += moves_by_worth(&plan, &laid);
        }
        let period = |task: usize| laid.done.iter().find(|done| done.task == task).unwrap().period;
        across += laid.visits.iter().filter(|visit| visit.first.date < plan.periods[period(visit.task)].from).count();
    }
    println!("{done} done, {left_out} left out, {no_room} without room, musts missed {musts}, shares missed {shares}");
    println!("worth of the selection {:.4} on average, at most lost {most_lost:.4}; begun before their period {across}", of_selection / 500.0);
    println!("least {least_moves} by period {least_p}"); println!("moves {moves} for {by_worth} by worth: {:.3}", f64::from(moves) / f64::from(by_worth));
    assert!(done > 5000 && left_out > 5000 && across > 300, "one-sided");
    assert!(f64::from(moves) < 0.7 * f64::from(by_worth), "{moves} moves for {by_worth} by worth");
    assert!(of_selection / 500.0 > 0.95, "{of_selection}");
}

/// A programme with much in it, and an error planted in it, must be found wrong in the words given.
fn planted(words: &str, plant: impl Fn(&mut Plan, &mut Laid) -> bool) {
    let mut tried = 0;
    for number in 0..40 {
        let (mut plan, mut laid) = programme(number);
        assert!(wrongs(&plan, &laid).is_empty());
        if !plant(&mut plan, &mut laid) {
            continue;
        }
        tried += 1;
        let wrongs = wrongs(&plan, &laid);
        assert!(wrongs.iter().any(|wrong| wrong.contains(words)), "programme {number}, {words}: {wrongs:#?}");
    }
    assert!(tried >= 5, "{words}: only {tried} programmes to plant it in");
}

#[test]
fn the_checker_notices_what_is_planted() {
    planted("a crew at two sites at once", |_, laid| {
        let two = (1..laid.visits.len()).find(|own| laid.visits[own - 1].crew == laid.visits[*own].crew);
        two.is_some_and(|own| {
            laid.visits[own].first = laid.visits[own - 1].last;
            true
        })
    });
    planted("before its day", |plan, laid| {
        laid.visits.first().is_some_and(|visit| {
            plan.tasks[visit.task].not_before = visit.first.date.tomorrow().unwrap();
            true
        })
    });
    planted("over budget", |plan, laid| {
        laid.done.first().is_some_and(|done| {
            let spent = laid.done.iter().map(|done| plan.tasks[done.task].cost.0).sum::<i64>();
            plan.tasks[done.task].cost.0 += plan.periods.iter().map(|period| period.budget.0).sum::<i64>() - spent + 1;
            true
        })
    });
    planted("finished too late", |plan, laid| {
        laid.done.last().is_some_and(|done| {
            plan.tasks[done.task].finish_by = done.finish.yesterday().ok();
            true
        })
    });
    planted("works out of order", |plan, laid| {
        laid.done.iter().any(|done| {
            plan.tasks[done.task].work.len() > 1 && {
                let own = |visit: &&mut baywright::programme::Visit| visit.task == done.task;
                laid.visits.iter_mut().filter(own).for_each(|visit| visit.work = plan.tasks[done.task].work.len() - 1 - visit.work);
                true
            }
        })
    });
    planted("not a working day", |plan, laid| {
        laid.visits.last().is_some_and(|visit| {
            plan.closed.push(visit.last.date);
            true
        })
    });
    planted("another length", |plan, laid| {
        laid.visits.first().is_some_and(|visit| {
            plan.tasks[visit.task].work[visit.work].quarters += 1;
            true
        })
    });
    planted("another trade", |plan, laid| {
        laid.visits.first().is_some_and(|visit| {
            plan.crews[visit.crew].trade += 1;
            true
        })
    });
    planted("the crew is not there", |plan, laid| {
        laid.visits.first().is_some_and(|visit| {
            plan.crews[visit.crew].from = visit.last.date.tomorrow().unwrap();
            true
        })
    });
    planted("finished outside its period", |plan, laid| {
        laid.done.last().is_some_and(|done| {
            plan.periods[done.period].to = done.finish - 1.day();
            true
        })
    });
    planted("told twice or not at all", |_, laid| laid.left_out.pop().is_some());
    planted("not each work once", |_, laid| laid.visits.pop().is_some());
    planted("worth", |_, laid| {
        laid.worth *= 1.001;
        laid.worth > 0.0
    });
    planted("above the bound", |_, laid| {
        laid.bound = laid.worth * 0.999;
        laid.worth > 0.0
    });
    planted("moves, not", |_, laid| {
        laid.moves += 1;
        true
    });
    planted("musts missed", |plan, laid| {
        laid.left_out.first().is_some_and(|(task, _)| {
            let was = plan.tasks[*task].must;
            plan.tasks[*task].must = true;
            !was
        })
    });
    planted("more than a selection may", |plan, laid| {
        plan.usable_share = 0.05;
        laid.visits.len() > 20
    });
    planted("not the reason", |_, laid| {
        let worth_less = laid.left_out.iter_mut().find(|(_, why)| *why == Why::WorthLess);
        worth_less.is_some_and(|(_, why)| {
            *why = Why::TooDear;
            true
        })
    });
}
