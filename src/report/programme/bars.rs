//! Sheet Crews by week: a row for each crew at each place, and the days of each week drawn as bars. Bars are text, so that
//! they print in black and white and can be copied.

use super::super::Run;
use super::super::grid::{Cell, Form, Heading, Paper, Row, Rows, Sheet, folded, heading, names};
use super::words::trade_words;
use crate::programme::{Programme, Stay, stays, weeks};

/// Columns of bars at most; a longer programme has several weeks in each.
const MOST_COLUMNS: usize = 60;

/// The sheet.
pub(in crate::report) fn sheet<'a>(run: &'a Run<'a>, programme: &'a Programme) -> Sheet<'a> {
    let plan = &programme.planned.plan;
    let weeks = weeks(plan, &programme.laid);
    let a_column = weeks.len().div_ceil(MOST_COLUMNS).max(1);
    let mut headings: Vec<Heading<'a>> = vec![
        heading("Crew", 14.0, Form::Text),
        heading("Place", 15.0, Form::Text),
        heading("From", 11.0, Form::Date),
        heading("To", 11.0, Form::Date),
        heading("Visits", 7.0, Form::Whole),
        heading("Days", 7.0, Form::Hundredths),
        folded("Trade", 34.0, Form::Text),
    ];
    let monday = |at: usize| weeks.get(at * a_column).map(|week| week.monday.strftime("%-d %b").to_string());
    let columns = weeks.len().div_ceil(a_column);
    headings.extend((0..columns).filter_map(monday).map(|day| heading(day, 6.6, Form::Text)));
    let row = move |stay: Stay| -> Row<'a> {
        let crew = plan.crews.get(stay.crew);
        let quarters: u32 = stay.quarters.values().sum();
        let mut cells: Row<'a> = vec![
            crew.map_or("", |crew| crew.name.as_str()).into(),
            plan.places.get(stay.place).map_or("", |place| place.name.as_str()).into(),
            Cell::Date(stay.first),
            Cell::Date(stay.last),
            stay.visits.into(),
            (f64::from(quarters) / 4.0).into(),
            crew.map_or_else(String::new, |crew| trade_words(run, programme, crew.trade)).into(),
        ];
        cells.extend((0..columns).map(|at| {
            let own =
                stay.quarters.range(at * a_column..(at + 1) * a_column).map(|(_, quarters)| quarters).sum::<u32>();
            Cell::from(bar(own, a_column))
        }));
        cells
    };
    Sheet {
        name: names::CREWS_BY_WEEK,
        subject: if a_column > 1 {
            "Crews by week: several weeks a column, a block for as many days"
        } else {
            "Crews by week: a block is a day"
        },
        headings,
        frozen: 2,
        printed: None,
        paper: Paper::A3,
        rows: Rows::few(stays(plan, &programme.laid).into_iter().map(row)),
    }
}

/// A bar of so many quarters of a day, a block for a day in each week of its column.
fn bar(quarters: u32, weeks: usize) -> String {
    let a_block = 4 * u32::try_from(weeks).unwrap_or(u32::MAX).max(1);
    let part = match quarters % a_block * 4 / a_block {
        0 if quarters > 0 && quarters < a_block => "▎",
        0 => "",
        1 => "▎",
        2 => "▌",
        _ => "▊",
    };
    "█".repeat((quarters / a_block) as usize) + part
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_bar_is_a_block_a_day_and_its_quarters() {
        assert_eq!(bar(0, 1), "");
        assert_eq!(bar(20, 1), "█████");
        assert_eq!([bar(5, 1), bar(6, 1), bar(7, 1)], ["█▎", "█▌", "█▊"]);
        assert_eq!(bar(1, 4), "▎", "nothing that is worked is left undrawn");
        assert_eq!(bar(20, 4), "█▎");
    }
}
