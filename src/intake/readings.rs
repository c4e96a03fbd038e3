//! Lines of half-hourly data into days by meter: each half-hour at its place by the clock on the wall, what is missing
//! left out, days on which the clocks change put right, reactive and exported energy told apart. It knows a layout and
//! no site.

use super::dates::{Dated, dated};
use super::half_hours::{Energy, Form, Layout, energy_in, minutes, unit_in};
use super::identifiers;
use super::meter::{Day, DayKey, Meter, MeterKey, half_hours_of};
use super::profiles::threshold;
use super::raw::{RawCell, RawRow, words_of};
use crate::site::HALF_HOURS;
use jiff::ToSpan;
use std::collections::BTreeMap;
use std::ops::ControlFlow;

/// Everything read from a sheet of half-hours.
#[derive(Clone, Debug, Default)]
pub(super) struct Read {
    pub meters: BTreeMap<MeterKey, Meter>,
    pub lines: usize,
    /// Lines that were not used: why, how many, and the first of them.
    pub unused: BTreeMap<&'static str, (usize, u32)>,
}

/// Reads lines as they come.
pub(super) struct Reader {
    layout: Layout,
    read: Read,
}

/// The figure of a cell; thousands marks and a letter for its quality are set aside. Negative ones are none.
pub(super) fn figure(cell: &RawCell) -> Option<f32> {
    let number = match cell {
        RawCell::Number(number) => *number,
        RawCell::Text(text) => {
            let plain: String = text.chars().filter(|c| !matches!(c, ',' | ' ' | '\u{a0}')).collect();
            let plain = plain.strip_suffix(['A', 'E', 'a', 'e']).unwrap_or(&plain).to_owned();
            plain.parse::<f64>().ok()?
        }
        _ => return None,
    };
    (number.is_finite() && (0.0..=threshold("greatest")).contains(&number)).then_some(number as f32)
}

/// Whether a mark or the letter at a figure says that it is estimated.
fn is_estimated(text: &str) -> bool {
    matches!(words_of(text).as_str(), "e" | "est" | "estimate" | "estimated" | "f" | "forecast" | "substituted" | "s")
}

impl Reader {
    /// For lines under a layout.
    pub fn of(layout: Layout) -> Self {
        Self { layout, read: Read::default() }
    }

    /// What was read.
    pub fn done(self) -> Read {
        self.read
    }

    /// Takes one row of the sheet.
    pub fn take(&mut self, row: RawRow) -> ControlFlow<()> {
        if row.row <= self.layout.heading_row {
            return ControlFlow::Continue(());
        }
        self.read.lines += 1;
        if let Err(why) = self.line(&row) {
            let (count, _) = self.read.unused.entry(why).or_insert((0, row.row));
            *count += 1;
        }
        ControlFlow::Continue(())
    }

    fn text(&self, row: &RawRow, column: Option<u16>) -> Option<String> {
        column.and_then(|column| row.cell(column)).map(identifiers::key).filter(|text| !text.is_empty())
    }

    fn line(&mut self, row: &RawRow) -> Result<(), &'static str> {
        let unit_text = self.text(row, self.layout.unit_column).unwrap_or_default();
        let quantity = self.text(row, self.layout.quantity_column).unwrap_or_default();
        let energy = energy_in(&unit_text).or_else(|| energy_in(&quantity)).or(self.layout.energy);
        match energy {
            Some(Energy::Import) | None => {}
            Some(Energy::Export) => return Err("It counts exported energy, which is not used."),
            Some(Energy::Reactive) => return Err("It counts reactive energy, which is not used."),
        }
        let key = MeterKey {
            mpan: self
                .layout
                .mpan
                .and_then(|at| row.cell(at))
                .and_then(|cell| identifiers::mpan(cell).ok())
                .map(|m| m.0),
            site_id: self.text(row, self.layout.site_id),
            uprn: self
                .layout
                .uprn
                .and_then(|at| row.cell(at))
                .and_then(|cell| identifiers::uprn(cell).ok())
                .map(|u| u.0),
            serial: self.text(row, self.layout.serial).unwrap_or_default(),
        };
        if key.mpan.is_none() && key.site_id.is_none() && key.uprn.is_none() {
            return Err("No supply number, site_id or UPRN says which meter it is.");
        }
        let cell = row.cell(self.layout.date).ok_or("It has no date.")?;
        let day = match (dated(cell), cell) {
            (Some(Dated::Day(date)), _) => DayKey::Dated(date),
            (Some(Dated::OtherOrder(_)), _) => return Err("Its date has the month first; the day is wanted first."),
            (None, RawCell::Text(kind)) if kind_of_day(kind) => DayKey::Kind(words_of(kind)),
            _ => return Err("Its date is not understood."),
        };
        let unit = unit_in(&unit_text).or_else(|| unit_in(&quantity)).or(self.layout.unit);
        let meter = self.read.meters.get_mut(&key);
        if meter.as_ref().and_then(|meter| meter.unit).zip(unit).is_some_and(|(own, other)| own != other) {
            return Err("It is in another unit than the lines before it of the same meter.");
        }
        let meter = match meter {
            Some(meter) => meter,
            None => self.read.meters.entry(key).or_default(),
        };
        meter.unit = meter.unit.or(unit);
        if meter.lines == 0 {
            meter.first_row = row.row;
        }
        let done = match &self.layout.form {
            Form::Wide(columns) => {
                wide_line(meter, day, columns, &self.layout.flags, row);
                Ok(())
            }
            Form::Long { value, time } => long_line(meter, day, *value, *time, &self.layout, row),
        };
        if done.is_ok() {
            meter.lines += 1;
        }
        done
    }
}

fn kind_of_day(text: &str) -> bool {
    const KINDS: [&str; 14] = [
        "weekday",
        "weekend",
        "saturday",
        "sunday",
        "monday",
        "tuesday",
        "wednesday",
        "thursday",
        "friday",
        "holiday",
        "working day",
        "winter",
        "summer",
        "peak day",
    ];
    KINDS.contains(&words_of(text).trim_end_matches('s'))
}

fn wide_line(meter: &mut Meter, key: DayKey, columns: &[u16], flags: &[u16], row: &RawRow) {
    let mut values = Vec::with_capacity(columns.len());
    let mut estimated = 0;
    for (at, column) in columns.iter().enumerate() {
        let cell = row.cell(*column);
        let value = cell.and_then(figure);
        if cell.is_some() && value.is_none() {
            meter.not_figures += 1;
        }
        let flag = if flags.len() == columns.len() { flags.get(at) } else { flags.first() };
        let marked = flag.and_then(|flag| row.cell(*flag)).is_some_and(|cell| is_estimated(&cell.shown()));
        let lettered = matches!(cell, Some(RawCell::Text(text)) if text.trim_end().ends_with(['E', 'e']));
        if value.is_some() && (marked || lettered) {
            estimated += 1;
        }
        values.push(value.unwrap_or(f32::NAN));
    }
    let mut day = placed(&key, &values, meter);
    day.estimated = estimated;
    day.row = row.row;
    let highest = values.iter().enumerate().filter(|(_, value)| value.is_finite());
    let highest = highest.fold(None, |best: Option<(usize, f32)>, (at, value)| match best {
        Some((_, top)) if *value <= top => best,
        _ => Some((at, *value)),
    });
    day.column = highest.and_then(|(at, _)| columns.get(at)).copied().unwrap_or_default();
    if meter.days.insert(key, day).is_some() {
        meter.twice += 1;
    }
}

/// The values of a line at their places by the clock on the wall.
fn placed(key: &DayKey, values: &[f32], meter: &mut Meter) -> Day {
    let mut day = Day::default();
    let filled = |from: usize| values.iter().skip(from).any(|value| value.is_finite());
    let length = match key {
        DayKey::Dated(date) => half_hours_of(*date),
        DayKey::Kind(_) => HALF_HOURS,
    };
    let at = |index: usize| values.get(index).copied().unwrap_or(f32::NAN);
    let nothing = |value: f32| !value.is_finite() || value == 0.0;
    match length {
        // In spring 01:00 to 02:00 is not there: either the file closes up, or it leaves two places empty or nought.
        46 if !filled(46) => {
            for index in 0..46 {
                set(&mut day.values, if index < 2 { index } else { index + 2 }, at(index));
            }
        }
        46 => {
            for index in (0..HALF_HOURS).filter(|index| !(2..4).contains(index)) {
                set(&mut day.values, index, at(index));
            }
            if nothing(at(2)) && nothing(at(3)) {
                meter.skipped += 1;
            } else {
                // Values at an hour that does not exist: kept, so that no peak is lost.
                set(&mut day.values, 2, at(2));
                set(&mut day.values, 3, at(3));
            }
        }
        // In autumn 01:00 to 02:00 comes twice: the file has 50 values, leaves one hour out, or adds the two up.
        50 if filled(48) => {
            for index in 0..50 {
                match index {
                    0..=3 => set(&mut day.values, index, at(index)),
                    4 | 5 => set(&mut day.again, index - 4, at(index)),
                    _ => set(&mut day.values, index - 2, at(index)),
                }
            }
        }
        _ => {
            for index in 0..HALF_HOURS {
                set(&mut day.values, index, at(index));
            }
            let beside = (at(1) + at(4)) / 2.0;
            let doubled = threshold("doubled") as f32 * beside;
            if length == 50 && beside > 0.0 && at(2) >= doubled && at(3) >= doubled {
                for index in [2, 3] {
                    set(&mut day.values, index, at(index) / 2.0);
                    set(&mut day.again, index - 2, at(index) / 2.0);
                }
                meter.halved += 1;
            }
        }
    }
    day
}

fn set(values: &mut [f32], at: usize, value: f32) {
    if let Some(slot) = values.get_mut(at) {
        *slot = value;
    }
}

fn long_line(
    meter: &mut Meter,
    key: DayKey,
    value: u16,
    time: u16,
    layout: &Layout,
    row: &RawRow,
) -> Result<(), &'static str> {
    let DayKey::Dated(mut date) = key else { return Err("Its date is not understood.") };
    let clock = row.cell(time).and_then(minutes).ok_or("Its time is not understood.")?;
    let mut minute = i64::from(clock);
    if layout.ends {
        minute -= 30;
    }
    if !(0..1440).contains(&minute) {
        date = date.checked_add(minute.div_euclid(1440).days()).map_err(|_| "Its date is not understood.")?;
        minute = minute.rem_euclid(1440);
    }
    if minute % 30 != 0 {
        return Err("Its time is not that of a half-hour.");
    }
    let place = (minute / 30) as usize;
    let Some(cell) = row.cell(value) else {
        // A line for a half-hour that has no value: a gap like any other.
        return Ok(());
    };
    let Some(figure) = figure(cell) else {
        meter.not_figures += 1;
        return Ok(());
    };
    let day = meter.days.entry(DayKey::Dated(date)).or_default();
    let there = day.values.get(place).copied().unwrap_or(f32::NAN);
    let highest = day.highest().map_or(f32::NEG_INFINITY, |(_, value)| value);
    if there.is_finite()
        && (2..4).contains(&place)
        && half_hours_of(date) == 50
        && day.again.get(place - 2).is_some_and(|a| a.is_nan())
    {
        set(&mut day.again, place - 2, figure);
    } else {
        if there.is_finite() {
            meter.twice += 1;
        }
        set(&mut day.values, place, figure);
    }
    if figure > highest || day.row == 0 {
        (day.row, day.column) = (row.row, value);
    }
    if layout.flags.first().and_then(|flag| row.cell(*flag)).is_some_and(|cell| is_estimated(&cell.shown())) {
        day.estimated += 1;
    }
    Ok(())
}
