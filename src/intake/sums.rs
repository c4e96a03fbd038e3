//! The meters of one site added, half-hour by half-hour.
//!
//! A sum in which a meter is missing is too low by whatever that meter drew. It is kept as what was at least drawn; what
//! may have been drawn takes the highest that the missing meter ever did, and shapes of the day are made of whole sums
//! only. It knows no site and no file.

use super::meter::{Day, DayKey, half_hours_of};
use crate::site::{HALF_HOURS, Profile, ProfilePeak, ProfileUnit};

/// A day of one meter.
pub(super) struct Part<'a> {
    /// `None` where the meter has nothing on this day.
    pub day: Option<&'a Day>,
    /// What its figures are multiplied by.
    pub factor: f64,
    /// Its highest half-hour of all days, multiplied.
    pub highest: f64,
    /// Which of the layers it came from.
    pub layer: usize,
}

/// The highest sum and where its greatest part stands.
#[derive(Clone)]
pub(super) struct Peak {
    pub value: f64,
    pub day: DayKey,
    pub half_hour: usize,
    pub row: u32,
    pub column: u16,
    pub layer: usize,
}

/// One half-hour of the day over all days.
#[derive(Clone, Copy, Default)]
struct Half {
    total: f64,
    count: u32,
    greatest: Option<f64>,
}

/// Sums over days, by half-hour of the day.
pub(super) struct Sums {
    halves: Vec<Half>,
    days: u32,
    dates: Vec<jiff::civil::Date>,
    whole: u32,
    estimated: u32,
    /// The highest that was recorded, by all meters or by some.
    pub peak: Option<Peak>,
    /// The highest with every missing meter at its own highest; not below the peak.
    pub possible: f64,
    /// Half-hours that some meters have and others lack.
    pub in_part: u32,
}

impl Sums {
    /// Of no days yet.
    pub fn new() -> Self {
        Self {
            halves: vec![Half::default(); HALF_HOURS],
            days: 0,
            dates: Vec::new(),
            whole: 0,
            estimated: 0,
            peak: None,
            possible: 0.0,
            in_part: 0,
        }
    }

    /// Adds one day of all meters of the site.
    pub fn day<'a>(&mut self, key: &DayKey, meters: impl Iterator<Item = Part<'a>>) {
        let mut there = [None::<f64>; HALF_HOURS + 2];
        let mut missing = [0.0; HALF_HOURS + 2];
        let mut lacking = [false; HALF_HOURS + 2];
        let mut place: Option<(f64, u32, u16, usize)> = None;
        for part in meters {
            let mut figures = part.day.map(Day::slots).into_iter().flatten();
            for ((sum, missing), lacking) in there.iter_mut().zip(&mut missing).zip(&mut lacking) {
                match figures.next().filter(|value| value.is_finite()) {
                    Some(value) => *sum = Some(sum.unwrap_or(0.0) + f64::from(value) * part.factor),
                    None => (*missing, *lacking) = (*missing + part.highest, true),
                }
            }
            let Some(day) = part.day else { continue };
            self.estimated += day.estimated;
            // The cell shown for a sum is that of its greatest part.
            let highest = day.highest().map_or(0.0, |(_, value)| f64::from(value) * part.factor);
            if place.is_none_or(|(most, ..)| highest > most) {
                place = Some((highest, day.row, day.column, part.layer));
            }
        }
        let mut any = false;
        for (at, ((value, missing), lacking)) in there.iter().zip(&missing).zip(&lacking).enumerate() {
            let Some(value) = *value else { continue };
            any = true;
            let half_hour = if at < HALF_HOURS { at } else { at - HALF_HOURS + 2 };
            self.possible = self.possible.max(value + missing);
            if *lacking {
                self.in_part += 1;
            } else {
                self.whole += 1;
                if let Some(half) = self.halves.get_mut(half_hour) {
                    half.total += value;
                    half.count += 1;
                    half.greatest = Some(half.greatest.map_or(value, |before| before.max(value)));
                }
            }
            if let Some((_, row, column, layer)) = place
                && self.peak.as_ref().is_none_or(|peak| value > peak.value)
            {
                self.peak = Some(Peak { value, day: key.clone(), half_hour, row, column, layer });
            }
        }
        if any {
            self.days += 1;
            if let DayKey::Dated(date) = key {
                self.dates.push(*date);
            }
        }
    }

    /// The profile, with the peak that was found; half-hours in part count as missing.
    pub fn profile(&self, unit: ProfileUnit, peak: &Peak, meters: usize) -> Profile {
        let span = self.dates.iter().min().copied().zip(self.dates.iter().max().copied());
        let expected = match span {
            Some((first, last)) => {
                first.series(jiff::Span::new().days(1)).take_while(|day| *day <= last).map(half_hours_of).sum()
            }
            None => self.days as usize * HALF_HOURS,
        };
        let expected = u32::try_from(expected).unwrap_or(u32::MAX);
        let (mut mean, mut greatest) = ([None; HALF_HOURS], [None; HALF_HOURS]);
        for (half, (mean, greatest)) in self.halves.iter().zip(mean.iter_mut().zip(&mut greatest)) {
            *mean = (half.count > 0).then(|| half.total / f64::from(half.count));
            *greatest = half.greatest;
        }
        let date = match &peak.day {
            DayKey::Dated(date) => Some(*date),
            DayKey::Kind(_) => None,
        };
        Profile {
            unit,
            days: self.days,
            span,
            mean,
            greatest,
            peak: ProfilePeak { value: peak.value, date, half_hour: peak.half_hour as u8 },
            gaps: expected.saturating_sub(self.whole),
            coverage: (f64::from(self.whole) / f64::from(expected.max(1))).min(1.0),
            estimated: self.estimated,
            meters: u32::try_from(meters).unwrap_or(u32::MAX),
        }
    }
}
