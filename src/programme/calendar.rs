//! Working days put one after the other and cut into quarters, so that a run over a weekend is still one run.
//!
//! It knows Saturdays, Sundays and the days that it is told are closed; whose days they are it does not.

use super::types::Moment;
use jiff::civil::{Date, Weekday};

/// Quarters of a working day.
const QUARTERS_A_DAY: usize = 4;

/// Whether anybody works on a day: Monday to Friday, and not among the closed days, which ascend.
pub(super) fn is_worked(date: Date, closed: &[Date]) -> bool {
    !matches!(date.weekday(), Weekday::Saturday | Weekday::Sunday) && closed.binary_search(&date).is_err()
}

/// The working days from one day to another. A quarter is counted from the first quarter of the first of them.
#[derive(Clone, Debug, Default)]
pub(super) struct Calendar {
    days: Vec<Date>,
}

impl Calendar {
    /// The working days of `from` to `to`, both included.
    pub(super) fn new(from: Date, to: Date, closed: &[Date]) -> Self {
        let mut closed = closed.to_vec();
        closed.sort_unstable();
        let mut days = Vec::new();
        let mut next = (from <= to).then_some(from);
        while let Some(date) = next {
            if is_worked(date, &closed) {
                days.push(date);
            }
            next = date.tomorrow().ok().filter(|date| *date <= to);
        }
        Self { days }
    }

    /// The first quarter that is worked on the day or after it; that after the last one where there is none.
    pub(super) fn begin(&self, date: Date) -> usize {
        QUARTERS_A_DAY * self.days.partition_point(|day| *day < date)
    }

    /// The quarter after the last one that is worked on the day or before it.
    pub(super) fn end(&self, date: Date) -> usize {
        QUARTERS_A_DAY * self.days.partition_point(|day| *day <= date)
    }

    /// When a quarter is; `None` beyond the last day.
    pub(super) fn moment(&self, quarter: usize) -> Option<Moment> {
        let date = *self.days.get(quarter / QUARTERS_A_DAY)?;
        Some(Moment { date, quarter: u8::try_from(quarter % QUARTERS_A_DAY).ok()? })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    #[test]
    fn a_weekend_and_a_closed_day_lie_between_two_quarters_in_a_row() {
        // 24 December 2026 is a Thursday; the 25th and the 28th are closed.
        let closed = [date(2026, 12, 28), date(2026, 12, 25)];
        let calendar = Calendar::new(date(2026, 12, 24), date(2026, 12, 31), &closed);
        assert_eq!(calendar.moment(3), Some(Moment { date: date(2026, 12, 24), quarter: 3 }));
        assert_eq!(calendar.moment(4), Some(Moment { date: date(2026, 12, 29), quarter: 0 }));
        assert_eq!(calendar.begin(date(2026, 12, 26)), 4);
        assert_eq!(calendar.end(date(2026, 12, 27)), 4);
        assert_eq!(calendar.end(date(2026, 12, 29)), 8);
        assert_eq!(calendar.begin(date(2027, 1, 1)), 16);
        assert_eq!(calendar.moment(16), None);
    }

    #[test]
    fn from_after_to_and_the_last_day_of_all_have_an_end() {
        assert_eq!(Calendar::new(date(2026, 1, 2), date(2026, 1, 1), &[]).end(date(2026, 1, 2)), 0);
        assert_eq!(Calendar::new(Date::MAX, Date::MAX, &[]).end(Date::MAX), 4);
    }
}
