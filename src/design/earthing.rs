//! How the point is earthed: PME and its open-PEN answers, TN-S, TT (section 722.411.4.1, A1 and A2 text; 411.5).

use super::facts::Facts;
use super::{EarthingPath, Work};
use crate::finding::Finding;
use crate::quantity::U0_V;
use crate::rules::{ChargePoint, Rules};
use crate::site::EarthingSystem;

/// The earthing path of a point and what it brings with it.
pub(super) struct Earthing {
    pub(super) path: EarthingPath,
    pub(super) works: Vec<Work>,
    pub(super) findings: Vec<Finding>,
    /// Disconnection is by a residual-current device to an electrode.
    pub(super) tt: bool,
    /// Resistance of that electrode where it is known, ohms: a poor one as after the rods that its finding asks for.
    pub(super) electrode_ohm: Option<f64>,
}

/// Chooses the path. Every point is taken to charge outdoors: a vehicle at a garage door is.
pub(super) fn path(facts: &Facts, point: &ChargePoint, rules: &Rules) -> Earthing {
    if facts.earthing == Some(EarthingSystem::Tt) {
        return supply_tt(facts, rules);
    }
    let mut findings = Vec::with_capacity(3);
    if facts.earthing == Some(EarthingSystem::TnS) {
        findings.push(Finding::new("earthing-path").because("tn-s-taken-as-pme"));
    }
    let declared_ohm = match facts.earthing {
        Some(EarthingSystem::TnCS) => rules.circuit.declared_ze_tn_c_s_ohm,
        _ => rules.circuit.declared_ze_tn_s_ohm,
    };
    if facts.ze_ohm > declared_ohm {
        findings
            .push(Finding::new("external-impedance").because("ze-over-declared").at_most(facts.ze_ohm, declared_ohm));
    }
    if answers(facts, point) {
        findings.push(Finding::new("earthing-path").because("pme-outdoors"));
        return Earthing {
            path: EarthingPath::SupplyEarthOpenPen,
            works: Vec::new(),
            findings,
            tt: false,
            electrode_ohm: None,
        };
    }
    if facts.electrode_position == Some(false) {
        findings.push(Finding::new("earthing-path").because("pme-unanswered"));
        return Earthing {
            path: EarthingPath::SupplyEarth,
            works: Vec::new(),
            findings,
            tt: false,
            electrode_ohm: None,
        };
    }
    findings.push(Finding::new("electrode").because("electrode-unmeasured"));
    Earthing {
        path: EarthingPath::Electrode,
        works: vec![Work::Electrode { rods: 1 }],
        findings,
        tt: true,
        electrode_ohm: None,
    }
}

/// Whether the product answers an open PEN on this installation. Voltage monitoring (indent iv) is for single-phase
/// installations only.
fn answers(facts: &Facts, point: &ChargePoint) -> bool {
    point.answers_open_pen && !(point.open_pen_method == "voltage" && facts.supply_phases == 3)
}

fn supply_tt(facts: &Facts, rules: &Rules) -> Earthing {
    let electrode = Finding::new("electrode");
    let (good_ohm, greatest_ohm) = (rules.circuit.electrode_limit_ohm, rules.circuit.electrode_greatest_ohm);
    let (finding, works) = match facts.electrode_ohm {
        None => (electrode.because("electrode-unmeasured"), Vec::new()),
        Some(ohm) if ohm <= good_ohm => (electrode.because("electrode-good").at_most(ohm, good_ohm), Vec::new()),
        Some(ohm) if ohm <= greatest_ohm => {
            (electrode.because("electrode-high").at_most(ohm, good_ohm), vec![Work::Electrode { rods: 2 }])
        }
        Some(ohm) => {
            (electrode.because("electrode-missing").at_most(ohm, greatest_ohm), vec![Work::Electrode { rods: 2 }])
        }
    };
    Earthing {
        path: EarthingPath::Electrode,
        works,
        findings: vec![finding],
        tt: true,
        electrode_ohm: facts.electrode_ohm.map(|ohm| ohm.min(good_ohm)),
    }
}

/// The voltage-monitoring method may trip at a lawful supply voltage when the drop is large: 216.2 V less 4 % of 230 V
/// is below its 207 V threshold.
pub(super) fn open_pen_voltage(point: &ChargePoint, path: EarthingPath, drop_v: f64) -> Option<Finding> {
    const LOWEST_SUPPLY_V: f64 = U0_V * 0.94; // statutory 230 V - 6 %
    const TRIP_V: f64 = 207.0; // 722.411.4.1 (iv)
    let allowed_v = LOWEST_SUPPLY_V - TRIP_V;
    (path == EarthingPath::SupplyEarthOpenPen && point.open_pen_method == "voltage" && drop_v > allowed_v)
        .then(|| Finding::new("open-pen-voltage").because("open-pen-voltage").at_most(drop_v, allowed_v))
}
