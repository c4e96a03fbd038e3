//! Pieces cut from stock lengths without joints: least length ordered, then fewest drums, with the bound that no plan
//! can go below. It knows whole numbers of one unit of length, no cable and no site.
//!
//! A few pieces are shared out in every way (`exact`). For more, every total length of whole drums from the bound
//! upwards is tried, the fewest drums first (`stock`): a set of that total is filled drum by drum by subset sums and
//! repaired by refilling drums two by two (`fill`). The first total that holds everything is the plan; where it is the
//! bound (`bound`), it is proven to be the least. Where it is not, the linear relaxation (`columns`) gives a sharper
//! bound and a second plan, and the better one is taken. All work is counted, never timed: the same plan everywhere.

mod bound;
mod columns;
mod either;
mod exact;
mod fill;
mod stock;
#[cfg(test)]
mod tests;

use bound::{bound, covering};
use columns::{Way, relaxed};
pub(super) use either::UNIT;
pub use either::{Either, cut_or_buy};
use fill::{Kind, Packing, WAYS, Work, fill_one, pack, repair};
use std::collections::BTreeMap;
use stock::{LOOKED_AT, Stock, sets_of, step};

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

/// Entries of tables that one plan may look at: a few tenths of a second.
const WORK: u64 = 150_000_000;
/// Of these, for one set of drums.
const WORK_A_SET: u64 = 15_000_000;

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
    plan.covering += covering(&stock, needed);
    let (found, least) = found(&kinds, &stock, covering(&stock, needed));
    plan.bound += least;
    plan.ordered += ordered(&found);
    plan.drums.extend(named(found, by_length));
    plan
}

/// Whole lengths that together cover `total`, pieces of them being joined: the least that does, then the fewest of
/// them; each length with its count, the longest first.
pub(super) fn cover(total: u64, lengths: &[u32]) -> Vec<(u32, u32)> {
    let mut sorted: Vec<u32> = lengths.iter().copied().filter(|length| *length > 0).collect();
    sorted.sort_unstable_by_key(|length| std::cmp::Reverse(*length));
    sorted.dedup();
    let (Some(shortest), true) = (sorted.last(), total > 0) else { return Vec::new() };
    let alone = vec![(*shortest, u32::try_from(total.div_ceil(u64::from(*shortest))).unwrap_or(u32::MAX))];
    if sorted.len() == 1 {
        return alone;
    }
    let stock: Vec<Stock> =
        sorted.iter().map(|length| Stock { length: u64::from(*length), capacity: *length as usize }).collect();
    let sets = sets_of(&stock, covering(&stock, total));
    // Where no set was found within the work allowed, one length alone covers it too.
    let Some(set) = sets.first() else { return alone };
    let count = |length: &u32| set.iter().filter(|drum| drum.length == u64::from(*length)).count() as u32;
    sorted.iter().map(|length| (*length, count(length))).filter(|(_, count)| *count > 0).collect()
}

/// Drums with the indices of kinds cut from each, one entry a piece.
type Found = Vec<(Stock, Vec<usize>)>;

fn ordered(found: &Found) -> u64 {
    found.iter().map(|(drum, _)| drum.length).sum()
}

/// The best plan found, and what no plan can go below.
fn found(kinds: &[Kind], stock: &[Stock], covering: u64) -> (Found, u64) {
    if let Some(best) = shared_out(kinds, stock, exact::ALWAYS) {
        let least = ordered(&best);
        return (best, least);
    }
    let mut least = bound(kinds, stock).max(covering);
    let mut best = tried(kinds, stock, least);
    if ordered(&best) > least
        && let Some(relaxed) = relaxed(kinds, stock)
    {
        least = least.max(relaxed.bound);
        if ordered(&best) > least {
            let other = rounded(&relaxed.ways, kinds, stock);
            if (ordered(&other), other.len()) < (ordered(&best), best.len()) {
                best = other;
            }
        }
    }
    if ordered(&best) > least
        && let Some(proven) = shared_out(kinds, stock, exact::IN_DOUBT)
    {
        least = ordered(&proven);
        best = proven;
    }
    (best, least)
}

/// The plan of a relaxation: each way as often as it is used whole, then what is left by itself.
fn rounded(ways: &[Way], kinds: &[Kind], stock: &[Stock]) -> Found {
    let mut left = kinds.to_vec();
    let mut found = Found::new();
    for way in ways {
        let Some(drum) = way.drum else { continue };
        for _ in 0..way.times as u64 {
            let mut pieces = Vec::new();
            for (index, (kind, count)) in left.iter_mut().zip(&way.pieces).enumerate() {
                let count = (*count as u32).min(kind.count);
                kind.count -= count;
                pieces.extend(std::iter::repeat_n(index, count as usize));
            }
            if !pieces.is_empty() {
                found.push((drum, pieces));
            }
        }
    }
    let needed: u64 = left.iter().map(|kind| kind.length as u64 * u64::from(kind.count)).sum();
    if needed > 0 {
        let rest = shared_out(&left, stock, exact::ALWAYS).unwrap_or_else(|| tried(&left, stock, bound(&left, stock)));
        found.extend(rest);
    }
    joined(found, stock)
}

/// Drums that together are as long as a longer one become that one.
fn joined(found: Found, stock: &[Stock]) -> Found {
    let mut by_length: BTreeMap<u64, Vec<Vec<usize>>> = BTreeMap::new();
    for (drum, pieces) in found {
        by_length.entry(drum.length).or_default().push(pieces);
    }
    let mut joined = Found::new();
    for (index, drum) in stock.iter().enumerate() {
        let mut here = by_length.remove(&drum.length).unwrap_or_default();
        let longer = stock.iter().skip(index + 1).find(|longer| longer.length % drum.length.max(1) == 0);
        if let Some(longer) = longer {
            let several = (longer.length / drum.length.max(1)).max(2) as usize;
            while here.len() >= several {
                let together = here.split_off(here.len() - several).concat();
                by_length.entry(longer.length).or_default().push(together);
            }
        }
        joined.extend(here.into_iter().map(|pieces| (*drum, pieces)));
    }
    joined
}

/// The best plan where there are no more than `most` pieces.
fn shared_out(kinds: &[Kind], stock: &[Stock], most: usize) -> Option<Found> {
    if kinds.iter().map(|kind| kind.count as usize).sum::<usize>() > most {
        return None;
    }
    let like = |(index, kind): (usize, &Kind)| std::iter::repeat_n(index, kind.count as usize);
    let each: Vec<usize> = kinds.iter().enumerate().flat_map(like).collect();
    let lengths: Vec<usize> = each.iter().filter_map(|index| kinds.get(*index)).map(|kind| kind.length).collect();
    let drums = exact::plan(&lengths, stock)?;
    let named = |pieces: Vec<usize>| pieces.into_iter().filter_map(|piece| each.get(piece).copied()).collect();
    Some(drums.into_iter().map(|(drum, pieces)| (drum, named(pieces))).collect())
}

/// The first total from the bound upwards that is found to hold everything; the plain plan where none below it does.
fn tried(kinds: &[Kind], stock: &[Stock], least: u64) -> Found {
    let plain = plain(kinds, stock);
    let mut work = WORK;
    let mut total = least;
    while total < ordered(&plain) && work > 0 {
        for set in sets_of(stock, total) {
            let mut here = Work(work.min(WORK_A_SET));
            let packing = filled(kinds, &set, &mut here);
            work = work.saturating_sub(work.min(WORK_A_SET) - here.0).saturating_sub(1);
            if let Some(packing) = packing {
                return shortened(packing, kinds, stock);
            }
        }
        work = work.saturating_sub(LOOKED_AT as u64);
        total += step(stock);
    }
    plain
}

/// A set of drums filled so that nothing is left, if a way is found.
fn filled(kinds: &[Kind], set: &[Stock], work: &mut Work) -> Option<Packing> {
    let needed: usize = kinds.iter().map(|kind| kind.length * kind.count as usize).sum();
    let capacities: Vec<usize> = set.iter().map(|drum| drum.capacity).collect();
    if capacities.iter().sum::<usize>() < needed {
        return None;
    }
    WAYS.into_iter().find_map(|way| {
        let mut packing = pack(kinds, &capacities, way, work);
        if !packing.is_whole() {
            repair(&mut packing, work);
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

/// A plan that always exists: the longest drums one after another, each as short in the end as it may be.
fn plain(kinds: &[Kind], stock: &[Stock]) -> Found {
    let Some(longest) = stock.iter().max_by_key(|drum| drum.length) else { return Vec::new() };
    let mut work = Work(WORK);
    let mut left = kinds.to_vec();
    let (mut capacities, mut contents) = (Vec::new(), Vec::new());
    // Every piece fits the longest drum, so each round takes at least one.
    while left.iter().any(|kind| kind.count > 0) {
        let pieces = fill_one(&mut left, longest.capacity, true, &mut work);
        if pieces.is_empty() {
            break;
        }
        capacities.push(longest.capacity);
        contents.push(pieces);
    }
    shortened(Packing { capacities, contents, left }, kinds, stock)
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
