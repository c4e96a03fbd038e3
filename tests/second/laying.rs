//! How a cable lies along its way: reference method and rating factors of every stretch (Appendix 4 5.1.1).
//!
//! Conventions of the engine that are quoted: a way is indoors, through insulation, on a surface, then in the ground; a
//! way of no length lies on a surface; the stretch through insulation is part of the one indoors and does not grow with
//! it; twin-and-earth and singles indoors or on a surface by methods C and B, bunched; armoured as the rules say;
//! through insulation always bunched, and by C (singles B) with Table 52.2, or for twin-and-earth by the method of
//! Table 4D5 that the rules name.

use super::published::{Wire, factor, overload_buried};
use baywright::reference::{CableFamily, Method};
use baywright::rules::{AboveGround, InInsulation, Rules};

/// A way from a board, metres and degrees.
#[derive(Clone, Copy, Debug)]
pub struct Way {
    pub indoor_m: f64,
    pub surface_m: f64,
    pub buried_m: f64,
    pub insulated_m: f64,
    pub air_c: f64,
    pub ground_c: f64,
    pub grouped: f64,
    pub ducted: bool,
}

impl Way {
    pub fn of(route: &baywright::design::Route) -> Way {
        Way {
            indoor_m: route.indoor_m,
            surface_m: route.surface_m,
            buried_m: route.buried_m,
            insulated_m: route.insulated_m,
            air_c: route.ambient_c,
            ground_c: route.ground_c,
            grouped: route.grouped,
            ducted: route.ducted,
        }
    }

    /// The same way, this long: its parts in proportion.
    pub fn this_long(self, metres: f64) -> Way {
        let whole = self.indoor_m + self.surface_m + self.buried_m;
        if whole <= 0.0 {
            return Way { surface_m: metres, ..self };
        }
        Way {
            indoor_m: self.indoor_m * metres / whole,
            surface_m: self.surface_m * metres / whole,
            buried_m: self.buried_m * metres / whole,
            ..self
        }
    }
}

/// Which part of a way one cable covers.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Part {
    Whole,
    Indoors,
    Outdoors,
}

#[derive(Clone, Copy, Debug, PartialEq)]
enum Around {
    Indoors,
    Insulation,
    Surface,
    Ground,
}

/// One stretch with its factors.
#[derive(Clone, Copy, Debug)]
pub struct Stretch {
    pub method: Method,
    pub ca: f64,
    pub cg: f64,
    pub ci: f64,
    /// Cs x Cd.
    pub ground: f64,
    pub cc: f64,
}

impl Stretch {
    pub fn factors(&self) -> f64 {
        self.ca * self.cg * self.ci * self.ground * self.cc
    }
}

/// Every stretch of a part of the way; `None` where the cable may not lie there or a table of factors ends.
pub fn stretches(family: CableFamily, way: &Way, part: Part, rules: &Rules) -> Option<Vec<Stretch>> {
    let insulated_m = way.insulated_m.max(0.0).min(way.indoor_m.max(0.0));
    let mut arounds = Vec::new();
    if way.indoor_m - insulated_m > 0.0 {
        arounds.push(Around::Indoors);
    }
    if insulated_m > 0.0 {
        arounds.push(Around::Insulation);
    }
    if way.surface_m > 0.0 {
        arounds.push(Around::Surface);
    }
    if way.buried_m > 0.0 {
        arounds.push(Around::Ground);
    }
    if arounds.is_empty() {
        arounds.push(Around::Surface);
    }
    let mut all = Vec::new();
    for around in arounds {
        let indoors = around == Around::Indoors || around == Around::Insulation;
        if (part == Part::Indoors && !indoors) || (part == Part::Outdoors && indoors) {
            continue;
        }
        if family == CableFamily::TwinAndEarth && !indoors {
            return None;
        }
        if family == CableFamily::Singles && around == Around::Ground {
            return None;
        }
        all.push(stretch(family, around, way, rules)?);
    }
    Some(all)
}

fn stretch(family: CableFamily, around: Around, way: &Way, rules: &Rules) -> Option<Stretch> {
    if around == Around::Ground {
        let lie = if way.ducted { "in buried ducts" } else { "direct buried" };
        let cg = match way.grouped {
            one if one <= 1.0 => 1.0,
            many if way.ducted => {
                factor("4C3", "one multicore per single-way duct, duct clearance nil (touching)", many)?
            }
            many => factor("4C2", "multicore direct buried, clearance nil (touching)", many)?,
        };
        return Some(Stretch {
            method: Method::D,
            ca: factor("4B2", "70C thermoplastic", way.ground_c)?,
            cg,
            ci: 1.0,
            ground: factor("4B3", lie, rules.route.soil_k_m_per_w)? * factor("4B4", lie, rules.route.depth_m)?,
            cc: overload_buried(),
        });
    }
    let bunched = factor("4C1", "bunched in air", way.grouped);
    let armoured = matches!(family, CableFamily::ArmouredXlpe | CableFamily::ArmouredPvc);
    let mut method = if family == CableFamily::Singles { Method::B } else { Method::C };
    let mut cg = bunched;
    let mut ci = 1.0;
    if around == Around::Insulation {
        let by_table = match rules.route.twin_and_earth_in_insulation {
            InInsulation::Factor => None,
            InInsulation::M100 => Some(Method::M100),
            InInsulation::M101 => Some(Method::M101),
            InInsulation::M102 => Some(Method::M102),
            InInsulation::M103 => Some(Method::M103),
        };
        match by_table {
            Some(by_table) if family == CableFamily::TwinAndEarth => method = by_table,
            // From half a metre on 0.50, where the table ends.
            _ => ci = factor("52.2", "derate of method C", way.insulated_m * 1000.0).unwrap_or(0.50),
        }
    } else if armoured && rules.route.armoured_above_ground == AboveGround::SingleLayer {
        cg = if way.grouped <= 1.0 { Some(1.0) } else { factor("4C1", "single layer on wall/floor", way.grouped) };
    } else if armoured && rules.route.armoured_above_ground == AboveGround::Tray {
        method = Method::E;
        cg = if way.grouped <= 1.0 {
            Some(1.0)
        } else {
            factor("4C1", "single layer multicore on perforated tray, touching", way.grouped)
        };
    }
    Some(Stretch { method, ca: factor("4B1", "70C thermoplastic", way.air_c)?, cg: cg?, ci, ground: 1.0, cc: 1.0 })
}

/// Iz: the least of It x factors over the stretches, with its It and the stretch; `None` where a method has no column.
pub fn carries(wire: &Wire, three: bool, stretches: &[Stretch]) -> Option<(f64, f64, Stretch)> {
    let mut worst: Option<(f64, f64, Stretch)> = None;
    for stretch in stretches {
        let it = wire.rating(stretch.method, three)?;
        let iz = it * stretch.factors();
        if worst.is_none() || iz < worst.unwrap().0 {
            worst = Some((iz, it, *stretch));
        }
    }
    worst
}
