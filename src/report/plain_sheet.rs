//! Sheets as delimited text, with the headings of the workbook: the order schedule, the cutting list
//! and the schedules for the operators.

use super::flat::guarded;
use super::grid::{Cell, Sheet, verdict_word};
use super::{Run, cutting, operators, order};
use crate::operators::Table;
use std::io::{self, Write};

/// Writes the order schedule as comma-separated text.
///
/// # Errors
/// When the writer fails.
pub fn write_order_csv(run: &Run<'_>, writer: impl Write) -> io::Result<()> {
    write(order::sheet(run), writer)
}

/// Writes the cutting list as comma-separated text.
///
/// # Errors
/// When the writer fails.
pub fn write_cutting_csv(run: &Run<'_>, writer: impl Write) -> io::Result<()> {
    write(cutting::sheet(run), writer)
}

/// Writes the schedule for one operator as comma-separated text, every site of it.
///
/// # Errors
/// When the writer fails.
pub fn write_operator_csv(run: &Run<'_>, table: &Table, writer: impl Write) -> io::Result<()> {
    write(operators::sheet(run, table, usize::MAX), writer)
}

/// The sheet in UTF-8, with the mark by which spreadsheet programs know the encoding.
fn write(sheet: Sheet<'_>, mut writer: impl Write) -> io::Result<()> {
    writer.write_all("\u{feff}".as_bytes())?;
    let columns = sheet.headings.len();
    let mut csv = csv::Writer::from_writer(writer);
    csv.write_record(sheet.headings.iter().map(|heading| heading.title.as_bytes()))?;
    for mut row in sheet.rows {
        row.resize(columns, Cell::Blank);
        csv.write_record(row.iter().map(plain))?;
    }
    csv.flush()
}

fn plain(cell: &Cell<'_>) -> String {
    match cell {
        Cell::Blank => String::new(),
        Cell::Text(text) | Cell::Link { text, .. } => guarded(text).into_owned(),
        Cell::Number(number) | Cell::Percent(number) | Cell::Formula { shown: number, .. } if !number.is_finite() => {
            String::new()
        }
        Cell::Number(number) | Cell::Formula { shown: number, .. } => crate::quantity::round_to(*number, 3).to_string(),
        Cell::Percent(share) => crate::quantity::round_to(*share, 4).to_string(),
        Cell::Int(number) => number.to_string(),
        Cell::Lines { lines, .. } => lines.to_string(),
        Cell::Money(pence) => format!("{:.2}", pence.pounds()),
        Cell::Date(date) => date.to_string(),
        Cell::Verdict(verdict, marked) => verdict_word(*verdict, *marked).to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::fixture::Fixture;

    #[test]
    fn a_line_a_row_under_the_headings_and_no_formula() {
        let mut fixture = Fixture::new(40);
        for site in &mut fixture.portfolio.sites {
            site.judgement.brief.address = "=1+1".into();
        }
        let run = fixture.run();
        let mut bytes = Vec::new();
        write_cutting_csv(&run, &mut bytes).expect("written");
        let text = String::from_utf8(bytes).expect("UTF-8");
        assert!(text.starts_with("\u{feff}Cable,Drum,"), "{text}");
        let pieces: u32 = run.order.cables.iter().map(|cable| cable.pieces).sum();
        assert_eq!(text.lines().count(), pieces as usize + 1);
        assert!(text.contains(",'=1+1,"));
        let mut bytes = Vec::new();
        write_order_csv(&run, &mut bytes).expect("written");
        let rows = run.order.items.len();
        assert_eq!(String::from_utf8(bytes).expect("UTF-8").lines().count(), rows + 3);
    }
}
