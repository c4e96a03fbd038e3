//! Dates out of cells: serial numbers, the order of the United Kingdom, months by name.

use super::raw::{RawCell, folded, serial_date};
pub(super) use super::times::hours;
use jiff::civil::Date;

/// A date as understood.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Dated {
    /// One day.
    Day(Date),
    /// One day, read against the usual order because it cannot be read in it.
    OtherOrder(Date),
    /// A month without a day: its first and last day.
    Month(Date, Date),
}

/// Dates before and after these are slips.
const FIRST_YEAR: i16 = 1950;
const LAST_YEAR: i16 = 2100;
const MONTHS: [&str; 12] = ["jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"];

/// The date of a cell.
pub(super) fn dated(cell: &RawCell) -> Option<Dated> {
    match cell {
        RawCell::Moment(serial) | RawCell::Number(serial) => {
            let date = serial_date(*serial).filter(plausible);
            date.or_else(|| packed(&serial.to_string())).map(Dated::Day)
        }
        RawCell::Text(text) => {
            let folded = folded(text);
            if let Some(date) = packed(&folded) {
                return Some(Dated::Day(date));
            }
            if let Ok(serial) = folded.parse::<f64>() {
                return serial_date(serial).filter(plausible).map(Dated::Day);
            }
            dated_text(&folded)
        }
        _ => None,
    }
}

fn plausible(date: &Date) -> bool {
    (FIRST_YEAR..=LAST_YEAR).contains(&date.year())
}

/// The day part of an ISO date-time ("2026-10-20t09:12:00z", "...+01:00"): the day stands as it was written.
fn iso_day(text: &str) -> Option<&str> {
    let (day, time) = text.split_at_checked(10)?;
    let dashed = day.bytes().enumerate().all(|(at, byte)| match at {
        4 | 7 => byte == b'-',
        _ => byte.is_ascii_digit(),
    });
    let time = time.strip_prefix(['t', ' '])?;
    let clock = |c: char| c.is_ascii_digit() || matches!(c, ':' | '.' | ',' | '+' | '-' | 'z' | ' ');
    (dashed && time.starts_with(|c: char| c.is_ascii_digit()) && time.chars().all(clock)).then_some(day)
}

/// Eight digits without a mark: year first or year last, whichever is a day of a plausible year; never both.
fn packed(text: &str) -> Option<Date> {
    if text.len() != 8 || !text.bytes().all(|byte| byte.is_ascii_digit()) {
        return None;
    }
    let part = |from: usize, to: usize| -> Option<i16> { text.get(from..to)?.parse().ok() };
    let day =
        |y: i16, m: i16, d: i16| Date::new(y, i8::try_from(m).ok()?, i8::try_from(d).ok()?).ok().filter(plausible);
    let (first, last) = (day(part(0, 4)?, part(4, 6)?, part(6, 8)?), day(part(4, 8)?, part(2, 4)?, part(0, 2)?));
    if first.is_some() && last.is_some() { None } else { first.or(last) }
}

/// The pieces of a date, without clock times and days of the week.
fn pieces(text: &str) -> Vec<&str> {
    const WEEK: [&str; 7] = ["mon", "tue", "wed", "thu", "fri", "sat", "sun"];
    let beside = |piece: &str| {
        let of_week = WEEK.iter().any(|day| piece.starts_with(day) && (piece.len() <= 5 || piece.ends_with("day")));
        piece.contains(':')
            || of_week
            || matches!(piece, "of" | "the" | "at" | "on" | "am" | "pm" | "gmt" | "bst" | "utc")
    };
    text.split([' ', '/', '-', '.', ',', '\'', '(', ')', '\\'])
        .filter(|piece| !piece.is_empty() && !beside(piece))
        .collect()
}

fn dated_text(text: &str) -> Option<Dated> {
    let text = iso_day(text).unwrap_or(text);
    let pieces = pieces(text);
    let number = |piece: &str| -> Option<i16> {
        let digits = piece.trim_end_matches(|c: char| c.is_ascii_alphabetic());
        let ending = piece.get(digits.len()..).unwrap_or_default();
        (matches!(ending, "" | "st" | "nd" | "rd" | "th" | "t") && digits.len() <= 4)
            .then(|| digits.parse().ok())
            .flatten()
    };
    let month = |piece: &str| -> Option<i8> {
        let short = piece.get(..3)?;
        piece
            .chars()
            .all(char::is_alphabetic)
            .then(|| MONTHS.iter().position(|known| *known == short))
            .flatten()
            .map(|at| at as i8 + 1)
    };
    let year = full_year;
    let day = |y: i16, m: i16, d: i16| {
        Date::new(year(y), i8::try_from(m).ok()?, i8::try_from(d).ok()?).ok().filter(plausible)
    };
    match pieces.as_slice() {
        [y, m, d] if y.len() == 4 && y.bytes().all(|byte| byte.is_ascii_digit()) => {
            let m = month(m).map(i16::from).or_else(|| number(m))?;
            day(number(y)?, m, number(d)?).map(Dated::Day)
        }
        [d, m, y] if month(m).is_some() => day(number(y)?, i16::from(month(m)?), number(d)?).map(Dated::Day),
        [m, d, y] if month(m).is_some() => day(number(y)?, i16::from(month(m)?), number(d)?).map(Dated::Day),
        [d, m, y] => match day(number(y)?, number(m)?, number(d)?) {
            Some(date) => Some(Dated::Day(date)),
            None => day(number(y)?, number(d)?, number(m)?).map(Dated::OtherOrder),
        },
        [y, m] if y.len() == 4 && y.bytes().all(|byte| byte.is_ascii_digit()) => {
            let m = month(m).or_else(|| (m.len() <= 2).then(|| number(m)).flatten()?.try_into().ok())?;
            let first = Date::new(number(y)?, m, 1).ok().filter(plausible)?;
            Some(Dated::Month(first, first.last_of_month()))
        }
        [m, y] => {
            let m =
                month(m).or_else(|| (y.len() == 4).then(|| number(m)).flatten().and_then(|m| i8::try_from(m).ok()))?;
            let first = Date::new(year(number(y)?), m, 1).ok().filter(plausible)?;
            Some(Dated::Month(first, first.last_of_month()))
        }
        _ => None,
    }
}

/// Which order of day and month a numeric date with its year last shows.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Order {
    /// Only day first gives a date.
    DayFirst,
    /// Only month first gives a date.
    MonthFirst,
    /// Both give one: day first, month first.
    Either(Date, Date),
}

/// The order that a text shows, when it is three numbers with the year last.
pub(super) fn order(text: &str) -> Option<Order> {
    let folded = folded(text);
    let [first, second, year] = <[&str; 3]>::try_from(pieces(&folded)).ok()?;
    let number = |piece: &str| -> Option<i8> { (piece.len() <= 2).then(|| piece.parse().ok()).flatten() };
    let (first, second) = (number(first)?, number(second)?);
    let year = match year.parse::<i16>().ok()? {
        short @ 0..=99 if year.len() == 2 => full_year(short),
        long if year.len() == 4 => long,
        _ => return None,
    };
    let date = |month, day| Date::new(year, month, day).ok().filter(plausible);
    match (date(second, first), date(first, second)) {
        (Some(one), Some(other)) if one != other => Some(Order::Either(one, other)),
        (Some(_), None) => Some(Order::DayFirst),
        (None, Some(_)) => Some(Order::MonthFirst),
        _ => None,
    }
}

/// A year of two digits in its century.
fn full_year(year: i16) -> i16 {
    match year {
        0..=49 => 2000 + year,
        50..=99 => 1900 + year,
        other => other,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    fn text(text: &str) -> Option<Dated> {
        dated(&RawCell::Text(text.to_owned()))
    }

    #[test]
    fn dates_as_people_write_them() {
        let day = Some(Dated::Day(date(2026, 11, 25)));
        for written in [
            "25/11/2026",
            "25/11/26",
            "25-11-2026",
            "25.11.26",
            "2026-11-25",
            "2026-11-25T09:30:00",
            "25 Nov 2026",
            "25th November 2026",
            "Nov 25, 2026",
            "25-Nov-26",
            "46351",
            "25/11/2026 14:30",
            "Wed 25 Nov 2026",
            "2026/11/25",
            "2026-11-25T09:12:00Z",
            "2026-11-25T09:12:00.123+01:00",
            "2026-11-25 09:12:00+0000",
            "20261125",
            "25112026",
            "25/11/2026 2:30 PM",
            "Wednesday 25th November '26",
            "25 nov 26",
            "25\\11\\2026",
        ] {
            assert_eq!(text(written), day, "{written}");
        }
        assert_eq!(dated(&RawCell::Number(46351.0)), day);
        assert_eq!(dated(&RawCell::Moment(46351.4)), day);
        assert_eq!(text("11/25/2026"), Some(Dated::OtherOrder(date(2026, 11, 25))));
        assert_eq!(text("Nov-26"), Some(Dated::Month(date(2026, 11, 1), date(2026, 11, 30))));
        assert_eq!(text("October 2025"), Some(Dated::Month(date(2025, 10, 1), date(2025, 10, 31))));
        assert_eq!(text("2026-11"), text("Nov 2026"));
        assert_eq!(dated(&RawCell::Number(20_261_125.0)), day);
        assert_eq!(text("12 August 2025"), Some(Dated::Day(date(2025, 8, 12))));
        for wrong in [
            "31/02/2026",
            "soon",
            "2026",
            "7.4",
            "-3",
            "99/99/9999",
            "1e20",
            "32/13/2026",
            "2026-11-25Tbc",
            "20262026",
            "Sunday",
            "25/11",
        ] {
            assert_eq!(text(wrong), None, "{wrong}");
        }
    }
}
