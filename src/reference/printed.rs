//! Whole tables with their status and source, for who shows them beside what was looked up in them.
//!
//! It knows no use of them: look-ups are the business of the files beside it.

use crate::table::Table;

/// A table by the name of its file; `None` for one that is not kept whole.
pub(crate) fn printed(name: &str) -> Option<Table> {
    Some(Table::of(match name {
        "conductor" => include_str!("tables/conductor.csv"),
        "correction_factors" => include_str!("tables/correction_factors.csv"),
        "device_ratings" => include_str!("tables/device_ratings.csv"),
        "disconnection" => include_str!("tables/disconnection.csv"),
        "earthing_sizes" => include_str!("tables/earthing_sizes.csv"),
        "let_through" => include_str!("tables/let_through.csv"),
        _ => return None,
    }))
}
