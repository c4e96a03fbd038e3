//! From a file to sites: which sheet, which row heads it, which column is which field, what each cell says.
//!
//! `read` is the door. Nothing is assumed here and nothing is judged: a value that is not understood is unknown, with
//! a note that says why. This room knows `quantity` (to convert at the edge) and `site`, and no room after them.

mod dates;
mod delimited;
mod identifiers;
mod numbers;
mod preflight;
mod raw;
mod scan;
mod types;
mod words;
mod workbook;

pub use types::*;
