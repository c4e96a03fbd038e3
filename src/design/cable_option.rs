//! The cables worth trying on a route: which families the surroundings allow, with how many cores.
//!
//! It knows no size: `sizing` finds the smallest that serves.

use super::route::Route;
use crate::reference::{CableFamily, CableRow, armoured, singles, twin_and_earth};
use crate::rules::Rules;

/// A cable over a route: one family throughout, or twin-and-earth indoors jointed to armoured outdoors.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum CableOption {
    /// One family with this many insulated cores.
    Throughout(CableFamily, u8),
    /// Twin-and-earth indoors, joint box, armoured of this family and so many cores outdoors, of one size.
    Split(CableFamily, u8),
}

use CableFamily::{ArmouredPvc, ArmouredXlpe, Singles, TwinAndEarth};
use CableOption::{Split, Throughout};

/// Every option of one phase and of three; equal costs are decided by this order.
const ONE_PHASE: [CableOption; 10] = [
    Throughout(TwinAndEarth, 2),
    Throughout(ArmouredXlpe, 3),
    Throughout(ArmouredXlpe, 2),
    Split(ArmouredXlpe, 3),
    Split(ArmouredXlpe, 2),
    Throughout(Singles, 2),
    Throughout(ArmouredPvc, 3),
    Throughout(ArmouredPvc, 2),
    Split(ArmouredPvc, 3),
    Split(ArmouredPvc, 2),
];
const THREE_PHASE: [CableOption; 5] = [
    Throughout(ArmouredXlpe, 5),
    Throughout(ArmouredXlpe, 4),
    Throughout(Singles, 4),
    Throughout(ArmouredPvc, 5),
    Throughout(ArmouredPvc, 4),
];

/// What is asked of a cable before its size.
#[derive(Clone, Copy, Debug)]
pub(super) struct Wanted {
    /// The whole way of the circuit, from the board that it is fed from.
    pub(super) route: Route,
    /// Phases of the circuit: 1 or 3.
    pub(super) phases: u8,
    /// Armour is bonded at the supply end: where an electrode earths the point apart from it, the protective conductor
    /// is a core.
    pub(super) core_needed: bool,
    /// Armoured cable or singles only: circuits of a shared car park and sub-mains.
    pub(super) heavy_duty: bool,
}

/// The options that serve, in order.
pub(super) fn options(wanted: Wanted, rules: &Rules) -> impl Iterator<Item = CableOption> {
    let all: &'static [CableOption] = if wanted.phases == 3 { &THREE_PHASE } else { &ONE_PHASE };
    all.iter().copied().filter(move |option| option.serves(&wanted, &rules.circuit.cable_families))
}

impl CableOption {
    fn serves(self, wanted: &Wanted, families: &[CableFamily]) -> bool {
        let Route { indoor_m, surface_m, buried_m, .. } = wanted.route;
        let outdoors = surface_m > 0.0 || buried_m > 0.0;
        if wanted.core_needed && !self.has_protective_core() {
            return false;
        }
        match self {
            Split(outside, _) => {
                let both = families.contains(&TwinAndEarth) && families.contains(&outside);
                both && outdoors && indoor_m > 0.0 && !wanted.heavy_duty
            }
            Throughout(family, _) => {
                let may_lie = match family {
                    TwinAndEarth => !outdoors && !wanted.heavy_duty,
                    Singles => buried_m <= 0.0,
                    ArmouredXlpe | ArmouredPvc => true,
                };
                may_lie && families.contains(&family)
            }
        }
    }

    /// Whether a core or bare conductor, and not the armour, is the protective conductor all the way.
    pub(super) fn has_protective_core(self) -> bool {
        !matches!(self, Throughout(ArmouredXlpe | ArmouredPvc, 2 | 4) | Split(_, 2 | 4))
    }

    /// The sizes of the cable, smallest first, and those of the one jointed to it (empty for one cable throughout).
    pub(super) fn rows(self) -> (&'static [CableRow], &'static [CableRow]) {
        match self {
            Split(outside, cores) => (twin_and_earth(), armoured(outside, cores)),
            Throughout(TwinAndEarth, _) => (twin_and_earth(), &[]),
            Throughout(Singles, cores) => (singles(cores), &[]),
            Throughout(family, cores) => (armoured(family, cores), &[]),
        }
    }
}
