//! What a site owes to files other than the portfolio: which values came from them, and where they disagree with it.

use std::sync::Arc;

/// One cell of one file, with what stands in it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Cited {
    /// File name without its folder, with its sheet where it has several.
    pub file: Arc<str>,
    /// Row, counted from 1.
    pub row: u32,
    /// Column, counted from 0; `None` where the value has no cell of its own.
    pub column: Option<u16>,
    /// As written.
    pub text: String,
}

/// A value that came from another file than the portfolio. The column of its reading is then `None`.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Elsewhere {
    /// Survey field.
    pub field: &'static str,
    /// Its cell.
    pub cell: Cited,
}

/// Two files that answer the same question differently.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Conflict {
    /// Survey field.
    pub field: &'static str,
    /// The answer that stands.
    pub stands: Cited,
    /// The answer that does not.
    pub other: Cited,
    /// Whether the answer that stands is that of the later survey.
    pub by_date: bool,
    /// Whether it has to be settled before the site can be judged: cut-out, loop or earthing, and no later survey that
    /// saw it.
    pub open: bool,
}
