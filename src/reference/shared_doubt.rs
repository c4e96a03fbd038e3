//! How much of a doubt the homes of one street and age share (`shared_doubts.csv`).

use crate::table::Table;
use std::collections::BTreeMap;
use std::sync::OnceLock;

/// Correlation of one fact between two homes of a street and age, 0 (each by itself) to 1 (all alike); 0 for a fact that
/// is not in the table.
pub fn shared_doubt(field: &str) -> f64 {
    static TABLE: OnceLock<BTreeMap<&'static str, f64>> = OnceLock::new();
    let table = TABLE.get_or_init(|| {
        let table = Table::of(include_str!("tables/shared_doubts.csv"));
        table.rows().map(|row| (row.kept("field"), row.needed("share").clamp(0.0, 1.0))).collect()
    });
    table.get(field).copied().unwrap_or_default()
}
