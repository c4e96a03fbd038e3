//! Which distributors serve a postcode area (`postcode_areas.csv`), to hold a supply number against its address.
//!
//! From memory, and only for areas that are well known; an area that is not in the table says nothing. It knows no file.

use crate::table::Table;
use std::collections::BTreeMap;
use std::sync::OnceLock;

/// Distributor numbers from here on are independent operators, whose networks lie anywhere (published description of
/// the supply number).
const FIRST_INDEPENDENT: u8 = 24;

/// The area operators that serve a postcode's area; `None` for areas that are not in the table.
pub fn distributors_at(postcode: &str) -> Option<&'static [u8]> {
    static AREAS: OnceLock<BTreeMap<&'static str, Vec<u8>>> = OnceLock::new();
    let areas = AREAS.get_or_init(|| {
        Table::of(include_str!("postcode_areas.csv"))
            .rows()
            .map(|row| (row.kept("area"), row.text("distributors").split('|').flat_map(str::parse).collect()))
            .collect()
    });
    let letters = postcode.bytes().take_while(u8::is_ascii_uppercase).count();
    areas.get(postcode.get(..letters)?).map(Vec::as_slice)
}

/// Whether a distributor cannot be the one at this postcode: both are known, neither is independent, and they differ.
pub fn distributor_elsewhere(distributor: u8, postcode: &str) -> bool {
    distributor < FIRST_INDEPENDENT && distributors_at(postcode).is_some_and(|known| !known.contains(&distributor))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_area_names_its_operators_and_an_unknown_one_says_nothing() {
        assert_eq!(distributors_at("PL4 8AA"), Some(&[22][..]));
        assert_eq!(distributors_at("DN1 2AB"), Some(&[11, 23][..]));
        assert!(distributor_elsewhere(10, "PL4 8AA"));
        assert!(!distributor_elsewhere(22, "PL4 8AA"));
        assert!(!distributor_elsewhere(24, "PL4 8AA"), "an independent network lies anywhere");
        for invented in ["QX4 7LP", "", "4PL"] {
            assert!(!distributor_elsewhere(10, invented), "{invented}");
        }
    }

    #[test]
    fn every_row_names_area_operators_and_no_others() {
        for row in Table::of(include_str!("postcode_areas.csv")).rows() {
            let named: Vec<Option<u8>> = row.text("distributors").split('|').map(|id| id.parse().ok()).collect();
            assert!(!named.is_empty() && named.iter().all(|id| id.is_some_and(|id| (10..24).contains(&id))));
            assert!(!row.text("status").is_empty() && !row.text("source").is_empty());
        }
    }
}
