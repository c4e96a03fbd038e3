//! What a fault does to the conductors of a circuit: the energy that its device lets through against what they stand.
//!
//! Adiabatic, 543.1.3 and 434.5.2. Which cable is chosen is the business of `sizing`.

use super::conductor::fault_current_a;
use super::facts::Facts;
use super::findings::Findings;
use super::sizing::Duty;
use crate::quantity::{CMIN, U0_V};
use crate::reference::{CableRow, Curve, ProtectiveKind, let_through_a2s, let_through_at_most_a2s, zs_limit_ohm};

/// Longest time in which the instantaneous part of a breaker acts, seconds (BS EN 60898: below 0.1 s; print).
const INSTANTANEOUS_S: f64 = 0.1;

/// Most energy that a breaker lets through at a fault of `fault_ka` where it starts, A2s; `None` where nothing bounds it.
///
/// The class table where it holds the device, and never more than the current squared over the 0.1 s within which the
/// instantaneous part acts, provided that the current reaches it (derived; far above what a limiting breaker passes).
pub fn most_energy_a2s(curve: Curve, device_a: f64, fault_ka: f64) -> Option<f64> {
    let fault_a = fault_ka * 1000.0;
    // Table 41.3 holds U0 x Cmin over the current that trips at once.
    let instantaneous_a = fault_current_a(CMIN * U0_V, zs_limit_ohm(curve, device_a));
    if fault_a < instantaneous_a {
        // The thermal part trips, in seconds: neither class nor time bounds what passes.
        return None;
    }
    let by_time = fault_a * fault_a * INSTANTANEOUS_S;
    Some(let_through_a2s(curve, device_a, fault_ka).map_or(by_time, |by_class| by_class.min(by_time)))
}

/// Table 54.7, else the adiabatic with the breaker's let-through energy. On TT the fault current is a few amperes.
pub(super) fn protective_conductor_holds(row: &CableRow, duty: &Duty) -> bool {
    let conductor = &row.protective;
    if duty.tt || conductor.csa_mm2 + 1e-9 >= conductor.least_csa_mm2 {
        return true;
    }
    let withstand = (conductor.k * conductor.csa_mm2).powi(2);
    most_energy_a2s(duty.curve, duty.device_a, duty.let_through_ka).is_some_and(|energy| energy <= withstand)
}

/// Line and neutral stand what the class of the device lets through, beyond its highest tabulated fault at least what it
/// lets through there. Where no class is tabulated, a device that protects against overload and breaks the fault is
/// taken to protect them (435.1, memory).
pub(super) fn line_holds(row: &CableRow, duty: &Duty) -> bool {
    let energy = let_through_a2s(duty.curve, duty.device_a, duty.let_through_ka)
        .or_else(|| let_through_at_most_a2s(duty.curve, duty.device_a));
    energy.is_none_or(|energy| energy <= line_withstand_a2s(row))
}

fn line_withstand_a2s(row: &CableRow) -> f64 {
    (row.line_k * row.cable.csa_mm2).powi(2)
}

/// Which prospective currents the design is held against: the highest for what has to break it, and for the conductors
/// the one at the lowest credible impedance, or as stated.
pub(super) fn say_prospective(facts: &Facts, out: &mut Findings<'_>) {
    out.show("prospective-current", |f| f.value(facts.fault_level_ka).terms(&[facts.let_through_ka]));
}

/// What is found of line and protective conductor under fault.
pub(super) fn say_conductors(row: &CableRow, duty: &Duty, out: &mut Findings<'_>) {
    say_protective(row, duty, out);
    let terms = [row.line_k, row.cable.csa_mm2, duty.let_through_ka];
    match let_through_a2s(duty.curve, duty.device_a, duty.let_through_ka) {
        Some(energy) => {
            out.show("live-conductors-by-energy", |f| f.at_least(line_withstand_a2s(row), energy).terms(&terms))
        }
        None => out.show("live-conductors-by-overload", |f| f.value(duty.device_a).terms(&terms)),
    }
}

fn say_protective(row: &CableRow, duty: &Duty, out: &mut Findings<'_>) {
    let conductor = &row.protective;
    let subject = match conductor.kind {
        ProtectiveKind::Bare => "bare protective conductor",
        ProtectiveKind::Core => "core as protective conductor",
        ProtectiveKind::Drawn => "protective conductor drawn in with the lines",
        ProtectiveKind::Armour => "steel armour as protective conductor",
    };
    if duty.tt {
        // A TT fault current is a few amperes: no size is asked of the conductor for heat.
        out.show("protective-conductor-by-table", |f| {
            f.value(conductor.csa_mm2).terms(&[row.cable.csa_mm2, conductor.least_csa_mm2]).subject(subject)
        });
    } else if conductor.csa_mm2 + 1e-9 >= conductor.least_csa_mm2 {
        out.show("protective-conductor-by-table", |f| {
            f.at_least(conductor.csa_mm2, conductor.least_csa_mm2)
                .terms(&[row.cable.csa_mm2, conductor.least_csa_mm2])
                .subject(subject)
        });
    } else {
        out.show("protective-conductor-by-energy", |f| {
            let energy = most_energy_a2s(duty.curve, duty.device_a, duty.let_through_ka).unwrap_or(f64::MAX);
            f.at_least((conductor.k * conductor.csa_mm2).powi(2), energy)
                .terms(&[conductor.k, conductor.csa_mm2, duty.let_through_ka])
                .subject(subject)
        });
    }
}
