//! From facts to arrangements: demand, charging current, circuit, earthing, shared supply, and the findings of each.
//!
//! Pure: what comes out depends on the facts, the rules and the published tables alone. It knows no price and no
//! verdict; `arrangements` lists what could be built, best current first, and the next rooms price and choose.

mod alternatives;
mod arrangement;
mod assemble;
mod basis;
mod board;
mod bonding;
mod cable_option;
mod charging;
mod circuit;
mod circuit_findings;
mod conductor;
mod currents;
mod demand;
mod earthing;
mod electrode;
mod existing;
mod facts;
mod fault;
mod findings;
mod fit;
mod half_hours;
mod held;
mod household;
mod installation;
mod lead;
mod loads;
mod place;
mod point;
mod rods;
mod route;
mod search;
mod service;
mod shared;
mod sizing;
mod supply_plan;
#[cfg(test)]
mod tests;
mod vehicles;
mod wanted;

pub use arrangement::*;
pub use basis::{Basis, rods_with_margin_ohm};
pub use bonding::{Bonding, EarthSize, EarthSizes};
pub use circuit::twin_and_earth_stays_indoors;
pub use conductor::{
    adiabatic_mm2, drop_temperature_factor, drop_v, fault_current_a, hot_factor, least_tabulated_a,
    long_run_limit_percent,
};
pub use demand::{Demand, DemandOrigin};
pub use electrode::{
    neutral_current_a, open_pen_electrode_limit_ohm, open_pen_electrode_limit_three_phase_ohm, open_pen_holds,
    open_pen_voltage_v, rod_coupling, rod_ohm, rods_in_line_ohm, tt_electrode_limit_ohm, tt_residual_limit_a,
    with_lambda_ohm,
};
pub use facts::{Assumed, Facts, facts};
pub use fault::most_energy_a2s;
pub use half_hours::HalfHourLoad;
pub use held::{Held, held};
pub use household::{
    Appliances, appliances_of, cooker_paper_demand_a, household_paper_demand_a, household_paper_terms_a, paper_terms_a,
    small_premises_of,
};
pub use place::place_findings;
pub(crate) use place::{needs_consent, shared_car_park};
pub use route::{Route, Segment, Surroundings};
pub(crate) use service::hearsay;
pub use service::{Evidence, fuse_policy_a, service_findings};
pub use supply_plan::{GroupDay, Runway, SupplyPlan, ThreeWays, supply_plan};
pub use vehicles::VehicleGroup;
pub use wanted::{Wanted, setting_of_kw};

use crate::finding::Effect;
use crate::rules::Rules;

/// Everything that could be built for these facts: first by setting (highest first), within a setting by cable option.
///
/// The list stops at the first setting that needs nothing but steps and, of several points, gives every one its daily
/// energy: lower settings could only lose to it. Of several points a lower setting that is better in nothing is left out.
/// Settings below the useful one come last, as runners-up. Empty only where more than 32 A a phase or direct current is asked
/// for, which is not designed here.
pub fn arrangements(facts: &Facts, rules: &Rules) -> Vec<Arrangement> {
    if facts.wanted.beyond { Vec::new() } else { search::build_all(facts, rules) }
}

/// The worst effect of the best of these arrangements that is worth having, without building them; `None` where none
/// is designed here.
pub fn best_effect(facts: &Facts, rules: &Rules) -> Option<Effect> {
    (!facts.wanted.beyond).then(|| search::weigh_all(facts, rules))
}

/// The least of cut-out and agreed capacity, amperes a phase (tails as after their step).
pub fn supply_limit_a(facts: &Facts) -> f64 {
    charging::Supply::of(facts).limit_a()
}

/// Existing demand on the worst phase, as held against the limit that leaves least room, amperes.
pub fn governing_demand(facts: &Facts) -> crate::quantity::Band {
    charging::Supply::of(facts).governing().1
}

/// The worst effect among an arrangement's findings under the rules.
pub fn worst_effect(arrangement: &Arrangement) -> Effect {
    arrangement.findings.iter().map(|finding| finding.effect).max().unwrap_or(Effect::None)
}
