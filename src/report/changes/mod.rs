//! What changed between two results, for people and programs: a page on the terminal, a workbook of a page and two
//! sheets, a JSON document. How results are compared it does not know.

mod json;
mod page;
mod record;
mod sheets;
mod terminal;
mod words;

pub use json::write_changes_json;
pub use record::ChangesDocument;
pub use terminal::changes_page;

use super::PriceNote;
use super::figures::{count, date};
use super::formats::Formats;
use super::grid::names;
use super::page_writer;
use super::workbook::{WorkbookError, compression_level, dated, guarded};
use super::writer::{PageMarks, fill};
use crate::compare::{Became, By, Comparison, InputChange, ResultRead};
use jiff::civil::Date;
use rust_xlsxwriter::{DocProperties, Workbook};
use std::io::Write;

/// Changes told on the terminal and on page one.
const MATTER_MOST: usize = 10;

/// Writes the workbook of what changed. `day` dates the file, there is no clock; `prices` gives items their words.
///
/// # Errors
/// When the library refuses a cell (which a test would show) or when the disk of the writer is full.
pub fn write_changes(
    found: &Comparison<'_>,
    prices: &[PriceNote],
    day: Date,
    writer: impl Write + Send,
) -> Result<(), WorkbookError> {
    guarded(|| {
        let file = format!("{} to {}", found.before.file, found.after.file);
        let marks = PageMarks { file, date: date(day) };
        let words = words::Words::of(prices);
        let mut workbook = Workbook::new();
        workbook.set_zip_compression_level(compression_level(found.pairs.len()));
        workbook.set_properties(&properties(found, day));
        let formats = Formats::register(&mut workbook);
        let print = page_writer::Print { subject: names::SUMMARY, sheets: page_writer::Sheets::Any };
        page_writer::fill(workbook.add_worksheet(), names::SUMMARY, &page::page(found, &words), &print, &marks)?;
        for sheet in [sheets::changed(found, &words), sheets::came_and_went(found)] {
            let mut worksheet = workbook.new_worksheet_with_constant_memory()?;
            fill(&mut worksheet, sheet, &formats, &marks)?;
            workbook.push_worksheet(worksheet);
        }
        workbook.save_to_writer(writer)
    })
}

fn properties(found: &Comparison<'_>, day: Date) -> DocProperties {
    let properties = DocProperties::new()
        .set_title(format!("What changed from {} to {}", found.before.file, found.after.file))
        .set_comment("A desk-top screen: a qualified designer verifies each site before work.")
        .set_custom_property("Baywright version", env!("CARGO_PKG_VERSION"));
    dated(properties, day)
}

/// One result in a line: file, sites, date, what it rests on.
fn side_line(document: &ResultRead) -> String {
    let named = [
        ("portfolio", document.inputs.portfolio.value().map(|file| file.name.as_str())),
        ("rules", document.inputs.rules.value().map(|file| file.name.as_str())),
        ("prices", document.inputs.price_book.value().map(|file| file.name.as_str())),
        ("stance", document.summary.stance.value().map(String::as_str)),
        ("as of", document.summary.as_of.value().map(String::as_str)),
    ];
    let named: Vec<String> = named
        .into_iter()
        .filter_map(|(what, name)| name.filter(|name| !name.is_empty()).map(|name| format!("{what} {name}")))
        .collect();
    format!("{}: {}; {}", document.file, count(document.sites.len(), "site"), named.join(", "))
}

/// An input that is another, with its two names where they differ; one of which nothing is told says so.
fn input_line(input: &InputChange) -> Option<String> {
    let word = input.input.word();
    let name = |name: &str| if name.is_empty() { "none".to_owned() } else { name.to_owned() };
    match input.became {
        Became::Same => None,
        Became::Other if input.before == input.after => Some(format!("{word} ({}, changed)", input.after)),
        Became::Other => Some(format!("{word} ({}, was {})", name(&input.after), name(&input.before))),
        Became::NotTold => Some(format!("{word} (not told by both)")),
    }
}

/// What a result lacks.
fn lacks_line(document: &ResultRead) -> Option<String> {
    (!document.lacks.is_empty()).then(|| {
        format!(
            "{} was written by version {} and lacks {}: nothing is said of that.",
            document.file,
            document.version,
            document.lacks.join(", ")
        )
    })
}

/// Who is who: "433 sites in both (430 by UPRN, 3 by site_id), 1 came, 2 went."
fn matched_line(found: &Comparison<'_>) -> String {
    let ways: Vec<String> = By::ALL
        .into_iter()
        .map(|by| (found.found(by), by.word()))
        .filter(|(many, _)| *many > 0)
        .map(|(many, word)| format!("{many} by {word}"))
        .collect();
    let ways = if ways.is_empty() { String::new() } else { format!(" ({})", ways.join("; ")) };
    format!(
        "{} in both{ways}, {} came, {} went; {} changed.",
        count(found.pairs.len(), "site"),
        found.came.len(),
        found.went.len(),
        found.changed.len()
    )
}
