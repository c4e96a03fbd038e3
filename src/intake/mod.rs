//! From a file to sites: which sheet, which row heads it, which column is which field, what each cell says.
//!
//! `read` is the door. Nothing is assumed here and nothing is judged: a value that is not understood is unknown, with
//! a note that says why. This room knows `quantity` (to convert at the edge) and `site`, and no room after them.

mod beside;
mod binary;
mod choose;
mod claims;
mod compound;
mod dates;
mod delimited;
mod describe;
mod door;
mod duplicates;
mod figures;
mod gather;
mod grammar;
mod guarded;
mod headings;
mod hidden;
#[cfg(test)]
mod hostile_files;
mod identifiers;
mod layout;
mod legacy;
mod legacy_records;
#[cfg(test)]
mod messy_sheets;
mod needed;
mod number_format;
mod numbers;
mod open_cells;
mod open_document;
mod parquet;
mod preflight;
mod raw;
mod rows;
mod scan;
mod slots;
mod sources;
mod table;
mod template;
mod types;
mod units;
mod values;
mod words;
mod workbook;

pub use describe::describe;
pub use door::{read, read_bytes};
pub use template::template_workbook;
pub use types::*;
