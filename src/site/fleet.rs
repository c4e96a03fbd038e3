//! Vehicles that a site is to charge, as a sheet of vehicle groups states them. Blank answers stay blank: what stands in
//! for them is assumed where it is needed, and recorded there.

use super::Cited;

/// One line of a fleet sheet: vehicles alike in use.
#[derive(Clone, Debug, PartialEq)]
pub struct VehicleGroup {
    /// Its name; made from its place in the sheet where none is given.
    pub name: String,
    /// Vehicles in it.
    pub count: u32,
    /// Miles a day on a mean day, each.
    pub daily_miles_mean: Option<f64>,
    /// Miles a day on a high day, each; not below the mean.
    pub daily_miles_high: Option<f64>,
    /// Miles a kilowatt-hour, as charged to the battery.
    pub miles_per_kwh: Option<f64>,
    /// Plugged in from, hours after midnight.
    pub arrive: Option<f64>,
    /// Leaves at, hours after midnight; not after `arrive` means the next morning.
    pub depart: Option<f64>,
    /// Most alternating current a phase that the vehicle takes, amperes.
    pub max_ac_a: Option<f64>,
    /// Phases that it takes, 1 or 3.
    pub max_ac_phases: Option<u8>,
    /// Days a week in use.
    pub days_a_week: Option<f64>,
    /// Where its line stands.
    pub cell: Cited,
}
