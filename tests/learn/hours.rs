//! Hours of tasks: true factors come out again, and nothing is proposed where hours were right.

use crate::defaults;
use crate::drawn::{Drawn, Kind, Leaves, house, kind, learned, normal, outcome};
use crate::draws::Draws;
use baywright::estimate::PriceBook;
use baywright::learn::{Learned, TaskFactor, prices_overlay};
use baywright::rules::default_rules;
use baywright::site::*;

/// Homes and car parks whose tasks have different shares: digging from none to most of it, one point to a dozen.
pub fn kinds() -> Vec<Kind> {
    let mut kinds = Vec::new();
    for buried_m in [0.0, 4.0, 10.0, 25.0] {
        for indoor_m in [2.0, 9.0] {
            let mut site = house(Some(1980.0), 100.0, true, 18.0, Leaves::Nothing);
            site.supply.looped_service = Reading::of(false);
            site.parking.parking_distance_m = Reading::of(buried_m + indoor_m + 3.0);
            site.parking.route_indoor_m = Reading::of(indoor_m);
            site.parking.route_surface_m = Reading::of(3.0);
            site.parking.route_buried_m = Reading::of(buried_m);
            site.parking.walls = Reading::of(f64::from(u8::from(indoor_m > 5.0)) + 1.0);
            kinds.push(kind(site, &defaults()));
        }
    }
    for points in [2.0, 4.0, 8.0, 12.0] {
        for buried_m in [0.0, 20.0, 60.0] {
            let mut site = house(Some(1980.0), 100.0, true, 20.0, Leaves::Nothing);
            site.identity.premises_type = Reading::of(Premises::Workplace);
            site.identity.tenure = Reading::of(Tenure::Owner);
            site.supply.looped_service = Reading::of(false);
            site.supply.supply_phases = Reading::of(3.0);
            site.supply.fault_level_ka = Reading::of(5.0);
            site.supply.agreed_capacity_kva = Reading::of(250.0);
            site.supply.cutout_rating_a = Reading::of(400.0);
            site.parking.parking_type = Reading::of(ParkingType::Allocated);
            site.parking.covered_parking = Reading::of(false);
            site.parking.bays = Reading::of(points * 2.0);
            site.wanted.points_wanted = Reading::of(points);
            site.parking.parking_distance_m = Reading::of(buried_m + 15.0);
            site.parking.route_indoor_m = Reading::of(5.0);
            site.parking.route_surface_m = Reading::of(10.0);
            site.parking.route_buried_m = Reading::of(buried_m);
            site.parking.ground_surface = Reading::of(GroundSurface::Soft);
            kinds.push(kind(site, &defaults()));
        }
    }
    kinds.retain(|kind| kind.judgement.estimate.is_some());
    kinds
}

fn truth(task: &str, biased: bool) -> f64 {
    match task {
        task if biased && task.starts_with("dig-") => 1.4,
        task if biased && task.starts_with("mount-") => 0.8,
        _ => 1.0,
    }
}

/// Hours that were found: those said, each task by its truth, with a noise of 15 % of the hours said.
pub fn drawn(kinds: &[Kind], sites: usize, seed: u64, biased: bool) -> Vec<Drawn> {
    let mut draws = Draws::of(0x40b5, seed);
    (0..sites)
        .map(|at| {
            let place = draws.below(kinds.len());
            let tasks = &kinds[place].judgement.estimate.as_ref().unwrap().tasks;
            let crews = || tasks.iter().filter(|task| task.persons > 0);
            let said: f64 = crews().map(|task| task.hours.likely).sum();
            let there: f64 = crews().map(|task| truth(task.task, biased) * task.hours.likely).sum();
            let hours = (there + 0.15 * said * normal(&mut draws)).max(0.1);
            let mut site = kinds[place].site.clone();
            site.site_id = format!("S{at:04}");
            Drawn { kind: place, site, outcome: Outcome { hours: Some(hours), ..outcome(at) } }
        })
        .collect()
}

fn task<'a>(learned: &'a Learned, code: &str) -> &'a TaskFactor {
    learned.tasks.tasks.iter().find(|task| task.task == code).unwrap()
}

#[test]
fn factors_of_task_hours_come_out_again() {
    let kinds = kinds();
    assert!(kinds.len() >= 16, "{}", kinds.len());
    let found = learned(&kinds, &drawn(&kinds, 200, 1, true), default_rules());
    for factor in &found.tasks.tasks {
        println!(
            "{:<26} {:>4} sites {:>8.1} h  {:.3} +- {:.3} of {}  {}",
            factor.task,
            factor.sites,
            factor.said_h,
            factor.factor,
            factor.error,
            truth(factor.task, true),
            factor.why_not
        );
    }
    let noise = found.tasks.noise.unwrap();
    println!("noise {noise:.4}");
    assert!((noise - 0.15).abs() < 0.03, "{noise}");
    let dig = task(&found, "dig-soft");
    assert!((dig.factor - 1.4).abs() <= (0.14_f64).max(2.0 * dig.error), "{dig:?}");
    assert!(dig.proposed.is_some());
    for factor in &found.tasks.tasks {
        let off = (factor.factor - truth(factor.task, true)).abs();
        assert!(off <= (0.1 * truth(factor.task, true)).max(3.0 * factor.error), "{factor:?}");
    }
    // Loaded again, the price book has the hours in proportion.
    let prices = PriceBook::default_book();
    let text = prices_overlay(&found, prices, "outcomes.csv, digest 0123").unwrap();
    let book = PriceBook::from_csv("learned.csv", text.as_bytes()).unwrap_or_else(|why| panic!("{why}\n{text}"));
    let (was, is) = (prices.by_code("dig-soft").unwrap(), book.by_code("dig-soft").unwrap());
    for (was, is) in
        [(was.figure.low, is.figure.low), (was.figure.likely, is.figure.likely), (was.figure.high, is.figure.high)]
    {
        assert!((is - was * dig.factor).abs() < 1e-4, "{was} {is} {}", dig.factor);
    }
    assert!(is.basis.starts_with("learned from ") && is.source.contains("digest"), "{is:?}");
}

#[test]
fn the_truth_lies_within_two_errors_and_what_is_right_is_mostly_left() {
    let kinds = kinds();
    let (mut within, mut all, mut proposed, mut asked, mut dig, mut mount) = (0.0, 0.0, 0.0, 0.0, 0.0, 0.0);
    const SEEDS: u64 = 40;
    for seed in 0..SEEDS {
        let biased = learned(&kinds, &drawn(&kinds, 200, seed, true), default_rules());
        for factor in &biased.tasks.tasks {
            all += 1.0;
            within += f64::from(u8::from((factor.factor - truth(factor.task, true)).abs() <= 2.0 * factor.error));
        }
        let covered = |code: &str| {
            let factor = task(&biased, code);
            f64::from(u8::from((factor.factor - truth(code, true)).abs() <= 2.0 * factor.error)) / SEEDS as f64
        };
        dig += covered("dig-soft");
        mount += covered("mount-charge-point-1ph").max(0.0);
        let right = learned(&kinds, &drawn(&kinds, 200, seed, false), default_rules());
        for factor in right.tasks.tasks.iter().filter(|factor| factor.why_not != "too few sites") {
            asked += 1.0;
            proposed += f64::from(u8::from(factor.proposed.is_some()));
        }
    }
    println!(
        "within two errors {:.3}; digging {dig:.3}, mounting {mount:.3}; {proposed} of {asked} proposed",
        within / all
    );
    assert!(within / all >= 0.85 && dig >= 0.85 && mount >= 0.85);
    assert!(proposed / asked < 0.40, "{proposed} of {asked}");
}
