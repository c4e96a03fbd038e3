//! What must hold of any vehicles on any supply, on instances beyond the kept ones. `ENERGY_TRIALS` says how many.

use crate::draws::number;
use crate::holds;
use crate::instances::{Instance, KEPT, drawn};

fn instances() -> impl Iterator<Item = Instance> {
    (KEPT..KEPT + number("ENERGY_TRIALS").unwrap_or(250)).map(|number| {
        let own = drawn(number);
        // Beyond the kept ones all are weeks: their first day is an instance like any other.
        Instance {
            room_a: own.room_a[..48].to_vec(),
            vehicles: own.vehicles.iter().filter(|own| own.arrive_h < 24.0).copied().collect(),
            ..own
        }
    })
}

#[test]
fn a_higher_limit_never_serves_less_and_every_schedule_holds_it() {
    for own in instances() {
        let mut last_kwh = 0.0;
        for share in [0.3, 0.6, 1.0, 1.2, 1.7, 3.0, f64::INFINITY] {
            let found = own.delivered_under(own.limit_a * share);
            assert!(found.energy_kwh >= last_kwh - 1e-5, "{}: less at {share} times the limit", own.name);
            last_kwh = found.energy_kwh;
            holds(&own, own.limit_a * share);
        }
    }
}

#[test]
fn the_least_limit_serves_all_and_less_does_not() {
    let mut found = 0;
    for own in instances() {
        match own.least_limit_a() {
            Some(least_a) => {
                found += 1;
                let served = own.delivered_under(least_a);
                assert!(served.serves_all(), "{}: {} kWh short at {least_a} A", own.name, served.short_kwh());
                if least_a > own.floor_a {
                    let less = own.delivered_under(least_a - 0.01);
                    assert!(less.short_kwh() > 0.0, "{}: {least_a} A is not the least", own.name);
                }
            }
            None => assert!(!own.delivered_under(f64::INFINITY).serves_all(), "{}", own.name),
        }
    }
    assert!(found > 50);
}

#[test]
fn one_more_vehicle_never_raises_what_the_others_get() {
    for own in instances() {
        let before = own.delivered_under(own.limit_a);
        for last in own.vehicles.clone() {
            let mut more = own.clone();
            more.vehicles.push(baywright::energy::Vehicles { count: 1, ..last });
            let after = more.delivered_under(own.limit_a);
            let own_kwh = last.need_kwh - after.unserved_kwh.last().unwrap();
            assert!(after.energy_kwh - own_kwh <= before.energy_kwh + 1e-4, "{}", own.name);
        }
    }
}

#[test]
fn places_that_are_changed_are_never_more_and_points_never_hurt() {
    let mut both = 0;
    for own in instances() {
        let points = own.points();
        if let (Some(staying), Some(swapping)) = (points.staying, points.swapping) {
            both += 1;
            assert!(swapping <= staying, "{}: {points:?}", own.name);
            let vehicles: u32 = own.vehicles.iter().map(|own| own.count).sum();
            assert!(staying <= vehicles, "{}: {points:?}", own.name);
        }
        assert!(points.staying.is_none() || points.swapping.is_some(), "{}: {points:?}", own.name);
        let stronger = Instance { limit_a: own.limit_a * 1.5, ..own.clone() };
        if let (Some(one), Some(other)) = (points.swapping, stronger.points().swapping) {
            assert!(other <= one, "{}: {other} for {one} under a higher limit", own.name);
        }
    }
    assert!(both > 40);
}
