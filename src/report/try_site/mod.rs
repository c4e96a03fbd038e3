//! The sheet "Try a site": the checks of one point reckoned a second time by formulas of the workbook, from the facts
//! and tables that stand in it, with any fact changed. It knows judgements and rules, and chooses nothing.

mod book;
mod cables;
mod data;
mod evaluate;
mod figures;
mod formula;
mod lines;
mod sheet;
mod styles;
mod table_sheet;
mod tables;
#[cfg(test)]
mod tests;

pub(super) use styles::Styles;

use super::Run;
use super::extent::Extent;
use super::grid::{Sheet, names};
use super::named::define;
use super::writer::PageMarks;
use book::Book;
use data::Tried;
use evaluate::Value;
use rust_xlsxwriter::{Workbook, Worksheet, XlsxError};
use std::collections::{BTreeMap, BTreeSet};

/// The sheets that reckon a site again.
pub(super) struct TrySite<'a> {
    book: Book<'a>,
    sites: usize,
}

impl<'a> TrySite<'a> {
    /// Of a run; `None` where no site can be tried.
    pub(super) fn of(run: &Run<'a>, extent: Extent) -> Option<Self> {
        let mut seen = BTreeSet::new();
        let live = run.portfolio.sites.iter().take(extent.live).filter_map(Tried::of);
        let found = live.filter(|site| is_found(site.id()) && seen.insert(site.id().to_lowercase()));
        let book = Book::of(found.collect(), run.rules)?;
        Some(Self { book, sites: run.portfolio.sites.len() })
    }

    /// The sheet of the sites.
    pub(super) fn data_sheet(&self) -> Sheet<'_> {
        data::sheet(&self.book.sites)
    }

    /// The sheet itself and that of the tables, with what their names stand for defined in the workbook.
    pub(super) fn sheets(
        &self,
        workbook: &mut Workbook,
        marks: &PageMarks,
    ) -> Result<(Worksheet, Worksheet), XlsxError> {
        let first = self.book.sites.first().map_or(Value::Blank, |site| site.id().into());
        let inputs = BTreeMap::from([("your_site".to_owned(), first)]);
        let reckoned = self.book.reckoned(&inputs);
        let tried = (self.book.sites.len(), self.sites);
        let (page, mut places) = sheet::sheet(&self.book, &reckoned, tried, marks)?;
        let (tables, places_of_tables) = table_sheet::sheet(&self.book, marks)?;
        places.extend(places_of_tables);
        let last = u32::try_from(self.book.sites.len()).unwrap_or(u32::MAX);
        for (column, (name, _)) in (0..).zip(data::columns()) {
            places.push((name, (names::TRY_DATA, 1, column, last, column)));
        }
        for (name, (sheet, top, left, bottom, right)) in places {
            define(workbook, &name, sheet, (top, left), (bottom, right))?;
        }
        Ok((page, tables))
    }
}

/// Whether spreadsheet programs find a site by this identifier and no other: some characters stand for any text there, and
/// long texts are not looked for. They tell no capitals apart either.
fn is_found(id: &str) -> bool {
    const LONGEST: usize = 255;
    id.chars().count() <= LONGEST && !id.contains(['*', '?', '~'])
}
