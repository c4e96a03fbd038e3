//! Selections of small plans against trying everything.

use crate::enumeration::best;
use crate::plans::{Size, drawn};
use crate::rules::{keeps, stated};
use baywright::programme::{Unspent, select};

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

#[test]
fn measured() {
    for number in 0..crate::instances::KEPT {
        let plan = crate::instances::instance(number);
        let begun = std::time::Instant::now();
        let own = select(&plan);
        println!(
            "{number} {} musts missed {:?} shares missed {:?} worth {:.4} bound {:.4} gap {:.6} in {:?} done {}",
            plan.periods.len(),
            own.musts_missed,
            own.shares_missed,
            own.worth,
            own.bound,
            (own.bound - own.worth) / own.worth,
            begun.elapsed(),
            own.periods.iter().flatten().count()
        );
    }
    std::fs::write("/work/h-lay/tests/programme/instances.csv", crate::instances::text()).unwrap();
}

#[test]
fn large() {
    use crate::plans::*;
    for (number, (tasks, periods)) in
        [(600, 8), (3000, 8), (3000, 12), (1000, 24), (100, 120), (3000, 40)].into_iter().enumerate()
    {
        let plan = drawn(77, number as u64, Size { tasks, periods, trades: 3, at_a_place: 12 });
        let begun = std::time::Instant::now();
        let own = select(&plan);
        println!(
            "{tasks} x {periods} worth {} gap {:.6} in {:?}",
            own.worth,
            (own.bound - own.worth) / own.worth,
            begun.elapsed()
        );
    }
}
