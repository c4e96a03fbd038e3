//! Open PEN and electrodes once more (circuit.md 3 and 15), and the switches of the boards.
//!
//! Conventions of the engine that are quoted: the loadings tried on three phases are those of its table; the demand of the
//! installation is its high end; an electrode for the point lies in the likely soil of the rules, its rods a length apart,
//! with the season's margin.

use super::chain::Task;
use super::expected::Reckoned;
use super::published::{lambda, loadings};
use baywright::design::{Arrangement, Feed};
use baywright::site::EarthingSystem;
use std::f64::consts::PI;

/// Rods in line: `R1 (1 + lambda alpha) / n`, `alpha = rho / (2 pi R1 s)`.
fn rods_ohm(rho: f64, length_m: f64, diameter_m: f64, rods: u32) -> Option<f64> {
    let one = rho / (2.0 * PI * length_m) * ((8.0 * length_m / diameter_m).ln() - 1.0);
    if rods == 1 {
        return Some(one);
    }
    let alpha = rho / (2.0 * PI * one * length_m);
    Some(one * (1.0 + lambda(rods)? * alpha) / f64::from(rods))
}

/// Neutral current of three lines at equal power factor.
fn neutral_a([one, two, three]: [f64; 3]) -> f64 {
    let along = one - 0.5 * (two + three);
    let across = 0.75_f64.sqrt() * (two - three);
    (along * along + across * across).sqrt()
}

pub fn earthing(task: &Task<'_>, arrangement: &Arrangement, out: &mut Reckoned) {
    let (facts, circuit) = (task.facts, &task.rules.circuit);
    if facts.supply_phases == 3 {
        out.figure("phase-allocation", task.demand_a);
    }
    if facts.earthing == Some(EarthingSystem::Tt) {
        return;
    }
    let [_, rho, _] = circuit.soil_resistivity_ohm_m;
    let (length_m, diameter_m) = (circuit.rod_length_m, circuit.rod_diameter_m);
    let one_rod = rods_ohm(rho, length_m, diameter_m, 1).unwrap();
    if task.island() {
        let mut reached = None;
        for rods in 1..=10 {
            let ohm = rods_ohm(rho, length_m, diameter_m, rods).map(|ohm| ohm * circuit.electrode_season_margin);
            if reached.is_none() && ohm.is_some_and(|ohm| ohm <= circuit.electrode_limit_ohm) {
                reached = ohm;
            }
        }
        let ten = rods_ohm(rho, length_m, diameter_m, 10).unwrap() * circuit.electrode_season_margin;
        let code = reached.is_none().then_some("electrode-beyond-rods");
        out.hold("electrode-design", code, reached.unwrap_or(ten), circuit.electrode_limit_ohm);
    }
    if facts.supply_phases == 1 {
        let demand_a = task.demand_a.max(task.setting_a).max(1.0);
        out.show("earthing-electrode-ii", one_rod, 70.0 * 230.0 / (demand_a * (1.1 * 230.0 - 70.0)));
        out.terms(&[demand_a]);
        return;
    }
    let (mut most_v, mut least_ohm) = (0.0_f64, None);
    for (existing, charging_alone) in loadings() {
        let mut lines = existing.map(|share| share * facts.demand.band_a.likely);
        let (added_a, phases) = if *charging_alone {
            (task.setting_a, 1)
        } else if let Some(group_a) = task.group_a {
            (group_a, arrangement.points * u32::from(arrangement.phases))
        } else {
            (task.setting_a, u32::from(arrangement.phases))
        };
        for (index, line) in lines.iter_mut().enumerate() {
            if (index as u32) < phases {
                *line += added_a;
            }
        }
        let (neutral, sum) = (neutral_a(lines), lines.iter().sum::<f64>());
        if sum > 0.0 {
            most_v = most_v.max(230.0 * neutral / sum);
        }
        let needed_siemens = neutral / 70.0 - sum / 230.0;
        if needed_siemens > 0.0 {
            let ohm = 1.0 / needed_siemens;
            least_ohm = Some(least_ohm.map_or(ohm, |least: f64| least.min(ohm)));
        }
    }
    out.show("earthing-balance", most_v, 70.0);
    if let Some(ohm) = least_ohm {
        out.show("earthing-electrode-ii", one_rod, ohm);
    }
}

pub fn switches(task: &Task<'_>, out: &mut Reckoned) {
    let facts = task.facts;
    if task.feed == Feed::AddedBoard {
        // A conditional rating holds on one phase behind at most 100 A.
        let proven = facts.supply_phases == 1 && facts.cutout_a <= 100.0;
        out.hold("added-board-switch", (!proven).then_some("added-board-backup"), facts.cutout_a, 100.0);
    }
    if let Some(switch_a) = facts.main_switch_a.filter(|_| task.feed != Feed::Distribution) {
        out.show("main-switch", task.demand_a, switch_a);
        out.must(task.feed == Feed::AddedBoard || task.demand_a <= switch_a, "main switch of the existing board");
    }
}
