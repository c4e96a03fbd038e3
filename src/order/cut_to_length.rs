//! Which cable may be bought cut to the length of one piece: `cut_to_length.csv`, by item code and conductor size, with
//! the least length and the charge for a cut, each row with its status and source. It knows no piece.

use crate::quantity::Pence;
use crate::table::{Row, Table};
use std::sync::OnceLock;

/// On what terms a piece is cut to length. Lengths are whole metres.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Terms {
    stem: String,
    from_mm2: f64,
    to_mm2: f64,
    /// Least length that is sold, metres.
    pub(super) least_m: u32,
    /// Charge for a cut, before tax.
    pub(super) charge: Pence,
}

fn rows() -> &'static [Terms] {
    static ROWS: OnceLock<Vec<Terms>> = OnceLock::new();
    ROWS.get_or_init(|| {
        let read = |row: Row<'_>| Terms {
            stem: row.text("stem").to_owned(),
            from_mm2: row.needed("from_mm2"),
            to_mm2: row.needed("to_mm2"),
            least_m: row.needed("least_m").max(0.0) as u32,
            charge: Pence::from_pounds(row.needed("charge_gbp")),
        };
        Table::of(include_str!("cut_to_length.csv")).rows().map(read).collect()
    })
}

/// The terms for a cable; `None` where it is sold in whole lengths alone.
pub(super) fn terms(item: &str, csa_mm2: f64) -> Option<&'static Terms> {
    rows().iter().find(|row| item.starts_with(&row.stem) && csa_mm2 > row.from_mm2 && csa_mm2 <= row.to_mm2)
}

impl Terms {
    /// Metres bought for a piece.
    pub(super) fn bought_m(&self, piece_dm: u32) -> u32 {
        piece_dm.div_ceil(10).max(self.least_m)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_row_is_whole_and_says_how_well_it_is_known() {
        let table = Table::of(include_str!("cut_to_length.csv"));
        assert_eq!((rows().len(), table.rows().count()), (3, 3));
        for (row, text) in rows().iter().zip(table.rows()) {
            assert!(row.from_mm2 < row.to_mm2 && row.least_m > 0 && row.charge.0 > 0);
            assert!(text.text("status") == "memory" && !text.text("source").is_empty());
        }
    }

    #[test]
    fn small_cable_is_sold_in_whole_lengths_alone_and_a_short_piece_at_the_least() {
        assert!(terms("cable-armoured-3c-6", 6.0).is_none() && terms("data-cable", 0.0).is_none());
        let terms = terms("cable-armoured-4c-95", 95.0).expect("large cable");
        assert_eq!((terms.bought_m(325), terms.bought_m(320), terms.bought_m(11)), (33, 32, 5));
    }
}
