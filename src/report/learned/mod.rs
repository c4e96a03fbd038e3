//! What outcomes tell, for people and programs: a page on the terminal, a workbook, a JSON document. How it was learned it
//! does not know.

mod json;
mod page;
mod record;
mod sheets;
mod terminal;
mod words;

pub use json::write_learned_json;
pub use record::LearnedDocument;
pub use terminal::learned_page;

use super::figures::date;
use super::formats::Formats;
use super::grid::names;
use super::page_writer;
use super::workbook::{WorkbookError, compression_level, dated, guarded};
use super::writer::{PageMarks, fill};
use super::{InputFile, Inputs, PriceNote};
use crate::learn::Learned;
use crate::site::NotLearned;
use jiff::civil::Date;
use rust_xlsxwriter::{DocProperties, Workbook};
use std::io::Write;

/// Everything that is told of outcomes.
#[derive(Clone, Copy, Debug)]
pub struct LearnedRun<'a> {
    /// What was learned.
    pub learned: &'a Learned,
    /// Rows, cells and columns of outcomes that could not be used.
    pub not_used: &'a [NotLearned],
    /// Rows of outcomes that were read.
    pub rows_read: usize,
    /// Sites that were judged, with an outcome or not.
    pub judged: usize,
    /// The files of outcomes.
    pub outcomes: &'a [InputFile],
    /// What the judgements rest on.
    pub inputs: &'a Inputs,
    /// The lines of the price book.
    pub prices: &'a [PriceNote],
    /// How unasked facts were taken.
    pub stance: &'a str,
    /// Date of the judgements.
    pub as_of: Date,
    /// Weights and tasks of fewer sites are not proposed.
    pub least_sites: u32,
    /// Nor what moved by no more than this many standard errors.
    pub told_by_errors: f64,
}

/// Writes the workbook of what outcomes tell.
///
/// # Errors
/// When the library refuses a cell (which a test would show) or when the disk of the writer is full.
pub fn write_learned(run: &LearnedRun<'_>, writer: impl Write + Send) -> Result<(), WorkbookError> {
    guarded(|| {
        let marks = PageMarks { file: run.inputs.portfolio.name.clone(), date: date(run.as_of) };
        let mut workbook = Workbook::new();
        workbook.set_zip_compression_level(compression_level(run.learned.sites.len()));
        let properties = DocProperties::new()
            .set_title(format!("Outcomes of {}", run.inputs.portfolio.name))
            .set_comment("A desk-top screen: a qualified designer verifies each site before work.")
            .set_custom_property("Baywright version", env!("CARGO_PKG_VERSION"));
        workbook.set_properties(&dated(properties, run.as_of));
        let formats = Formats::register(&mut workbook);
        let print = page_writer::Print { subject: names::OUTCOMES, sheets: page_writer::Sheets::Any };
        page_writer::fill(workbook.add_worksheet(), names::OUTCOMES, &page::page(run), &print, &marks)?;
        for sheet in [sheets::sites(run), sheets::priors(run), sheets::tasks(run), sheets::not_used(run)] {
            let mut worksheet = workbook.new_worksheet_with_constant_memory()?;
            fill(&mut worksheet, sheet, &formats, &marks)?;
            workbook.push_worksheet(worksheet);
        }
        workbook.save_to_writer(writer)
    })
}
