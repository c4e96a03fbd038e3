//! The published tables once more: read from the same files by a reader of its own, looked up by plain loops.
//!
//! It must not know the engine's look-ups. Conventions of the engine that are quoted, not proven: sizes from 2.5 to
//! 95 mm2 (thermoplastic armoured to 35, singles to 16); ratings of armoured cable from the 70 degree table 4D4A; drop of
//! thermosetting armoured cable from 4E4B; thermoplastic armour taken as the thermosetting cable's; a factor is that of
//! the first line that reaches the value and never above 1; a let-through is that of the next higher line.

use baywright::reference::{Cable, CableFamily, Method};
use std::collections::BTreeMap;
use std::sync::OnceLock;

type Line = BTreeMap<String, String>;

fn read(text: &str) -> Vec<Line> {
    let mut lines = Vec::new();
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    let headings = reader.headers().unwrap().clone();
    for record in reader.records() {
        let record = record.unwrap();
        let mut line = Line::new();
        for (heading, cell) in headings.iter().zip(record.iter()) {
            line.insert(heading.to_owned(), cell.to_owned());
        }
        lines.push(line);
    }
    lines
}

fn number(line: &Line, column: &str) -> Option<f64> {
    line.get(column).unwrap_or_else(|| panic!("no column {column}")).parse().ok()
}

fn needed(line: &Line, column: &str) -> f64 {
    number(line, column).unwrap_or_else(|| panic!("nothing in {column}"))
}

macro_rules! file {
    ($name:literal) => {
        read(include_str!(concat!("../../src/reference/tables/", $name, ".csv")))
    };
}

/// What the tables say of one cable: index 0 for one phase loaded, 1 for three.
#[derive(Clone, Debug)]
pub struct Wire {
    pub cable: Cable,
    ratings: Vec<(Method, [f64; 2])>,
    /// mV/A/m, magnitude.
    pub z_mv: [f64; 2],
    /// mV/A/m at 70 degrees on one phase, resistive and reactive, for the second figure.
    pub warm_r_mv: f64,
    pub warm_x_mv: f64,
    /// Line at 20 degrees, milliohms a metre.
    pub r1: f64,
    /// Protective conductor at 20 degrees, milliohms a metre, and how much hotter it is reckoned.
    pub r2: f64,
    pub r2_hot: f64,
    pub x2: f64,
    pub pe_mm2: f64,
    pub pe_k: f64,
    pub line_k: f64,
    /// Table 54.7 for its material.
    pub pe_least_mm2: f64,
}

impl Wire {
    pub fn rating(&self, method: Method, three: bool) -> Option<f64> {
        for (known, amps) in &self.ratings {
            if *known == method {
                return Some(amps[usize::from(three)]);
            }
        }
        None
    }

    /// R1 + R2 hot, milliohms a metre: line at 70 degrees; reactance of armour at right angles.
    pub fn loop_hot(&self) -> f64 {
        let r = 1.20 * self.r1 + self.r2_hot * self.r2;
        (r * r + self.x2 * self.x2).sqrt()
    }
}

struct Tables {
    copper: Vec<(f64, f64)>,
    wires: Vec<Wire>,
    factors: Vec<(String, String, f64, f64)>,
    overload_buried: f64,
    energy: Vec<(String, f64, f64, f64)>,
    devices: Vec<f64>,
    effects: BTreeMap<String, (String, String)>,
}

fn table_54_7(s: f64) -> f64 {
    if s <= 16.0 {
        s
    } else if s <= 35.0 {
        16.0
    } else {
        s / 2.0
    }
}

fn k(lines: &[Line], of: &str, celsius: f64) -> f64 {
    for line in lines {
        if line["use"] == of && needed(line, "insulation_c") == celsius {
            return needed(line, "k");
        }
    }
    panic!("no k of {of}")
}

fn at_size(lines: &[Line], mm2: f64) -> Option<&Line> {
    lines.iter().find(|line| needed(line, "csa_mm2") == mm2)
}

fn read_all() -> Tables {
    let ks = file!("protective_conductor_k");
    let copper: Vec<(f64, f64)> =
        file!("conductor").iter().map(|line| (needed(line, "csa_mm2"), needed(line, "r20_milliohm_per_m"))).collect();
    let r20 = |mm2: f64| copper.iter().find(|(csa, _)| *csa == mm2).unwrap().1;
    let (k_line, k_core, k_steel) =
        (k(&ks, "line copper", 70.0), k(&ks, "core or bunched copper", 70.0), k(&ks, "steel armour", 70.0));
    let mut wires = Vec::new();
    let in_use = |mm2: f64| (2.5..=95.0).contains(&mm2);
    let cpcs = file!("twin_earth_cpc");
    for line in file!("twin_earth_4d5") {
        let mm2 = needed(&line, "csa_mm2");
        if !in_use(mm2) {
            continue;
        }
        let cpc = at_size(&cpcs, mm2).unwrap();
        let mut ratings = Vec::new();
        for (method, column) in [
            (Method::M100, "method_100_a"),
            (Method::M101, "method_101_a"),
            (Method::M102, "method_102_a"),
            (Method::M103, "method_103_a"),
            (Method::C, "method_c_a"),
            (Method::A, "method_a_a"),
        ] {
            ratings.push((method, [needed(&line, column); 2]));
        }
        let mv = needed(&line, "mv_per_a_per_m");
        wires.push(Wire {
            cable: Cable { family: CableFamily::TwinAndEarth, cores: 2, csa_mm2: mm2 },
            ratings,
            z_mv: [mv, mv],
            warm_r_mv: mv,
            warm_x_mv: 0.0,
            r1: needed(cpc, "r1_milliohm_per_m_20C"),
            r2: needed(cpc, "r2_milliohm_per_m_20C"),
            r2_hot: 1.20,
            x2: 0.0,
            pe_mm2: needed(cpc, "cpc_csa_mm2"),
            pe_k: k_core,
            line_k: k_line,
            pe_least_mm2: table_54_7(mm2),
        });
    }
    let (cool, hot, steel) = (file!("armoured_70c_4d4b"), file!("armoured_90c_4e4"), file!("armour_xlpe"));
    for line in file!("armoured_70c_4d4a") {
        let mm2 = needed(&line, "csa_mm2");
        if !in_use(mm2) {
            continue;
        }
        let at_90 = at_size(&hot, mm2).unwrap();
        let at_70 = at_size(&cool, mm2);
        let pair = |one: &str, three: &str| [needed(&line, one), needed(&line, three)];
        let ratings = vec![
            (Method::C, pair("method_c_2core_a", "method_c_3or4core_a")),
            (Method::D, pair("method_d_2core_a", "method_d_3or4core_a")),
            (Method::E, pair("method_e_2core_a", "method_e_3or4core_a")),
        ];
        for family in [CableFamily::ArmouredXlpe, CableFamily::ArmouredPvc] {
            let z_mv = match (family, at_70) {
                (CableFamily::ArmouredXlpe, _) => {
                    [needed(at_90, "mv_1ph_z_per_a_per_m"), needed(at_90, "mv_3ph_z_per_a_per_m")]
                }
                (_, Some(at_70)) => [needed(at_70, "mv_1ph_per_a_per_m"), needed(at_70, "mv_3ph_per_a_per_m")],
                (_, None) => continue,
            };
            // To 16 mm2 the 70 degree figure is printed; beyond it r of the 90 degree table cools from 90 to 70.
            let (warm_r_mv, warm_x_mv) = match at_70 {
                Some(at_70) if mm2 <= 16.0 => (needed(at_70, "mv_1ph_per_a_per_m"), 0.0),
                _ => (
                    needed(at_90, "mv_1ph_r_per_a_per_m") * (230.0 + 70.0) / (230.0 + 90.0),
                    number(at_90, "mv_1ph_x_per_a_per_m").unwrap_or(0.0),
                ),
            };
            for cores in 2..=5_u8 {
                let armour = steel
                    .iter()
                    .find(|line| needed(line, "cores") == f64::from(cores) && needed(line, "csa_mm2") == mm2);
                let wire = Wire {
                    cable: Cable { family, cores, csa_mm2: mm2 },
                    ratings: ratings.clone(),
                    z_mv,
                    warm_r_mv,
                    warm_x_mv,
                    r1: r20(mm2),
                    r2: r20(mm2),
                    r2_hot: 1.20,
                    x2: 0.0,
                    pe_mm2: mm2,
                    pe_k: k_core,
                    line_k: k_line,
                    pe_least_mm2: table_54_7(mm2),
                };
                if cores == 3 || cores == 5 {
                    wires.push(wire);
                    continue;
                }
                // Armour at 60 degrees beside a 70 degree line (1.18), 10 % for alternating fields, 0.3 milliohm a metre.
                let armour = armour.unwrap();
                wires.push(Wire {
                    r2: needed(armour, "armour_r20_ohm_per_km"),
                    r2_hot: 1.18 * 1.10,
                    x2: 0.3,
                    pe_mm2: needed(armour, "armour_csa_mm2"),
                    pe_k: k_steel,
                    pe_least_mm2: table_54_7(mm2) * k_line / k_steel,
                    ..wire
                });
            }
        }
    }
    for line in file!("singles_4d1") {
        let mm2 = needed(&line, "csa_mm2");
        if !in_use(mm2) || mm2 > 16.0 {
            continue;
        }
        for cores in [2, 4] {
            wires.push(Wire {
                cable: Cable { family: CableFamily::Singles, cores, csa_mm2: mm2 },
                ratings: vec![(Method::B, [needed(&line, "method_b_1ph_a"), needed(&line, "method_b_3ph_a")])],
                z_mv: [needed(&line, "ab_1ph_z_mv"), needed(&line, "ab_3ph_z_mv")],
                warm_r_mv: needed(&line, "ab_1ph_r_mv"),
                warm_x_mv: number(&line, "ab_1ph_x_mv").unwrap_or(0.0),
                r1: r20(mm2),
                r2: r20(mm2),
                r2_hot: 1.20,
                x2: 0.0,
                pe_mm2: mm2,
                pe_k: k_core,
                line_k: k_line,
                pe_least_mm2: table_54_7(mm2),
            });
        }
    }
    let mut factors = Vec::new();
    let mut overload_buried = 0.0;
    for line in file!("correction_factors") {
        if line["table"] == "App 4 5.1.1" && line["variant"] == "underground" {
            overload_buried = needed(&line, "factor");
        } else if let (Some(value), Some(factor)) = (number(&line, "value"), number(&line, "factor")) {
            factors.push((line["table"].clone(), line["variant"].clone(), value, factor));
        }
    }
    let energy = file!("let_through")
        .iter()
        .map(|line| {
            (line["curve"].clone(), needed(line, "rating_to_a"), needed(line, "fault_ka"), needed(line, "i2t_a2s"))
        })
        .collect();
    let devices = file!("device_ratings").iter().map(|line| needed(line, "rating_a")).collect();
    let effects = read(include_str!("../../src/finding/effects.csv"))
        .into_iter()
        .map(|line| (line["code"].clone(), (line["effect"].clone(), line["route"].clone())))
        .collect();
    Tables { copper, wires, factors, overload_buried, energy, devices, effects }
}

fn tables() -> &'static Tables {
    static TABLES: OnceLock<Tables> = OnceLock::new();
    TABLES.get_or_init(read_all)
}

/// Every cable of the tables.
pub fn wires() -> &'static [Wire] {
    &tables().wires
}

/// The cable of the tables that an arrangement names.
pub fn wire(cable: Cable) -> Option<&'static Wire> {
    tables().wires.iter().find(|wire| wire.cable == cable)
}

/// Copper at 20 degrees, milliohms a metre.
pub fn copper(mm2: f64) -> Option<f64> {
    tables().copper.iter().find(|(csa, _)| *csa == mm2).map(|(_, r20)| *r20)
}

/// The factor of the first line of a table that reaches `value`; `None` beyond the table.
pub fn factor(table: &str, variant: &str, value: f64) -> Option<f64> {
    for (name, kind, reached, factor) in &tables().factors {
        if name == table && kind.starts_with(variant) && *reached >= value {
            return Some(factor.min(1.0));
        }
    }
    None
}

/// Cc: in the ground with overload protection.
pub fn overload_buried() -> f64 {
    tables().overload_buried
}

/// Table 41.3 by its formula: U0 x Cmin / (multiple x In), half up to 0.01 ohm.
pub fn zs_limit(curve: char, rating_a: f64) -> f64 {
    let multiple = match curve {
        'B' => 5.0,
        'C' => 10.0,
        _ => 20.0,
    };
    let ohm = 230.0 * 0.95 / (multiple * rating_a);
    (ohm * 100.0 + 0.5 + 1e-9).floor() / 100.0
}

/// Class 3 let-through of the next higher line, A2s.
pub fn class_energy(curve: char, rating_a: f64, fault_ka: f64) -> Option<f64> {
    for (letter, to_a, ka, energy) in &tables().energy {
        if letter.starts_with(curve) && rating_a <= *to_a && fault_ka <= *ka {
            return Some(*energy);
        }
    }
    None
}

/// Preferred ratings of devices, rising.
pub fn devices() -> &'static [f64] {
    &tables().devices
}

/// Factor of so many rods in line (BS 7430); `None` where the table has none.
pub fn lambda(rods: u32) -> Option<f64> {
    static LINES: OnceLock<Vec<(f64, f64)>> = OnceLock::new();
    let lines = LINES.get_or_init(|| {
        file!("electrode_lambda").iter().map(|line| (needed(line, "rods"), needed(line, "lambda"))).collect()
    });
    lines.iter().find(|(known, _)| *known == f64::from(rods)).map(|(_, lambda)| *lambda)
}

/// Loadings of a three-phase supply: shares of the existing load on each line, and whether one point charges alone.
pub fn loadings() -> &'static [([f64; 3], bool)] {
    static LINES: OnceLock<Vec<([f64; 3], bool)>> = OnceLock::new();
    LINES.get_or_init(|| {
        let shares = |line: &Line| ["existing_1", "existing_2", "existing_3"].map(|column| needed(line, column));
        file!("open_pen_loadings").iter().map(|line| (shares(line), line["charging"] == "one phase")).collect()
    })
}

/// Effect and operator route of a reason code in the effects table.
pub fn effect_words(code: &str) -> (&'static str, &'static str) {
    let words = &tables().effects;
    let (effect, route) = words.get(code).unwrap_or_else(|| panic!("no reason {code}"));
    (effect, route)
}
