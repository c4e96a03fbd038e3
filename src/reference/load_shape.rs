//! How the load of a place runs over the day where nobody has its half-hours (`load_shapes.csv`).

use crate::table::Table;
use std::collections::BTreeMap;
use std::sync::OnceLock;

/// Half-hours of a day.
const HALF_HOURS: usize = 48;

/// Share of the day's peak in each half-hour from midnight, by use: home, block, workplace, depot. 1 throughout, the
/// safe side, for a use that the table does not know.
pub fn load_shape(use_of_place: &str) -> &'static [f64; HALF_HOURS] {
    static TABLE: OnceLock<BTreeMap<String, [f64; HALF_HOURS]>> = OnceLock::new();
    static LEVEL: [f64; HALF_HOURS] = [1.0; HALF_HOURS];
    let table = TABLE.get_or_init(|| {
        let mut table: BTreeMap<String, [f64; HALF_HOURS]> = BTreeMap::new();
        for row in Table::of(include_str!("tables/load_shapes.csv")).rows() {
            let shape = table.entry(row.text("use").to_owned()).or_insert(LEVEL);
            if let Some(slot) = shape.get_mut(row.needed("half_hour") as usize) {
                *slot = row.needed("share_of_peak");
            }
        }
        table
    });
    table.get(use_of_place).unwrap_or(&LEVEL)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_shape_has_its_peak_and_none_is_over_it() {
        for word in ["home", "block", "workplace", "depot"] {
            let shape = load_shape(word);
            assert!(shape.iter().all(|share| (0.1..=1.0).contains(share)), "{word}");
            assert_eq!(shape.iter().copied().fold(0.0, f64::max), 1.0, "{word}");
        }
        assert!(load_shape("no such use").iter().all(|share| *share == 1.0));
        // Homes are highest in the evening, workplaces by day.
        assert!(load_shape("home")[36] > 0.9 && load_shape("home")[6] < 0.3);
        assert!(load_shape("workplace")[22] > 0.9 && load_shape("workplace")[6] < 0.4);
    }
}
