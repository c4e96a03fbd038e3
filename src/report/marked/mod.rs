//! The user's own sheet again, cell for cell in its place, with the cells marked that need a word: a sign before the
//! text, a ground and a note. Before it stands the page of the inspection, after it the list of all marked cells.
//!
//! It knows how the sheet was read and no judgement.

mod marks;
mod page;

use self::marks::{Looks, MOST_NOTES, Mark, Marks};
use super::jump::attribute_holds;
use super::workbook::{WorkbookError, compression_level, dated, guarded};
use super::writer::fitting;
use crate::intake::{Column, Intake, RowAsRead, SheetRead, Sure, inspection, one_line};
use crate::site::FieldKind;
use jiff::civil::Date;
use rust_xlsxwriter::{DocProperties, Note, Workbook, Worksheet, XlsxError};
use std::io::Write;

/// Characters of a note; more would not be read.
const LONGEST_NOTE: usize = 500;
/// Longest text that is written back as a number: beyond it a spreadsheet program shows another figure.
const LONGEST_NUMBER: usize = 11;
/// Rows measured for the width of a column.
const ROWS_MEASURED: usize = 200;
/// Characters across a landscape page of A3 that can still be read, and its number in the file format.
const LEGIBLE: f64 = 330.0;
const PAPER_A3: u8 = 8;
/// Names of the sheets beside the user's own.
pub(super) const PAGE: &str = "Inspection";
pub(super) const CELLS: &str = "Marked cells";

/// Writes the marked workbook of a read spreadsheet. `day` dates the file; there is no clock.
///
/// # Errors
/// When the library refuses a cell (which a test would show) or when the disk is full.
pub fn write_marked(intake: &Intake, day: Date, writer: impl Write + Send) -> Result<(), WorkbookError> {
    guarded(|| {
        let mut workbook = Workbook::new();
        workbook.set_zip_compression_level(compression_level(intake.rows.len()));
        workbook.set_properties(&properties(intake, day));
        let looks = Looks::register(&mut workbook);
        let marks = Marks::of(intake);
        page::page(workbook.add_worksheet(), intake, &inspection(intake), &marks, &looks)?;
        let mut room = Room::of(&marks);
        for (number, name) in (0_u16..).zip(own_names(intake)) {
            let mut own = workbook.new_worksheet_with_constant_memory()?;
            own.set_name(name)?;
            user_sheet(&mut own, &OwnSheet::of(intake, number), &marks, &looks, &mut room)?;
            workbook.push_worksheet(own);
        }
        let mut list = workbook.new_worksheet_with_constant_memory()?;
        page::cells(&mut list, &page::marks_listed(intake, &marks), &looks)?;
        workbook.push_worksheet(list);
        workbook.save_to_writer(writer)
    })
}

fn properties(intake: &Intake, day: Date) -> DocProperties {
    let properties = DocProperties::new()
        .set_title(format!("{}, inspected", intake.source.name))
        .set_custom_property("Spreadsheet SHA-256", intake.source.sha256.as_str());
    dated(properties, day)
}

/// The names of the user's sheets as a workbook takes them, beside the two of ours and each other.
pub(super) fn own_names(intake: &Intake) -> Vec<String> {
    let mut names: Vec<String> = Vec::with_capacity(intake.sheets.len());
    for sheet in &intake.sheets {
        let plain: String = sheet
            .name
            .chars()
            .map(|c| if !attribute_holds(c) || "[]:*?/\\".contains(c) { ' ' } else { c })
            .take(27)
            .collect();
        let plain = match plain.trim().trim_matches('\'').trim() {
            "" => "Your sheet",
            name => name,
        };
        let taken = |name: &str| {
            let ours = [PAGE, CELLS, "History"].into_iter();
            ours.chain(names.iter().map(String::as_str)).any(|other| other.to_lowercase() == name.to_lowercase())
        };
        let mut name = plain.to_owned();
        let mut number = 2_u32;
        while taken(&name) {
            // Cut names may be alike up to any number; four letters more always fit.
            name = format!("{} ({number})", plain.chars().take(25).collect::<String>());
            number += 1;
        }
        names.push(name);
    }
    names
}

/// One sheet of the user's: where its headings are, its columns and its rows.
struct OwnSheet<'a> {
    number: u16,
    read: Option<&'a SheetRead>,
    columns: &'a [Column],
    rows: &'a [RowAsRead],
}

impl<'a> OwnSheet<'a> {
    fn of(intake: &'a Intake, number: u16) -> Self {
        let from = intake.rows.partition_point(|row| row.sheet < number);
        let to = intake.rows.partition_point(|row| row.sheet <= number);
        Self {
            number,
            read: intake.sheets.get(usize::from(number)),
            columns: intake.columns_of(number),
            rows: intake.rows.get(from..to).unwrap_or_default(),
        }
    }

    /// Row of the headings and the last row of the head, from 0.
    fn head(&self) -> (u32, u32) {
        let head = self.read.map_or(1, |read| read.heading_row).max(1) - 1;
        let last = self.read.and_then(|read| read.above.last()).map_or(0, |(row, _)| row.saturating_sub(1));
        (head, last.max(head))
    }
}

fn user_sheet(
    sheet: &mut Worksheet,
    own: &OwnSheet<'_>,
    marks: &Marks<'_>,
    looks: &Looks,
    room: &mut Room,
) -> Result<(), XlsxError> {
    let mut across = 0.0;
    for (at, column) in own.columns.iter().enumerate() {
        let width = width(own, at, column);
        across += width;
        sheet.set_column_width(column.index, width)?;
    }
    let (head, last) = own.head();
    write_head(sheet, own, looks)?;
    let frozen = own.columns.iter().find(|c| c.field.is_some_and(|field| field.name == "address"));
    sheet.set_freeze_panes(last + 1, frozen.map_or(0, |column| column.index.min(5) + 1))?;
    let pages = (across / LEGIBLE).ceil().clamp(1.0, 40.0) as u16; // clamped to what fits the type
    sheet.set_landscape().set_paper_size(PAPER_A3).set_print_fit_to_pages(pages, 0).set_repeat_rows(head, last)?;
    for read in own.rows {
        let row = read.row.saturating_sub(1);
        let mut why = marks.aside.get(&(own.number, read.row)).copied();
        for (column, cell) in own.columns.iter().zip(&read.cells) {
            let mark = marks.at(own.number, read.row, column.index);
            let kind = mark.as_ref().map(|(mark, _)| *mark);
            match mark {
                Some((Mark::Aside, _)) => {
                    // Told once a row, at its first filled cell.
                    if let Some(why) = why.take_if(|_| !cell.is_empty()).filter(|_| room.take(true)) {
                        sheet.insert_note(row, column.index, &note(&format!("This row is set aside.\n{why}")))?;
                    }
                }
                Some((mark, said)) if room.take(!matches!(mark, Mark::Doubtful | Mark::Clash)) => {
                    sheet.insert_note(row, column.index, &note(&said))?;
                }
                _ => {}
            }
            put(sheet, row, column, cell, kind, looks)?;
        }
    }
    Ok(())
}

/// What stands above the headings, the headings with how each was read, and what belongs to them below.
fn write_head(sheet: &mut Worksheet, own: &OwnSheet<'_>, looks: &Looks) -> Result<(), XlsxError> {
    let (head, _) = own.head();
    for (row, cells) in own.read.map_or(&[][..], |read| read.above.as_slice()) {
        let row = row.saturating_sub(1);
        for (column, text) in cells {
            let read = own.columns.iter().find(|known| known.index == *column).filter(|_| row == head);
            let format = match read {
                Some(column) if column.field.is_some() => &looks.heading,
                Some(_) => &looks.own,
                None => looks.of(None, false),
            };
            sheet.write_string_with_format(row, *column, fitting(text), format)?;
        }
    }
    let lines =
        own.columns.iter().enumerate().map(|(at, column)| {
            (one_line(&column.heading).chars().count() as f64 * 1.15 / width(own, at, column)).ceil()
        });
    sheet.set_row_height(head, lines.fold(1.0, f64::max).min(8.0) * 12.5 + 3.0)?;
    for column in own.columns.iter().filter(|column| !column.heading.is_empty()) {
        sheet.insert_note(head, column.index, &note(&heading_note(column)))?;
    }
    Ok(())
}

/// Room for notes: what is lost goes before what is only doubtful.
struct Room {
    lost: usize,
    doubtful: usize,
}

impl Room {
    fn of(marks: &Marks<'_>) -> Self {
        let doubtful = marks.notes.values().filter(|notes| notes.iter().all(|note| !note.is_lost()));
        let lost = (marks.marked - doubtful.count()).min(MOST_NOTES);
        Self { lost, doubtful: MOST_NOTES - lost }
    }

    fn take(&mut self, lost: bool) -> bool {
        let room = if lost { &mut self.lost } else { &mut self.doubtful };
        let left = *room > 0;
        *room = room.saturating_sub(1);
        left
    }
}

fn put(
    sheet: &mut Worksheet,
    row: u32,
    column: &Column,
    cell: &str,
    mark: Option<Mark>,
    looks: &Looks,
) -> Result<(), XlsxError> {
    if cell.is_empty() {
        if mark.is_some() {
            sheet.write_blank(row, column.index, looks.of(mark, false))?;
        }
        return Ok(());
    }
    match number(cell, column) {
        Some(number) => sheet.write_number_with_format(row, column.index, number, looks.of(mark, true))?,
        None => sheet.write_string_with_format(row, column.index, fitting(cell), looks.of(mark, false))?,
    };
    Ok(())
}

/// The number that a cell shows, where a workbook shows it the same; identifiers stay texts.
fn number(cell: &str, column: &Column) -> Option<f64> {
    if cell.len() > LONGEST_NUMBER || column.field.is_some_and(|field| field.kind == FieldKind::Identifier) {
        return None;
    }
    let number: f64 = cell.parse().ok()?;
    (number.is_finite() && number.to_string() == cell).then_some(number)
}

fn note(said: &str) -> Note {
    let said: String = said.chars().take(LONGEST_NOTE).collect();
    let lines: usize = said.lines().map(|line| line.chars().count() / 42 + 1).sum();
    Note::new(said).add_author_prefix(false).set_width(270).set_height(u32::try_from(lines).unwrap_or(30) * 16 + 14)
}

fn heading_note(column: &Column) -> String {
    match column.field {
        Some(field) => {
            let unit = if field.unit.is_empty() { String::new() } else { format!(" in {}", field.unit) };
            let (name, word) = (field.name, Sure::of(column.grounds, column.score).word());
            let how = match column.evidence.as_str() {
                "" => column.how.clone(),
                evidence => format!("{}; {evidence}", column.how),
            };
            format!("Read as {name}{unit} ({word}: {how}).\n{}.", field.meaning)
        }
        None => format!("Not read ({}): kept and given back as it is.", column.how),
    }
}

fn width(own: &OwnSheet<'_>, at: usize, column: &Column) -> f64 {
    let cells = own.rows.iter().take(ROWS_MEASURED).filter_map(|row| row.cells.get(at));
    let longest = cells.map(|cell| cell.chars().count()).max().unwrap_or(0).max(column.heading.chars().count() / 2);
    (longest as f64 + 3.0).clamp(8.0, 34.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::intake::{ReadOptions, read_bytes};
    use calamine::{Data, Reader, Xlsx};
    use std::io::{Cursor, Read};

    fn marked(text: &str) -> Vec<u8> {
        let options = ReadOptions { whatever_it_lacks: true, ..ReadOptions::default() };
        let intake = read_bytes(text.as_bytes(), "Returns.csv", &options).expect("read");
        let mut bytes = Vec::new();
        write_marked(&intake, jiff::civil::date(2026, 11, 25), &mut bytes).expect("written");
        bytes
    }

    fn part(bytes: &[u8], name: &str) -> String {
        let mut archive = zip::ZipArchive::new(Cursor::new(bytes)).expect("a package");
        let mut text = String::new();
        archive.by_name(name).expect("the part").read_to_string(&mut text).expect("text");
        text
    }

    const SHEET: &str = "Site list,,,,\nAddress,Main fuse,Max demand,Cable run,Bin day\n1 Mill Lane,see photo,35,\
        approx 12,Tue\n2 Mill Lane,80,,tbc,007\nTotal,,,35,\n";

    #[test]
    fn every_cell_stands_where_it_stood_and_says_what_it_said() {
        let bytes = marked(SHEET);
        let mut book = Xlsx::new(Cursor::new(bytes)).expect("a workbook");
        assert_eq!(book.sheet_names(), [PAGE, "Your sheet", CELLS]);
        let titles = book.worksheet_range("Your sheet").expect("the sheet");
        assert_eq!(titles.get_value((0, 0)), Some(&Data::String("Site list".into())), "what stands above stays there");
        let sheet = book.worksheet_range("Your sheet").expect("the sheet");
        let at = |row: u32, column: u32| sheet.get_value((row - 1, column)).cloned().unwrap_or(Data::Empty);
        assert_eq!(at(2, 1), Data::String("Main fuse".into()));
        assert_eq!(at(3, 1), Data::String("see photo".into()));
        assert_eq!(at(4, 1), Data::Float(80.0));
        assert_eq!(at(4, 2), Data::Empty);
        assert_eq!(at(4, 4), Data::String("007".into()));
        assert_eq!(at(5, 3), Data::Float(35.0));
    }

    #[test]
    fn what_is_wrong_has_a_sign_a_ground_and_a_note() {
        let bytes = marked(SHEET);
        let notes = part(&bytes, "xl/comments1.xml");
        for said in [
            "cutout_rating_a: not understood",
            "Taken as not known",
            "parking_distance_m: read as 12 m, 9 to 15",
            "Blank, and nothing else in the row says the existing load",
            "Read as not known, and nothing else in the row says the distance",
            "This row is set aside",
            "Read as cutout_rating_a in A",
            "kept and given back",
        ] {
            assert!(notes.contains(said), "{said} is not in {notes}");
        }
        let styles = part(&bytes, "xl/styles.xml");
        assert!(styles.contains("&quot;? &quot;@") && styles.contains("&quot;~ &quot;@"), "{styles}");
        assert!(styles.contains("lightUp"), "{styles}");
        let mut book = Xlsx::new(Cursor::new(bytes)).expect("a workbook");
        let list = book.worksheet_range(CELLS).expect("the list");
        let cells: Vec<String> = list.rows().skip(1).map(|row| row[0].to_string()).collect();
        assert_eq!(cells, ["B3", "D3", "C4", "D4", "row 5"]);
    }

    #[test]
    fn a_long_sheet_keeps_its_marks_and_counts_the_notes_that_find_no_room() {
        let mut text = "Address,Main fuse,Max demand,Cable run\n".to_owned();
        for row in 0..5_000 {
            text.push_str(&format!(
                "{row} Mill Lane,{},35,approx 12\n",
                if row % 10 == 0 { "see photo" } else { "80" }
            ));
        }
        let bytes = marked(&text);
        let notes = part(&bytes, "xl/comments1.xml");
        assert_eq!(notes.matches("<comment ").count(), MOST_NOTES + 4);
        // What is lost has its note, all of it.
        assert_eq!(notes.matches("cutout_rating_a: not understood").count(), 500);
        let page = part(&bytes, "xl/sharedStrings.xml");
        assert!(page.contains("the other 1500 are marked without one"));
        assert_eq!(bytes, marked(&text), "the same sheet gives the same bytes");
    }

    #[test]
    fn no_sheet_name_breaks_the_workbook() {
        let named = |sheets: &[&str]| {
            let read = |name: &&str| SheetRead { name: (*name).to_owned(), ..SheetRead::default() };
            own_names(&Intake { sheets: sheets.iter().map(read).collect(), ..Intake::default() })
        };
        assert_eq!(named(&["inspection"]), ["inspection (2)"]);
        assert_eq!(named(&[""]), ["Your sheet"]);
        assert_eq!(named(&["'a/b'", "A:B", "a b"]), ["a b", "A B (2)", "a b (3)"]);
        let long = "A name that is longer than thirty-one letters";
        let both = named(&[long, long]);
        assert!(both[0] != both[1] && both.iter().all(|name| name.chars().count() <= 31), "{both:?}");
    }
}
