//! What no plan can go below: the least length of whole drums that could hold the pieces. It knows lengths in whole
//! steps, no cable and no site.
//!
//! Give every piece a weight, and let M(s) be the greatest weight that can be cut from a drum of length s. Whatever the
//! plan, the M of its drums add up to at least the weight of all pieces, so the least length of drums for which they
//! do is a bound. Any weights will do; these are tried: the length of each piece, for all pieces and for those of at
//! least a given length alone, and 1 for each of the latter (pieces that cannot share a drum).

use super::fill::{Kind, Totals};
use super::stock::Stock;

/// The least total length of whole drums that is not shorter than `total`.
pub(super) fn covering(stock: &[Stock], total: u64) -> u64 {
    let whole: Vec<(u64, u64)> = stock.iter().map(|drum| (drum.length, drum.length)).collect();
    least_length(&whole, total)
}

/// Given lengths that are tried, beside that of the shortest piece.
const LEAST_LENGTHS: usize = 100;

/// The best of the bounds, in the unit of the stock lengths.
pub(super) fn bound(kinds: &[Kind], stock: &[Stock]) -> u64 {
    let mut best = 0;
    let longest = stock.iter().map(|drum| drum.capacity).max().unwrap_or(0);
    let mut totals = Totals::new(longest);
    let (mut weight, mut pieces) = (0_u64, 0_u64);
    let every = kinds.len().div_ceil(LEAST_LENGTHS).max(1);
    for (index, kind) in kinds.iter().enumerate() {
        totals.add(index, *kind);
        weight += kind.length as u64 * u64::from(kind.count);
        pieces += u64::from(kind.count);
        if index % every != 0 && index + 1 != kinds.len() {
            continue;
        }
        let fills: Vec<(u64, u64)> =
            stock.iter().map(|drum| (drum.length, totals.greatest(drum.capacity) as u64)).collect();
        let longest_first = kinds.get(..=index).unwrap_or(kinds);
        let numbers: Vec<(u64, u64)> =
            stock.iter().map(|drum| (drum.length, most_pieces(longest_first, drum.capacity))).collect();
        best = best.max(least_length(&fills, weight)).max(least_length(&numbers, pieces));
    }
    best
}

/// The greatest number of pieces within a capacity: the shortest first.
fn most_pieces(longest_first: &[Kind], capacity: usize) -> u64 {
    let (mut room, mut pieces) = (capacity, 0);
    for kind in longest_first.iter().rev() {
        let fit = (room / kind.length.max(1)).min(kind.count as usize);
        pieces += fit as u64;
        room -= fit * kind.length;
        if fit < kind.count as usize {
            break;
        }
    }
    pieces
}

/// Entries of the longest table that is made; beyond it the bound is the plain proportion.
const LONGEST_TABLE: u64 = 4_000_000;

/// The least total length of drums, each with its length and the weight that it holds at most, that hold `weight`.
pub(super) fn least_length(drums: &[(u64, u64)], weight: u64) -> u64 {
    if weight == 0 {
        return 0;
    }
    let useful = || drums.iter().filter(|(length, holds)| *length > 0 && *holds > 0);
    let step = useful().fold(0, |step, (length, _)| gcd(step, *length));
    // As many of one kind of drum as do it alone: no more is needed.
    let Some(enough) = useful().map(|(length, holds)| weight.div_ceil(*holds) * length).min() else { return u64::MAX };
    let steps = enough / step.max(1);
    if steps > LONGEST_TABLE {
        let share =
            |(length, holds): &(u64, u64)| (u128::from(weight) * u128::from(*length)).div_ceil(u128::from(*holds));
        return useful().map(share).min().map_or(enough, |least| u64::try_from(least).unwrap_or(enough));
    }
    let mut holds = vec![0_u64; steps as usize + 1];
    for total in 1..=steps {
        let best = useful()
            .filter_map(|(length, more)| {
                let before = total.checked_sub(length / step)?;
                Some(holds.get(before as usize)? + more)
            })
            .max()
            .unwrap_or(0);
        let best = best.max(holds[total as usize - 1]); // `total` is at least 1 and within the table
        holds[total as usize] = best;
        if best >= weight {
            return total * step;
        }
    }
    enough
}

pub(super) fn gcd(a: u64, b: u64) -> u64 {
    if b == 0 { a } else { gcd(b, a % b) }
}
