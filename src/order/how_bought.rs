//! In which lengths and packs everything but cable is sold: `how_bought.csv`, by item code,
//! each row with its status and source. It knows no site.

use super::cutting::cover;
use crate::table::{Row, Table};
use std::collections::BTreeMap;
use std::sync::OnceLock;

/// Lengths or packs of one size.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Pack {
    /// What one holds, in the unit of the item.
    pub size: u32,
    /// How many to order.
    pub count: u32,
    /// What it is, with `#` where the size stands: "coil of # m".
    pub words: &'static str,
}

/// One row of the table.
struct Sold {
    words: &'static str,
    /// Sizes, whole units of the item.
    sizes: Vec<u32>,
}

fn sold() -> &'static BTreeMap<&'static str, Sold> {
    static SOLD: OnceLock<BTreeMap<&'static str, Sold>> = OnceLock::new();
    SOLD.get_or_init(|| {
        let sizes = |row: &Row<'_>| {
            let sizes = row.text("sizes").split('|').filter_map(|size| size.trim().parse().ok());
            sizes.filter(|size| *size > 0).collect()
        };
        let read = |row: Row<'_>| (row.kept("item"), Sold { words: row.kept("words"), sizes: sizes(&row) });
        Table::of(include_str!("how_bought.csv")).rows().map(read).collect()
    })
}

/// The lengths or packs that hold at least `units` of the item, joined where they have to be: the least that covers
/// them, then the fewest. None for what is sold by the unit.
pub(super) fn packs(item: &str, units: u64) -> Vec<Pack> {
    let Some(sold) = sold().get(item) else { return Vec::new() };
    let pack = |(size, count)| Pack { size, count, words: sold.words };
    cover(units, &sold.sizes).into_iter().map(pack).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::estimate::{ItemKind, PriceBook};

    #[test]
    fn every_row_is_an_item_of_the_price_book_and_says_how_well_it_is_known() {
        let table = Table::of(include_str!("how_bought.csv"));
        assert_eq!((sold().len(), table.rows().count()), (13, 13));
        let book = PriceBook::default_book();
        for row in table.rows() {
            let code = row.text("item");
            assert!(book.items().iter().any(|item| item.code == code), "{code}");
            assert!(["memory", "derived", "print", "second-hand"].contains(&row.text("status")), "{code}");
            assert!(!row.text("source").is_empty(), "{code}");
            let sizes = sold().get(code).map_or(0, |sold| sold.sizes.len());
            assert!(sizes > 0 && sizes == row.text("sizes").split('|').count(), "{code}");
            assert!(row.text("words").contains('#'), "{code}");
        }
    }

    #[test]
    fn every_material_by_the_metre_that_is_no_cable_says_how_it_is_sold() {
        let by_the_metre = |item: &&crate::estimate::Item| item.kind == ItemKind::Material && item.unit == "m";
        let cable = |code: &str| code == "data-cable" || (code.starts_with("cable-") && code != "cable-tray");
        let others = PriceBook::default_book().items().iter().filter(by_the_metre).filter(|item| !cable(item.code));
        let silent: Vec<_> = others.map(|item| item.code).filter(|code| !sold().contains_key(code)).collect();
        assert!(silent.is_empty(), "{silent:?}");
    }

    #[test]
    fn the_least_that_covers_and_then_the_fewest() {
        let counted = |item, units| packs(item, units).iter().map(|pack| (pack.size, pack.count)).collect::<Vec<_>>();
        // Worked by hand.
        assert_eq!(counted("duct", 151), [(50, 3), (25, 1)]);
        assert_eq!(counted("duct", 150), [(50, 3)]);
        assert_eq!(counted("cable-tray", 31), [(3, 11)]);
        assert_eq!(counted("marker-tape", 1), [(365, 1)]);
        assert_eq!(counted("duct", 0), []);
        assert_eq!(counted("earth-rod", 7), []);
        assert_eq!(counted("duct", 5_000_010), [(50, 100_000), (25, 1)]);
    }
}
