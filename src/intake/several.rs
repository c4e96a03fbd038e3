//! The sheets that are read together: their columns and names, for whatever compares rows of several.
//!
//! It finds places and names them; it reads nothing.

use super::types::{Column, SheetRead, columns_of};

/// The sheets beside one another. `columns` are those with a heading, as the cells of a row are until all are placed.
#[derive(Clone, Copy)]
pub(super) struct Sheets<'a> {
    pub columns: &'a [Column],
    pub read: &'a [SheetRead],
}

impl<'a> Sheets<'a> {
    /// The columns of a sheet, in the order of the cells of its rows.
    pub fn columns(&self, sheet: u16) -> &'a [Column] {
        columns_of(self.columns, sheet)
    }

    /// The place of a column among the cells of a row.
    pub fn place(&self, sheet: u16, column: u16) -> Option<usize> {
        self.columns(sheet).iter().position(|known| known.index == column)
    }

    /// The place of a field among the cells of a row.
    pub fn place_of(&self, sheet: u16, field: &str) -> Option<usize> {
        self.columns(sheet).iter().position(|column| column.field.is_some_and(|known| known.name == field))
    }

    /// The column of a field.
    pub fn column_of(&self, sheet: u16, field: &str) -> Option<u16> {
        self.place_of(sheet, field).and_then(|at| self.columns(sheet).get(at)).map(|column| column.index)
    }

    /// The name of another sheet than one's own.
    pub fn other(&self, own: u16, other: u16) -> Option<&'a str> {
        if own == other { None } else { self.read.get(usize::from(other)).map(|sheet| sheet.name.as_str()) }
    }

    /// What stands behind a row or cell of another sheet than one's own; nothing on the same one.
    pub fn beside(&self, own: u16, other: u16) -> String {
        self.other(own, other).map_or_else(String::new, |name| format!(" of sheet \"{name}\""))
    }
}

/// The key that a row without one is given.
pub(super) fn made_key(sheet: u16, row: u32) -> String {
    match sheet {
        0 => format!("row-{row:04}"),
        _ => format!("sheet-{}-row-{row:04}", u32::from(sheet) + 1),
    }
}
