//! Pieces from drums or bought cut to length, whichever costs less. Costs are in thousandths of a unit of length of the
//! cable, so that a drum costs its length. It knows no price.
//!
//! A few pieces are parted in every way. For more, it begins with all pieces on drums and takes from each drum what is
//! dearer there than cut to length: all of it, or what lets the rest come from a shorter drum; the rest is cut anew for
//! as long as that is cheaper. Every piece cut to length is tried too, and the cheapest is taken.

use super::{Cutting, cut, exact};

/// Cost of a unit of length.
pub(crate) const UNIT: u64 = 1000;
/// Times that the rest is cut anew.
const ROUNDS: usize = 8;

/// A plan with some pieces bought cut to length.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Either {
    /// The drums and what is cut from them; pieces are indices of those given.
    pub plan: Cutting,
    /// Pieces bought cut to length, in the order given.
    pub alone: Vec<usize>,
    /// What it costs in all, thousandths of a unit of length.
    pub cost: u64,
}

/// As [`cut`], where each piece may also be bought by itself for its `alone` (`None`: it may not). The drums that remain
/// are cut as they would be if there were no other pieces; their bound is theirs alone.
pub fn cut_or_buy(pieces: &[u32], stock: &[u32], alone: &[Option<u64>]) -> Either {
    let longest = stock.iter().copied().max().unwrap_or(0);
    let offered = |index: usize| {
        let length = pieces.get(index).copied().unwrap_or(0);
        let cost = alone.get(index).copied().flatten()?;
        (length > 0 && length <= longest).then_some(cost)
    };
    let all = with(pieces, stock, &offered, |_| false);
    let from_drums: Vec<usize> = (0..pieces.len()).filter(|index| (1..=longest).contains(&pieces[*index])).collect();
    if from_drums.iter().all(|index| offered(*index).is_none()) {
        return all;
    }
    if from_drums.len() <= exact::ALWAYS {
        let lengths: Vec<u64> =
            from_drums.iter().filter_map(|index| pieces.get(*index)).map(|l| u64::from(*l)).collect();
        let costs: Vec<Option<u64>> = from_drums.iter().map(|index| offered(*index)).collect();
        let bought = exact::bought(&lengths, stock, &costs);
        let bought: Vec<usize> = bought.into_iter().filter_map(|place| from_drums.get(place).copied()).collect();
        return with(pieces, stock, &offered, |index| bought.contains(&index));
    }
    let every = with(pieces, stock, &offered, |index| offered(index).is_some());
    let mut best = all;
    for _ in 0..ROUNDS {
        let mut bought = vec![false; pieces.len()];
        best.alone.iter().for_each(|index| bought[*index] = true); // an index of `pieces`
        for drum in best.plan.drums.iter().filter(|drum| !drum.made_to_length) {
            for index in dearer(pieces, stock, &offered, drum.stock, &drum.pieces) {
                bought[index] = true; // an index of `pieces`
            }
        }
        let next = with(pieces, stock, &offered, |index| bought[index]);
        if next.cost >= best.cost {
            break;
        }
        best = next;
    }
    if every.cost < best.cost { every } else { best }
}

/// The plan where just these are bought cut to length.
fn with(
    pieces: &[u32],
    stock: &[u32],
    offered: &impl Fn(usize) -> Option<u64>,
    bought: impl Fn(usize) -> bool,
) -> Either {
    let alone: Vec<usize> = (0..pieces.len()).filter(|index| bought(*index)).collect();
    // A piece of no length takes no cable: the others keep their indices.
    let rest: Vec<u32> =
        pieces.iter().enumerate().map(|(index, length)| if bought(index) { 0 } else { *length }).collect();
    let plan = cut(&rest, stock);
    let cost = alone.iter().filter_map(|index| offered(*index)).sum::<u64>() + plan.ordered * UNIT;
    Either { plan, alone, cost }
}

/// Pieces of one drum that are better bought cut to length; none where the drum is better kept whole.
fn dearer(
    pieces: &[u32],
    stock: &[u32],
    offered: &impl Fn(usize) -> Option<u64>,
    length: u32,
    on_it: &[usize],
) -> Vec<usize> {
    let mut best: (u64, Vec<usize>) = (u64::from(length) * UNIT, Vec::new());
    for shorter in stock.iter().copied().filter(|other| *other < length).chain([0]) {
        // The dearest to buy alone stay, as far as they fit.
        let mut by_cost: Vec<(usize, Option<u64>)> = on_it.iter().map(|index| (*index, offered(*index))).collect();
        by_cost.sort_by_key(|(index, cost)| (std::cmp::Reverse(cost.unwrap_or(u64::MAX)), *index));
        let (mut room, mut cost, mut bought) = (shorter, u64::from(shorter) * UNIT, Vec::new());
        let mut possible = true;
        for (index, alone) in by_cost {
            let needed = pieces.get(index).copied().unwrap_or(0);
            match (room.checked_sub(needed), alone) {
                (Some(left), _) => room = left,
                (None, Some(alone)) => {
                    cost = cost.saturating_add(alone);
                    bought.push(index);
                }
                (None, None) => possible = false,
            }
        }
        if possible && cost < best.0 {
            best = (cost, bought);
        }
    }
    best.1
}
