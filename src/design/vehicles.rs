//! The vehicles that the points of a shared supply charge: by group, each with what it needs on a mean and on a high
//! day, when it stands there, and what it takes. What the survey leaves open is assumed here and noted.

use super::facts::Note;
use crate::rules::Rules;
use crate::site::{Premises, Site};
use std::sync::Arc;

/// Vehicles alike in use, as the points serve them.
#[derive(Clone, Debug, PartialEq)]
pub struct VehicleGroup {
    /// Its name in the fleet sheet; empty where none names the site.
    pub name: Arc<str>,
    /// Vehicles in it.
    pub vehicles: u32,
    /// Points that serve it. Where there are fewer points than vehicles they change places, and a point has the need of
    /// all that it serves.
    pub points: u32,
    /// Energy that one point has to give on a mean day, kilowatt-hours at the wall.
    pub mean_kwh: f64,
    /// The same on a day on which every vehicle has its high mileage.
    pub high_kwh: f64,
    /// Plugged in from, hours after midnight.
    pub arrive_h: f64,
    /// Plugged in until; not after `arrive_h` means the next morning.
    pub depart_h: f64,
    /// Most current a phase that a vehicle takes, amperes; infinite where nobody said: as the point gives.
    pub max_a: f64,
    /// Phases that a vehicle takes, 1 or 3; 3 where nobody said: as the point gives.
    pub phases: u8,
}

impl VehicleGroup {
    /// Hours plugged in a day.
    pub fn window_h(&self) -> f64 {
        match (self.depart_h - self.arrive_h).rem_euclid(24.0) {
            hours if hours > 0.0 => hours,
            _ => 24.0,
        }
    }
}

/// What the row or the rules say of a vehicle of which the fleet sheet says nothing else.
pub(super) struct Usual {
    pub miles: f64,
    pub miles_per_kwh: f64,
    pub arrive_h: f64,
    pub window_h: f64,
    /// Vehicles that the row states or implies.
    pub vehicles: f64,
    /// Setting and phases asked for.
    pub setting_a: f64,
    pub phases: u8,
}

/// The groups of a site with so many points.
pub(super) fn vehicle_groups(
    site: &Site,
    usual: &Usual,
    points: u32,
    rules: &Rules,
    note: Note<'_>,
) -> Vec<VehicleGroup> {
    let energy = &rules.energy;
    let kwh = |miles: f64, miles_per_kwh: f64| miles / miles_per_kwh.max(0.1) / (1.0 - energy.charging_loss_share);
    if site.fleet.is_empty() {
        let mean_kwh = kwh(usual.miles, usual.miles_per_kwh) * usual.vehicles / f64::from(points);
        return vec![VehicleGroup {
            name: Arc::from(""),
            vehicles: usual.vehicles as u32,
            points,
            mean_kwh,
            high_kwh: mean_kwh * energy.high_day_factor,
            arrive_h: usual.arrive_h,
            depart_h: (usual.arrive_h + usual.window_h).rem_euclid(24.0),
            max_a: f64::INFINITY,
            phases: 3,
        }];
    }
    let counts: Vec<u32> = site.fleet.iter().map(|group| group.count).collect();
    // Where there are fewer points than groups the vehicles are reckoned as one group: the need of all, the shortest
    // time, the smallest current.
    let one_group = counts.len() as u64 > u64::from(points);
    let mut open = [false; 4];
    // Points go by the hours that a group needs at one: what it draws in all over what one of it takes.
    let hours = |group: &crate::site::VehicleGroup| {
        let miles = group.daily_miles_mean.unwrap_or(usual.miles);
        let need_kwh = kwh(miles, group.miles_per_kwh.unwrap_or(usual.miles_per_kwh)) * f64::from(group.count);
        let amps = group.max_ac_a.unwrap_or(f64::INFINITY).min(usual.setting_a);
        need_kwh / (amps * f64::from(group.max_ac_phases.unwrap_or(3).min(usual.phases)))
    };
    let hours: Vec<f64> = site.fleet.iter().map(hours).collect();
    let shared = if one_group { counts.clone() } else { shares(&counts, &hours, points) };
    let groups: Vec<VehicleGroup> = site
        .fleet
        .iter()
        .zip(shared)
        .filter(|(group, points)| group.count > 0 && *points > 0)
        .map(|(group, points)| {
            let miles = group.daily_miles_mean.unwrap_or(usual.miles);
            let high_miles = group.daily_miles_high.unwrap_or(miles * energy.high_day_factor);
            let miles_per_kwh = group.miles_per_kwh.unwrap_or(usual.miles_per_kwh);
            let arrive_h = group.arrive.unwrap_or(usual.arrive_h);
            let depart_h = group.depart.unwrap_or((arrive_h + usual.window_h).rem_euclid(24.0));
            open[0] |= group.daily_miles_mean.is_none();
            open[1] |= group.daily_miles_high.is_none();
            open[2] |= group.miles_per_kwh.is_none();
            open[3] |= group.arrive.is_none() || group.depart.is_none();
            let a_point = f64::from(group.count.max(points)) / f64::from(points);
            VehicleGroup {
                name: Arc::from(group.name.as_str()),
                vehicles: group.count,
                points,
                mean_kwh: kwh(miles, miles_per_kwh) * a_point,
                high_kwh: kwh(high_miles.max(miles), miles_per_kwh) * a_point,
                arrive_h,
                depart_h,
                max_a: group.max_ac_a.unwrap_or(f64::INFINITY),
                phases: group.max_ac_phases.unwrap_or(3),
            }
        })
        .collect();
    if open[1] {
        note("daily_miles_high", format!("{} times the mean", energy.high_day_factor), "a busy day (memory)");
    }
    for (is_open, field, shown, why) in [
        (open[0], "daily_miles_mean", format!("{} miles", usual.miles), "a group without one: as the site"),
        (
            open[2],
            "fleet miles_per_kwh",
            format!("{} miles/kWh", usual.miles_per_kwh),
            "a group without one: as the site",
        ),
        (
            open[3],
            "fleet arrive",
            format!("{} h from {}", usual.window_h, usual.arrive_h),
            "a group without times: as the site",
        ),
    ] {
        if is_open {
            note(field, shown, why);
        }
    }
    if one_group { as_one(&groups, points).into_iter().collect() } else { groups }
}

/// All groups as one that so many points serve.
fn as_one(groups: &[VehicleGroup], points: u32) -> Option<VehicleGroup> {
    let shortest = groups.iter().min_by(|a, b| a.window_h().total_cmp(&b.window_h()))?;
    let sum = |kwh: fn(&VehicleGroup) -> f64| -> f64 {
        groups.iter().map(|group| kwh(group) * f64::from(group.points)).sum::<f64>() / f64::from(points)
    };
    Some(VehicleGroup {
        name: Arc::from("all groups together"),
        vehicles: groups.iter().map(|group| group.vehicles).sum(),
        points,
        mean_kwh: sum(|group| group.mean_kwh),
        high_kwh: sum(|group| group.high_kwh),
        max_a: groups.iter().map(|group| group.max_a).fold(f64::INFINITY, f64::min),
        phases: groups.iter().map(|group| group.phases).min().unwrap_or(1),
        ..shortest.clone()
    })
}

/// How many of the points, at least one a group, serve each group: in proportion to `weights`, one at least, and no more
/// than it has vehicles; what is over goes where it is missed most, to the first of equals.
fn shares(counts: &[u32], weights: &[f64], points: u32) -> Vec<u32> {
    let all: u64 = counts.iter().map(|count| u64::from(*count)).sum();
    if all <= u64::from(points) {
        return counts.to_vec();
    }
    let whole: f64 = weights.iter().sum();
    let wished = |at: usize| match weights.get(at) {
        Some(weight) if whole > 0.0 => weight / whole * f64::from(points),
        _ => 0.0,
    };
    let mut shares: Vec<u32> = counts.iter().map(|count| (*count).min(1)).collect();
    let mut left = points.saturating_sub(shares.iter().sum());
    while left > 0 {
        // The group that lacks most of what it should have, relative to what it has, as seats are given by quotients.
        let open = (0..shares.len()).filter(|at| shares.get(*at) < counts.get(*at));
        let quotient = |at: usize| wished(at) / f64::from(shares.get(at).copied().unwrap_or(0) + 1);
        let Some(best) = open.max_by(|a, b| quotient(*a).total_cmp(&quotient(*b)).then(b.cmp(a))) else { break };
        if let Some(share) = shares.get_mut(best) {
            *share += 1;
        }
        left -= 1;
    }
    shares
}

/// When the vehicles of a place usually come, hours after midnight.
pub(super) fn usual_arrival_h(premises: Premises, rules: &Rules) -> f64 {
    match premises {
        Premises::Workplace => rules.energy.workplace_arrive_h,
        Premises::Depot => rules.energy.depot_arrive_h,
        _ => rules.energy.home_arrive_h,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::design::facts;
    use crate::rules::default_rules;
    use crate::site::{self, Cited, Reading};

    fn group(name: &str, count: u32, miles: Option<f64>) -> site::VehicleGroup {
        site::VehicleGroup {
            name: name.to_owned(),
            count,
            daily_miles_mean: miles,
            daily_miles_high: None,
            miles_per_kwh: None,
            arrive: None,
            depart: None,
            max_ac_a: None,
            max_ac_phases: None,
            days_a_week: None,
            cell: Cited { file: Arc::from("Fleet"), row: 2, column: None, text: String::new() },
        }
    }

    #[test]
    fn points_are_shared_in_proportion_and_every_group_has_one_while_there_are_so_many() {
        assert_eq!(shares(&[10, 5], &[10.0, 5.0], 20), [10, 5]);
        assert_eq!(shares(&[10, 5], &[10.0, 5.0], 6), [4, 2]);
        assert_eq!(shares(&[100, 1, 1], &[100.0, 1.0, 1.0], 10), [8, 1, 1]);
        // Few vehicles that need many hours each have more points than many that need few.
        assert_eq!(shares(&[4, 10], &[30.0, 10.0], 8), [4, 4]);
        for points in 4..40 {
            let shared = shares(&[7, 19, 2, 11], &[7.0, 19.0, 2.0, 11.0], points);
            assert_eq!(shared.iter().sum::<u32>(), points.min(39), "{points}: {shared:?}");
        }
    }

    #[test]
    fn a_fleet_sheet_says_what_each_group_needs_and_the_site_fills_its_blanks() {
        let rules = default_rules();
        let mut site = Site::default();
        site.identity.premises_type = Reading::of(Premises::Depot);
        site.supply.cutout_rating_a = Reading::of(400.0);
        site.fleet = vec![group("van", 8, Some(63.0)), group("car", 2, None)];
        let (facts, assumed) = facts(&site, rules);
        // As many points as vehicles where nobody says another number.
        assert_eq!((facts.wanted.points, facts.vehicles.len()), (10, 2));
        let van = &facts.vehicles[0];
        let kwh = 63.0 / rules.energy.van_miles_per_kwh / 0.9;
        assert!((van.mean_kwh - kwh).abs() < 1e-9 && (van.high_kwh - kwh * rules.energy.high_day_factor).abs() < 1e-9);
        assert_eq!((van.arrive_h, van.window_h()), (rules.energy.depot_arrive_h, rules.energy.depot_window_h));
        for field in ["daily_miles_mean", "daily_miles_high", "fleet miles_per_kwh", "fleet arrive"] {
            assert!(assumed.iter().any(|line| line.field == field), "{field} is not noted");
        }
        // The need of a point is that of all: nothing is lost where points are few.
        let sum = |facts: &super::super::Facts| -> f64 {
            facts.vehicles.iter().map(|group| group.mean_kwh * f64::from(group.points)).sum()
        };
        site.fleet.push(group("bus", 1, Some(90.0)));
        let whole = sum(&super::super::facts(&site, rules).0);
        for points in 2..12 {
            site.wanted.points_wanted = Reading::of(f64::from(points));
            let few = super::super::facts(&site, rules).0;
            assert!((sum(&few) - whole).abs() < 1e-9, "{points}");
            assert!((few.wanted.daily_kwh * f64::from(points) - whole).abs() < 1e-9);
            assert_eq!(few.vehicles.len(), if points == 2 { 1 } else { 3 });
        }
    }
}
