//! From a file to sites: which sheet, which row heads it, which column is which field, what each cell says.
//!
//! `read` is the door. Nothing is assumed here and nothing is judged: a value that is not understood is unknown, with
//! a note that says why. This room knows `quantity` (to convert at the edge) and `site`, and no room after them.

mod alike;
mod answer;
mod aside;
mod beside;
mod binary;
mod by_words;
mod choose;
mod claims;
mod clashes;
mod column_dates;
mod compound;
mod contradictions;
mod conversions;
mod copied;
mod dates;
mod delimited;
mod describe;
mod describe_columns;
mod describe_layers;
mod ditto;
mod door;
mod duplicates;
mod evidence;
mod figure_text;
mod figures;
mod fleets;
#[cfg(test)]
mod fleets_tests;
mod gather;
mod grammar;
mod grounds;
mod guarded;
mod half_hours;
mod head_words;
mod heading_units;
mod headings;
mod hearsay;
mod hidden;
#[cfg(test)]
mod hostile_files;
#[cfg(test)]
mod hygiene_tests;
mod identifiers;
mod inspection;
mod join;
#[cfg(test)]
mod joined_tests;
#[cfg(test)]
mod known_columns;
mod lay;
mod layer;
mod layers;
mod layout;
mod legacy;
mod legacy_records;
mod legend;
#[cfg(test)]
mod long_headings;
mod mapping;
mod merged;
#[cfg(test)]
mod messy_sheets;
mod meter;
mod near;
mod needed;
mod neighbours;
mod not_known;
mod number_format;
mod number_words;
mod numbers;
mod open_cells;
mod open_document;
#[cfg(test)]
mod other_formats;
mod other_sheets;
mod outcomes;
#[cfg(test)]
mod outcomes_tests;
mod own_keys;
mod parquet;
#[cfg(feature = "parquet")]
mod parquet_pages;
mod parts;
mod personal;
mod phases;
mod places;
mod preflight;
mod profiles;
mod promote;
mod raw;
mod readings;
mod references;
mod rivals;
mod rows;
mod saved_mapping;
mod scan;
mod second_table;
mod several;
#[cfg(test)]
mod several_tests;
mod shortened;
mod side_sheets;
mod signs;
mod slots;
mod source;
mod spellings;
mod stated_facts;
mod sums;
#[cfg(test)]
mod survey_lines;
mod survey_sheets;
mod table;
mod template;
mod times;
mod together;
mod twins;
mod two_facts;
mod types;
mod units;
mod values;
mod whole_columns;
mod whole_times;
mod worded;
mod words;
mod workbook;

pub use alike::{Example, Group};
pub use answer::{Answer as Assessable, Gap, Word, gaps};
pub use aside::{Cause, Difference, Newer, SamePlace};
pub use clashes::Clash;
pub use describe::describe;
pub use describe_layers::describe_layers;
pub use door::{read, read_bytes};
pub use grounds::{Grounds, Sure};
pub use inspection::{AsideLine, ColumnLine, Inspection, SheetColumns, Worth, inspection, one_line, worth};
pub use layer::{Fate, Layer, LayerKind, LayerLine};
pub use layers::{read_bytes_with, read_with};
pub use mapping::{Mapping, read_mapping};
pub use outcomes::{OutcomesRead, outcomes_of_bytes, read_outcomes};
pub use personal::{LeftOut, personal_cells, personal_columns, share, share_supply_numbers};
pub use saved_mapping::save_mapping;
pub use template::template_workbook;
pub use types::*;
