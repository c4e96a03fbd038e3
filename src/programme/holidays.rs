//! Bank holidays of the three parts of the United Kingdom that keep their own, by the rules that name them.
//!
//! Source: Banking and Financial Dealings Act 1971, Schedule 1, and the days that are proclaimed every year beside it
//! (status: memory). It does not know days proclaimed once, for a coronation or a jubilee, nor days that a proclamation
//! moves: whoever plans adds them as closed days. Scottish councils keep local days beside these.

use jiff::civil::{Date, Weekday};
use jiff::{Span, ToSpan};

/// A part of the United Kingdom with bank holidays of its own.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum BankNation {
    /// England and Wales.
    #[default]
    EnglandAndWales,
    /// Scotland.
    Scotland,
    /// Northern Ireland.
    NorthernIreland,
}

impl BankNation {
    /// The nation of a word of the programme file; `None` for any other word.
    pub fn of_word(word: &str) -> Option<Self> {
        match word {
            "england-and-wales" => Some(Self::EnglandAndWales),
            "scotland" => Some(Self::Scotland),
            "northern-ireland" => Some(Self::NorthernIreland),
            _ => None,
        }
    }
}

/// Days off for bank holidays in a year, ascending; where one falls on a weekend it is the day kept instead.
///
/// The rules are those of 1978 onwards; a year that the calendar does not reach has none.
pub fn bank_holidays(nation: BankNation, year: i16) -> Vec<Date> {
    use BankNation::{EnglandAndWales, NorthernIreland, Scotland};
    let mut days = Vec::new();
    let on = |month: i8, day: i8| Date::new(year, month, day).ok();
    let monday =
        |month: i8, nth: i8| on(month, 1).and_then(|first| first.nth_weekday_of_month(nth, Weekday::Monday).ok());
    let from_easter = |span: Span| easter_sunday(year).and_then(|easter| easter.checked_add(span).ok());

    kept(&mut days, &[on(1, 1), (nation == Scotland).then(|| on(1, 2)).flatten()]);
    if nation == NorthernIreland {
        kept(&mut days, &[on(3, 17)]);
    }
    days.extend(from_easter((-2).days()));
    if nation != Scotland {
        days.extend(from_easter(1.day()));
    }
    days.extend(monday(5, 1));
    days.extend(monday(5, -1));
    if nation == NorthernIreland {
        kept(&mut days, &[on(7, 12)]);
    }
    days.extend(monday(8, if nation == Scotland { 1 } else { -1 }));
    match nation {
        Scotland => kept(&mut days, &[on(11, 30)]),
        EnglandAndWales | NorthernIreland => {}
    }
    kept(&mut days, &[on(12, 25), on(12, 26)]);
    days.sort_unstable();
    days
}

/// Adds days that stand together; those of a weekend go to the next weekdays that none of them has.
fn kept(days: &mut Vec<Date>, together: &[Option<Date>]) {
    let weekend = |date: &Date| matches!(date.weekday(), Weekday::Saturday | Weekday::Sunday);
    let mut taken: Vec<Date> = together.iter().flatten().copied().filter(|date| !weekend(date)).collect();
    for date in together.iter().flatten().filter(|date| weekend(date)) {
        let mut next = date.tomorrow().ok();
        while let Some(day) = next.filter(|day| weekend(day) || taken.contains(day)) {
            next = day.tomorrow().ok();
        }
        taken.extend(next);
    }
    days.append(&mut taken);
}

/// Easter Sunday of the western churches, by the usual reckoning for Gregorian years (derived: it is arithmetic).
fn easter_sunday(year: i16) -> Option<Date> {
    let year_number = i32::from(year);
    let golden = year_number.rem_euclid(19);
    let (century, in_century) = (year_number.div_euclid(100), year_number.rem_euclid(100));
    let moon = (century - (century + 8).div_euclid(25) + 1).div_euclid(3);
    let epact = (19 * golden + century - century.div_euclid(4) - moon + 15).rem_euclid(30);
    let weekday = (32 + 2 * century.rem_euclid(4) + 2 * in_century.div_euclid(4) - epact - in_century.rem_euclid(4))
        .rem_euclid(7);
    let late = (golden + 11 * epact + 22 * weekday).div_euclid(451);
    let sum = epact + weekday - 7 * late + 114;
    Date::new(year, i8::try_from(sum.div_euclid(31)).ok()?, i8::try_from(sum.rem_euclid(31) + 1).ok()?).ok()
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    #[test]
    fn christmas_on_a_saturday_is_kept_on_monday_and_tuesday() {
        let days = bank_holidays(BankNation::EnglandAndWales, 2027);
        assert!(days.ends_with(&[date(2027, 12, 27), date(2027, 12, 28)]), "{days:?}");
    }

    #[test]
    fn the_second_of_january_makes_room_for_a_new_year_on_sunday() {
        let days = bank_holidays(BankNation::Scotland, 2034);
        assert!(days.starts_with(&[date(2034, 1, 2), date(2034, 1, 3)]), "{days:?}");
    }

    #[test]
    fn years_at_the_ends_of_the_calendar_do_no_harm() {
        for nation in [BankNation::EnglandAndWales, BankNation::Scotland, BankNation::NorthernIreland] {
            for year in [i16::MIN, -9999, 0, 1, 9999, i16::MAX] {
                let days = bank_holidays(nation, year);
                assert!(days.is_sorted());
            }
        }
    }
}
