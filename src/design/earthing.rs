//! How the point is earthed: PME and its open-PEN answers, TN-S, TT (section 722.411.4.1, A1 and A2 text; 411.5).

use super::alternatives::say_alternatives;
use super::charging::Charging;
use super::facts::Facts;
use super::findings::Findings;
use super::rods::rod_design;
use super::{EarthingPath, Work};
use crate::finding::Finding;
use crate::quantity::U0_V;
use crate::reference::{buried_earthing_mm2, earthing_alternative, voltage_monitoring_low_v};
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

/// Every path that is open to this site, best first: the point's own answer to an open PEN, a separate device where the
/// point has none and the rules allow one, an electrode unless there is no place for it. Where none is open, the
/// supply's earth unanswered, which stops. Every point is taken to charge outdoors: a vehicle at a garage door is.
pub(super) fn paths(facts: &Facts, point: &ChargePoint, rules: &Rules) -> impl Iterator<Item = Earthing> {
    let tt = facts.earthing == Some(EarthingSystem::Tt);
    let own = !tt && answers(facts, point);
    let device = !tt && !own && rules.circuit.allow_open_pen_device;
    let electrode = !tt && facts.electrode_position != Some(false);
    let unanswered = !tt && !own && !device && !electrode;
    [
        tt.then(|| tt_supply(facts, rules)),
        own.then(|| supply(EarthingPath::SupplyEarthOpenPen)),
        device.then(|| supply(EarthingPath::SupplyEarthOpenPenDevice)),
        electrode.then_some(ISLAND),
        unanswered.then(|| supply(EarthingPath::SupplyEarth)),
    ]
    .into_iter()
    .flatten()
}

/// An electrode for the charge point alone.
const ISLAND: Earthing = Earthing { path: EarthingPath::Electrode, tt: true, island: true, electrode_ohm: None };

fn supply(path: EarthingPath) -> Earthing {
    Earthing { path, tt: false, island: false, electrode_ohm: None }
}

/// This path held as it is: on a TT supply every path is the electrode of the installation, and an answer to an open PEN
/// that the point does not give, or that the rules do not allow, is none.
pub(super) fn held(path: EarthingPath, facts: &Facts, point: &ChargePoint, rules: &Rules) -> Earthing {
    match path {
        _ if facts.earthing == Some(EarthingSystem::Tt) => tt_supply(facts, rules),
        EarthingPath::Electrode => ISLAND,
        EarthingPath::SupplyEarthOpenPen if !answers(facts, point) => supply(EarthingPath::SupplyEarth),
        EarthingPath::SupplyEarthOpenPenDevice if !rules.circuit.allow_open_pen_device => {
            supply(EarthingPath::SupplyEarth)
        }
        path => supply(path),
    }
}

/// The electrode that the whole installation stands on.
fn tt_supply(facts: &Facts, rules: &Rules) -> Earthing {
    // An electrode over the stable limit is improved before the work: the design is for what it then is.
    let electrode_ohm = facts.electrode_ohm.map(|ohm| ohm.min(rules.circuit.electrode_limit_ohm));
    Earthing { path: EarthingPath::Electrode, tt: true, island: false, electrode_ohm }
}

/// Whether the product answers an open PEN on this installation. Voltage monitoring (indent iv) is for single-phase
/// installations only.
fn answers(facts: &Facts, point: &ChargePoint) -> bool {
    point.answers_open_pen && !(point.open_pen_method == "voltage" && facts.supply_phases == 3)
}

impl Earthing {
    /// The row of the table of alternatives that this path is; a point's own answer goes by its method, a separate
    /// device is held to the numbers of the regulation. No row for an open PEN that nothing answers.
    fn alternative(&self, point: &ChargePoint) -> &'static str {
        match self.path {
            EarthingPath::Electrode => "tt",
            EarthingPath::SupplyEarth => "",
            EarthingPath::SupplyEarthOpenPenDevice => "iii",
            EarthingPath::SupplyEarthOpenPen => match point.open_pen_method.as_str() {
                "voltage" => "iv",
                "electrode" => "iii",
                _ => "v",
            },
        }
    }

    /// What is found of the path, and what it brings with it.
    pub(super) fn say(
        &self,
        facts: &Facts,
        charging: &Charging,
        point: &ChargePoint,
        rules: &Rules,
        out: &mut Findings<'_>,
    ) {
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
        let subject = if facts.ze_stated { "stated, taken as measured" } else { "not measured, the declared maximum" };
        let compared = |f: Finding| f.at_most(facts.ze_ohm, declared_ohm).subject(subject);
        if facts.ze_ohm > declared_ohm {
            out.say("external-impedance", "ze-over-declared", compared);
        } else {
            out.show("external-impedance", compared);
        }
        out.show("earthing-needs", |f| match earthing_alternative(self.alternative(point)) {
            Some(taken) => f.subject(taken.needs),
            None => f,
        });
        match self.path {
            EarthingPath::Electrode => {
                out.say("electrode", "electrode-unmeasured", |f| f);
                say_rods(rules, out);
                out.say("earth-separation", "earth-separation", |f| {
                    f.terms(&[rules.circuit.separation_above_m, rules.circuit.separation_below_m])
                });
            }
            EarthingPath::SupplyEarth => out.say("earthing-path", "pme-unanswered", |f| f),
            EarthingPath::SupplyEarthOpenPen | EarthingPath::SupplyEarthOpenPenDevice => {
                out.say("earthing-path", "pme-outdoors", |f| f);
            }
        }
        say_alternatives(facts, charging, point, rules, out);
    }
}

/// The electrode of a charge point, as reckoned from the rules' soil.
fn say_rods(rules: &Rules, out: &mut Findings<'_>) {
    let design = rod_design(rules);
    out.work(Work::Electrode { rods: design.rods });
    let circuit = &rules.circuit;
    let fill = |f: crate::finding::Finding| {
        let ([low_ohm, likely_ohm, high_ohm], [_, rho, _]) = (design.ohm, circuit.soil_resistivity_ohm_m);
        let margin = circuit.electrode_season_margin;
        f.at_most(design.with_margin_ohm, circuit.electrode_limit_ohm).terms(&[
            f64::from(design.rods),
            rho,
            low_ohm,
            likely_ohm,
            high_ohm,
            margin,
        ])
    };
    if design.within {
        out.show("electrode-design", fill);
    } else {
        out.say("electrode-design", "electrode-beyond-rods", fill);
    }
    say_electrode_conductor(out);
}

fn say_electrode_conductor(out: &mut Findings<'_>) {
    out.show("electrode-conductor", |f| f.terms(&buried_earthing_mm2()));
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
    say_electrode_conductor(out);
}

/// The voltage-monitoring method may trip at a lawful supply voltage when the drop is large: 216.2 V less 4 % of 230 V
/// is below its 207 V threshold.
pub(super) fn say_open_pen_voltage(point: &ChargePoint, path: EarthingPath, drop_v: f64, out: &mut Findings<'_>) {
    const LOWEST_SUPPLY_V: f64 = U0_V * 0.94; // statutory 230 V - 6 %
    let allowed_v = LOWEST_SUPPLY_V - voltage_monitoring_low_v();
    if path == EarthingPath::SupplyEarthOpenPen && point.open_pen_method == "voltage" && drop_v > allowed_v {
        out.say("open-pen-voltage", "open-pen-voltage", |f| f.at_most(drop_v, allowed_v));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::default_rules;
    use crate::site::{Reading, Site};

    #[test]
    fn what_a_path_needs_comes_from_its_row_of_the_table() {
        let mut point = default_rules().charge_point(1).unwrap().clone();
        let mut needs = |path: EarthingPath, method: &str| {
            point.open_pen_method = method.to_owned();
            earthing_alternative(supply(path).alternative(&point)).map(|row| row.path)
        };
        assert_eq!(needs(EarthingPath::SupplyEarthOpenPen, "voltage"), Some("iv"));
        assert_eq!(needs(EarthingPath::SupplyEarthOpenPen, "electrode"), Some("iii"));
        assert_eq!(needs(EarthingPath::SupplyEarthOpenPen, "alternative"), Some("v"));
        assert_eq!(needs(EarthingPath::SupplyEarthOpenPenDevice, "alternative"), Some("iii"));
        assert_eq!(needs(EarthingPath::Electrode, "alternative"), Some("tt"));
        assert_eq!(needs(EarthingPath::SupplyEarth, "alternative"), None);
    }

    /// The paths open to a site of this earthing with a place for an electrode or not.
    fn open(earthing: EarthingSystem, position: Option<bool>, change: fn(&mut Rules)) -> Vec<EarthingPath> {
        let mut rules = default_rules().clone();
        change(&mut rules);
        let mut site = Site::default();
        site.supply.earthing_system = Reading::of(earthing);
        site.supply.electrode_position = position.map(Reading::of).unwrap_or_default();
        let facts = super::super::facts(&site, &rules).0;
        let point = rules.charge_point(1).unwrap();
        let all: Vec<_> = paths(&facts, point, &rules).collect();
        assert!(all.iter().all(|earth| earth.tt == (earth.path == EarthingPath::Electrode)));
        all.iter().map(|earth| earth.path).collect()
    }

    #[test]
    fn every_path_that_is_open_is_given_best_first() {
        use EarthingPath::*;
        let silent = |rules: &mut Rules| rules.charge_point[0].answers_open_pen = false;
        let alone = |rules: &mut Rules| {
            rules.charge_point[0].answers_open_pen = false;
            rules.circuit.allow_open_pen_device = false;
        };
        for earthing in [EarthingSystem::TnCS, EarthingSystem::TnS] {
            assert_eq!(open(earthing, None, |_| {}), [SupplyEarthOpenPen, Electrode]);
            assert_eq!(open(earthing, Some(false), |_| {}), [SupplyEarthOpenPen]);
            assert_eq!(open(earthing, Some(true), silent), [SupplyEarthOpenPenDevice, Electrode]);
            assert_eq!(open(earthing, Some(false), silent), [SupplyEarthOpenPenDevice]);
            assert_eq!(open(earthing, None, alone), [Electrode]);
            assert_eq!(open(earthing, Some(false), alone), [SupplyEarth]);
        }
        assert_eq!(open(EarthingSystem::Tt, Some(false), alone), [Electrode]);
    }
}
