//! Stock lengths, and sets of drums of a given total length. It knows no piece.

use super::bound::gcd;

/// A length in stock.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Stock {
    /// Length as it is bought, in the caller's unit.
    pub(super) length: u64,
    /// Whole steps of piece length that it holds.
    pub(super) capacity: usize,
}

/// The step of which every total of drums is a multiple.
pub(super) fn step(stock: &[Stock]) -> u64 {
    stock.iter().fold(0, |step, drum| gcd(step, drum.length)).max(1)
}

/// Sets looked at for one total, and those handed on.
pub(super) const LOOKED_AT: usize = 4_000;
const HANDED_ON: usize = 8;

/// Sets of drums whose lengths add up to `total`, the fewest drums first. A set is left out where some of its drums
/// could be one longer drum: that holds whatever they hold.
pub(super) fn sets_of(stock: &[Stock], total: u64) -> Vec<Vec<Stock>> {
    let mut sorted = stock.to_vec();
    sorted.sort_by_key(|drum| std::cmp::Reverse(drum.length));
    let mut found = Vec::new();
    let mut looked_at = 0;
    extend(&sorted, 0, total, &mut Vec::new(), &mut found, &mut looked_at);
    found.sort_by_key(|counts: &Vec<u64>| counts.iter().sum::<u64>());
    found.truncate(HANDED_ON);
    let drums = |counts: Vec<u64>| {
        let each = sorted.iter().zip(counts).map(|(drum, count)| std::iter::repeat_n(*drum, count as usize));
        each.flatten().collect()
    };
    found.into_iter().map(drums).collect()
}

/// Most drums of one length that a set may hold before they are replaced by a longer one.
fn most_of(longest_first: &[Stock], index: usize) -> u64 {
    let Some(own) = longest_first.get(index) else { return 0 };
    let longer = longest_first.iter().take(index).filter(|drum| drum.length > own.length);
    let several =
        longer.filter(|drum| drum.length % own.length.max(1) == 0).map(|drum| drum.length / own.length.max(1));
    several.min().map_or(u64::MAX, |several| several.saturating_sub(1))
}

fn extend(
    stock: &[Stock],
    index: usize,
    total: u64,
    counts: &mut Vec<u64>,
    found: &mut Vec<Vec<u64>>,
    looked_at: &mut usize,
) {
    *looked_at += 1;
    let Some(drum) = stock.get(index) else {
        if total == 0 {
            found.push(counts.clone());
        }
        return;
    };
    // What the shorter lengths can add at most.
    let rest = (index + 1..stock.len()).fold(0_u64, |sum, later| {
        let each = stock.get(later).map_or(0, |drum| drum.length);
        sum.saturating_add(most_of(stock, later).saturating_mul(each))
    });
    let mut count = (total / drum.length.max(1)).min(most_of(stock, index));
    loop {
        let remaining = total - count * drum.length;
        if remaining > rest || *looked_at > LOOKED_AT {
            return;
        }
        counts.push(count);
        extend(stock, index + 1, remaining, counts, found, looked_at);
        counts.pop();
        if count == 0 {
            return;
        }
        count -= 1;
    }
}
