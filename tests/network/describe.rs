//! An arrangement of the engine as a radial network: sections in series from the origin to the point, each with the
//! figures of its conductors.
//!
//! The one file that knows how an arrangement is put together. It takes the engine's choice (cables, lengths, setting,
//! device) and the published tables, and works the rest out again: nothing of the engine's own drop, impedance or fault
//! level enters here.

use super::kept::{Circuit, Section};
use super::sites::sites;
use crate::tables::{Row, table};
use baywright::design::{Arrangement, Control, EarthingPath, Facts, Feed, Run, RunRole, arrangements, facts};
use baywright::reference::{Cable, CableFamily, CableRow, Loaded, cable_row, conductor_r20_mohm_per_m};
use baywright::rules::{Rules, default_rules};

/// Power factor of the load in the network: a charge point's, as the engine takes it.
const POWER_FACTOR: f64 = 1.0;
/// Copper from 20 to 70 degrees: 1 + 0.004 x 50.
const COPPER_70C: f64 = 1.20;

/// One circuit with what the engine says of it.
pub struct Designed {
    pub circuit: Circuit,
    pub sections: Vec<Section>,
    pub engine: Engine,
}

/// The engine's answers.
#[derive(Clone, Copy, Debug)]
pub struct Engine {
    pub drop_v: f64,
    pub zs_ohm: f64,
    pub fault_a: f64,
    /// Prospective current at a new distribution board, as its finding says it.
    pub board_ka: Option<f64>,
}

/// One circuit of every generated site. An engine builds several for a site, one for each cable: the sites take turns
/// with them, so that every cable family and protective conductor is met and no two circuits are alike.
pub fn designed() -> Vec<Designed> {
    let rules = default_rules();
    let drops = Drops::read();
    let mut all = Vec::new();
    for (turn, site) in sites().into_iter().enumerate() {
        let (facts, _) = facts(&site, rules);
        let mut built: Vec<(Vec<(CableFamily, u8)>, Arrangement)> = Vec::new();
        for arrangement in arrangements(&facts, rules) {
            // Where no cable serves the whole route the figures are those of a nearer point.
            let no_cable = arrangement.findings.iter().any(|finding| finding.check.name == "cable-length");
            let make_up: Vec<_> = arrangement.runs.iter().map(|run| (run.cable.family, run.cable.cores)).collect();
            if !no_cable && !make_up.is_empty() && built.iter().all(|(seen, _)| *seen != make_up) {
                built.push((make_up, arrangement));
            }
        }
        if !built.is_empty() {
            let (_, arrangement) = &built[turn % built.len()];
            all.push(describe(site.site_id, arrangement, &facts, rules, &drops));
        }
    }
    all
}

fn describe(name: String, arrangement: &Arrangement, facts: &Facts, rules: &Rules, drops: &Drops) -> Designed {
    let mut sections = Vec::new();
    sections.extend(upstream(arrangement, facts, rules, drops));
    let finals = arrangement.runs.iter().filter(|run| run.role == RunRole::Final).count();
    for run in &arrangement.runs {
        let (part, length_m, current_a) = match run.role {
            RunRole::SubMain => ("new sub-main", run.length_m(), submain_current_a(arrangement, run)),
            RunRole::Final if arrangement.points > 1 => {
                assert_eq!(finals, 1, "{name}: which of the final runs is the farthest?");
                ("final circuit", farthest_m(facts, rules), arrangement.setting_a)
            }
            RunRole::Final => ("final circuit", run.length_m(), arrangement.setting_a),
        };
        let row = cable_row(run.cable).unwrap_or_else(|| panic!("{name}: {} has no row", run.cable.words()));
        sections.push(drops.section(part, row, length_m, current_a));
    }
    let apart = arrangement.earthing == EarthingPath::Electrode;
    let board = arrangement.findings.iter().find(|finding| finding.check.name == "breaking-at-board");
    Designed {
        circuit: Circuit {
            circuit: name,
            feed: arrangement.feed.word().into(),
            cable: sections.last().map(|section| section.cable.clone()).unwrap_or_default(),
            supply_phases: arrangement.supply_phases,
            point_phases: arrangement.phases,
            points: arrangement.points,
            power_factor: POWER_FACTOR,
            fault_level_ka: facts.fault_level_ka,
            // Earthed by an electrode, the loop is the electrode's: no network of copper says anything of it.
            ze_ohm: (!apart).then_some(facts.ze_ohm),
        },
        sections,
        engine: Engine {
            drop_v: arrangement.voltage_drop_v,
            zs_ohm: arrangement.zs_ohm,
            fault_a: arrangement.fault_current_a,
            board_ka: board.and_then(|finding| finding.limit),
        },
    }
}

/// What lies between the origin and the circuit: the existing sub-main where the circuit starts behind it and its
/// device carries what is wanted, else the tails; nothing where the supply is over 100 A.
fn upstream(arrangement: &Arrangement, facts: &Facts, rules: &Rules, drops: &Drops) -> Option<Section> {
    let needed_a = arrangement.shared.map_or(arrangement.setting_a, |shared| shared.group_limit_a);
    let demand_a = arrangement.maximum_demand_a.high;
    let behind = facts.submain.filter(|(_, device_a)| arrangement.feed != Feed::AddedBoard && *device_a >= needed_a);
    if let Some((mm2, device_a)) = behind {
        return Some(drops.existing(mm2, facts.tails_m, demand_a.min(device_a)));
    }
    let mm2 = facts.tails_mm2?.max(16.0);
    let length_m =
        if facts.submain.is_some() { facts.tails_m.min(rules.supply.tails_longest_m) } else { facts.tails_m };
    Some(tails(mm2, length_m, demand_a))
}

/// Current a phase of the sub-main that carries most: the controller's share, or whole points at their setting.
fn submain_current_a(arrangement: &Arrangement, run: &Run) -> f64 {
    let count = f64::from(run.count);
    match arrangement.control {
        Control::Group { limit_a, .. } => limit_a / count,
        _ => {
            let points = f64::from(arrangement.points);
            let spread = if arrangement.phases == 3 { 1.0 } else { f64::from(arrangement.supply_phases) };
            ((points / spread).ceil() / count).ceil() * arrangement.setting_a
        }
    }
}

/// Length of the farthest final circuit of a row of bays with the distribution board at its middle.
fn farthest_m(facts: &Facts, rules: &Rules) -> f64 {
    let side_m = rules.route.bay_pitch_m * (f64::from(facts.wanted.points) - 1.0) / 2.0;
    rules.shared.distribution_spacing_m + side_m + 2.0 * (rules.route.rise_m + rules.route.ends_m)
}

/// Copper line and neutral in air, protective conductor 16 mm2: the drop is their resistance at 70 degrees.
fn tails(mm2: f64, length_m: f64, current_a: f64) -> Section {
    let copper = |mm2: f64| conductor_r20_mohm_per_m(mm2).unwrap_or_else(|| panic!("{mm2} mm2 is in no table"));
    let hot = copper(mm2) * COPPER_70C;
    Section {
        part: "tails",
        cable: format!("{mm2} mm² tails"),
        length_m,
        current_a,
        r_mohm: hot,
        x_mohm: 0.0,
        z_mohm: hot,
        r3_mohm: hot,
        x3_mohm: 0.0,
        z3_mohm: hot,
        cold_mohm: copper(mm2),
        hot_mohm: hot,
        earth_mohm: copper(16.0) * COPPER_70C,
        earth_x_mohm: 0.0,
    }
}

/// Voltage-drop columns of the tables, read from the files themselves.
struct Drops {
    armoured_xlpe: Vec<Row>,
}

impl Drops {
    fn read() -> Self {
        Self { armoured_xlpe: table("armoured_90c_4e4.csv") }
    }

    /// r, x and z of the row for one and for three phases loaded, mV/A/m; `None` where the table does not split them.
    fn split(&self, cable: Cable) -> Option<[[f64; 3]; 2]> {
        let rows = match cable.family {
            CableFamily::ArmouredXlpe => &self.armoured_xlpe,
            CableFamily::ArmouredPvc | CableFamily::TwinAndEarth | CableFamily::Singles => return None,
        };
        let row = rows.iter().find(|row| row.number("csa_mm2") == cable.csa_mm2)?;
        let columns = |loaded: &str| {
            let column = |part: &str| row.optional(&format!("mv_{loaded}_{part}_per_a_per_m"));
            Some([column("r")?, column("x")?, column("z")?])
        };
        Some([columns("1ph")?, columns("3ph")?])
    }

    /// A run of a cable. One phase loaded, a tabulated figure is of line and neutral: half of it is one conductor's.
    /// Three loaded, it is between lines: one conductor's is the figure over the root of three.
    fn section(&self, part: &'static str, row: &CableRow, length_m: f64, current_a: f64) -> Section {
        let (one, three) = (row.drop_mv_per_a_m(Loaded::One), row.drop_mv_per_a_m(Loaded::Three));
        // Twin-and-earth has one column, line and neutral: on three phases there is none of it.
        let three = if row.cable.family == CableFamily::TwinAndEarth { one * 3f64.sqrt() / 2.0 } else { three };
        let [[r, x, z], [r3, x3, z3]] = self.split(row.cable).unwrap_or([[one, 0.0, one], [three, 0.0, three]]);
        let root = 3f64.sqrt();
        Section {
            part,
            cable: row.cable.words(),
            length_m,
            current_a,
            r_mohm: r / 2.0,
            x_mohm: x / 2.0,
            z_mohm: z / 2.0,
            r3_mohm: r3 / root,
            x3_mohm: x3 / root,
            z3_mohm: z3 / root,
            cold_mohm: row.r20_mohm_per_m,
            hot_mohm: row.r20_mohm_per_m * COPPER_70C,
            earth_mohm: row.protective.r20_mohm_per_m * row.protective.hot_factor,
            earth_x_mohm: row.protective.reactance_mohm_per_m,
        }
    }

    /// An existing sub-main: resistance as the tails', reactance of an armoured cable of its size, and of the usual
    /// protective conductors (two-core armour, a 16 mm2 core) the one with the larger loop.
    fn existing(&self, mm2: f64, length_m: f64, current_a: f64) -> Section {
        let copper = tails(mm2, length_m, current_a);
        let cable = Cable { family: CableFamily::ArmouredXlpe, cores: 2, csa_mm2: mm2 };
        let mut section = Section { part: "existing sub-main", cable: format!("{mm2} mm²"), ..copper.clone() };
        let Some(row) = cable_row(cable) else {
            return section;
        };
        let as_cable = self.section("", row, length_m, current_a);
        (section.x_mohm, section.x3_mohm) = (as_cable.x_mohm, as_cable.x3_mohm);
        section.z_mohm = section.r_mohm.hypot(section.x_mohm);
        let loop_mohm = |of: &Section| (of.hot_mohm + of.earth_mohm).hypot(of.earth_x_mohm);
        if loop_mohm(&as_cable) > loop_mohm(&copper) {
            (section.earth_mohm, section.earth_x_mohm) = (as_cable.earth_mohm, as_cable.earth_x_mohm);
        }
        section
    }
}
