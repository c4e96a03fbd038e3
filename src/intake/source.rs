//! Where rows come from: a workbook's sheets or one delimited text, read alike. It knows cells, not what they mean.

use super::delimited::Delimited;
use super::preflight::{FileKind, examine};
use super::raw::RawRow;
use super::signs::SAMPLED;
use super::table::LOOKED_AT;
use super::workbook::{SheetName, StreamNotes, Workbook};
use std::collections::BTreeMap;
use std::ops::ControlFlow;

/// A source of rows.
pub(super) enum Rows<'a> {
    Workbook(Box<Workbook<'a>>),
    Delimited(Delimited<'a>),
}

impl<'a> Rows<'a> {
    /// Opens bytes, whatever format they have.
    pub(super) fn open(bytes: &'a [u8]) -> Result<(Self, FileKind), String> {
        let kind = examine(bytes)?;
        let rows = match kind {
            FileKind::Workbook => Rows::Workbook(Box::new(Workbook::open(bytes)?)),
            FileKind::Delimited => Rows::Delimited(Delimited::open(bytes)),
        };
        Ok((rows, kind))
    }

    pub(super) fn sheets(&self) -> Vec<SheetName> {
        match self {
            Rows::Workbook(book) => book.sheets(),
            Rows::Delimited(_) => vec![SheetName { name: String::new(), hidden: false }],
        }
    }

    pub(super) fn units_in_formats(&mut self, sheet: &str, first_row: u32) -> BTreeMap<u16, String> {
        match self {
            Rows::Workbook(book) => book.units_in_formats(sheet, first_row),
            Rows::Delimited(_) => BTreeMap::new(),
        }
    }

    pub(super) fn stream(
        &mut self,
        sheet: &str,
        visit: &mut dyn FnMut(RawRow) -> ControlFlow<()>,
    ) -> Result<StreamNotes, String> {
        match self {
            Rows::Workbook(book) => book.stream(sheet, visit),
            Rows::Delimited(text) => text.stream(visit).map(|()| StreamNotes::default()),
        }
    }

    /// The first filled rows of a sheet: those that may hold the headings, and values to know columns by.
    pub(super) fn beginning(&mut self, sheet: &str) -> Result<Vec<RawRow>, String> {
        let mut rows = Vec::with_capacity(LOOKED_AT + SAMPLED);
        self.stream(sheet, &mut |row| {
            rows.push(row);
            if rows.len() < LOOKED_AT + SAMPLED { ControlFlow::Continue(()) } else { ControlFlow::Break(()) }
        })?;
        Ok(rows)
    }
}
