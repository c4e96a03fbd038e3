//! Cutting against every way of cutting, and what must hold for any pieces.

use super::splitmix::Splitmix;
use baywright::order::{Cutting, cut, cut_or_buy};

fn draw(draws: &mut Splitmix, least: u32, most: u32) -> u32 {
    least + (draws.next() % u64::from(most - least + 1)) as u32
}

/// Every way: each piece goes on a drum already begun or begins one of every length. Least length, then fewest drums.
fn every_way(pieces: &[u32], stock: &[u32], drums: &mut Vec<(u32, u32)>, best: &mut (u64, usize)) {
    let so_far = (drums.iter().map(|(length, _)| u64::from(*length)).sum(), drums.len());
    if so_far >= *best {
        return;
    }
    let Some((piece, others)) = pieces.split_first() else {
        *best = so_far;
        return;
    };
    for drum in 0..drums.len() {
        if drums[drum].1 >= *piece {
            drums[drum].1 -= piece;
            every_way(others, stock, drums, best);
            drums[drum].1 += piece;
        }
    }
    for length in stock.iter().filter(|length| **length >= *piece) {
        drums.push((*length, length - piece));
        every_way(others, stock, drums, best);
        drums.pop();
    }
}

/// Lengths in decimetres, coils, drums, and what nobody would sell.
const STOCKS: [&[u32]; 6] =
    [&[250, 500, 1000], &[1000, 2500, 5000], &[250, 500, 1000, 2500, 5000], &[1000, 3050], &[70, 110], &[500]];

fn holds(pieces: &[u32], stock: &[u32]) -> Cutting {
    let plan = cut(pieces, stock);
    let mut times = vec![0; pieces.len()];
    for drum in &plan.drums {
        let cut: u32 = drum.pieces.iter().map(|index| pieces[*index]).sum();
        drum.pieces.iter().for_each(|index| times[*index] += 1);
        assert!(cut <= drum.stock, "a drum of {} holds {cut}", drum.stock);
        assert!(!drum.pieces.is_empty() && (drum.made_to_length || stock.contains(&drum.stock)));
    }
    assert!(times.iter().all(|times| *times == 1), "a piece is cut {times:?} times");
    assert_eq!(plan.ordered, plan.drums.iter().map(|drum| u64::from(drum.stock)).sum::<u64>());
    assert_eq!(plan.used, pieces.iter().map(|piece| u64::from(*piece)).sum::<u64>());
    assert!(plan.used <= plan.covering && plan.covering <= plan.bound && plan.bound <= plan.ordered, "{plan:?}");
    plan
}

#[test]
fn as_good_as_every_way_on_small_draws() {
    let mut draws = Splitmix(7);
    for round in 0..900 {
        let stock = STOCKS[round % STOCKS.len()];
        let longest = *stock.iter().max().unwrap();
        let count = draw(&mut draws, 1, 7);
        let pieces: Vec<u32> = (0..count).map(|_| 5 * draw(&mut draws, 1, longest / 5)).collect();
        let mut best = (u64::MAX, usize::MAX);
        every_way(&pieces, stock, &mut Vec::new(), &mut best);
        let plan = holds(&pieces, stock);
        assert_eq!((plan.ordered, plan.drums.len()), best, "{pieces:?} from {stock:?}");
        assert_eq!(plan.bound, plan.ordered);
    }
}

#[test]
fn the_order_of_pieces_and_lengths_does_not_matter() {
    let mut draws = Splitmix(11);
    for round in 0..60 {
        let stock = STOCKS[round % STOCKS.len()];
        let count = draw(&mut draws, 1, 80);
        let pieces: Vec<u32> = (0..count).map(|_| draw(&mut draws, 1, 620)).collect();
        let mut shuffled = pieces.clone();
        for place in (1..shuffled.len()).rev() {
            shuffled.swap(place, draw(&mut draws, 0, place as u32) as usize);
        }
        let backwards: Vec<u32> = stock.iter().rev().copied().collect();
        let lengths = |pieces: &[u32], plan: &Cutting| -> Vec<(u32, Vec<u32>)> {
            plan.drums
                .iter()
                .map(|drum| (drum.stock, drum.pieces.iter().map(|index| pieces[*index]).collect()))
                .collect()
        };
        let (one, other) = (holds(&pieces, stock), holds(&shuffled, &backwards));
        assert_eq!(lengths(&pieces, &one), lengths(&shuffled, &other));
    }
}

/// Many pieces, short and long against the drum: near the bound every time, and on the whole within a thousandth.
#[test]
fn near_the_bound_on_large_draws() {
    let mut draws = Splitmix(19);
    let (mut ordered, mut bound, mut proven, mut plans) = (0, 0, 0, 0);
    for (count, rounds) in [(15, 40), (24, 40), (40, 40), (120, 20), (600, 5), (5000, 2)] {
        for round in 0..rounds {
            let stock = STOCKS[[0, 1, 2, 3][round % 4]];
            let (least, most) = [(10, 60), (16, 45), (10, 120), (40, 100)][round / 4 % 4];
            let pieces: Vec<u32> = (0..count).map(|_| 5 * draw(&mut draws, least, most)).collect();
            let plan = holds(&pieces, stock);
            let gap = plan.ordered as f64 / plan.bound as f64 - 1.0;
            assert!(gap < 0.05, "{count} pieces from {stock:?}: {gap}");
            ordered += plan.ordered;
            bound += plan.bound;
            proven += u32::from(plan.ordered == plan.bound);
            plans += 1;
        }
    }
    let gap = ordered as f64 / bound as f64 - 1.0;
    assert!(gap < 0.001, "{gap}");
    assert!(proven * 20 >= plans * 19, "{proven} of {plans} plans are proven to be the least");
}

#[test]
fn pieces_longer_than_any_drum_are_made_to_length() {
    let mut draws = Splitmix(23);
    for _ in 0..50 {
        let pieces: Vec<u32> = (0..9).map(|_| draw(&mut draws, 1, 2000)).collect();
        let plan = holds(&pieces, STOCKS[0]);
        let long = pieces.iter().filter(|piece| **piece > 1000).count();
        assert_eq!(plan.drums.iter().filter(|drum| drum.made_to_length).count(), long);
    }
}

/// Every choice of pieces to buy cut to length, the rest cut from drums.
#[test]
fn drum_or_cut_to_length_is_as_cheap_as_every_choice_on_small_draws() {
    let mut draws = Splitmix(29);
    let mut mixed = 0;
    for round in 0..300 {
        let stock = STOCKS[round % STOCKS.len()];
        let longest = *stock.iter().max().unwrap();
        let count = draw(&mut draws, 1, 7);
        let pieces: Vec<u32> = (0..count).map(|_| 5 * draw(&mut draws, 1, longest / 5)).collect();
        let charge = u64::from(draw(&mut draws, 0, 300_000));
        let alone: Vec<Option<u64>> = pieces
            .iter()
            .map(|length| (draw(&mut draws, 0, 9) > 0).then_some(u64::from(*length) * 1000 + charge))
            .collect();
        let least = (0..1_u32 << count).filter_map(|set| {
            let bought = |place: usize| set >> place & 1 == 1;
            let on_drums: Vec<u32> =
                pieces.iter().enumerate().filter(|(place, _)| !bought(*place)).map(|(_, length)| *length).collect();
            let mut cost = cut(&on_drums, stock).ordered * 1000;
            for (_, alone) in alone.iter().enumerate().filter(|(place, _)| bought(*place)) {
                cost += (*alone)?;
            }
            Some(cost)
        });
        let found = cut_or_buy(&pieces, stock, &alone);
        assert_eq!(Some(found.cost), least.min(), "{pieces:?} from {stock:?} at {charge}");
        mixed += u32::from(!found.alone.is_empty() && !found.plan.drums.is_empty());
    }
    assert!(mixed > 30, "only {mixed} draws have both");
}

#[test]
fn with_many_pieces_it_is_never_dearer_than_drums_alone_or_cuts_alone_and_the_rest_keeps_its_bound() {
    let mut draws = Splitmix(31);
    for (count, charge) in [(20, 40_000), (60, 15_000), (60, 150_000), (300, 60_000)] {
        let pieces: Vec<u32> = (0..count).map(|_| 5 * draw(&mut draws, 10, 160)).collect();
        let alone: Vec<Option<u64>> =
            pieces.iter().map(|length| Some(u64::from(length.div_ceil(10) * 10) * 1000 + charge)).collect();
        let found = cut_or_buy(&pieces, STOCKS[0], &alone);
        let cuts: u64 = alone.iter().flatten().sum();
        assert!(found.cost <= cuts && found.cost <= cut(&pieces, STOCKS[0]).ordered * 1000);
        let mut times = vec![0; pieces.len()];
        found.alone.iter().chain(found.plan.drums.iter().flat_map(|d| &d.pieces)).for_each(|place| times[*place] += 1);
        assert!(times.iter().all(|times| *times == 1), "{times:?}");
        let rest: Vec<u32> =
            found.plan.drums.iter().flat_map(|drum| &drum.pieces).map(|place| pieces[*place]).collect();
        assert_eq!(holds(&rest, STOCKS[0]).ordered, found.plan.ordered);
    }
}
