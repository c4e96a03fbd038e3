//! The rows of a sheet as a table of the file format: filters, and columns that a formula can name.

use super::formats::Formats;
use super::grid::{Heading, Sheet};
use rust_xlsxwriter::{Table, TableColumn, TableStyle};
use std::collections::BTreeSet;

/// Cells up to which a sheet is a table: the library keeps a note of each cell of a table, and this many of them take
/// some 40 MB. A longer sheet has its filters without being one.
const GREATEST_TABLE: usize = 1_000_000;
/// Characters (UTF-16 units) that the heading of a table may have.
const GREATEST_TABLE_HEADING: usize = 255;

/// Whether the rows can be a table of the file format: it has rows, not too many of them, and headings of which each is
/// a name by itself. The user's own headings may be otherwise, and are never changed.
pub(super) fn can_be_table(sheet: &Sheet<'_>) -> bool {
    let mut seen = BTreeSet::new();
    let is_name = |title: &str| {
        !title.trim().is_empty()
            && title.encode_utf16().count() <= GREATEST_TABLE_HEADING
            && !title.contains(char::is_control)
    };
    sheet.rows.in_table > 0
        && sheet.rows.in_table.saturating_mul(sheet.headings.len()) <= GREATEST_TABLE
        && sheet.headings.iter().all(|heading| is_name(&heading.title) && seen.insert(heading.title.to_lowercase()))
}

/// The table of a sheet: its headings as the workbook has them everywhere, no stripes; named after the sheet, so that a
/// formula can say `Materials_rows[Quantity]`.
pub(super) fn table(sheet: &Sheet<'_>, formats: &Formats) -> Table {
    let column = |heading: &Heading<'_>| {
        TableColumn::new()
            .set_header(heading.title.as_ref())
            .set_header_format(formats.heading(heading.form, heading.folds))
    };
    let columns: Vec<TableColumn> = sheet.headings.iter().map(column).collect();
    Table::new().set_name(table_name(sheet.name)).set_style(TableStyle::None).set_columns(&columns)
}

/// The name of the table on a sheet.
pub(super) fn table_name(sheet: &str) -> String {
    format!("{}_rows", sheet.replace(' ', "_"))
}
