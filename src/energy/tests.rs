//! Tests of the room as a whole.

use super::*;

fn group(count: u32, need_kwh: f64, max_a: f64, phases: u8) -> Vehicles {
    Vehicles { count, need_kwh, arrive_h: 18.0, depart_h: 7.0, max_a, phases }
}

fn constant(phases: u8, room_a: f64) -> Supply {
    Supply { phases, room_a: [room_a; 48], floor_a: 6.0 }
}

#[test]
fn one_group_at_constant_room_is_the_closed_form() {
    let supply = constant(3, 60.0);
    let vehicles = [group(30, 12.0, 32.0, 1)];
    let most_kwh = 40.0 * U0_V * 3.0 * 13.0 / 1000.0;
    let found = delivered(&vehicles, &supply, 40.0);
    assert!((found.energy_kwh - most_kwh.min(360.0)).abs() < 1e-4, "{}", found.energy_kwh);
    let needs_a = 360.0 * 1000.0 / (U0_V * 3.0 * 13.0);
    assert!((least_limit_a(&vehicles, &supply).unwrap() - needs_a).abs() < 1e-6);
}
