//! The sheets of the template beside the survey: vehicles by site, half-hours by kind of day, feeders, outcomes. Their
//! columns are those that the reader knows (`side_sheets.csv`); left empty they are as if they were not there.

use crate::intake::side_sheets::{Known, known};
use rust_xlsxwriter::{Format, FormatBorder, Note, Workbook, Worksheet, XlsxError};

/// Adds the four sheets.
pub(super) fn write_side_sheets(book: &mut Workbook) -> Result<(), XlsxError> {
    for (name, word) in [("Fleet", "fleet"), ("Feeders", "feeders"), ("Outcomes", "outcomes")] {
        let sheet = book.add_worksheet();
        sheet.set_name(name)?;
        for (column, one) in (0..).zip(known().iter().filter(|one| one.sheet == word)) {
            heading(sheet, column, one.name, one.needed)?;
            sheet.insert_note(0, column, &Note::new(help(one)))?;
        }
        sheet.set_freeze_panes(1, 2)?;
    }
    let sheet = book.add_worksheet();
    sheet.set_name("Profiles")?;
    for (column, title) in ["site_id", "day_type", "unit"].into_iter().enumerate() {
        heading(sheet, column as u16, title, column == 0)?;
    }
    let words = "A date, or a kind of day such as weekday, saturday, sunday, winter: a line each, in kW, kWh or kVA.";
    sheet.insert_note(0, 1, &Note::new(words))?;
    for half_hour in 0..48_u16 {
        heading(sheet, 3 + half_hour, &format!("{:02}:{:02}", half_hour / 2, half_hour % 2 * 30), false)?;
    }
    sheet.set_freeze_panes(1, 2)?;
    Ok(())
}

fn heading(sheet: &mut Worksheet, column: u16, title: &str, needed: bool) -> Result<(), XlsxError> {
    let format = Format::new().set_border_bottom(FormatBorder::Thin);
    let format = if needed { format.set_bold() } else { format };
    sheet.write_string_with_format(0, column, title, &format)?;
    sheet.set_column_width(column, f64::from(u32::try_from(title.len()).unwrap_or(8) + 3))?;
    Ok(())
}

/// What a column takes, in a sentence.
fn help(one: &Known) -> String {
    let needed = if one.needed { "Needed. " } else { "May be left open. " };
    format!("{needed}{}", one.meaning)
}
