//! Bounds, fills and plans against looking at every way, on small draws with a fixed seed.

use super::bound::{bound, covering, least_length};
use super::columns::relaxed;
use super::fill::{Kind, Totals};
use super::*;

/// A sequence of draws: Knuth's linear congruential generator.
struct Draws(u64);

impl Draws {
    fn up_to(&mut self, most: usize) -> usize {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) as usize % (most + 1)
    }
}

fn drums(lengths: &[usize]) -> Vec<Stock> {
    lengths.iter().map(|length| Stock { length: *length as u64, capacity: *length }).collect()
}

/// Kinds of drawn pieces, longest first.
fn kinds_of(lengths: &[usize]) -> Vec<Kind> {
    let mut counts: BTreeMap<usize, u32> = BTreeMap::new();
    for length in lengths {
        *counts.entry(*length).or_default() += 1;
    }
    counts.into_iter().rev().map(|(length, count)| Kind { length, count }).collect()
}

#[test]
fn no_bound_lies_above_the_best_plan_and_no_plan_below_it() {
    let mut draws = Draws(20);
    let (mut met, mut met_by_relaxing, mut least_of_all) = (0, 0, 0);
    for round in 0..300 {
        let stock = drums([&[25, 50, 100][..], &[10, 25, 50], &[30, 70], &[100]][round % 4]);
        let longest = stock.iter().map(|drum| drum.capacity).max().expect("stock");
        let lengths: Vec<usize> = (0..3 + draws.up_to(7)).map(|_| 1 + draws.up_to(longest - 1)).collect();
        let kinds = kinds_of(&lengths);
        let best = ordered(&shared_out(&kinds, &stock, exact::ALWAYS).expect("few pieces"));
        let low = bound(&kinds, &stock).max(covering(&stock, lengths.iter().sum::<usize>() as u64));
        let relaxed = relaxed(&kinds, &stock).expect("few kinds");
        assert!(low <= best && relaxed.bound <= best, "{lengths:?}: {low}, {} above {best}", relaxed.bound);
        let plan = tried(&kinds, &stock, low);
        assert!(ordered(&plan) >= best, "{lengths:?}");
        assert!(ordered(&rounded(&relaxed.ways, &kinds, &stock)) >= best, "{lengths:?}");
        met += u32::from(low == best);
        met_by_relaxing += u32::from(low.max(relaxed.bound) == best);
        least_of_all += u32::from(ordered(&plan) == best);
    }
    // Both find what they are for nearly always; else they would prove nothing.
    assert!(met > 200 && met_by_relaxing > 290 && least_of_all > 295, "{met}, {met_by_relaxing}, {least_of_all}");
}

#[test]
fn totals_are_those_of_every_choice() {
    let mut draws = Draws(3);
    for _ in 0..60 {
        let lengths: Vec<usize> = (0..1 + draws.up_to(6)).map(|_| 1 + draws.up_to(30)).collect();
        let capacity = 1 + draws.up_to(60);
        let mut totals = Totals::new(capacity);
        for (index, kind) in kinds_of(&lengths).into_iter().enumerate() {
            totals.add(index, kind);
        }
        let sums = (0..1_usize << lengths.len()).map(|set| {
            lengths
                .iter()
                .enumerate()
                .filter(|(piece, _)| set >> piece & 1 == 1)
                .map(|(_, length)| length)
                .sum::<usize>()
        });
        assert_eq!(totals.greatest(capacity), sums.filter(|sum| *sum <= capacity).max().expect("nothing at least"));
    }
}

#[test]
fn the_least_length_of_drums_for_a_weight() {
    // Worked by hand: drums of 25, 50 and 100 m that hold 1, 3 and 7 pieces. Nine pieces: 7 + 3 in 150, 7 + 1 + 1 too.
    assert_eq!(least_length(&[(25, 1), (50, 3), (100, 7)], 9), 150);
    assert_eq!(least_length(&[(25, 1), (50, 3), (100, 7)], 8), 125);
    assert_eq!(least_length(&[(50, 0), (100, 7)], 8), 200);
    assert_eq!(least_length(&[(100, 7)], 0), 0);
    assert_eq!(covering(&drums(&[100, 305]), 600), 600);
    assert_eq!(covering(&drums(&[100, 305]), 601), 605);
}

#[test]
fn sets_have_the_total_and_the_fewest_drums_first() {
    let stock = drums(&[25, 50, 100, 250]);
    let lengths = |set: &[Stock]| set.iter().map(|drum| drum.length).collect::<Vec<_>>();
    let sets = sets_of(&stock, 425);
    assert_eq!(lengths(&sets[0]), [250, 100, 50, 25]);
    assert!(sets.iter().all(|set| set.iter().map(|drum| drum.length).sum::<u64>() == 425));
    // Two of 50 are never better than one of 100.
    assert!(sets.iter().all(|set| set.iter().filter(|drum| drum.length == 50).count() < 2));
    assert!(sets_of(&stock, 30).is_empty());
}

#[test]
fn what_cannot_be_cut_is_made_to_length_or_left_out() {
    let plan = cut(&[900, 0, 300], &[250, 500]);
    assert_eq!((plan.ordered, plan.used, plan.bound), (1400, 1200, 1400));
    assert_eq!(plan.drums[0], Drum { stock: 900, made_to_length: true, pieces: vec![0] });
    assert_eq!(plan.drums[1], Drum { stock: 500, made_to_length: false, pieces: vec![2] });
    let nothing_in_stock = cut(&[120, 80], &[]);
    assert_eq!(nothing_in_stock.ordered, 200);
    assert_eq!(cut(&[], &[250]), Cutting::default());
    assert_eq!(cut(&[5], &[0, 250]).ordered, 250);
}
