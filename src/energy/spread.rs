//! Which phases single-phase vehicles draw on.

use super::time::share_time;
use super::{Supply, Vehicles};

/// How many of each of the vehicles draw on each phase of the supply, before anything is charged.
///
/// Three-phase vehicles stand on every phase, all of them; on a single-phase supply everything stands on the first.
/// Single-phase vehicles on three phases go one at a time, in the order of the list, to the phase that needs least
/// energy so far among the vehicles whose windows share time with theirs (the first of those that need the same).
/// Vehicles added at the end of the list do not move the others.
pub fn spread<const HALF_HOURS: usize>(vehicles: &[Vehicles], supply: &Supply<HALF_HOURS>) -> Vec<[u32; 3]> {
    let mut given: Vec<[u32; 3]> = Vec::with_capacity(vehicles.len());
    let single = |vehicles: &Vehicles| vehicles.phases_on(supply.phases) == 1;
    for (index, own) in vehicles.iter().enumerate() {
        if supply.lines() == 1 {
            given.push([own.count, 0, 0]);
            continue;
        }
        if !single(own) {
            given.push([own.count; 3]);
            continue;
        }
        let mut needed_kwh = [0.0_f64; 3];
        for (other, counts) in vehicles.iter().zip(&given).take(index) {
            if single(other) && other.wants() && share_time(own, other, supply.horizon_h()) {
                for (needed_kwh, count) in needed_kwh.iter_mut().zip(counts) {
                    *needed_kwh += f64::from(*count) * other.need_kwh;
                }
            }
        }
        let need_kwh = if own.need_kwh > 0.0 { own.need_kwh } else { 1.0 };
        let (mut counts, left) = in_bulk(&mut needed_kwh, need_kwh, own.count);
        for _ in 0..left {
            let [one, two, three] = needed_kwh;
            // A place below three.
            let phase = if one <= two && one <= three { 0 } else { 1 + usize::from(three < two) };
            counts[phase] += 1;
            needed_kwh[phase] += need_kwh;
        }
        given.push(counts);
    }
    given
}

/// Numbers from which vehicles are given out in bulk first.
const MANY: u32 = 1000;

/// Gives out most of very many vehicles at once: to each phase less than what one at a time would bring it to.
fn in_bulk(needed_kwh: &mut [f64; 3], need_kwh: f64, count: u32) -> ([u32; 3], u32) {
    let (mut counts, mut left) = ([0; 3], count);
    if count < MANY {
        return (counts, left);
    }
    // The level to which all of it fills the lowest phases, as water would.
    let mut sorted_kwh = *needed_kwh;
    sorted_kwh.sort_by(f64::total_cmp);
    let whole_kwh = need_kwh * f64::from(count);
    let [lowest, middle, highest] = sorted_kwh;
    let level_kwh = if whole_kwh <= middle - lowest {
        lowest + whole_kwh
    } else if whole_kwh <= 2.0 * highest - lowest - middle {
        (lowest + middle + whole_kwh) / 2.0
    } else {
        (lowest + middle + highest + whole_kwh) / 3.0
    };
    for (given, needed_kwh) in counts.iter_mut().zip(needed_kwh) {
        // Two below the level, so that rounding never takes it too far.
        let number = (((level_kwh - *needed_kwh) / need_kwh).floor() - 2.0).clamp(0.0, f64::from(left)) as u32;
        *given = number;
        *needed_kwh += f64::from(number) * need_kwh;
        left -= number;
    }
    (counts, left)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn group(count: u32, need_kwh: f64, arrive_h: f64, depart_h: f64) -> Vehicles {
        Vehicles { count, need_kwh, arrive_h, depart_h, max_a: 32.0, phases: 1 }
    }

    #[test]
    fn phases_need_as_much_as_one_at_a_time_makes_them() {
        let supply: Supply = Supply { phases: 3, room_a: [60.0; 48], floor_a: 6.0 };
        let night = [group(4, 10.0, 18.0, 7.0), group(1, 25.0, 17.0, 6.0), group(5, 4.0, 18.0, 7.0)];
        // 20, 10, 10 so far; 25 to the second; then 4 each: third, third, third (22), first (24), third (26).
        assert_eq!(spread(&night, &supply), [[2, 1, 1], [0, 1, 0], [1, 0, 4]]);
        let day_and_night = [group(1, 10.0, 18.0, 7.0), group(1, 10.0, 9.0, 17.0)];
        assert_eq!(spread(&day_and_night, &supply), [[1, 0, 0]; 2], "no time is shared");
        let single: Supply = Supply { phases: 1, ..supply };
        assert_eq!(spread(&night, &single), [[4, 0, 0], [1, 0, 0], [5, 0, 0]]);
        let three = [Vehicles { phases: 3, ..group(7, 10.0, 18.0, 7.0) }];
        assert_eq!((spread(&three, &supply), spread(&three, &single)), (vec![[7; 3]], vec![[7, 0, 0]]));
    }

    #[test]
    fn very_many_are_given_out_like_few() {
        let supply: Supply = Supply { phases: 3, room_a: [60.0; 48], floor_a: 6.0 };
        let first = group(1, 3000.0, 18.0, 7.0);
        for count in [MANY, MANY + 1, 4 * MANY + 2] {
            let found = spread(&[first, group(count, 2.0, 18.0, 7.0)], &supply)[1];
            let (mut needed, mut counts) = ([3000.0, 0.0, 0.0], [0; 3]);
            for _ in 0..count {
                let least = needed.iter().copied().fold(f64::INFINITY, f64::min);
                let phase = needed.iter().position(|own| *own == least).unwrap();
                needed[phase] += 2.0;
                counts[phase] += 1;
            }
            assert_eq!(found, counts, "{count}");
        }
        let found = spread(&[group(u32::MAX, 0.1, 18.0, 7.0)], &supply)[0];
        assert_eq!(found.iter().map(|own| u64::from(*own)).sum::<u64>(), u64::from(u32::MAX));
    }
}
