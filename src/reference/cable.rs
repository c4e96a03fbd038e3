//! Cables: what each carries, drops and offers as protective conductor (Tables 4D5, 4D4A, 4E4B; IEC 60228; BS 5467).
//!
//! Ratings of armoured cable are those of the 70 degree table 4D4A, because devices and charge points have 70 degree
//! terminals; its voltage drop is that of 4E4B, the governing figure for the cable that is bought.

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
}

/// Everything the tables say of one cable.
#[derive(Clone, Debug)]
pub struct CableRow {
    /// Which cable.
    pub cable: Cable,
    /// Current-carrying capacity, method C, one and three phases loaded, amperes.
    pub method_c_a: [f64; 2],
    /// The same in the ground (method D); `None` for twin-and-earth.
    pub method_d_a: Option<[f64; 2]>,
    /// Twin-and-earth in thermal insulation, methods 100 to 103, amperes.
    pub insulated_a: Option<[f64; 4]>,
    /// Voltage drop, one and three phases loaded, mV/A/m (z where the table splits it).
    pub drop_mv: [f64; 2],
    /// Line conductor at 20 degrees, milliohms a metre.
    pub r20_mohm_per_m: f64,
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
        let column = loaded as usize;
        match method {
            Method::C => self.method_c_a.get(column).copied(),
            Method::D => self.method_d_a.and_then(|pair| pair.get(column).copied()),
            Method::M100 => self.insulated_a.map(|four| four[0]),
            Method::M101 => self.insulated_a.map(|four| four[1]),
            Method::M102 => self.insulated_a.map(|four| four[2]),
            Method::M103 => self.insulated_a.map(|four| four[3]),
        }
    }

    /// Tabulated voltage drop, mV/A/m, with this many conductors loaded.
    pub fn drop_mv_per_a_m(&self, loaded: Loaded) -> f64 {
        self.drop_mv[loaded as usize]
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

fn k(of: &str, insulation_c: f64) -> f64 {
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

/// Flat twin-and-earth, smallest first, 2.5 to 16 mm2.
pub fn twin_and_earth() -> &'static [CableRow] {
    static ROWS: OnceLock<Vec<CableRow>> = OnceLock::new();
    ROWS.get_or_init(|| {
        let cpcs = Table::of(include_str!("tables/twin_earth_cpc.csv"));
        let k_bare = k("core or bunched copper", 70.0);
        Table::of(include_str!("tables/twin_earth_4d5.csv"))
            .rows()
            .filter_map(|row| {
                let csa_mm2 = row.number("csa_mm2").filter(|csa| *csa >= 2.5)?;
                let cpc = cpcs.rows().find(|cpc| cpc.number("csa_mm2") == Some(csa_mm2))?;
                Some(CableRow {
                    cable: Cable { family: CableFamily::TwinAndEarth, cores: 2, csa_mm2 },
                    method_c_a: [row.needed("method_c_a"), row.needed("method_c_a")],
                    method_d_a: None,
                    insulated_a: Some([
                        row.needed("method_100_a"),
                        row.needed("method_101_a"),
                        row.needed("method_102_a"),
                        row.needed("method_103_a"),
                    ]),
                    drop_mv: [row.needed("mv_per_a_per_m"), row.needed("mv_per_a_per_m")],
                    r20_mohm_per_m: cpc.needed("r1_milliohm_per_m_20C"),
                    protective: ProtectiveConductor {
                        kind: ProtectiveKind::Bare,
                        csa_mm2: cpc.needed("cpc_csa_mm2"),
                        r20_mohm_per_m: cpc.needed("r2_milliohm_per_m_20C"),
                        hot_factor: 1.20,
                        reactance_mohm_per_m: 0.0,
                        k: k_bare,
                        least_csa_mm2: table_54_7_mm2(csa_mm2),
                    },
                    rating_source: "Table 4D5",
                    rating_status: row.kept("status"),
                    drop_source: "Table 4D5",
                    drop_status: row.kept("status"),
                })
            })
            .collect()
    })
}

/// Steel-wire-armoured cable with this many cores (2 to 5), smallest first, 2.5 to 95 mm2.
///
/// Two and four cores use the armour as protective conductor, three and five a core: a three-core cable feeds one
/// phase, a five-core one three. No published armour data was found for five cores, and none is needed.
pub fn armoured(cores: u8) -> &'static [CableRow] {
    static ROWS: OnceLock<[Vec<CableRow>; 4]> = OnceLock::new();
    let all = ROWS.get_or_init(|| [2, 3, 4, 5].map(armoured_rows));
    cores.checked_sub(2).and_then(|index| all.get(usize::from(index))).map_or(&[], Vec::as_slice)
}

fn armoured_rows(cores: u8) -> Vec<CableRow> {
    const LARGEST_MM2: f64 = 95.0;
    let ratings = Table::of(include_str!("tables/armoured_70c_4d4a.csv"));
    let drops = Table::of(include_str!("tables/armoured_90c_4e4.csv"));
    let armours = Table::of(include_str!("tables/armour_xlpe.csv"));
    let (k_core, k_armour) = (k("core or bunched copper", 70.0), k("steel armour", 70.0));
    ratings
        .rows()
        .filter_map(|row| {
            let csa_mm2 = row.number("csa_mm2").filter(|csa| (2.5..=LARGEST_MM2).contains(csa))?;
            let drop = drops.rows().find(|drop| drop.number("csa_mm2") == Some(csa_mm2))?;
            let r20_mohm_per_m = conductor_r20_mohm_per_m(csa_mm2)?;
            let protective = if matches!(cores, 3 | 5) {
                ProtectiveConductor {
                    kind: ProtectiveKind::Core,
                    csa_mm2,
                    r20_mohm_per_m,
                    hot_factor: 1.20,
                    reactance_mohm_per_m: 0.0,
                    k: k_core,
                    least_csa_mm2: table_54_7_mm2(csa_mm2),
                }
            } else {
                let armour = armours.rows().find(|armour| {
                    armour.number("cores") == Some(f64::from(cores)) && armour.number("csa_mm2") == Some(csa_mm2)
                })?;
                ProtectiveConductor {
                    kind: ProtectiveKind::Armour,
                    csa_mm2: armour.needed("armour_csa_mm2"),
                    r20_mohm_per_m: armour.needed("armour_r20_ohm_per_km"),
                    hot_factor: 1.18 * 1.10,
                    reactance_mohm_per_m: 0.3,
                    k: k_armour,
                    least_csa_mm2: table_54_7_mm2(csa_mm2) * k_core / k_armour,
                }
            };
            Some(CableRow {
                cable: Cable { family: CableFamily::ArmouredXlpe, cores, csa_mm2 },
                method_c_a: [row.needed("method_c_2core_a"), row.needed("method_c_3or4core_a")],
                method_d_a: Some([row.needed("method_d_2core_a"), row.needed("method_d_3or4core_a")]),
                insulated_a: None,
                drop_mv: [drop.needed("mv_1ph_z_per_a_per_m"), drop.needed("mv_3ph_z_per_a_per_m")],
                r20_mohm_per_m,
                protective,
                rating_source: "Table 4D4A",
                rating_status: row.kept("status"),
                drop_source: "Table 4E4B",
                drop_status: drop.kept("status"),
            })
        })
        .collect()
}

/// The row of a cable that the engine can choose.
pub fn cable_row(cable: Cable) -> Option<&'static CableRow> {
    let rows = match cable.family {
        CableFamily::TwinAndEarth => twin_and_earth(),
        CableFamily::ArmouredXlpe => armoured(cable.cores),
        CableFamily::ArmouredPvc | CableFamily::Singles => return None,
    };
    rows.iter().find(|row| row.cable == cable)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_size_is_there_and_carries_more_than_the_one_before() {
        assert_eq!(twin_and_earth().len(), 5);
        for cores in 2..=5 {
            assert_eq!(armoured(cores).len(), 10, "{cores} cores");
        }
        for rows in [twin_and_earth(), armoured(2), armoured(3), armoured(4), armoured(5)] {
            for pair in rows.windows(2) {
                assert!(pair[0].method_c_a[0] < pair[1].method_c_a[0]);
                assert!(pair[0].drop_mv[0] > pair[1].drop_mv[0]);
            }
        }
        assert!(armoured(1).is_empty() && armoured(9).is_empty());
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
