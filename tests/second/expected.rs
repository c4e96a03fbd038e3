//! Every finding with a figure that an arrangement should have, reckoned from facts, rules and the arrangement's make-up.
//!
//! It takes from the arrangement only what was decided (setting, phases, feed, path, cables, group limit) and reckons
//! every figure; lengths come from the facts and are held against the runs.

use super::chain::Task;
use super::circuit::{Circuit, Piece, most_energy};
use super::laying::{Part, Stretch, Way, stretches};
use super::published::{class_energy, wire, zs_limit};
use super::supply::*;
use baywright::design::*;
use baywright::rules::{ChargePoint, Rules};
use baywright::site::EarthingSystem;

/// One finding: check, reason code, figure and limit.
#[derive(Clone, Debug, PartialEq)]
pub struct Said {
    pub check: &'static str,
    pub code: Option<&'static str>,
    pub value: Option<f64>,
    pub limit: Option<f64>,
    /// First numbers of its formula; empty where they are not reckoned.
    pub terms: Vec<f64>,
}

/// What was reckoned of one arrangement.
#[derive(Debug, Default)]
pub struct Reckoned {
    pub said: Vec<Said>,
    /// Hard checks that fail.
    pub fails: Vec<String>,
    /// Own figures of the arrangement: capacity, drop, loop, its limit, maximum demand.
    pub figures: Vec<(&'static str, f64, f64)>,
}

impl Reckoned {
    pub fn say(&mut self, check: &'static str, code: &'static str, value: f64, limit: f64) {
        self.said.push(Said { check, code: Some(code), value: Some(value), limit: Some(limit), terms: Vec::new() });
    }

    pub fn show(&mut self, check: &'static str, value: f64, limit: f64) {
        self.said.push(Said { check, code: None, value: Some(value), limit: Some(limit), terms: Vec::new() });
    }

    pub fn figure(&mut self, check: &'static str, value: f64) {
        self.said.push(Said { check, code: None, value: Some(value), limit: None, terms: Vec::new() });
    }

    /// A finding that gives its reason only where there is one.
    pub fn hold(&mut self, check: &'static str, code: Option<&'static str>, value: f64, limit: f64) {
        self.said.push(Said { check, code, value: Some(value), limit: Some(limit), terms: Vec::new() });
    }

    /// The numbers of the last finding's formula.
    pub fn terms(&mut self, terms: &[f64]) {
        self.said.last_mut().unwrap().terms = terms.to_vec();
    }

    pub fn must(&mut self, holds: bool, what: &str) {
        if !holds {
            self.fails.push(what.to_owned());
        }
    }

    pub fn same(&mut self, what: &'static str, engine: f64, naive: f64) {
        self.figures.push((what, engine, naive));
    }
}

/// Everything expected of an arrangement.
pub fn reckon(facts: &Facts, rules: &Rules, arrangement: &Arrangement) -> Reckoned {
    let mut out = Reckoned::default();
    let point = rules.charge_point(arrangement.phases).unwrap();
    let demand_a = super::loads::demand(facts, rules, arrangement, &mut out);
    let task = Task {
        facts,
        rules,
        setting_a: arrangement.setting_a,
        phases: arrangement.phases,
        feed: arrangement.feed,
        path: arrangement.earthing,
        group_a: arrangement.shared.map(|shared| shared.group_limit_a),
        demand_a,
        device_a: device_for(rules, arrangement.setting_a),
    };
    let nearest = arrangement.findings.iter().find(|finding| finding.code() == Some("no-cable-fits"));
    let distance_m = match nearest {
        Some(finding) => {
            out.say("cable-length", "no-cable-fits", facts.distance_m.high, finding.limit.unwrap());
            finding.limit.unwrap()
        }
        None => facts.distance_m.high,
    };
    out.same("device rating", arrangement.device.rating_a, task.device_a);
    if arrangement.runs.is_empty() {
        out.say("cable-length", "no-cable-fits-anywhere", facts.distance_m.high, 0.0);
    } else {
        circuits(&task, arrangement, point, distance_m, &mut out);
    }
    intake(&task, arrangement, &mut out);
    super::earth::earthing(&task, arrangement, &mut out);
    super::earth::switches(&task, &mut out);
    out
}

fn circuits(task: &Task<'_>, arrangement: &Arrangement, point: &ChargePoint, distance_m: f64, out: &mut Reckoned) {
    let runs = |role: RunRole| arrangement.runs.iter().filter(move |run| run.role == role).copied();
    let last: Vec<Run> = runs(RunRole::Final).collect();
    let (mut asked, mut way) = task.single(distance_m);
    let mut farthest_m = None;
    let mut count = 1.0;
    if let Some((sub_asked, sub_way, sub_count)) = task.submain(distance_m) {
        let run = runs(RunRole::SubMain).next().unwrap();
        out.same("sub-mains", f64::from(run.count), sub_count);
        let laid = lay(run, &sub_way, Part::Whole, task.rises_m(), None, task, out);
        let Some(laid) = laid else { return };
        let circuit = Circuit { asked: sub_asked, first: laid.piece(), second: None };
        let Some((iz, ..)) = circuit.iz() else { return out.fails.push("sub-main in no table".into()) };
        out.show("submain-capacity", iz, sub_asked.in_a);
        out.terms(&rating_terms(&circuit));
        out.figure("submain-drop", circuit.drop_v());
        out.terms(&[laid.wire.z_mv[0], sub_asked.ib_a, laid.metres, sub_asked.before_v]);
        out.same("sub-main method", run.method as u8 as f64, circuit.iz().unwrap().2.method as u8 as f64);
        let relied = circuit.relied_ohm().unwrap_or(f64::NAN);
        let code = circuit.by_residual().then_some("rcd-disconnects");
        out.hold("submain-disconnection", code, circuit.zs_ohm(), relied);
        out.terms(&[sub_asked.before_ohm, circuit.zs_ohm() - sub_asked.before_ohm]);
        under_fault(&circuit, out);
        let device = arrangement.submain_device.unwrap();
        out.same("sub-main device", device.rating_a, sub_asked.in_a);
        let delayed = device.residual == Some(Residual::Delayed100);
        let needs = task.facts.earthing_open || relied > zs_limit('C', sub_asked.in_a);
        out.must(delayed == needs, "delayed device of the sub-main");
        out.must(circuit.fails().is_empty(), &format!("sub-main: {}", circuit.fails()));
        let level_ka = task.level_behind_ka(laid.wire.r1, laid.metres);
        // B is certain to trip at once at 5 In, C at 10 In; the sub-main's C may from 5 In.
        let certain_a = if task.rules.circuit.curve == "B" { 5.0 } else { 10.0 } * arrangement.device.rating_a;
        let opens_alone_a = if certain_a <= 5.0 * sub_asked.in_a { 5.0 * sub_asked.in_a } else { 0.0 };
        let code = (1000.0 * level_ka > opens_alone_a).then_some("selectivity");
        out.hold("selectivity", code, opens_alone_a, 1000.0 * level_ka);
        out.terms(&[5.0, sub_asked.in_a]);
        let fitted_ka = task.breaking(level_ka).1;
        out.show("breaking-at-board", fitted_ka, level_ka);
        final_breaking(task, fitted_ka, level_ka, out);
        out.same("breaking capacity behind the sub-main", arrangement.device.breaking_ka, fitted_ka);
        out.must(arrangement.device.breaking_ka >= level_ka, "breaking capacity behind the sub-main");
        let behind = task.behind(circuit.drop_v(), laid.metres, circuit.zs_ohm());
        (asked, way, farthest_m) = (behind.0, behind.1, Some(behind.2));
        count = f64::from(task.facts.wanted.points);
    }
    let jointed = last.len() == 2;
    let rises_m = if jointed { task.rises_m() / 2.0 } else { task.rises_m() };
    let mut laid = Vec::new();
    for (index, run) in last.iter().enumerate() {
        let part = match (jointed, index) {
            (false, _) => Part::Whole,
            (true, 0) => Part::Indoors,
            (true, _) => Part::Outdoors,
        };
        out.same("final circuits", f64::from(run.count), count);
        match lay(*run, &way, part, rises_m, farthest_m, task, out) {
            Some(piece) => laid.push(piece),
            None => return out.fails.push(format!("{} may not lie there", run.cable.words())),
        }
    }
    out.must(!laid.is_empty(), "no final circuit");
    let second = laid.get(1).map(Laid::piece);
    let circuit = Circuit { asked, first: laid[0].piece(), second };
    let Some((iz, ..)) = circuit.iz() else { return out.fails.push("final circuit in no table".into()) };
    final_circuit(task, &circuit, arrangement, point, iz, out);
}

fn final_circuit(
    task: &Task<'_>,
    circuit: &Circuit<'_>,
    arrangement: &Arrangement,
    point: &ChargePoint,
    iz: f64,
    out: &mut Reckoned,
) {
    let asked = &circuit.asked;
    out.show("device-rating", asked.ib_a, asked.in_a);
    let duty_a = task.rules.circuit.continuous_share * asked.in_a;
    let code = (asked.ib_a > duty_a + 1e-9).then_some("continuous-duty");
    out.hold("continuous-duty", code, asked.ib_a, duty_a);
    out.show("current-capacity", iz, asked.in_a);
    out.terms(&rating_terms(circuit));
    let (drop_v, zs) = (circuit.drop_v(), circuit.zs_ohm());
    out.show("voltage-drop", drop_v, asked.drop_limit_v);
    // Of jointed cables the mean over their lengths.
    let mean_mv = 1000.0 * (drop_v - asked.before_v) / (asked.ib_a * circuit.metres()).max(1e-9);
    let mv = if circuit.second.is_some() { mean_mv } else { circuit.first.wire.z_mv[0] };
    out.terms(&[mv, asked.ib_a, circuit.metres(), asked.before_v, 100.0 * drop_v / 230.0]);
    out.figure("voltage-drop-warm", circuit.warm_v(task.rules.circuit.power_factor));
    if asked.three {
        out.figure("voltage-drop-balanced", circuit.balanced_v());
    }
    if let Some(percent) = circuit.long_run_percent() {
        out.figure("long-run-allowance", percent);
    }
    let relied = circuit.relied_ohm().unwrap_or(f64::NAN);
    if circuit.by_residual() {
        out.say("disconnection-by-rcd", "rcd-disconnects", zs, relied);
    } else {
        out.show(if asked.tt { "disconnection-by-rcd" } else { "disconnection" }, zs, relied);
    }
    // On a cold circuit four fifths of the limit may be measured.
    out.terms(&[asked.before_ohm, zs - asked.before_ohm, circuit.breaker_ohm(), 0.8 * relied]);
    under_fault(circuit, out);
    // The voltage-monitoring method trips at 207 V; the lowest lawful supply is 230 V less 6 %.
    let monitored = point.open_pen_method == "voltage" && arrangement.earthing == EarthingPath::SupplyEarthOpenPen;
    let spare_v = 230.0 * 0.94 - 207.0;
    if monitored && drop_v > spare_v {
        out.say("open-pen-voltage", "open-pen-voltage", drop_v, spare_v);
    }
    let mm2 = circuit.pieces().last().unwrap().wire.cable.csa_mm2;
    if mm2 > point.largest_terminal_mm2 {
        out.say("terminal", "terminal-capacity", mm2, point.largest_terminal_mm2);
    }
    for (run, piece) in arrangement.runs.iter().filter(|run| run.role == RunRole::Final).zip(circuit.pieces()) {
        let (_, _, governing) = super::laying::carries(piece.wire, asked.three, piece.stretches).unwrap();
        out.same("method", run.method as u8 as f64, governing.method as u8 as f64);
    }
    let poles = |three: bool| if three { 4.0 } else { 2.0 };
    out.same("poles", f64::from(arrangement.device.poles), poles(asked.three));
    let curve = arrangement.device.curve.word().starts_with(asked.curve);
    out.must(curve, "tripping characteristic");
    out.same("current-carrying capacity", arrangement.current_capacity_a, iz);
    out.same("drop", arrangement.voltage_drop_v, drop_v);
    out.same("drop, percent", arrangement.voltage_drop_percent, 100.0 * drop_v / 230.0);
    out.same("loop", arrangement.zs_ohm, zs);
    out.same("limit of the loop", arrangement.zs_limit_ohm, relied);
    out.same("fault current", arrangement.fault_current_a, 230.0 / zs);
    out.must(circuit.fails().is_empty(), &format!("final circuit: {}", circuit.fails()));
}

/// It and every factor of the stretch that governs.
fn rating_terms(circuit: &Circuit<'_>) -> [f64; 6] {
    let (_, it, stretch, _) = circuit.iz().unwrap();
    [it, stretch.ca, stretch.cg, stretch.ci, stretch.ground, stretch.cc]
}

fn under_fault(circuit: &Circuit<'_>, out: &mut Reckoned) {
    let asked = &circuit.asked;
    for piece in circuit.pieces() {
        let wire = piece.wire;
        if asked.tt {
            out.figure("protective-conductor-by-table", wire.pe_mm2);
        } else if circuit.by_table_54_7(wire) {
            out.show("protective-conductor-by-table", wire.pe_mm2, wire.pe_least_mm2);
        } else {
            let energy = most_energy(asked.curve, asked.in_a, asked.let_through_ka).unwrap_or(f64::MAX);
            out.show("protective-conductor-by-energy", (wire.pe_k * wire.pe_mm2).powi(2), energy);
            out.terms(&[wire.pe_k, wire.pe_mm2, asked.let_through_ka]);
        }
        match class_energy(asked.curve, asked.in_a, asked.let_through_ka) {
            Some(energy) => {
                out.show("live-conductors-by-energy", (wire.line_k * wire.cable.csa_mm2).powi(2), energy);
            }
            None => out.figure("live-conductors-by-overload", asked.in_a),
        }
    }
}

/// A final device that would have to break more than those with a residual-current part are made for.
fn final_breaking(task: &Task<'_>, fitted_ka: f64, level_ka: f64, out: &mut Reckoned) {
    let most_ka = task.rules.circuit.residual_device_breaking_ka;
    if fitted_ka > most_ka {
        let code = if task.facts.fault_level_stated { "fault-duty-unmet" } else { "fault-duty" };
        out.say("breaking-final", code, level_ka, most_ka);
        out.must(code == "fault-duty", "breaking capacity of the final device");
    }
}

fn intake(task: &Task<'_>, arrangement: &Arrangement, out: &mut Reckoned) {
    let (facts, rules) = (task.facts, task.rules);
    out.figure("prospective-current", facts.fault_level_ka);
    let (carried_ka, fitted_ka) = task.breaking(facts.fault_level_ka);
    let code = (facts.fault_level_ka > carried_ka).then_some("fault-duty");
    let enough_ka = if code.is_some() { fitted_ka } else { carried_ka };
    out.hold("breaking-capacity", code, enough_ka, facts.fault_level_ka);
    if arrangement.submain_device.is_none() && !arrangement.runs.is_empty() {
        final_breaking(task, fitted_ka, facts.fault_level_ka, out);
    }
    let at_origin = arrangement.submain_device.unwrap_or(arrangement.device).breaking_ka;
    out.same("breaking capacity at the origin", at_origin, fitted_ka);
    out.must(at_origin >= facts.fault_level_ka || code.is_none(), "breaking capacity at the origin");
    let nothing = out.fails.iter().any(|fail| fail == "nothing fits the supply");
    if let (Some(carries_a), Some(needed_a)) = (task.existing_carries_a(), task.existing_needed_a())
        && !nothing
    {
        let bad = carries_a < needed_a || task.existing_unprotected();
        out.hold("existing-submain", bad.then_some("submain-too-small"), carries_a, needed_a);
        out.must(!bad, "existing sub-main too small");
    }
    let (good_ohm, greatest_ohm) = (rules.circuit.electrode_limit_ohm, rules.circuit.electrode_greatest_ohm);
    if facts.earthing == Some(EarthingSystem::Tt) {
        match facts.electrode_ohm {
            Some(ohm) if ohm <= good_ohm => out.say("electrode", "electrode-good", ohm, good_ohm),
            Some(ohm) if ohm <= greatest_ohm => out.say("electrode", "electrode-high", ohm, good_ohm),
            Some(ohm) => out.say("electrode", "electrode-missing", ohm, greatest_ohm),
            None => {}
        }
        out.must(facts.electrode_ohm.unwrap_or(0.0) <= good_ohm, "electrode");
    } else {
        let declared_ohm = match facts.earthing {
            Some(EarthingSystem::TnCS) => rules.circuit.declared_ze_tn_c_s_ohm,
            _ => rules.circuit.declared_ze_tn_s_ohm,
        };
        let code = (facts.ze_ohm > declared_ohm).then_some("ze-over-declared");
        out.hold("external-impedance", code, facts.ze_ohm, declared_ohm);
        out.must(code.is_none(), "external impedance over the declared one");
    }
    if let Some(mm2) = facts.tails_mm2 {
        let serves_a = if mm2 >= 25.0 {
            rules.supply.tails_25mm2_serve_a
        } else if mm2 >= 16.0 {
            rules.supply.tails_16mm2_serve_a
        } else {
            0.0
        };
        let too_long = facts.tails_m > rules.supply.tails_longest_m && !facts.isolator;
        if serves_a < facts.cutout_a || too_long {
            out.say("tails", "tails-upgrade", serves_a, facts.cutout_a);
        }
    }
}

/// A run with its stretches.
pub struct Laid {
    pub wire: &'static super::published::Wire,
    pub stretches: Vec<Stretch>,
    pub metres: f64,
}

impl Laid {
    pub fn piece(&self) -> Piece<'_> {
        Piece { wire: self.wire, stretches: &self.stretches, metres: self.metres }
    }
}

/// A run laid over its part of the way, its parts held against those of the way.
fn lay(
    run: Run,
    way: &Way,
    part: Part,
    rises_m: f64,
    farthest_m: Option<f64>,
    task: &Task<'_>,
    out: &mut Reckoned,
) -> Option<Laid> {
    let indoor_m = if part == Part::Outdoors { 0.0 } else { way.indoor_m };
    let surface_m = if part == Part::Indoors { 0.0 } else { way.surface_m };
    let buried_m = if part == Part::Indoors { 0.0 } else { way.buried_m };
    out.same("metres indoors", run.indoor_m, indoor_m);
    out.same("metres on a surface", run.surface_m, surface_m);
    out.same("metres in the ground", run.buried_m, buried_m);
    out.same("rises and ends", run.rises_m, rises_m);
    let stretches = stretches(run.cable.family, way, part, task.rules)?;
    let wire = wire(run.cable)?;
    super::laying::carries(wire, false, &stretches)?;
    let metres = farthest_m.unwrap_or(indoor_m + surface_m + buried_m + rises_m);
    Some(Laid { wire, stretches, metres })
}
