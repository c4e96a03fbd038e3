//! How the point is earthed: PME and its open-PEN answers, TN-S, TT (section 722.411.4.1, A1 and A2 text; 411.5).

use super::facts::Facts;
use super::findings::Findings;
use super::{EarthingPath, Work};
use crate::quantity::U0_V;
use crate::rules::{ChargePoint, Rules};
use crate::site::EarthingSystem;

/// The earthing path of a point.
#[derive(Clone, Copy, Debug)]
pub(super) struct Earthing {
    pub(super) path: EarthingPath,
    /// Disconnection is by a residual-current device to an electrode.
    pub(super) tt: bool,
    /// The electrode earths the point alone, apart from the supply's own earth.
    pub(super) island: bool,
    /// Resistance of that electrode where it is known, ohms.
    pub(super) electrode_ohm: Option<f64>,
}

/// Chooses the path. Every point is taken to charge outdoors: a vehicle at a garage door is.
pub(super) fn path(facts: &Facts, point: &ChargePoint, rules: &Rules) -> Earthing {
    if facts.earthing == Some(EarthingSystem::Tt) {
        // An electrode over the stable limit is improved before the work: the design is for what it then is.
        let electrode_ohm = facts.electrode_ohm.map(|ohm| ohm.min(rules.circuit.electrode_limit_ohm));
        return Earthing { path: EarthingPath::Electrode, tt: true, island: false, electrode_ohm };
    }
    let supply = |path: EarthingPath| Earthing { path, tt: false, island: false, electrode_ohm: None };
    if answers(facts, point) {
        supply(EarthingPath::SupplyEarthOpenPen)
    } else if facts.electrode_position == Some(false) {
        supply(EarthingPath::SupplyEarth)
    } else {
        Earthing { path: EarthingPath::Electrode, tt: true, island: true, electrode_ohm: None }
    }
}

/// Whether the product answers an open PEN on this installation. Voltage monitoring (indent iv) is for single-phase
/// installations only.
fn answers(facts: &Facts, point: &ChargePoint) -> bool {
    point.answers_open_pen && !(point.open_pen_method == "voltage" && facts.supply_phases == 3)
}

impl Earthing {
    /// What is found of the path, and what it brings with it.
    pub(super) fn say(&self, facts: &Facts, rules: &Rules, out: &mut Findings<'_>) {
        if facts.earthing == Some(EarthingSystem::Tt) {
            return say_tt(facts, rules, out);
        }
        if facts.earthing_open {
            out.say("earthing-path", "earthing-unknown", |f| f);
        }
        if facts.earthing == Some(EarthingSystem::TnS) {
            out.say("earthing-path", "tn-s-taken-as-pme", |f| f);
        }
        let declared_ohm = match facts.earthing {
            Some(EarthingSystem::TnCS) => rules.circuit.declared_ze_tn_c_s_ohm,
            _ => rules.circuit.declared_ze_tn_s_ohm,
        };
        if facts.ze_ohm > declared_ohm {
            out.say("external-impedance", "ze-over-declared", |f| f.at_most(facts.ze_ohm, declared_ohm));
        }
        match self.path {
            EarthingPath::Electrode => {
                out.say("electrode", "electrode-unmeasured", |f| f);
                out.work(Work::Electrode { rods: 1 });
            }
            EarthingPath::SupplyEarth => out.say("earthing-path", "pme-unanswered", |f| f),
            EarthingPath::SupplyEarthOpenPen | EarthingPath::SupplyEarthOpenPenDevice => {
                out.say("earthing-path", "pme-outdoors", |f| f);
            }
        }
    }
}

fn say_tt(facts: &Facts, rules: &Rules, out: &mut Findings<'_>) {
    let (good_ohm, greatest_ohm) = (rules.circuit.electrode_limit_ohm, rules.circuit.electrode_greatest_ohm);
    match facts.electrode_ohm {
        None => out.say("electrode", "electrode-unmeasured", |f| f),
        Some(ohm) if ohm <= good_ohm => out.say("electrode", "electrode-good", |f| f.at_most(ohm, good_ohm)),
        // More rods are works before the installation, priced with the way out.
        Some(ohm) if ohm <= greatest_ohm => out.say("electrode", "electrode-high", |f| f.at_most(ohm, good_ohm)),
        Some(ohm) => out.say("electrode", "electrode-missing", |f| f.at_most(ohm, greatest_ohm)),
    }
}

/// The voltage-monitoring method may trip at a lawful supply voltage when the drop is large: 216.2 V less 4 % of 230 V
/// is below its 207 V threshold.
pub(super) fn say_open_pen_voltage(point: &ChargePoint, path: EarthingPath, drop_v: f64, out: &mut Findings<'_>) {
    const LOWEST_SUPPLY_V: f64 = U0_V * 0.94; // statutory 230 V - 6 %
    const TRIP_V: f64 = 207.0; // 722.411.4.1 (iv)
    let allowed_v = LOWEST_SUPPLY_V - TRIP_V;
    if path == EarthingPath::SupplyEarthOpenPen && point.open_pen_method == "voltage" && drop_v > allowed_v {
        out.say("open-pen-voltage", "open-pen-voltage", |f| f.at_most(drop_v, allowed_v));
    }
}
