//! From a sheet as data to a worksheet. The only file beside `formats`, `page_writer`, `cluster_chart` and
//! `workbook` that names the workbook library; it knows no site and no finding.

use super::formats::{FACE, Formats};
use super::grid::{Cell, Form, GREATEST_ROWS, Heading, Paper, Sheet, verdict_word};
use super::jump;
use super::letters::{BOLD, TEXT_PT, column_pixels, lines};
use super::native_table::{can_be_table, table};
use rust_xlsxwriter::{Formula, IgnoreError, Worksheet, XlsxError};
use std::borrow::Cow;

/// Links that a worksheet may hold; one more and spreadsheet programs offer to repair the file.
const GREATEST_LINKS: u32 = 65_000;
/// Characters (UTF-16 units) that a cell may hold.
const GREATEST_TEXT: usize = 32_767;
/// Height of a line of text, points, and the lines that a row and the row of headings may grow to.
const LINE_PT: f64 = 12.0;
const GREATEST_LINES: u32 = 12;
const GREATEST_HEADING: u32 = 6;
/// Pixels of the indent of a number.
const INDENT_PIXELS: f64 = 9.0;
/// Characters across a landscape page that can still be read.
const LEGIBLE_ON_A4: f64 = 230.0;
const LEGIBLE_ON_A3: f64 = 330.0;
/// Paper numbers of the file format.
const PAPER_A3: u8 = 8;
const PAPER_A4: u8 = 9;

/// What stands at the head and foot of every printed page.
#[derive(Clone, Debug)]
pub(super) struct PageMarks {
    /// Name of the user's file.
    pub(super) file: String,
    /// Date of the run, in words.
    pub(super) date: String,
}

impl PageMarks {
    /// Head of a page: file and what the sheet holds.
    pub(super) fn header(&self, subject: &str) -> String {
        let small = small();
        format!("&L{small}{}&R{small}{}", escaped(&self.file), escaped(subject))
    }

    /// Foot of a page: date, caution, page.
    pub(super) fn footer(&self) -> String {
        let small = small();
        format!(
            "&L{small}{}&C{small}A desk-top screen: a qualified designer verifies each site before work.\
             &R{small}Page &P of &N",
            escaped(&self.date)
        )
    }
}

/// Size, then face of a header or footer: digits right after the size would be read as more of it.
fn small() -> String {
    format!("&8&\"{FACE},Regular\"")
}

/// Characters (UTF-16 units) of one part of it, of which the whole may have 255.
const GREATEST_PART: usize = 80;

/// Text for a header or footer, where `&` begins a command; no line ends, and cut so that the whole is not too long.
fn escaped(text: &str) -> String {
    let mut units = 0;
    let mut out = String::with_capacity(text.len().min(GREATEST_PART));
    for character in text.chars().map(|c| if jump::attribute_holds(c) { c } else { ' ' }) {
        let times = if character == '&' { 2 } else { 1 };
        units += times * character.len_utf16();
        if units > GREATEST_PART {
            break;
        }
        out.extend(std::iter::repeat_n(character, times));
    }
    out
}

/// Writes `sheet` on `worksheet`, row by row in order (a written row cannot be changed).
///
/// # Errors
/// When the library refuses a cell or the temporary file cannot be written.
pub(super) fn fill(
    worksheet: &mut Worksheet,
    sheet: Sheet<'_>,
    formats: &Formats,
    marks: &PageMarks,
) -> Result<(), XlsxError> {
    let columns = sheet.headings.len().min(usize::from(u16::MAX)) as u16;
    prepare(worksheet, &sheet, columns, formats, marks)?;
    let in_table = u32::try_from(sheet.rows.in_table).unwrap_or(u32::MAX);
    let is_table = can_be_table(&sheet);
    if is_table {
        // A table writes its headings itself, and before the rows: a written row cannot be changed.
        worksheet.add_table(0, 0, in_table, columns - 1, &table(&sheet, formats))?;
    } else {
        for (column, heading) in (0..columns).zip(&sheet.headings) {
            let format = formats.heading(heading.form, heading.folds);
            worksheet.write_string_with_format(0, column, fitting(&heading.title), format)?;
        }
    }
    let printed = sheet.printed.unwrap_or(columns).clamp(1, columns.max(1));
    let mut links = 0;
    let mut last = 0;
    for (row, cells) in (1..).zip(sheet.rows.take(GREATEST_ROWS)) {
        last = row;
        if let Some(height) = row_height(&cells, &sheet.headings) {
            worksheet.set_row_height(row, height)?;
        }
        for (column, cell) in (0..columns).zip(cells) {
            put(worksheet, row, column, cell, formats, &mut links)?;
        }
    }
    if !is_table {
        worksheet.autofilter(0, 0, last.min(in_table), columns.saturating_sub(1))?;
    }
    worksheet.set_print_area(0, 0, last, printed - 1)?;
    // Identifiers and cells as written are texts on purpose: no warning marks on them.
    worksheet.ignore_error_range(0, 0, last, columns.saturating_sub(1), IgnoreError::NumberStoredAsText)?;
    Ok(())
}

/// Everything of a worksheet but its cells.
fn prepare(
    worksheet: &mut Worksheet,
    sheet: &Sheet<'_>,
    columns: u16,
    formats: &Formats,
    marks: &PageMarks,
) -> Result<(), XlsxError> {
    worksheet.set_name(sheet.name)?;
    for (column, heading) in (0..columns).zip(&sheet.headings) {
        worksheet.set_column_width(column, heading.width)?;
        worksheet.set_column_format(column, formats.column(heading.form))?;
    }
    for (first, last) in folding(&sheet.headings) {
        worksheet.group_columns(first, last)?;
    }
    worksheet.group_symbols_to_left(true);
    worksheet.set_row_height(0, heading_height(&sheet.headings))?;
    worksheet.set_freeze_panes(1, sheet.frozen)?;
    worksheet.set_landscape();
    worksheet.set_paper_size(match sheet.paper {
        Paper::A4 => PAPER_A4,
        Paper::A3 => PAPER_A3,
    });
    worksheet.set_print_fit_to_pages(pages_wide(sheet), 0);
    worksheet.set_repeat_rows(0, 0)?;
    if sheet.frozen > 0 {
        worksheet.set_repeat_columns(0, sheet.frozen - 1)?;
    }
    worksheet.set_margins(0.4, 0.4, 0.6, 0.6, 0.3, 0.3);
    worksheet.set_header(marks.header(sheet.subject));
    worksheet.set_footer(marks.footer());
    Ok(())
}

/// Pages side by side on which the printed columns stay legible; the columns that stay in sight are on each.
fn pages_wide(sheet: &Sheet<'_>) -> u16 {
    let printed = sheet.printed.map_or(sheet.headings.len(), usize::from);
    let width = |headings: &[Heading<'_>]| headings.iter().map(|heading| heading.width).sum::<f64>();
    let repeated = width(sheet.headings.get(..usize::from(sheet.frozen)).unwrap_or_default());
    let all = width(sheet.headings.get(..printed).unwrap_or(&sheet.headings));
    let page = match sheet.paper {
        Paper::A4 => LEGIBLE_ON_A4,
        Paper::A3 => LEGIBLE_ON_A3,
    };
    ((all - repeated) / (page - repeated).max(1.0)).ceil().clamp(1.0, 40.0) as u16
}

/// Runs of neighbouring columns that fold away.
fn folding(headings: &[Heading<'_>]) -> Vec<(u16, u16)> {
    let mut runs: Vec<(u16, u16)> = Vec::new();
    for (column, heading) in (0..).zip(headings) {
        if !heading.folds {
            continue;
        }
        match runs.last_mut() {
            Some((_, last)) if *last + 1 == column => *last = column,
            _ => runs.push((column, column)),
        }
    }
    runs
}

/// Height of the heading row, points: as many lines as the longest heading needs in its width.
fn heading_height(headings: &[Heading<'_>]) -> f64 {
    let room = |heading: &Heading<'_>| {
        (column_pixels(heading.width) - if heading.form.is_number() { INDENT_PIXELS } else { 0.0 }) / BOLD
    };
    let tall = headings.iter().map(|heading| lines(&heading.title, TEXT_PT, room(heading))).max().unwrap_or(1);
    // One line more for the buttons of the filters, which would cover the ends of the last.
    LINE_PT * f64::from(tall.clamp(1, GREATEST_HEADING) + 1) + 3.0
}

/// Height of a row whose texts take several lines, points; `None` for the usual height. Not every program works it out
/// by itself when it opens a file.
fn row_height(cells: &[Cell<'_>], headings: &[Heading<'_>]) -> Option<f64> {
    let mut tall = 1;
    for (cell, heading) in cells.iter().zip(headings) {
        let Cell::Text(text) = cell else { continue };
        // As many characters as a column counts always fit: few letters are wider than a digit of the larger size.
        if heading.form == Form::Wrapped && (text.len() as f64 > heading.width || text.contains('\n')) {
            tall = tall.max(lines(text, TEXT_PT, column_pixels(heading.width)));
        }
    }
    (tall > 1).then(|| LINE_PT * f64::from(tall.min(GREATEST_LINES)) + 2.0)
}

/// The text, or as much of it as a cell may hold with a mark that it was cut.
pub(super) fn fitting(text: &str) -> Cow<'_, str> {
    if text.len() <= GREATEST_TEXT {
        return Cow::Borrowed(text); // never more UTF-16 units than bytes
    }
    if text.encode_utf16().count() <= GREATEST_TEXT {
        return Cow::Borrowed(text);
    }
    let mut units = 0;
    let kept: String = text
        .chars()
        .take_while(|character| {
            units += character.len_utf16();
            units < GREATEST_TEXT
        })
        .collect();
    Cow::Owned(kept + "…")
}

/// Days from the file format's first day; dates before March 1900 have no agreed number.
pub(super) fn serial(date: jiff::civil::Date) -> Option<f64> {
    let first = jiff::civil::date(1899, 12, 30);
    let days = f64::from(date.since(first).ok()?.get_days());
    (days > 60.0).then_some(days)
}

fn put(
    worksheet: &mut Worksheet,
    row: u32,
    column: u16,
    cell: Cell<'_>,
    formats: &Formats,
    links: &mut u32,
) -> Result<(), XlsxError> {
    match cell {
        Cell::Blank => {}
        Cell::Text(Cow::Owned(text)) if text.len() <= GREATEST_TEXT => {
            worksheet.write_string(row, column, text)?;
        }
        Cell::Text(text) => {
            worksheet.write_string(row, column, fitting(&text))?;
        }
        // A number that is none stays an empty cell: spreadsheet programs have no such number.
        Cell::Number(number) | Cell::Percent(number) => {
            if number.is_finite() {
                worksheet.write_number(row, column, number)?;
            }
        }
        Cell::Int(number) => {
            worksheet.write_number(row, column, number as f64)?;
        }
        Cell::Lines { lines, sheet, row: target } => {
            if *links < GREATEST_LINKS {
                *links += 1;
                worksheet.write_url_with_format(row, column, jump::to(sheet, target), &formats.linked_number)?;
            }
            // The number takes the place of the text of the jump, which stays.
            worksheet.write_number_with_format(row, column, lines, &formats.linked_number)?;
        }
        Cell::Formula { text, shown } => {
            worksheet.write_formula(row, column, Formula::new(format!("={text}")).set_result(shown.to_string()))?;
        }
        Cell::Money(pence) => {
            worksheet.write_number(row, column, pence.pounds())?;
        }
        Cell::Date(date) => match serial(date) {
            Some(days) => {
                worksheet.write_number_with_format(row, column, days, formats.column(Form::Date))?;
            }
            None => {
                worksheet.write_string(row, column, date.to_string())?;
            }
        },
        Cell::Verdict(verdict, overridden) => {
            let word = verdict_word(verdict, overridden);
            worksheet.write_string_with_format(row, column, word, formats.verdict(verdict))?;
        }
        Cell::Link { text, sheet, row: target } => {
            if *links < GREATEST_LINKS && !text.is_empty() {
                *links += 1;
                jump::write(worksheet, (row, column), &fitting(&text), (sheet, target), &formats.link)?;
            } else {
                worksheet.write_string(row, column, fitting(&text))?;
            }
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::grid::{Rows, folded, heading};

    #[test]
    fn dates_take_the_file_formats_numbers() {
        assert_eq!(serial(jiff::civil::date(2026, 11, 25)), Some(46351.0));
        assert_eq!(serial(jiff::civil::date(1900, 1, 1)), None);
    }

    #[test]
    fn neighbouring_technical_columns_fold_together() {
        let headings = [
            heading("a", 5.0, Form::Text),
            folded("b", 5.0, Form::Text),
            folded("c", 5.0, Form::Text),
            heading("d", 5.0, Form::Text),
            folded("e", 5.0, Form::Text),
        ];
        assert_eq!(folding(&headings), [(1, 2), (4, 4)]);
    }

    #[test]
    fn texts_are_cut_to_what_a_cell_may_hold() {
        assert_eq!(fitting("short"), "short");
        let long = "é".repeat(40_000);
        let cut = fitting(&long);
        assert_eq!(cut.encode_utf16().count(), GREATEST_TEXT);
        assert!(cut.ends_with('…'));
        assert_eq!(escaped("Fern & Co"), "Fern && Co");
        let file = "&".repeat(200) + ".xlsx";
        let marks = PageMarks { file, date: "12 November 2026".into() };
        assert!(marks.header(&"é&".repeat(90)).encode_utf16().count() <= 255);
        assert!(marks.footer().encode_utf16().count() <= 255);
    }

    #[test]
    fn no_digit_follows_the_size_of_the_letters() {
        // It would be read as another digit of the size, and the page would lose its date.
        let marks = PageMarks { file: "2026 return.xlsx".into(), date: "12 November 2026".into() };
        for text in [marks.header("20 sites"), marks.footer()] {
            let sizes: Vec<&str> = text.split("&8").skip(1).collect();
            assert!(
                sizes.len() >= 2 && sizes.iter().all(|rest| !rest.starts_with(|c: char| c.is_ascii_digit())),
                "{text}"
            );
        }
    }

    #[test]
    fn links_stop_before_the_limit_and_the_text_stays() {
        let mut workbook = rust_xlsxwriter::Workbook::new();
        let formats = Formats::register(&mut workbook);
        let mut worksheet = workbook.new_worksheet_with_constant_memory().expect("a worksheet");
        let link = || Cell::Link { text: "H1".into(), sheet: "Links", row: 2 };
        let sheet = Sheet {
            name: "Links",
            subject: "",
            headings: vec![heading("Site", 9.0, Form::Text)],
            frozen: 1,
            printed: None,
            paper: Paper::A4,
            rows: Rows::of(0..GREATEST_LINKS + 100, move |_| vec![link()]),
        };
        let marks = PageMarks { file: "a.xlsx".into(), date: String::new() };
        fill(&mut worksheet, sheet, &formats, &marks).expect("filled");
        workbook.push_worksheet(worksheet);
        let bytes = workbook.save_to_buffer().expect("a workbook");
        let mut archive = zip::ZipArchive::new(std::io::Cursor::new(bytes)).expect("a package");
        let mut part = archive.by_name("xl/worksheets/sheet1.xml").expect("a sheet");
        let mut text = String::new();
        std::io::Read::read_to_string(&mut part, &mut text).expect("text");
        assert_eq!(text.matches("<hyperlink ").count(), GREATEST_LINKS as usize);
        assert_eq!(text.matches(">H1<").count(), GREATEST_LINKS as usize + 100);
    }
}
