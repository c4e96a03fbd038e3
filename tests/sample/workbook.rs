//! Lays the rows out as the organisation keeps them and writes the workbooks, byte for byte the same on every run.
//! Knows nothing of how values came about.

use crate::row::{COLUMNS, Cell, Row};
use crate::side::Side;
use rust_xlsxwriter::{
    DocProperties, ExcelDateTime, Format, FormatAlign, FormatBorder, Formula, Workbook, Worksheet, XlsxError,
};

/// One line of the survey sheet.
pub enum Line {
    /// A site.
    Site(Box<Row>),
    /// Nothing.
    Empty,
    /// The headings once more, as when two lists are pasted together.
    Headings,
    /// A subtotal of the sites since the last one.
    Subtotal(String),
    /// A remark typed into the first column.
    Remark(&'static str),
}

/// Rows above the headings: title, note, empty row.
const HEADING_ROW: u32 = 3;

struct Styles {
    title: Format,
    note: Format,
    heading: Format,
    date: Format,
    total: Format,
}

impl Styles {
    fn new() -> Self {
        Styles {
            title: Format::new().set_bold().set_font_size(14),
            note: Format::new().set_italic(),
            heading: Format::new()
                .set_bold()
                .set_text_wrap()
                .set_align(FormatAlign::Top)
                .set_background_color(0x00E7_E6E0)
                .set_border_bottom(FormatBorder::Thin),
            date: Format::new().set_num_format("dd/mm/yyyy"),
            total: Format::new().set_bold().set_border_top(FormatBorder::Thin),
        }
    }
}

fn new_workbook(title: &str) -> Result<Workbook, XlsxError> {
    let mut workbook = Workbook::new();
    // A fixed date: the file must not depend on when it is made.
    let created = ExcelDateTime::from_ymd(2026, 11, 25)?;
    let properties = DocProperties::new().set_title(title).set_author("Ellenshire Homes (invented)");
    workbook.set_properties(&properties.set_creation_datetime(&created));
    Ok(workbook)
}

/// The survey workbook as bytes.
pub fn portfolio(lines: &[Line], sides: &[Side], remarks: &[&str]) -> Result<Vec<u8>, XlsxError> {
    let mut workbook = new_workbook("Charge point survey returns")?;
    let styles = Styles::new();
    let sheet = workbook.add_worksheet().set_name("Survey returns")?;
    sheet.write_with_format(0, 0, "Ellenshire Homes - charge point survey returns, lots 1 to 4", &styles.title)?;
    let note = "Merged from three contractors' lists. Blank = not answered. Ward, Officer ref and Boiler age are for our own use.";
    sheet.write_with_format(1, 0, note, &styles.note)?;
    for (index, column) in COLUMNS.iter().enumerate() {
        sheet.set_column_width(index as u16, column.width)?;
    }
    headings(sheet, HEADING_ROW, &styles)?;
    sheet.set_freeze_panes(HEADING_ROW + 1, 3)?;
    let first = HEADING_ROW + 1;
    let mut block = Block { first, sites: 0, points: 0.0 };
    for (row, line) in (first..).zip(lines) {
        match line {
            Line::Site(site) => {
                for (index, column) in COLUMNS.iter().enumerate() {
                    if let Some(cell) = site.get(column.key) {
                        write(sheet, row, index as u16, cell, &styles)?;
                    }
                }
                block.sites += 1;
                block.points += site.number_at("points_wanted").unwrap_or(0.0);
            }
            Line::Empty => {}
            Line::Headings => headings(sheet, row, &styles)?,
            Line::Subtotal(label) => {
                subtotal(sheet, row, label, &block, &styles)?;
                block = Block { first: row + 1, sites: 0, points: 0.0 };
            }
            Line::Remark(text) => {
                sheet.write_with_format(row, 0, *text, &styles.note)?;
            }
        }
    }
    for side in sides {
        beside(workbook.add_worksheet().set_name(side.name)?, side, &styles)?;
    }
    let notes = workbook.add_worksheet().set_name("Read me")?;
    notes.set_column_width(0, 100)?;
    for (index, remark) in remarks.iter().enumerate() {
        notes.write(index as u32, 0, *remark)?;
    }
    workbook.save_to_buffer()
}

/// A small sheet beside the survey.
fn beside(sheet: &mut Worksheet, side: &Side, styles: &Styles) -> Result<(), XlsxError> {
    for (column, heading) in (0..).zip(&side.headings) {
        sheet.write_with_format(0, column, heading, &styles.heading)?;
        sheet.set_column_width(column, if column < 2 { 14.0 } else { 9.0 })?;
    }
    sheet.set_freeze_panes(1, 2)?;
    for (row, cells) in (1..).zip(&side.rows) {
        for (column, cell) in (0..).zip(cells) {
            if let Some(cell) = cell {
                write(sheet, row, column, cell, styles)?;
            }
        }
    }
    Ok(())
}

/// The sites between two subtotals.
struct Block {
    first: u32,
    sites: u32,
    points: f64,
}

fn subtotal(sheet: &mut Worksheet, row: u32, label: &str, block: &Block, styles: &Styles) -> Result<(), XlsxError> {
    let position = |key: &str| COLUMNS.iter().position(|column| column.key == key).unwrap_or(0) as u16;
    let text = format!("{label}: {} addresses", block.sites);
    sheet.write_with_format(row, position("address"), text, &styles.total)?;
    let column = position("points_wanted");
    let range = rust_xlsxwriter::utility::row_col_to_cell(block.first, column)
        + ":"
        + &rust_xlsxwriter::utility::row_col_to_cell(row - 1, column);
    // The stored result stands beside the formula, as a spreadsheet program would leave it.
    let sum = Formula::new(format!("=SUM({range})")).set_result(block.points.to_string());
    sheet.write_formula_with_format(row, column, sum, &styles.total)?;
    Ok(())
}

fn headings(sheet: &mut Worksheet, row: u32, styles: &Styles) -> Result<(), XlsxError> {
    for (index, column) in COLUMNS.iter().enumerate() {
        sheet.write_with_format(row, index as u16, column.heading, &styles.heading)?;
    }
    Ok(())
}

fn write(sheet: &mut Worksheet, row: u32, column: u16, cell: &Cell, styles: &Styles) -> Result<(), XlsxError> {
    match cell {
        Cell::Text(text) => sheet.write(row, column, text)?,
        Cell::Number(number) => sheet.write(row, column, *number)?,
        Cell::Date(year, month, day) => {
            let date = ExcelDateTime::from_ymd(*year as u16, *month as u8, *day as u8)?;
            sheet.write_with_format(row, column, &date, &styles.date)?
        }
        Cell::NotAvailable => sheet.write_formula(row, column, Formula::new("=NA()").set_result("#N/A"))?,
    };
    Ok(())
}

/// The least workbook: an address, a supply rating, an estimated load, a distance.
pub fn four_columns(rows: &[[Option<Cell>; 4]]) -> Result<Vec<u8>, XlsxError> {
    let mut workbook = new_workbook("Addresses to be screened")?;
    let styles = Styles::new();
    let sheet = workbook.add_worksheet().set_name("Addresses")?;
    let headings =
        [("Address", 40.0), ("Supply fuse (A)", 15.0), ("Estimated load (A)", 17.0), ("Distance to parking (m)", 21.0)];
    for (index, (heading, width)) in headings.iter().enumerate() {
        sheet.set_column_width(index as u16, *width)?;
        sheet.write_with_format(0, index as u16, *heading, &styles.heading)?;
    }
    sheet.set_freeze_panes(1, 0)?;
    for (row, cells) in rows.iter().enumerate() {
        for (column, cell) in cells.iter().enumerate() {
            if let Some(cell) = cell {
                write(sheet, row as u32 + 1, column as u16, cell, &styles)?;
            }
        }
    }
    workbook.save_to_buffer()
}
