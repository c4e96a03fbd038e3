//! When a site is installed and when its operator must have heard: whole days, and working days from Monday to Friday.
//! Bank holidays are not known here, so a day may come a little later than it stands.

use super::route::Told;
use super::types::{Dates, Route};
use crate::design::Facts;
use crate::reference::{Asked, operator_time};
use crate::rules::Rules;
use crate::site::{Metering, Site};
use crate::verdict::Judgement;
use jiff::ToSpan;
use jiff::civil::{Date, Weekday};

/// What the operator is asked first; `None` where it is only notified.
pub(super) fn asked(site: &Site, facts: &Facts, told: &Told) -> Option<Asked> {
    match told.route {
        Route::Notify => told.engage_early.then_some(Asked::EarlyWord),
        Route::AskFirst | Route::Apply => Some(if told.rules.contains(&"R12") {
            Asked::Connection
        } else if site.supply.metering.is(Metering::HighVoltage) {
            Asked::HighVoltage
        } else if facts.ct_metered {
            Asked::CurrentTransformer
        } else if facts.premises.is_home() {
            Asked::Home
        } else {
            Asked::WholeCurrent
        }),
    }
}

/// The dates of a row. Without a programme's date the site is installed once all it waits for is settled, and the weeks
/// of the rules after that.
pub(super) fn dates(
    as_of: Date,
    planned: Option<Date>,
    judgement: &Judgement,
    told: &Told,
    asked: Option<Asked>,
    rules: &Rules,
) -> Dates {
    let wait_weeks = judgement.weeks.map_or(0, |weeks| weeks.likely);
    let weeks = i64::from(wait_weeks) + i64::from(rules.operator.weeks_after_acceptance);
    let planned = planned.or_else(|| days_after(as_of, 7 * weeks));
    let time = asked.map(operator_time);
    let notified = told.route == Route::Notify;
    Dates {
        planned,
        // Where that day is past, the day of the run is the last that is left.
        apply_by: time
            .zip(planned)
            .and_then(|(time, day)| working_days_before(day, time.high))
            .map(|day| day.max(as_of)),
        answer_by: time.and_then(|time| working_days_after(as_of, time.likely)),
        notify_by: planned
            .filter(|_| notified)
            .and_then(|day| days_after(day, rules.operator.notify_within_days.into())),
    }
}

fn days_after(day: Date, days: i64) -> Option<Date> {
    day.checked_add(days.days()).ok()
}

fn is_working(day: Date) -> bool {
    !matches!(day.weekday(), Weekday::Saturday | Weekday::Sunday)
}

/// The day that many working days after a day, which itself counts for none.
fn working_days_after(day: Date, count: u16) -> Option<Date> {
    step(day, count, |day| day.tomorrow().ok())
}

/// The day that many working days before a day, which itself counts for none.
fn working_days_before(day: Date, count: u16) -> Option<Date> {
    step(day, count, |day| day.yesterday().ok())
}

fn step(mut day: Date, count: u16, next: impl Fn(Date) -> Option<Date>) -> Option<Date> {
    let mut left = count;
    while left > 0 {
        day = next(day)?;
        left -= u16::from(is_working(day));
    }
    Some(day)
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    /// Counted on a calendar: 25 November 2026 is a Wednesday.
    #[test]
    fn working_days_leave_out_saturdays_and_sundays() {
        let wednesday = date(2026, 11, 25);
        for (count, day) in [(0, (11, 25)), (1, (11, 26)), (2, (11, 27)), (3, (11, 30)), (5, (12, 2)), (10, (12, 9))] {
            assert_eq!(working_days_after(wednesday, count), Some(date(2026, day.0, day.1)), "{count}");
        }
        for (count, day) in [(1, (11, 24)), (2, (11, 23)), (3, (11, 20)), (8, (11, 13))] {
            assert_eq!(working_days_before(wednesday, count), Some(date(2026, day.0, day.1)), "{count}");
        }
        // KnownBy a Sunday the first working day is Monday, and before it Friday.
        assert_eq!(working_days_after(date(2026, 11, 29), 1), Some(date(2026, 11, 30)));
        assert_eq!(working_days_before(date(2026, 11, 29), 1), Some(date(2026, 11, 27)));
    }

    #[test]
    fn there_and_back_is_the_same_working_day_and_the_calendar_ends_without_a_panic() {
        for offset in 0..40_i64 {
            let day = days_after(date(2026, 1, 5), offset).expect("a day");
            for count in [1, 4, 5, 21, 65] {
                let there = working_days_after(day, count).expect("a day");
                let back = working_days_before(there, count).expect("a day");
                assert!(is_working(there) && back <= day && (!is_working(day) || back == day), "{day} {count}");
            }
        }
        assert_eq!(working_days_after(Date::MAX, 1), None);
        assert_eq!(working_days_before(Date::MIN, 1), None);
        assert_eq!(days_after(Date::MAX, 1), None);
    }
}
