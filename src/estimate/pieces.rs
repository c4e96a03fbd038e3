//! The pieces of cable that an arrangement takes, each as long as it is laid: what is cut from drums and coils. A
//! piece has no waste of its own; waste comes out of the cutting. It knows no stock length.

use super::price_book::PriceBook;
use super::quantities::length_share;
use super::take_off::{has_data_cable, laid_m};
use super::types::{Piece, Place};
use crate::design::{Arrangement, Run, RunRole};
use crate::quantity::Band;
use crate::reference::CableFamily;

/// Every piece of an arrangement at a place, run by run.
///
/// A design takes the final circuits of a car park at their mean length, and the take-off multiplies it; pieces are
/// cut one by one. The circuits spread along a row of n bays of width p that is fed from its middle, and the mean
/// circuit reaches a quarter of the row, (n - 1) p / 4, along it. So circuit k of n is longer than the mean by
///
/// ```text
/// p * ( |k - (n + 1) / 2| - (n - 1) / 4 )
/// ```
///
/// and the farthest is as long as the design took it to be.
pub(super) fn pieces(arrangement: &Arrangement, place: &Place, prices: &PriceBook) -> Vec<Piece> {
    let mut found = Vec::new();
    let runs = &arrangement.runs;
    // Where a circuit changes its cable on the way, only its last part spreads.
    let last = runs.iter().rposition(|run| run.role == RunRole::Final);
    let data = has_data_cable(arrangement);
    for (index, run) in runs.iter().enumerate() {
        let share = length_share(run, arrangement, place);
        for number in 1..=run.count {
            let along_m = if Some(index) == last { along_row_m(run.count, number, place.bay_pitch_m) } else { 0.0 };
            let length_m = longer(laid_m(run, share, prices), along_m);
            of_cable(run, number, length_m, prices, &mut found);
            if data {
                let item = prices.known.data_cable;
                let piece = Piece { cable: None, ..Piece::of(run, number, length_m) };
                found.extend(prices.item(item).map(|row| Piece { item: row.code, ..piece }));
            }
        }
    }
    found
}

/// One piece, or for singles one of each colour.
fn of_cable(run: &Run, number: u32, length_m: Band, prices: &PriceBook, found: &mut Vec<Piece>) {
    let Some((item, priced_m)) = prices.known.cable(&run.cable) else { return };
    let Some(row) = prices.item(item) else { return };
    let piece = Piece { item: row.code, priced_m, ..Piece::of(run, number, length_m) };
    if run.cable.family == CableFamily::Singles {
        found.extend(colours(run.cable.cores).iter().map(|core| Piece { core, ..piece }));
    } else {
        found.push(piece);
    }
}

/// How much longer the circuit `number` of `count` is than the mean one, metres.
fn along_row_m(count: u32, number: u32, bay_pitch_m: f64) -> f64 {
    let (count, number) = (f64::from(count), f64::from(number));
    bay_pitch_m * ((number - (count + 1.0) / 2.0).abs() - (count - 1.0) / 4.0)
}

fn longer(length_m: Band, by_m: f64) -> Band {
    let by = |end: f64| (end + by_m).max(0.0);
    Band { low: by(length_m.low), likely: by(length_m.likely), high: by(length_m.high) }
}

/// Colours of the cores of a circuit in singles, its protective conductor included (BS 7671 Table 51, memory): no
/// colour is cut from a coil of another.
fn colours(cores: u8) -> &'static [&'static str] {
    match cores {
        0..=2 => &["brown", "blue", "green-and-yellow"],
        3 => &["brown", "black", "grey", "green-and-yellow"],
        _ => &["brown", "black", "grey", "blue", "green-and-yellow"],
    }
}

#[cfg(test)]
mod tests {
    use super::super::samples::{armoured, car_park, home, run, simple_home};
    use super::*;
    use crate::design::Work;
    use crate::reference::Cable;

    fn lengths(arrangement: &Arrangement, item: &str) -> Vec<f64> {
        let prices = PriceBook::default_book();
        let place = home();
        let found = pieces(arrangement, &place, prices);
        found.iter().filter(|piece| piece.item == item).map(|piece| piece.length_m.likely).collect()
    }

    #[test]
    fn a_home_takes_one_piece_of_route_rises_and_slack_without_waste() {
        // Route 10 m, rises and ends 4 m, slack 0.5 m of the price book.
        assert_eq!(lengths(&simple_home(), "cable-armoured-3c-6"), [14.5]);
    }

    #[test]
    fn circuits_of_a_row_differ_and_the_farthest_is_that_of_the_design() {
        let found = lengths(&car_park(), "cable-armoured-3c-6");
        // Mean 20 m of route, 4 m of rises, 0.5 m of slack; ten bays of 2.4 m: 9/4 of a bay along is the mean.
        let expected = |bays: f64| 24.5 + 2.4 * (bays - 9.0 / 4.0);
        let bays = [4.5, 3.5, 2.5, 1.5, 0.5, 0.5, 1.5, 2.5, 3.5, 4.5];
        assert_eq!(found.len(), 10);
        for (length, bays) in found.iter().zip(bays) {
            assert!((length - expected(bays)).abs() < 1e-9, "{length}");
        }
        // Never less cable than the take-off has before its waste.
        assert!(found.iter().sum::<f64>() >= 245.0);
        // A sub-main does not spread; each run has its data cable.
        assert_eq!(lengths(&car_park(), "cable-armoured-4c-25"), [44.5]);
        assert_eq!(lengths(&car_park(), "data-cable").len(), 11);
        // So has that of a home with a limiter, as long as the cable that it lies beside.
        let limited = Arrangement { works: vec![Work::LimiterSensor], ..simple_home() };
        assert_eq!(lengths(&limited, "data-cable"), lengths(&limited, "cable-armoured-3c-6"));
    }

    #[test]
    fn singles_take_a_piece_of_each_colour() {
        let cable = Cable { family: CableFamily::Singles, cores: 2, csa_mm2: 6.0 };
        let arrangement = Arrangement { runs: vec![run(cable, 8.0, 0.0, 0.0)], ..simple_home() };
        let found = pieces(&arrangement, &home(), PriceBook::default_book());
        let colours: Vec<_> = found.iter().map(|piece| (piece.core, piece.length_m.likely)).collect();
        assert_eq!(colours, [("brown", 12.5), ("blue", 12.5), ("green-and-yellow", 12.5)]);
    }

    #[test]
    fn a_cable_larger_than_the_book_is_told_from_the_largest_of_the_book() {
        let arrangement = Arrangement { runs: vec![run(armoured(4, 120.0), 9.0, 0.0, 0.0)], ..simple_home() };
        let found = pieces(&arrangement, &home(), PriceBook::default_book());
        assert_eq!(found.len(), 1);
        assert_eq!((found[0].item, found[0].cable), ("cable-armoured-4c-95", Some(armoured(4, 120.0))));
        assert!((found[0].priced_m - 120.0 / 95.0).abs() < 1e-12);
    }
}
