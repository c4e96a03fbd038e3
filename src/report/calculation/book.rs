//! The workbook of calculations: one sheet a site, in the order in which they were asked for, then their sources. It knows no destination:
//! the bytes go to a writer.

use super::status::Register;
use super::{Calculation, sheet};
use crate::report::jump::attribute_holds;
use crate::report::page_writer::Sheets;
use crate::report::workbook::{WorkbookError, guarded, properties};
use crate::report::writer::PageMarks;
use crate::report::{Run, figures, page_writer};
use crate::verdict::Judgement;
use rust_xlsxwriter::Workbook;
use std::io::Write;

/// Characters that a sheet's name may have.
const LONGEST_NAME: usize = 31;

/// Writes a workbook with one sheet for each of `judgements`, sites of `run`, to be printed on two sheets of paper each.
///
/// # Errors
/// When the library refuses a cell (which a test would show) or when the disk of the writer is full.
pub fn write_calculations(
    run: &Run<'_>,
    judgements: &[Judgement],
    writer: impl Write + Send,
) -> Result<(), WorkbookError> {
    guarded(|| {
        let marks = PageMarks { file: run.intake.source.name.clone(), date: figures::date(run.as_of) };
        let mut workbook = Workbook::new();
        workbook.set_properties(&properties(run, "calculations"));
        let mut register = Register::default();
        let mut taken = vec![sheet::SOURCES_SHEET.to_owned()];
        for judgement in judgements {
            let name = sheet_name(&judgement.brief.site_id, judgement.brief.row, &taken);
            let mut calculation = Calculation::of(judgement);
            calculation.cite_as(&register.take(&calculation.basis));
            let page = sheet::page(run, &calculation);
            let subject = format!("Calculation of {}", judgement.brief.site_id);
            let print = page_writer::Print { subject: &subject, sheets: Sheets::Two };
            page_writer::fill(workbook.add_worksheet(), &name, &page, &print, &marks)?;
            taken.push(name);
        }
        let print = page_writer::Print { subject: sheet::SOURCES_SHEET, sheets: Sheets::Any };
        let page = sheet::sources_page(run, &register);
        page_writer::fill(workbook.add_worksheet(), sheet::SOURCES_SHEET, &page, &print, &marks)?;
        workbook.save_to_writer(writer)
    })
}

/// A name that a sheet may have: the site's, without what the file format forbids, not yet taken whatever the case.
pub(in crate::report) fn sheet_name(site_id: &str, row: u32, taken: &[String]) -> String {
    let plain: String = site_id
        .chars()
        .map(|character| if "[]:*?/\\".contains(character) || !attribute_holds(character) { '-' } else { character })
        .collect();
    let plain = plain.trim_matches(|character: char| character == '\'' || character.is_whitespace());
    // One name is kept by spreadsheet programs for themselves.
    let base =
        if plain.is_empty() || plain.eq_ignore_ascii_case("history") { format!("Row {row}") } else { plain.into() };
    let cut = |text: &str, room: usize| {
        let mut units = 0;
        let kept = text.chars().take_while(|character| {
            units += character.len_utf16();
            units <= room
        });
        kept.collect::<String>().trim_end_matches('\'').to_owned()
    };
    let is_free = |name: &String| !taken.iter().any(|other| other.to_lowercase() == name.to_lowercase());
    let first = std::iter::once(cut(&base, LONGEST_NAME));
    let numbered = (2_u32..).map(|number| {
        let mark = format!(" ({number})");
        format!("{}{mark}", cut(&base, LONGEST_NAME - mark.len()))
    });
    first.chain(numbered).find(is_free).unwrap_or(base)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::fixture::Fixture;
    use calamine::{Reader, Xlsx};

    #[test]
    fn names_of_sheets_are_such_as_the_file_format_allows() {
        let mut taken = Vec::new();
        let long = "9".repeat(40);
        let mut named = |site: &str| {
            let name = sheet_name(site, 7, &taken);
            taken.push(name.clone());
            name
        };
        assert_eq!(named("H0214"), "H0214");
        assert_eq!(named("h0214"), "h0214 (2)");
        assert_eq!(named("A/B: 'x'"), "A-B- 'x");
        assert_eq!(named("History"), "Row 7");
        assert_eq!(named(""), "Row 7 (2)");
        assert_eq!(named(&long).len(), 31);
        let second = named(&long);
        assert!(second.len() == 31 && second.ends_with(" (2)"), "{second}");
    }

    #[test]
    fn every_site_asked_for_has_its_sheet_and_the_same_bytes_come_again() {
        let fixture = Fixture::new(6);
        let run = fixture.run();
        let judgements: Vec<_> = run.portfolio.sites.iter().map(|site| (*site.judgement).clone()).collect();
        let bytes = || {
            let mut bytes = Vec::new();
            write_calculations(&run, &judgements, &mut bytes).expect("a workbook");
            bytes
        };
        let written = bytes();
        assert!(written == bytes(), "the bytes differ");
        let mut book: Xlsx<_> = calamine::open_workbook_from_rs(std::io::Cursor::new(written)).expect("it opens again");
        let mut names: Vec<_> = judgements.iter().map(|judgement| judgement.brief.site_id.clone()).collect();
        names.push("Sources".to_owned());
        assert_eq!(book.sheet_names(), names);
        let range = book.worksheet_range(&names[0]).expect("a sheet");
        let texts: Vec<String> = range.used_cells().map(|(_, _, cell)| cell.to_string()).collect();
        assert!(texts.iter().any(|text| text == "Voltage drop"), "{texts:?}");
        let sources = book.worksheet_range("Sources").expect("the sheet of sources");
        let texts: Vec<String> = sources.used_cells().map(|(_, _, cell)| cell.to_string()).collect();
        assert!(texts.iter().any(|text| text == "table 4D4B") && texts.iter().any(|text| text == "[1]"), "{texts:?}");
    }
}
