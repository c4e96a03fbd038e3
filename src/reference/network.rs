//! What a length of the operator's network carries where nobody states it, and the figures by which neighbours are
//! grouped and flagged (`network_bands.csv`). It knows no site.

use crate::quantity::Band;
use crate::table::Table;
use std::sync::OnceLock;

/// An assumed capacity.
#[derive(Clone, Debug, PartialEq)]
pub struct NetworkBand {
    /// Its name in the table.
    pub name: &'static str,
    /// In words: "typical feeder".
    pub words: &'static str,
    /// What it carries, kilovolt-amperes.
    pub capacity_kva: Band,
    /// How well that is known.
    pub status: &'static str,
    /// From where.
    pub source: &'static str,
    customers: (f64, f64),
}

/// The band that nothing contradicts.
const USUAL: &str = "typical-feeder";

fn table() -> &'static Table {
    static TABLE: OnceLock<Table> = OnceLock::new();
    TABLE.get_or_init(|| Table::of(include_str!("tables/network_bands.csv")))
}

/// Every assumed capacity, smallest first.
pub fn network_bands() -> &'static [NetworkBand] {
    static BANDS: OnceLock<Vec<NetworkBand>> = OnceLock::new();
    BANDS.get_or_init(|| {
        let bands = table().rows().filter(|row| row.text("unit") == "kVA");
        bands
            .map(|row| NetworkBand {
                name: row.kept("figure"),
                words: row.kept("words"),
                capacity_kva: Band::new(row.needed("low"), row.needed("likely"), row.needed("high")),
                status: row.kept("status"),
                source: row.kept("source"),
                customers: (row.needed("customers_from"), row.number("customers_to").unwrap_or(f64::INFINITY)),
            })
            .collect()
    })
}

/// The capacity to assume for a length of network: by its customers where they are stated, else a typical feeder; and
/// no smaller one than carries the load that is there, `there_kva`, as far as the table goes.
pub fn network_band(customers: Option<u32>, there_kva: f64) -> &'static NetworkBand {
    let bands = network_bands();
    let within = |count: f64| move |band: &NetworkBand| count >= band.customers.0 && count <= band.customers.1;
    let by_customers = customers.and_then(|count| bands.iter().position(within(f64::from(count))));
    // The table has a typical feeder; a test holds it.
    let first = by_customers.or_else(|| bands.iter().position(|band| band.name == USUAL)).unwrap_or_default();
    let carries = |band: &&NetworkBand| there_kva <= band.capacity_kva.likely;
    bands.iter().skip(first).find(carries).or(bands.last()).unwrap_or(&bands[0])
}

/// The figures by which neighbours are grouped, flagged and told of.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ClusterFigures {
    /// Sites without feeder and postcode are neighbours within this distance, metres.
    pub link_distance_m: f64,
    /// Share of the capacity from which a feeder is getting full, 0 to 1.
    pub nearly_full: f64,
    /// Share above which it counts as full, 0 to 1.
    pub full: f64,
    /// Planned installations in one postcode unit of which the operator wants to know early.
    pub early_in_postcode: u32,
    /// The same within `link_distance_m` of one of them.
    pub early_nearby: u32,
    /// The same as a share of a feeder's customers, 0 to 1.
    pub early_of_customers: f64,
    /// As far as somebody walks to a shared car park, metres.
    pub walk_m: f64,
}

/// The figures; a missing row would be 0, which a test excludes.
pub fn cluster_figures() -> &'static ClusterFigures {
    static FIGURES: OnceLock<ClusterFigures> = OnceLock::new();
    FIGURES.get_or_init(|| {
        let of = |name: &str| {
            let row = table().rows().find(|row| row.text("figure") == name);
            row.map_or(0.0, |row| row.needed("likely"))
        };
        ClusterFigures {
            link_distance_m: of("link-distance"),
            nearly_full: of("nearly-full") / 100.0,
            full: of("full") / 100.0,
            early_in_postcode: of("early-in-postcode") as u32,
            early_nearby: of("early-nearby") as u32,
            early_of_customers: of("early-of-customers") / 100.0,
            walk_m: of("walk-to-car-park"),
        }
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Supply notes 10: 100 kVA weak rural, 200 kVA typical feeder, 400 kVA typical share of a substation.
    #[test]
    fn the_bands_of_the_notes_are_taken_by_customers() {
        let likely = |customers| network_band(customers, 0.0).capacity_kva.likely;
        assert_eq!([Some(12), Some(60), Some(180), None].map(likely), [100.0, 200.0, 400.0, 200.0]);
        assert_eq!(network_band(None, 0.0).name, USUAL);
        assert_eq!([1, 24, 25, 100, 101].map(|customers| likely(Some(customers))), [100.0, 100.0, 200.0, 200.0, 400.0]);
        assert_eq!(network_band(Some(0), 0.0).name, USUAL, "no customers is no answer");
        for band in network_bands() {
            let Band { low, likely, high } = band.capacity_kva;
            assert!(low < likely && likely < high && !band.status.is_empty() && !band.source.is_empty(), "{band:?}");
        }
    }

    #[test]
    fn what_is_there_is_carried() {
        let likely = |customers, there| network_band(customers, there).capacity_kva.likely;
        assert_eq!([200.0, 200.1, 400.1, f64::NAN].map(|there| likely(None, there)), [200.0, 400.0, 400.0, 400.0]);
        assert_eq!((likely(Some(10), 100.1), likely(Some(180), 1.0)), (200.0, 400.0));
    }

    #[test]
    fn the_figures_are_those_of_the_notes() {
        let figures = cluster_figures();
        assert_eq!((figures.link_distance_m, figures.nearly_full, figures.full), (150.0, 0.6, 0.9));
        assert_eq!((figures.early_in_postcode, figures.early_nearby, figures.early_of_customers), (3, 5, 0.1));
        assert!(figures.walk_m > figures.link_distance_m);
    }
}
