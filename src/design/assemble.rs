//! Putting an arrangement together: current, feed, circuit, earthing, works and findings.

use super::charging::{Charging, at_setting, nothing_fits};
use super::circuit::{self, CableOption, Duty, Sized};
use super::earthing::Earthing;
use super::facts::{Facts, Route};
use super::fit::best_group;
use super::shared::{Group, largest_device_a, no_group};
use super::{Arrangement, Control, Device, Residual, Run, RunRole, Shared, Work, board, earthing, worst_effect};
use crate::finding::{Effect, Finding, Route as OperatorRoute};
use crate::quantity::U0_V;
use crate::reference::{Curve, Loaded, cable_row, device_ratings, zs_limit_ohm};
use crate::rules::{ChargePoint, Rules};
use crate::site::Premises;

/// Settings to try, highest first: useful ones, then runners-up.
fn settings(facts: &Facts, rules: &Rules, phases: u8) -> (Vec<f64>, Vec<f64>) {
    // Fewer phases than asked: the power asked for is still the wish, so the highest setting is tried.
    let asked_a = if phases < facts.wanted.phases { f64::INFINITY } else { facts.wanted.setting_a };
    let largest_a = rules.charge_point(phases).map_or(asked_a, |point| point.largest_setting_a.min(asked_a));
    let useful_a = rules.charging.useful_current_a.min(asked_a);
    let mut useful: Vec<f64> =
        rules.charging.setting_steps_a.iter().copied().filter(|step| *step <= largest_a && *step >= useful_a).collect();
    if useful.is_empty() {
        useful.push(largest_a.min(32.0));
    }
    let lower = rules.charging.runner_up_steps_a.iter().copied().filter(|step| *step < useful_a).collect();
    (useful, lower)
}

/// Phases worth trying: as asked where the supply has them, and one.
fn phase_choices(facts: &Facts) -> &'static [u8] {
    if facts.wanted.phases == 3 && facts.supply_phases == 3 { &[3, 1] } else { &[1] }
}

/// One point.
pub(super) fn single_arrangements(facts: &Facts, rules: &Rules) -> Vec<Arrangement> {
    let mut built = Vec::with_capacity(8);
    let mut nothing_useful = true;
    'phases: for phases in phase_choices(facts) {
        let (useful, _) = settings(facts, rules, *phases);
        for setting_a in useful {
            let Some(mut charging) = at_setting(facts, rules, setting_a, *phases) else {
                continue;
            };
            nothing_useful = false;
            less_than_asked(facts, &mut charging);
            let before = built.len();
            build(facts, rules, &charging, None, &mut built);
            if built.iter().skip(before).any(|arrangement| worst_effect(arrangement) <= Effect::Step) {
                break 'phases;
            }
        }
    }
    if nothing_useful {
        let useful_a = rules.charging.useful_current_a.min(facts.wanted.setting_a);
        build(facts, rules, &nothing_fits(facts, useful_a), None, &mut built);
        let (_, lower) = settings(facts, rules, 1);
        for setting_a in lower {
            if let Some(mut charging) = at_setting(facts, rules, setting_a, 1).filter(|c| c.control == Control::None) {
                charging
                    .findings
                    .push(Finding::new("charging-current").because("low-current").at_least(setting_a, useful_a));
                build(facts, rules, &charging, None, &mut built);
                break;
            }
        }
    }
    built
}

/// Several points.
pub(super) fn shared_arrangements(facts: &Facts, rules: &Rules) -> Vec<Arrangement> {
    let mut built = Vec::with_capacity(4);
    for phases in phase_choices(facts) {
        // A group controller shares whatever the setting is: the setting asked for is kept.
        let (useful, _) = settings(facts, rules, *phases);
        let Some(setting_a) = useful.first().copied() else {
            continue;
        };
        if let Some(mut group) = best_group(facts, rules, setting_a, *phases) {
            less_than_asked(facts, &mut group.charging);
            let charging = group.charging.clone();
            build(facts, rules, &charging, Some(&group), &mut built);
        }
    }
    if built.is_empty() {
        let setting_a = facts.wanted.setting_a;
        let charging = no_group(facts, rules, setting_a, facts.wanted.phases.min(facts.supply_phases));
        build(facts, rules, &Charging { setting_a, ..charging }, None, &mut built);
    }
    built
}

fn less_than_asked(facts: &Facts, charging: &mut Charging) {
    let asked_a = facts.wanted.setting_a * f64::from(facts.wanted.phases);
    let given_a = charging.setting_a * f64::from(charging.phases);
    if given_a < asked_a || charging.phases < facts.wanted.phases {
        charging.findings.push(
            Finding::new("charging-current").because("less-than-asked").at_least(given_a, asked_a).terms(&[
                charging.setting_a,
                f64::from(charging.phases),
                facts.wanted.setting_a,
                f64::from(facts.wanted.phases),
            ]),
        );
    }
}

fn curve(rules: &Rules) -> Curve {
    match rules.circuit.curve.as_str() {
        "C" => Curve::C,
        "D" => Curve::D,
        _ => Curve::B,
    }
}

/// Device for a setting: the rules' line, else the next preferred rating at or above it.
fn device_a(rules: &Rules, setting_a: f64) -> f64 {
    rules
        .circuit
        .device_for_setting
        .iter()
        .find(|[setting, _]| *setting == setting_a)
        .map(|[_, rating]| *rating)
        .or_else(|| device_ratings().iter().copied().find(|rating| *rating >= setting_a))
        .unwrap_or(setting_a)
}

/// Where a point could stand at the nearest, metres of route: how far a cable reaches is looked for from here on.
pub(super) const NEAREST_M: f64 = 3.0;

/// Every cable option of one charging current, put together and pushed; or one arrangement that says no cable fits.
fn build(facts: &Facts, rules: &Rules, charging: &Charging, group: Option<&Group>, built: &mut Vec<Arrangement>) {
    let Some(point) = rules.charge_point(charging.phases) else {
        return;
    };
    let earth = earthing::path(facts, point, rules);
    let before = built.len();
    let distance_m = facts.distance_m.high;
    for option in option_list(facts, charging, group) {
        if let Some(circuit) = circuits(facts, rules, charging, group, *option, &earth, distance_m) {
            built.push(assemble(facts, rules, charging, group, point, &earth, circuit));
        }
    }
    if built.len() > before {
        return;
    }
    // Nothing fits over the whole route: how near would the point have to stand?
    let fits_at = |metres: f64| {
        option_list(facts, charging, group)
            .iter()
            .find_map(|option| circuits(facts, rules, charging, group, *option, &earth, metres))
    };
    let (code, circuit) = match fits_at(NEAREST_M) {
        None => ("no-cable-fits-anywhere", None),
        Some(nearest) => {
            let (mut low, mut high, mut best) = (NEAREST_M, distance_m, (NEAREST_M, nearest));
            for _ in 0..12 {
                let middle = (low + high) / 2.0;
                match fits_at(middle) {
                    Some(circuit) => (low, best) = (middle, (middle, circuit)),
                    None => high = middle,
                }
            }
            ("no-cable-fits", Some(best))
        }
    };
    let nearest_m = circuit.as_ref().map_or(0.0, |(metres, _)| *metres);
    let mut arrangement = match circuit {
        Some((_, circuit)) => assemble(facts, rules, charging, group, point, &earth, circuit),
        None => assemble(facts, rules, charging, group, point, &earth, Circuits::none()),
    };
    arrangement.findings.push(Finding::new("cable-length").because(code).at_most(distance_m, nearest_m));
    built.push(arrangement);
}

fn final_route(facts: &Facts, rules: &Rules, group: Option<&Group>, distance_m: f64) -> (Route, f64, u32) {
    let Some(group) = group else {
        return (facts.route.scaled_to(distance_m), 0.0, 1);
    };
    let points = f64::from(facts.wanted.points);
    let side_m = rules.route.bay_pitch_m * (points - 1.0) / 2.0;
    let (mean_m, farthest_m) =
        (rules.shared.distribution_spacing_m + side_m / 2.0, rules.shared.distribution_spacing_m + side_m);
    let buried = facts.route.buried_m > 0.0;
    // As many circuits side by side as can draw their full setting at once on one side of the board; a trench takes
    // no more than six, where the table of grouped circuits ends.
    let full_at_once = (group.group_a * f64::from(facts.supply_phases)
        / (group.charging.setting_a * f64::from(group.charging.phases)))
    .ceil()
    .min(points);
    let grouped = (full_at_once / 2.0).ceil().clamp(1.0, 6.0).max(facts.route.grouped.min(6.0));
    let route = Route {
        indoor_m: 0.0,
        surface_m: if buried { 0.0 } else { mean_m },
        buried_m: if buried { mean_m } else { 0.0 },
        insulated_m: 0.0,
        grouped,
        ..facts.route
    };
    let ends_m = 2.0 * (rules.route.rise_m + rules.route.ends_m);
    (route, farthest_m + ends_m, facts.wanted.points)
}

pub(super) fn option_list(facts: &Facts, charging: &Charging, group: Option<&Group>) -> &'static [CableOption] {
    match group {
        Some(_) if charging.phases == 3 => &[CableOption::Armoured(5), CableOption::Armoured(4)],
        Some(_) => &[CableOption::Armoured(3), CableOption::Armoured(2)],
        None => circuit::options(&facts.route, charging.phases),
    }
}

/// Sized circuits from the origin to the point.
pub(super) struct Circuits {
    submain: Option<(Sized, f64)>,
    last: Option<Sized>,
}

impl Circuits {
    fn none() -> Self {
        Self { submain: None, last: None }
    }
}

pub(super) fn circuits(
    facts: &Facts,
    rules: &Rules,
    charging: &Charging,
    group: Option<&Group>,
    option: CableOption,
    earth: &Earthing,
    distance_m: f64,
) -> Option<Circuits> {
    // A spare way is fed over the existing sub-main, an added board stands at the intake, and a distribution board is
    // fed over the existing sub-main where that carries the group, else from the origin.
    let (needed_a, at_board) = match group {
        Some(group) => (group.group_a, true),
        None => (charging.setting_a, facts.spare_way && !facts.rcd_ac_upstream),
    };
    let upstream = circuit::upstream(facts, needed_a, at_board, rules.supply.tails_longest_m);
    let demand_a = charging.maximum_demand_a.high;
    let drop_limit_v = rules.circuit.drop_limit_percent / 100.0 * U0_V;
    let rcd_limit_ohm =
        (earth.tt || rules.circuit.rcd_as_fault_protection).then_some(rules.circuit.electrode_greatest_ohm);
    let mut upstream_drop_v = upstream.drop_v_per_a * demand_a.min(upstream.most_a);
    let mut upstream_zs_ohm = if earth.tt {
        earth.electrode_ohm.unwrap_or(rules.circuit.electrode_limit_ohm)
    } else {
        facts.ze_ohm + upstream.loop_ohm
    };
    let mut submain = None;
    if let Some(group) = group {
        let sized = submain_of(facts, rules, group, earth, distance_m, upstream_drop_v, upstream_zs_ohm, drop_limit_v)?;
        (upstream_drop_v, upstream_zs_ohm) = (sized.0.drop_v, sized.0.zs_ohm);
        submain = Some(sized);
    }
    let (route, farthest_m, count) = final_route(facts, rules, group, distance_m);
    let duty = Duty {
        role: RunRole::Final,
        design_current_a: charging.setting_a,
        device_a: device_a(rules, charging.setting_a),
        curve: curve(rules),
        loaded: if charging.phases == 3 { Loaded::Three } else { Loaded::One },
        upstream_drop_v,
        drop_limit_v,
        upstream_zs_ohm,
        let_through_ka: facts.let_through_ka,
        rcd_limit_ohm,
        tt: earth.tt,
        farthest_m,
        count,
    };
    Some(Circuits { submain, last: Some(circuit::size(option, &duty, &route, rules)?) })
}

/// The sub-mains: one for each 125 A a phase, of like size, armour as protective conductor.
#[allow(clippy::too_many_arguments)] // the figures that flow along the supply path, each a different quantity
fn submain_of(
    facts: &Facts,
    rules: &Rules,
    group: &Group,
    earth: &Earthing,
    distance_m: f64,
    upstream_drop_v: f64,
    upstream_zs_ohm: f64,
    drop_limit_v: f64,
) -> Option<(Sized, f64)> {
    /// Share of the allowed drop left to the final circuits (design rule).
    const FINAL_CIRCUIT_SHARE: f64 = 0.4;
    let count = (group.group_a / largest_device_a()).ceil().max(1.0);
    let current_a = group.group_a / count;
    let device_a = device_ratings().iter().copied().find(|rating| *rating >= current_a)?;
    let three = facts.supply_phases == 3;
    let duty = Duty {
        role: RunRole::SubMain,
        design_current_a: current_a,
        device_a,
        // A C curve, so that it does not trip before a B-curve final circuit.
        curve: Curve::C,
        loaded: if three { Loaded::Three } else { Loaded::One },
        upstream_drop_v,
        drop_limit_v: drop_limit_v * (1.0 - FINAL_CIRCUIT_SHARE),
        upstream_zs_ohm,
        let_through_ka: facts.let_through_ka,
        // A time-delayed 100 mA device: 50 V / 0.1 A (Table 41.5).
        rcd_limit_ohm: (earth.tt || rules.circuit.rcd_as_fault_protection).then_some(50.0 / 0.1),
        tt: earth.tt,
        farthest_m: 0.0,
        count: count as u32,
    };
    let route = facts.route.scaled_to(distance_m);
    let option = CableOption::Armoured(if three { 4 } else { 2 });
    Some((circuit::size(option, &duty, &route, rules)?, device_a))
}

fn assemble(
    facts: &Facts,
    rules: &Rules,
    charging: &Charging,
    group: Option<&Group>,
    point: &ChargePoint,
    earth: &Earthing,
    circuits: Circuits,
) -> Arrangement {
    let shared: Option<Shared> = group.map(|group| group.shared);
    let intake = board::intake(facts, group.is_some(), rules);
    let (origin_breaking_ka, origin_breaking) = board::breaking(facts, rules, facts.fault_level_ka);
    let mut findings = charging.findings.clone();
    let mut works = intake.works;
    let mut runs: Vec<Run> = Vec::with_capacity(3);
    let mut submain_device = None;
    let mut breaking_ka = origin_breaking_ka;
    if let Some((submain, rating_a)) = circuits.submain {
        if let Some(group) = group {
            existing_submain(facts, group, &mut findings);
        }
        findings.extend(submain.findings);
        findings.push(Finding::new("selectivity").because("selectivity"));
        breaking_ka = match submain.runs.first().and_then(|run| level_after(facts, run)) {
            Some(level_ka) => board::breaking(facts, rules, level_ka).0,
            None => origin_breaking_ka,
        };
        runs.extend(submain.runs);
        // The breaker alone, or with a time-delayed residual-current device where the design relies on one.
        let relies_on_rcd = submain.zs_limit_ohm > zs_limit_ohm(Curve::C, rating_a);
        let residual = relies_on_rcd.then_some(Residual::Delayed100);
        let poles = if facts.supply_phases == 3 { 4 } else { 2 };
        submain_device = Some(Device { rating_a, curve: Curve::C, poles, residual, breaking_ka: origin_breaking_ka });
    }
    let mut arrangement = Arrangement {
        setting_a: charging.setting_a,
        phases: charging.phases,
        supply_phases: facts.supply_phases,
        points: facts.wanted.points,
        control: charging.control,
        feed: intake.feed,
        device: Device {
            rating_a: device_a(rules, charging.setting_a),
            curve: curve(rules),
            poles: if charging.phases == 3 { 4 } else { 2 },
            residual: Some(if point.detects_direct_current { Residual::TypeA30 } else { Residual::TypeB30 }),
            breaking_ka,
        },
        submain_device,
        runs,
        earthing: earth.path,
        works: Vec::new(),
        maximum_demand_a: charging.maximum_demand_a,
        current_capacity_a: 0.0,
        voltage_drop_v: 0.0,
        voltage_drop_percent: 0.0,
        zs_ohm: 0.0,
        zs_limit_ohm: 0.0,
        fault_current_a: 0.0,
        shared,
        findings: Vec::new(),
    };
    if let Some(last) = circuits.last {
        arrangement.current_capacity_a = last.capacity_a;
        arrangement.voltage_drop_v = last.drop_v;
        arrangement.voltage_drop_percent = 100.0 * last.drop_v / U0_V;
        arrangement.zs_ohm = last.zs_ohm;
        arrangement.zs_limit_ohm = last.zs_limit_ohm;
        arrangement.fault_current_a = if last.zs_ohm > 0.0 { U0_V / last.zs_ohm } else { 0.0 };
        findings.extend(last.findings);
        findings.extend(earthing::open_pen_voltage(point, earth.path, last.drop_v));
        let jointed = last.runs.len() > 1;
        arrangement.runs.extend(last.runs);
        if jointed {
            works.push(Work::JointBox);
        }
        let largest_mm2 = arrangement.final_run().map_or(0.0, |run| run.cable.csa_mm2);
        if largest_mm2 > point.largest_terminal_mm2 {
            findings.push(
                Finding::new("terminal").because("terminal-capacity").at_most(largest_mm2, point.largest_terminal_mm2),
            );
            works.push(Work::TerminalBox);
        }
    }
    findings.push(origin_breaking);
    findings.extend(earth.findings.iter().cloned());
    findings.push(Finding::new("residual-current").subject(if point.detects_direct_current {
        "30 mA type A, charge point detects 6 mA direct current"
    } else {
        "30 mA type B"
    }));
    findings.extend(intake.findings);
    if !point.declared_harmonics {
        findings.push(Finding::new("device-declaration").because("no-declaration"));
    }
    if point.exports {
        findings.push(Finding::new("export").because("export-capable"));
        findings.push(Finding::new("export").because("bidirectional-device"));
    }
    findings.extend(capacity_share(facts, rules, charging, group));
    works.extend(earth.works.iter().copied());
    match charging.control {
        Control::None => {}
        Control::Local { .. } => works.push(Work::LimiterSensor),
        Control::Group { .. } => works.push(Work::GroupController),
    }
    for finding in &mut findings {
        if let Some(reason) = finding.reason {
            finding.effect = rules.effect_of(reason);
        }
    }
    if findings
        .iter()
        .any(|f| f.reason.is_some_and(|reason| reason.route == OperatorRoute::Apply && f.effect == Effect::Step))
    {
        works.push(Work::Application);
    }
    if facts.covered || matches!(facts.premises, Premises::Flat | Premises::Block) {
        works.push(Work::FireStopping);
    }
    arrangement.findings = findings;
    arrangement.works = works;
    arrangement
}

/// Prospective current at the end of a sub-main, kiloamperes: U0 over the source and the cold line (three phases) or
/// line and neutral (one phase). The line's resistance is added at right angles to the source, whose angle is not known:
/// the sum can only be too low, and the current on the high side.
fn level_after(facts: &Facts, run: &Run) -> Option<f64> {
    let source_ohm = U0_V / (facts.fault_level_ka.max(0.1) * 1000.0);
    let conductors = if facts.supply_phases == 3 { 1.0 } else { 2.0 };
    let line_ohm = cable_row(run.cable)?.r20_mohm_per_m * conductors * run.length_m() / 1000.0;
    Some(U0_V / source_ohm.hypot(line_ohm) / 1000.0)
}

/// Recorded peak and the load wanted against agreed capacity, for metered supplies (R15). The load wanted is the least
/// of points x setting, the group limit set and what the daily need takes.
fn capacity_share(facts: &Facts, rules: &Rules, charging: &Charging, group: Option<&Group>) -> Option<Finding> {
    let capacity_a = facts.capacity_a.filter(|_| facts.ct_metered)?;
    let phases = f64::from(facts.supply_phases);
    let daily_a =
        facts.wanted.daily_kwh * f64::from(facts.wanted.points) * 1000.0 / (facts.wanted.window_h * U0_V * phases);
    let wanted_a = group.map_or(charging.setting_a, |group| group.group_a).min(daily_a);
    let peak_a = facts.demand.against_capacity_a.likely;
    let whole_a = peak_a + wanted_a;
    let code = if whole_a <= rules.supply.capacity_formality_share * capacity_a {
        "capacity-formality"
    } else {
        "capacity-tight"
    };
    Some(
        Finding::new("capacity-share")
            .because(code)
            .at_most(whole_a, capacity_a)
            .terms(&[peak_a, wanted_a, capacity_a]),
    )
}

/// A stated sub-main to the board the parking is fed from must carry the group.
fn existing_submain(facts: &Facts, group: &Group, findings: &mut Vec<Finding>) {
    if let Some((_, device_a)) = facts.submain.filter(|(_, device_a)| *device_a < group.group_a) {
        findings.push(Finding::new("existing-submain").because("submain-too-small").at_least(device_a, group.group_a));
    }
}
