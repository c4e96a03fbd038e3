//! Earthing where PME is offered outdoors, as data: each alternative of 722.411.4.1 with its numbers, the loadings that
//! its balance is tried at, and the sizes of earthing and bonding conductors (`earthing_alternatives.csv`,
//! `open_pen_loadings.csv`, `earthing_sizes.csv`).
//!
//! It knows no site: it answers with what is printed, or remembered and marked so.

use crate::table::Table;
use std::sync::OnceLock;

/// One alternative for PME outdoors.
#[derive(Clone, Debug)]
pub struct EarthingAlternative {
    /// `i` to `v` as the regulation counts them, `tt`, `separation`, `tn-s`.
    pub path: &'static str,
    /// In words.
    pub name: &'static str,
    /// Clause.
    pub clause: &'static str,
    /// Edition whose text was used.
    pub edition: &'static str,
    /// Phases of the installation it is for; `None` for any.
    pub phases: Option<u8>,
    /// Voltage to Earth that must not be passed, volts.
    pub limit_v: Option<f64>,
    /// Within which a device acts, seconds.
    pub act_within_s: Option<f64>,
    /// A device need not act on less than this, seconds.
    pub brief_s: Option<f64>,
    /// Line-to-neutral voltage below which voltage monitoring acts, volts.
    pub low_v: Option<f64>,
    /// Line-to-neutral voltage above which voltage monitoring acts, volts.
    pub high_v: Option<f64>,
    /// What it needs.
    pub needs: &'static str,
    /// How well it is known.
    pub status: &'static str,
    /// From where.
    pub source: &'static str,
}

/// Every alternative, in the order of the regulation.
pub fn earthing_alternatives() -> &'static [EarthingAlternative] {
    static TABLE: OnceLock<Vec<EarthingAlternative>> = OnceLock::new();
    TABLE.get_or_init(|| {
        Table::of(include_str!("tables/earthing_alternatives.csv"))
            .rows()
            .map(|row| EarthingAlternative {
                path: row.kept("path"),
                name: row.kept("name"),
                clause: row.kept("clause"),
                edition: row.kept("edition"),
                phases: row.number("phases").map(|phases| phases as u8),
                limit_v: row.number("limit_v"),
                act_within_s: row.number("act_within_s"),
                brief_s: row.number("brief_s"),
                low_v: row.number("low_v"),
                high_v: row.number("high_v"),
                needs: row.kept("needs"),
                status: row.kept("status"),
                source: row.kept("source"),
            })
            .collect()
    })
}

/// The alternative with this word; `None` for a word that is not in the table.
pub fn earthing_alternative(path: &str) -> Option<&'static EarthingAlternative> {
    earthing_alternatives().iter().find(|alternative| alternative.path == path)
}

/// Voltage to Earth that a broken PEN may cause, volts (indents i to iii); 0, which nothing meets, were it missing.
pub fn open_pen_limit_v() -> f64 {
    earthing_alternative("i").and_then(|alternative| alternative.limit_v).unwrap_or_default()
}

/// Line-to-neutral voltage below which voltage monitoring trips, volts (indent iv).
pub fn voltage_monitoring_low_v() -> f64 {
    earthing_alternative("iv").and_then(|alternative| alternative.low_v).unwrap_or(f64::INFINITY)
}

/// One loading at which the balance of a three-phase installation is tried.
#[derive(Clone, Copy, Debug)]
pub struct OpenPenLoading {
    /// In words.
    pub name: &'static str,
    /// Share of the existing demand of the worst phase on each phase.
    pub existing: [f64; 3],
    /// Charging by one vehicle on the first phase, instead of as the points are connected.
    pub one_phase: bool,
}

/// The loadings, three of them.
pub fn open_pen_loadings() -> &'static [OpenPenLoading] {
    static TABLE: OnceLock<Vec<OpenPenLoading>> = OnceLock::new();
    TABLE.get_or_init(|| {
        Table::of(include_str!("tables/open_pen_loadings.csv"))
            .rows()
            .map(|row| OpenPenLoading {
                name: row.kept("loading"),
                existing: [row.needed("existing_1"), row.needed("existing_2"), row.needed("existing_3")],
                one_phase: row.text("charging") == "one phase",
            })
            .collect()
    })
}

/// A line of `earthing_sizes.csv`: kind, the greatest value it holds for (infinity for the last), square millimetres.
type Size = (&'static str, f64, f64);

fn size_mm2(kind: &str, value: f64) -> f64 {
    static TABLE: OnceLock<Vec<Size>> = OnceLock::new();
    TABLE
        .get_or_init(|| {
            Table::of(include_str!("tables/earthing_sizes.csv"))
                .rows()
                .map(|row| (row.kept("kind"), row.number("up_to").unwrap_or(f64::INFINITY), row.needed("mm2")))
                .collect()
        })
        .iter()
        .find(|(row, up_to, _)| *row == kind && value <= *up_to)
        // Every kind ends with a line without a bound, which a test holds: no conductor would be large enough.
        .map_or(f64::INFINITY, |(_, _, mm2)| *mm2)
}

/// Copper-equivalent neutral of the supply behind a cut-out of `cutout_a` amperes a phase, mm2 (memory).
pub fn supply_neutral_mm2(cutout_a: f64) -> f64 {
    size_mm2("supply-neutral", cutout_a)
}

/// Least main bonding on PME for a supply neutral of `neutral_mm2`, mm2 copper (Table 54.8; print).
pub fn bonding_pme_mm2(neutral_mm2: f64) -> f64 {
    size_mm2("bonding-pme", neutral_mm2)
}

/// Least main bonding elsewhere, mm2 copper: half the earthing conductor, at least 6, not more than 25 (544.1.1; print).
pub fn bonding_other_mm2(earthing_conductor_mm2: f64) -> f64 {
    let (least, most) = (size_mm2("bonding-other-least", 0.0), size_mm2("bonding-other-most", 0.0));
    (earthing_conductor_mm2 / 2.0).max(least).min(most)
}

/// Least earthing conductor of a TT installation where it is not buried, mm2 copper (memory).
pub fn earthing_tt_mm2() -> f64 {
    size_mm2("earthing-tt", 0.0)
}

/// Least buried earthing conductor, mm2 copper: protected against corrosion, and bare (Table 54.1; memory).
pub fn buried_earthing_mm2() -> [f64; 2] {
    [size_mm2("buried-earthing-covered", 0.0), size_mm2("buried-earthing-bare", 0.0)]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_alternative_says_what_it_needs() {
        let words: Vec<_> = earthing_alternatives().iter().map(|alternative| alternative.path).collect();
        assert_eq!(words, ["i", "ii", "iii", "iv", "v", "tt", "separation", "tn-s"]);
        for alternative in earthing_alternatives() {
            assert!(!alternative.needs.is_empty() && !alternative.edition.is_empty(), "{}", alternative.path);
        }
        assert_eq!((open_pen_limit_v(), voltage_monitoring_low_v()), (70.0, 207.0));
        assert_eq!(earthing_alternative("iv").map(|four| (four.phases, four.high_v)), Some((Some(1), Some(253.0))));
    }

    #[test]
    fn bonding_grows_with_the_neutral_and_its_bounds_belong_to_the_smaller_size() {
        let at = [35.0, 35.1, 50.0, 95.0, 150.0, 151.0, 500.0].map(bonding_pme_mm2);
        assert_eq!(at, [10.0, 16.0, 16.0, 25.0, 35.0, 50.0, 50.0]);
        assert_eq!([4.0, 16.0, 25.0, 35.0, 70.0].map(bonding_other_mm2), [6.0, 8.0, 12.5, 17.5, 25.0]);
        assert_eq!([60.0, 100.0, 101.0, 1000.0].map(supply_neutral_mm2), [35.0, 35.0, 95.0, 240.0]);
        assert_eq!(buried_earthing_mm2(), [16.0, 25.0]);
    }
}
