//! The split against looking at every way of settling the open facts, and the order of alternatives that it trusts.

use super::split::verdict_at;
use super::{Judged, Outlook};
use crate::design::{Facts, facts};
use crate::finding::Effect;
use crate::possible::{Open, open};
use crate::rules::default_rules;
use crate::site::*;
use crate::splitmix::Splitmix;
use crate::verdict::Odds;
use jiff::civil::date;

/// Facts that turn a verdict too rarely to be met here for sure: a route does beyond a kilometre, a fault level at
/// intakes near their transformer.
const RARELY: [&str; 3] = ["parking_distance_m", "fault_level_ka", "ze_ohm"];

/// Sites looked at one by one: fewer where the program is not optimised.
const TRIALS: u64 = if cfg!(debug_assertions) { 900 } else { 6000 };
/// Sites with more ways than this are left to the calibration.
const MOST_WAYS: usize = if cfg!(debug_assertions) { 130 } else { 700 };

struct Dice(Splitmix);

impl Dice {
    fn below(&mut self, count: usize) -> usize {
        (self.0.next() % count.max(1) as u64) as usize
    }

    fn one<T: Copy>(&mut self, all: &[T]) -> T {
        all[self.below(all.len())]
    }

    fn reading<T: Copy>(&mut self, hidden_in_10: usize, all: &[T]) -> Reading<T> {
        let value = self.one(all);
        if self.below(10) < hidden_in_10 {
            self.one(&[0, 1]).eq(&0).then(Reading::unknown).unwrap_or_default()
        } else {
            Reading::of(value)
        }
    }
}

/// A site of any kind with some facts open; `hidden` in ten of each fact.
fn drawn(trial: u64, hidden: usize) -> Site {
    let mut dice = Dice(Splitmix(trial.wrapping_mul(0x2545_f491_4f6c_dd1d) ^ 0xba5e));
    let mut site = Site { row: 2, site_id: format!("drawn-{trial}"), ..Site::default() };
    let premises = dice.one(&[Premises::House, Premises::House, Premises::Flat, Premises::Block, Premises::Workplace]);
    site.identity.premises_type = Reading::of(premises);
    site.identity.tenure = dice.reading(hidden, &[Tenure::Owner, Tenure::SocialRent, Tenure::PrivateRent]);
    site.permissions.year_built = dice.reading(hidden, &[1930.0, 1955.0, 1962.0, 1980.0, 2004.0]);
    site.permissions.asbestos_on_route = dice.reading(hidden, &[false, false, true]);
    site.permissions.consent_status =
        dice.reading(hidden, &[ConsentStatus::Granted, ConsentStatus::NotNeeded, ConsentStatus::NotAsked]);
    site.permissions.listed = dice.reading(hidden, &[false]);
    let supply = &mut site.supply;
    let home = premises.is_home();
    supply.supply_phases = dice.reading(hidden, if home { &[1.0] } else { &[3.0, 3.0, 1.0] });
    supply.cutout_rating_a = dice.reading(hidden, if home { &[60.0, 80.0, 100.0] } else { &[80.0, 100.0, 200.0] });
    supply.cutout_evidence =
        dice.reading(hidden, &[CutoutEvidence::Fuse, CutoutEvidence::Carrier, CutoutEvidence::Label]);
    supply.cutout_condition = dice.reading(hidden, &[Condition::Sound, Condition::Sound, Condition::Doubtful]);
    supply.looped_service = dice.reading(hidden, &[false, false, false, true]);
    supply.earthing_system =
        dice.reading(hidden, &[EarthingSystem::TnCS, EarthingSystem::TnCS, EarthingSystem::TnS, EarthingSystem::Tt]);
    supply.fault_level_ka = dice.reading(hidden, &[1.2, 4.0, 16.0]);
    if !home {
        supply.agreed_capacity_kva = dice.reading(hidden, &[40.0, 69.0, 138.0]);
    }
    site.board.board_condition = dice.reading(hidden, &[Condition::Sound]);
    site.board.spare_ways = dice.reading(3, &[0.0, 2.0]);
    site.parking.parking_type = dice.reading(hidden, &[ParkingType::Driveway, ParkingType::Allocated]);
    site.parking.covered_parking = dice.reading(hidden, &[false, false, true]);
    site.parking.storeys = dice.reading(hidden, &[2.0, 4.0, 9.0]);
    let demand_a = dice.one(&[18.0, 26.0, 31.0, 38.0, 45.0, 52.0, 66.0, 90.0]);
    site.load.existing_demand_a = Reading::of(demand_a);
    site.load.demand_method = dice.reading(2, DemandMethod::ALL);
    let metres = dice.one(&[6.0, 14.0, 22.0, 40.0, 85.0, 1500.0]);
    site.parking.parking_distance_m = Reading::of(metres);
    if dice.below(5) == 0 {
        let answer = Answer::Doubtful { low: metres * 0.1, likely: metres, high: metres * 1.6 };
        site.parking.parking_distance_m = Reading { answer, column: None };
    }
    site.wanted.points_wanted = Reading::of(if home { 1.0 } else { dice.one(&[1.0, 3.0, 8.0]) });
    site
}

fn judged(site: &Site) -> Judged<'_> {
    Judged { site, rules: default_rules(), as_of: date(2026, 11, 25), floor: Effect::None }
}

/// Odds by looking at every way; `None` where there are too many.
fn one_by_one(judged: &Judged<'_>, likely: &Facts, open: &Open, most: usize) -> Option<Odds> {
    let counts: Vec<u8> = open.facts.iter().map(|fact| fact.count()).collect();
    let ways = counts.iter().try_fold(1_usize, |ways, count| ways.checked_mul(usize::from(*count)))?;
    if ways > most {
        return None;
    }
    let mut sums = [0.0; 3];
    let mut point = vec![0_u8; counts.len()];
    for _ in 0..ways {
        let verdict = verdict_at(judged, likely, open, &point);
        let weight: f64 = (0..open.years.len())
            .map(|year| {
                let of_facts = open.facts.iter().zip(&point).map(|(fact, at)| fact.weight(*at, at + 1, year));
                open.years[year].1 * of_facts.product::<f64>()
            })
            .sum();
        sums[verdict as usize] += weight;
        for (at, count) in point.iter_mut().zip(&counts) {
            *at += 1;
            if *at < *count {
                break;
            }
            *at = 0;
        }
    }
    let [ready, marginal, blocked] = sums;
    Some(Odds { ready, marginal, blocked })
}

#[test]
fn splitting_comes_to_what_looking_at_every_way_comes_to() {
    let (mut tried, mut mixed) = (0, 0);
    for trial in 0..TRIALS {
        let site = drawn(trial, 1);
        let likely = facts(&site, default_rules()).0;
        let judged = judged(&site);
        let open = open(&site, &likely, default_rules());
        let Some(expected) = one_by_one(&judged, &likely, &open, MOST_WAYS) else { continue };
        let outlook = Outlook::of(&judged, &likely);
        let found = outlook.odds();
        for (found, expected) in
            [(found.ready, expected.ready), (found.marginal, expected.marginal), (found.blocked, expected.blocked)]
        {
            assert!(
                (found - expected).abs() < 1e-9,
                "trial {trial}: {found} for {expected}\n{open:#?}\n{outlook:#?} {:?} {:?} {:?} {:?}",
                (0..32).map(|i| verdict_at(&judged, &likely, &open, &[0, 0, i]) as u8).collect::<Vec<_>>(),
                site.identity.premises_type,
                likely.demand,
                likely.wanted
            );
        }
        tried += 1;
        mixed += u64::from(expected.ready > 0.001 && expected.ready < 0.999);
    }
    assert!(tried > TRIALS / 12 && mixed > TRIALS / 30, "{tried} sites, {mixed} of them in doubt");
}

#[test]
fn a_fact_is_told_apart_only_where_a_verdict_turns_on_it() {
    let (mut told_apart, mut whole) = (0, 0);
    for trial in 0..TRIALS {
        let site = drawn(trial, 1);
        let likely = facts(&site, default_rules()).0;
        let judged = judged(&site);
        let open = open(&site, &likely, default_rules());
        let counts: Vec<u8> = open.facts.iter().map(|fact| fact.count()).collect();
        let ways: usize = counts.iter().map(|count| usize::from(*count)).product();
        if ways > MOST_WAYS {
            continue;
        }
        let outlook = Outlook::of(&judged, &likely);
        let answers = super::Answers::of(&outlook);
        for (place, fact) in open.facts.iter().enumerate().filter(|(_, fact)| !fact.best_first) {
            let turns = (0..ways).any(|way| {
                let mut left = way;
                let mut point: Vec<u8> = Vec::with_capacity(counts.len());
                for count in &counts {
                    point.push((left % usize::from(*count)) as u8);
                    left /= usize::from(*count);
                }
                let here = verdict_at(&judged, &likely, &open, &point);
                point[place] = 0;
                here != verdict_at(&judged, &likely, &open, &point)
            });
            assert!(turns || !answers.bears(place), "trial {trial}: nothing turns on {}", fact.field);
            told_apart += u64::from(turns);
            whole += u64::from(!turns);
        }
    }
    assert!(told_apart > 5 && whole > 20, "{told_apart} told apart, {whole} whole");
}

#[test]
fn no_alternative_is_better_than_the_one_before_it() {
    let mut steps = std::collections::BTreeMap::new();
    for trial in 0..TRIALS {
        let site = drawn(trial, 5);
        let likely = facts(&site, default_rules()).0;
        let judged = judged(&site);
        let open = open(&site, &likely, default_rules());
        let mut dice = Dice(Splitmix(trial));
        let mut point: Vec<u8> = open.facts.iter().map(|fact| dice.below(usize::from(fact.count())) as u8).collect();
        // Where the place is at its best the design is not hidden behind what stops it.
        if trial % 2 == 0 {
            for (at, fact) in point.iter_mut().zip(&open.facts) {
                if fact.bears == crate::possible::Bears::Place || fact.field == "existing_demand_a" {
                    *at = 0;
                }
            }
        }
        for place in 0..open.facts.len() {
            let fact = &open.facts[place];
            if !fact.best_first {
                continue;
            }
            let kept = point[place];
            let better = dice.below(usize::from(fact.count()) - 1) as u8;
            let worse = better + 1 + dice.below(usize::from(fact.count() - better - 1)) as u8;
            let mut at = |index: u8| {
                point[place] = index;
                verdict_at(&judged, &likely, &open, &point)
            };
            let (better, worse) = (at(better), at(worse));
            point[place] = kept;
            assert!(better <= worse, "trial {trial}: {} got better for worse: {:?}", fact.field, fact);
            let entry = steps.entry(fact.field).or_insert((0, 0));
            entry.0 += 1;
            entry.1 += usize::from(better < worse);
        }
    }
    // Every fact of the walk was tried, and what is said to bear on a verdict did somewhere.
    for (field, (tried, moved)) in &steps {
        assert!(*tried > TRIALS / 60, "{field} was tried {tried} times only");
        assert!(*moved > 0 || cfg!(debug_assertions) || RARELY.contains(field), "{field} never moved a verdict");
    }
    assert!(steps.len() >= 12, "{steps:?}");
}

#[test]
fn what_bears_on_the_place_alone_changes_no_design() {
    use crate::possible::{Bears, Look, World};
    for trial in 0..400 {
        let site = drawn(trial, 5);
        let rules = default_rules();
        let likely = facts(&site, rules).0;
        let open = open(&site, &likely, rules);
        let look = Look { site: &site, facts: &likely, rules, year: open.years[0].0 };
        for fact in open.facts.iter().filter(|fact| fact.bears == Bears::Place) {
            let effects: Vec<_> = (0..fact.count())
                .map(|index| {
                    let mut world = World::seen(&site, &likely);
                    fact.settle(&mut world, index, &look);
                    crate::design::best_effect(&world.facts(rules), rules)
                })
                .collect();
            assert!(effects.windows(2).all(|pair| pair[0] == pair[1]), "{}: {effects:?}", fact.field);
        }
    }
}

#[test]
fn knowing_a_fact_splits_the_odds_by_its_chance() {
    for trial in 0..200 {
        let site = drawn(trial, 5);
        let likely = facts(&site, default_rules()).0;
        let outlook = Outlook::of(&judged(&site), &likely);
        let whole = outlook.odds();
        for (place, fact) in outlook.open_facts().iter().enumerate() {
            let (mut ready, mut chances) = (0.0, 0.0);
            for index in 0..fact.count() {
                let chance = outlook.chance(place, index);
                chances += chance;
                ready += chance * outlook.odds_where(&[(place, index)]).ready;
            }
            assert!((chances - 1.0).abs() < 1e-9, "{}: chances of {chances}", fact.field);
            assert!((ready - whole.ready).abs() < 1e-9, "{}: {ready} for {}", fact.field, whole.ready);
        }
    }
}
