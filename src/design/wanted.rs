//! What is wanted of the points: number, setting, phases and daily energy.

use super::facts::Note;
use super::vehicles::{Usual, VehicleGroup, usual_arrival_h, vehicle_groups};
use crate::rules::Rules;
use crate::site::{Premises, Site};

/// What is wanted of one point.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Wanted {
    /// Points.
    pub points: u32,
    /// Setting asked for, amperes a phase.
    pub setting_a: f64,
    /// Phases asked for: 1 or 3.
    pub phases: u8,
    /// More than 32 A a phase, or direct current.
    pub beyond: bool,
    /// Energy a point has to deliver a day at the wall, kilowatt-hours.
    pub daily_kwh: f64,
    /// Hours plugged in; of several groups the mean over the points.
    pub window_h: f64,
}

/// What is wanted, and the vehicles that several points charge.
pub(super) fn wanted(site: &Site, premises: Premises, rules: &Rules, note: Note<'_>) -> (Wanted, Vec<VehicleGroup>) {
    let home = premises.is_home();
    let points = site.wanted.points_wanted.value().unwrap_or_else(|| {
        let by_bays = site.parking.bays.value().map(|bays| (bays * rules.shared.points_share_of_bays).ceil());
        let fleet: u32 = site.fleet.iter().map(|group| group.count).sum();
        let fleet = (fleet > 0).then_some(f64::from(fleet));
        let points = if home { 1.0 } else { site.wanted.vehicles.value().or(fleet).or(by_bays).unwrap_or(1.0) };
        note("points_wanted", format!("{points}"), "1 for a home, else the vehicles, else a fifth of the bays");
        points
    });
    let points = points.clamp(1.0, 10_000.0) as u32;
    let (setting_a, phases, beyond) = match site.wanted.requested_kw.value() {
        Some(kw) => setting_of_kw(kw),
        None => {
            note("requested_kw", "7.4 kW".into(), "usual one-phase point (common practice)");
            (32.0, 1, false)
        }
    };
    let depot = premises == Premises::Depot;
    let miles = site.wanted.daily_miles.ends().map(|(_, _, high)| *high).unwrap_or_else(|| {
        let miles = if depot { rules.energy.van_daily_miles } else { rules.energy.daily_miles };
        note("daily_miles", format!("{miles} miles"), "mean mileage of the vehicle (second-hand)");
        miles
    });
    let efficiency = site.wanted.miles_per_kwh.ends().map(|(low, _, _)| *low).unwrap_or_else(|| {
        let efficiency = if depot { rules.energy.van_miles_per_kwh } else { rules.energy.miles_per_kwh };
        note("miles_per_kwh", format!("{efficiency} miles/kWh"), "usual at the wall (memory)");
        efficiency
    });
    let (arrive_h, window_h) = match (site.wanted.arrive.value(), site.wanted.depart.value()) {
        (Some(arrive), Some(depart)) => (arrive, (depart - arrive).rem_euclid(24.0).max(0.5)),
        _ => {
            let hours = match premises {
                Premises::Workplace => rules.energy.workplace_window_h,
                Premises::Depot => rules.energy.depot_window_h,
                _ => rules.energy.home_window_h,
            };
            let arrive_h = usual_arrival_h(premises, rules);
            note("arrive", format!("{hours} h plugged in from {arrive_h} h"), "usual for the premises (memory)");
            (arrive_h, hours)
        }
    };
    // More vehicles than points: each point serves its share of them.
    let vehicles = site.wanted.vehicles.value().unwrap_or(f64::from(points)).max(f64::from(points));
    let usual = Usual { miles, miles_per_kwh: efficiency, arrive_h, window_h, vehicles, setting_a, phases };
    let groups = vehicle_groups(site, &usual, points, rules, note);
    let energy_kwh: f64 = groups.iter().map(|group| group.mean_kwh * f64::from(group.points)).sum();
    let hours: f64 = groups.iter().map(|group| group.window_h() * f64::from(group.points)).sum();
    let at_points: u32 = groups.iter().map(|group| group.points).sum();
    let daily_kwh = energy_kwh / f64::from(points);
    let window_h = if site.fleet.is_empty() || at_points == 0 { window_h } else { hours / f64::from(at_points) };
    let wanted = Wanted { points, setting_a, phases, beyond, daily_kwh, window_h };
    (wanted, if points > 1 { groups } else { Vec::new() })
}

/// Setting, phases and whether it is beyond this engine, of a power asked for. The figures are names: 3.6 and 3.7 mean
/// 16 A, 7 to 7.4 mean 32 A, 11 means 3 x 16 A, 22 means 3 x 32 A.
pub fn setting_of_kw(kw: f64) -> (f64, u8, bool) {
    if kw <= 2.35 {
        (10.0, 1, false)
    } else if kw <= 3.05 {
        (13.0, 1, false)
    } else if kw <= 3.7 {
        (16.0, 1, false)
    } else if kw <= 4.7 {
        (20.0, 1, false)
    } else if kw <= 5.8 {
        (25.0, 1, false)
    } else if kw <= 7.5 {
        (32.0, 1, false)
    } else if kw <= 11.1 {
        (16.0, 3, false)
    } else if kw <= 22.2 {
        (32.0, 3, false)
    } else {
        (32.0, 3, true)
    }
}
