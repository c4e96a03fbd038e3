//! Tests of what the room's parts do together, where brute force or a closed form settles it.

use super::delivered::{Class, Of};
use super::lane::{Lane, Load};
use super::mixed::Mixed;
use super::programme::most_ah;
use super::time::{Piece, parts, pieces};
use super::*;
use crate::splitmix::Splitmix;

fn overnight(count: u32, need_kwh: f64, max_a: f64, phases: u8) -> Vehicles {
    Vehicles { count, need_kwh, arrive_h: 18.0, depart_h: 7.0, max_a, phases }
}

fn constant(phases: u8, room_a: f64) -> Supply {
    Supply { phases, room_a: [room_a; 48], floor_a: 6.0 }
}

fn near(one: f64, other: f64) -> bool {
    (one - other).abs() < 1e-5 * (1.0 + other.abs())
}

#[test]
fn one_group_at_constant_room_is_the_closed_form() {
    let supply = constant(3, 60.0);
    let volts_hours = U0_V * 3.0 * 13.0 / 1000.0;
    for (vehicles, limit_a) in [
        (overnight(30, 12.0, 32.0, 1), 40.0_f64),
        (overnight(30, 12.0, 32.0, 1), 30.0),
        (overnight(7, 50.0, 16.0, 3), 32.0),
        (overnight(7, 200.0, 16.0, 3), 63.0),
    ] {
        let needed_kwh = f64::from(vehicles.count) * vehicles.need_kwh;
        let own_kwh = vehicles.max_a * U0_V * f64::from(vehicles.phases) * 13.0 / 1000.0;
        let most_kwh =
            (limit_a.min(60.0) * volts_hours).min(f64::from(vehicles.count) * vehicles.need_kwh.min(own_kwh));
        let found = delivered(&[vehicles], &supply, limit_a);
        assert!(near(found.energy_kwh, most_kwh), "{vehicles:?}: {} for {most_kwh}", found.energy_kwh);
        assert_eq!(found.serves_all(), most_kwh + 1e-6 >= needed_kwh);
        let needs_a = (needed_kwh / volts_hours).max(6.0);
        let least_a = least_limit_a(&[vehicles], &supply);
        let fits = needs_a <= 60.0 && own_kwh >= vehicles.need_kwh;
        assert_eq!(least_a.is_some(), fits, "{vehicles:?}");
        assert!(least_a.is_none_or(|least_a| near(least_a, needs_a)), "{vehicles:?}: {least_a:?} for {needs_a}");
    }
}

#[test]
fn one_group_is_served_by_its_fullest_phase() {
    // Four vehicles on three phases: two share one phase, which has 10 A for 13 h.
    let found = delivered(&[overnight(4, 20.0, 32.0, 1)], &constant(3, 60.0), 10.0);
    let phase_kwh = 10.0 * U0_V * 13.0 / 1000.0;
    assert!(near(found.energy_kwh, phase_kwh + 40.0), "{}", found.energy_kwh);
    assert!(near(found.largest_share_short, 1.0 - phase_kwh / 40.0));
}

#[test]
fn nothing_wanted_no_room_and_figures_that_are_none() {
    let supply = constant(3, 60.0);
    assert_eq!(least_limit_a(&[], &supply), Some(0.0));
    assert_eq!(least_limit_a(&[overnight(0, 20.0, 32.0, 1)], &supply), Some(0.0));
    assert_eq!(least_limit_a(&[overnight(1, 2.0, 5.9, 1)], &supply), None, "a maximum under the floor");
    assert_eq!(least_limit_a(&[overnight(1, 2.0, 32.0, 1)], &constant(3, 5.9)), None, "a room under the floor");
    assert_eq!(least_limit_a(&[overnight(1, 0.1, 32.0, 1)], &supply), Some(6.0));
    for wrong in [f64::NAN, f64::INFINITY] {
        let lost = Vehicles { arrive_h: wrong, ..overnight(2, 10.0, 32.0, 1) };
        assert_eq!(least_limit_a(&[lost], &supply), None);
        let found = delivered(&[lost], &supply, 60.0);
        assert!(!found.serves_all() && found.energy_kwh == 0.0 && found.largest_share_short == 1.0);
        assert_eq!(fewest_points(&[lost], &supply, 60.0, 32.0, 1), Points { staying: None, swapping: None });
    }
    let none = delivered(&[overnight(2, 10.0, f64::NAN, 1)], &supply, 60.0);
    assert!(near(none.short_kwh(), 20.0));
    assert!(!delivered(&[overnight(1, 10.0, 32.0, 1)], &supply, f64::NAN).serves_all());
    assert!(!delivered(&[overnight(1, 10.0, 32.0, 1)], &constant(1, f64::NAN), 60.0).serves_all());
    let free = delivered(&[overnight(9, 10.0, 32.0, 1)], &constant(3, f64::INFINITY), f64::INFINITY);
    assert!(free.serves_all());
    assert!(delivered(&[overnight(1, 10.0, 32.0, 3)], &constant(3, -4.0), 60.0).energy_kwh == 0.0);
    let endless = [overnight(u32::MAX, 1e6, 1e9, 1), overnight(u32::MAX, 1e6, 1e9, 1)];
    let found = delivered(&endless, &constant(3, f64::INFINITY), f64::INFINITY);
    assert!(!found.serves_all() && found.energy_kwh.is_finite());
    assert_eq!(least_limit_a(&[overnight(9, 1e6, 32.0, 1)], &constant(3, f64::INFINITY)), None);
}

#[test]
fn a_half_hour_that_a_window_shares_counts_for_its_share() {
    let late = Vehicles { count: 1, need_kwh: 99.0, arrive_h: 18.25, depart_h: 18.6, max_a: 32.0, phases: 1 };
    let found = delivered(&[late], &constant(1, 100.0), 100.0);
    assert!(near(found.energy_kwh, 0.35 * 32.0 * U0_V / 1000.0));
    // Five that come together a quarter past cannot have what the supply carried before.
    let found = delivered(&[Vehicles { count: 5, ..late }], &constant(1, 100.0), 64.0);
    assert!(near(found.energy_kwh, 0.35 * 64.0 * U0_V / 1000.0));
}

#[test]
fn a_day_seven_times_is_a_week() {
    let shaped = |half_hour: usize| if (34..42).contains(&(half_hour % 48)) { 4.0 } else { 41.0 };
    let day: Supply = Supply { phases: 3, room_a: std::array::from_fn(shaped), floor_a: 6.0 };
    let week: Supply<WEEK> = Supply { phases: 3, room_a: std::array::from_fn(shaped), floor_a: 6.0 };
    let kinds = [overnight(5, 30.0, 32.0, 1), Vehicles { arrive_h: 14.2, ..overnight(3, 45.0, 16.0, 3) }];
    let on_week: Vec<Vehicles> = kinds.iter().flat_map(|own| own.on_days(&[0, 1, 2, 3, 4, 5, 6])).collect();
    for limit_a in [12.0, 20.0, 31.0] {
        let (one, seven) = (delivered(&kinds, &day, limit_a), delivered(&on_week, &week, limit_a));
        assert!(near(one.energy_kwh * 7.0, seven.energy_kwh), "{limit_a}: {}", one.energy_kwh);
        assert!(near(one.largest_share_short, seven.largest_share_short));
    }
    let (one, seven) = (least_limit_a(&kinds, &day), least_limit_a(&on_week, &week));
    assert!(near(one.unwrap(), seven.unwrap()), "{one:?} {seven:?}");
    assert_eq!(fewest_points(&kinds, &day, 31.0, 32.0, 3), fewest_points(&on_week, &week, 31.0, 32.0, 3));
}

/// Taking turns: at any moment some vehicles draw between floor and maximum, the others nothing.
#[test]
fn what_turns_fill_of_a_capacity_is_what_some_number_at_once_can_draw() {
    for max_a in [6.0, 7.0, 8.5, 10.0, 11.9, 12.0, 16.0, 32.0] {
        let turns = Turns::of(6.0, [max_a, 40.0].into_iter());
        for tenth in 0..1200 {
            let capacity_a = f64::from(tenth) / 10.0;
            let most_at_once = (1..=20)
                .map(f64::from)
                .filter(|at_once| at_once * 6.0 <= capacity_a + 1e-9)
                .map(|at_once| capacity_a.min(at_once * max_a))
                .fold(0.0, f64::max);
            let usable_a = turns.usable_a(capacity_a);
            assert!((usable_a - most_at_once).abs() < 1e-9, "{max_a} A in {capacity_a} A");
            let back_a = turns.capacity_a(usable_a);
            assert!(turns.usable_a(back_a) + 1e-9 >= usable_a);
            assert!(usable_a == 0.0 || back_a <= capacity_a + 1e-9, "{max_a} A: {back_a} A for {capacity_a} A");
        }
    }
}

fn drawn_lane(draw: &mut Splitmix) -> (Vec<Load>, Vec<Piece>) {
    let mut below = |most: u64| draw.next() % most;
    let count = 1 + below(5) as usize;
    let load = |_| Load { need_ah: 5.0 + below(400) as f64, most_a: 6.0 + below(60) as f64 };
    let loads: Vec<Load> = (0..count).map(load).collect();
    let mut pieces = Vec::new();
    for number in 0..1 + below(20) as usize {
        let present: Vec<usize> = (0..count).filter(|_| below(3) > 0).collect();
        let (hours, room_a) = (0.25 + below(8) as f64 / 4.0, 6.0 + below(60) as f64);
        pieces.push(Piece { hours, room_a, present, within: vec![(number, hours)] });
    }
    (loads, pieces)
}

/// What a set of loads can be brought together, by its definition.
fn rank_ah(set: usize, loads: &[Load], pieces: &[Piece], capacity_a: f64) -> f64 {
    let useful_a = |piece: &Piece| -> f64 {
        piece.present.iter().filter(|load| set >> **load & 1 == 1).map(|load| loads[*load].most_a).sum()
    };
    pieces.iter().map(|piece| piece.hours * useful_a(piece).min(piece.room_a).min(capacity_a)).sum()
}

/// Every set of loads looked at: the set that holds its members shortest is settled first, then the rest beside it.
fn fairest_ah(loads: &[Load], pieces: &[Piece]) -> Vec<f64> {
    let mut settled: Vec<Option<f64>> = vec![None; loads.len()];
    while settled.iter().any(Option::is_none) {
        let (mut share, mut tight) = (1.0, (1 << loads.len()) - 1);
        for set in 1..1_usize << loads.len() {
            let members = (0..loads.len()).filter(|load| set >> load & 1 == 1);
            let (mut settled_ah, mut open_ah) = (0.0, 0.0);
            for load in members {
                match settled[load] {
                    Some(ah) => settled_ah += ah,
                    None => open_ah += loads[load].need_ah,
                }
            }
            let own = (rank_ah(set, loads, pieces, f64::INFINITY) - settled_ah) / open_ah;
            if open_ah > 0.0 && own < share - 1e-12 {
                (share, tight) = (own, set);
            }
        }
        for load in (0..loads.len()).filter(|load| tight >> load & 1 == 1) {
            settled[load].get_or_insert(share * loads[load].need_ah);
        }
    }
    settled.into_iter().flatten().collect()
}

#[test]
fn shares_and_least_capacity_of_a_lane_are_those_of_every_cut() {
    let mut draw = Splitmix(11);
    let (mut short, mut served) = (0, 0);
    for round in 0..400 {
        let (loads, pieces) = drawn_lane(&mut draw);
        let mut lane = Lane::new(loads.clone(), pieces.iter(), Some);
        let (brought, fairest) = (lane.bring(), fairest_ah(&loads, &pieces));
        for (own, fair) in brought.served_ah.iter().zip(&fairest) {
            assert!((own - fair).abs() < 1e-4, "round {round}: {:?} for {fairest:?}", brought.served_ah);
        }
        let needed: Vec<f64> = (0..1_usize << loads.len())
            .map(|set| loads.iter().enumerate().filter(|(load, _)| set >> load & 1 == 1).map(|(_, l)| l.need_ah).sum())
            .collect();
        let serves = |capacity_a: f64, give: f64| {
            needed.iter().enumerate().all(|(set, need)| rank_ah(set, &loads, &pieces, capacity_a) >= need - give)
        };
        match lane.least_a(6.0) {
            Some(least_a) => {
                served += 1;
                assert!(serves(least_a, 1e-3), "round {round}: {least_a} A");
                assert!(least_a <= 6.0 || !serves(least_a - 0.01, 1e-4), "round {round}: {least_a} A is not the least");
            }
            None => {
                short += 1;
                assert!(!serves(f64::INFINITY, 1e-7), "round {round}");
            }
        }
    }
    assert!(short > 50 && served > 50, "one-sided: {short} short, {served} served");
}

/// Phases that are alike can be solved as one flow or, each by itself, as a programme.
#[test]
fn flow_and_programme_agree_where_both_hold() {
    let mut draw = Splitmix(23);
    let mut short = 0;
    for round in 0..40 {
        let mut below = |most: u64| draw.next() % most;
        let mut vehicles = Vec::new();
        for _ in 0..1 + below(4) {
            let phases = if below(2) == 0 { 1 } else { 3 };
            let count = if phases == 1 { 3 * (1 + below(2) as u32) } else { 1 + below(3) as u32 };
            let (arrive_h, depart_h) = (below(24) as f64, below(48) as f64 / 2.0);
            vehicles.push(Vehicles {
                count,
                need_kwh: 5.0 + below(40) as f64,
                arrive_h,
                depart_h,
                max_a: 16.0 * (1.0 + below(2) as f64),
                phases,
            });
        }
        let supply: Supply =
            Supply { phases: 3, room_a: std::array::from_fn(|_| 5.0 + below(30) as f64), floor_a: 6.0 };
        let spread = spread(&vehicles, &supply);
        let pieces = pieces(&vehicles, &supply, |room_a| if room_a < 6.0 { 0.0 } else { room_a });
        let of = Of { vehicles: &vehicles, phases: 3, floor_a: 6.0, spread: &spread, pieces: &pieces };
        let mut programme_kwh = 0.0;
        for part in parts(vehicles.len(), &pieces) {
            let own = |phase: usize| Class {
                phases: vec![phase],
                members: part.vehicles.iter().map(|v| (*v, spread[*v][phase])).collect(),
            };
            let slots = part.pieces.iter().map(|piece| &pieces[*piece]).collect();
            let mixed = Mixed { of, slots, classes: (0..3).map(own).collect() };
            programme_kwh += most_ah(&mixed).expect("solved") * U0_V / 1000.0;
        }
        let found = delivered(&vehicles, &supply, f64::INFINITY);
        assert!((found.energy_kwh - programme_kwh).abs() < 1e-3, "round {round}: {} {programme_kwh}", found.energy_kwh);
        short += u32::from(!found.serves_all());
    }
    assert!(short > 5, "nothing was short");
}
