//! The linear programme of both kinds of vehicle on three phases.

use super::delivered::Sum;
use super::mixed::Mixed;
use super::time::Piece;
use good_lp::{Expression, ProblemVariables, Solution, SolverModel, Variable, microlp, variable};

/// Ampere-hours by which the most charge may be missed while shares are made fair: what the solver's rounding needs.
const GIVE_AH: f64 = 1e-6;

/// A kind of vehicle on a class of phases, or on all.
#[derive(Debug)]
struct Loaded {
    vehicle: usize,
    /// Its class, `None` for three-phase vehicles.
    class: Option<usize>,
    need_ah: f64,
    most_a: f64,
    /// Phases that its charge is drawn on.
    weight: f64,
}

/// Charge of a load in a piece, or in all the pieces together in which nobody contends.
#[derive(Clone, Copy, Debug)]
struct Charge<T> {
    load: usize,
    /// Its place among the contended pieces; `None` for the free ones together.
    piece: Option<usize>,
    ah: T,
}

/// The variables, what they mean, and the rows that all questions share.
struct Programme<'a> {
    variables: ProblemVariables,
    loads: Vec<Loaded>,
    charge: Vec<Charge<Variable>>,
    pieces: Vec<&'a Piece>,
    free: Vec<&'a Piece>,
    /// What each load is brought.
    served: Vec<Expression>,
    /// Of each contended piece and class of phases: hours, room, what is drawn, what the loads there can take.
    lines: Vec<(f64, f64, Expression, f64)>,
}

fn loads(mixed: &Mixed<'_>) -> Vec<Loaded> {
    let mut loads = Vec::new();
    let mut push = |vehicle: usize, class, count: u32, weight| {
        let Some(own) = mixed.of.vehicles.get(vehicle).filter(|_| count > 0) else { return };
        let count = f64::from(count);
        let need_ah = own.need_ah(mixed.of.phases) * count;
        let most_a = own.usable_max_a(mixed.of.floor_a) * count;
        loads.push(Loaded { vehicle, class, need_ah, most_a, weight });
    };
    for (class, own) in mixed.classes.iter().enumerate() {
        for (vehicle, count) in &own.members {
            let three = mixed.of.vehicles.get(*vehicle).is_some_and(|own| own.phases_on(mixed.of.phases) == 3);
            match (three, class) {
                (true, 0) => push(*vehicle, None, *count, 3.0),
                (true, _) => {}
                (false, _) => push(*vehicle, Some(class), *count, own.phases.len() as f64),
            }
        }
    }
    loads
}

impl<'a> Programme<'a> {
    fn of(mixed: &Mixed<'a>, capacity_a: f64) -> Self {
        let contended = mixed.contended(capacity_a);
        let (pieces, free) = (contended.pieces, contended.free);
        let loads = loads(mixed);
        let mut variables = ProblemVariables::new();
        let mut charge = Vec::new();
        let mut lines = Vec::new();
        let mut served: Vec<Expression> = loads.iter().map(|_| Expression::default()).collect();
        for (place, piece) in pieces.iter().enumerate() {
            let mut own: Vec<(Expression, f64)> = mixed.classes.iter().map(|_| (Expression::default(), 0.0)).collect();
            for ((number, load), served) in loads.iter().enumerate().zip(&mut served) {
                if !piece.present.contains(&load.vehicle) {
                    continue;
                }
                let ah = variables.add(variable().min(0.0).max(load.most_a * piece.hours));
                charge.push(Charge { load: number, piece: Some(place), ah });
                served.add_mul(1.0, ah);
                for (class, (sum, most_a)) in own.iter_mut().enumerate() {
                    if load.class.is_none_or(|own| own == class) {
                        sum.add_mul(1.0, ah);
                        *most_a += load.most_a;
                    }
                }
            }
            lines.extend(own.into_iter().map(|(sum, most_a)| (piece.hours, piece.room_a, sum, most_a)));
        }
        for ((number, load), served) in loads.iter().enumerate().zip(&mut served) {
            let hours: f64 = free_of(&free, load).map(|piece| piece.hours).sum();
            if hours > 0.0 {
                let ah = variables.add(variable().min(0.0).max(load.most_a * hours));
                charge.push(Charge { load: number, piece: None, ah });
                served.add_mul(1.0, ah);
            }
        }
        Self { variables, loads, charge, pieces, free, served, lines }
    }

    fn whole(&self) -> Expression {
        let mut whole = Expression::default();
        for Charge { load, ah, .. } in &self.charge {
            if let Some(load) = self.loads.get(*load) {
                whole.add_mul(load.weight, *ah);
            }
        }
        whole
    }
}

/// The pieces in which a load is there and nobody contends.
fn free_of<'a>(free: &[&'a Piece], load: &Loaded) -> impl Iterator<Item = &'a Piece> {
    let vehicle = load.vehicle;
    free.iter().copied().filter(move |piece| piece.present.contains(&vehicle))
}

/// The charge that brings most, then is fairest; `None` where the solver gives up.
fn best(programme: &Programme<'_>) -> Option<Vec<Charge<f64>>> {
    let whole = programme.whole();
    let mut model = programme.variables.clone().maximise(&whole).using(microlp);
    for (sum, load) in programme.served.iter().zip(&programme.loads) {
        model = model.with(sum.clone().leq(load.need_ah));
    }
    for (hours, room_a, sum, most_a) in &programme.lines {
        if room_a < most_a {
            model = model.with(sum.clone().leq(room_a * hours));
        }
    }
    let most_ah = model.solve().ok()?.eval(&whole);
    let mut variables = programme.variables.clone();
    let share = variables.add(variable().min(0.0).max(1.0));
    let mut model = variables.minimise(share).using(microlp);
    for (sum, load) in programme.served.iter().zip(&programme.loads) {
        model = model.with(sum.clone().leq(load.need_ah));
        model = model.with((sum.clone() + share * load.need_ah).geq(load.need_ah));
    }
    for (hours, room_a, sum, most_a) in &programme.lines {
        if room_a < most_a {
            model = model.with(sum.clone().leq(room_a * hours));
        }
    }
    let solution = model.with(whole.geq(most_ah - GIVE_AH)).solve().ok()?;
    let value =
        |own: &Charge<Variable>| Charge { load: own.load, piece: own.piece, ah: solution.value(own.ah).max(0.0) };
    Some(programme.charge.iter().map(value).collect())
}

/// Adds the best that can be brought; false where the solver gives up and nothing is added.
pub(super) fn bring(mixed: &Mixed<'_>, sum: &mut Sum<'_>) -> bool {
    let programme = Programme::of(mixed, f64::INFINITY);
    let Some(charge) = best(&programme) else { return false };
    let mut served_ah = vec![0.0; programme.loads.len()];
    for Charge { load: number, piece, ah } in charge {
        let Some((load, served_ah)) = programme.loads.get(number).zip(served_ah.get_mut(number)) else { continue };
        *served_ah += ah;
        let phases = load.class.and_then(|class| mixed.classes.get(class)).map_or(&[0, 1, 2][..], |own| &own.phases);
        let pieces: Vec<&Piece> = match piece {
            Some(place) => programme.pieces.get(place).copied().into_iter().collect(),
            None => free_of(&programme.free, load).collect(),
        };
        let hours: f64 = pieces.iter().map(|piece| piece.hours).sum();
        for piece in pieces {
            phases.iter().for_each(|phase| sum.draw(piece, *phase, ah * piece.hours / hours));
        }
    }
    for (load, served_ah) in programme.loads.iter().zip(served_ah) {
        sum.serve(load.vehicle, served_ah * load.weight);
        sum.share(served_ah, load.need_ah);
    }
    true
}

/// Smallest capacity between two that serves all, the capacity a variable; `None` where none does or the solver gives up.
pub(super) fn least_a(mixed: &Mixed<'_>, lowest_a: f64, highest_a: Option<f64>) -> Option<f64> {
    let mut programme = Programme::of(mixed, lowest_a);
    let mut capacity = variable().min(lowest_a);
    if let Some(highest_a) = highest_a {
        capacity = capacity.max(highest_a);
    }
    let capacity = programme.variables.add(capacity);
    let mut model = programme.variables.minimise(capacity).using(microlp);
    for (sum, load) in programme.served.into_iter().zip(&programme.loads) {
        model = model.with(sum.geq(load.need_ah));
    }
    for (hours, room_a, sum, most_a) in programme.lines {
        if room_a < most_a {
            model = model.with(sum.clone().leq(room_a * hours));
        }
        if lowest_a < most_a {
            model = model.with((sum - capacity * hours).leq(0.0));
        }
    }
    model.solve().map(|solution| solution.value(capacity)).ok()
}

/// Charge, over the phases, that the programme brings to all; for tests beside the flow.
#[cfg(test)]
pub(super) fn most_ah(mixed: &Mixed<'_>) -> Option<f64> {
    let programme = Programme::of(mixed, f64::INFINITY);
    let weight = |own: &Charge<f64>| programme.loads.get(own.load).map_or(0.0, |load| load.weight * own.ah);
    best(&programme).map(|charge| charge.iter().map(weight).sum())
}
