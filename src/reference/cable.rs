//! Cables: what each carries, drops and offers as protective conductor, and the small formulas of one cable row.
//!
//! The rows themselves are read from the tables by `cable_rows`. All ratings are those of 70 degree conductors, because
//! devices and charge points have 70 degree terminals.

use super::cable_rows::{armoured, singles, twin_and_earth};
use super::types::{Cable, CableFamily, Method};
use crate::table::Table;
use std::sync::OnceLock;

/// How many conductors carry the load: this picks the rating and the voltage-drop column, whatever the cores.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Loaded {
    /// Line and neutral.
    One,
    /// Three lines.
    Three,
}

/// Of what the protective conductor of a cable is made.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ProtectiveKind {
    /// The bare conductor of twin-and-earth.
    Bare,
    /// A core of the cable, the size of the lines.
    Core,
    /// A separate insulated conductor drawn in beside the lines, of their size.
    Drawn,
    /// The steel armour.
    Armour,
}

/// The protective conductor of a cable.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ProtectiveConductor {
    /// What it is.
    pub kind: ProtectiveKind,
    /// Cross-section, mm2 (of steel for armour).
    pub csa_mm2: f64,
    /// Resistance at 20 degrees, milliohms a metre.
    pub r20_mohm_per_m: f64,
    /// Factor from 20 degrees to working temperature: 1.20 for copper at 70, 1.18 for armour at 60 degrees with 10 %
    /// added (PD CLC/TR 50480 as used in the design guide).
    pub hot_factor: f64,
    /// Reactance added for armour, milliohms a metre.
    pub reactance_mohm_per_m: f64,
    /// k of the adiabatic equation at a 70 degree start.
    pub k: f64,
    /// Least cross-section by Table 54.7, mm2, for this material.
    pub least_csa_mm2: f64,
    /// How well its section and resistance are known, the less certain of the two.
    pub status: &'static str,
}

/// Tabulated voltage drop, one and three phases loaded, mV/A/m.
///
/// Up to 16 mm2 the tables print one figure, which is resistive; from 25 mm2 they print r, x and z.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TabulatedDrop {
    /// Resistive part.
    pub r_mv: [f64; 2],
    /// Reactive part; zero up to 16 mm2.
    pub x_mv: [f64; 2],
    /// Magnitude as printed; no power factor drops more, but for the rounding of the print (0.7 % at 35 mm2).
    pub z_mv: [f64; 2],
}

/// Everything the tables say of one cable.
#[derive(Clone, Debug)]
pub struct CableRow {
    /// Which cable.
    pub cable: Cable,
    /// Current-carrying capacity by reference method, one and three phases loaded, amperes.
    pub(super) ratings_a: [Option<[f64; 2]>; Method::COUNT],
    /// Governing voltage drop, at the temperature of its own table.
    pub drop: TabulatedDrop,
    /// The same with the conductor at 70 degrees: the second figure of a 90 degree cable run at 70 degree ratings.
    pub drop_70c: TabulatedDrop,
    /// Line conductor at 20 degrees, milliohms a metre.
    pub r20_mohm_per_m: f64,
    /// k of the line conductor at a 70 degree start.
    pub line_k: f64,
    /// Its protective conductor.
    pub protective: ProtectiveConductor,
    /// Where ratings come from.
    pub rating_source: &'static str,
    /// How well they are known.
    pub rating_status: &'static str,
    /// Where the voltage drop comes from.
    pub drop_source: &'static str,
    /// How well it is known.
    pub drop_status: &'static str,
}

impl CableRow {
    /// Tabulated current-carrying capacity, amperes; `None` where the table has no such column.
    pub fn capacity_a(&self, method: Method, loaded: Loaded) -> Option<f64> {
        self.ratings_a.get(method as usize).copied().flatten().map(|pair| pair[loaded as usize])
    }

    /// Tabulated voltage drop, mV/A/m, with this many conductors loaded: z as printed, the
    /// safe value for any power factor.
    pub fn drop_mv_per_a_m(&self, loaded: Loaded) -> f64 {
        self.drop.z_mv[loaded as usize]
    }

    /// R1 + R2 at working temperature, milliohms a metre: the magnitude of the resistances with the armour's reactance.
    ///
    /// Added to Ze as a plain number it can only be too high, whatever the angle of Ze.
    pub fn loop_hot_mohm_per_m(&self) -> f64 {
        const LINE_70C: f64 = 1.20; // 1 + 0.004 x 50
        let resistance = self.r20_mohm_per_m * LINE_70C + self.protective.r20_mohm_per_m * self.protective.hot_factor;
        resistance.hypot(self.protective.reactance_mohm_per_m)
    }

    /// R1 + R2 at 20 degrees, milliohms a metre, for the highest fault current and for the test sheet.
    pub fn loop_cold_mohm_per_m(&self) -> f64 {
        self.r20_mohm_per_m + self.protective.r20_mohm_per_m
    }
}

/// Least protective conductor by Table 54.7 for a line of `csa_mm2`, before the ratio of k values.
pub fn table_54_7_mm2(csa_mm2: f64) -> f64 {
    if csa_mm2 <= 16.0 {
        csa_mm2
    } else if csa_mm2 <= 35.0 {
        16.0
    } else {
        csa_mm2 / 2.0
    }
}

/// k of the adiabatic equation for a conductor of this use, its insulation at `insulation_c` when the fault begins.
pub(super) fn k(of: &str, insulation_c: f64) -> f64 {
    let table = Table::of(include_str!("tables/protective_conductor_k.csv"));
    table
        .rows()
        .find(|row| row.text("use") == of && row.needed("insulation_c") == insulation_c)
        .map_or(0.0, |row| row.needed("k"))
}

/// Resistance of a copper conductor at 20 degrees, milliohms a metre (IEC 60228, classes 1 and 2).
pub fn conductor_r20_mohm_per_m(csa_mm2: f64) -> Option<f64> {
    static TABLE: OnceLock<Vec<(f64, f64)>> = OnceLock::new();
    TABLE
        .get_or_init(|| {
            Table::of(include_str!("tables/conductor.csv"))
                .rows()
                .map(|row| (row.needed("csa_mm2"), row.needed("r20_milliohm_per_m")))
                .collect()
        })
        .iter()
        .find(|(csa, _)| (csa - csa_mm2).abs() < 1e-9)
        .map(|(_, r20)| *r20)
}

/// The row of a cable that the engine can choose.
pub fn cable_row(cable: Cable) -> Option<&'static CableRow> {
    let rows = match cable.family {
        CableFamily::TwinAndEarth => twin_and_earth(),
        CableFamily::ArmouredXlpe | CableFamily::ArmouredPvc => armoured(cable.family, cable.cores),
        CableFamily::Singles => singles(cable.cores),
    };
    rows.iter().find(|row| row.cable == cable)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_size_is_there_and_carries_more_than_the_one_before() {
        assert_eq!(twin_and_earth().len(), 5);
        use CableFamily::{ArmouredPvc, ArmouredXlpe};
        for cores in 2..=5 {
            assert_eq!(armoured(ArmouredXlpe, cores).len(), 10, "{cores} cores");
        }
        let all = [
            (Method::C, twin_and_earth(), 5),
            (Method::D, armoured(ArmouredXlpe, 2), 10),
            (Method::E, armoured(ArmouredXlpe, 5), 10),
            (Method::D, armoured(ArmouredPvc, 2), 7),
            (Method::C, armoured(ArmouredPvc, 3), 7),
            (Method::B, singles(2), 5),
            (Method::A, singles(4), 5),
        ];
        for (method, rows, count) in all {
            assert_eq!(rows.len(), count, "{method:?} {:?}", rows.first().map(|row| row.cable));
            for pair in rows.windows(2) {
                for loaded in [Loaded::One, Loaded::Three] {
                    assert!(pair[0].capacity_a(method, loaded) < pair[1].capacity_a(method, loaded));
                    assert!(pair[0].drop_mv_per_a_m(loaded) > pair[1].drop_mv_per_a_m(loaded));
                }
                assert!(pair[0].drop_70c.r_mv[0] > pair[1].drop_70c.r_mv[0]);
            }
        }
        assert!(armoured(ArmouredXlpe, 1).is_empty() && armoured(ArmouredPvc, 9).is_empty() && singles(3).is_empty());
    }

    #[test]
    fn printed_values_are_found() {
        let six = cable_row(Cable { family: CableFamily::TwinAndEarth, cores: 2, csa_mm2: 6.0 }).unwrap();
        assert_eq!(six.capacity_a(Method::C, Loaded::One), Some(47.0));
        assert_eq!(six.capacity_a(Method::D, Loaded::One), None);
        let armoured_six = cable_row(Cable { family: CableFamily::ArmouredXlpe, cores: 2, csa_mm2: 6.0 }).unwrap();
        assert_eq!(armoured_six.capacity_a(Method::D, Loaded::One), Some(46.0));
        assert_eq!(armoured_six.drop_mv_per_a_m(Loaded::One), 7.9);
    }

    #[test]
    fn table_54_7_by_armour_agrees_with_the_published_verdicts() {
        // Armour table: at 70 degree terminals 115/51 applies: 10 mm2 needs 22.5, 2-core has 26.
        let ten = cable_row(Cable { family: CableFamily::ArmouredXlpe, cores: 2, csa_mm2: 10.0 }).unwrap();
        assert!((ten.protective.least_csa_mm2 - 22.549).abs() < 0.01);
        assert!(ten.protective.csa_mm2 >= ten.protective.least_csa_mm2);
    }
}
