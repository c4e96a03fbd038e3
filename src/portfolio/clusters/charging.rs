//! What the charge points of a cluster need together after diversity. It knows points and no site.

use crate::reference::{Charging, charging_kw_each, most_tabulated_points, tabulated_point_kw};
use std::collections::BTreeMap;

/// One charge point.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Point {
    /// Its rate, kilowatts.
    pub(super) rate_kw: f64,
    /// The most it takes when every point of its site charges: its share of a group limit, kilowatts; else its rate.
    pub(super) most_kw: f64,
}

impl Point {
    /// A point that nothing limits but its rate.
    pub(super) fn of_kw(rate_kw: f64) -> Self {
        Self { rate_kw, most_kw: rate_kw }
    }

    /// What it needs of the common peak where a point of the table needs `each_kw`.
    ///
    /// A slower point takes the same energy for longer: the load of many is then a mean of shifted copies of the faster
    /// ones' load and peaks no higher, so it counts with the table's figure, or its rate if that is less. A faster one
    /// is held to be as likely to charge as the table's, which overstates it.
    fn needs_kw(&self, way: Charging, each_kw: f64) -> f64 {
        let faster = match way {
            // Control shares out what the energy takes; how fast a point could be is nothing to it.
            Charging::Controlled => 1.0,
            Charging::Uncontrolled | Charging::NightTariff => (self.rate_kw / tabulated_point_kw().max(1e-9)).max(1.0),
        };
        (each_kw * faster).min(self.rate_kw).min(self.most_kw).max(0.0)
    }
}

/// Points of one feeder, like ones together.
#[derive(Clone, Debug, Default)]
pub(super) struct Points {
    alike: BTreeMap<(u64, u64), (Point, u32)>,
    count: u32,
}

impl Points {
    /// Adds some points that are alike.
    pub(super) fn add(&mut self, point: Point, count: u32) {
        let key = (point.rate_kw.to_bits(), point.most_kw.to_bits());
        self.alike.entry(key).or_insert((point, 0)).1 += count;
        self.count = self.count.saturating_add(count);
    }

    /// How many there are.
    #[cfg(test)]
    pub(super) fn count(&self) -> u32 {
        self.count
    }

    /// What they need together at the peak, kilowatts.
    ///
    /// The peak of some of the points is never above that of all. So it is the greatest need over every number of them,
    /// those with the greatest need taken first: one point more never lowers it, whatever its rate.
    pub(super) fn peak_kw(&self, way: Charging) -> f64 {
        let all = self.peak_of_kw(way, self.count);
        if self.none_better(way, all) { all } else { self.some_kw(way).fold(all, f64::max) }
    }

    /// The need of every smaller number that the table tells apart.
    fn some_kw(&self, way: Charging) -> impl Iterator<Item = f64> + '_ {
        (1..=self.count.min(most_tabulated_points())).map(move |count| self.peak_of_kw(way, count))
    }

    /// Whether no smaller number can need more than `all_kw`: like points need more the more there are, and of unlike
    /// ones no tabulated number needs more than the most of them, each as fast as the fastest.
    fn none_better(&self, way: Charging, all_kw: f64) -> bool {
        let most = most_tabulated_points();
        let most_kw = charging_kw_each(way, most) * f64::from(most);
        let fastest_kw = self.alike.values().map(|(point, _)| point.rate_kw).fold(0.0, f64::max);
        let faster = (fastest_kw / tabulated_point_kw().max(1e-9)).max(1.0);
        self.alike.len() <= 1 && way != Charging::Controlled || all_kw >= most_kw * faster
    }

    /// What the `count` points with the greatest need take where so many charge.
    fn peak_of_kw(&self, way: Charging, count: u32) -> f64 {
        let each_kw = charging_kw_each(way, count);
        let mut needs: Vec<(f64, u32)> =
            self.alike.values().map(|(point, many)| (point.needs_kw(way, each_kw), *many)).collect();
        needs.sort_by(|(one, _), (two, _)| two.total_cmp(one));
        let mut left = count;
        let take = |(need_kw, many): (f64, u32)| {
            let taken = many.min(left);
            left -= taken;
            need_kw * f64::from(taken)
        };
        needs.into_iter().map(take).sum()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(points: &[(Point, u32)]) -> Points {
        let mut all = Points::default();
        points.iter().for_each(|(point, count)| all.add(*point, *count));
        all
    }

    /// Supply notes 4.3: 20 points of 7.2 kW.
    #[test]
    fn like_points_of_the_tables_rate_need_what_it_says() {
        let bays = of(&[(Point::of_kw(7.2), 20)]);
        assert!((bays.peak_kw(Charging::Uncontrolled) - 70.0).abs() < 1e-9);
        assert!((bays.peak_kw(Charging::NightTariff) - 110.0).abs() < 1e-9);
        assert!((bays.peak_kw(Charging::Controlled) - 21.8).abs() < 1e-9);
        assert_eq!(of(&[]).peak_kw(Charging::Uncontrolled), 0.0);
        assert_eq!((of(&[(Point::of_kw(3.68), 1)]).peak_kw(Charging::Controlled), bays.count()), (3.68, 20));
    }

    #[test]
    fn a_slower_point_counts_with_its_rate_at_most_and_a_faster_one_for_more() {
        assert!((of(&[(Point::of_kw(3.68), 3)]).peak_kw(Charging::Uncontrolled) - 3.0 * 3.68).abs() < 1e-9);
        assert!((of(&[(Point::of_kw(3.68), 20)]).peak_kw(Charging::Uncontrolled) - 70.0).abs() < 1e-9);
        assert!((of(&[(Point::of_kw(22.08), 20)]).peak_kw(Charging::Uncontrolled) - 70.0 * 22.08 / 7.2).abs() < 1e-9);
    }

    #[test]
    fn a_group_limit_is_the_most_that_its_points_take() {
        let limited = Point { rate_kw: 7.36, most_kw: 13.8 / 6.0 };
        for way in Charging::ALL {
            assert!(of(&[(limited, 6)]).peak_kw(way) <= 13.8 + 1e-9, "{way:?}");
        }
        assert!((of(&[(limited, 6)]).peak_kw(Charging::Uncontrolled) - 13.8).abs() < 1e-9);
    }

    #[test]
    fn one_point_more_never_lowers_the_peak() {
        let kinds = [
            Point::of_kw(7.36),
            Point::of_kw(1.4),
            Point { rate_kw: 22.08, most_kw: 1.0 },
            Point::of_kw(3.68),
            Point { rate_kw: 7.36, most_kw: 2.3 },
            Point::of_kw(22.08),
        ];
        for way in Charging::ALL {
            let (mut points, mut before) = (Points::default(), 0.0);
            for at in 0..260_usize {
                points.add(kinds[(at * at + at / 3) % kinds.len()], 1 + (at % 2) as u32);
                let peak = points.peak_kw(way);
                assert!(peak >= before - 1e-9, "{way:?} at {at}: {before} then {peak}");
                before = peak;
            }
        }
    }

    #[test]
    fn the_short_way_misses_nothing() {
        for way in Charging::ALL {
            for many in [1, 2, 5, 40, 99, 100, 101, 400] {
                for kinds in [vec![7.36], vec![2.0], vec![22.08, 3.68], vec![7.36, 1.4, 11.04]] {
                    let points = of(&kinds.iter().map(|kw| (Point::of_kw(*kw), many)).collect::<Vec<_>>());
                    let long = points.some_kw(way).fold(points.peak_of_kw(way, points.count()), f64::max);
                    assert_eq!(points.peak_kw(way), long, "{way:?} {many} {kinds:?}");
                }
            }
        }
    }

    /// By trying every choice of points.
    #[test]
    fn it_is_the_greatest_over_every_choice_of_points() {
        let kinds = [7.36, 7.36, 1.4, 22.08, 3.68, 2.0, 7.36, 11.04].map(Point::of_kw);
        for way in Charging::ALL {
            let needs = |chosen: u32| {
                let each = charging_kw_each(way, chosen.count_ones());
                let taken = kinds.iter().enumerate().filter(|(at, _)| chosen >> at & 1 == 1);
                taken.map(|(_, point)| point.needs_kw(way, each)).sum::<f64>()
            };
            let brute = (0..1_u32 << kinds.len()).map(needs).fold(0.0, f64::max);
            let all: Vec<(Point, u32)> = kinds.iter().map(|point| (*point, 1)).collect();
            assert!((of(&all).peak_kw(way) - brute).abs() < 1e-9, "{way:?}");
        }
    }
}
