//! The demand of many vehicles by half-hours, drawn from habits: as they come, all at a tariff's start, or controlled.
//!
//! A simulation of whole years. On each day of use every vehicle plugs in with the chance of its habits, independent of
//! the others, at a normally distributed hour, and needs the same energy. What it gives is as good as the habits. The
//! closed forms at the end hold it to account where they exist.

use super::HALF_HOUR_H;
use crate::reference::Habits;
use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::{Rng, SeedableRng};
use rand_distr::{Distribution, StandardNormal};
use sha2::{Digest, Sha256};

/// Days of a year.
const YEAR: usize = 365;
/// Half-hours of a day.
const DAY: usize = 48;

/// When plugged-in vehicles charge.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Way {
    /// At full power from the moment they are plugged in.
    AsTheyCome,
    /// At full power from the tariff's start, each after its own random delay. A vehicle that leaves before the next
    /// start, or comes after it, begins when it comes, after its delay.
    AtTariffStart,
    /// Under a group controller: in each half-hour all that are plugged in share alike what is left, each up to its
    /// power.
    Controlled {
        /// Limit of the group, kilowatts; infinity for none.
        group_kw: f64,
        /// Limit of the whole supply, kilowatts, existing load included; infinity for none.
        whole_kw: f64,
        /// Least power at which a session runs, kilowatts: less in all is nothing.
        floor_kw: f64,
    },
}

/// Demand of a number of vehicles.
#[derive(Clone, Debug, PartialEq)]
pub struct Demand {
    /// Highest half-hour of a year, existing load included, kilowatts: the mean of the years drawn.
    pub peak_kw: f64,
    /// The half-hour of the day (0 to 47) in which that peak falls in most years; the earliest of equals.
    pub peak_half_hour: usize,
    /// Highest half-hour of a year of charging alone, kilowatts: the mean of the years drawn.
    pub charging_peak_kw: f64,
    /// Charging alone by half-hour on the mean day of use, kilowatts.
    pub mean_day_kw: [f64; DAY],
    /// Charging alone, the highest of the year in each half-hour of the day, kilowatts: the mean of the years drawn.
    pub high_day_kw: [f64; DAY],
    /// Energy that vehicles leave without, kilowatt-hours a year.
    pub short_kwh_a_year: f64,
}

/// A vehicle's stay: hours after the year's beginning, and energy.
#[derive(Clone, Copy, Debug)]
struct Stay {
    from_h: f64,
    until_h: f64,
    left_kwh: f64,
}

/// The demand of `vehicles` of some habits on top of `existing_kw` (by half-hour of a day that repeats; noughts for
/// charging alone), over `years` (at least one) drawn from `seed`, any text that names what is asked. The same arguments
/// give the same demand, on every machine.
pub fn demand(habits: &Habits, vehicles: u32, way: Way, existing_kw: &[f64; DAY], years: u32, seed: &str) -> Demand {
    charging(habits, vehicles, When::of(way, existing_kw), years, seed).beside(existing_kw)
}

/// When plugged-in vehicles charge, with the room that a controller has for them.
#[derive(Clone, Copy, Debug, PartialEq)]
#[expect(clippy::large_enum_variant, reason = "made once for each question, and kept nowhere")]
pub(super) enum When {
    AsTheyCome,
    AtTariffStart,
    /// Room of the group by half-hour of a day that repeats, kilowatts.
    Within([f64; DAY]),
}

impl When {
    pub(super) fn of(way: Way, existing_kw: &[f64; DAY]) -> Self {
        match way {
            Way::AsTheyCome => When::AsTheyCome,
            Way::AtTariffStart => When::AtTariffStart,
            Way::Controlled { group_kw, whole_kw, floor_kw } => When::Within(existing_kw.map(|existing_kw| {
                let room_kw = group_kw.min(whole_kw - existing_kw);
                if room_kw >= floor_kw { room_kw } else { 0.0 }
            })),
        }
    }
}

/// Charging alone, in each of the years drawn.
#[derive(Clone, Debug)]
pub(super) struct Charging {
    years: Vec<Year>,
}

/// Charging alone in a year.
#[derive(Clone, Debug)]
struct Year {
    /// By half-hour on the mean day of use, kilowatts.
    mean_day_kw: [f64; DAY],
    /// The highest of the year in each half-hour of the day, kilowatts.
    high_day_kw: [f64; DAY],
    short_kwh: f64,
}

/// Draws the years of charging alone.
pub(super) fn charging(habits: &Habits, vehicles: u32, when: When, years: u32, seed: &str) -> Charging {
    let mut load = Load { kwh: vec![0.0; YEAR * DAY], short_kwh: 0.0 };
    let years = (0..years.max(1)).map(|year| {
        load.kwh.fill(0.0);
        load.short_kwh = 0.0;
        let mut draw = ChaCha8Rng::from_seed(Sha256::digest(seed.as_bytes()).into());
        draw.set_stream(u64::from(year));
        let (stays, days) = stays(habits, vehicles, when, &mut draw);
        match when {
            When::AsTheyCome | When::AtTariffStart => stays.iter().for_each(|stay| load.at_full_power(stay, habits.kw)),
            When::Within(room_kw) => load.shared(stays, habits.kw, &room_kw),
        }
        let mut own = Year { mean_day_kw: [0.0; DAY], high_day_kw: [0.0; DAY], short_kwh: load.short_kwh };
        for day in load.kwh.chunks_exact(DAY) {
            let figures = own.mean_day_kw.iter_mut().zip(&mut own.high_day_kw);
            for (kwh, (mean_kw, high_kw)) in day.iter().zip(figures) {
                // Most half-hours of a year have no charging.
                if *kwh > 0.0 {
                    let kw = kwh / HALF_HOUR_H;
                    *mean_kw += kw / days.max(1) as f64;
                    *high_kw = high_kw.max(kw);
                }
            }
        }
        own
    });
    Charging { years: years.collect() }
}

impl Charging {
    /// The demand of it on top of `existing_kw`, by half-hour of a day that repeats: since that is the same on every
    /// day, each half-hour is highest where charging is.
    pub(super) fn beside(&self, existing_kw: &[f64; DAY]) -> Demand {
        let share = 1.0 / self.years.len().max(1) as f64;
        let mut found = Demand {
            peak_kw: 0.0,
            peak_half_hour: 0,
            charging_peak_kw: 0.0,
            mean_day_kw: [0.0; DAY],
            high_day_kw: [0.0; DAY],
            short_kwh_a_year: 0.0,
        };
        let mut peaks_at = [0_u32; DAY];
        for year in &self.years {
            let (mut peak_kw, mut peak_at) = (f64::NEG_INFINITY, 0);
            for (half_hour, (charging_kw, existing_kw)) in year.high_day_kw.iter().zip(existing_kw).enumerate() {
                if charging_kw + existing_kw > peak_kw {
                    (peak_kw, peak_at) = (charging_kw + existing_kw, half_hour);
                }
            }
            found.peak_kw += peak_kw * share;
            if let Some(times) = peaks_at.get_mut(peak_at) {
                *times += 1;
            }
            found.charging_peak_kw += year.high_day_kw.iter().copied().fold(0.0, f64::max) * share;
            found.high_day_kw.iter_mut().zip(year.high_day_kw).for_each(|(sum, kw)| *sum += kw * share);
            found.mean_day_kw.iter_mut().zip(year.mean_day_kw).for_each(|(sum, kw)| *sum += kw * share);
            found.short_kwh_a_year += year.short_kwh * share;
        }
        let most = peaks_at.iter().copied().max().unwrap_or(0);
        found.peak_half_hour = peaks_at.iter().position(|times| *times == most).unwrap_or(0);
        found
    }

    /// Whether it stays within `room_kw` at every moment that was drawn, so that a controller with that room would change
    /// nothing.
    pub(super) fn stays_within(&self, room_kw: &[f64; DAY]) -> bool {
        let within = |year: &Year| year.high_day_kw.iter().zip(room_kw).all(|(kw, room_kw)| kw <= room_kw);
        self.years.iter().all(within)
    }
}

/// A number at least nought and below one.
fn even(draw: &mut ChaCha8Rng) -> f64 {
    // 53 bits fill the fraction of a double.
    (draw.next_u64() >> 11) as f64 / (1_u64 << 53) as f64
}

/// The stays of a year, charging time first where it waits for a tariff, and how many days of use the year has.
fn stays(habits: &Habits, vehicles: u32, when: When, draw: &mut ChaCha8Rng) -> (Vec<Stay>, usize) {
    let chance = (habits.plug_ins_a_week / habits.days_a_week).clamp(0.0, 1.0);
    let mut stays = Vec::new();
    let mut days = 0;
    for day in (0..YEAR).filter(|day| ((day % 7) as f64) < habits.days_a_week) {
        days += 1;
        for _ in 0..vehicles {
            if even(draw) >= chance {
                continue;
            }
            let off: f64 = StandardNormal.sample(draw);
            let delay_h = even(draw) * habits.delay_most_min / 60.0;
            let comes_h = habits.start_mean_h + habits.start_spread_h * off;
            let until_h = comes_h + (habits.leave_h - comes_h).rem_euclid(24.0);
            let from_h = match when {
                When::AtTariffStart => {
                    let tariff_h = comes_h + (habits.tariff_start_h - comes_h).rem_euclid(24.0);
                    if tariff_h < until_h { tariff_h + delay_h } else { comes_h + delay_h }
                }
                _ => comes_h,
            };
            // Habits that are no numbers bring nobody.
            if !(from_h.is_finite() && until_h.is_finite()) {
                continue;
            }
            let midnight_h = day as f64 * 24.0;
            stays.push(Stay {
                from_h: midnight_h + from_h,
                until_h: midnight_h + until_h,
                left_kwh: habits.session_kwh,
            });
        }
    }
    (stays, days)
}

/// The load of a year by half-hour. What runs over its end stands at its beginning.
struct Load {
    kwh: Vec<f64>,
    short_kwh: f64,
}

impl Load {
    fn add(&mut self, half_hour: i64, kwh: f64) {
        let place = half_hour.rem_euclid((YEAR * DAY) as i64) as usize;
        if let Some(sum) = self.kwh.get_mut(place) {
            *sum += kwh;
        }
    }

    /// One vehicle at full power from its first hour until it is full or leaves.
    fn at_full_power(&mut self, stay: &Stay, kw: f64) {
        let full_h = stay.from_h + stay.left_kwh / kw;
        let end_h = full_h.min(stay.until_h.max(stay.from_h));
        self.short_kwh += (full_h - end_h) * kw;
        let mut half_hour = (stay.from_h / HALF_HOUR_H).floor() as i64;
        let mut from_h = stay.from_h;
        while from_h < end_h {
            let until_h = ((half_hour + 1) as f64 * HALF_HOUR_H).min(end_h);
            self.add(half_hour, (until_h - from_h) * kw);
            from_h = until_h;
            half_hour += 1;
        }
    }

    /// All that are plugged in share the room of each half-hour alike.
    fn shared(&mut self, mut stays: Vec<Stay>, kw: f64, room_kw: &[f64; DAY]) {
        stays.sort_by(|one, other| one.from_h.total_cmp(&other.from_h));
        let mut waiting = stays.into_iter().peekable();
        let mut present: Vec<Stay> = Vec::new();
        let Some(first) = waiting.peek() else { return };
        let mut half_hour = (first.from_h / HALF_HOUR_H).floor() as i64;
        while waiting.peek().is_some() || !present.is_empty() {
            let from_h = half_hour as f64 * HALF_HOUR_H;
            let until_h = from_h + HALF_HOUR_H;
            while let Some(stay) = waiting.next_if(|stay| stay.from_h < until_h) {
                present.push(stay);
            }
            let place = half_hour.rem_euclid(DAY as i64) as usize;
            let mut room_kwh = room_kw.get(place).copied().unwrap_or(0.0).max(0.0) * HALF_HOUR_H;
            // Whoever takes least first: what it leaves is shared by the rest.
            let takes_kwh = |stay: &Stay| {
                let hours = until_h.min(stay.until_h) - from_h.max(stay.from_h);
                stay.left_kwh.min(hours.max(0.0) * kw)
            };
            present.sort_by(|one, other| takes_kwh(one).total_cmp(&takes_kwh(other)));
            let count = present.len();
            let mut drawn_kwh = 0.0;
            for (index, stay) in present.iter_mut().enumerate() {
                let own_kwh = takes_kwh(stay).min(room_kwh / (count - index) as f64);
                stay.left_kwh -= own_kwh;
                room_kwh -= own_kwh;
                drawn_kwh += own_kwh;
            }
            self.add(half_hour, drawn_kwh);
            let mut short_kwh = 0.0;
            present.retain(|stay| {
                let stays = stay.until_h > until_h && stay.left_kwh > 1e-9;
                if !stays {
                    short_kwh += stay.left_kwh.max(0.0);
                }
                stays
            });
            self.short_kwh += short_kwh;
            half_hour += 1;
        }
    }
}

/// Highest half-hour of a year a vehicle, kilowatts, where all that are plugged in charge at the same time (at a tariff's
/// start): power times the expected greatest share plugged in on one of the year's days of use.
///
/// The number plugged in on a day is binomial, so the greatest of `D` days is expected at
/// `sum over k of 1 - P(at most k)^D` (derived, exact where a session outlasts delay and a whole half-hour). For one to
/// three vehicles of the home habits it is the power itself: coincidence 1.
pub fn coincident_peak_kw_a_vehicle(habits: &Habits, vehicles: u32) -> f64 {
    let chance = (habits.plug_ins_a_week / habits.days_a_week).clamp(0.0, 1.0);
    let days = (0..YEAR).filter(|day| ((day % 7) as f64) < habits.days_a_week).count() as f64;
    if vehicles == 0 || chance <= 0.0 {
        return 0.0;
    }
    if chance >= 1.0 {
        return habits.kw;
    }
    let (mut at_most, mut expected) = (0.0_f64, 0.0);
    // The chance of each number in its logarithm, which does not vanish for thousands of vehicles.
    let mut ln_own = f64::from(vehicles) * (1.0 - chance).ln();
    for number in 0..vehicles {
        at_most = (at_most + ln_own.exp()).min(1.0);
        expected += 1.0 - at_most.powf(days);
        ln_own += (f64::from(vehicles - number) / f64::from(number + 1) * chance / (1.0 - chance)).ln();
    }
    habits.kw * expected / f64::from(vehicles)
}

/// Highest moment of the mean day of use a vehicle, kilowatts, where vehicles charge as they come: what very many need.
///
/// Power times the chance of being plugged in that day and within a session's length of the normally distributed start,
/// `erf(length / (2 sqrt(2) spread))` (derived).
pub fn mean_day_peak_kw_a_vehicle(habits: &Habits) -> f64 {
    let chance = (habits.plug_ins_a_week / habits.days_a_week).clamp(0.0, 1.0);
    let length_h = habits.session_kwh / habits.kw;
    habits.kw * chance * libm::erf(length_h / (2.0 * 2.0_f64.sqrt() * habits.start_spread_h))
}
