//! Vehicles on a supply, against general libraries, closed forms and brute force.

mod demand;
#[path = "../draws.rs"]
mod draws;
mod instances;
mod properties;
mod shapes;
#[path = "../splitmix.rs"]
mod splitmix;

use baywright::quantity::neutral_a;
use instances::{Instance, KEPT, drawn};
use std::path::{Path, PathBuf};

fn kept(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/energy").join(name)
}

fn rows(name: &str) -> Vec<Vec<String>> {
    let mut reader = csv::Reader::from_path(kept(name)).unwrap();
    reader.records().map(|row| row.unwrap().iter().map(str::to_owned).collect()).collect()
}

#[test]
fn the_kept_instances_are_those_that_are_drawn() {
    if std::env::var_os("BAYWRIGHT_WRITE_ENERGY").is_some() {
        std::fs::write(kept("instances.csv"), instances::text()).unwrap();
    }
    assert!(std::fs::read_to_string(kept("instances.csv")).unwrap() == instances::text(), "run with --renew");
}

/// Energy to 0.01 kWh, the largest share short, the least limit to 0.1 A and the points are those of a programme with a
/// variable for every vehicle, solved by another solver.
#[test]
fn every_instance_has_the_librarys_answer() {
    let answers = rows("answers.csv");
    assert_eq!(answers.len() as u64, KEPT);
    let (mut short, mut never, mut mixed) = (0, 0, 0);
    for (number, answer) in (0..KEPT).zip(&answers) {
        let [name, energy_kwh, share, least_a, staying, swapping] = &answer[..] else { panic!("columns") };
        let own = drawn(number);
        assert_eq!(name, &own.name);
        let found = own.delivered_under(own.limit_a);
        let energy_kwh: f64 = energy_kwh.parse().unwrap();
        assert!((found.energy_kwh - energy_kwh).abs() < 0.01, "{name}: {} for {energy_kwh} kWh", found.energy_kwh);
        let share: f64 = share.parse().unwrap();
        assert!((found.largest_share_short - share).abs() < 1e-3, "{name}: {} for {share}", found.largest_share_short);
        holds(&own, own.limit_a);
        let least = own.least_limit_a();
        match least_a.parse::<f64>() {
            Ok(least_a) => assert!((least.unwrap() - least_a).abs() < 0.1, "{name}: {least:?} for {least_a} A"),
            Err(_) => assert_eq!(least, None, "{name}"),
        }
        let points = own.points();
        assert_eq!(points.staying, staying.parse().ok(), "{name}: points, staying");
        assert_eq!(points.swapping, swapping.parse().ok(), "{name}: points, swapping");
        short += u32::from(!found.serves_all());
        never += u32::from(least.is_none());
        let kinds = |phases| own.vehicles.iter().any(|vehicles| vehicles.phases == phases);
        mixed += u32::from(own.supply_phases == 3 && kinds(1) && kinds(3));
    }
    let cases = format!("{short} short, {never} never served, {mixed} of both kinds");
    assert!(short > 80 && short < 280 && never > 30 && mixed > 60, "one-sided: {cases}");
}

/// A schedule holds every limit and brings what it says.
fn holds(own: &Instance, limit_a: f64) {
    let found = own.delivered_under(limit_a);
    let mut drawn_kwh = 0.0;
    for (load_a, room_a) in found.load_a.iter().zip(&own.room_a) {
        let most_a = room_a.min(limit_a);
        let most_a = if most_a < own.floor_a { 0.0 } else { most_a };
        for amps in load_a {
            assert!(*amps <= most_a + 1e-6, "{}: {amps} above {most_a} A", own.name);
            drawn_kwh += amps * 230.0 * 0.5 / 1000.0;
        }
    }
    assert!((drawn_kwh - found.energy_kwh).abs() < 1e-4, "{}: {drawn_kwh} for {}", own.name, found.energy_kwh);
    let needed_kwh: f64 = own.vehicles.iter().map(|own| f64::from(own.count) * own.need_kwh).sum();
    assert!((needed_kwh - found.energy_kwh - found.short_kwh()).abs() < 1e-4, "{}", own.name);
}

/// The formula of the neutral current against an asymmetric power flow.
#[test]
fn the_neutral_carries_what_a_power_flow_gives() {
    let rows = rows("neutral.csv");
    assert!(rows.len() >= 16);
    for row in rows {
        let figure = |place: usize| row[place].parse::<f64>().unwrap();
        let found = neutral_a([figure(0), figure(1), figure(2)]);
        assert!((found - figure(4)).abs() < 0.02, "{row:?}: {found}");
    }
}
