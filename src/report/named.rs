//! Names of cells, defined for the whole workbook: a formula can say `ready_sites` instead of a place.

use super::page::Page;
use rust_xlsxwriter::{Workbook, XlsxError};

/// A name of the workbook for cells of a sheet.
pub(super) fn define(
    workbook: &mut Workbook,
    name: &str,
    sheet: &str,
    (top, left): (u32, u16),
    (bottom, right): (u32, u16),
) -> Result<(), XlsxError> {
    let cell = |row: u32, column: u16| format!("${}${}", letters(column), row + 1);
    let first = cell(top, left);
    let range = match (top, left) == (bottom, right) {
        true => first,
        false => format!("{first}:{}", cell(bottom, right)),
    };
    workbook.define_name(name, &format!("='{sheet}'!{range}")).map(drop)
}

/// A column as spreadsheet programs name it.
pub(super) fn letters(column: u16) -> String {
    let (before, letter) = (column / 26, char::from(b'A' + (column % 26) as u8));
    if before == 0 { letter.to_string() } else { format!("{}{letter}", letters(before - 1)) }
}

/// Names of the cells that a page has named.
///
/// # Errors
/// When the library refuses a name.
pub(super) fn define_of_page(workbook: &mut Workbook, sheet: &str, page: &Page<'_>) -> Result<(), XlsxError> {
    for (name, line, column) in &page.names {
        let Ok(row) = u32::try_from(*line) else { continue };
        define(workbook, name, sheet, (row, *column), (row, *column))?;
    }
    Ok(())
}
