//! How a cable family lies along a route: for every segment its reference method and its rating factors.
//!
//! A segment is a stretch of one kind of surroundings with its own temperature and grouping. Methods and factors do not
//! depend on the size of the conductor, so they are found once and the sizes are tried against them.

use super::route::{Route, Segment, Surroundings};
use crate::reference::{
    CableFamily, CableRow, Grouping, Loaded, Method, ambient_air, ambient_ground, buried_overload, depth_of_laying,
    insulation, soil_resistivity,
};
use crate::rules::{AboveGround, Rules};

/// Rating factors of one segment (Appendix 4 5.1.1).
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Factors {
    /// Ca: ambient temperature.
    pub(super) ambient: f64,
    /// Cg: grouping.
    pub(super) grouping: f64,
    /// Ci: thermal insulation.
    pub(super) insulation: f64,
    /// Cs and Cd together: soil and depth of laying.
    pub(super) ground: f64,
    /// Cc: in the ground with overload protection.
    pub(super) overload: f64,
}

impl Factors {
    /// All of them multiplied.
    pub(super) fn product(&self) -> f64 {
        self.ambient * self.grouping * self.insulation * self.ground * self.overload
    }
}

/// How one segment is installed.
#[derive(Clone, Copy, Debug)]
pub(super) struct Way {
    pub(super) method: Method,
    pub(super) factors: Factors,
    pub(super) surroundings: Surroundings,
}

/// Every segment of a route for one family, in order from the supply.
#[derive(Clone, Copy, Debug)]
pub(super) struct Installation {
    ways: [Option<Way>; Route::SEGMENTS],
}

/// Which part of a route a cable covers.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Cover {
    Whole,
    Indoors,
    Outdoors,
}

impl Cover {
    fn holds(self, surroundings: Surroundings) -> bool {
        let indoors = matches!(surroundings, Surroundings::Indoor | Surroundings::Insulation);
        match self {
            Cover::Whole => true,
            Cover::Indoors => indoors,
            Cover::Outdoors => !indoors,
        }
    }
}

impl Installation {
    /// The family over this part of a route; `None` where it may not lie there or where a table of factors ends (too
    /// hot, too many grouped).
    pub(super) fn of(family: CableFamily, route: &Route, cover: Cover, rules: &Rules) -> Option<Self> {
        let mut ways = [None; Route::SEGMENTS];
        for (slot, segment) in ways.iter_mut().zip(route.segments()) {
            if let Some(segment) = segment.filter(|segment| cover.holds(segment.surroundings)) {
                *slot = Some(way(family, &segment, route.insulated_m, rules)?);
            }
        }
        Some(Self { ways })
    }

    /// Iz of one size: the worst segment governs. `None` where a method has no column for it.
    pub(super) fn rating(&self, row: &CableRow, loaded: Loaded) -> Option<Rating> {
        let mut worst: Option<Rating> = None;
        for way in self.ways.iter().flatten() {
            let table_a = row.capacity_a(way.method, loaded)?;
            let capacity_a = table_a * way.factors.product();
            if worst.is_none_or(|least| capacity_a < least.capacity_a) {
                worst = Some(Rating { capacity_a, table_a, way: *way });
            }
        }
        worst
    }
}

/// What a cable carries over its part of the route, and the segment that says so.
#[derive(Clone, Copy, Debug)]
pub(super) struct Rating {
    /// Iz, amperes.
    pub(super) capacity_a: f64,
    /// Tabulated rating It, amperes.
    pub(super) table_a: f64,
    /// The governing segment.
    pub(super) way: Way,
}

impl Rating {
    /// Of a cable that may not lie so, or where a table ends: nothing.
    pub(super) fn nothing(family: CableFamily, rules: &Rules) -> Self {
        let factors = Factors { ambient: 1.0, grouping: 1.0, insulation: 1.0, ground: 1.0, overload: 1.0 };
        let way = Way { method: above_ground(family, rules).0, factors, surroundings: Surroundings::Surface };
        Self { capacity_a: 0.0, table_a: 0.0, way }
    }
}

fn way(family: CableFamily, segment: &Segment, insulated_m: f64, rules: &Rules) -> Option<Way> {
    let Segment { surroundings, ambient_c, grouped, .. } = *segment;
    let none = Factors { ambient: 1.0, grouping: 1.0, insulation: 1.0, ground: 1.0, overload: 1.0 };
    let (method, factors) = match surroundings {
        Surroundings::Ground | Surroundings::Duct => {
            let ducted = surroundings == Surroundings::Duct;
            let route = &rules.route;
            let factors = Factors {
                ambient: ambient_ground(ambient_c)?,
                grouping: in_ground(ducted).factor(grouped)?,
                ground: soil_resistivity(route.soil_k_m_per_w, ducted)? * depth_of_laying(route.depth_m, ducted)?,
                overload: buried_overload(),
                ..none
            };
            (Method::D, factors)
        }
        Surroundings::Indoor | Surroundings::Insulation | Surroundings::Surface => {
            let (method, grouping) = above_ground(family, rules);
            let ambient = ambient_air(ambient_c)?;
            if surroundings == Surroundings::Insulation {
                let factors = Factors { ambient, grouping: Grouping::Bunched.factor(grouped)?, ..none };
                in_insulation(family, insulated_m, factors, rules)
            } else {
                (method, Factors { ambient, grouping: grouping.factor(grouped)?, ..none })
            }
        }
    };
    allowed(family, surroundings).then_some(Way { method, factors, surroundings })
}

/// Method and grouping of a family above ground, outside insulation.
pub(super) fn above_ground(family: CableFamily, rules: &Rules) -> (Method, Grouping) {
    match (family, rules.route.armoured_above_ground) {
        (CableFamily::TwinAndEarth, _) => (Method::C, Grouping::Bunched),
        (CableFamily::Singles, _) => (Method::B, Grouping::Bunched),
        (_, AboveGround::Clipped) => (Method::C, Grouping::Bunched),
        (_, AboveGround::SingleLayer) => (Method::C, Grouping::Layer),
        (_, AboveGround::Tray) => (Method::E, Grouping::Tray),
    }
}

/// Grouping in the ground, bare or in a duct each.
pub(super) fn in_ground(ducted: bool) -> Grouping {
    if ducted { Grouping::Ducts } else { Grouping::Buried }
}

/// Through thermal insulation: the rating with free surface and the factor of Table 52.2, or for twin-and-earth the
/// method of Table 4D5 that the rules name, which holds the insulation already. Bunched whatever lies outside it.
fn in_insulation(family: CableFamily, insulated_m: f64, mut factors: Factors, rules: &Rules) -> (Method, Factors) {
    let by_table =
        (family == CableFamily::TwinAndEarth).then_some(rules.route.twin_and_earth_in_insulation.method()).flatten();
    if let Some(method) = by_table {
        return (method, factors);
    }
    factors.insulation = insulation(insulated_m);
    (if family == CableFamily::Singles { Method::B } else { Method::C }, factors)
}

/// Where a family may lie: twin-and-earth indoors only; singles in conduit above ground; armoured anywhere.
fn allowed(family: CableFamily, surroundings: Surroundings) -> bool {
    match (family, surroundings) {
        (CableFamily::TwinAndEarth, Surroundings::Indoor | Surroundings::Insulation) => true,
        (CableFamily::TwinAndEarth, _) => false,
        (CableFamily::Singles, Surroundings::Ground | Surroundings::Duct) => false,
        (CableFamily::Singles | CableFamily::ArmouredXlpe | CableFamily::ArmouredPvc, _) => true,
    }
}
