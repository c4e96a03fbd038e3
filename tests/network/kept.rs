//! The kept data: what circuits and sections are written as, the library's answers, and how the three files are read
//! and written. It knows no engineering.

use serde::Deserialize;
use sha2::{Digest, Sha256};
use std::fmt::Write;
use std::path::{Path, PathBuf};

/// One circuit, as a line of `circuits.csv`.
#[derive(Clone, Debug)]
pub struct Circuit {
    pub circuit: String,
    pub feed: String,
    pub cable: String,
    pub supply_phases: u8,
    pub point_phases: u8,
    pub points: u32,
    pub power_factor: f64,
    pub fault_level_ka: f64,
    /// `None` where an electrode earths the point.
    pub ze_ohm: Option<f64>,
}

/// One section, as a line of `sections.csv`, where circuit and number, from 1 at the origin, stand before it; milliohms
/// a metre of one conductor.
#[derive(Clone, Debug)]
pub struct Section {
    /// Tails, existing or new sub-main, final circuit.
    pub part: &'static str,
    pub cable: String,
    pub length_m: f64,
    /// Current a phase that the drop is reckoned with.
    pub current_a: f64,
    /// Resistance and reactance of the voltage-drop table, one phase loaded, and its whole figure.
    pub r_mohm: f64,
    pub x_mohm: f64,
    pub z_mohm: f64,
    /// The same, three phases loaded.
    pub r3_mohm: f64,
    pub x3_mohm: f64,
    pub z3_mohm: f64,
    /// Line conductor at 20 degrees, and hot as the engine takes it for an earth fault.
    pub cold_mohm: f64,
    pub hot_mohm: f64,
    /// Protective conductor, hot.
    pub earth_mohm: f64,
    pub earth_x_mohm: f64,
}

/// The library's answers for one circuit, as a line of `answers.csv`; `README.md` says what each of them is.
#[derive(Clone, Debug, Deserialize)]
pub struct Answer {
    pub circuit: String,
    pub drop_v: f64,
    pub drop_lagging_v: f64,
    pub drop_whole_v: f64,
    pub drop_power_v: f64,
    pub drop_impedance_v: f64,
    pub drop_balanced_v: Option<f64>,
    pub board_ka: Option<f64>,
    pub board_angle_ka: Option<f64>,
    pub board_all_ka: Option<f64>,
    pub point_ka: Option<f64>,
    pub point_angle_ka: Option<f64>,
    pub point_neutral_ka: f64,
    pub point_neutral_angle_ka: f64,
    pub earth_a: Option<f64>,
    pub earth_aligned_a: Option<f64>,
    pub earth_reactive_a: Option<f64>,
}

const CIRCUIT: &str = "circuit,feed,cable,supply_phases,point_phases,points,power_factor,fault_level_ka,ze_ohm\n";
const SECTION: &str = "circuit,section,part,cable,length_m,current_a,r_mohm,x_mohm,z_mohm,r3_mohm,x3_mohm,z3_mohm,\
                       cold_mohm,hot_mohm,earth_mohm,earth_x_mohm\n";

/// A figure to six decimals without the zeros at its end: enough for a metre or a milliohm, and the same everywhere.
fn figure(value: f64) -> String {
    let text = format!("{value:.6}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// `circuits.csv` of these circuits.
pub fn circuits_text<'a>(circuits: impl Iterator<Item = &'a Circuit>) -> String {
    let mut text = String::from(CIRCUIT);
    for c in circuits {
        let ze = c.ze_ohm.map(figure).unwrap_or_default();
        let (power_factor, level_ka) = (figure(c.power_factor), figure(c.fault_level_ka));
        let Circuit { circuit, feed, cable, supply_phases, point_phases, points, .. } = c;
        writeln!(
            text,
            "{circuit},{feed},{cable},{supply_phases},{point_phases},{points},{power_factor},{level_ka},{ze}"
        )
        .expect("text grows");
    }
    text
}

/// `sections.csv` of these sections, each list those of one circuit.
pub fn sections_text<'a>(circuits: impl Iterator<Item = (&'a Circuit, &'a [Section])>) -> String {
    let mut text = String::from(SECTION);
    for (circuit, sections) in circuits {
        for (number, s) in (1..).zip(sections) {
            write!(text, "{},{number},{},{}", circuit.circuit, s.part, s.cable).expect("text grows");
            for value in [
                s.length_m,
                s.current_a,
                s.r_mohm,
                s.x_mohm,
                s.z_mohm,
                s.r3_mohm,
                s.x3_mohm,
                s.z3_mohm,
                s.cold_mohm,
                s.hot_mohm,
                s.earth_mohm,
                s.earth_x_mohm,
            ] {
                write!(text, ",{}", figure(value)).expect("text grows");
            }
            text.push('\n');
        }
    }
    text
}

/// Where the kept files stand.
pub fn path(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/network").join(name)
}

/// The text of a kept file; line ends as written here, whatever a checkout made of them.
pub fn text(name: &str) -> String {
    std::fs::read_to_string(path(name)).unwrap_or_else(|fault| panic!("{name}: {fault}")).replace("\r\n", "\n")
}

/// The lines of a kept file.
pub fn lines<T: for<'a> Deserialize<'a>>(name: &str) -> Vec<T> {
    let text = text(name);
    let mut reader = csv::ReaderBuilder::new().comment(Some(b'#')).from_reader(text.as_bytes());
    reader.deserialize().map(|line| line.unwrap_or_else(|fault| panic!("{name}: {fault}"))).collect()
}

/// Digest of the inputs that answers belong to, as `solve.py` writes it at the head of `answers.csv`.
pub fn inputs_digest() -> String {
    let mut digest = Sha256::new();
    digest.update(text("circuits.csv"));
    digest.update(text("sections.csv"));
    digest.finalize().iter().map(|byte| format!("{byte:02x}")).collect()
}
