//! One phase over time, or several that are alike: what it brings to whom, and the least capacity that serves all.

use super::flow::{Network, ampere_hours, units};
use super::time::Piece;

/// Vehicles of one kind on one phase, together.
#[derive(Clone, Copy, Debug)]
pub(super) struct Load {
    /// Charge that they need, ampere-hours.
    pub(super) need_ah: f64,
    /// Current that they take at most, amperes.
    pub(super) most_a: f64,
}

/// A stretch of time on the phase.
#[derive(Clone, Debug)]
struct Slot {
    hours: f64,
    room_a: f64,
    /// Places in the list of loads.
    present: Vec<usize>,
}

/// A phase with its loads.
#[derive(Debug)]
pub(super) struct Lane {
    loads: Vec<Load>,
    slots: Vec<Slot>,
    network: Network,
    /// Of each slot the loads present with the numbers of their ways.
    ways: Vec<Vec<usize>>,
    /// What rounding may leave, in units.
    slack: i64,
}

/// What a lane brings.
#[derive(Debug)]
pub(super) struct Brought {
    /// Ampere-hours to each load.
    pub(super) served_ah: Vec<f64>,
    /// Ampere-hours in each slot, load by load in the order of `present`.
    pub(super) by_slot_ah: Vec<Vec<f64>>,
}

/// Ampere-hours that count as none, beside what rounding leaves: a hundredth of a watt-hour and less.
const NOUGHT_AH: f64 = 1e-6;

impl Lane {
    /// A lane of some loads over some pieces. `place` says which load a vehicle of the pieces is; what has none is not
    /// of the lane.
    pub(super) fn new<'a>(
        loads: Vec<Load>,
        pieces: impl Iterator<Item = &'a Piece>,
        place: impl Fn(usize) -> Option<usize>,
    ) -> Self {
        let slots: Vec<Slot> = pieces
            .map(|piece| Slot {
                hours: piece.hours,
                room_a: piece.room_a,
                present: piece.present.iter().filter_map(|vehicle| place(*vehicle)).collect(),
            })
            .collect();
        let mut network = Network::new(loads.len(), slots.len());
        let mut count = 0;
        let mut ways = Vec::with_capacity(slots.len());
        for (number, slot) in slots.iter().enumerate() {
            count += slot.present.len();
            // `present` holds places in `loads`.
            let join = |load: &usize| network.join(*load, number, units(loads[*load].most_a * slot.hours));
            ways.push(slot.present.iter().map(join).collect());
        }
        let slack = units(NOUGHT_AH) + (count + slots.len()) as i64;
        Self { loads, slots, network, ways, slack }
    }

    /// Current that the loads of a set which are there at a time can take, at most what the room is.
    fn useful_a(&self, slot: &Slot, within: impl Fn(usize) -> bool) -> f64 {
        let present_a: f64 = slot
            .present
            .iter()
            .filter(|load| within(**load))
            .filter_map(|load| self.loads.get(*load))
            .map(|l| l.most_a)
            .sum();
        present_a.min(slot.room_a)
    }

    /// Sets what each slot holds, no slot more than `capacity_a`.
    fn hold(&mut self, capacity_a: f64) {
        for number in 0..self.slots.len() {
            // `number` counts the slots.
            let slot = &self.slots[number];
            let held_a = self.useful_a(slot, |_| true).min(capacity_a);
            self.network.set_room(number, units(held_a * slot.hours));
        }
    }

    /// Solves for these needs; `None` where all are met, else which loads stand on the short side of the least cut.
    fn short_of(&mut self, needs_ah: impl Iterator<Item = f64>) -> Option<Vec<bool>> {
        let mut asked = 0;
        for (load, need_ah) in needs_ah.enumerate() {
            let need = units(need_ah);
            asked += need;
            self.network.set_need(load, need);
        }
        let flow = self.network.solve();
        (flow + self.slack < asked).then(|| (0..self.loads.len()).map(|load| self.network.short(load)).collect())
    }

    /// Most charge in all; of the ways to bring it the one whose shares are fairest: the largest share that any load goes
    /// short is as small as it can be, then the next largest, and so on. That is one way only.
    ///
    /// What a set of loads can be brought together is a rank (a cut), so the loads that hold each other short most are
    /// found by Newton steps on the share, set aside with it, and the rest looked at again. No share is bought with
    /// energy: whatever the sets can be brought together is brought.
    pub(super) fn bring(&mut self) -> Brought {
        self.hold(f64::INFINITY);
        let needs_ah: Vec<f64> = self.loads.iter().map(|load| load.need_ah).collect();
        let mut settled: Vec<Option<f64>> = vec![None; needs_ah.len()];
        loop {
            let (mut share, mut tight) = (1.0, None);
            let wanted = |share: f64, settled: &[Option<f64>]| -> Vec<f64> {
                needs_ah.iter().zip(settled).map(|(need_ah, settled)| settled.unwrap_or(share * need_ah)).collect()
            };
            while let Some(short) = self.short_of(wanted(share, &settled).into_iter()) {
                let cut_ah: f64 = self
                    .slots
                    .iter()
                    .map(|slot| slot.hours * self.useful_a(slot, |l| short.get(l) == Some(&true)))
                    .sum();
                let (mut settled_ah, mut open_ah) = (0.0, 0.0);
                for ((need_ah, settled), _) in needs_ah.iter().zip(&settled).zip(&short).filter(|(_, short)| **short) {
                    match settled {
                        Some(ah) => settled_ah += ah,
                        None => open_ah += need_ah,
                    }
                }
                let lower: f64 = if open_ah > 0.0 { ((cut_ah - settled_ah) / open_ah).max(0.0) } else { share };
                if lower >= share {
                    break;
                }
                (share, tight) = (lower, Some(short));
            }
            let Some(tight) = tight else {
                for (settled, need_ah) in settled.iter_mut().zip(&needs_ah) {
                    settled.get_or_insert(*need_ah);
                }
                break;
            };
            for ((settled, need_ah), _) in settled.iter_mut().zip(&needs_ah).zip(&tight).filter(|(_, tight)| **tight) {
                settled.get_or_insert(share * need_ah);
            }
            if settled.iter().all(Option::is_some) {
                break;
            }
        }
        self.short_of(settled.iter().flatten().copied());
        self.brought()
    }

    /// Some way of bringing most with every slot held to a capacity, and, where it does not serve all, the loads on the
    /// short side of the least cut. All others have what they need, from slots that the short ones leave to them.
    pub(super) fn split(&mut self, capacity_a: f64) -> (Brought, Option<Vec<bool>>) {
        self.hold(capacity_a);
        let needs_ah: Vec<f64> = self.loads.iter().map(|load| load.need_ah).collect();
        let short = self.short_of(needs_ah.into_iter());
        (self.brought(), short)
    }

    /// What the last flow brings.
    fn brought(&self) -> Brought {
        let carried = |ways: &Vec<usize>| ways.iter().map(|way| ampere_hours(self.network.carried(*way))).collect();
        Brought {
            served_ah: (0..self.loads.len()).map(|load| ampere_hours(self.network.served(load))).collect(),
            by_slot_ah: self.ways.iter().map(carried).collect(),
        }
    }

    /// Smallest capacity, amperes, to which every slot may be held with all served; at least `from_a`. `None` where the
    /// rooms themselves do not serve all.
    ///
    /// Newton steps: a least cut that is short gives the capacity at which it would not be, exactly; the next capacity
    /// is that one. Each step goes up and leaves its cut behind for good.
    pub(super) fn least_a(&mut self, from_a: f64) -> Option<f64> {
        let mut least_a = from_a;
        // Each load by itself and all together are cuts: a good place to begin.
        for load in 0..self.loads.len() {
            least_a = least_a.max(self.cut_met_at_a(|other| other == load)?);
        }
        least_a = least_a.max(self.cut_met_at_a(|_| true)?);
        loop {
            self.hold(least_a);
            let needs_ah: Vec<f64> = self.loads.iter().map(|load| load.need_ah).collect();
            let Some(short) = self.short_of(needs_ah.into_iter()) else { return Some(least_a) };
            let next_a = self.cut_met_at_a(|load| short.get(load) == Some(&true))?;
            if next_a <= least_a * (1.0 + 1e-12) {
                return Some(least_a);
            }
            least_a = next_a;
        }
    }

    /// Capacity at which a set of loads can be brought what it needs, as far as the set alone goes.
    fn cut_met_at_a(&self, within: impl Fn(usize) -> bool + Copy) -> Option<f64> {
        let need_ah: f64 =
            self.loads.iter().enumerate().filter(|(load, _)| within(*load)).map(|(_, load)| load.need_ah).sum();
        let mut useful: Vec<(f64, f64)> =
            self.slots.iter().map(|slot| (self.useful_a(slot, within), slot.hours)).filter(|(a, _)| *a > 0.0).collect();
        useful.sort_by(|one, other| one.0.total_cmp(&other.0));
        let mut hours: f64 = useful.iter().map(|(_, hours)| hours).sum();
        let mut full_ah = 0.0;
        let mut last_a = 0.0;
        for (useful_a, own_hours) in useful {
            if full_ah + useful_a * hours >= need_ah {
                return Some((need_ah - full_ah) / hours);
            }
            full_ah += useful_a * own_hours;
            hours -= own_hours;
            last_a = useful_a;
        }
        (full_ah + ampere_hours(self.slack) >= need_ah).then_some(last_a)
    }
}
