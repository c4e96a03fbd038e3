//! Selections of small plans against trying everything.

use crate::enumeration::best;
use crate::instances;
use crate::plans::{Size, drawn};
use crate::rules::{keeps, stated};
use baywright::programme::{More, Unspent, lay, select, with_more};
use baywright::quantity::Pence;
use std::path::Path;

#[test]
fn a_selection_is_worth_what_trying_everything_finds() {
    let (mut musts, mut missed, mut shares, mut shares_missed, mut carried, mut some) = (0, 0, 0, 0, 0, 0);
    for number in 0..360 {
        let (tasks, periods) = [(18, 1), (12, 2), (9, 3), (16, 1), (11, 2), (8, 3)][number as usize % 6];
        let plan = drawn(11, number, Size { tasks, periods, trades: 1 + number as usize % 3, at_a_place: 3 });
        let (own, best) = (select(&plan), best(&plan));
        let name = format!("plan {number}");
        assert_eq!(own.musts_missed, best.musts_missed, "{name}");
        assert_eq!(own.shares_missed, best.shares_missed, "{name}");
        assert!(keeps(&stated(&plan), &own.periods, &own.shares_missed), "{name}");
        assert!(
            (own.worth - best.worth).abs() <= 1e-9 * best.worth.max(1.0),
            "{name}: {} for {}",
            own.worth,
            best.worth
        );
        assert_eq!(own.bound, own.worth, "{name} is not proven");
        musts += u32::from(plan.tasks.iter().any(|task| task.must));
        missed += u32::from(!own.musts_missed.is_empty());
        shares += u32::from(!plan.least.is_empty());
        shares_missed += u32::from(!own.shares_missed.is_empty());
        carried += u32::from(plan.unspent == Unspent::Carried);
        let done = own.periods.iter().flatten().count();
        some += u32::from(done > 0 && done < tasks);
    }
    let cases = format!(
        "{musts} musts, {missed} missed, {shares} shares, {shares_missed} missed, {carried} carried, {some} some"
    );
    println!("{cases}");
    assert!(
        musts > 80 && missed > 10 && shares > 120 && shares_missed > 3 && carried > 120 && some > 250,
        "one-sided: {cases}"
    );
}

/// One more crew or more money never makes a selection worth less, with the same musts and least shares kept.
#[test]
fn more_never_makes_a_proven_selection_worth_less() {
    let (mut compared, mut gained) = (0, 0);
    for number in 0..120 {
        let size = Size { tasks: 14, periods: 1 + number as usize % 3, trades: 1 + number as usize % 2, at_a_place: 3 };
        let plan = drawn(13, number, size);
        let own = select(&plan);
        for change in [More::Crew { trade: 0 }, More::Money(Pence(1_000_000))] {
            let more = select(&with_more(&plan, &change));
            let same = more.musts_missed == own.musts_missed && more.shares_missed == own.shares_missed;
            if same && own.bound == own.worth && more.bound == more.worth {
                assert!(more.worth >= own.worth * (1.0 - 1e-9), "plan {number}: {} after {}", more.worth, own.worth);
                compared += 1;
                gained += u32::from(more.worth > own.worth * 1.0001);
            }
        }
    }
    assert!(compared > 150 && gained > 80, "one-sided: {compared} compared, {gained} gained");
}

/// What is worth most does not depend on the order in which tasks stand, and comes out the same twice.
#[test]
fn the_order_of_tasks_moves_nothing() {
    for number in 0..40 {
        let plan = drawn(17, number, Size { tasks: 25, periods: 1 + number as usize % 3, trades: 2, at_a_place: 5 });
        let mut turned = plan.clone();
        turned.tasks.reverse();
        let last = plan.tasks.len() - 1;
        turned.least.iter_mut().flat_map(|least| &mut least.tasks).for_each(|task| *task = last - *task);
        let (one, other) = (lay(&plan), lay(&turned));
        assert_eq!(select(&plan).worth, select(&turned).worth, "plan {number}");
        assert_eq!((one.worth, one.bound, one.moves), (other.worth, other.bound, other.moves), "plan {number}");
        assert_eq!(format!("{one:?}"), format!("{:?}", lay(&plan)), "plan {number}");
    }
}

fn numbers(text: &str) -> Vec<usize> {
    text.split(';').filter(|text| !text.is_empty()).map(|text| text.parse().unwrap()).collect()
}

/// Plans of 300 sites against a mixed-integer solver: neither selection passes the other's bound, and ours falls short of
/// the solver's by no more than the gap that it states itself.
#[test]
fn plans_of_300_sites_lie_within_the_stated_gap_of_the_solvers() {
    let kept = |name: &str| Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/programme").join(name);
    if std::env::var_os("BAYWRIGHT_WRITE_PROGRAMME").is_some() {
        std::fs::write(kept("instances.csv"), instances::text()).unwrap();
        return;
    }
    assert!(std::fs::read_to_string(kept("instances.csv")).unwrap() == instances::text(), "run with --renew");
    let mut answers = csv::Reader::from_path(kept("answers.csv")).unwrap();
    let (mut gaps, mut behind) = (Vec::new(), Vec::new());
    for (number, answer) in (0..instances::KEPT).zip(answers.records()) {
        let answer = answer.unwrap();
        let (worth, bound): (f64, f64) = (answer[1].parse().unwrap(), answer[2].parse().unwrap());
        let own = select(&instances::instance(number));
        assert_eq!((own.musts_missed, own.shares_missed), (numbers(&answer[3]), numbers(&answer[4])), "plan {number}");
        let near = 1e-6 * bound;
        assert!(own.worth <= bound + near, "plan {number}: {} above the solver's bound {bound}", own.worth);
        assert!(worth <= own.bound + near, "plan {number}: the solver's {worth} above {}", own.bound);
        assert!(own.worth >= worth - (own.bound - own.worth) - near, "plan {number}: {} for {worth}", own.worth);
        gaps.push((own.bound - own.worth) / own.worth);
        behind.push((worth - own.worth) / worth);
    }
    assert_eq!(gaps.len() as u64, instances::KEPT);
    let (mean, most) = (
        |own: &[f64]| own.iter().sum::<f64>() / own.len() as f64,
        |own: &[f64]| own.iter().copied().fold(f64::MIN, f64::max),
    );
    println!(
        "stated gap: mean {:.5}, most {:.5}; behind the solver: mean {:.5}, most {:.5}",
        mean(&gaps),
        most(&gaps),
        mean(&behind),
        most(&behind)
    );
    assert!(mean(&gaps) < 0.004 && most(&gaps) < 0.01 && most(&behind) < 0.005, "{gaps:?} {behind:?}");
}
