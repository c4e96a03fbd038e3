//! A shared supply in the JSON document: vehicle groups, demand by way of charging, phases, and the years it lasts.

use crate::design::SupplyPlan;
use crate::quantity::round_to;
use schemars::JsonSchema;
use serde::Serialize;

/// What is told of several points on one supply beside their design.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct SharedSupplyRecord {
    /// Whether the existing load by half-hour is the site's own; else the usual run of the day of such premises.
    pub own_half_hours: bool,
    /// Fewest points that give every vehicle its mean day within the group limit, each keeping its own; null where none.
    pub fewest_points: Option<u32>,
    /// The same where vehicles change places.
    pub fewest_points_changing: Option<u32>,
    /// What the supply may be asked for, kilowatts.
    pub supply_kw: f64,
    /// Highest half-hour of existing load, kilowatts.
    pub existing_peak_kw: f64,
    /// Highest half-hour of a year with each vehicle at full power as it comes, existing load included, kilowatts.
    pub peak_uncontrolled_kw: f64,
    /// The same with all beginning at a night tariff.
    pub peak_night_tariff_kw: f64,
    /// The same under the group controller of the design.
    pub peak_controlled_kw: f64,
    /// Points on each phase.
    pub phase_points: [u32; 3],
    /// Neutral current with all points at their setting at once, amperes.
    pub neutral_a: f64,
    /// First year in which the group limit no longer serves the vehicles; null beyond the look ahead.
    pub group_limit_full_year: Option<i16>,
    /// The same of the sub-mains.
    pub submain_full_year: Option<i16>,
    /// Last year of the look ahead.
    pub looked_ahead_to: i16,
    /// The vehicles.
    pub vehicle_groups: Vec<VehicleGroupRecord>,
}

/// A group of vehicles alike in use.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct VehicleGroupRecord {
    /// Its name in the fleet sheet; empty where none names the site.
    pub vehicle_group: String,
    /// Vehicles.
    pub count: u32,
    /// Points that serve them.
    pub points: u32,
    /// Plugged in from, hours after midnight.
    pub arrive_h: f64,
    /// Plugged in until, hours after midnight.
    pub depart_h: f64,
    /// Most current a phase that one of them draws at its point, amperes.
    pub current_a: f64,
    /// Phases that it draws there.
    pub phases: u8,
    /// Energy needed by all of it on a mean day, kilowatt-hours.
    pub energy_needed_kwh_mean: f64,
    /// Part of it that is missing.
    pub energy_unserved_kwh_mean: f64,
    /// Energy needed by all of it on a high day, kilowatt-hours.
    pub energy_needed_kwh_high: f64,
    /// Part of it that is missing.
    pub energy_unserved_kwh_high: f64,
}

impl SharedSupplyRecord {
    pub(super) fn new(plan: &SupplyPlan) -> Self {
        let tenth = |figure: f64| round_to(figure, 1);
        let hundredth = |figure: f64| round_to(figure, 2);
        let groups = plan.groups.iter().map(|day| {
            let group = &day.group;
            let all = f64::from(group.points);
            VehicleGroupRecord {
                vehicle_group: group.name.to_string(),
                count: group.vehicles,
                points: group.points,
                arrive_h: hundredth(group.arrive_h),
                depart_h: hundredth(group.depart_h),
                current_a: tenth(day.max_a),
                phases: day.phases,
                energy_needed_kwh_mean: hundredth(group.mean_kwh * all),
                energy_unserved_kwh_mean: hundredth(day.short_mean_kwh),
                energy_needed_kwh_high: hundredth(group.high_kwh * all),
                energy_unserved_kwh_high: hundredth(day.short_high_kwh),
            }
        });
        Self {
            own_half_hours: plan.own_half_hours,
            fewest_points: plan.fewest.staying,
            fewest_points_changing: plan.fewest.swapping,
            supply_kw: tenth(plan.ways.limit_kw),
            existing_peak_kw: tenth(plan.ways.existing_kw),
            peak_uncontrolled_kw: tenth(plan.ways.as_they_come_kw),
            peak_night_tariff_kw: tenth(plan.ways.at_tariff_start_kw),
            peak_controlled_kw: tenth(plan.ways.controlled_kw),
            phase_points: plan.phase_points,
            neutral_a: tenth(plan.neutral_a),
            group_limit_full_year: plan.runway.group,
            submain_full_year: plan.runway.submain,
            looked_ahead_to: plan.runway.until,
            vehicle_groups: groups.collect(),
        }
    }
}
