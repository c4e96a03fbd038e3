//! One circuit: the smallest cable of a family that carries, drops, disconnects and survives a fault.
//!
//! Rating: In <= Iz (433.1.1). Drop: Appendix 4 6.4 from the origin. Disconnection: 411.4, 411.5. Protective
//! conductor: 543.1, Table 54.7 or the adiabatic with the breaker's let-through energy.

use super::facts::{Facts, Route};
use super::{Run, RunRole, conductor};
use crate::finding::Finding;
use crate::quantity::U0_V;
use crate::reference::{
    Cable, CableFamily, CableRow, Curve, Loaded, Method, ProtectiveKind, ambient_air, ambient_ground, buried_overload,
    grouped_buried, grouped_in_air, insulation, let_through_a2s, zs_limit_ohm,
};
use crate::rules::Rules;

/// What a circuit has to do.
#[derive(Clone, Copy, Debug)]
pub(super) struct Duty {
    /// Sub-main or final circuit.
    pub(super) role: RunRole,
    /// Design current Ib, amperes a phase.
    pub(super) design_current_a: f64,
    /// Device rating In, amperes.
    pub(super) device_a: f64,
    /// Tripping characteristic.
    pub(super) curve: Curve,
    /// Conductors loaded at the rating.
    pub(super) loaded: Loaded,
    /// Voltage lost before this circuit, volts.
    pub(super) upstream_drop_v: f64,
    /// Drop allowed from the origin to the end of this circuit, volts.
    pub(super) drop_limit_v: f64,
    /// Earth-fault loop impedance before this circuit, conductors hot, ohms (for TT: the electrode).
    pub(super) upstream_zs_ohm: f64,
    /// Fault current for energy let-through at its start, kiloamperes.
    pub(super) let_through_ka: f64,
    /// Residual-current limit of impedance where the device is allowed to disconnect, ohms.
    pub(super) rcd_limit_ohm: Option<f64>,
    /// The breaker need not disconnect: TT, where a residual-current device always does.
    pub(super) tt: bool,
    /// Electrical length of the farthest like run, metres (0: the run's own length).
    pub(super) farthest_m: f64,
    /// Like runs.
    pub(super) count: u32,
}

/// A cable option over a route: one family, or twin-and-earth indoors jointed to armoured outdoors.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum CableOption {
    /// Twin-and-earth throughout: only where the whole route is indoors.
    TwinAndEarth,
    /// Armoured with this many cores throughout.
    Armoured(u8),
    /// Twin-and-earth indoors, joint box, three-core armoured outdoors, of one size.
    Split,
}

/// A sized circuit.
#[derive(Clone, Debug)]
pub(super) struct Sized {
    pub(super) runs: Vec<Run>,
    pub(super) capacity_a: f64,
    pub(super) drop_v: f64,
    pub(super) zs_ohm: f64,
    pub(super) zs_limit_ohm: f64,
    pub(super) findings: Vec<Finding>,
}

/// The smallest size of an option that meets every check; `None` when no size in the tables does.
pub(super) fn size(option: CableOption, duty: &Duty, route: &Route, rules: &Rules) -> Option<Sized> {
    let families: [&[CableRow]; 2] = match option {
        CableOption::TwinAndEarth => [crate::reference::twin_and_earth(), &[]],
        CableOption::Armoured(cores) => [crate::reference::armoured(cores), &[]],
        CableOption::Split => [crate::reference::twin_and_earth(), crate::reference::armoured(3)],
    };
    let [first, second] = families;
    first.iter().find_map(|row| {
        let partner = if second.is_empty() {
            None
        } else {
            Some(second.iter().find(|other| other.cable.csa_mm2 == row.cable.csa_mm2)?)
        };
        try_size(row, partner, duty, route, rules)
    })
}

/// One cable over one part of the route.
struct Part<'a> {
    row: &'a CableRow,
    run: Run,
}

fn parts<'a>(
    row: &'a CableRow,
    partner: Option<&'a CableRow>,
    duty: &Duty,
    route: &Route,
    rules: &Rules,
) -> Vec<Part<'a>> {
    let rises_m = 2.0 * (rules.route.rise_m + rules.route.ends_m);
    let run = |row: &CableRow, indoor_m: f64, surface_m: f64, buried_m: f64, rises_m: f64| Run {
        role: duty.role,
        cable: row.cable,
        method: if buried_m > 0.0 { Method::D } else { Method::C },
        count: duty.count,
        indoor_m,
        surface_m,
        buried_m,
        rises_m,
    };
    match partner {
        None => vec![Part { row, run: run(row, route.indoor_m, route.surface_m, route.buried_m, rises_m) }],
        Some(outdoors) => vec![
            Part { row, run: run(row, route.indoor_m, 0.0, 0.0, rises_m / 2.0) },
            Part { row: outdoors, run: run(outdoors, 0.0, route.surface_m, route.buried_m, rises_m / 2.0) },
        ],
    }
}

/// Iz of one cable over its part of the route: the worst segment governs. Returns capacity, method, table value and
/// factor; `None` where a table ends (too hot, too many grouped).
fn capacity(part: &Part<'_>, route: &Route, duty: &Duty) -> Option<(f64, Method, f64, f64)> {
    let mut worst: Option<(f64, Method, f64, f64)> = None;
    let mut take = |method: Method, factor: f64| -> Option<()> {
        let table_a = part.row.capacity_a(method, duty.loaded)?;
        let iz = table_a * factor;
        if worst.is_none_or(|(least, ..)| iz < least) {
            worst = Some((iz, method, table_a, factor));
        }
        Some(())
    };
    let in_air = ambient_air(route.ambient_c)? * grouped_in_air(route.grouped)?;
    if part.run.indoor_m > 0.0 {
        take(Method::C, in_air * insulation(route.insulated_m))?;
    }
    if part.run.surface_m > 0.0 || (part.run.indoor_m == 0.0 && part.run.buried_m == 0.0) {
        take(Method::C, in_air)?;
    }
    if part.run.buried_m > 0.0 {
        const GROUND_C: f64 = 20.0;
        take(Method::D, ambient_ground(GROUND_C)? * grouped_buried(route.grouped)? * buried_overload())?;
    }
    worst
}

fn try_size(row: &CableRow, partner: Option<&CableRow>, duty: &Duty, route: &Route, rules: &Rules) -> Option<Sized> {
    let mut parts = parts(row, partner, duty, route, rules);
    let mut least = (f64::INFINITY, Method::C, 0.0, 1.0);
    for part in &mut parts {
        let found = capacity(part, route, duty)?;
        part.run.method = found.1;
        if found.0 < least.0 {
            least = found;
        }
    }
    let (capacity_a, _, table_a, factor) = least;
    if capacity_a + 1e-9 < duty.device_a {
        return None;
    }
    let stretch_m = |run: &Run| {
        if duty.farthest_m > 0.0 { duty.farthest_m } else { run.length_m() }
    };
    // A single-phase vehicle loads line and neutral of a three-phase circuit: the single-phase figure governs.
    let drop_v = duty.upstream_drop_v
        + parts
            .iter()
            .map(|part| {
                conductor::drop_v(part.row.drop_mv_per_a_m(Loaded::One), duty.design_current_a, stretch_m(&part.run))
            })
            .sum::<f64>();
    if drop_v > duty.drop_limit_v + 1e-9 {
        return None;
    }
    if !parts.iter().all(|part| protective_conductor_holds(part.row, duty)) {
        return None;
    }
    let zs_ohm = duty.upstream_zs_ohm
        + parts
            .iter()
            .map(|part| {
                // On TT only the protective conductor adds to the electrode's resistance.
                let per_m = if duty.tt {
                    part.row.protective.r20_mohm_per_m * part.row.protective.hot_factor
                } else {
                    part.row.loop_hot_mohm_per_m()
                };
                per_m * stretch_m(&part.run) / 1000.0
            })
            .sum::<f64>();
    let breaker_limit = zs_limit_ohm(duty.curve, duty.device_a);
    let (zs_limit, disconnection) = disconnection(zs_ohm, breaker_limit, duty)?;
    let longest = parts.last()?;
    let mut findings = Vec::with_capacity(6);
    if duty.role == RunRole::Final {
        findings.push(
            Finding::new("device-rating").at_most(duty.design_current_a, duty.device_a).terms(&[duty.design_current_a]),
        );
        findings.push(
            Finding::new("current-capacity")
                .at_least(capacity_a, duty.device_a)
                .terms(&[table_a, factor])
                .subject(longest.row.rating_source),
        );
        findings.push(
            Finding::new("voltage-drop")
                .at_most(drop_v, duty.drop_limit_v)
                .terms(&[
                    longest.row.drop_mv_per_a_m(Loaded::One),
                    duty.design_current_a,
                    parts.iter().map(|part| stretch_m(&part.run)).sum(),
                    duty.upstream_drop_v,
                    100.0 * drop_v / U0_V,
                ])
                .subject(longest.row.drop_source),
        );
        findings.push(disconnection.terms(&[
            duty.upstream_zs_ohm,
            zs_ohm - duty.upstream_zs_ohm,
            breaker_limit,
            0.8 * zs_limit,
        ]));
        findings.push(protective_finding(longest.row, duty));
        if parts.len() > 1 {
            findings.push(Finding::new("cable-family").because("joint-between-families"));
        }
    } else {
        findings.push(
            Finding::new("submain-capacity")
                .at_least(capacity_a, duty.device_a)
                .terms(&[table_a, factor, duty.design_current_a])
                .subject(longest.row.rating_source),
        );
        findings.push(Finding::new("submain-drop").value(drop_v).terms(&[
            longest.row.drop_mv_per_a_m(Loaded::One),
            duty.design_current_a,
            longest.run.length_m(),
            duty.upstream_drop_v,
        ]));
        findings.push(
            if disconnection.reason.is_some() {
                Finding::new("submain-disconnection").because("rcd-disconnects")
            } else {
                Finding::new("submain-disconnection")
            }
            .at_most(zs_ohm, zs_limit)
            .terms(&[duty.upstream_zs_ohm, zs_ohm - duty.upstream_zs_ohm]),
        );
    }
    Some(Sized {
        runs: parts.into_iter().map(|part| part.run).collect(),
        capacity_a,
        drop_v,
        zs_ohm,
        zs_limit_ohm: zs_limit,
        findings,
    })
}

/// The limit relied on and its finding; `None` when nothing disconnects in time.
fn disconnection(zs_ohm: f64, breaker_limit: f64, duty: &Duty) -> Option<(f64, Finding)> {
    if duty.tt {
        let limit = duty.rcd_limit_ohm?;
        return (zs_ohm <= limit).then(|| (limit, Finding::new("disconnection-by-rcd").at_most(zs_ohm, limit)));
    }
    if zs_ohm <= breaker_limit {
        return Some((breaker_limit, Finding::new("disconnection").at_most(zs_ohm, breaker_limit)));
    }
    let limit = duty.rcd_limit_ohm?;
    (zs_ohm <= limit)
        .then(|| (limit, Finding::new("disconnection-by-rcd").because("rcd-disconnects").at_most(zs_ohm, limit)))
}

/// Table 54.7, else the adiabatic with the breaker's let-through energy. On TT the fault current is a few amperes.
fn protective_conductor_holds(row: &CableRow, duty: &Duty) -> bool {
    let conductor = &row.protective;
    if duty.tt || conductor.csa_mm2 + 1e-9 >= conductor.least_csa_mm2 {
        return true;
    }
    let withstand = (conductor.k * conductor.csa_mm2).powi(2);
    let_through_a2s(duty.curve, duty.device_a, duty.let_through_ka).is_some_and(|energy| energy <= withstand)
}

fn protective_finding(row: &CableRow, duty: &Duty) -> Finding {
    let conductor = &row.protective;
    let subject = match conductor.kind {
        ProtectiveKind::Bare => "bare protective conductor",
        ProtectiveKind::Core => "core as protective conductor",
        ProtectiveKind::Armour => "steel armour as protective conductor",
    };
    if duty.tt {
        // A TT fault current is a few amperes: no size is asked of the conductor for heat.
        return Finding::new("protective-conductor-by-table").value(conductor.csa_mm2).subject(subject);
    }
    if conductor.csa_mm2 + 1e-9 >= conductor.least_csa_mm2 {
        return Finding::new("protective-conductor-by-table")
            .at_least(conductor.csa_mm2, conductor.least_csa_mm2)
            .terms(&[row.cable.csa_mm2, conductor.least_csa_mm2])
            .subject(subject);
    }
    let energy = let_through_a2s(duty.curve, duty.device_a, duty.let_through_ka).unwrap_or(f64::MAX);
    Finding::new("protective-conductor-by-energy")
        .at_least((conductor.k * conductor.csa_mm2).powi(2), energy)
        .terms(&[conductor.k, conductor.csa_mm2, duty.let_through_ka])
        .subject(subject)
}

/// The options for a final circuit, by what its route allows and what the earthing asks of the armour.
pub(super) fn options(route: &Route, phases: u8) -> &'static [CableOption] {
    let outdoors = route.surface_m > 0.0 || route.buried_m > 0.0;
    match (phases, outdoors, route.indoor_m > 0.0) {
        (3, _, _) => &[CableOption::Armoured(5), CableOption::Armoured(4)],
        (_, false, _) => &[CableOption::TwinAndEarth, CableOption::Armoured(3), CableOption::Armoured(2)],
        (_, true, true) => &[CableOption::Armoured(3), CableOption::Armoured(2), CableOption::Split],
        (_, true, false) => &[CableOption::Armoured(3), CableOption::Armoured(2)],
    }
}

/// Resistance and drop of the tails and what lies between origin and the board that feeds the circuit.
pub(super) struct Upstream {
    /// Volts per ampere a phase.
    pub(super) drop_v_per_a: f64,
    /// Most current a phase that can flow there for long, amperes.
    pub(super) most_a: f64,
    /// Ohms, line and protective conductor, hot.
    pub(super) loop_ohm: f64,
}

/// What lies before a circuit of `needed_a`: the stated sub-main where the circuit starts at its board and its device
/// carries it (a smaller one is replaced or left, and a finding says so), else the tails.
pub(super) fn upstream(facts: &Facts, needed_a: f64, at_board: bool, tails_longest_m: f64) -> Upstream {
    const LINE_70C: f64 = 1.20;
    let (mm2, length_m, most_a) = match (facts.submain, facts.tails_mm2) {
        (Some((mm2, device_a)), _) if at_board && device_a >= needed_a => (mm2, facts.tails_m, device_a),
        // With a sub-main the stated length is the sub-main's; the tails are short by the operators' rule.
        (Some(_), Some(mm2)) => (mm2.max(16.0), facts.tails_m.min(tails_longest_m), f64::INFINITY),
        (None, Some(mm2)) => (mm2.max(16.0), facts.tails_m, f64::INFINITY),
        // Above 100 A the incomer's busbars are not surveyed: their drop is the designer's.
        (_, None) => return Upstream { drop_v_per_a: 0.0, most_a: f64::INFINITY, loop_ohm: 0.0 },
    };
    let line = crate::reference::conductor_r20_mohm_per_m(mm2).unwrap_or(1.15) * LINE_70C;
    let tails_loop = line + crate::reference::conductor_r20_mohm_per_m(16.0).unwrap_or(1.15) * LINE_70C;
    // Nobody surveys the protective conductor of a sub-main: it is taken as the armour of a two-core cable, the worst of
    // the usual ones.
    let armoured = Cable { family: CableFamily::ArmouredXlpe, cores: 2, csa_mm2: mm2 };
    let loop_mohm_per_m = match crate::reference::cable_row(armoured) {
        Some(row) if most_a.is_finite() => row.loop_hot_mohm_per_m().max(tails_loop),
        _ => tails_loop,
    };
    Upstream { drop_v_per_a: 2.0 * line * length_m / 1000.0, most_a, loop_ohm: loop_mohm_per_m * length_m / 1000.0 }
}

/// Whether any run is twin-and-earth outdoors: never, by construction; a property test holds it.
pub fn twin_and_earth_stays_indoors(runs: &[Run]) -> bool {
    runs.iter()
        .all(|run| run.cable.family != CableFamily::TwinAndEarth || (run.surface_m == 0.0 && run.buried_m == 0.0))
}
