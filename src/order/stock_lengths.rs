//! In which lengths cable is sold: `stock_lengths.csv`, by item code and conductor size, each row with its status and
//! source. It knows no piece.

use crate::table::Table;
use std::sync::OnceLock;

/// One row of the table.
struct StockRow {
    /// How the item code begins.
    stem: String,
    /// Conductor sizes above this, mm2.
    from_mm2: f64,
    /// And up to this.
    to_mm2: f64,
    /// Lengths, whole metres, shortest first.
    lengths_m: Vec<u32>,
}

fn rows() -> &'static [StockRow] {
    static ROWS: OnceLock<Vec<StockRow>> = OnceLock::new();
    ROWS.get_or_init(|| {
        let table = Table::of(include_str!("stock_lengths.csv"));
        let read = |row: crate::table::Row<'_>| StockRow {
            stem: row.text("stem").to_owned(),
            from_mm2: row.needed("from_mm2"),
            to_mm2: row.needed("to_mm2"),
            lengths_m: row.text("lengths_m").split('|').filter_map(|length| length.trim().parse().ok()).collect(),
        };
        table.rows().map(read).collect()
    })
}

/// Lengths in which a cable is sold, whole metres; none where the table does not hold it, so that every piece is
/// ordered made to length. Data cable has no size: 0.
pub(super) fn stock_lengths_m(item: &str, csa_mm2: f64) -> &'static [u32] {
    let fits = |row: &&StockRow| {
        item.starts_with(&row.stem) && csa_mm2 <= row.to_mm2 && (csa_mm2 > row.from_mm2 || row.to_mm2 == 0.0)
    };
    rows().iter().find(fits).map_or(&[], |row| &row.lengths_m)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::estimate::PriceBook;

    #[test]
    fn every_cable_of_the_price_book_is_sold_in_some_lengths() {
        let cables = PriceBook::default_book().items().iter().filter(|item| {
            (item.code.starts_with("cable-") && item.unit == "m" && item.code != "cable-tray")
                || item.code == "data-cable"
        });
        let cables: Vec<_> = cables.map(|item| item.code).filter(|code| *code != "cable-slack").collect();
        assert_eq!(cables.len(), 56);
        for code in cables {
            let csa_mm2 = code.rsplit('-').next().and_then(|size| size.parse().ok()).unwrap_or(0.0);
            assert!(!stock_lengths_m(code, csa_mm2).is_empty(), "{code}");
        }
    }

    #[test]
    fn every_row_is_whole_and_says_how_well_it_is_known() {
        let table = Table::of(include_str!("stock_lengths.csv"));
        assert_eq!((rows().len(), table.rows().count()), (8, 8));
        for (row, text) in rows().iter().zip(table.rows()) {
            assert!(row.lengths_m.is_sorted() && row.lengths_m.iter().all(|length| *length > 0));
            assert_eq!(row.lengths_m.len(), text.text("lengths_m").split('|').count());
            assert!(["memory", "print", "second-hand"].contains(&text.text("status")));
            assert!(!text.text("source").is_empty());
        }
    }

    #[test]
    fn sizes_beyond_the_price_book_are_held_too() {
        assert_eq!(stock_lengths_m("cable-armoured-4c-95", 120.0), [50, 100, 250]);
        assert_eq!(stock_lengths_m("cable-armoured-3c-6", 6.0), [25, 50, 100, 250, 500]);
        assert!(stock_lengths_m("swa", 6.0).is_empty());
    }
}
