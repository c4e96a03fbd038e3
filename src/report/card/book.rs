//! Cards on paper, one sheet a site in the order in which they were asked for, and on the terminal. It knows no
//! destination: the bytes go to a writer.

use super::{Card, CardSite, page};
use crate::report::calculation::book::sheet_name;
use crate::report::page_writer::{self, Sheets};
use crate::report::workbook::{WorkbookError, guarded, properties};
use crate::report::writer::PageMarks;
use crate::report::{Run, figures};
use rust_xlsxwriter::Workbook;
use std::io::Write;

/// Writes a workbook with one card for each of `sites`.
///
/// # Errors
/// When the library refuses a cell (which a test would show) or when the disk of the writer is full.
pub fn write_cards(run: &Run<'_>, sites: &[CardSite<'_>], writer: impl Write + Send) -> Result<(), WorkbookError> {
    guarded(|| {
        let marks = PageMarks { file: run.intake.source.name.clone(), date: figures::date(run.as_of) };
        let mut workbook = Workbook::new();
        workbook.set_properties(&properties(run, "job cards"));
        let mut taken = Vec::with_capacity(sites.len());
        for site in sites {
            let brief = &site.judgement.brief;
            let name = sheet_name(&brief.site_id, brief.row, &taken);
            let page = page::page(&Card::of(run, *site));
            let subject = format!("Job card of {}", brief.site_id);
            let print = page_writer::Print { subject: &subject, sheets: Sheets::One };
            page_writer::fill(workbook.add_worksheet(), &name, &page, &print, &marks)?;
            taken.push(name);
        }
        workbook.save_to_writer(writer)
    })
}

/// The card of one site as text.
pub fn card_text(run: &Run<'_>, site: CardSite<'_>) -> String {
    let card = Card::of(run, site);
    let mut text = format!("Job card  {}\n  {}\n  {}\n", card.title, card.may_start, card.next);
    for block in card.blocks() {
        text.push_str(&format!("\n{}\n", block.title));
        for line in &block.lines {
            text.push_str(&format!("  {line}\n"));
        }
    }
    text.push_str(&format!(
        "\n{}\nA desk-top design: a qualified designer verifies the site before work.\n",
        card.foot
    ));
    text
}
