//! From a file to sites: which sheet, which row heads it, which column is which field, what each cell says.
//!
//! `read` is the door. Nothing is assumed here and nothing is judged: a value that is not understood is unknown, with
//! a note that says why. This room knows `quantity` (to convert at the edge) and `site`, and no room after them.

mod beside;
mod claims;
mod dates;
mod delimited;
mod describe;
mod door;
mod duplicates;
mod evidence;
mod figures;
mod gather;
mod grammar;
mod headings;
mod hidden;
#[cfg(test)]
mod hostile_files;
mod identifiers;
#[cfg(test)]
mod known_columns;
mod mapping;
#[cfg(test)]
mod messy_sheets;
mod near;
mod needed;
mod numbers;
mod preflight;
mod raw;
mod rows;
mod scan;
mod signs;
mod slots;
mod table;
mod template;
mod types;
mod units;
mod values;
mod words;
mod workbook;

pub use describe::describe;
pub use door::{read, read_bytes};
pub use mapping::{Mapping, read_mapping, save_mapping};
pub use template::template_workbook;
pub use types::*;
