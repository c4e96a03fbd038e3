//! The best plan for a few pieces, by looking at every way of sharing them out. It knows lengths in whole steps.

use super::stock::Stock;

/// Pieces up to which every way is looked at: there are 3 to the power of one less, a hundredth of a second.
pub(super) const ALWAYS: usize = 14;
/// And up to which where nothing else proves a plan to be the least: a tenth of a second.
pub(super) const IN_DOUBT: usize = 16;

/// The least length and then the fewest drums for these pieces: for each drum its length and the pieces cut from it.
/// `None` when there are too many pieces or one fits no drum.
///
/// With best(P) the best for a set of pieces P, p its first piece and the minimum over every part D of P that holds p
/// and fits a drum: best(P) = min( shortest drum that holds D + best(P without D) ).
pub(super) fn plan(lengths: &[usize], stock: &[Stock]) -> Option<Vec<(Stock, Vec<usize>)>> {
    if lengths.len() > IN_DOUBT {
        return None;
    }
    let mut sorted = stock.to_vec();
    sorted.sort_by_key(|drum| (drum.length, drum.capacity));
    let sets = 1_usize << lengths.len();
    // Every set below is a number below `sets`, and each list has that many entries.
    let mut drum_for: Vec<Option<Stock>> = Vec::with_capacity(sets);
    for set in 0..sets {
        let needed: usize =
            lengths.iter().enumerate().filter(|(piece, _)| set >> piece & 1 == 1).map(|(_, length)| length).sum();
        drum_for.push(sorted.iter().find(|drum| drum.capacity >= needed).copied());
    }
    let mut best: Vec<Option<(u64, u32)>> = vec![None; sets];
    let mut last = vec![0_usize; sets];
    best[0] = Some((0, 0)); // there is always the empty set
    for set in 1..sets {
        let first = set & set.wrapping_neg();
        let others = set ^ first;
        let mut part = others;
        loop {
            let cut = part | first;
            if let (Some(drum), Some((length, drums))) = (drum_for[cut], best[set ^ cut]) {
                let found = (length + drum.length, drums + 1);
                if best[set].is_none_or(|known| found < known) {
                    best[set] = Some(found);
                    last[set] = cut;
                }
            }
            if part == 0 {
                break;
            }
            part = (part - 1) & others;
        }
    }
    let mut set = sets - 1;
    best[set]?;
    let mut drums = Vec::new();
    while set > 0 {
        let cut = last[set];
        let pieces = (0..lengths.len()).filter(|piece| cut >> piece & 1 == 1).collect();
        drums.push((drum_for[cut]?, pieces));
        set ^= cut;
    }
    Some(drums)
}

/// Pieces that are bought by themselves in the cheapest plan, by their places, where each may be for its cost; a drum
/// costs its length in thousandths. Empty where there are too many pieces or one fits no drum.
///
/// As in [`plan`], with one more way for the first piece of a set: best(P) = min( that, cost(p) + best(P without p) ).
pub(super) fn bought(lengths: &[u64], stock: &[u32], costs: &[Option<u64>]) -> Vec<usize> {
    if lengths.len() > ALWAYS {
        return Vec::new();
    }
    let mut sorted = stock.to_vec();
    sorted.sort_unstable();
    let sets = 1_usize << lengths.len();
    // Every set below is a number below `sets`, and each list has that many entries.
    let drum_for: Vec<Option<u64>> = (0..sets)
        .map(|set| {
            let needed: u64 =
                lengths.iter().enumerate().filter(|(piece, _)| set >> piece & 1 == 1).map(|(_, length)| length).sum();
            sorted.iter().map(|drum| u64::from(*drum)).find(|drum| *drum >= needed)
        })
        .collect();
    let mut best: Vec<Option<u64>> = vec![None; sets];
    let mut last = vec![(0_usize, false); sets];
    best[0] = Some(0); // there is always the empty set
    for set in 1..sets {
        let first = set & set.wrapping_neg();
        let others = set ^ first;
        let mut part = others;
        loop {
            let cut = part | first;
            if let (Some(drum), Some(rest)) = (drum_for[cut], best[set ^ cut]) {
                let found = drum * super::either::UNIT + rest;
                if best[set].is_none_or(|known| found < known) {
                    best[set] = Some(found);
                    last[set] = (cut, false);
                }
            }
            if part == 0 {
                break;
            }
            part = (part - 1) & others;
        }
        let alone = costs.get(first.trailing_zeros() as usize).copied().flatten();
        if let (Some(alone), Some(rest)) = (alone, best[others])
            && best[set].is_none_or(|known| alone + rest < known)
        {
            best[set] = Some(alone + rest);
            last[set] = (first, true);
        }
    }
    let (mut set, mut bought) = (sets - 1, Vec::new());
    while set > 0 && best[set].is_some() {
        let (cut, alone) = last[set];
        if alone {
            bought.push(cut.trailing_zeros() as usize);
        }
        set ^= cut;
    }
    bought
}
