//! The files of the corpus that our own library writes. The checked-in bytes are held to be what this writes:
//! `BAYWRIGHT_WRITE_CORPUS=1 cargo test --test reading own_files` writes them anew.

use crate::corpus::folder;
use rust_xlsxwriter::{
    Color, DataValidation, DocProperties, ExcelDateTime, Format, Note, Table, Workbook, Worksheet, XlsxError,
};
use std::fs;

const FOUR: [&str; 4] = ["Address", "Main fuse (A)", "Max demand (A)", "Distance to parking (m)"];

/// A workbook with one sheet on which `fill` writes.
fn book(fill: impl Fn(&mut Workbook) -> Result<(), XlsxError>) -> Result<Vec<u8>, XlsxError> {
    let mut book = Workbook::new();
    let created = ExcelDateTime::from_ymd(2026, 11, 25)?;
    book.set_properties(&DocProperties::new().set_creation_datetime(&created));
    fill(&mut book)?;
    book.save_to_buffer()
}

/// Headings in `row` and as many sites under it.
fn survey(sheet: &mut Worksheet, row: u32, column: u16, sites: u32) -> Result<(), XlsxError> {
    for (at, heading) in FOUR.iter().enumerate() {
        sheet.write(row, column + at as u16, *heading)?;
    }
    for site in 1..=sites {
        sheet.write(row + site, column, format!("{site} Heron's Ladder, Tarnholt, QX4 7LP"))?;
        sheet.write(row + site, column + 1, 60 + 20 * (site % 2))?;
        sheet.write(row + site, column + 2, 25 + site)?;
        sheet.write(row + site, column + 3, 8 + site)?;
    }
    Ok(())
}

fn one(fill: impl Fn(&mut Worksheet) -> Result<(), XlsxError>) -> Result<Vec<u8>, XlsxError> {
    book(|book| fill(book.add_worksheet().set_name("Survey")?))
}

fn files() -> Result<Vec<(&'static str, Vec<u8>)>, XlsxError> {
    let bold = Format::new().set_bold().set_background_color(Color::RGB(0xDDEBF7));
    let day = Format::new().set_num_format("dd/mm/yyyy");
    let metres = Format::new().set_num_format("0.0 \"m\"");
    Ok(vec![
        (
            "table-off-the-corner.xlsx",
            one(|sheet| {
                sheet.write_with_format(1, 5, "Heron's Ladder, all returns", &bold)?;
                survey(sheet, 6, 5, 3)
            })?,
        ),
        (
            "named-table.xlsx",
            one(|sheet| {
                survey(sheet, 0, 0, 3)?;
                sheet.add_table(0, 0, 3, 3, &Table::new().set_total_row(false).set_name("Returns"))?;
                survey(sheet, 0, 0, 3)
            })?,
        ),
        (
            "hidden-rows.xlsx",
            one(|sheet| {
                survey(sheet, 0, 0, 5)?;
                sheet.set_row_hidden(2)?;
                sheet.set_row_hidden(4)?;
                Ok(())
            })?,
        ),
        (
            "notes-and-lists.xlsx",
            one(|sheet| {
                survey(sheet, 0, 0, 2)?;
                sheet.insert_note(1, 1, &Note::new("read from the carrier"))?;
                sheet.add_data_validation(1, 1, 40, 1, &DataValidation::new().allow_list_strings(&["60", "80"])?)?;
                sheet.set_freeze_panes(1, 1)?;
                Ok(())
            })?,
        ),
        (
            "dates-and-times.xlsx",
            one(|sheet| {
                survey(sheet, 0, 0, 2)?;
                for (column, heading) in ["Survey date", "Arrival time", "Departure"].iter().enumerate() {
                    sheet.write(0, 4 + column as u16, *heading)?;
                }
                let clock = Format::new().set_num_format("hh:mm");
                sheet.write_with_format(1, 4, &ExcelDateTime::from_ymd(2026, 11, 25)?, &day)?;
                sheet.write_with_format(1, 5, &ExcelDateTime::from_hms(18, 30, 0)?, &clock)?;
                sheet.write_with_format(1, 6, &ExcelDateTime::from_hms(7, 0, 0)?, &clock)?;
                sheet.write(2, 4, "25 Nov 26")?;
                sheet.write(2, 5, "6:30 pm")?;
                sheet.write(2, 6, "0700")?;
                Ok(())
            })?,
        ),
        (
            "metres-in-formats.xlsx",
            one(|sheet| {
                survey(sheet, 0, 0, 2)?;
                sheet.write_with_format(1, 3, 12.5, &metres)?;
                sheet.write_with_format(2, 3, 9, &metres)?;
                Ok(())
            })?,
        ),
        (
            "merged-title-and-logo-space.xlsx",
            one(|sheet| {
                sheet.merge_range(0, 0, 2, 3, "", &bold)?;
                sheet.merge_range(3, 0, 3, 3, "Survey of charge point positions", &bold)?;
                survey(sheet, 5, 0, 2)
            })?,
        ),
        (
            "survey-on-third-sheet.xlsx",
            book(|book| {
                let lists = book.add_worksheet().set_name("Lists")?;
                for (row, text) in ["TN-S", "TN-C-S", "TT", "60", "80", "100"].iter().enumerate() {
                    lists.write(row as u32, 0, *text)?;
                }
                let people = book.add_worksheet().set_name("People")?;
                for (column, text) in ["Name", "Address", "Phone"].iter().enumerate() {
                    people.write(0, column as u16, *text)?;
                }
                survey(book.add_worksheet().set_name("Returns 2026")?, 0, 0, 2)
            })?,
        ),
        (
            "two-tables-side-by-side.xlsx",
            one(|sheet| {
                survey(sheet, 0, 0, 3)?;
                for (row, (code, meaning)) in
                    [("Code", "Meaning"), ("A", "allocated"), ("V", "visitor")].iter().enumerate()
                {
                    sheet.write(row as u32, 6, *code)?;
                    sheet.write(row as u32, 7, *meaning)?;
                }
                Ok(())
            })?,
        ),
        (
            "formulas-with-stored-results.xlsx",
            one(|sheet| {
                survey(sheet, 0, 0, 2)?;
                sheet.write(1, 2, rust_xlsxwriter::Formula::new("=20+15").set_result("35"))?;
                Ok(())
            })?,
        ),
        (
            "only-a-chart-sheet.xlsx",
            one(|sheet| {
                sheet.write_with_format(0, 0, "", &bold)?;
                Ok(())
            })?,
        ),
        (
            "dates-that-look-like-distances.xlsx",
            one(|sheet| {
                survey(sheet, 0, 0, 2)?;
                sheet.write_with_format(1, 3, &ExcelDateTime::from_ymd(2026, 12, 10)?, &day)?;
                Ok(())
            })?,
        ),
    ])
}

#[test]
fn own_files_are_what_our_library_writes() {
    let write = std::env::var_os("BAYWRIGHT_WRITE_CORPUS").is_some();
    for (name, bytes) in files().unwrap() {
        let path = folder().join(name);
        if write {
            fs::write(&path, &bytes).unwrap();
        }
        assert!(fs::read(&path).is_ok_and(|kept| kept == bytes), "{name} is not what this program writes");
    }
}
