//! How the rows of cables are read from the published tables: 4D5, 4D4A, 4E4B, 4D4B, 4D1, BS 5467 and IEC 60228.
//!
//! Ratings of armoured cable are those of the 70 degree table 4D4A; its governing voltage drop is that of the cable that
//! is bought, 4E4B for thermosetting insulation. It knows no formula beyond what a missing column needs.

use super::cable::{
    CableRow, ProtectiveConductor, ProtectiveKind, TabulatedDrop, conductor_r20_mohm_per_m, k, table_54_7_mm2,
};
use super::types::{Cable, CableFamily, Method};
use crate::table::{Row, Table};
use std::sync::OnceLock;

/// Sizes that the engine chooses among, mm2.
const SIZES_MM2: std::ops::RangeInclusive<f64> = 2.5..=95.0;
/// Sizes of singles in conduit, mm2.
const SINGLES_MM2: std::ops::RangeInclusive<f64> = 2.5..=16.0;
/// Copper from 20 to 70 degrees.
const COPPER_70C: f64 = 1.20;
/// Copper at 70 degrees as a share of copper at 90: (230 + 70) / (230 + 90), as the temperature correction reckons.
const FROM_90_TO_70: f64 = 300.0 / 320.0;

type Ratings = [Option<[f64; 2]>; Method::COUNT];

/// Ratings from pairs of a method and the names of its columns for one and three phases loaded.
fn ratings(row: &Row<'_>, columns: &[(Method, &str, &str)]) -> Ratings {
    let mut all = [None; Method::COUNT];
    for (method, one, three) in columns {
        if let (Some(slot), Some(one), Some(three)) =
            (all.get_mut(*method as usize), row.number(one), row.number(three))
        {
            *slot = Some([one, three]);
        }
    }
    all
}

/// Drop from the columns `<stem>r<tail>`, x and z; where there is no x the one figure is resistive.
fn drop(row: &Row<'_>, stems: [&str; 2], tail: &str) -> TabulatedDrop {
    let part = |name: &str| stems.map(|stem| row.number(&format!("{stem}{name}{tail}")).unwrap_or_default());
    TabulatedDrop { r_mv: part("r"), x_mv: part("x"), z_mv: part("z") }
}

fn resistive(one: f64, three: f64) -> TabulatedDrop {
    TabulatedDrop { r_mv: [one, three], x_mv: [0.0; 2], z_mv: [one, three] }
}

/// Flat twin-and-earth, smallest first, 2.5 to 16 mm2.
pub fn twin_and_earth() -> &'static [CableRow] {
    static ROWS: OnceLock<Vec<CableRow>> = OnceLock::new();
    ROWS.get_or_init(|| {
        let cpcs = Table::of(include_str!("tables/twin_earth_cpc.csv"));
        let (line_k, k_bare) = (k("line copper", 70.0), k("core or bunched copper", 70.0));
        Table::of(include_str!("tables/twin_earth_4d5.csv"))
            .rows()
            .filter_map(|row| {
                let csa_mm2 = row.number("csa_mm2").filter(|csa| SIZES_MM2.contains(csa))?;
                let cpc = cpcs.rows().find(|cpc| cpc.number("csa_mm2") == Some(csa_mm2))?;
                let drop_mv = row.needed("mv_per_a_per_m");
                Some(CableRow {
                    cable: Cable { family: CableFamily::TwinAndEarth, cores: 2, csa_mm2 },
                    ratings_a: ratings(
                        &row,
                        &[
                            (Method::A, "method_a_a", "method_a_a"),
                            (Method::C, "method_c_a", "method_c_a"),
                            (Method::M100, "method_100_a", "method_100_a"),
                            (Method::M101, "method_101_a", "method_101_a"),
                            (Method::M102, "method_102_a", "method_102_a"),
                            (Method::M103, "method_103_a", "method_103_a"),
                        ],
                    ),
                    drop: resistive(drop_mv, drop_mv),
                    drop_70c: resistive(drop_mv, drop_mv),
                    r20_mohm_per_m: cpc.needed("r1_milliohm_per_m_20C"),
                    line_k,
                    protective: ProtectiveConductor {
                        kind: ProtectiveKind::Bare,
                        csa_mm2: cpc.needed("cpc_csa_mm2"),
                        r20_mohm_per_m: cpc.needed("r2_milliohm_per_m_20C"),
                        hot_factor: COPPER_70C,
                        reactance_mohm_per_m: 0.0,
                        k: k_bare,
                        least_csa_mm2: table_54_7_mm2(csa_mm2),
                        status: cpc.kept("status"),
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

/// Steel-wire-armoured cable with this many cores (2 to 5), smallest first, thermosetting 2.5 to 95 mm2, thermoplastic
/// 2.5 to 35 mm2.
///
/// Two and four cores use the armour as protective conductor, three and five a core: a three-core cable feeds one
/// phase, a five-core one three. No published armour data was found for five cores, and none is needed.
pub fn armoured(family: CableFamily, cores: u8) -> &'static [CableRow] {
    static ROWS: OnceLock<[[Vec<CableRow>; 4]; 2]> = OnceLock::new();
    let all = ROWS.get_or_init(|| {
        [CableFamily::ArmouredXlpe, CableFamily::ArmouredPvc]
            .map(|family| [2, 3, 4, 5].map(|cores| armoured_rows(family, cores)))
    });
    let family = match family {
        CableFamily::ArmouredXlpe => &all[0],
        CableFamily::ArmouredPvc => &all[1],
        CableFamily::TwinAndEarth | CableFamily::Singles => return &[],
    };
    cores.checked_sub(2).and_then(|index| family.get(usize::from(index))).map_or(&[], Vec::as_slice)
}

fn armoured_rows(family: CableFamily, cores: u8) -> Vec<CableRow> {
    let ratings_70c = Table::of(include_str!("tables/armoured_70c_4d4a.csv"));
    let thermosetting = Table::of(include_str!("tables/armoured_90c_4e4.csv"));
    let thermoplastic = Table::of(include_str!("tables/armoured_70c_4d4b.csv"));
    let line_k = k("line copper", 70.0);
    ratings_70c
        .rows()
        .filter_map(|row| {
            let csa_mm2 = row.number("csa_mm2").filter(|csa| SIZES_MM2.contains(csa))?;
            let at_90c = thermosetting.rows().find(|other| other.number("csa_mm2") == Some(csa_mm2))?;
            let at_70c = thermoplastic.rows().find(|other| other.number("csa_mm2") == Some(csa_mm2));
            let drop_90c = drop(&at_90c, ["mv_1ph_", "mv_3ph_"], "_per_a_per_m");
            let reckoned_70c = TabulatedDrop {
                r_mv: drop_90c.r_mv.map(|r| r * FROM_90_TO_70),
                x_mv: drop_90c.x_mv,
                z_mv: [0, 1].map(|loaded| (drop_90c.r_mv[loaded] * FROM_90_TO_70).hypot(drop_90c.x_mv[loaded])),
            };
            // The printed figure up to 16 mm2, where it is resistive; beyond it, r of the 90 degree table cooled down.
            let drop_70c = match &at_70c {
                Some(printed) if csa_mm2 <= 16.0 => {
                    resistive(printed.needed("mv_1ph_per_a_per_m"), printed.needed("mv_3ph_per_a_per_m"))
                }
                _ => reckoned_70c,
            };
            let (drop, drop_source, drop_status) = match (family, &at_70c) {
                (CableFamily::ArmouredXlpe, _) => (drop_90c, "Table 4E4B", at_90c.kept("status")),
                // From 25 mm2 the 70 degree table prints z alone; r and x are those of the like conductor.
                (_, Some(printed)) => {
                    let z_mv = [printed.needed("mv_1ph_per_a_per_m"), printed.needed("mv_3ph_per_a_per_m")];
                    (TabulatedDrop { z_mv, ..drop_70c }, "Table 4D4B", printed.kept("status_1ph"))
                }
                (_, None) => return None,
            };
            Some(CableRow {
                cable: Cable { family, cores, csa_mm2 },
                ratings_a: ratings(
                    &row,
                    &[
                        (Method::C, "method_c_2core_a", "method_c_3or4core_a"),
                        (Method::D, "method_d_2core_a", "method_d_3or4core_a"),
                        (Method::E, "method_e_2core_a", "method_e_3or4core_a"),
                    ],
                ),
                drop,
                drop_70c,
                r20_mohm_per_m: conductor_r20_mohm_per_m(csa_mm2)?,
                line_k,
                protective: protective_of_armoured(cores, csa_mm2)?,
                rating_source: "Table 4D4A",
                rating_status: row.kept("status"),
                drop_source,
                drop_status,
            })
        })
        .collect()
}

/// A core where there is one to spare, else the steel armour. Thermoplastic cable is given the armour of thermosetting
/// cable, which has no more steel at any size: its own resistance was found nowhere, its section in one copy alone.
fn protective_of_armoured(cores: u8, csa_mm2: f64) -> Option<ProtectiveConductor> {
    if matches!(cores, 3 | 5) {
        return copper(ProtectiveKind::Core, csa_mm2);
    }
    let k_armour = k("steel armour", 70.0);
    let armours = Table::of(include_str!("tables/armour_xlpe.csv"));
    let armour = armours
        .rows()
        .find(|armour| armour.number("cores") == Some(f64::from(cores)) && armour.number("csa_mm2") == Some(csa_mm2))?;
    Some(ProtectiveConductor {
        kind: ProtectiveKind::Armour,
        csa_mm2: armour.needed("armour_csa_mm2"),
        r20_mohm_per_m: armour.needed("armour_r20_ohm_per_km"),
        // 60 degrees beside a 70 degree line, and 10 % on steel in alternating fields (PD CLC/TR 50480, print).
        hot_factor: 1.18 * 1.10,
        reactance_mohm_per_m: 0.3,
        k: k_armour,
        least_csa_mm2: table_54_7_mm2(csa_mm2) * k("line copper", 70.0) / k_armour,
        status: if armour.text("armour_csa_status") == "memory" {
            armour.kept("armour_csa_status")
        } else {
            armour.kept("armour_r20_status")
        },
    })
}

/// A copper conductor of the lines' size that lies among them.
fn copper(kind: ProtectiveKind, csa_mm2: f64) -> Option<ProtectiveConductor> {
    Some(ProtectiveConductor {
        kind,
        csa_mm2,
        r20_mohm_per_m: conductor_r20_mohm_per_m(csa_mm2)?,
        hot_factor: COPPER_70C,
        reactance_mohm_per_m: 0.0,
        k: k("core or bunched copper", 70.0),
        least_csa_mm2: table_54_7_mm2(csa_mm2),
        // IEC 60228, two sources.
        status: "verified",
    })
}

/// Single-core thermoplastic cable in conduit or trunking with two or four live cores and a protective conductor of
/// their size drawn in with them, smallest first, 2.5 to 16 mm2 (beyond it conduit becomes a matter of its own and
/// armoured cable is usual); empty for other numbers of cores.
pub fn singles(cores: u8) -> &'static [CableRow] {
    static ROWS: OnceLock<[Vec<CableRow>; 2]> = OnceLock::new();
    let all = ROWS.get_or_init(|| [2, 4].map(single_rows));
    match cores {
        2 => &all[0],
        4 => &all[1],
        _ => &[],
    }
}

fn single_rows(cores: u8) -> Vec<CableRow> {
    let line_k = k("line copper", 70.0);
    Table::of(include_str!("tables/singles_4d1.csv"))
        .rows()
        .filter_map(|row| {
            let csa_mm2 = row.number("csa_mm2").filter(|csa| SINGLES_MM2.contains(csa))?;
            let drop = drop(&row, ["ab_1ph_", "ab_3ph_"], "_mv");
            Some(CableRow {
                cable: Cable { family: CableFamily::Singles, cores, csa_mm2 },
                ratings_a: ratings(
                    &row,
                    &[(Method::A, "method_a_1ph_a", "method_a_3ph_a"), (Method::B, "method_b_1ph_a", "method_b_3ph_a")],
                ),
                drop,
                drop_70c: drop,
                r20_mohm_per_m: conductor_r20_mohm_per_m(csa_mm2)?,
                line_k,
                protective: copper(ProtectiveKind::Drawn, csa_mm2)?,
                rating_source: "Table 4D1A",
                rating_status: row.kept("status"),
                drop_source: "Table 4D1B",
                drop_status: row.kept("status"),
            })
        })
        .collect()
}
