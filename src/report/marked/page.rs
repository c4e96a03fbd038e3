//! The two sheets beside the user's own in the marked workbook: the page of the inspection in full, and the list of all
//! marked cells.

use super::marks::{Looks, Mark, Marks};
use super::{CELLS, PAGE, own_names};
use crate::intake::{Group, Inspection, Intake, one_line};
use crate::report::formats::{FACE, INK, text};
use crate::report::grid::GREATEST_ROWS;
use crate::report::writer::fitting;
use rust_xlsxwriter::{Format, Worksheet, XlsxError};

/// Widths of the columns of the page, characters.
const WIDTHS: [f64; 5] = [20.0, 34.0, 30.0, 36.0, 44.0];
/// Cases shown of a contradiction, one a column.
const EXAMPLES: usize = 3;
/// Row numbers that are listed of a reason.
const ROWS_LISTED: usize = 40;

/// Lines written down one after the other.
struct Down<'a> {
    sheet: &'a mut Worksheet,
    row: u32,
    title: Format,
    wrap: Format,
    head: Format,
}

impl Down<'_> {
    fn title(&mut self, said: &str) -> Result<(), XlsxError> {
        self.row += 1;
        self.sheet.write_string_with_format(self.row, 0, fitting(said), &self.title)?;
        self.row += 1;
        Ok(())
    }

    fn heads(&mut self, heads: &[&str]) -> Result<(), XlsxError> {
        for (column, head) in (0..).zip(heads) {
            self.sheet.write_string_with_format(self.row, column, *head, &self.head)?;
        }
        self.row += 1;
        Ok(())
    }

    /// One line of cells; a number that counts is written as one.
    fn line(&mut self, cells: &[&str]) -> Result<(), XlsxError> {
        for (column, cell) in (0..).zip(cells) {
            match cell.parse::<u32>() {
                Ok(count) if count.to_string() == **cell => {
                    self.sheet.write_number_with_format(self.row, column, f64::from(count), &self.wrap)?;
                }
                _ => {
                    self.sheet.write_string_with_format(self.row, column, fitting(cell), &self.wrap)?;
                }
            }
        }
        let lines = cells.iter().zip(WIDTHS).map(|(cell, width)| (cell.chars().count() as f64 / (width * 1.3)).ceil());
        self.height(lines.fold(1.0, f64::max))
    }

    /// A sentence across the page.
    fn say(&mut self, said: &str) -> Result<(), XlsxError> {
        let last = WIDTHS.len() as u16 - 1; // five columns
        self.sheet.merge_range(self.row, 0, self.row, last, &fitting(said), &self.wrap)?;
        self.height((said.chars().count() as f64 / (WIDTHS.iter().sum::<f64>() * 1.3)).ceil().max(1.0))
    }

    fn height(&mut self, lines: f64) -> Result<(), XlsxError> {
        self.sheet.set_row_height(self.row, lines.min(20.0) * 12.0 + 3.0)?;
        self.row += 1;
        Ok(())
    }
}

/// Writes the page of the inspection: what the terminal says, in full.
pub(super) fn page(
    sheet: &mut Worksheet,
    intake: &Intake,
    seen: &Inspection,
    marks: &Marks<'_>,
    looks: &Looks,
) -> Result<(), XlsxError> {
    sheet.set_name(PAGE)?;
    for (column, width) in (0..).zip(WIDTHS) {
        sheet.set_column_width(column, width)?;
    }
    sheet.set_landscape().set_paper_size(9).set_print_fit_to_pages(1, 0).set_screen_gridlines(false);
    let title = Format::new().set_font_name(FACE).set_font_size(12).set_bold().set_font_color(INK);
    let wrap = text().set_text_wrap().set_align(rust_xlsxwriter::FormatAlign::Left);
    let mut down = Down { sheet, row: 0, title, wrap, head: looks.heading.clone() };
    down.sheet.write_string_with_format(0, 0, fitting(&seen.place), &down.title)?;
    down.title("Can this be assessed?")?;
    for part in seen.answer.sentence.lines().chain(seen.warnings.iter().map(String::as_str)) {
        down.say(&one_line(part))?;
    }
    legend(&mut down, intake, marks, looks)?;
    values(&mut down, seen)?;
    rows(&mut down, seen)?;
    missing(&mut down, seen)?;
    columns(&mut down, seen)
}

fn legend(down: &mut Down<'_>, intake: &Intake, marks: &Marks<'_>, looks: &Looks) -> Result<(), XlsxError> {
    let names = own_names(intake);
    let noun = if names.len() > 1 { "sheets" } else { "sheet" };
    down.title(&format!("Marks on the {noun} {}", names.join(" and ")))?;
    for mark in Mark::ALL {
        let (row, format) = (down.row, looks.of(Some(mark), false));
        match mark {
            Mark::Gap => down.sheet.write_blank(row, 0, format)?,
            _ => down.sheet.write_string_with_format(row, 0, "as written", format)?,
        };
        down.sheet.write_string_with_format(row, 1, mark.meaning(), looks.of(None, false))?;
        down.row += 1;
    }
    let all = marks.marked;
    let noted = match marks.without_note {
        0 => "Each has a note that says what is wrong and what was assumed".to_owned(),
        without => format!(
            "{} of them have a note there that says what is wrong and what was assumed (more would stop a spreadsheet \
             program), those read as not known first; the other {without} are marked without one",
            all - without
        ),
    };
    down.say(&format!("{all} cells and rows are marked. {noted}; the sheet {CELLS} lists all."))
}

fn columns(down: &mut Down<'_>, seen: &Inspection) -> Result<(), XlsxError> {
    for sheet in &seen.sheets {
        let (read, all) = (sheet.read.len(), sheet.read.len() + sheet.asked.len() + sheet.own.len());
        let of = if sheet.name.is_empty() { String::new() } else { format!(" of {}", sheet.name) };
        down.title(&format!("Columns{of}: {read} of {all} are read as survey fields"))?;
        down.heads(&["Column", "Heading", "Read as", "How sure", "How it was found"])?;
        for column in &sheet.read {
            let sure = format!("{} ({:.2})", column.sure.word(), column.score);
            let (field, found) = (column.field_said(), column.grounds_said());
            down.line(&[&column.letters, &column.heading, &field, &sure, &found])?;
        }
        for column in &sheet.asked {
            let could = format!("not read: could be {}", column.field.name);
            down.line(&[&column.letters, &column.heading, &could, "not understood", &column.how])?;
        }
        for own in &sheet.own {
            down.line(&["", own, "not read: your own, given back", "", ""])?;
        }
    }
    Ok(())
}

fn values(down: &mut Down<'_>, seen: &Inspection) -> Result<(), XlsxError> {
    let kinds = |down: &mut Down<'_>, title: &str, groups: &[Group]| -> Result<(), XlsxError> {
        if groups.is_empty() {
            return Ok(());
        }
        down.title(&format!("{title}: {}", groups.iter().map(|group| group.count).sum::<usize>()))?;
        down.heads(&["Cells", "What is said of them", "For example", "", ""])?;
        for group in groups {
            let mut cells = vec![group.count.to_string(), one_line(&group.message)];
            cells.extend(group.examples.iter().map(|example| {
                let raw = format!("{} {}: \"{}\"", example.cell, example.field, one_line(&example.raw));
                if example.lost { raw } else { format!("{raw} = {}", one_line(&example.understood)) }
            }));
            down.line(&cells.iter().map(String::as_str).collect::<Vec<_>>())?;
        }
        Ok(())
    };
    kinds(down, "Values read as not known", &seen.lost)?;
    kinds(down, "Values understood with a doubt or a remark", &seen.doubtful)?;
    contradictions(down, seen)
}

/// Contradictions by kind, each with its first cases; the list of marked cells has all.
fn contradictions(down: &mut Down<'_>, seen: &Inspection) -> Result<(), XlsxError> {
    let all: usize = seen.contradictions.iter().map(|clash| clash.cases.len()).sum();
    if all == 0 {
        return Ok(());
    }
    down.title(&format!("Contradictions: {all}"))?;
    down.heads(&["Cases", "What contradicts, and what is made of it", "For example", "", ""])?;
    for clash in &seen.contradictions {
        let mut cells = vec![clash.cases.len().to_string(), one_line(&clash.kind)];
        cells.extend(clash.cases.iter().take(EXAMPLES).map(|case| one_line(case)));
        down.line(&cells.iter().map(String::as_str).collect::<Vec<_>>())?;
    }
    Ok(())
}

fn rows(down: &mut Down<'_>, seen: &Inspection) -> Result<(), XlsxError> {
    let [read, judged, aside] = seen.rows;
    down.title(&format!("Rows: {read} read, {judged} to be judged, {aside} set aside"))?;
    if seen.aside.is_empty() {
        return Ok(());
    }
    down.heads(&["Rows", "Set aside because", "Which", "", ""])?;
    for reason in &seen.aside {
        let mut numbers: Vec<String> = reason.rows.iter().take(ROWS_LISTED).cloned().collect();
        if reason.rows.len() > ROWS_LISTED {
            numbers.push(format!("and {} more", reason.rows.len() - ROWS_LISTED));
        }
        let which = format!("row {}", numbers.join(", "));
        down.line(&[&reason.rows.len().to_string(), &reason.why, &which])?;
    }
    Ok(())
}

fn missing(down: &mut Down<'_>, seen: &Inspection) -> Result<(), XlsxError> {
    if seen.missing.is_empty() {
        return down.title("Missing: no column of weight");
    }
    down.title("Missing: no column asks for these")?;
    down.heads(&["Column", "What is taken instead", "What that costs"])?;
    for worth in &seen.missing {
        down.line(&[worth.field, worth.assumed, worth.costs])?;
    }
    Ok(())
}

/// One line of the list of marked cells.
pub(super) struct Listed {
    cell: String,
    mark: Mark,
    heading: String,
    written: String,
    said: String,
}

/// Every marked cell in the order of the sheet, rows set aside with their reason.
pub(super) fn marks_listed(intake: &Intake, marks: &Marks<'_>) -> Vec<Listed> {
    let mut listed = Vec::with_capacity(marks.marked);
    for read in &intake.rows {
        if let Some(why) = marks.aside.get(&(read.sheet, read.row)) {
            let (cell, said) = (format!("row {}", intake.row_named(read.sheet, read.row)), (*why).to_owned());
            listed.push(Listed { cell, mark: Mark::Aside, heading: String::new(), written: String::new(), said });
            continue;
        }
        for (column, written) in intake.columns_of(read.sheet).iter().zip(&read.cells) {
            let Some((mark, said)) = marks.at(read.sheet, read.row, column.index) else { continue };
            let cell = intake.cell_named(read.sheet, read.row, column.index);
            listed.push(Listed { cell, mark, heading: one_line(&column.heading), written: written.clone(), said });
        }
    }
    listed
}

/// Writes the list of marked cells.
pub(super) fn cells(sheet: &mut Worksheet, listed: &[Listed], looks: &Looks) -> Result<(), XlsxError> {
    sheet.set_name(CELLS)?;
    let wrap = text().set_text_wrap();
    let heads = [
        ("Cell", 9.0),
        ("Mark", 30.0),
        ("Heading", 24.0),
        ("As written", 30.0),
        ("What is wrong, what was assumed", 90.0),
    ];
    for (column, (head, width)) in (0..).zip(heads) {
        sheet.set_column_width(column, width)?;
        sheet.write_string_with_format(0, column, head, &looks.heading)?;
    }
    sheet.set_freeze_panes(1, 0)?;
    sheet.set_landscape().set_paper_size(9).set_print_fit_to_pages(1, 0).set_repeat_rows(0, 0)?;
    let mut last = 0;
    for (row, line) in (1..).zip(listed.iter().take(GREATEST_ROWS)) {
        last = row;
        let lines = line.said.lines().map(|said| (said.chars().count() / 100 + 1) as f64).sum::<f64>();
        sheet.set_row_height(row, lines.clamp(1.0, 12.0) * 12.0 + 2.0)?;
        let texts = [&line.cell, line.mark.meaning(), &line.heading, &line.written, &line.said];
        for (column, text) in (0..).zip(texts) {
            sheet.write_string_with_format(row, column, fitting(text), &wrap)?;
        }
    }
    sheet.autofilter(0, 0, last, 4)?;
    Ok(())
}
