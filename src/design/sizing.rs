//! One circuit: the smallest cable of a family that carries, drops, disconnects and survives a fault.
//!
//! Rating: In <= Iz (433.1.1). Drop: Appendix 4 6.4 from the origin. Disconnection: 411.4, 411.5. Protective
//! conductor: 543.1, Table 54.7 or the adiabatic with the breaker's let-through energy. What is said of it is the
//! business of `circuit`.

use super::route::Route;
use super::{Run, RunRole, conductor};
use crate::reference::{
    CableRow, Curve, Loaded, Method, ambient_air, ambient_ground, buried_overload, grouped_buried, grouped_in_air,
    grouped_in_ducts, insulation, let_through_a2s, zs_limit_ohm,
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

impl CableOption {
    /// Whether a core or bare conductor, and not the armour, is the protective conductor all the way.
    pub(super) fn has_protective_core(self) -> bool {
        matches!(self, CableOption::TwinAndEarth | CableOption::Armoured(3 | 5))
    }
}

/// One cable over one part of the route.
#[derive(Clone, Copy, Debug)]
pub(super) struct Part {
    pub(super) row: &'static CableRow,
    pub(super) run: Run,
    /// Length that drops and adds impedance, metres.
    pub(super) stretch_m: f64,
}

/// A sized circuit of one part or two.
#[derive(Clone, Copy, Debug)]
pub(super) struct Sized {
    pub(super) duty: Duty,
    pub(super) first: Part,
    pub(super) second: Option<Part>,
    pub(super) rating: Rating,
    pub(super) drop_v: f64,
    pub(super) zs_ohm: f64,
    pub(super) zs_limit_ohm: f64,
    pub(super) breaker_limit_ohm: f64,
}

/// What a cable carries over its part of the route.
#[derive(Clone, Copy, Debug)]
pub(super) struct Rating {
    pub(super) capacity_a: f64,
    method: Method,
    pub(super) table_a: f64,
    pub(super) factor: f64,
}

/// Rating factors of the route, the same for every size; `None` where a table ends (too hot, too many grouped).
#[derive(Clone, Copy, Debug)]
struct Factors {
    in_air: Option<f64>,
    insulated: f64,
    buried: Option<f64>,
}

impl Factors {
    fn of(route: &Route) -> Self {
        const GROUND_C: f64 = 20.0;
        let product = |one: Option<f64>, other: Option<f64>| Some(one? * other?);
        let buried = || {
            let by_number = if route.ducted { grouped_in_ducts } else { grouped_buried };
            let grouped = product(ambient_ground(GROUND_C), by_number(route.grouped))?;
            Some(grouped * buried_overload())
        };
        Self {
            in_air: product(ambient_air(route.ambient_c), grouped_in_air(route.grouped)),
            insulated: insulation(route.insulated_m),
            buried: if route.buried_m > 0.0 { buried() } else { None },
        }
    }
}

/// The smallest size of an option that meets every check; `None` when no size in the tables does.
pub(super) fn size(option: CableOption, duty: &Duty, route: &Route, rules: &Rules) -> Option<Sized> {
    let (first, second): (&'static [CableRow], &'static [CableRow]) = match option {
        CableOption::TwinAndEarth => (crate::reference::twin_and_earth(), &[]),
        CableOption::Armoured(cores) => (crate::reference::armoured(cores), &[]),
        CableOption::Split => (crate::reference::twin_and_earth(), crate::reference::armoured(3)),
    };
    let (factors, breaker_limit_ohm) = (Factors::of(route), zs_limit_ohm(duty.curve, duty.device_a));
    first.iter().find_map(|row| {
        let partner = if second.is_empty() {
            None
        } else {
            Some(second.iter().find(|other| other.cable.csa_mm2 == row.cable.csa_mm2)?)
        };
        let parts = parts(row, partner, duty, route, rules);
        try_size(parts, duty, &factors, breaker_limit_ohm)
    })
}

fn parts(
    row: &'static CableRow,
    partner: Option<&'static CableRow>,
    duty: &Duty,
    route: &Route,
    rules: &Rules,
) -> (Part, Option<Part>) {
    let rises_m = 2.0 * (rules.route.rise_m + rules.route.ends_m);
    let part = |row: &'static CableRow, indoor_m: f64, surface_m: f64, buried_m: f64, rises_m: f64| {
        let run = Run {
            role: duty.role,
            cable: row.cable,
            method: if buried_m > 0.0 { Method::D } else { Method::C },
            count: duty.count,
            indoor_m,
            surface_m,
            buried_m,
            rises_m,
        };
        Part { row, run, stretch_m: if duty.farthest_m > 0.0 { duty.farthest_m } else { run.length_m() } }
    };
    match partner {
        None => (part(row, route.indoor_m, route.surface_m, route.buried_m, rises_m), None),
        Some(outdoors) => (
            part(row, route.indoor_m, 0.0, 0.0, rises_m / 2.0),
            Some(part(outdoors, 0.0, route.surface_m, route.buried_m, rises_m / 2.0)),
        ),
    }
}

impl Part {
    /// Iz over this part of the route: the worst segment governs.
    fn rating(&self, factors: &Factors, duty: &Duty) -> Option<Rating> {
        let mut worst: Option<Rating> = None;
        let mut take = |method: Method, factor: f64| -> Option<()> {
            let table_a = self.row.capacity_a(method, duty.loaded)?;
            let capacity_a = table_a * factor;
            if worst.is_none_or(|least| capacity_a < least.capacity_a) {
                worst = Some(Rating { capacity_a, method, table_a, factor });
            }
            Some(())
        };
        let in_air = factors.in_air?;
        if self.run.indoor_m > 0.0 {
            take(Method::C, in_air * factors.insulated)?;
        }
        if self.run.surface_m > 0.0 || (self.run.indoor_m == 0.0 && self.run.buried_m == 0.0) {
            take(Method::C, in_air)?;
        }
        if self.run.buried_m > 0.0 {
            take(Method::D, factors.buried?)?;
        }
        worst
    }

    /// Voltage lost at the design current, volts. A single-phase vehicle loads line and neutral of a three-phase
    /// circuit: the single-phase figure governs.
    fn drop_v(&self, duty: &Duty) -> f64 {
        conductor::drop_v(self.row.drop_mv_per_a_m(Loaded::One), duty.design_current_a, self.stretch_m)
    }

    /// Impedance added to the earth-fault loop, ohms. On TT only the protective conductor adds to the electrode's
    /// resistance.
    fn loop_ohm(&self, duty: &Duty) -> f64 {
        let per_m = if duty.tt {
            self.row.protective.r20_mohm_per_m * self.row.protective.hot_factor
        } else {
            self.row.loop_hot_mohm_per_m()
        };
        per_m * self.stretch_m / 1000.0
    }
}

fn try_size(
    (mut first, mut second): (Part, Option<Part>),
    duty: &Duty,
    factors: &Factors,
    breaker_limit_ohm: f64,
) -> Option<Sized> {
    let mut rating = first.rating(factors, duty)?;
    first.run.method = rating.method;
    if let Some(second) = &mut second {
        let found = second.rating(factors, duty)?;
        second.run.method = found.method;
        if found.capacity_a < rating.capacity_a {
            rating = found;
        }
    }
    if rating.capacity_a + 1e-9 < duty.device_a {
        return None;
    }
    let both = |of: &dyn Fn(&Part) -> f64| [Some(&first), second.as_ref()].into_iter().flatten().map(of).sum::<f64>();
    let drop_v = duty.upstream_drop_v + both(&|part| part.drop_v(duty));
    if drop_v > duty.drop_limit_v + 1e-9 {
        return None;
    }
    let holds = |part: &Part| protective_conductor_holds(part.row, duty);
    if !holds(&first) || !second.as_ref().is_none_or(holds) {
        return None;
    }
    let zs_ohm = duty.upstream_zs_ohm + both(&|part| part.loop_ohm(duty));
    let zs_limit_ohm = disconnection_limit(zs_ohm, breaker_limit_ohm, duty)?;
    Some(Sized { duty: *duty, first, second, rating, drop_v, zs_ohm, zs_limit_ohm, breaker_limit_ohm })
}

/// The limit relied on; `None` when nothing disconnects in time.
fn disconnection_limit(zs_ohm: f64, breaker_limit_ohm: f64, duty: &Duty) -> Option<f64> {
    if !duty.tt && zs_ohm <= breaker_limit_ohm {
        return Some(breaker_limit_ohm);
    }
    duty.rcd_limit_ohm.filter(|limit| zs_ohm <= *limit)
}

impl Sized {
    /// Its runs, from the origin on.
    pub(super) fn runs(&self) -> impl Iterator<Item = Run> {
        [Some(self.first.run), self.second.map(|part| part.run)].into_iter().flatten()
    }

    /// The run that ends it.
    pub(super) fn last_run(&self) -> Run {
        self.last().run
    }

    /// Whether two cable families are jointed.
    pub(super) fn is_jointed(&self) -> bool {
        self.second.is_some()
    }

    /// Current-carrying capacity after factors, amperes.
    pub(super) fn capacity_a(&self) -> f64 {
        self.rating.capacity_a
    }

    /// Whether the breaker is too slow on an earth fault of a TN supply and the residual-current device disconnects.
    pub(super) fn relies_on_residual(&self) -> bool {
        !self.duty.tt && self.zs_ohm > self.breaker_limit_ohm
    }

    pub(super) fn last(&self) -> &Part {
        self.second.as_ref().unwrap_or(&self.first)
    }
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
