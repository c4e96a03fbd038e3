//! Both kinds of vehicle on phases that carry different numbers of them: a linear programme, where the flows of single
//! phases do not settle it.

use super::delivered::{InLane, Of, Sum};
use super::time::Piece;
use good_lp::{Expression, ProblemVariables, Solution, SolverModel, Variable, microlp, variable};

/// Ampere-hours by which the most charge may be missed while shares are made fair: what the solver's rounding needs.
const GIVE_AH: f64 = 1e-6;

/// A part of both kinds.
#[derive(Debug)]
pub(super) struct Mixed<'a> {
    pub(super) of: Of<'a>,
    pub(super) slots: Vec<&'a Piece>,
    /// Phases that are alike, with the vehicles on each.
    pub(super) classes: Vec<(Vec<usize>, Vec<(usize, u32)>)>,
}

/// A kind of vehicle on a class of phases, or on all.
#[derive(Debug)]
pub(super) struct Loaded {
    vehicle: usize,
    /// Its class, `None` for three-phase vehicles.
    class: Option<usize>,
    need_ah: f64,
    most_a: f64,
    /// Phases that its charge is drawn on.
    pub(super) weight: f64,
}

impl<'a> Mixed<'a> {
    /// The lane of a phase that carries of every kind the most that any phase does: what serves it serves all.
    fn fullest(&self) -> InLane<'a> {
        let mut members: Vec<(usize, u32)> = Vec::new();
        for (_, own) in &self.classes {
            if members.is_empty() {
                members.clone_from(own);
            }
            for ((_, most), (_, count)) in members.iter_mut().zip(own) {
                *most = (*most).max(*count);
            }
        }
        self.of.lane(members, self.slots.clone())
    }

    fn count(&self, class: usize, vehicle: usize) -> u32 {
        let members = self.classes.get(class).map(|(_, members)| members.as_slice()).unwrap_or_default();
        members.iter().find(|(member, _)| *member == vehicle).map_or(0, |(_, count)| *count)
    }

    pub(super) fn loads(&self) -> Vec<Loaded> {
        let mut loads = Vec::new();
        let vehicles = self.classes.first().map(|(_, members)| members.as_slice()).unwrap_or_default();
        for (vehicle, _) in vehicles {
            let Some(own) = self.of.vehicles.get(*vehicle) else { continue };
            let (need_ah, most_a) = (own.need_ah(self.of.phases), own.usable_max_a(self.of.floor_a));
            let mut push = |class, count: u32, weight| {
                if count > 0 {
                    let count = f64::from(count);
                    loads.push(Loaded {
                        vehicle: *vehicle,
                        class,
                        need_ah: need_ah * count,
                        most_a: most_a * count,
                        weight,
                    });
                }
            };
            if own.phases_on(self.of.phases) == 3 {
                push(None, own.count, 3.0);
                continue;
            }
            for (class, (phases, _)) in self.classes.iter().enumerate() {
                push(Some(class), self.count(class, *vehicle), phases.len() as f64);
            }
        }
        loads
    }
}

/// The variables of a programme: charge of each load in each piece where it is plugged in.
struct Programme<'a> {
    variables: ProblemVariables,
    loads: Vec<Loaded>,
    slots: &'a [&'a Piece],
    /// Of each piece: load and its charge there.
    charge: Vec<Vec<(usize, Variable)>>,
    classes: usize,
}

impl<'a> Programme<'a> {
    fn of(mixed: &'a Mixed<'a>) -> Self {
        let mut variables = ProblemVariables::new();
        let loads = mixed.loads();
        let mut charge = Vec::with_capacity(mixed.slots.len());
        for piece in &mixed.slots {
            let mut own = Vec::new();
            for (number, load) in loads.iter().enumerate() {
                if piece.present.contains(&load.vehicle) {
                    own.push((number, variables.add(variable().min(0.0).max(load.most_a * piece.hours))));
                }
            }
            charge.push(own);
        }
        Self { variables, loads, slots: &mixed.slots, charge, classes: mixed.classes.len() }
    }

    /// What each load is brought, as sums of its pieces.
    fn served(&self) -> Vec<Expression> {
        let mut served: Vec<Expression> = self.loads.iter().map(|_| Expression::default()).collect();
        for (number, charge) in self.charge.iter().flatten() {
            if let Some(sum) = served.get_mut(*number) {
                sum.add_mul(1.0, *charge);
            }
        }
        served
    }

    fn whole(&self) -> Expression {
        let mut whole = Expression::default();
        for (number, charge) in self.charge.iter().flatten() {
            if let Some(load) = self.loads.get(*number) {
                whole.add_mul(load.weight, *charge);
            }
        }
        whole
    }

    /// Charge on each class of phases in each piece: hours, room, sum, and what the loads there take at most.
    fn lines(&self) -> Vec<(f64, f64, Expression, f64)> {
        let mut lines = Vec::new();
        for (piece, own) in self.slots.iter().zip(&self.charge) {
            for class in 0..self.classes {
                let (mut sum, mut most_a) = (Expression::default(), 0.0);
                for (number, charge) in own {
                    let Some(load) = self.loads.get(*number) else { continue };
                    if load.class.is_none_or(|own| own == class) {
                        sum.add_mul(1.0, *charge);
                        most_a += load.most_a;
                    }
                }
                lines.push((piece.hours, piece.room_a, sum, most_a));
            }
        }
        lines
    }
}

/// The charge of each load in each piece that brings most, then is fairest; `None` where the solver gives up.
pub(super) fn best(mixed: &Mixed<'_>) -> Option<Vec<Vec<(usize, f64)>>> {
    let programme = Programme::of(mixed);
    let (served, whole, lines) = (programme.served(), programme.whole(), programme.lines());
    let mut model = programme.variables.clone().maximise(&whole).using(microlp);
    for (sum, load) in served.iter().zip(&programme.loads) {
        model = model.with(sum.clone().leq(load.need_ah));
    }
    for (hours, room_a, sum, most_a) in &lines {
        if room_a < most_a {
            model = model.with(sum.clone().leq(room_a * hours));
        }
    }
    let most_ah = model.solve().ok()?.eval(&whole);
    let mut variables = programme.variables;
    let share = variables.add(variable().min(0.0).max(1.0));
    let mut model = variables.minimise(share).using(microlp);
    for (sum, load) in served.into_iter().zip(&programme.loads) {
        model = model.with(sum.clone().leq(load.need_ah));
        model = model.with((sum + share * load.need_ah).geq(load.need_ah));
    }
    for (hours, room_a, sum, most_a) in lines {
        if room_a < most_a {
            model = model.with(sum.leq(room_a * hours));
        }
    }
    let solution = model.with(whole.geq(most_ah - GIVE_AH)).solve().ok()?;
    let value = |own: &Vec<(usize, Variable)>| {
        own.iter().map(|(number, charge)| (*number, solution.value(*charge).max(0.0))).collect()
    };
    Some(programme.charge.iter().map(value).collect())
}

/// Adds the best that a part can be brought.
pub(super) fn bring(mixed: &Mixed<'_>, sum: &mut Sum<'_>) {
    let mut fullest = mixed.fullest();
    let of_it = |vehicle: usize, phase: usize| -> f64 {
        let counts = mixed.of.spread.get(vehicle).copied().unwrap_or_default();
        let most = counts.iter().copied().max().unwrap_or(0).max(1);
        f64::from(counts.get(phase).copied().unwrap_or(0)) / f64::from(most)
    };
    if let Some(brought) = fullest.lane.bring_all() {
        sum.add(&[0, 1, 2], &fullest, &brought, of_it);
        return;
    }
    let Some(charge) = best(mixed) else {
        // The solver has given up. What the fullest phase is brought can be brought to all: less than the most, never
        // more than the supply carries.
        let brought = fullest.lane.bring();
        sum.add(&[0, 1, 2], &fullest, &brought, of_it);
        return;
    };
    let loads = mixed.loads();
    let mut served_ah = vec![0.0; loads.len()];
    for (piece, own) in mixed.slots.iter().zip(&charge) {
        for (number, ah) in own {
            let (Some(load), Some(served_ah)) = (loads.get(*number), served_ah.get_mut(*number)) else { continue };
            *served_ah += ah;
            let phases: &[usize] = match load.class.and_then(|class| mixed.classes.get(class)) {
                Some((phases, _)) => phases,
                None => &[0, 1, 2],
            };
            for phase in phases {
                sum.draw(piece, *phase, *ah);
            }
        }
    }
    for (load, served_ah) in loads.iter().zip(served_ah) {
        sum.serve(load.vehicle, served_ah * load.weight);
        sum.share(served_ah, load.need_ah);
    }
}

/// Smallest capacity that serves all of a part, at least `from_a`.
///
/// Each phase by itself gives a bound from below, the fullest phase one from above; the programme, with the capacity
/// as a variable, settles what lies between.
pub(super) fn least_a(mixed: &Mixed<'_>, from_a: f64) -> Option<f64> {
    let lowest_a = mixed.classes.iter().try_fold(from_a, |least_a, (_, members)| {
        mixed.of.lane(members.clone(), mixed.slots.clone()).lane.least_a(least_a)
    })?;
    let highest_a = mixed.fullest().lane.least_a(from_a);
    if let Some(highest_a) = highest_a
        && highest_a <= lowest_a + 1e-9
    {
        return Some(highest_a);
    }
    let mut programme = Programme::of(mixed);
    let mut capacity = variable().min(lowest_a);
    if let Some(highest_a) = highest_a {
        capacity = capacity.max(highest_a);
    }
    let capacity = programme.variables.add(capacity);
    let (served, lines) = (programme.served(), programme.lines());
    let mut model = programme.variables.minimise(capacity).using(microlp);
    for (sum, load) in served.into_iter().zip(&programme.loads) {
        model = model.with(sum.geq(load.need_ah));
    }
    for (hours, room_a, sum, most_a) in lines {
        if room_a < most_a {
            model = model.with(sum.clone().leq(room_a * hours));
        }
        if lowest_a < most_a {
            model = model.with((sum - capacity * hours).leq(0.0));
        }
    }
    // Where the solver gives up, the bound from above serves all.
    model.solve().map(|solution| solution.value(capacity)).ok().or(highest_a)
}
