//! The smallest group limit that serves all vehicles.

use super::delivered::{Of, turns_of};
use super::time::{parts, pieces};
use super::{Supply, Vehicles, spread};

/// Smallest limit, amperes a phase, under which every vehicle has what it needs; `None` where not even the whole room
/// brings it. At least the pilot floor, nought where nothing is wanted. Exact, not rounded: a controller in whole
/// amperes takes the next.
pub fn least_limit_a<const HALF_HOURS: usize>(vehicles: &[Vehicles], supply: &Supply<HALF_HOURS>) -> Option<f64> {
    if !vehicles.iter().any(Vehicles::wants) {
        return Some(0.0);
    }
    let turns = turns_of(vehicles, supply);
    let pieces = pieces(vehicles, supply, |room_a| turns.usable_a(room_a));
    let spread = spread(vehicles, supply);
    let of = Of { vehicles, phases: supply.phases, floor_a: supply.floor_a, spread: &spread, pieces: &pieces };
    let mut usable_a = 0.0_f64;
    let mut seen = 0;
    for part in parts(vehicles.len(), &pieces) {
        seen += part.vehicles.len();
        usable_a = of.part(&part).least_a(usable_a)?;
    }
    // Whoever has no window cannot be served.
    if seen < vehicles.iter().filter(|vehicles| vehicles.wants()).count() {
        return None;
    }
    Some(turns.capacity_a(usable_a))
}
