//! Which phases single-phase vehicles draw on.

use super::time::share_time;
use super::{Supply, Vehicles};

/// How many of each of the vehicles draw on each phase of the supply, before anything is charged.
///
/// Three-phase vehicles stand on every phase, all of them; on a single-phase supply everything stands on the first.
/// Single-phase vehicles on three phases go one at a time, in the order of the list, to the phase that needs least
/// energy so far among the vehicles whose windows share time with theirs (the first of those that need the same).
/// Vehicles added at the end of the list do not move the others.
pub fn spread<const HALF_HOURS: usize>(vehicles: &[Vehicles], supply: &Supply<HALF_HOURS>) -> Vec<[u32; 3]> {
    let mut given: Vec<[u32; 3]> = Vec::with_capacity(vehicles.len());
    let single = |vehicles: &Vehicles| vehicles.phases_on(supply.phases) == 1;
    for (index, own) in vehicles.iter().enumerate() {
        if supply.lines() == 1 {
            given.push([own.count, 0, 0]);
            continue;
        }
        if !single(own) {
            given.push([own.count; 3]);
            continue;
        }
        let mut needed_kwh = [0.0_f64; 3];
        for (other, counts) in vehicles.iter().zip(&given).take(index) {
            if single(other) && other.wants() && share_time(own, other, supply.horizon_h()) {
                for (needed_kwh, count) in needed_kwh.iter_mut().zip(counts) {
                    *needed_kwh += f64::from(*count) * other.need_kwh;
                }
            }
        }
        let mut counts = [0; 3];
        for _ in 0..own.count {
            let [one, two, three] = needed_kwh;
            // A place below three.
            let phase = if one <= two && one <= three { 0 } else { 1 + usize::from(three < two) };
            counts[phase] += 1;
            needed_kwh[phase] += if own.need_kwh > 0.0 { own.need_kwh } else { 1.0 };
        }
        given.push(counts);
    }
    given
}
