//! A year of half-hours at one site, told in figures: what each half-hour of the day draws on average and at most, and
//! the highest of them. It knows neither files nor what a design makes of it.

use jiff::civil::Date;

/// Half-hours of an ordinary day.
pub const HALF_HOURS: usize = 48;

/// What the figures of a profile are in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ProfileUnit {
    /// Kilowatts, the average over a half-hour (kilowatt-hours doubled).
    Kw,
    /// Kilovolt-amperes, the average over a half-hour.
    Kva,
}

impl ProfileUnit {
    /// The unit as it is written.
    pub fn word(self) -> &'static str {
        match self {
            ProfileUnit::Kw => "kW",
            ProfileUnit::Kva => "kVA",
        }
    }
}

/// The highest half-hour of a profile.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ProfilePeak {
    /// In the profile's unit.
    pub value: f64,
    /// Its day; `None` for days that are named by their kind only.
    pub date: Option<Date>,
    /// Its half-hour by the clock on the wall, 0 (from midnight) to 47.
    pub half_hour: u8,
}

/// Half-hourly import of a site.
#[derive(Clone, Debug, PartialEq)]
pub struct Profile {
    /// What the figures are in.
    pub unit: ProfileUnit,
    /// Days with at least one half-hour.
    pub days: u32,
    /// First and last day; `None` where days are named by their kind only.
    pub span: Option<(Date, Date)>,
    /// Mean of each half-hour of the day by the clock on the wall; `None` where no day has it.
    pub mean: [Option<f64>; HALF_HOURS],
    /// Greatest of each half-hour of the day.
    pub greatest: [Option<f64>; HALF_HOURS],
    /// The highest half-hour of all.
    pub peak: ProfilePeak,
    /// Half-hours missing between the first and the last day.
    pub gaps: u32,
    /// Half-hours that are there, of those between the first and the last day, 0 to 1.
    pub coverage: f64,
    /// Half-hours marked as estimated.
    pub estimated: u32,
    /// Meters that are added.
    pub meters: u32,
}
