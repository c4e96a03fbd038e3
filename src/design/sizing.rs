//! One circuit: the smallest cable of a family that carries, drops, disconnects and survives a fault.
//!
//! Rating: In <= Iz (433.1.1). Drop: Appendix 4 6.4 from the origin. Disconnection: 411.4, 411.5. Protective
//! conductor: 543.1, Table 54.7 or the adiabatic with the breaker's let-through energy. What is said of it is the
//! business of `circuit`.

use super::cable_option::CableOption;
use super::fault::{line_holds, protective_conductor_holds};
use super::installation::{Cover, Installation, Rating};
use super::route::Route;
use super::{Run, RunRole, conductor};
use crate::reference::{CableRow, Curve, Loaded, Method, zs_limit_ohm};
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
    /// Length from the origin to the start of this circuit, metres.
    pub(super) upstream_m: f64,
    /// Drop allowed from the origin to the end of this circuit, volts.
    pub(super) drop_limit_v: f64,
    /// Earth-fault loop impedance before this circuit, conductors hot, ohms (for TT: the electrode).
    pub(super) upstream_zs_ohm: f64,
    /// The same at 20 degrees, as a test reads it, ohms.
    pub(super) upstream_cold_ohm: f64,
    /// What stands for the earth before this circuit, in words.
    pub(super) earth_words: &'static str,
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
    /// Only sizes above this are tried, mm2 (0: every size).
    pub(super) above_mm2: f64,
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
    /// The route it was sized over.
    pub(super) route: Route,
    pub(super) first: Part,
    pub(super) second: Option<Part>,
    /// The rating that governs.
    pub(super) rating: Rating,
    /// The rating of each part.
    pub(super) ratings: (Rating, Option<Rating>),
    pub(super) drop_v: f64,
    pub(super) zs_ohm: f64,
    /// Its loop at 20 degrees, as a test reads it, ohms.
    pub(super) cold_ohm: f64,
    pub(super) zs_limit_ohm: f64,
    pub(super) breaker_limit_ohm: f64,
}

/// The smallest size of an option that meets every check; `None` when no size in the tables does.
pub(super) fn size(option: CableOption, duty: &Duty, route: &Route, rules: &Rules) -> Option<Sized> {
    let (first, second) = option.rows();
    let installed = |rows: &[CableRow], cover: Cover| {
        rows.first().and_then(|row| Installation::of(row.cable.family, route, cover, rules))
    };
    let (laid, beyond) = if second.is_empty() {
        (installed(first, Cover::Whole)?, None)
    } else {
        (installed(first, Cover::Indoors)?, Some(installed(second, Cover::Outdoors)?))
    };
    first.iter().filter(|row| row.cable.csa_mm2 > duty.above_mm2).find_map(|row| {
        let partner = if second.is_empty() {
            None
        } else {
            Some(second.iter().find(|other| other.cable.csa_mm2 == row.cable.csa_mm2)?)
        };
        let (first, second) = parts(row, partner, duty, route, rules);
        try_size((first, laid), second.zip(beyond), duty, route)
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
            // Set when the governing segment is known.
            method: Method::C,
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

    /// The same at 20 degrees.
    fn cold_ohm(&self, duty: &Duty) -> f64 {
        let per_m = if duty.tt { self.row.protective.r20_mohm_per_m } else { self.row.loop_cold_mohm_per_m() };
        per_m * self.stretch_m / 1000.0
    }
}

/// The ratings of the parts of a circuit; `None` where one may not lie so or a table ends.
fn rate(laid: &Laid<'_>, loaded: Loaded) -> Option<(Rating, Option<Rating>)> {
    let first = laid.first.1.rating(laid.first.0.row, loaded)?;
    let second = match laid.second {
        Some((part, installation)) => Some(installation.rating(part.row, loaded)?),
        None => None,
    };
    Some((first, second))
}

/// Parts of a circuit and how they lie.
struct Laid<'a> {
    first: (&'a Part, &'a Installation),
    second: Option<(&'a Part, &'a Installation)>,
}

/// The lesser rating of the two.
fn governing(ratings: (Rating, Option<Rating>)) -> Rating {
    ratings.1.filter(|other| other.capacity_a < ratings.0.capacity_a).unwrap_or(ratings.0)
}

fn try_size(
    (first, laid): (Part, Installation),
    beyond_joint: Option<(Part, Installation)>,
    duty: &Duty,
    route: &Route,
) -> Option<Sized> {
    let parts = Laid { first: (&first, &laid), second: beyond_joint.as_ref().map(|(part, beyond)| (part, beyond)) };
    let ratings = rate(&parts, duty.loaded)?;
    if !carries(governing(ratings), duty) {
        return None;
    }
    let sized = reckoned(first, beyond_joint.map(|(part, _)| part), ratings, duty, route);
    sized.serves().then_some(sized)
}

fn carries(rating: Rating, duty: &Duty) -> bool {
    rating.capacity_a + 1e-9 >= duty.device_a
}

/// Every figure of a circuit with these parts, whether it serves or not.
fn reckoned(
    mut first: Part,
    mut second: Option<Part>,
    ratings: (Rating, Option<Rating>),
    duty: &Duty,
    route: &Route,
) -> Sized {
    first.run.method = ratings.0.way.method;
    if let Some((part, rating)) = second.as_mut().zip(ratings.1) {
        part.run.method = rating.way.method;
    }
    let both = |of: &dyn Fn(&Part) -> f64| [Some(&first), second.as_ref()].into_iter().flatten().map(of).sum::<f64>();
    let zs_ohm = duty.upstream_zs_ohm + both(&|part| part.loop_ohm(duty));
    let breaker_limit_ohm = zs_limit_ohm(duty.curve, duty.device_a);
    Sized {
        duty: *duty,
        route: *route,
        rating: governing(ratings),
        ratings,
        drop_v: duty.upstream_drop_v + both(&|part| part.drop_v(duty)),
        zs_ohm,
        cold_ohm: duty.upstream_cold_ohm + both(&|part| part.cold_ohm(duty)),
        zs_limit_ohm: disconnection_limit(zs_ohm, breaker_limit_ohm, duty),
        breaker_limit_ohm,
        first,
        second,
    }
}

/// One size of an option with every figure, whether it serves or not; `None` for a size that is in no table. Where the
/// cable may not lie so, or a table of factors ends, its capacity is nothing.
pub(super) fn held(option: CableOption, csa_mm2: f64, duty: &Duty, route: &Route, rules: &Rules) -> Option<Sized> {
    let (first, second) = option.rows();
    let of_size = |rows: &'static [CableRow]| rows.iter().find(|row| (row.cable.csa_mm2 - csa_mm2).abs() < 1e-9);
    let partner = if second.is_empty() { None } else { Some(of_size(second)?) };
    let (first, second) = parts(of_size(first)?, partner, duty, route, rules);
    let (cover, family) = (if second.is_some() { Cover::Indoors } else { Cover::Whole }, first.row.cable.family);
    let installed = |part: &Part, cover: Cover| Installation::of(part.row.cable.family, route, cover, rules);
    let rated = || {
        let laid = installed(&first, cover)?;
        let beyond = match &second {
            Some(part) => Some((part, installed(part, Cover::Outdoors)?)),
            None => None,
        };
        let beyond = beyond.as_ref().map(|(part, beyond)| (*part, beyond));
        rate(&Laid { first: (&first, &laid), second: beyond }, duty.loaded)
    };
    let ratings = rated().unwrap_or_else(|| (Rating::nothing(family, rules), None));
    Some(reckoned(first, second, ratings, duty, route))
}

/// The limit of impedance that counts: the breaker's where it disconnects, else that of the residual-current device
/// where one may be relied on.
fn disconnection_limit(zs_ohm: f64, breaker_limit_ohm: f64, duty: &Duty) -> f64 {
    if !duty.tt && zs_ohm <= breaker_limit_ohm {
        return breaker_limit_ohm;
    }
    duty.rcd_limit_ohm.unwrap_or(breaker_limit_ohm)
}

impl Sized {
    /// Whether it carries, drops, disconnects and survives a fault as it must.
    pub(super) fn serves(&self) -> bool {
        let holds = |part: &Part| protective_conductor_holds(part.row, &self.duty) && line_holds(part.row, &self.duty);
        carries(self.rating, &self.duty)
            && self.drop_v <= self.duty.drop_limit_v + 1e-9
            && holds(&self.first)
            && self.second.as_ref().is_none_or(holds)
            && self.zs_ohm <= self.zs_limit_ohm
    }

    /// Its runs, from the origin on.
    pub(super) fn runs(&self) -> impl Iterator<Item = Run> {
        [Some(self.first.run), self.second.map(|part| part.run)].into_iter().flatten()
    }

    /// The run that ends it.
    pub(super) fn last_run(&self) -> Run {
        self.last().run
    }

    /// Its size, mm2: two jointed cables are of one size.
    pub(super) fn size_mm2(&self) -> f64 {
        self.first.row.cable.csa_mm2
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
