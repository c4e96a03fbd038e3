//! Vehicles charged within what a supply has left: energy by morning, least limit, fewest points, demand of many.
//!
//! A horizon is a day of 48 half-hours that repeats, or a week of 336 that repeats; the day is the ordinary case and the
//! functions are the same ([`Supply`] carries the number). Vehicles that are alike are one [`Vehicles`]; nothing is
//! reckoned vehicle by vehicle. Voltage is nominal, power factor one.
//!
//! **Capacity.** In a half-hour each phase carries at most the smaller of the limit and the room, and nothing where that
//! is under the pilot floor (6 A, IEC 61851-1; the rules hold the figure). Within a half-hour vehicles take turns: each
//! either pauses or draws between the floor and its maximum, so the mean over the half-hour is anything from nought to
//! the maximum. That holds while the capacity is at least the floor. It is exact for one group of vehicles whose maximum
//! is at least twice the floor (12 A): any total then is some number of vehicles, each between floor and maximum. With
//! several groups the total is still exact, but where one group runs flat out beside less than a floor's worth of another
//! the split between them can miss by up to a quarter of the floor (1.5 A) in that half-hour. Where the smallest maximum
//! `m` among the vehicles is under twice the floor, whole turns no longer fill a capacity `C`: it is then taken as
//! `min(C, floor(C / floor) x m)`, on the safe side for all vehicles. A vehicle whose maximum is under the floor gets
//! nothing.
//!
//! **Time.** A window may begin or end within a half-hour. The half-hour is cut there, so that only that share of it
//! counts, for the vehicle and for the supply.
//!
//! **Phases.** Every phase is held within capacity by itself. Three-phase vehicles draw the same on all three phases;
//! on a single-phase supply they draw their maximum on the one. Single-phase vehicles on a three-phase supply are given
//! to phases by [`spread`], before anything else, and stay there. So one group is served by its fullest phase: the closed
//! form (limit x 230 V x phases x hours) is met exactly where the vehicles go evenly over the phases, and otherwise fewer
//! vehicles are served than it says.
//!
//! **Methods.** With one kind of vehicle, or with phases that are all loaded alike, it is a flow from vehicles to time,
//! solved exactly (`flow`, `lane`). With both kinds and phases that differ the flows set aside whoever contends with
//! nobody (`mixed`), and what is left is a linear programme (`programme`). Windows that do not overlap are solved apart.

mod allocate;
mod delivered;
mod demand;
mod drawn_once;
mod flow;
mod lane;
mod least;
mod mixed;
mod points;
mod programme;
mod spread;
mod time;

pub use allocate::allocate;
pub use delivered::{Delivered, delivered};
pub use demand::{Demand, Way, coincident_peak_kw_a_vehicle, demand, mean_day_peak_kw_a_vehicle};
pub use drawn_once::demand_of_site;
pub use least::least_limit_a;
pub use points::{Points, fewest_points};
pub use spread::spread;

use crate::quantity::U0_V;

/// Hours of a half-hour.
const HALF_HOUR_H: f64 = 0.5;

/// Half-hours of a week, for [`Supply`].
pub const WEEK: usize = 336;

/// Energy that counts as none, kilowatt-hours: far below a meter's last digit, above what rounding and solver leave.
const NOUGHT_KWH: f64 = 1e-4;

/// Vehicles that are alike: same need, same window, same maximum.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Vehicles {
    /// How many.
    pub count: u32,
    /// Energy that each needs in its window, kilowatt-hours at the wall. Nought or less needs nothing.
    pub need_kwh: f64,
    /// Plugged in from, hours after the first midnight of the horizon. Hours beyond the horizon are taken around it.
    pub arrive_h: f64,
    /// Plugged in until. At or before `arrive_h`: until that hour next comes round (the next morning; the next week in a
    /// week). A window is never longer than the horizon.
    pub depart_h: f64,
    /// Greatest current that each takes, amperes a phase: the lesser of vehicle and point.
    pub max_a: f64,
    /// Phases that each draws on, 1 or 3.
    pub phases: u8,
}

impl Vehicles {
    /// The same vehicles on several days of a week, 0 being the first: a window that begins on each. Days beyond the
    /// seventh come round. A window past midnight runs into the next day.
    pub fn on_days(&self, days: &[u8]) -> Vec<Vehicles> {
        let length_h = if self.depart_h > self.arrive_h {
            self.depart_h - self.arrive_h
        } else {
            self.depart_h + 24.0 - self.arrive_h
        };
        let day = |day: &u8| {
            let arrive_h = self.arrive_h + 24.0 * f64::from(day % 7);
            Vehicles { arrive_h, depart_h: arrive_h + length_h, ..*self }
        };
        days.iter().map(day).collect()
    }

    /// Phases that each draws on from a supply of so many.
    fn phases_on(&self, supply: u8) -> u8 {
        if self.phases == 3 && supply == 3 { 3 } else { 1 }
    }

    /// Charge that each needs on every phase it draws on, ampere-hours.
    fn need_ah(&self, supply: u8) -> f64 {
        let need_kwh = if self.need_kwh > 0.0 { self.need_kwh } else { 0.0 };
        need_kwh * 1000.0 / (U0_V * f64::from(self.phases_on(supply)))
    }

    /// The current that each can take: nothing below the floor.
    fn usable_max_a(&self, floor_a: f64) -> f64 {
        if self.max_a >= floor_a && self.max_a > 0.0 { self.max_a } else { 0.0 }
    }

    /// Whether there is anything to charge.
    fn wants(&self) -> bool {
        self.count > 0 && self.need_kwh > 0.0
    }
}

/// What a supply has left for charging, over a day (48 half-hours) or a week ([`WEEK`]) that repeats.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Supply<const HALF_HOURS: usize = 48> {
    /// Phases, 1 or 3.
    pub phases: u8,
    /// Amperes a phase left in each half-hour, from midnight on. Below nought counts as nothing.
    pub room_a: [f64; HALF_HOURS],
    /// Least current a phase at which a charging session runs, amperes (6 A, IEC 61851-1).
    pub floor_a: f64,
}

impl<const HALF_HOURS: usize> Supply<HALF_HOURS> {
    /// Hours after which it repeats.
    fn horizon_h(&self) -> f64 {
        HALF_HOURS as f64 * HALF_HOUR_H
    }

    /// Phases that count: one unless there are three.
    fn lines(&self) -> usize {
        if self.phases == 3 { 3 } else { 1 }
    }
}

/// How much of a capacity vehicles fill by taking turns; the smallest maximum among them decides.
#[derive(Clone, Copy, Debug)]
struct Turns {
    floor_a: f64,
    /// Smallest maximum, where it is under twice the floor.
    smallest_a: Option<f64>,
}

impl Turns {
    fn of(floor_a: f64, maxima_a: impl Iterator<Item = f64>) -> Self {
        let smallest_a = maxima_a.filter(|max_a| *max_a > 0.0).fold(f64::INFINITY, f64::min);
        Self { floor_a, smallest_a: (smallest_a < 2.0 * floor_a).then_some(smallest_a) }
    }

    /// Amperes that are filled of a capacity. Never falls as the capacity rises.
    fn usable_a(self, capacity_a: f64) -> f64 {
        if !(capacity_a >= self.floor_a && capacity_a > 0.0) {
            return 0.0;
        }
        match self.smallest_a {
            Some(smallest_a) => capacity_a.min((capacity_a / self.floor_a + 1e-9).floor() * smallest_a),
            None => capacity_a,
        }
    }

    /// Smallest capacity of which so many amperes are filled.
    fn capacity_a(self, usable_a: f64) -> f64 {
        let least_a = usable_a.max(self.floor_a);
        if self.usable_a(least_a) + 1e-9 >= usable_a {
            return least_a;
        }
        // At a whole number of floors nothing is lost.
        (least_a / self.floor_a - 1e-9).ceil() * self.floor_a
    }
}

#[cfg(test)]
mod tests;
