//! Pieces cut from stock lengths without joints: least length ordered, then fewest drums, with the bound that no plan
//! can go below. It knows whole numbers of one unit of length, no cable and no site.
//!
//! A few pieces are shared out in every way (`exact`). For more, every total length of whole drums from the bound
//! upwards is tried, the fewest drums first: a set of that total is filled drum by drum by subset sums (`fill`) and
//! repaired by refilling drums two by two. The first total that holds everything is the plan; where it is the bound, it
//! is proven to be the least.

mod bound;
mod exact;
mod fill;
mod stock;

use bound::{bound, covering};
use fill::{Kind, Packing, WAYS, pack, repair};
use std::collections::BTreeMap;
use stock::{Stock, sets_of, step};

/// One drum or coil and what is cut from it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Drum {
    /// Length as it is bought.
    pub stock: u32,
    /// Whether it is made to the length of its one piece, which is longer than any stock length.
    pub made_to_length: bool,
    /// Pieces cut from it, in the order of cutting, as indices of the pieces given.
    pub pieces: Vec<usize>,
}

/// A plan.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Cutting {
    /// Drums: those made to length first, then the longest first.
    pub drums: Vec<Drum>,
    /// Length ordered.
    pub ordered: u64,
    /// Length of the pieces.
    pub used: u64,
    /// The least total of whole drums that covers the length of the pieces; what is made to length counts as it is.
    pub covering: u64,
    /// What no plan can go below, `covering` or more.
    pub bound: u64,
}

/// Pairs of drums that a repair may look at, for each total.
const TRIALS: u32 = 4_000;
/// Totals tried before the plain plan is taken.
const TOTALS: u64 = 60;

/// Cuts pieces from stock lengths, as many of each as needed. Lengths are whole numbers of one unit; a piece of no
/// length takes no cable and is left out. Order of the stock lengths does not matter; the order of the pieces decides
/// only which of like pieces comes from which drum.
pub fn cut(pieces: &[u32], stock: &[u32]) -> Cutting {
    let longest = stock.iter().copied().max().unwrap_or(0);
    let mut plan = Cutting::default();
    let mut by_length: BTreeMap<u32, Vec<usize>> = BTreeMap::new();
    for (index, length) in pieces.iter().enumerate().filter(|(_, length)| **length > 0) {
        plan.used += u64::from(*length);
        if *length > longest {
            plan.drums.push(Drum { stock: *length, made_to_length: true, pieces: vec![index] });
            plan.ordered += u64::from(*length);
        } else {
            by_length.entry(*length).or_default().push(index);
        }
    }
    plan.drums.sort_by_key(|drum| std::cmp::Reverse(drum.stock));
    plan.covering = plan.ordered;
    plan.bound = plan.ordered;
    // Piece lengths are counted in the greatest step that they have in common; a drum holds whole steps.
    let piece_step = by_length.keys().fold(0, |step, length| bound::gcd(step, u64::from(*length))).max(1);
    let mut lengths = stock.iter().copied().filter(|length| *length > 0).collect::<Vec<_>>();
    lengths.sort_unstable();
    lengths.dedup();
    let stock: Vec<Stock> = lengths
        .iter()
        .map(|length| Stock { length: u64::from(*length), capacity: (u64::from(*length) / piece_step) as usize })
        .collect();
    let kinds: Vec<Kind> = by_length
        .iter()
        .rev()
        .map(|(length, all)| Kind { length: (u64::from(*length) / piece_step) as usize, count: all.len() as u32 })
        .collect();
    if kinds.is_empty() {
        return plan;
    }
    let needed: u64 = by_length.iter().map(|(length, all)| u64::from(*length) * all.len() as u64).sum();
    let least = bound(&kinds, &stock).max(covering(&stock, needed));
    let found =
        shared_out(&kinds, &stock).or_else(|| tried(&kinds, &stock, least)).unwrap_or_else(|| plain(&kinds, &stock));
    plan.covering += covering(&stock, needed);
    let ordered: u64 = found.iter().map(|(drum, _)| drum.length).sum();
    plan.bound +=
        if kinds.iter().map(|kind| kind.count as usize).sum::<usize>() <= exact::MOST_PIECES { ordered } else { least };
    plan.ordered += ordered;
    plan.drums.extend(named(found, by_length));
    plan
}

/// Drums with the indices of kinds cut from each, one entry a piece.
type Found = Vec<(Stock, Vec<usize>)>;

/// The best plan where pieces are few.
fn shared_out(kinds: &[Kind], stock: &[Stock]) -> Option<Found> {
    let each: Vec<usize> = kinds
        .iter()
        .enumerate()
        .flat_map(|(index, kind)| std::iter::repeat_n(index, kind.count.min(99) as usize))
        .collect();
    let lengths: Vec<usize> = each.iter().filter_map(|index| kinds.get(*index)).map(|kind| kind.length).collect();
    let drums = exact::plan(&lengths, stock)?;
    let named = |pieces: Vec<usize>| pieces.into_iter().filter_map(|piece| each.get(piece).copied()).collect();
    Some(drums.into_iter().map(|(drum, pieces)| (drum, named(pieces))).collect())
}

/// The first total from the bound upwards, below that of the plain plan, that is found to hold everything.
fn tried(kinds: &[Kind], stock: &[Stock], least: u64) -> Option<Found> {
    let plain: u64 = plain(kinds, stock).iter().map(|(drum, _)| drum.length).sum();
    let step = step(stock);
    (0..TOTALS).map(|more| least + more * step).take_while(|total| *total < plain).find_map(|total| {
        sets_of(stock, total)
            .into_iter()
            .find_map(|set| filled(kinds, &set))
            .map(|packing| shortened(packing, kinds, stock))
    })
}

/// A set of drums filled so that nothing is left, if a way is found.
fn filled(kinds: &[Kind], set: &[Stock]) -> Option<Packing> {
    let needed: usize = kinds.iter().map(|kind| kind.length * kind.count as usize).sum();
    let capacities: Vec<usize> = set.iter().map(|drum| drum.capacity).collect();
    if capacities.iter().sum::<usize>() < needed {
        return None;
    }
    let mut trials = TRIALS;
    WAYS.into_iter().find_map(|way| {
        let mut packing = pack(kinds, &capacities, way);
        if !packing.is_whole() {
            repair(&mut packing, &mut trials);
        }
        packing.is_whole().then_some(packing)
    })
}

/// Each drum as short as its pieces allow; empty ones are left out.
fn shortened(packing: Packing, kinds: &[Kind], stock: &[Stock]) -> Found {
    let shortest = |pieces: &[usize]| {
        let needed: usize = pieces.iter().filter_map(|index| kinds.get(*index)).map(|kind| kind.length).sum();
        stock.iter().filter(|drum| drum.capacity >= needed).min_by_key(|drum| drum.length).copied()
    };
    let drums = packing.contents.into_iter().filter(|pieces| !pieces.is_empty());
    drums.filter_map(|pieces| Some((shortest(&pieces)?, pieces))).collect()
}

/// A plan that always exists: the longest drums, one after another, the last as short as it may be.
fn plain(kinds: &[Kind], stock: &[Stock]) -> Found {
    let Some(longest) = stock.iter().max_by_key(|drum| drum.length) else { return Vec::new() };
    let needed: usize = kinds.iter().map(|kind| kind.length * kind.count as usize).sum();
    let mut count = needed.div_ceil(longest.capacity.max(1)).max(1);
    loop {
        let packing = pack(kinds, &vec![longest.capacity; count], WAYS[0]); // there are four ways
        if packing.is_whole() {
            return shortened(packing, kinds, stock);
        }
        // Every drum takes at least one piece, so as many drums as pieces are always enough.
        let left: usize = packing.left.iter().map(|kind| kind.length * kind.count as usize).sum();
        count += left.div_ceil(longest.capacity.max(1)).max(1);
    }
}

/// The same with the pieces themselves: of like pieces the first from the first drum. Within a drum the longest is cut
/// first.
fn named(found: Found, by_length: BTreeMap<u32, Vec<usize>>) -> Vec<Drum> {
    let mut found = found;
    for (_, pieces) in &mut found {
        pieces.sort_unstable();
    }
    found.sort_by(|(a, pieces), (b, others)| b.length.cmp(&a.length).then_with(|| pieces.cmp(others)));
    let mut queues: Vec<_> = by_length.into_values().rev().map(Vec::into_iter).collect();
    let drum = |(drum, kinds): (Stock, Vec<usize>)| Drum {
        stock: u32::try_from(drum.length).unwrap_or(u32::MAX), // it came from a u32
        made_to_length: false,
        pieces: kinds.into_iter().filter_map(|kind| queues.get_mut(kind)?.next()).collect(),
    };
    found.into_iter().map(drum).collect()
}
