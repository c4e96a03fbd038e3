//! The fewest charge points that serve all vehicles.

use super::delivered::{delivered, turns_of, under};
use super::lane::{Lane, Load};
use super::time::{Part, Piece, parts, pieces};
use super::{Supply, Vehicles, spread};
use good_lp::{Expression, ProblemVariables, Solution, SolverModel, microlp, variable};

/// Fewest points; `None` where no number of them serves all, because of the supply, the limit or the point's current.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Points {
    /// Each vehicle keeps its point while it is plugged in: as many as vehicles that want energy are plugged in at once,
    /// on each phase where points and vehicles are single-phase (with the phases that [`spread`] gives). All are then
    /// served as [`delivered`] says.
    pub staying: Option<u32>,
    /// Vehicles change places at will, within a half-hour too, and so take points of any phase: no number below this
    /// serves all, whatever the order. Points are spread evenly over the phases; a vehicle is at one point at a time.
    pub swapping: Option<u32>,
}

/// The fewest points of `point_a` amperes and `point_phases` phases (1 or 3) that serve all `vehicles` from `supply`, no
/// phase above `limit_a`.
///
/// A three-phase vehicle at a single-phase point draws on one phase; a single-phase vehicle at a three-phase point draws
/// on the phase that the point has first, and those are taken to go round the phases.
pub fn fewest_points<const HALF_HOURS: usize>(
    vehicles: &[Vehicles],
    supply: &Supply<HALF_HOURS>,
    limit_a: f64,
    point_a: f64,
    point_phases: u8,
) -> Points {
    let at_points: Vec<Vehicles> = vehicles
        .iter()
        .map(|own| {
            let phases = if point_phases == 3 { own.phases_on(supply.phases) } else { 1 };
            Vehicles { max_a: own.max_a.min(point_a), phases, ..*own }
        })
        .collect();
    if !at_points.iter().any(Vehicles::wants) {
        return Points { staying: Some(0), swapping: Some(0) };
    }
    let turns = turns_of(&at_points, supply);
    let pieces = pieces(&at_points, supply, |room_a| turns.usable_a(under(room_a, limit_a)));
    let at_once = at_once(&at_points, supply, &pieces);
    let staying = delivered(&at_points, supply, limit_a).serves_all().then_some(at_once);
    let of = Swapping { vehicles: &at_points, phases: supply.phases, floor_a: supply.floor_a, pieces: &pieces };
    let wanting = at_points.iter().filter(|own| own.wants()).count();
    let parts = parts(at_points.len(), &pieces);
    let swapping = if parts.iter().map(|part| part.vehicles.len()).sum::<usize>() < wanting {
        None
    } else {
        parts.iter().try_fold(1, |least, part| of.least(part, least))
    };
    Points { staying, swapping }
}

/// Points that vehicles need which keep them.
fn at_once<const HALF_HOURS: usize>(vehicles: &[Vehicles], supply: &Supply<HALF_HOURS>, pieces: &[Piece]) -> u32 {
    let spread = spread(vehicles, supply);
    let mut most = 0;
    let mut most_single = [0_u32; 3];
    for piece in pieces {
        let mut all = 0_u32;
        let mut single = [0_u32; 3];
        for vehicle in &piece.present {
            let Some((own, counts)) = vehicles.get(*vehicle).zip(spread.get(*vehicle)) else { continue };
            all = all.saturating_add(own.count);
            if own.phases_on(supply.phases) == 1 {
                single.iter_mut().zip(counts).for_each(|(sum, count)| *sum = sum.saturating_add(*count));
            }
        }
        most = most.max(all);
        most_single.iter_mut().zip(single).for_each(|(most, own)| *most = (*most).max(own));
    }
    most_single.iter().fold(0_u32, |sum, own| sum.saturating_add(*own)).max(most)
}

/// How many of so many points stand on each phase.
fn points_on(points: u32, phase: u32) -> u32 {
    points / 3 + u32::from(phase < points % 3)
}

struct Swapping<'a> {
    vehicles: &'a [Vehicles],
    phases: u8,
    floor_a: f64,
    pieces: &'a [Piece],
}

impl Swapping<'_> {
    /// Fewest points of a part, at least so many. More never serve less; hours at points alone give a bound from below,
    /// which mostly serves, so the search goes up from there in widening steps and then halves the last.
    fn least(&self, part: &Part, least: u32) -> Option<u32> {
        let counts = part.vehicles.iter().filter_map(|vehicle| self.vehicles.get(*vehicle)).map(|own| own.count);
        // A point for each vehicle on any phase is all that points can do.
        let all = counts.fold(0_u32, u32::saturating_add).saturating_mul(if self.phases == 3 { 3 } else { 1 });
        let all = all.max(least);
        let (mut low, mut step) = (self.by_hours(part)?.max(least).min(all), 1_u32);
        if self.serve(part, low) {
            return Some(low);
        }
        let mut high = loop {
            if low >= all {
                return None;
            }
            let next = low.saturating_add(step).min(all);
            if self.serve(part, next) {
                break next;
            }
            (low, step) = (next, step.saturating_mul(4));
        };
        while low + 1 < high {
            let middle = low + (high - low) / 2;
            if self.serve(part, middle) {
                high = middle;
            } else {
                low = middle;
            }
        }
        Some(high)
    }

    /// Points that have hours enough for all vehicles, each at its greatest current, whatever the supply carries; `None`
    /// where a vehicle is not there long enough.
    fn by_hours(&self, part: &Part) -> Option<u32> {
        let own: Vec<(usize, Vehicles)> =
            part.vehicles.iter().filter_map(|vehicle| Some((*vehicle, *self.vehicles.get(*vehicle)?))).collect();
        let free: Vec<Piece> = part
            .pieces
            .iter()
            .filter_map(|number| self.pieces.get(*number))
            .map(|piece| Piece { room_a: f64::INFINITY, ..piece.clone() })
            .collect();
        // Hours for ampere-hours, points for amperes.
        let load = |(_, own): &(usize, Vehicles)| {
            let (count, max_a) = (f64::from(own.count), own.usable_max_a(self.floor_a));
            (max_a > 0.0).then(|| Load { need_ah: count * own.need_ah(self.phases) / max_a, most_a: count })
        };
        let place = |vehicle: usize| own.iter().position(|(member, _)| *member == vehicle);
        let loads = own.iter().map(load).collect::<Option<Vec<Load>>>()?;
        let points = Lane::new(loads, free.iter(), place).least_a(1.0)?;
        Some((points - 1e-6).ceil() as u32)
    }

    fn serve(&self, part: &Part, points: u32) -> bool {
        let own: Vec<(usize, Vehicles)> =
            part.vehicles.iter().filter_map(|vehicle| Some((*vehicle, *self.vehicles.get(*vehicle)?))).collect();
        let slots: Vec<&Piece> = part.pieces.iter().filter_map(|number| self.pieces.get(*number)).collect();
        let mut maxima = own.iter().map(|(_, own)| own.usable_max_a(self.floor_a));
        let first_a = maxima.next().unwrap_or(0.0);
        let threes = own.iter().filter(|(_, own)| own.phases_on(self.phases) == 3).count();
        let alike = maxima.all(|max_a| max_a == first_a) && (threes == 0 || threes == own.len());
        if alike {
            self.flow_serves(&own, &slots, points, first_a, threes > 0)
        } else {
            self.programme_serves(&own, &slots, points)
        }
    }

    /// Points of which every vehicle takes the same are a capacity like any other.
    fn flow_serves(
        &self,
        own: &[(usize, Vehicles)],
        slots: &[&Piece],
        points: u32,
        point_a: f64,
        threes: bool,
    ) -> bool {
        let load = |(_, own): &(usize, Vehicles)| Load {
            need_ah: f64::from(own.count) * own.need_ah(self.phases),
            most_a: f64::from(own.count) * own.usable_max_a(self.floor_a),
        };
        let held_a = |room_a: f64| -> f64 {
            if self.phases == 3 && !threes {
                (0..3).map(|phase| room_a.min(f64::from(points_on(points, phase)) * point_a)).sum()
            } else {
                room_a.min(f64::from(points) * point_a)
            }
        };
        let held: Vec<Piece> =
            slots.iter().map(|piece| Piece { room_a: held_a(piece.room_a), ..(*piece).clone() }).collect();
        let place = |vehicle: usize| own.iter().position(|(member, _)| *member == vehicle);
        Lane::new(own.iter().map(load).collect(), held.iter(), place).split(f64::INFINITY).1.is_none()
    }

    /// Vehicles that take different currents use up points and capacity apart: hours at a point, and charge.
    fn programme_serves(&self, own: &[(usize, Vehicles)], slots: &[&Piece], points: u32) -> bool {
        let lines: u32 = if self.phases == 3 { 3 } else { 1 };
        let mut variables = ProblemVariables::new();
        let mut served: Vec<Expression> = own.iter().map(|_| Expression::default()).collect();
        let mut rows: Vec<(Expression, f64)> = Vec::new();
        for piece in slots {
            let mut charge: Vec<Expression> = (0..lines).map(|_| Expression::default()).collect();
            let mut single_h: Vec<Expression> = charge.clone();
            let mut all_h = Expression::default();
            for ((vehicle, own), served) in own.iter().zip(&mut served) {
                let max_a = own.usable_max_a(self.floor_a);
                if max_a <= 0.0 || !piece.present.contains(vehicle) {
                    continue;
                }
                let most_ah = f64::from(own.count) * max_a * piece.hours;
                if own.phases_on(self.phases) == 3 || lines == 1 {
                    let drawn = variables.add(variable().min(0.0).max(most_ah));
                    served.add_mul(1.0, drawn);
                    charge.iter_mut().for_each(|sum| sum.add_mul(1.0, drawn));
                    all_h.add_mul(1.0 / max_a, drawn);
                    continue;
                }
                let mut together = Expression::default();
                for (charge, single_h) in charge.iter_mut().zip(&mut single_h) {
                    let drawn = variables.add(variable().min(0.0).max(most_ah));
                    together.add_mul(1.0, drawn);
                    served.add_mul(1.0, drawn);
                    charge.add_mul(1.0, drawn);
                    single_h.add_mul(1.0 / max_a, drawn);
                    all_h.add_mul(1.0 / max_a, drawn);
                }
                rows.push((together, most_ah));
            }
            if piece.room_a.is_finite() {
                rows.extend(charge.into_iter().map(|sum| (sum, piece.room_a * piece.hours)));
            }
            for (phase, sum) in (0_u32..).zip(single_h).filter(|_| lines == 3) {
                rows.push((sum, f64::from(points_on(points, phase)) * piece.hours));
            }
            rows.push((all_h, f64::from(points) * piece.hours));
        }
        let whole: Expression = served.iter().cloned().sum();
        let need_ah = |own: &Vehicles| f64::from(own.count) * own.need_ah(self.phases);
        let needed_ah: f64 = own.iter().map(|(_, own)| need_ah(own)).sum();
        let mut model = variables.maximise(&whole).using(microlp);
        for (sum, (_, own)) in served.into_iter().zip(own) {
            model = model.with(sum.leq(need_ah(own)));
        }
        for (sum, most) in rows {
            model = model.with(sum.leq(most));
        }
        // A solver that gives up has not shown that they serve.
        model.solve().is_ok_and(|solution| solution.eval(&whole) + 1e-6 * (1.0 + needed_ah * 1e-3) >= needed_ah)
    }
}
