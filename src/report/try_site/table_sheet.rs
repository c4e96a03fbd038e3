//! The sheet "Try tables": every figure and table that the formulas name, one under the other, each with its source.

use super::book::Book;
use super::evaluate::Value;
use super::sheet::Place;
use super::styles::Styles;
use crate::report::grid::names;
use crate::report::writer::PageMarks;
use rust_xlsxwriter::{Format, Worksheet, XlsxError};

/// Columns of the block of figures.
const FIGURE_COLUMNS: usize = 5;

/// The sheet, and what its names stand for.
pub(super) fn sheet(book: &Book<'_>, marks: &PageMarks) -> Result<(Worksheet, Vec<(String, Place)>), XlsxError> {
    let mut worksheet = Worksheet::new();
    let styles = Styles::new();
    let cell = styles.cell();
    let mut places = Vec::new();
    worksheet.set_name(names::TRY_TABLES)?;
    worksheet.set_column_width(0, 46.0)?;
    worksheet.set_column_range_width(1, 2, 18.0)?;
    worksheet.set_column_width(3, 38.0)?;
    worksheet.set_column_range_width(4, 40, 11.0)?;
    worksheet.write_string_with_format(0, 0, "Try tables", &styles.title)?;
    worksheet.write_string_with_format(
        1,
        0,
        "What the sheet Try a site looks up: the rules of this run and the published tables, each with its source.",
        &styles.label,
    )?;
    let mut row = 3;
    heads(&mut worksheet, row, "Rules and constants", &["figure", "unit", "source", "name in formulas"], &styles)?;
    row += 1;
    for figure in &book.figures {
        worksheet.write_string_with_format(row, 0, figure.title, &cell)?;
        write(&mut worksheet, (row, 1), &figure.value, &cell)?;
        worksheet.write_string_with_format(row, 2, figure.unit, &cell)?;
        worksheet.write_string_with_format(row, 3, figure.source, &cell)?;
        worksheet.write_string_with_format(row, 4, figure.name, &styles.quiet)?;
        places.push((figure.name.to_owned(), (names::TRY_TABLES, row, 1, row, 1)));
        row += 1;
    }
    for block in &book.tables {
        row += 1;
        worksheet.write_string_with_format(row, 0, block.title, &styles.section)?;
        row += 1;
        for (column, heading) in (0..).zip(&block.columns) {
            worksheet.write_string_with_format(row, column, &heading.title, &styles.head)?;
        }
        let rows = u32::try_from(block.rows.len()).unwrap_or(u32::MAX);
        let column_of = |at: usize| u16::try_from(at).unwrap_or(u16::MAX);
        for (column, heading) in (0..).zip(&block.columns).filter(|(_, heading)| !heading.name.is_empty()) {
            places.push((heading.name.to_owned(), (names::TRY_TABLES, row + 1, column, row + rows, column)));
        }
        for (name, first, last, headings) in &block.spans {
            let (top, bottom) = if *headings { (row, row) } else { (row + 1, row + rows) };
            places.push(((*name).to_owned(), (names::TRY_TABLES, top, column_of(*first), bottom, column_of(*last))));
        }
        for cells in &block.rows {
            row += 1;
            for (column, value) in (0..).zip(cells) {
                write(&mut worksheet, (row, column), value, &cell)?;
            }
        }
        row += 1;
    }
    worksheet.set_landscape();
    worksheet.set_paper_size(8);
    worksheet.set_margins(0.4, 0.4, 0.6, 0.6, 0.3, 0.3);
    let columns = book.tables.iter().map(|block| block.columns.len()).max().unwrap_or_default().max(FIGURE_COLUMNS);
    worksheet.set_print_area(0, 0, row.saturating_sub(1), u16::try_from(columns - 1).unwrap_or(u16::MAX))?;
    worksheet.set_print_fit_to_pages(2, 0);
    worksheet.set_header(marks.header("Try tables: what the sheet Try a site looks up, with sources"));
    worksheet.set_footer(marks.footer());
    Ok((worksheet, places))
}

fn heads(worksheet: &mut Worksheet, row: u32, title: &str, heads: &[&str], styles: &Styles) -> Result<(), XlsxError> {
    for (column, head) in (0..).zip(std::iter::once(&title).chain(heads)) {
        worksheet.write_string_with_format(row, column, *head, &styles.head)?;
    }
    Ok(())
}

fn write(
    worksheet: &mut Worksheet,
    (row, column): (u32, u16),
    value: &Value,
    format: &Format,
) -> Result<(), XlsxError> {
    match value {
        Value::Number(number) => worksheet.write_number_with_format(row, column, *number, format)?,
        Value::Text(text) => worksheet.write_string_with_format(row, column, text.as_ref(), format)?,
        Value::Blank | Value::Truth(_) | Value::Fault | Value::Grid(_) => worksheet.write_blank(row, column, format)?,
    };
    Ok(())
}
