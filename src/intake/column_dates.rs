//! Dates that only their whole column can tell: the order of day and month where both give a date, and a day that
//! cannot have come yet. There is no clock: the day of the assessment tells where it is given, else the other dates of
//! the column do.

use super::dates::{Order, order};
use super::gather::Table;
use super::rows::Plan;
use super::slots::Slot;
use super::types::ReadOptions;
use super::values::ColumnPlan;
use super::whole_columns::{cell, say};
use crate::site::{Answer, Reading, Site, WhyUnknown};
use jiff::ToSpan;
use jiff::civil::Date;

/// Fewest dates of a column that tell anything of one of them (design rule).
const FEWEST_DATES: usize = 4;
/// Share of a column's newest dates that may be slips: one in so many, and always one (design rule).
const SLIPS_ONE_IN: usize = 10;
/// Days by which a date must stand after the others, or after the assessment, to be a slip (design rule).
const APART_DAYS: i64 = 366;

type Place = fn(&mut Site) -> &mut Reading<Date>;

/// Settles every such cell of the table.
pub(super) fn settle(table: &mut Table, plan: &Plan, options: &ReadOptions) {
    for column in plan.columns() {
        let (Slot::Day(reading), Some(place)) = (column.slot, plan.place(column.index)) else { continue };
        orders(table, column, place, reading);
        not_yet(table, column, (place, reading), options);
    }
}

/// Puts in doubt what is a date in both orders, where the column holds dates with the month first.
fn orders(table: &mut Table, column: &ColumnPlan, place: usize, reading: Place) {
    let (mut day_first, mut month_first) = (0_usize, 0_usize);
    let mut either: Vec<(usize, Date, Date)> = Vec::new();
    for at in 0..table.sites.len() {
        match order(cell(table, at, place)) {
            Some(Order::DayFirst) => day_first += 1,
            Some(Order::MonthFirst) => month_first += 1,
            Some(Order::Either(one, other)) => either.push((at, one, other)),
            None => {}
        }
    }
    if month_first == 0 {
        return;
    }
    let message = format!(
        "It is a date in both orders; in this column {day_first} can only be read day first and {month_first} month first."
    );
    for (at, day, month) in either {
        let Some(site) = table.sites.get_mut(at) else { continue };
        let (low, high) = (day.min(month), day.max(month));
        let answer = match day_first.cmp(&month_first) {
            std::cmp::Ordering::Greater => Answer::Doubtful { low, likely: day, high },
            std::cmp::Ordering::Less => Answer::Doubtful { low, likely: month, high },
            std::cmp::Ordering::Equal => Answer::Unknown(WhyUnknown::NotUnderstood),
        };
        let understood = match &answer {
            Answer::Doubtful { likely, .. } => format!("{likely}, {low} or {high}"),
            _ => "not known".to_owned(),
        };
        reading(site).answer = answer;
        say(table, (at, place), column, &understood, &message);
    }
}

/// Does not believe a day that cannot have come yet.
fn not_yet(table: &mut Table, column: &ColumnPlan, (place, reading): (usize, Place), options: &ReadOptions) {
    let dated: Vec<(usize, Date)> = table
        .sites
        .iter_mut()
        .enumerate()
        .filter_map(|(at, site)| Some((at, reading(site).likely().copied()?)))
        .collect();
    let of_column = last_of_the_others(dated.iter().map(|(_, date)| *date).collect());
    let believed_until = of_column.map(|last| options.current_until.map_or(last, |day| day.max(last)));
    for (at, date) in dated {
        let after = options.as_of.filter(|as_of| date > *as_of);
        let far = |from: Date| from.checked_add(APART_DAYS.days()).is_ok_and(|last| date > last);
        let (answer, understood, message) = match (after, believed_until) {
            (Some(as_of), _) if far(as_of) => (
                Answer::Unknown(WhyUnknown::NotUnderstood),
                "not known".to_owned(),
                format!("{date} is long after the day of the assessment, {as_of}: a slip."),
            ),
            (Some(as_of), _) => (
                Answer::Doubtful { low: as_of, likely: date, high: date },
                format!("{date}, with a doubt"),
                format!(
                    "{date} is after the day of the assessment, {as_of}: a slip, or the assessment is of an earlier day."
                ),
            ),
            (None, Some(last)) if options.as_of.is_none() && date > last => (
                Answer::Unknown(WhyUnknown::NotUnderstood),
                "not known".to_owned(),
                format!(
                    "{date} is long after the other dates of this column: a slip, or give the day of the assessment."
                ),
            ),
            _ => continue,
        };
        if let Some(site) = table.sites.get_mut(at) {
            reading(site).answer = answer;
        }
        say(table, (at, place), column, &understood, &message);
    }
}

/// The last day that is believed by the dates of a column: as far after all but its newest few as those lie apart, and
/// at least a year. `None` where there are too few to tell.
fn last_of_the_others(mut dates: Vec<Date>) -> Option<Date> {
    if dates.len() < FEWEST_DATES {
        return None;
    }
    dates.sort_unstable();
    let slips = (dates.len() / SLIPS_ONE_IN).max(1);
    let (first, last) = (*dates.first()?, *dates.get(dates.len().checked_sub(slips + 1)?)?);
    let spread = i64::from(first.until(last).ok()?.get_days());
    last.checked_add(spread.max(APART_DAYS).days()).ok()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::intake::{Intake, read_bytes};
    use jiff::civil::date;

    fn read(dates: &[&str], options: &ReadOptions) -> Intake {
        let mut text = "address,cutout_rating_a,parking_distance_m,existing_demand_kw,survey_date\n".to_owned();
        for (at, cell) in dates.iter().enumerate() {
            text.push_str(&format!("{} Mill Lane,80,{},5,{cell}\n", at + 1, at + 10));
        }
        read_bytes(text.as_bytes(), "Returns.csv", options).unwrap()
    }

    fn answer(intake: &Intake, at: usize) -> Answer<Date> {
        intake.sites[at].identity.survey_date.answer.clone()
    }

    const SLIP: Answer<Date> = Answer::Unknown(WhyUnknown::NotUnderstood);

    #[test]
    fn a_day_long_after_the_others_is_a_slip_and_is_not_the_newest_date() {
        let dates = ["03/02/2026", "09/03/2026", "17/05/2026", "25/11/2062", "20/06/2026"];
        let intake = read(&dates, &ReadOptions::default());
        assert_eq!(answer(&intake, 3), SLIP);
        assert_eq!(intake.newest_date, Some(date(2026, 6, 20)));
        assert!(intake.notes.iter().any(|note| note.row == 5 && note.message.contains("long after")));
        // A survey made again years later is none, as far as prices and rules are of that time.
        let dates = ["03/02/2019", "09/03/2019", "17/05/2019", "25/02/2026"];
        let current = ReadOptions { current_until: Some(date(2027, 12, 31)), ..ReadOptions::default() };
        assert_eq!(answer(&read(&dates, &current), 3), Answer::Stated(date(2026, 2, 25)));
        // Few dates, or dates of many years, tell nothing.
        let few = read(&["03/02/2019", "25/02/2026"], &ReadOptions::default());
        assert_eq!(answer(&few, 1), Answer::Stated(date(2026, 2, 25)));
        let wide = read(&["03/02/2015", "09/03/2018", "17/05/2022", "25/02/2026"], &ReadOptions::default());
        assert_eq!(answer(&wide, 3), Answer::Stated(date(2026, 2, 25)));
    }

    #[test]
    fn no_survey_is_made_after_the_day_of_the_assessment() {
        let options = ReadOptions { as_of: Some(date(2026, 11, 25)), ..ReadOptions::default() };
        let intake = read(&["25/11/2026", "26/11/2026", "26/11/2028"], &options);
        assert_eq!(answer(&intake, 0), Answer::Stated(date(2026, 11, 25)));
        let day = date(2026, 11, 26);
        assert_eq!(answer(&intake, 1), Answer::Doubtful { low: date(2026, 11, 25), likely: day, high: day });
        assert_eq!(answer(&intake, 2), SLIP);
        assert_eq!(intake.notes.iter().filter(|note| note.field == "survey_date").count(), 2);
    }

    #[test]
    fn the_order_of_day_and_month_is_that_of_the_column() {
        let usual = read(&["25/11/2026", "03/04/2026"], &ReadOptions::default());
        assert_eq!(answer(&usual, 1), Answer::Stated(date(2026, 4, 3)));
        let (low, high) = (date(2026, 3, 4), date(2026, 4, 3));
        let other = read(&["11/25/2026", "03/04/2026", "03/14/2026"], &ReadOptions::default());
        assert_eq!(answer(&other, 1), Answer::Doubtful { low, likely: low, high });
        let mixed = read(&["25/11/2026", "03/04/2026", "11/25/2026", "26/11/2026"], &ReadOptions::default());
        assert_eq!(answer(&mixed, 1), Answer::Doubtful { low, likely: high, high });
        let even = read(&["25/11/2026", "03/04/2026", "11/25/2026"], &ReadOptions::default());
        assert_eq!(answer(&even, 1), SLIP);
    }
}
