//! Programmes on the calendar, held to the rules by the checker, and the checker held to planted errors.

use crate::checker::wrongs;
use crate::plans::{Size, drawn};
use baywright::programme::{Laid, Plan, Why, lay, select};
use jiff::ToSpan;

fn programme(number: u64) -> (Plan, Laid) {
    let tasks = [6, 8, 10, 12, 15, 20, 25, 30, 40, 60][number as usize % 10];
    let periods = 1 + (number / 10) as usize % 4;
    let size =
        Size { tasks, periods, trades: 1 + number as usize % 3, at_a_place: [0, 6, 12][(number / 3) as usize % 3] };
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
fn no_programme_breaks_a_rule() {
    let (mut done, mut left_out, mut across, mut no_room, mut musts, mut shares) = (0, 0, 0, 0, 0, 0);
    for number in 0..crate::draws::number("BAYWRIGHT_PROGRAMMES").unwrap_or(500) {
        let (plan, laid) = programme(number);
        let wrongs = wrongs(&plan, &laid);
        assert!(wrongs.is_empty(), "programme {number}: {wrongs:#?}");
        done += laid.done.len();
        left_out += laid.left_out.len();
        no_room += laid.left_out.iter().filter(|(_, why)| *why == Why::NoRoom).count();
        musts += laid.musts_missed.len();
        shares += laid.shares_missed.len();
        let period = |task: usize| laid.done.iter().find(|done| done.task == task).unwrap().period;
        across += laid.visits.iter().filter(|visit| visit.first.date < plan.periods[period(visit.task)].from).count();
    }
    let cases = format!(
        "{done} done, {left_out} left out, {no_room} without room, {musts} musts and {shares} shares missed, {across} visits begun before their period"
    );
    println!("{cases}");
    let both = done > 4000 && left_out > 4000 && across > 300 && no_room > 20 && musts > 5 && shares > 5;
    assert!(both, "one-sided: {cases}");
}

/// Little of what is selected is lost on the calendar.
#[test]
fn the_calendar_holds_nearly_all_that_is_selected() {
    let (mut sum, mut least, mut count) = (0.0, 1.0f64, 0);
    for number in (0..500).step_by(7) {
        let (plan, laid) = programme(number);
        let selected = select(&plan).worth;
        if selected > 0.0 {
            sum += laid.worth / selected;
            least = least.min(laid.worth / selected);
            count += 1;
        }
    }
    let mean = sum / f64::from(count);
    println!("laid / selected: mean {mean:.4}, least {least:.3}");
    assert!(mean > 0.98 && least > 0.6, "{mean} {least}");
}

#[test]
fn crews_move_far_less_than_in_order_of_worth() {
    let (mut moves, mut by_worth, mut least) = (0, 0, 0);
    for number in 0..40 {
        let size =
            Size { tasks: 80, periods: 1 + number as usize % 3, trades: 1 + number as usize % 2, at_a_place: 10 };
        let plan = drawn(900, number, size);
        let laid = lay(&plan);
        moves += laid.moves;
        by_worth += moves_by_worth(&plan, &laid);
        let stay = |visit: &baywright::programme::Visit| (plan.crews[visit.crew].trade, plan.tasks[visit.task].place);
        let mut stays: Vec<_> = laid.visits.iter().map(stay).collect();
        stays.sort_unstable();
        stays.dedup();
        least += stays.len();
    }
    let ratio = f64::from(moves) / f64::from(by_worth);
    println!("{moves} moves, {by_worth} in order of worth: {ratio:.3}; trades and places {least}");
    assert!(ratio < 0.6, "{moves} moves, {by_worth} in order of worth");
}

/// A programme with much in it, and an error planted in it, must be found wrong in the words given.
fn planted(programmes: &[(Plan, Laid)], words: &str, plant: impl Fn(&mut Plan, &mut Laid) -> bool) {
    let mut tried = 0;
    for (number, own) in programmes.iter().enumerate() {
        let (mut plan, mut laid) = own.clone();
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
    let programmes: Vec<(Plan, Laid)> = (0..40).map(programme).collect();
    assert!(programmes.iter().all(|(plan, laid)| wrongs(plan, laid).is_empty()));
    let planted = |words: &str, plant: &dyn Fn(&mut Plan, &mut Laid) -> bool| planted(&programmes, words, plant);
    planted("a crew at two sites at once", &|_, laid| {
        let two = (1..laid.visits.len()).find(|own| laid.visits[own - 1].crew == laid.visits[*own].crew);
        two.is_some_and(|own| {
            laid.visits[own].first = laid.visits[own - 1].last;
            true
        })
    });
    planted("before its day", &|plan, laid| {
        laid.visits.first().is_some_and(|visit| {
            plan.tasks[visit.task].not_before = visit.first.date.tomorrow().unwrap();
            true
        })
    });
    planted("over budget", &|plan, laid| {
        laid.done.first().is_some_and(|done| {
            let spent = laid.done.iter().map(|done| plan.tasks[done.task].cost.0).sum::<i64>();
            plan.tasks[done.task].cost.0 += plan.periods.iter().map(|period| period.budget.0).sum::<i64>() - spent + 1;
            true
        })
    });
    planted("finished too late", &|plan, laid| {
        laid.done.last().is_some_and(|done| {
            plan.tasks[done.task].finish_by = done.finish.yesterday().ok();
            true
        })
    });
    planted("works out of order", &|plan, laid| {
        laid.done.iter().any(|done| {
            plan.tasks[done.task].work.len() > 1 && {
                let own = |visit: &&mut baywright::programme::Visit| visit.task == done.task;
                laid.visits
                    .iter_mut()
                    .filter(own)
                    .for_each(|visit| visit.work = plan.tasks[done.task].work.len() - 1 - visit.work);
                true
            }
        })
    });
    planted("not a working day", &|plan, laid| {
        laid.visits.last().is_some_and(|visit| {
            plan.closed.push(visit.last.date);
            true
        })
    });
    planted("another length", &|plan, laid| {
        laid.visits.first().is_some_and(|visit| {
            plan.tasks[visit.task].work[visit.work].quarters += 1;
            true
        })
    });
    planted("another trade", &|plan, laid| {
        laid.visits.first().is_some_and(|visit| {
            plan.crews[visit.crew].trade += 1;
            true
        })
    });
    planted("the crew is not there", &|plan, laid| {
        laid.visits.first().is_some_and(|visit| {
            plan.crews[visit.crew].from = visit.last.date.tomorrow().unwrap();
            true
        })
    });
    planted("finished outside its period", &|plan, laid| {
        laid.done.last().is_some_and(|done| {
            plan.periods[done.period].to = done.finish - 1.day();
            true
        })
    });
    planted("told twice or not at all", &|_, laid| laid.left_out.pop().is_some());
    planted("not each work once", &|_, laid| laid.visits.pop().is_some());
    planted("worth", &|_, laid| {
        laid.worth *= 1.001;
        laid.worth > 0.0
    });
    planted("above the bound", &|_, laid| {
        laid.bound = laid.worth * 0.999;
        laid.worth > 0.0
    });
    planted("moves, not", &|_, laid| {
        laid.moves += 1;
        true
    });
    planted("musts missed", &|plan, laid| {
        laid.left_out.first().is_some_and(|(task, _)| {
            let was = plan.tasks[*task].must;
            plan.tasks[*task].must = true;
            !was
        })
    });
    planted("more than a selection may", &|plan, laid| {
        plan.usable_share = 0.05;
        laid.visits.len() > 20
    });
    planted("not the reason", &|_, laid| {
        let worth_less = laid.left_out.iter_mut().find(|(_, why)| *why == Why::WorthLess);
        worth_less.is_some_and(|(_, why)| {
            *why = Why::TooDear;
            true
        })
    });
}
