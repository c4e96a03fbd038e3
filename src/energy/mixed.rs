//! Both kinds of vehicle on phases that carry different numbers of them.
//!
//! A phase that carried of every kind the most that any phase does, the fullest, is a flow. Whoever it serves needs
//! nothing that the others could use: on the short side of its least cut stand the vehicles that contend, and in the
//! pieces where those together cannot take the whole capacity they take all they can. So the vehicles on the short side
//! are solved as if they were alone, and apart where no contended piece joins them; what is then left of both kinds on
//! phases that differ is a linear programme (`programme`).

use super::delivered::{Class, InLane, Of, Sum, Way};
use super::programme;
use super::time::{Piece, parts};

/// Vehicles of both kinds.
#[derive(Debug)]
pub(super) struct Mixed<'a> {
    pub(super) of: Of<'a>,
    pub(super) slots: Vec<&'a Piece>,
    /// All phases; the vehicles are the same for all, in the same order.
    pub(super) classes: Vec<Class>,
}

/// The pieces of some vehicles in which they contend for a capacity, and the others.
#[derive(Debug, Default)]
pub(super) struct Contended<'a> {
    pub(super) pieces: Vec<&'a Piece>,
    pub(super) free: Vec<&'a Piece>,
}

impl<'a> Mixed<'a> {
    /// The vehicles with the most of each that stand on any phase.
    fn most(&self) -> Vec<(usize, u32)> {
        let mut classes = self.classes.iter().map(|class| &class.members);
        let mut most = classes.next().cloned().unwrap_or_default();
        for members in classes {
            for ((_, most), (_, count)) in most.iter_mut().zip(members) {
                *most = (*most).max(*count);
            }
        }
        most
    }

    /// The fullest phase.
    fn fullest(&self) -> InLane<'a> {
        self.of.lane(self.most(), self.slots.clone())
    }

    /// Where all its vehicles together can take more than a capacity.
    pub(super) fn contended(&self, capacity_a: f64) -> Contended<'a> {
        let most = self.most();
        let mut found = Contended::default();
        for piece in &self.slots {
            let takes_a: f64 = most
                .iter()
                .filter(|(vehicle, _)| piece.present.contains(vehicle))
                .filter_map(|(vehicle, count)| Some((self.of.vehicles.get(*vehicle)?, count)))
                .map(|(own, count)| own.usable_max_a(self.of.floor_a) * f64::from(*count))
                .sum();
            let list = if takes_a > piece.room_a.min(capacity_a) { &mut found.pieces } else { &mut found.free };
            list.push(piece);
        }
        found
    }

    /// The same for some of its vehicles.
    fn only(&self, vehicles: &[usize]) -> Mixed<'a> {
        let slots = self.slots.iter().filter(|piece| piece.present.iter().any(|own| vehicles.contains(own)));
        let class = |own: &Class| Class {
            phases: own.phases.clone(),
            members: own.members.iter().filter(|(own, _)| vehicles.contains(own)).copied().collect(),
        };
        Mixed { of: self.of, slots: slots.copied().collect(), classes: self.classes.iter().map(class).collect() }
    }

    /// The vehicles on the short side of the fullest phase's cut, by those that contended pieces join. `None` where that
    /// is all of them together.
    fn apart(&self, on: &InLane<'_>, short: &[bool], capacity_a: f64) -> Option<Vec<Way<'a>>> {
        let members = on.members.iter().zip(short).filter(|(_, short)| **short).map(|((vehicle, _), _)| *vehicle);
        let members: Vec<usize> = members.collect();
        let contended = self.only(&members).contended(capacity_a).pieces;
        let place = |vehicle: &usize| members.iter().position(|member| member == vehicle);
        let joined: Vec<Piece> = contended
            .iter()
            .map(|piece| Piece { present: piece.present.iter().filter_map(place).collect(), ..(*piece).clone() })
            .collect();
        let mut groups: Vec<Vec<usize>> = parts(members.len(), &joined)
            .iter()
            .map(|part| part.vehicles.iter().filter_map(|place| members.get(*place)).copied().collect())
            .collect();
        let alone = members.iter().filter(|own| !groups.iter().flatten().any(|other| other == *own));
        let alone: Vec<Vec<usize>> = alone.map(|own| vec![*own]).collect();
        groups.extend(alone);
        if groups.len() == 1 && groups.iter().all(|group| group.len() == on.members.len()) {
            return None;
        }
        Some(groups.iter().map(|group| self.of.way(group, self.only(group).slots)).collect())
    }
}

/// Adds the best that can be brought.
pub(super) fn bring(mixed: &Mixed<'_>, sum: &mut Sum<'_>) {
    let phases = [0, 1, 2];
    let of_it = |vehicle: usize, phase: usize| -> Option<f64> {
        let counts = mixed.of.spread.get(vehicle)?;
        let most = counts.iter().copied().max().unwrap_or(0).max(1);
        Some(f64::from(*counts.get(phase)?) / f64::from(most))
    };
    let mut fullest = mixed.fullest();
    let (brought, short) = fullest.lane.split(f64::INFINITY);
    let Some(short) = short else {
        sum.add(&phases, &fullest, &brought, of_it);
        return;
    };
    if let Some(ways) = mixed.apart(&fullest, &short, f64::INFINITY) {
        let is_short = |vehicle| fullest.members.iter().zip(&short).any(|((own, _), short)| *own == vehicle && *short);
        sum.add(
            &phases,
            &fullest,
            &brought,
            |vehicle, phase| {
                if is_short(vehicle) { None } else { of_it(vehicle, phase) }
            },
        );
        ways.into_iter().for_each(|way| way.bring(sum));
        return;
    }
    if !programme::bring(mixed, sum) {
        // The solver has given up. What the fullest phase is brought can be brought to all: less than the most, never
        // more than the supply carries.
        let brought = fullest.lane.bring();
        sum.add(&phases, &fullest, &brought, of_it);
    }
}

/// Smallest capacity that serves all, at least `from_a`.
///
/// Each phase by itself gives a bound from below. Whoever the fullest phase serves at that bound it serves at any higher
/// capacity too, and is done with; the others are solved by themselves.
pub(super) fn least_a(mixed: &Mixed<'_>, from_a: f64) -> Option<f64> {
    let lowest_a = mixed.classes.iter().try_fold(from_a, |least_a, class| {
        mixed.of.lane(class.members.clone(), mixed.slots.clone()).lane.least_a(least_a)
    })?;
    let mut fullest = mixed.fullest();
    let (_, short) = fullest.lane.split(lowest_a);
    let Some(short) = short else { return Some(lowest_a) };
    if let Some(ways) = mixed.apart(&fullest, &short, lowest_a) {
        return ways.into_iter().try_fold(lowest_a, |least_a, way| way.least_a(least_a));
    }
    let highest_a = fullest.lane.least_a(lowest_a);
    // Where the solver gives up, the bound from above serves all.
    programme::least_a(mixed, lowest_a, highest_a).or(highest_a)
}
