//! Times of day out of cells: clocks of twelve and of twenty-four hours, packed digits, noon and midnight; and whether a
//! time leaves open which half of the day it is in. It knows one cell; what its column tells is for `whole_times`.

use super::raw::{RawCell, folded};

/// A time of day as understood.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Clock {
    /// Hours after midnight, 0 to 24.
    pub hours: f64,
    /// Whether it is said to be about that, or by then.
    pub about: bool,
    /// What shows the half of the day.
    pub half: Half,
}

/// What shows which half of the day a time is in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Half {
    /// It says so itself: am, pm, noon.
    Said,
    /// A clock of twenty-four hours: 18:00, 06:00.
    TwentyFour,
    /// As a clock of twenty-four hours would, and as one of twelve could: 11:30, 1045.
    Shaped,
    /// Nothing: 6.30.
    Open,
}

/// Words before a time that put it in doubt.
const ABOUT: &[&str] =
    &["about", "approx", "approx.", "approximately", "around", "abt", "c", "c.", "ca", "circa", "~", "by"];
/// Words beside a time that change nothing about it.
const BESIDE: &[&str] = &[
    "at", "daily", "every", "day", "weekdays", "weekday", "mon-fri", "mon", "-", "fri", "m-f", "latest", "the",
    "sharp", "o'clock", "oclock",
];

/// The time of a cell.
pub(super) fn clock(cell: &RawCell) -> Option<Clock> {
    let shown = |hours: f64| Clock { hours, about: false, half: Half::TwentyFour };
    match cell {
        RawCell::Moment(serial) => Some(shown(serial.rem_euclid(1.0) * 24.0)),
        RawCell::Number(number) if (0.0..1.0).contains(number) => Some(shown(number * 24.0)),
        RawCell::Number(number) => bare(*number),
        RawCell::Text(text) => clock_text(&folded(text)),
        _ => None,
    }
}

/// Hours after midnight, 0 to 24, of a cell that says a time of day.
pub(super) fn hours(cell: &RawCell) -> Option<f64> {
    clock(cell).map(|clock| clock.hours)
}

/// A number without a mark of time: 18 is an hour, 1830 is an hour and its minutes, 7.3 is what is left of 7.30.
fn bare(number: f64) -> Option<Clock> {
    let (hours, half) = if number.fract() == 0.0 && (0.0..=24.0).contains(&number) {
        (number, if number >= 13.0 || number == 0.0 { Half::TwentyFour } else { Half::Open })
    } else if number.fract() == 0.0 {
        let (hour, minute) = ((number / 100.0).floor(), number % 100.0);
        if !(0.0..=24.0).contains(&hour) || minute >= 60.0 {
            return None;
        }
        (hour + minute / 60.0, if hour >= 13.0 { Half::TwentyFour } else { Half::Open })
    } else {
        let hour = number.floor();
        // Hundredths that are plainly minutes or plainly parts of an hour; 7.5 may be half past or ten to.
        let minutes = match ((number - hour) * 100.0).round() as i32 {
            30 => 30.0,
            15 => 15.0,
            45 | 75 => 45.0,
            _ => return None,
        };
        (hour + minutes / 60.0, if hour >= 13.0 { Half::TwentyFour } else { Half::Open })
    };
    (0.0..=24.0).contains(&hours).then_some(Clock { hours, about: false, half })
}

fn clock_text(folded: &str) -> Option<Clock> {
    let said = |hours: f64| Some(Clock { hours, about: false, half: Half::Said });
    let text = folded.replace(['(', ')', ','], " ");
    let mut about = text.contains('~') || text.ends_with('?') || text.contains(" or so");
    let text = text.trim_end_matches('?').replace('~', " ").replace(" or so", " ");
    let mut core = String::new();
    for piece in text.split_whitespace() {
        let piece = piece.strip_suffix("ish").inspect(|_| about = true).unwrap_or(piece);
        if ABOUT.contains(&piece) {
            about = true;
        } else if !BESIDE.contains(&piece) {
            core.push_str(piece);
        }
    }
    let core = core.trim_end_matches("-ish").trim_end_matches('-');
    match core {
        "midnight" | "12midnight" | "12.00midnight" | "12:00midnight" => return said(24.0),
        "noon" | "midday" | "12noon" | "12midday" => return said(12.0),
        _ => {}
    }
    let (core, afternoon) = half_of(core);
    let mut clock = digits(core, afternoon.is_some())?;
    clock.about = about;
    if let Some(afternoon) = afternoon {
        clock.half = Half::Said;
        clock.hours = match afternoon {
            true if clock.hours < 12.0 => clock.hours + 12.0,
            false if (12.0..13.0).contains(&clock.hours) => clock.hours - 12.0,
            // "14:00 am" is no time.
            false if clock.hours >= 13.0 => return None,
            _ => clock.hours,
        };
    }
    (0.0..=24.0).contains(&clock.hours).then_some(clock)
}

/// The text before am or pm, and whether it is pm.
fn half_of(core: &str) -> (&str, Option<bool>) {
    for (ending, afternoon) in
        [("p.m.", true), ("p.m", true), ("pm", true), ("a.m.", false), ("a.m", false), ("am", false)]
    {
        if let Some(before) = core.strip_suffix(ending).or_else(|| core.strip_suffix('.')?.strip_suffix(ending)) {
            return (before, Some(afternoon));
        }
    }
    (core, None)
}

/// "18:30", "18.30", "18h30", "1830", "18:30:00", "18:00hrs", "6".
fn digits(core: &str, halved: bool) -> Option<Clock> {
    let (bare_core, hours_named) = ["hours", "hrs", "hr", "h"]
        .iter()
        .find_map(|word| core.strip_suffix(word).map(|before| (before.trim_end_matches('.'), *word)))
        .map_or((core, ""), |(before, word)| (before, word));
    let leading_nought = bare_core.starts_with('0') && bare_core.len() > 1;
    let is_number = |text: &str| !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit());
    // Two digits of the hour and two of the minute: the form that the survey asks for.
    let shaped = bare_core.len() == 4 && is_number(bare_core) || bare_core.len() >= 5 && bare_core.contains(':');
    let clock = |hour: f64, minute: f64| {
        let half = match hour {
            _ if hour >= 13.0 || hour == 0.0 || leading_nought => Half::TwentyFour,
            _ if hour >= 10.0 && shaped => Half::Shaped,
            _ => Half::Open,
        };
        (minute < 60.0 && hour <= 24.0).then_some(Clock { hours: hour + minute / 60.0, about: false, half })
    };
    if is_number(bare_core) {
        // "8 hrs" and "24hr" are how long, "0800 hrs" is when; "18h" is written elsewhere for 18:00.
        let lasts = matches!(hours_named, "hours" | "hrs" | "hr") && bare_core.len() < 3;
        let number: f64 = bare_core.parse().ok().filter(|_| bare_core.len() <= 4 && !lasts)?;
        return match bare_core.len() {
            1 | 2 => clock(number, 0.0),
            _ => clock((number / 100.0).floor(), number % 100.0),
        };
    }
    let (hour, rest) = bare_core.split_once([':', '.', 'h'])?;
    if !is_number(hour) || hour.len() > 2 {
        return None;
    }
    let hour_number: f64 = hour.parse().ok()?;
    let (minute, seconds) = rest.split_once([':', '.']).map_or((rest, ""), |(minute, seconds)| (minute, seconds));
    if !(seconds.is_empty() || is_number(&seconds.replace('.', ""))) || !is_number(minute) {
        return None;
    }
    match minute.len() {
        2 => clock(hour_number, minute.parse().ok()?),
        // A programme that takes 7.30 for a number leaves 7.3 of it; of other digits nobody can tell.
        1 if bare_core.contains('.') && !halved => bare(format!("{hour}.{minute}").parse().ok()?),
        1 if minute == "3" && bare_core.contains('.') => clock(hour_number, 30.0),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn text(written: &str) -> Option<Clock> {
        clock(&RawCell::Text(written.to_owned()))
    }

    #[test]
    fn times_as_people_write_them() {
        for (written, expected) in [
            ("18:00", 18.0),
            ("6pm", 18.0),
            ("6.30 pm", 18.5),
            ("7.30pm", 19.5),
            ("7:30 P.M.", 19.5),
            ("630pm", 18.5),
            ("18.30", 18.5),
            ("1830", 18.5),
            ("1830 hrs", 18.5),
            ("18:00hrs", 18.0),
            ("18", 18.0),
            ("0600", 6.0),
            ("6 o'clock", 6.0),
            ("12am", 0.0),
            ("12 pm", 12.0),
            ("midnight", 24.0),
            ("12 midnight", 24.0),
            ("12 noon", 12.0),
            ("17h30", 17.5),
            ("18h", 18.0),
            ("18:30:00", 18.5),
            ("24:00", 24.0),
            ("6pm weekdays", 18.0),
            ("Mon-Fri 18:00", 18.0),
            ("7.3", 7.5),
        ] {
            assert_eq!(text(written).map(|clock| clock.hours), Some(expected), "{written}");
        }
        assert_eq!(hours(&RawCell::Moment(0.75)), Some(18.0));
        assert_eq!(hours(&RawCell::Number(0.25)), Some(6.0));
        assert_eq!(hours(&RawCell::Number(7.3)), Some(7.5));
        assert_eq!(hours(&RawCell::Number(7.5)), None);
        for wrong in [
            "late",
            "25:00",
            "18:75",
            "evenings",
            "9999",
            "17:3",
            "17:30-18:30",
            "5-6pm",
            "after 6",
            "half 6",
            "quarter past 6",
            "24hr",
            "8 hrs",
            "22:15 (23:00 Fri)",
            "19.5",
            "14:00 am",
        ] {
            assert_eq!(text(wrong), None, "{wrong}");
        }
    }

    #[test]
    fn the_half_of_the_day_is_shown_or_open() {
        for (written, half) in [
            ("6pm", Half::Said),
            ("06:00", Half::TwentyFour),
            ("0730", Half::TwentyFour),
            ("18", Half::TwentyFour),
            ("00:30", Half::TwentyFour),
            ("6.30", Half::Open),
            ("6", Half::Open),
            ("730", Half::Open),
            ("12:15", Half::Shaped),
            ("1045", Half::Shaped),
            ("11.30", Half::Open),
            ("11", Half::Open),
        ] {
            assert_eq!(text(written).map(|clock| clock.half), Some(half), "{written}");
        }
        for about in ["about 6pm", "~18:00", "c. 18:00", "6pm ish", "6pmish", "by 7pm", "18:00?"] {
            assert!(text(about).is_some_and(|clock| clock.about), "{about}");
        }
    }
}
