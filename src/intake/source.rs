//! Every kind of file behind one face: its sheets, their rows one at a time, and how they are laid out.

use super::binary::Binary;
use super::delimited::Delimited;
use super::hidden::layout_of;
use super::layout::Layout;
use super::legacy::Legacy;
use super::open_document::OpenDocument;
use super::parquet::Parquet;
use super::preflight::{FileKind, examine};
use super::raw::{RawRow, text_bytes, texts_borne, too_much_text};
use super::signs::SAMPLED;
use super::table::LOOKED_AT;
use super::workbook::{SheetName, StreamNotes, Workbook};
use std::collections::BTreeMap;
use std::ops::ControlFlow;

/// Hands rows on until they hold more text than a file of this size may show; `over` then names the row.
fn bounded<'v>(
    visit: &'v mut dyn FnMut(RawRow) -> ControlFlow<()>,
    size: usize,
    over: &'v mut Option<u32>,
) -> impl FnMut(RawRow) -> ControlFlow<()> + 'v {
    let mut left = texts_borne(size);
    move |row| match left.checked_sub(text_bytes(&row.cells)) {
        Some(rest) => {
            left = rest;
            visit(row)
        }
        None => {
            *over = Some(row.row);
            ControlFlow::Break(())
        }
    }
}

/// Sheets of a file, each of which is looked into for the survey; a sheet a site makes some hundreds (design rule).
pub(super) const MOST_SHEETS: usize = 1000;

/// What is said of a file with more.
pub(super) fn too_many_sheets() -> String {
    format!("it has more than {MOST_SHEETS} sheets; copy the survey into a workbook of its own")
}

/// A source of rows.
pub(super) enum Rows<'a> {
    Workbook(Box<Workbook<'a>>),
    Binary(Box<Binary<'a>>),
    Legacy(Box<Legacy>),
    OpenDocument(OpenDocument<'a>),
    Delimited(Delimited<'a>),
    Parquet(Parquet),
}

impl<'a> Rows<'a> {
    /// Opens bytes, whatever format they have.
    pub fn open(bytes: &'a [u8]) -> Result<(Self, FileKind), String> {
        let kind = examine(bytes)?;
        let rows = match kind {
            FileKind::Workbook => Rows::Workbook(Box::new(Workbook::open(bytes)?)),
            FileKind::Binary => Rows::Binary(Box::new(Binary::open(bytes)?)),
            FileKind::Legacy => Rows::Legacy(Box::new(Legacy::open(bytes)?)),
            FileKind::OpenDocument => Rows::OpenDocument(OpenDocument::open(bytes)?),
            FileKind::Delimited => Rows::Delimited(Delimited::open(bytes)),
            FileKind::Parquet => Rows::Parquet(Parquet::open(bytes)?),
        };
        if rows.sheets().len() > MOST_SHEETS {
            return Err(too_many_sheets());
        }
        Ok((rows, kind))
    }

    /// Whether it has sheets with names.
    pub fn has_sheets(&self) -> bool {
        !matches!(self, Rows::Delimited(_) | Rows::Parquet(_))
    }

    /// Its sheets, in the order of their tabs; one without a name where the format has none.
    pub fn sheets(&self) -> Vec<SheetName> {
        match self {
            Rows::Workbook(book) => book.sheets(),
            Rows::Binary(book) => book.sheets(),
            Rows::Legacy(book) => book.sheets(),
            Rows::OpenDocument(document) => document.sheets(),
            Rows::Delimited(_) | Rows::Parquet(_) => vec![SheetName { name: String::new(), hidden: false }],
        }
    }

    /// Units that number formats show beside the numbers of a column, from `first_row` (from 1) on.
    pub fn units_in_formats(&mut self, sheet: &str, first_row: u32) -> BTreeMap<u16, String> {
        match self {
            Rows::Workbook(book) => book.units_in_formats(sheet, first_row),
            Rows::Binary(book) => book.units_in_formats(sheet, first_row),
            Rows::Legacy(book) => book.units_in_formats(sheet, first_row),
            Rows::OpenDocument(document) => document.units_shown(sheet, first_row),
            Rows::Delimited(_) | Rows::Parquet(_) => BTreeMap::new(),
        }
    }

    /// Hands every row with a filled cell to `visit`, in order, until it breaks off.
    pub fn stream(
        &mut self,
        sheet: &str,
        visit: &mut dyn FnMut(RawRow) -> ControlFlow<()>,
    ) -> Result<StreamNotes, String> {
        let size = match self {
            Rows::Workbook(book) => book.size(),
            Rows::Binary(book) => book.size(),
            Rows::Legacy(book) => book.size(),
            Rows::OpenDocument(document) => document.size(),
            Rows::Delimited(text) => return text.stream(visit).map(|()| StreamNotes::default()),
            Rows::Parquet(table) => {
                let size = table.size();
                let mut over = None;
                table.stream(&mut bounded(visit, size, &mut over))?;
                return over.map_or(Ok(StreamNotes::default()), |row| Err(too_much_text(row)));
            }
        };
        let mut over = None;
        let mut visit = bounded(visit, size, &mut over);
        let notes = match self {
            Rows::Workbook(book) => book.stream(sheet, &mut visit),
            Rows::Binary(book) => book.stream(sheet, &mut visit),
            Rows::Legacy(book) => book.stream(sheet, &mut visit),
            Rows::OpenDocument(document) => document.stream(sheet, &mut visit),
            Rows::Delimited(_) | Rows::Parquet(_) => Ok(StreamNotes::default()),
        };
        drop(visit);
        over.map_or(notes, |row| Err(too_much_text(row)))
    }

    /// The first filled rows of a sheet: those that may hold the headings, and values to know columns by.
    pub fn beginning(&mut self, sheet: &str) -> Result<Vec<RawRow>, String> {
        let mut rows = Vec::with_capacity(LOOKED_AT + SAMPLED);
        self.stream(sheet, &mut |row| {
            rows.push(row);
            if rows.len() < LOOKED_AT + SAMPLED { ControlFlow::Continue(()) } else { ControlFlow::Break(()) }
        })?;
        Ok(rows)
    }

    /// What a sheet hides and merges.
    pub fn layout(&self, bytes: &[u8], sheet: &str) -> Layout {
        match self {
            Rows::Workbook(_) => layout_of(bytes, sheet),
            Rows::Binary(book) => book.layout(sheet),
            Rows::Legacy(book) => book.layout(sheet),
            Rows::OpenDocument(document) => document.layout(sheet),
            Rows::Delimited(_) | Rows::Parquet(_) => Layout::default(),
        }
    }
}
