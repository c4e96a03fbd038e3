//! A meter's half-hours by day, by the clock on the wall. It knows no file.

use super::half_hours::Unit;
use crate::site::HALF_HOURS;
use jiff::ToSpan;
use jiff::civil::{Date, Weekday};
use std::collections::BTreeMap;

/// The last Sunday of a month: the clocks of the United Kingdom go forward in March and back in October (Summer Time
/// Order 2002).
fn last_sunday(year: i16, month: i8) -> Option<Date> {
    let last = Date::new(year, month, 1).ok()?.last_of_month();
    let back = i64::from(last.weekday().since(Weekday::Sunday));
    last.checked_sub(back.days()).ok()
}

/// Hours of the day that differ: 46 half-hours in spring, 50 in autumn, 48 otherwise.
pub(super) fn half_hours_of(date: Date) -> usize {
    if last_sunday(date.year(), 3) == Some(date) {
        46
    } else if last_sunday(date.year(), 10) == Some(date) {
        50
    } else {
        48
    }
}

/// Which day: by its date or by its kind ("weekday").
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum DayKey {
    Dated(Date),
    Kind(String),
}

/// One day of one meter, in the unit of the file.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Day {
    /// By the clock on the wall; not a number where nothing is there.
    pub values: [f32; HALF_HOURS],
    /// The hour from 01:00 to 02:00 that comes twice when the clocks go back.
    pub again: [f32; 2],
    /// Where its highest half-hour stands.
    pub row: u32,
    pub column: u16,
    pub estimated: u32,
}

impl Default for Day {
    fn default() -> Self {
        Self { values: [f32::NAN; HALF_HOURS], again: [f32::NAN; 2], row: 0, column: 0, estimated: 0 }
    }
}

impl Day {
    /// Every half-hour, those that come twice in autumn last.
    pub fn slots(&self) -> impl Iterator<Item = f32> + '_ {
        self.values.iter().chain(&self.again).copied()
    }

    /// The highest half-hour: its place and value.
    pub fn highest(&self) -> Option<(usize, f32)> {
        let again = self.again.iter().enumerate().map(|(at, value)| (at + 2, *value));
        let all = self.values.iter().copied().enumerate().chain(again).filter(|(_, value)| value.is_finite());
        all.fold(None, |best: Option<(usize, f32)>, (at, value)| match best {
            Some((_, top)) if value <= top => best,
            _ => Some((at, value)),
        })
    }
}

/// Which meter.
#[derive(Clone, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct MeterKey {
    pub mpan: Option<String>,
    pub site_id: Option<String>,
    pub uprn: Option<String>,
    pub serial: String,
}

/// One meter.
#[derive(Clone, Debug, Default)]
pub(super) struct Meter {
    pub days: BTreeMap<DayKey, Day>,
    pub unit: Option<Unit>,
    /// Lines that it was read from, and the first of them.
    pub lines: usize,
    pub first_row: u32,
    /// Half-hours or days that stood twice; the later line was taken.
    pub twice: usize,
    /// Values that are no figures or beyond all measure.
    pub not_figures: usize,
    /// Autumn days on which the hour that comes twice was added up in the file.
    pub halved: usize,
    /// Spring days on which the hour that does not exist was filled with noughts.
    pub skipped: usize,
}

impl Meter {
    /// Whether no half-hour is in both, and at most the one day of a change is.
    pub fn is_apart_from(&self, other: &Meter) -> bool {
        let shared: Vec<_> = self.days.iter().filter_map(|(key, day)| Some((day, other.days.get(key)?))).collect();
        let both = |(a, b): &(&Day, &Day)| a.slots().zip(b.slots()).any(|(a, b)| a.is_finite() && b.is_finite());
        shared.len() <= 1 && !shared.iter().any(both)
    }

    /// Takes in the half-hours of another that is apart from it.
    pub fn take_in(&mut self, other: Meter) {
        for (key, day) in other.days {
            let Some(own) = self.days.get_mut(&key) else {
                self.days.insert(key, day);
                continue;
            };
            if day.highest().map(|(_, value)| value) > own.highest().map(|(_, value)| value) {
                (own.row, own.column) = (day.row, day.column);
            }
            for (slot, value) in own.values.iter_mut().chain(&mut own.again).zip(day.slots()) {
                if value.is_finite() {
                    *slot = value;
                }
            }
            own.estimated += day.estimated;
        }
    }
}
