//! The small formulas of the trade behave as their physics does, over their whole range.

use super::trials;
use baywright::design::*;
use proptest::prelude::*;

proptest! {
    #![proptest_config(trials(1_000))]

    #[test]
    fn more_current_or_more_time_asks_for_more_copper(fault in 1.0..20_000.0, more in 1.0..5.0, seconds in 0.1..5.0) {
        let least = adiabatic_mm2(fault, seconds, 115.0);
        prop_assert!(adiabatic_mm2(fault * more, seconds, 115.0) >= least);
        prop_assert!(adiabatic_mm2(fault, seconds, 51.0) > least);
        // k2 S2 of that section is the energy itself.
        let energy = fault * fault * seconds;
        prop_assert!(((115.0 * least).powi(2) / energy - 1.0).abs() < 1e-9);
    }

    #[test]
    fn fault_current_is_ohms_law(volts in 200.0..260.0, ohm in 0.001..100.0) {
        prop_assert!((fault_current_a(volts, ohm) * ohm / volts - 1.0).abs() < 1e-12);
        prop_assert!(fault_current_a(volts, -ohm).is_infinite());
    }

    #[test]
    fn a_rating_found_by_its_factors_carries_the_device(device in 6.0..125.0, a in 0.3..1.0, b in 0.3..1.0) {
        let least = least_tabulated_a(device, &[a, b]);
        prop_assert!((least * a * b / device - 1.0).abs() < 1e-12 && least >= device);
    }

    #[test]
    fn a_longer_rod_and_wetter_soil_are_better(rho in 5.0..3000.0_f64, length in 0.6..10.0_f64, more in 1.01..3.0_f64) {
        let one = rod_ohm(rho, length, 0.016);
        prop_assert!(one > 0.0 && rod_ohm(rho, length * more, 0.016) < one);
        prop_assert!((rod_ohm(rho * more, length, 0.016) / one - more).abs() < 1e-9);
        // Rods a length apart help each other less than rods far away, and more than none.
        let two = rods_in_line_ohm(one, rho, length, 2).unwrap();
        prop_assert!(two > one / 2.0 && two < one);
        let far = rods_in_line_ohm(one, rho, length * 1000.0, 2).unwrap();
        prop_assert!((far / (one / 2.0) - 1.0).abs() < 0.01);
    }

    #[test]
    fn a_tt_limit_and_its_residual_current_are_inverse(residual in 0.01..1.0) {
        let limit = tt_electrode_limit_ohm(residual);
        prop_assert!((tt_residual_limit_a(limit) / residual - 1.0).abs() < 1e-12);
    }

    #[test]
    fn the_open_pen_does_not_care_how_phases_are_named(one in 0.0..200.0, two in 0.0..200.0, three in 0.0..200.0, ohm in 0.1..100.0) {
        let volts = open_pen_voltage_v([one, two, three], None);
        for order in [[two, three, one], [three, one, two], [two, one, three]] {
            prop_assert!((open_pen_voltage_v(order, None) - volts).abs() < 1e-6);
        }
        prop_assert!(volts <= 230.0 + 1e-9, "{volts}");
        // An electrode can only hold the earth nearer to Earth.
        prop_assert!(open_pen_voltage_v([one, two, three], Some(ohm)) <= volts + 1e-9);
        // The balance is of proportions: twice the load changes nothing.
        prop_assert!((open_pen_voltage_v([2.0 * one, 2.0 * two, 2.0 * three], None) - volts).abs() < 1e-6);
    }

    #[test]
    fn diversity_never_adds_to_what_is_connected(
        lighting in 0.0..30.0, cooker in 0.0..15.0, showers in prop::collection::vec(0.0..12.0, 0..4),
        heaters in prop::collection::vec(0.0..6.0, 0..3), circuits in prop::collection::vec(6.0..40.0, 0..6),
        pump in 0.0..12.0,
    ) {
        let home = Appliances {
            lighting_a: lighting, cooker_kw: cooker, cooker_socket: false, showers_kw: showers.clone(),
            water_heaters_kw: heaters.clone(), heat_pump_kw: pump, circuits_a: circuits.clone(),
        };
        let kw: f64 = cooker + showers.iter().sum::<f64>() + heaters.iter().sum::<f64>();
        let connected = lighting + kw * 1000.0 / 230.0 + pump * 1000.0 / 230.0 / 0.95 + circuits.iter().sum::<f64>();
        let demand = household_paper_demand_a(&home);
        prop_assert!(demand >= 0.0 && demand <= connected + 1e-9);
        // One more shower never takes anything off.
        let mut more = home.clone();
        more.showers_kw.push(7.2);
        prop_assert!(household_paper_demand_a(&more) >= demand - 1e-9);
        let socket = Appliances { cooker_socket: true, ..home };
        prop_assert!((household_paper_demand_a(&socket) - demand - 5.0).abs() < 1e-9);
    }
}
