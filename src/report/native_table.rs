//! The rows of a sheet as a table of the file format: filters, and columns that a formula can name.

use super::formats::Formats;
use super::grid::{Heading, Sheet};
use super::jump::attribute_holds;
use rust_xlsxwriter::{Table, TableColumn, TableStyle};
use std::collections::BTreeSet;

/// Cells up to which a sheet is a table: the library keeps a note of each cell of a table, and this many of them take
/// some 40 MB. A longer sheet has its filters without being one.
const GREATEST_TABLE: usize = 1_000_000;
/// Characters (UTF-16 units) that the heading of a table may have.
const GREATEST_TABLE_HEADING: usize = 255;

/// Whether the rows can be a table of the file format: it has rows, not too many of them, and headings of which each is
/// a name by itself, the same to every reader. The user's own headings may be otherwise, and are never changed.
pub(super) fn can_be_table(sheet: &Sheet<'_>) -> bool {
    let mut seen = BTreeSet::new();
    let is_name = |title: &str| {
        !title.trim().is_empty()
            && title.encode_utf16().count() <= GREATEST_TABLE_HEADING
            && title.chars().all(attribute_holds)
            && !looks_escaped(title)
    };
    sheet.rows.in_table > 0
        && sheet.rows.in_table.saturating_mul(sheet.headings.len()) <= GREATEST_TABLE
        && sheet.headings.iter().all(|heading| is_name(&heading.title) && seen.insert(heading.title.to_lowercase()))
}

/// Whether a heading holds what readers take for an escape (`_x0041_` for A): the library escapes it in the cell and not
/// in the table, and the two would have other names.
fn looks_escaped(title: &str) -> bool {
    title.match_indices("_x").any(|(at, mark)| {
        let rest = title.as_bytes().get(at + mark.len()..).unwrap_or_default();
        rest.get(4) == Some(&b'_') && rest.iter().take(4).all(u8::is_ascii_hexdigit)
    })
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::grid::{Form, Paper, Rows, heading};

    #[test]
    fn headings_that_are_no_names_by_themselves_make_no_table() {
        let with = |titles: &[&'static str]| {
            can_be_table(&Sheet {
                name: "As read",
                subject: "",
                headings: titles.iter().map(|title| heading(*title, 9.0, Form::Text)).collect(),
                frozen: 0,
                printed: None,
                paper: Paper::A4,
                rows: Rows::few([Vec::new()]),
            })
        };
        assert!(with(&["Row", "=1+1", "a[b]", "</t>", "_x004_", "_x0041", "_xéé_", "_x"]));
        for title in ["row", " ", "a\nb", "\u{1}", "a\u{FFFE}", "_x0041_", "é _x005f_ é"] {
            assert!(!with(&["Row", title]), "{title:?}");
        }
    }
}
