//! What an answer may do to a verdict: a bad one never helps, a good one never harms.

use super::context;
use super::drawn::Drawn;
use baywright::design::facts;
use baywright::possible::{Look, World, open};
use baywright::rules::{Stance, default_rules};
use baywright::site::Site;
use baywright::verdict::{Context, judge};
use std::collections::BTreeMap;

/// Facts whose unknown value is taken beyond every plausible one, on the safe side: to know them can only help.
const SAFE_SIDE: [&str; 2] = ["fault_level_ka", "ze_ohm"];

#[test]
fn a_fact_at_its_worst_never_improves_a_verdict_and_a_good_one_never_worsens_it() {
    let rules = default_rules();
    let trials = if cfg!(debug_assertions) { 400 } else { 4_000 };
    let mut tried: BTreeMap<&str, (u32, u32)> = BTreeMap::new();
    for trial in 0..trials {
        let site = Drawn::of_trial(trial, rules).surveyed;
        let likely = facts(&site, rules).0;
        let open = open(&site, &likely, rules);
        let look = Look { site: &site, facts: &likely, rules, year: open.years[0].0 };
        for stance in [Stance::Screen, Stance::Commit] {
            let verdict = |site: &Site| judge(site, &Context { stance, ..context(rules, false) }).verdict;
            let unknown = verdict(&site);
            for fact in open.facts.iter().filter(|fact| fact.best_first && !fact.is_band()) {
                let known = |index: u8| {
                    let mut world = World { site: site.clone(), ..World::seen(&site, &likely) };
                    fact.settle(&mut world, index, &look);
                    verdict(&world.site)
                };
                let (best, worst) = (known(0), known(fact.count() - 1));
                assert!(best <= unknown, "trial {trial}, {stance:?}: {fact:?} at its best makes {unknown} {best}");
                let beyond = SAFE_SIDE.contains(&fact.field);
                assert!(
                    beyond || worst >= unknown,
                    "trial {trial}, {stance:?}: {fact:?} at its worst: {unknown} {worst}"
                );
                let count = tried.entry(fact.field).or_default();
                count.0 += 1;
                count.1 += u32::from(best != worst);
            }
        }
    }
    // Every fact was tried, and knowing it did something to most of them.
    assert!(tried.len() >= 9 && tried.values().all(|(tried, _)| *tried > 20), "{tried:?}");
    assert!(tried.values().filter(|(_, moved)| *moved > 0).count() >= 6, "{tried:?}");
}
