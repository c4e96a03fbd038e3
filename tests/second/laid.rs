//! Cables over a way: their stretches found once for every family, and the runs that an arrangement is priced by.

use super::circuit::{Circuit, Piece};
use super::laying::{Part, Stretch, Way, stretches};
use super::published::Wire;
use baywright::design::{Run, RunRole};
use baywright::reference::CableFamily;
use baywright::rules::Rules;

/// Cables of one circuit: one throughout, or two jointed.
pub type Cables = (&'static Wire, Option<&'static Wire>);

/// Stretches of every family over the parts of a way, found once.
pub struct Laid(Vec<(CableFamily, Part, Option<Vec<Stretch>>)>);

impl Laid {
    pub fn over(way: &Way, rules: &Rules) -> Laid {
        use CableFamily::*;
        let mut all = Vec::new();
        for family in [TwinAndEarth, ArmouredXlpe, ArmouredPvc, Singles] {
            for part in [Part::Whole, Part::Indoors, Part::Outdoors] {
                all.push((family, part, stretches(family, way, part, rules)));
            }
        }
        Laid(all)
    }

    fn of(&self, family: CableFamily, part: Part) -> Option<&[Stretch]> {
        self.0.iter().find(|(known, covers, _)| *known == family && *covers == part)?.2.as_deref()
    }

    pub fn pieces<'s>(
        &'s self,
        way: &Way,
        (first, second): Cables,
        rises_m: f64,
        farthest_m: Option<f64>,
    ) -> Option<(Piece<'s>, Option<Piece<'s>>)> {
        let Some(second) = second else {
            let metres = farthest_m.unwrap_or(way.indoor_m + way.surface_m + way.buried_m + rises_m);
            let stretches = self.of(first.cable.family, Part::Whole)?;
            return Some((Piece { wire: first, stretches, metres }, None));
        };
        let indoors = self.of(first.cable.family, Part::Indoors)?;
        let outdoors = self.of(second.cable.family, Part::Outdoors)?;
        Some((
            Piece { wire: first, stretches: indoors, metres: way.indoor_m + rises_m / 2.0 },
            Some(Piece { wire: second, stretches: outdoors, metres: way.surface_m + way.buried_m + rises_m / 2.0 }),
        ))
    }
}

/// The runs of a circuit.
pub fn runs(way: &Way, circuit: &Circuit<'_>, role: RunRole, count: u32, rises_m: f64) -> Vec<Run> {
    let run = |piece: &Piece<'_>, indoor_m: f64, surface_m: f64, buried_m: f64, rises_m: f64| Run {
        role,
        cable: piece.wire.cable,
        method: piece.stretches[0].method,
        count,
        indoor_m,
        surface_m,
        buried_m,
        rises_m,
    };
    match &circuit.second {
        None => vec![run(&circuit.first, way.indoor_m, way.surface_m, way.buried_m, rises_m)],
        Some(second) => vec![
            run(&circuit.first, way.indoor_m, 0.0, 0.0, rises_m / 2.0),
            run(second, 0.0, way.surface_m, way.buried_m, rises_m / 2.0),
        ],
    }
}
