//! What several points come to: phases, years and demand against cases worked by hand.

use super::*;
use crate::design::{arrangements, facts};
use crate::rules::default_rules;
use crate::site::{DemandMethod, EarthingSystem, Reading, Site};

/// A block's car park on 100 A three-phase, 30 A measured, twelve points, with its first arrangement.
fn car_park() -> (Facts, Arrangement) {
    let mut site = Site { row: 2, site_id: "B1".into(), ..Site::default() };
    site.identity.premises_type = Reading::of(Premises::Block);
    site.supply.supply_phases = Reading::of(3.0);
    site.supply.cutout_rating_a = Reading::of(100.0);
    site.supply.earthing_system = Reading::of(EarthingSystem::TnCS);
    site.supply.fault_level_ka = Reading::of(5.0);
    site.load.existing_demand_a = Reading::of(30.0);
    site.load.demand_method = Reading::of(DemandMethod::Measured);
    site.parking.parking_distance_m = Reading::of(40.0);
    site.wanted.points_wanted = Reading::of(12.0);
    let facts = facts(&site, default_rules()).0;
    let arrangement = arrangements(&facts, default_rules()).remove(0);
    (facts, arrangement)
}

/// So many vehicles of one group from 18:00 to 05:00, as many points.
fn vehicles(count: u32, mean_kwh: f64, phases: u8) -> Arc<[VehicleGroup]> {
    Arc::from([VehicleGroup {
        name: Arc::from("van"),
        vehicles: count,
        points: count,
        mean_kwh,
        high_kwh: 1.5 * mean_kwh,
        arrive_h: 18.0,
        depart_h: 5.0,
        max_a: f64::INFINITY,
        phases,
    }])
}

fn phases(points: u32, setting_a: f64, phases: u8, supply_phases: u8) -> ([u32; 3], f64) {
    let (facts, arrangement) = car_park();
    let mut facts = Facts { vehicles: vehicles(points, 8.0, phases), supply_phases, ..facts };
    facts.wanted.points = points;
    let own = needs(&facts, (setting_a, phases), Day::Mean);
    phases_of(&facts, &Arrangement { setting_a, phases, ..arrangement }, &own)
}

#[test]
fn single_phase_points_go_round_the_phases_and_the_neutral_carries_what_is_uneven() {
    assert_eq!(phases(6, 32.0, 1, 3), ([2, 2, 2], 0.0));
    // 96, 64 and 64 A: two like currents cancel but for what the third has more, 32 A.
    let (on, neutral_a) = phases(7, 32.0, 1, 3);
    assert_eq!(on.iter().sum::<u32>(), 7);
    assert_eq!((on.iter().min(), on.iter().max()), (Some(&2), Some(&3)));
    assert!((neutral_a - 32.0).abs() < 1e-9, "{neutral_a}");
    // Two of three phases loaded alike leave one phase's current.
    let (on, neutral_a) = phases(2, 16.0, 1, 3);
    assert_eq!((on.iter().sum::<u32>(), on.iter().max()), (2, Some(&1)));
    assert!((neutral_a - 16.0).abs() < 1e-9, "{neutral_a}");
    assert_eq!(phases(5, 16.0, 3, 3), ([5; 3], 0.0));
    assert_eq!(phases(3, 32.0, 1, 1), ([3, 0, 0], 96.0));
}

/// A hundred three-phase vehicles of 7.59 kWh in eleven hours: 759 kWh / (3 x 230 V x 11 h) is 100 A.
#[test]
fn each_limit_lasts_as_long_as_a_fifth_more_a_year_fits_under_it() {
    let (facts, mut arrangement) = car_park();
    let mut facts = Facts { vehicles: vehicles(100, 7.59, 3), ..facts };
    (arrangement.setting_a, arrangement.phases, arrangement.submain_device) = (32.0, 3, None);
    let rules = default_rules();
    assert_eq!((rules.energy.growth_percent_a_year, rules.energy.runway_years), (20.0, 15));
    let shared = arrangement.shared.as_mut().unwrap();
    // 1.2^3 is 1.73 and 1.2^4 is 2.07: twice today's lasts three years and is short in the fourth.
    shared.group_limit_a = 200.0;
    // 30 A measured are 33 A at their high end; 467 A are left, and 1.2^8 is 4.30, 1.2^9 is 5.16.
    facts.cutout_a = 500.0;
    facts.capacity_a = None;
    let found = runway(&facts, rules, &arrangement, None, 2026);
    assert_eq!(found, Runway { group: Some(2030), submain: None, supply: Some(2035), until: 2041 });
    // To the ampere: a limit of the least is enough today and no longer; one below it is full this year.
    for (limit_a, year) in [(100.0, 2027), (99.0, 2026), (120.0, 2028), (10_000.0, 0)] {
        arrangement.shared.as_mut().unwrap().group_limit_a = limit_a;
        let found = runway(&facts, rules, &arrangement, None, 2026);
        assert_eq!(found.group, (year > 0).then_some(year), "{limit_a} A");
    }
    // A supply that cannot give today's vehicles their day is full today: 67 A of 100 are left.
    facts.cutout_a = 100.0;
    assert_eq!(runway(&facts, rules, &arrangement, None, 2026).supply, Some(2026));
    // So is one whose load leaves no half-hour anything to follow.
    let amps = Box::new([90.0; HALF_HOURS]);
    let own = super::super::HalfHourLoad::Own { mean_a: amps.clone(), high_a: amps };
    facts.half_hours = Some(Arc::new(own));
    assert_eq!(runway(&facts, rules, &arrangement, Some(90.0), 2026).supply, Some(2026));
}

#[test]
fn control_keeps_its_limit_and_a_tariff_alone_makes_a_large_group_worse() {
    let (facts, mut arrangement) = car_park();
    let facts = Facts { vehicles: vehicles(60, 7.0, 1), ..facts };
    arrangement.setting_a = 32.0;
    let rules = default_rules();
    for limit_a in [12.0, 30.0, 67.0] {
        arrangement.shared.as_mut().unwrap().group_limit_a = limit_a;
        let found = ways(&facts, rules, &arrangement, None);
        let group_kw = limit_a * 3.0 * U0_V / 1000.0;
        assert!(found.controlled_kw <= found.existing_kw + group_kw + 1e-9, "{limit_a} A: {found:?}");
        assert!(found.controlled_kw > found.existing_kw, "{found:?}");
        assert!(found.controlled_kw < found.as_they_come_kw, "{limit_a} A: {found:?}");
        assert!(found.at_tariff_start_kw > found.as_they_come_kw, "{found:?}");
        assert!((found.limit_kw - 69.0).abs() < 1e-9, "100 A of three phases are 69 kW: {found:?}");
        // The same site has the same figures.
        assert_eq!(found, ways(&facts, rules, &arrangement, None));
        // A limit that follows the load holds the whole within its setpoint.
        let followed = ways(&facts, rules, &arrangement, Some(50.0));
        assert!(followed.controlled_kw <= 50.0 * 3.0 * U0_V / 1000.0 + 1e-9, "{followed:?}");
    }
}

#[test]
fn the_plan_of_a_car_park_holds_together_and_one_point_has_none() {
    let (facts, arrangement) = car_park();
    let plan = supply_plan(&facts, default_rules(), &arrangement, 2026).unwrap();
    assert_eq!(plan.phase_points.iter().sum::<u32>(), 12 * if arrangement.phases == 3 { 3 } else { 1 });
    assert_eq!((plan.own_half_hours, plan.points_short, plan.may_follow), (false, false, true));
    // All come at once and stay: as many points as vehicles where each keeps its own, fewer where they change.
    let (staying, swapping) = (plan.fewest.staying.unwrap(), plan.fewest.swapping.unwrap());
    assert!(staying == 12 && (1..12).contains(&swapping), "{:?}", plan.fewest);
    assert!(plan.short(|day| day.short_mean_kwh).is_empty());
    let alone = Arrangement { shared: None, ..arrangement };
    assert_eq!(supply_plan(&facts, default_rules(), &alone, 2026), None);
}
