//! The linear relaxation of the cutting: how often each way of cutting a drum would be used if it could be used in
//! parts. Ways are made as they are needed, by a knapsack over the prices that the relaxation puts on the pieces
//! (column generation). It gives a bound that sees which pieces go together, and a plan to begin from.
//!
//! The relaxation is reckoned in floating point; the bound is not: prices are cut down to whole numbers and weighed as
//! in `bound`, where any weights give a bound.

use super::bound::least_length;
use super::fill::Kind;
use super::stock::Stock;

/// Most kinds of pieces for which it is done.
const MOST_KINDS: usize = 160;
/// Steps of knapsack work in all; a whole relaxation of the greatest size stays well under a second.
const WORK: usize = 150_000_000;
/// Whole parts of a unit of price.
const PARTS: f64 = 1024.0;
/// What counts as nothing in floating point, of prices and amounts.
const NOTHING: f64 = 1e-7;

/// One way of cutting a drum and how often it is used.
#[derive(Clone, Debug)]
pub(super) struct Way {
    /// The drum; `None` stands for pieces cut beyond those needed.
    pub(super) drum: Option<Stock>,
    /// Pieces of each kind.
    pub(super) pieces: Vec<f64>,
    /// Times.
    pub(super) times: f64,
}

/// What the relaxation gives.
pub(super) struct Relaxed {
    /// Ways in use.
    pub(super) ways: Vec<Way>,
    /// No plan orders less than this.
    pub(super) bound: u64,
}

/// The relaxation, or as much of it as its share of work allows; `None` where there are too many kinds or a piece fits
/// no drum.
pub(super) fn relaxed(kinds: &[Kind], stock: &[Stock]) -> Option<Relaxed> {
    let longest = stock.iter().map(|drum| drum.capacity).max()?;
    if kinds.is_empty() || kinds.len() > MOST_KINDS || kinds.iter().any(|kind| kind.length > longest) {
        return None;
    }
    let mut basis = Basis::begin(kinds, stock)?;
    let one_knapsack: usize =
        kinds.iter().map(|kind| longest * (longest / kind.length.max(1)).min(kind.count as usize).max(1)).sum();
    for _ in 0..(WORK / one_knapsack.max(1)).clamp(1, 1000) {
        let prices = basis.prices();
        let Some(way) = entering(&prices, kinds, stock, longest) else { break };
        if !basis.enter(way) {
            break;
        }
    }
    let weights: Vec<u64> = basis.prices().iter().map(|price| (price.max(0.0) * PARTS) as u64).collect();
    let best = Knapsack::of(kinds, longest, &weights);
    let holds: Vec<(u64, u64)> = stock.iter().map(|drum| (drum.length, best.value(drum.capacity))).collect();
    let all = kinds.iter().zip(&weights).map(|(kind, weight)| u64::from(kind.count) * weight).sum();
    Some(Relaxed { ways: basis.ways, bound: least_length(&holds, all) })
}

/// A way that would make the relaxation cheaper at these prices, the best one.
fn entering(prices: &[f64], kinds: &[Kind], stock: &[Stock], longest: usize) -> Option<Way> {
    if let Some(beyond) = prices.iter().position(|price| *price < -NOTHING) {
        // A price below nothing: more pieces of the kind may be cut than are needed.
        let pieces = (0..kinds.len()).map(|kind| if kind == beyond { -1.0 } else { 0.0 }).collect();
        return Some(Way { drum: None, pieces, times: 0.0 });
    }
    let worth: Vec<f64> = prices.iter().map(|price| price.max(0.0)).collect();
    let best = Knapsack::of(kinds, longest, &worth);
    let gain = |drum: &Stock| best.value(drum.capacity) - drum.length as f64;
    let drum = stock.iter().max_by(|a, b| gain(a).total_cmp(&gain(b)))?;
    if gain(drum) <= NOTHING * drum.length as f64 {
        return None;
    }
    Some(Way { drum: Some(*drum), pieces: best.pieces(kinds, drum.capacity), times: 0.0 })
}

/// The best choice of pieces for every capacity.
struct Knapsack<V> {
    value: Vec<V>,
    /// Pieces of each kind in the best choice of the kinds up to it, by capacity.
    taken: Vec<Vec<u32>>,
}

impl<V: Copy + PartialOrd + Default + std::ops::Add<Output = V>> Knapsack<V> {
    fn of(kinds: &[Kind], capacity: usize, worth: &[V]) -> Self {
        let mut value = vec![V::default(); capacity + 1];
        let mut taken = Vec::with_capacity(kinds.len());
        for (kind, worth) in kinds.iter().zip(worth) {
            let mut taken_here = vec![0_u32; capacity + 1];
            if *worth > V::default() {
                // Capacities from the top down: what stands below is still without this kind.
                for total in (kind.length..=capacity).rev() {
                    let (mut sum, mut room) = (V::default(), total);
                    for count in 1..=kind.count {
                        let Some(less) = room.checked_sub(kind.length) else { break };
                        room = less;
                        sum = sum + *worth;
                        let with = value[room] + sum; // `room` and `total` are capacities of the list
                        if with > value[total] {
                            value[total] = with;
                            taken_here[total] = count;
                        }
                    }
                }
            }
            taken.push(taken_here);
        }
        Self { value, taken }
    }

    fn value(&self, capacity: usize) -> V {
        self.value.get(capacity).copied().unwrap_or_default()
    }

    fn pieces(&self, kinds: &[Kind], capacity: usize) -> Vec<f64> {
        let mut room = capacity;
        let mut pieces: Vec<f64> = kinds
            .iter()
            .zip(&self.taken)
            .rev()
            .map(|(kind, taken)| {
                let count = taken.get(room).copied().unwrap_or(0);
                room = room.saturating_sub(count as usize * kind.length);
                f64::from(count)
            })
            .collect();
        pieces.reverse();
        pieces
    }
}

/// As many ways as there are kinds, that cut exactly the pieces needed, and the inverse of their table.
struct Basis {
    ways: Vec<Way>,
    inverse: Vec<Vec<f64>>,
}

impl Basis {
    /// Each kind by itself, from the drum that wastes least by it.
    fn begin(kinds: &[Kind], stock: &[Stock]) -> Option<Self> {
        let mut basis = Self { ways: Vec::new(), inverse: Vec::new() };
        for (index, kind) in kinds.iter().enumerate() {
            let fit = |drum: &Stock| (drum.capacity / kind.length.max(1)).min(kind.count as usize) as f64;
            let drums = stock.iter().filter(|drum| fit(drum) > 0.0);
            let cost = |drum: &Stock| drum.length as f64 / fit(drum);
            let drum = drums.min_by(|a, b| cost(a).total_cmp(&cost(b)))?;
            let row = |value: f64| (0..kinds.len()).map(|other| if other == index { value } else { 0.0 }).collect();
            basis.inverse.push(row(1.0 / fit(drum)));
            basis.ways.push(Way {
                drum: Some(*drum),
                pieces: row(fit(drum)),
                times: f64::from(kind.count) / fit(drum),
            });
        }
        Some(basis)
    }

    /// What a piece of each kind costs.
    fn prices(&self) -> Vec<f64> {
        let mut prices = vec![0.0; self.ways.len()];
        for (way, row) in self.ways.iter().zip(&self.inverse) {
            let length = way.drum.map_or(0.0, |drum| drum.length as f64);
            for (price, entry) in prices.iter_mut().zip(row) {
                *price += length * entry;
            }
        }
        prices
    }

    /// Takes a way in for the one that it uses up first; false where none is.
    fn enter(&mut self, way: Way) -> bool {
        let uses: Vec<f64> =
            self.inverse.iter().map(|row| row.iter().zip(&way.pieces).map(|(a, b)| a * b).sum()).collect();
        let ratio = |(place, used): (usize, &f64)| {
            let times = self.ways.get(place)?.times;
            (*used > NOTHING).then_some((place, times.max(0.0) / used))
        };
        let Some((leaving, times)) = uses.iter().enumerate().filter_map(ratio).min_by(|a, b| a.1.total_cmp(&b.1))
        else {
            return false;
        };
        let (Some(pivot), Some(row)) = (uses.get(leaving), self.inverse.get(leaving)) else { return false };
        let row: Vec<f64> = row.iter().map(|entry| entry / pivot).collect();
        for (place, used) in uses.iter().enumerate() {
            if place == leaving {
                continue;
            }
            if let (Some(other), Some(entries)) = (self.ways.get_mut(place), self.inverse.get_mut(place)) {
                other.times = (other.times - used * times).max(0.0);
                entries.iter_mut().zip(&row).for_each(|(entry, by)| *entry -= used * by);
            }
        }
        if let (Some(place), Some(entries)) = (self.ways.get_mut(leaving), self.inverse.get_mut(leaving)) {
            *place = Way { times, ..way };
            *entries = row;
        }
        true
    }
}
