//! The most energy that vehicles can be brought under a limit, who goes short, and the load that it makes.

use super::lane::{Brought, Lane, Load};
use super::mixed::{self, Mixed};
use super::time::{Part, Piece, parts, pieces};
use super::{HALF_HOUR_H, NOUGHT_KWH, Supply, Turns, Vehicles, spread};
use crate::quantity::U0_V;

/// What vehicles are brought.
#[derive(Clone, Debug, PartialEq)]
pub struct Delivered {
    /// Energy that they are brought together, kilowatt-hours: the most that any schedule brings.
    pub energy_kwh: f64,
    /// Energy that each of the list goes short, all its vehicles together, kilowatt-hours. Nought where it is served.
    pub unserved_kwh: Vec<f64>,
    /// The largest share of its need that any vehicle goes short, 0 to 1, where alike vehicles of one phase share
    /// alike.
    pub largest_share_short: f64,
    /// Mean current of charging by half-hour and phase, amperes: one schedule that brings it. It holds every limit.
    pub load_a: Vec<[f64; 3]>,
}

impl Delivered {
    /// Whether every vehicle has what it needs.
    pub fn serves_all(&self) -> bool {
        self.unserved_kwh.iter().all(|kwh| *kwh <= 0.0)
    }

    /// Energy that is missing in all, kilowatt-hours.
    pub fn short_kwh(&self) -> f64 {
        self.unserved_kwh.iter().sum()
    }
}

/// The most energy that `vehicles` can be brought from `supply`, no phase above `limit_a` amperes (infinity: the room
/// alone).
///
/// Where not all are served: energy in all comes first. Then the largest share that alike vehicles on one phase go short
/// is as small as it can be with that energy, and within one phase then the next largest, and so on, which leaves one
/// answer. With both kinds of vehicle on phases that differ only the largest share is made small, and what is open
/// beyond is settled by the order of the list.
pub fn delivered<const HALF_HOURS: usize>(
    vehicles: &[Vehicles],
    supply: &Supply<HALF_HOURS>,
    limit_a: f64,
) -> Delivered {
    let turns = turns_of(vehicles, supply);
    let pieces = pieces(vehicles, supply, |room_a| turns.usable_a(under(room_a, limit_a)));
    let spread = spread(vehicles, supply);
    let mut sum = Sum {
        vehicles,
        lines: supply.phases,
        served_kwh: vec![0.0; vehicles.len()],
        short: 0.0,
        load_a: vec![[0.0; 3]; HALF_HOURS],
    };
    let of = Of { vehicles, phases: supply.phases, floor_a: supply.floor_a, spread: &spread, pieces: &pieces };
    for part in parts(vehicles.len(), &pieces) {
        of.part(&part).bring(&mut sum);
    }
    let mut unserved_kwh = Vec::with_capacity(vehicles.len());
    for (own, served_kwh) in vehicles.iter().zip(&sum.served_kwh) {
        let need_kwh = if own.wants() { f64::from(own.count) * own.need_kwh } else { 0.0 };
        let short_kwh = need_kwh - served_kwh;
        let counts = short_kwh > NOUGHT_KWH + need_kwh * 1e-9;
        if counts && *served_kwh <= 0.0 {
            sum.short = 1.0;
        }
        unserved_kwh.push(if counts { short_kwh } else { 0.0 });
    }
    let short = unserved_kwh.iter().any(|kwh| *kwh > 0.0);
    Delivered {
        energy_kwh: sum.served_kwh.iter().sum(),
        unserved_kwh,
        largest_share_short: if short { sum.short } else { 0.0 },
        load_a: sum.load_a,
    }
}

/// The smaller of room and limit; a limit that is no number leaves nothing.
pub(super) fn under(room_a: f64, limit_a: f64) -> f64 {
    if limit_a.is_nan() { 0.0 } else { room_a.min(limit_a) }
}

/// How vehicles fill a capacity of the supply.
pub(super) fn turns_of<const HALF_HOURS: usize>(vehicles: &[Vehicles], supply: &Supply<HALF_HOURS>) -> Turns {
    let wanting = vehicles.iter().filter(|vehicles| vehicles.wants());
    Turns::of(supply.floor_a, wanting.map(|vehicles| vehicles.usable_max_a(supply.floor_a)))
}

/// What is known of all vehicles.
#[derive(Clone, Copy, Debug)]
pub(super) struct Of<'a> {
    pub(super) vehicles: &'a [Vehicles],
    pub(super) phases: u8,
    pub(super) floor_a: f64,
    pub(super) spread: &'a [[u32; 3]],
    pub(super) pieces: &'a [Piece],
}

/// One part, by what it takes to solve it.
#[derive(Debug)]
pub(super) enum Way<'a> {
    /// Phases that carry different vehicles, each by itself: the phases that a lane stands for, and the lane.
    Apart(Vec<(Vec<usize>, InLane<'a>)>),
    /// Both kinds on phases that are not alike.
    Together(Mixed<'a>),
}

/// Phases that carry the same numbers of the same vehicles.
#[derive(Clone, Debug)]
pub(super) struct Class {
    pub(super) phases: Vec<usize>,
    /// Vehicles, by their places in the list, and how many of each stand on each of the phases.
    pub(super) members: Vec<(usize, u32)>,
}

/// A lane and whose loads it carries.
#[derive(Debug)]
pub(super) struct InLane<'a> {
    pub(super) lane: Lane,
    /// Vehicles of the loads, in the order of the list, with how many of each stand on the phase.
    pub(super) members: Vec<(usize, u32)>,
    slots: Vec<&'a Piece>,
}

impl<'a> Of<'a> {
    /// How a part is solved.
    pub(super) fn part(&self, part: &Part) -> Way<'a> {
        self.way(&part.vehicles, part.pieces.iter().filter_map(|number| self.pieces.get(*number)).collect())
    }

    /// How some vehicles are solved over some pieces, as if no others were there.
    pub(super) fn way(&self, vehicles: &[usize], slots: Vec<&'a Piece>) -> Way<'a> {
        let lines = if self.phases == 3 { 3 } else { 1 };
        let mut classes: Vec<Class> = Vec::new();
        for phase in 0..lines {
            let on = |vehicle: &usize| Some((*vehicle, *self.spread.get(*vehicle)?.get(phase)?));
            let members: Vec<(usize, u32)> = vehicles.iter().filter_map(on).collect();
            match classes.iter_mut().find(|class| class.members == members) {
                Some(class) => class.phases.push(phase),
                None => classes.push(Class { phases: vec![phase], members }),
            }
        }
        let three = |vehicle: &usize| self.vehicles.get(*vehicle).is_some_and(|v| v.phases_on(self.phases) == 3);
        if lines == 3 && classes.len() > 1 && vehicles.iter().any(three) {
            return Way::Together(Mixed { of: *self, slots, classes });
        }
        let lane = |class: Class| (class.phases, self.lane(class.members, slots.clone()));
        Way::Apart(classes.into_iter().map(lane).collect())
    }

    /// The lane of so many of some vehicles over some pieces.
    pub(super) fn lane(&self, members: Vec<(usize, u32)>, slots: Vec<&'a Piece>) -> InLane<'a> {
        let members: Vec<(usize, u32)> = members.into_iter().filter(|(_, count)| *count > 0).collect();
        let load = |(vehicle, count): &(usize, u32)| {
            let own = self.vehicles.get(*vehicle)?;
            Some(Load {
                need_ah: f64::from(*count) * own.need_ah(self.phases),
                most_a: f64::from(*count) * own.usable_max_a(self.floor_a),
            })
        };
        let loads = members.iter().filter_map(load).collect();
        let place = |vehicle: usize| members.iter().position(|(member, _)| *member == vehicle);
        let lane = Lane::new(loads, slots.iter().copied(), place);
        InLane { lane, members, slots }
    }
}

impl Way<'_> {
    /// Adds the best that can be brought.
    pub(super) fn bring(self, sum: &mut Sum<'_>) {
        match self {
            Way::Apart(lanes) => {
                for (phases, mut on) in lanes {
                    let brought = on.lane.bring();
                    sum.add(&phases, &on, &brought, |_, _| Some(1.0));
                }
            }
            Way::Together(mixed) => mixed::bring(&mixed, sum),
        }
    }

    /// Smallest capacity that serves all, at least `from_a`.
    pub(super) fn least_a(self, from_a: f64) -> Option<f64> {
        match self {
            Way::Apart(mut lanes) => lanes.iter_mut().try_fold(from_a, |least_a, (_, on)| on.lane.least_a(least_a)),
            Way::Together(mixed) => mixed::least_a(&mixed, from_a),
        }
    }
}

/// What has been brought so far.
#[derive(Debug)]
pub(super) struct Sum<'a> {
    pub(super) vehicles: &'a [Vehicles],
    pub(super) lines: u8,
    pub(super) served_kwh: Vec<f64>,
    pub(super) short: f64,
    pub(super) load_a: Vec<[f64; 3]>,
}

impl Sum<'_> {
    /// Adds what a lane brought, on each of the phases it stands for; `of_it` says how much of a vehicle's charge in the
    /// lane is drawn on a phase, `None` for vehicles that are not to be added.
    pub(super) fn add(
        &mut self,
        phases: &[usize],
        on: &InLane<'_>,
        brought: &Brought,
        of_it: impl Fn(usize, usize) -> Option<f64>,
    ) {
        for ((vehicle, count), served_ah) in on.members.iter().zip(&brought.served_ah) {
            let shares: Vec<f64> = phases.iter().filter_map(|phase| of_it(*vehicle, *phase)).collect();
            if shares.is_empty() {
                continue;
            }
            let need_ah = self.vehicles.get(*vehicle).map_or(0.0, |own| own.need_ah(self.lines) * f64::from(*count));
            self.serve(*vehicle, shares.iter().map(|share| served_ah * share).sum());
            self.share(*served_ah, need_ah);
        }
        for (piece, by_load_ah) in on.slots.iter().zip(&brought.by_slot_ah) {
            let mut members = piece.present.iter().filter(|vehicle| on.members.iter().any(|(own, _)| own == *vehicle));
            for ah in by_load_ah {
                let Some(vehicle) = members.next() else { break };
                for phase in phases {
                    if let Some(share) = of_it(*vehicle, *phase) {
                        self.draw(piece, *phase, ah * share);
                    }
                }
            }
        }
    }

    /// Charge that a vehicle of the list is brought, over the phases it draws on.
    pub(super) fn serve(&mut self, vehicle: usize, ah: f64) {
        if let Some(kwh) = self.served_kwh.get_mut(vehicle) {
            *kwh += ah * U0_V / 1000.0;
        }
    }

    /// Takes note of the share that goes short.
    pub(super) fn share(&mut self, served_ah: f64, need_ah: f64) {
        if need_ah > 0.0 {
            self.short = self.short.max(1.0 - served_ah / need_ah);
        }
    }

    /// Charge that is drawn on a phase in a piece of time, evenly over it.
    pub(super) fn draw(&mut self, piece: &Piece, phase: usize, ah: f64) {
        for (half_hour, hours) in &piece.within {
            if let Some(load_a) = self.load_a.get_mut(*half_hour).and_then(|load_a| load_a.get_mut(phase)) {
                *load_a += ah * hours / piece.hours / HALF_HOUR_H;
            }
        }
    }
}
