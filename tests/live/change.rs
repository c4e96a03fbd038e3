//! A fact of a site changed: as the cells of the sheet, and as what it means for survey, facts and arrangement.

use crate::draw::Dice;
use baywright::design::{Arrangement, Control, EarthingPath, Facts, Run, RunRole, facts};
use baywright::reference::{Cable, CableFamily, Method, cable_row};
use baywright::rules::Rules;
use baywright::site::{DemandMethod, EarthingSystem, Reading, Site};
use std::collections::BTreeMap;

/// The cells that a user may fill, by their names without "your".
pub const INPUTS: [&str; 25] = [
    "fuse_a",
    "capacity_kva",
    "demand_a",
    "demand_method",
    "tails_mm2",
    "tails_m",
    "isolator",
    "fault_ka",
    "earthing",
    "ze_ohm",
    "path",
    "bonding_mm2",
    "conductor_mm2",
    "route_indoor_m",
    "route_surface_m",
    "route_buried_m",
    "route_m",
    "insulated_m",
    "ambient_c",
    "grouped",
    "setting_a",
    "control",
    "cable",
    "size_mm2",
    "daily_kwh",
];

const PATHS: [EarthingPath; 4] = [
    EarthingPath::SupplyEarth,
    EarthingPath::SupplyEarthOpenPen,
    EarthingPath::SupplyEarthOpenPenDevice,
    EarthingPath::Electrode,
];

/// Cells filled.
#[derive(Default)]
pub struct Change {
    numbers: BTreeMap<&'static str, f64>,
    words: BTreeMap<&'static str, String>,
    cables: Vec<Cable>,
}

fn cable(family: CableFamily, cores: u8, csa_mm2: f64) -> Cable {
    Cable { family, cores, csa_mm2 }
}

/// A cable of the list, of one family or jointed, of a size that the tables hold.
fn any_cable(dice: &mut Dice, phases: u8) -> Vec<Cable> {
    use CableFamily::{ArmouredPvc, ArmouredXlpe, Singles, TwinAndEarth};
    loop {
        let size = dice.one(&[2.5, 4.0, 6.0, 10.0, 16.0, 25.0, 35.0, 50.0, 95.0]);
        let armoured = dice.one(&[ArmouredXlpe, ArmouredXlpe, ArmouredPvc]);
        let cables = if phases == 3 {
            let five = vec![cable(armoured, dice.one(&[4, 5]), size)];
            if dice.chance(0.2) { vec![cable(Singles, 4, size)] } else { five }
        } else {
            match dice.one(&[0, 1, 2, 2, 3, 3, 4]) {
                0 => vec![cable(TwinAndEarth, 2, size)],
                1 => vec![cable(Singles, 2, size)],
                2 => vec![cable(armoured, dice.one(&[2, 3]), size)],
                3 => vec![cable(TwinAndEarth, 2, size), cable(armoured, dice.one(&[2, 3]), size)],
                _ => vec![cable(armoured, dice.one(&[4, 5]), size)],
            }
        };
        if cables.iter().all(|cable| cable_row(*cable).is_some()) {
            return cables;
        }
    }
}

fn cable_words(cable: &Cable) -> String {
    match cable.family {
        CableFamily::TwinAndEarth => "twin-and-earth".to_owned(),
        CableFamily::Singles => format!("singles in conduit, {} live", cable.cores),
        CableFamily::ArmouredXlpe => format!("armoured-xlpe {}-core", cable.cores),
        CableFamily::ArmouredPvc => format!("armoured-pvc {}-core", cable.cores),
    }
}

impl Change {
    /// One to three facts changed.
    pub fn drawn(dice: &mut Dice, _: &Site, chosen: &Arrangement, _: &Rules) -> Self {
        let mut change = Self::default();
        for _ in 0..dice.one(&[1, 1, 2, 3]) {
            change.draw(dice, chosen.phases);
        }
        change
    }

    fn number(&mut self, name: &'static str, value: f64) {
        self.numbers.insert(name, value);
    }

    fn word(&mut self, name: &'static str, word: &str) {
        self.words.insert(name, word.to_owned());
    }

    fn draw(&mut self, dice: &mut Dice, phases: u8) {
        match dice
            .one(&[0, 0, 1, 2, 2, 2, 3, 4, 5, 6, 6, 7, 7, 8, 9, 9, 10, 10, 10, 11, 12, 12, 13, 13, 14, 14, 14, 15])
        {
            0 => {
                let fuse = if dice.chance(0.8) {
                    dice.one(&[40.0, 60.0, 63.0, 80.0, 100.0])
                } else {
                    dice.between(30.0, 400.0)
                };
                self.number("fuse_a", fuse);
            }
            1 => self.number("capacity_kva", dice.between(5.0, 200.0)),
            2 => {
                self.number("demand_a", dice.between(0.0, 120.0));
                if dice.chance(0.5) {
                    self.word("demand_method", dice.one(&["measured", "calculated", "estimated", "not stated"]));
                }
            }
            3 => self.number("tails_mm2", dice.one(&[6.0, 10.0, 16.0, 25.0, 35.0])),
            4 => self.number("tails_m", dice.between(0.0, 30.0)),
            5 => self.word("isolator", dice.one(&["yes", "no"])),
            6 => self.number("fault_ka", dice.between(0.3, 26.0)),
            7 => self.word("earthing", dice.one(&["TN-C-S", "TN-S", "TT"])),
            8 => {
                let ohm = if dice.chance(0.5) { dice.between(0.02, 1.3) } else { dice.between(5.0, 2000.0) };
                self.number("ze_ohm", ohm);
            }
            9 => {
                for part in ["route_indoor_m", "route_surface_m", "route_buried_m"] {
                    if dice.chance(0.5) {
                        self.number(part, if dice.chance(0.3) { 0.0 } else { dice.between(0.0, 90.0) });
                    }
                }
            }
            10 => self.number("route_m", dice.between(0.5, 150.0)),
            11 => match dice.one(&[0, 1, 2]) {
                0 => self.number("insulated_m", dice.one(&[0.0, 0.04, 0.1, 0.3, 2.0])),
                1 => self.number("ambient_c", dice.one(&[12.0, 30.0, 34.0, 45.0, 60.0, 61.0])),
                _ => self.number("grouped", dice.one(&[1.0, 2.0, 3.0, 6.0, 7.0, 9.0, 20.0, 21.0])),
            },
            12 => self.number("setting_a", dice.one(&[32.0, 25.0, 20.0, 16.0, 13.0, 10.0])),
            13 => self.word("control", dice.one(&["none", "local limiter"])),
            14 => {
                self.cables = any_cable(dice, phases);
                let words: Vec<_> = self.cables.iter().map(cable_words).collect();
                self.word("cable", &words.join(", then "));
                self.number("size_mm2", self.cables[0].csa_mm2);
            }
            _ => match dice.one(&[0, 1, 2, 3]) {
                0 => self.number("bonding_mm2", dice.one(&[4.0, 6.0, 10.0, 16.0, 25.0, 50.0])),
                1 => self.number("conductor_mm2", dice.one(&[4.0, 6.0, 10.0, 16.0, 25.0, 50.0])),
                2 => self.number("daily_kwh", dice.between(0.0, 60.0)),
                _ => self.word("path", dice.one(&PATHS).word()),
            },
        }
    }

    /// The cell of an input; empty where it is not changed.
    pub fn cell(&self, input: &str) -> String {
        self.numbers.get(input).map(f64::to_string).or_else(|| self.words.get(input).cloned()).unwrap_or_default()
    }

    /// The survey with the facts changed that a survey states.
    pub fn site(&self, found: &Site, rules: &Rules) -> Site {
        let mut site = found.clone();
        let was = facts(found, rules).0;
        let read = |name: &str, reading: &mut Reading<f64>| {
            if let Some(value) = self.numbers.get(name) {
                *reading = Reading::of(*value);
            }
        };
        read("fuse_a", &mut site.supply.cutout_rating_a);
        read("capacity_kva", &mut site.supply.agreed_capacity_kva);
        read("demand_a", &mut site.load.existing_demand_a);
        read("tails_mm2", &mut site.supply.tails_mm2);
        read("tails_m", &mut site.board.meter_to_board_m);
        read("fault_ka", &mut site.supply.fault_level_ka);
        read("bonding_mm2", &mut site.supply.main_bonding_mm2);
        read("conductor_mm2", &mut site.board.earthing_conductor_mm2);
        read("insulated_m", &mut site.parking.insulated_length_m);
        read("ambient_c", &mut site.parking.ambient_c);
        read("grouped", &mut site.parking.grouped_circuits);
        if let Some(word) = self.words.get("demand_method") {
            let method = DemandMethod::from_word(word);
            site.load.demand_method = method.map(Reading::of).unwrap_or_default();
        }
        if let Some(word) = self.words.get("isolator") {
            site.supply.isolator_present = Reading::of(word == "yes");
        }
        if let Some(earthing) = self.words.get("earthing").and_then(|word| EarthingSystem::from_word(word)) {
            // What was measured on another earthing no longer counts.
            if was.earthing != Some(earthing) {
                site.supply.ze_ohm = Reading::default();
            }
            site.supply.earthing_system = Reading::of(earthing);
        }
        if let Some(ohm) = self.numbers.get("ze_ohm") {
            site.supply.ze_ohm = Reading::of(*ohm);
        }
        self.route(&was, &mut site);
        site
    }

    fn route(&self, was: &Facts, site: &mut Site) {
        let names = ["route_indoor_m", "route_surface_m", "route_buried_m"];
        if !names.iter().chain(&["route_m"]).any(|name| self.numbers.contains_key(name)) {
            return;
        }
        let longest = was.route.scaled_to(was.distance_m.high);
        let found = [longest.indoor_m, longest.surface_m, longest.buried_m];
        let mut parts = [0, 1, 2].map(|part| self.numbers.get(names[part]).copied().unwrap_or(found[part]));
        let whole: f64 = parts.iter().sum();
        if let Some(wanted) = self.numbers.get("route_m") {
            parts = if whole > 0.0 { parts.map(|part| part * wanted / whole) } else { [0.0, *wanted, 0.0] };
        }
        let [indoor, surface, buried] = parts;
        site.parking.route_indoor_m = Reading::of(indoor);
        site.parking.route_surface_m = Reading::of(surface);
        site.parking.route_buried_m = Reading::of(buried);
        site.parking.parking_distance_m = Reading::of(parts.iter().sum());
    }

    /// Facts changed that no survey states as such.
    pub fn facts(&self, facts: &mut Facts) {
        if let Some(kwh) = self.numbers.get("daily_kwh") {
            facts.wanted.daily_kwh = *kwh;
        }
    }

    /// The arrangement with what of it is changed.
    pub fn arrangement(&self, chosen: &Arrangement) -> Arrangement {
        let mut arrangement = chosen.clone();
        if let Some(setting) = self.numbers.get("setting_a") {
            arrangement.setting_a = *setting;
        }
        match self.words.get("control").map(String::as_str) {
            Some("none") => arrangement.control = Control::None,
            Some(_) => arrangement.control = Control::Local { setpoint_a: 0.0 },
            None => {}
        }
        if let Some(path) = self.words.get("path").and_then(|word| PATHS.iter().find(|path| path.word() == word)) {
            arrangement.earthing = *path;
        }
        if !self.cables.is_empty() {
            let run = |cable: &Cable| Run {
                role: RunRole::Final,
                cable: *cable,
                method: Method::C,
                count: 1,
                indoor_m: 0.0,
                surface_m: 0.0,
                buried_m: 0.0,
                rises_m: 0.0,
            };
            arrangement.runs = self.cables.iter().map(run).collect();
        }
        arrangement
    }
}
