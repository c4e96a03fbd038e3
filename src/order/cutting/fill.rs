//! Drums filled: the fullest choice of pieces for one length, a set of drums packed as a whole, and its repair. It
//! knows lengths in whole steps, no cable and no site.

/// Pieces of like length: the length, at least 1, and how many.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Kind {
    pub(super) length: usize,
    pub(super) count: u32,
}

/// Mark of a total that cannot be made.
const NOT_MADE: usize = usize::MAX;

/// Which totals from 0 to a capacity can be made of pieces; kinds are added one after another.
pub(super) struct Totals {
    /// By which kind a total was first made; the total 0 by none. One entry more than the capacity.
    made_by: Vec<usize>,
    /// Pieces of the latest kind in a total.
    latest: Vec<u32>,
}

impl Totals {
    pub(super) fn new(capacity: usize) -> Self {
        let mut made_by = vec![NOT_MADE; capacity + 1];
        if let Some(nothing) = made_by.first_mut() {
            *nothing = NOT_MADE - 1;
        }
        Self { made_by, latest: vec![0; capacity + 1] }
    }

    /// Adds pieces: each total that they make for the first time is theirs.
    pub(super) fn add(&mut self, index: usize, kind: Kind) {
        if kind.count == 0 || kind.length == 0 || kind.length >= self.made_by.len() {
            return;
        }
        self.latest.fill(0);
        // Both lists are as long as the capacity and one, and `total - length` lies before `total`.
        for total in kind.length..self.made_by.len() {
            let before = total - kind.length;
            let more = self.made_by[before] != NOT_MADE && self.latest[before] < kind.count;
            if self.made_by[total] == NOT_MADE && more {
                self.made_by[total] = index;
                self.latest[total] = self.latest[before] + 1;
            }
        }
    }

    /// The greatest total that can be made, `most` at most.
    pub(super) fn greatest(&self, most: usize) -> usize {
        let within = self.made_by.get(..=most).unwrap_or(&self.made_by);
        within.iter().rposition(|by| *by != NOT_MADE).unwrap_or(0)
    }
}

/// How much may still be looked at, in entries of tables: a plan takes a second at most, whatever it is asked for, and
/// the same one everywhere.
#[derive(Clone, Copy, Debug)]
pub(super) struct Work(pub(super) u64);

impl Work {
    /// Does a part of it; false once there is none left.
    fn spend(&mut self, entries: usize) -> bool {
        self.0 = self.0.saturating_sub(entries as u64);
        self.0 > 0
    }

    /// Whether there is none left.
    pub(super) fn is_done(&self) -> bool {
        self.0 == 0
    }
}

/// The fullest choice of pieces for one capacity, as indices of kinds with one entry a piece. Kinds stand longest
/// first, and of equally full choices the one without the shorter kinds is taken: short pieces fill later gaps. Where
/// there is no work left, the longest that fits is taken until nothing fits.
fn fullest(kinds: &[Kind], capacity: usize, work: &mut Work) -> Vec<usize> {
    if !work.spend(capacity) {
        return longest_that_fit(kinds, capacity);
    }
    let mut totals = Totals::new(capacity);
    for (index, kind) in kinds.iter().enumerate().filter(|(_, kind)| kind.count > 0 && kind.length <= capacity) {
        if !work.spend(capacity) {
            return longest_that_fit(kinds, capacity);
        }
        totals.add(index, *kind);
        if totals.made_by.last().is_some_and(|by| *by != NOT_MADE) {
            break;
        }
    }
    let mut total = totals.greatest(capacity);
    let mut chosen = Vec::new();
    // Every total that was made leads back to 0 by the pieces that made it.
    while let Some(index) = totals.made_by.get(total).copied().filter(|_| total > 0) {
        let Some(kind) = kinds.get(index) else { break };
        chosen.push(index);
        total = total.saturating_sub(kind.length);
    }
    chosen.reverse();
    chosen
}

fn longest_that_fit(kinds: &[Kind], capacity: usize) -> Vec<usize> {
    let (mut room, mut chosen) = (capacity, Vec::new());
    for (index, kind) in kinds.iter().enumerate() {
        let fit = (room / kind.length.max(1)).min(kind.count as usize);
        chosen.extend(std::iter::repeat_n(index, fit));
        room -= fit * kind.length;
    }
    chosen
}

/// Drums and what is cut from each.
#[derive(Clone, Debug)]
pub(super) struct Packing {
    /// Capacity of each drum.
    pub(super) capacities: Vec<usize>,
    /// Indices of kinds, one entry a piece, drum by drum.
    pub(super) contents: Vec<Vec<usize>>,
    /// Pieces that found no place.
    pub(super) left: Vec<Kind>,
}

impl Packing {
    /// Whether every piece has its place.
    pub(super) fn is_whole(&self) -> bool {
        self.left.iter().all(|kind| kind.count == 0)
    }
}

/// How a set of drums is filled.
#[derive(Clone, Copy, Debug)]
pub(super) struct Way {
    /// The longest drum first; else the shortest.
    pub(super) long_first: bool,
    /// Each drum takes the longest piece that fits it before it is filled up.
    pub(super) led: bool,
}

/// Ways in the order in which they are tried.
pub(super) const WAYS: [Way; 4] = [
    Way { long_first: true, led: true },
    Way { long_first: false, led: true },
    Way { long_first: true, led: false },
    Way { long_first: false, led: false },
];

fn take(kinds: &mut [Kind], chosen: &[usize]) {
    for index in chosen {
        if let Some(kind) = kinds.get_mut(*index) {
            kind.count = kind.count.saturating_sub(1);
        }
    }
}

fn give_back(kinds: &mut [Kind], chosen: &[usize]) {
    for index in chosen {
        if let Some(kind) = kinds.get_mut(*index) {
            kind.count += 1;
        }
    }
}

/// Fills one drum from what is left.
pub(super) fn fill_one(left: &mut [Kind], capacity: usize, led: bool, work: &mut Work) -> Vec<usize> {
    work.spend(left.len());
    let mut chosen = Vec::new();
    let mut room = capacity;
    if led && let Some(first) = left.iter().position(|kind| kind.count > 0 && kind.length <= capacity) {
        chosen.push(first);
        take(left, &chosen);
        room -= left.get(first).map_or(0, |kind| kind.length);
    }
    let more = fullest(left, room, work);
    take(left, &more);
    chosen.extend(more);
    chosen
}

/// Fills a set of drums in one way, as far as the work goes; what finds no place is left.
pub(super) fn pack(kinds: &[Kind], capacities: &[usize], way: Way, work: &mut Work) -> Packing {
    let mut capacities = capacities.to_vec();
    capacities.sort_unstable();
    if way.long_first {
        capacities.reverse();
    }
    let mut left = kinds.to_vec();
    let fill =
        |capacity: &usize| if work.is_done() { Vec::new() } else { fill_one(&mut left, *capacity, way.led, work) };
    let contents = capacities.iter().map(fill).collect();
    Packing { capacities, contents, left }
}

/// Refills drums two by two, with the pieces that found no place, as long as more length finds its place and there is
/// work left.
pub(super) fn repair(packing: &mut Packing, work: &mut Work) {
    let drums = packing.capacities.len();
    let mut better = true;
    while better && !packing.is_whole() {
        better = false;
        for first in 0..drums {
            for second in (0..drums).filter(|second| *second != first) {
                if work.is_done() || packing.is_whole() {
                    return;
                }
                for led in [false, true] {
                    better |= refill(packing, first, second, led, work).is_some();
                }
            }
        }
    }
}

/// Refills two drums; `None` where that finds a place for no more length.
fn refill(packing: &mut Packing, first: usize, second: usize, led: bool, work: &mut Work) -> Option<()> {
    let room = (*packing.capacities.get(first)?, *packing.capacities.get(second)?);
    let old = (packing.contents.get(first)?, packing.contents.get(second)?);
    let length = |chosen: &[usize]| {
        chosen.iter().filter_map(|index| packing.left.get(*index)).map(|kind| kind.length).sum::<usize>()
    };
    let used = length(old.0) + length(old.1);
    work.spend(1);
    if used == room.0 + room.1 {
        return None;
    }
    let mut pool = packing.left.clone();
    give_back(&mut pool, old.0);
    give_back(&mut pool, old.1);
    let new = (fill_one(&mut pool, room.0, led, work), fill_one(&mut pool, room.1, led, work));
    if length(&new.0) + length(&new.1) <= used {
        return None;
    }
    packing.left = pool;
    *packing.contents.get_mut(first)? = new.0;
    *packing.contents.get_mut(second)? = new.1;
    Some(())
}
