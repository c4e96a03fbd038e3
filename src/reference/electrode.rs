//! Rods in line: the factor by which they are worse than rods that do not see each other (`electrode_lambda.csv`).

use crate::table::Table;
use std::sync::OnceLock;

/// BS 7430's factor for this many rods in line; between rows the next higher, which gives the higher resistance.
///
/// One rod has none (0). `None` above ten rods, where the table ends. Two rods are seen in print, the rest is memory.
pub fn rods_in_line_lambda(rods: u32) -> Option<f64> {
    static TABLE: OnceLock<Vec<(f64, f64)>> = OnceLock::new();
    if rods <= 1 {
        return Some(0.0);
    }
    TABLE
        .get_or_init(|| {
            Table::of(include_str!("tables/electrode_lambda.csv"))
                .rows()
                .map(|row| (row.needed("rods"), row.needed("lambda")))
                .collect()
        })
        .iter()
        .find(|(count, _)| f64::from(rods) <= *count)
        .map(|(_, lambda)| *lambda)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn between_rows_the_harsher_rules() {
        assert_eq!(rods_in_line_lambda(1), Some(0.0));
        assert_eq!(rods_in_line_lambda(2), Some(1.0));
        assert_eq!(rods_in_line_lambda(7), Some(3.39));
        assert_eq!(rods_in_line_lambda(11), None);
    }
}
