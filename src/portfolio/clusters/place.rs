//! Where sites lie on the Earth, who lies within a distance of whom, without looking at every pair. It knows no site.

use std::collections::BTreeMap;

/// Mean radius of the Earth, metres (International Union of Geodesy and Geophysics; from memory).
const EARTH_RADIUS_M: f64 = 6_371_009.0;

/// A point of the Earth's surface, metres from its middle.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(in crate::portfolio) struct Spot([f64; 3]);

impl Spot {
    /// The point at a latitude and longitude in degrees; `None` where they are none.
    pub(in crate::portfolio) fn of(latitude: Option<f64>, longitude: Option<f64>) -> Option<Self> {
        let (latitude, longitude) = (latitude?, longitude?);
        if !(latitude.abs() <= 90.0 && longitude.abs() <= 180.0) {
            return None;
        }
        let ((up, flat), (east, ahead)) = (latitude.to_radians().sin_cos(), longitude.to_radians().sin_cos());
        Some(Self([flat * ahead, flat * east, up].map(|part| part * EARTH_RADIUS_M)))
    }

    /// Distance over the surface, metres.
    pub(in crate::portfolio) fn distance_m(self, other: Spot) -> f64 {
        let straight = self.0.iter().zip(other.0).map(|(one, two)| (one - two).powi(2)).sum::<f64>().sqrt();
        2.0 * EARTH_RADIUS_M * (straight / (2.0 * EARTH_RADIUS_M)).min(1.0).asin()
    }

    /// The cube of this side in which it lies.
    fn cube(self, side_m: f64) -> [i32; 3] {
        self.0.map(|part| (part / side_m).floor() as i32)
    }

    /// A key by which the very same point is found again.
    fn exactly(self) -> [u64; 3] {
        // Zero has two signs.
        self.0.map(|part| (part + 0.0).to_bits())
    }
}

/// Points in cubes, each with what was put there.
pub(in crate::portfolio) struct Grid {
    side_m: f64,
    cubes: BTreeMap<[i32; 3], Vec<(Spot, usize)>>,
}

impl Grid {
    /// A grid for looking as far as `reach_m`.
    pub(in crate::portfolio) fn new(reach_m: f64) -> Self {
        Self { side_m: reach_m.max(1.0), cubes: BTreeMap::new() }
    }

    /// Puts something at a point.
    pub(in crate::portfolio) fn put(&mut self, spot: Spot, what: usize) {
        self.cubes.entry(spot.cube(self.side_m)).or_default().push((spot, what));
    }

    /// What lies within the grid's reach of a point, with its distance in metres; in no order of distance.
    pub(in crate::portfolio) fn near(&self, spot: Spot) -> impl Iterator<Item = (f64, usize)> + '_ {
        let [x, y, z] = spot.cube(self.side_m);
        let columns = (-1..=1).flat_map(move |over| (-1..=1).map(move |along| (x + over, y + along)));
        columns
            .flat_map(move |(x, y)| self.cubes.range([x, y, z - 1]..=[x, y, z + 1]))
            .flat_map(|(_, within)| within)
            .map(move |(other, what)| (spot.distance_m(*other), *what))
            .filter(|(distance_m, _)| *distance_m <= self.side_m)
    }
}

/// Chains of points of which each lies within `reach_m` of another one: for every point the number of its chain, which
/// is the place of the chain's first point.
pub(in crate::portfolio) fn chains(spots: &[Spot], reach_m: f64) -> Vec<usize> {
    // Any two points of a cube of this side lie within reach of each other.
    let side_m = (reach_m / 3.0_f64.sqrt()).max(1e-3);
    let mut cubes: BTreeMap<[i32; 3], Vec<usize>> = BTreeMap::new();
    for (at, spot) in spots.iter().enumerate() {
        cubes.entry(spot.cube(side_m)).or_default().push(at);
    }
    let mut chains = Chains((0..spots.len()).collect());
    let within = |one: &[usize], two: &[usize]| {
        let spot = |at: &usize| spots.get(*at).copied();
        let mut pairs = one.iter().filter_map(spot).flat_map(|a| two.iter().filter_map(spot).map(move |b| (a, b)));
        pairs.any(|(a, b)| a.distance_m(b) <= reach_m)
    };
    for (cube, here) in &cubes {
        let Some(first) = here.first() else { continue };
        here.iter().for_each(|other| chains.join(*first, *other));
        let [x, y, z] = *cube;
        let columns = (0..=2).flat_map(|over| (-2..=2).map(move |along| (x + over, y + along)));
        for (_, there) in columns.flat_map(|(x, y)| cubes.range([x, y, z - 2]..=[x, y, z + 2])) {
            let Some(other) = there.first() else { continue };
            if chains.first(*first) != chains.first(*other) && within(here, there) {
                chains.join(*first, *other);
            }
        }
    }
    (0..spots.len()).map(|at| chains.first(at)).collect()
}

/// For every point the one before it in its chain, or itself.
struct Chains(Vec<usize>);

impl Chains {
    fn first(&mut self, at: usize) -> usize {
        let (mut root, mut step) = (at, at);
        while let Some(before) = self.0.get(root).copied().filter(|before| *before != root) {
            root = before;
        }
        while let Some(before) = self.0.get_mut(step).filter(|before| **before != root) {
            step = std::mem::replace(before, root);
        }
        root
    }

    fn join(&mut self, one: usize, two: usize) {
        let (one, two) = (self.first(one), self.first(two));
        if let Some(later) = self.0.get_mut(one.max(two)) {
            *later = one.min(two);
        }
    }
}

/// How many of the points lie within `reach_m` of each, itself counted, up to `most`: points at one and the same place
/// are counted together, so that a town geocoded to its middle takes no time.
pub(in crate::portfolio) fn counts_near(spots: &[Spot], reach_m: f64, most: u32) -> Vec<u32> {
    let mut same: BTreeMap<[u64; 3], (Spot, u32)> = BTreeMap::new();
    for spot in spots {
        same.entry(spot.exactly()).or_insert((*spot, 0)).1 += 1;
    }
    let mut grid = Grid::new(reach_m);
    for (spot, many) in same.values() {
        grid.put(*spot, usize::try_from(*many).unwrap_or(usize::MAX));
    }
    let counted: BTreeMap<[u64; 3], u32> = same
        .iter()
        .map(|(key, (spot, _))| {
            let mut sum = 0_usize;
            let full = grid.near(*spot).any(|(_, many)| {
                sum = sum.saturating_add(many);
                sum >= most as usize
            });
            (*key, if full { most } else { u32::try_from(sum).unwrap_or(most) })
        })
        .collect();
    spots.iter().map(|spot| counted.get(&spot.exactly()).copied().unwrap_or(1)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn spot(latitude: f64, longitude: f64) -> Spot {
        Spot::of(Some(latitude), Some(longitude)).expect("a point")
    }

    /// Metres north of the first point; a degree of latitude is the 360th part of the Earth's circumference.
    fn north(metres: f64) -> Spot {
        spot(52.0 + metres / (std::f64::consts::TAU * EARTH_RADIUS_M / 360.0), -1.5)
    }

    #[test]
    fn distances_are_those_of_the_great_circle() {
        // A minute of arc is about a nautical mile, 1 852 m by definition (of 1929).
        assert!((spot(52.0, -1.5).distance_m(spot(52.0 + 1.0 / 60.0, -1.5)) - 1852.0).abs() < 2.0);
        assert!((north(0.0).distance_m(north(150.0)) - 150.0).abs() < 1e-3);
        let (around, parallel) =
            (spot(60.0, 0.0).distance_m(spot(60.0, 0.01)), spot(0.0, 0.0).distance_m(spot(0.0, 0.01)));
        assert!((around / parallel - 0.5).abs() < 1e-6, "a parallel at 60 degrees is half the equator");
        assert!((spot(0.0, 179.9999).distance_m(spot(0.0, -179.9999)) - 22.24).abs() < 0.1);
    }

    #[test]
    fn what_is_no_place_is_none() {
        assert!(Spot::of(Some(91.0), Some(0.0)).is_none() && Spot::of(Some(f64::NAN), Some(0.0)).is_none());
        assert!(Spot::of(Some(50.0), None).is_none());
    }

    #[test]
    fn a_chain_holds_what_is_near_to_any_of_it() {
        let spots = [0.0, 500.0, 149.0, 298.0, 651.0, 649.0].map(north);
        assert_eq!(chains(&spots, 150.0), [0, 1, 0, 0, 1, 1]);
        assert_eq!(chains(&[0.0, 150.1].map(north), 150.0), [0, 1]);
        assert!(chains(&[], 150.0).is_empty());
    }

    /// Against looking at every pair, on points scattered by a small generator.
    #[test]
    fn grid_and_chains_find_what_looking_at_every_pair_finds() {
        let mut state = 7_u64;
        let mut draw = || {
            state = state.wrapping_mul(6364136223846793005).wrapping_add(1442695040888963407);
            (state >> 33) as f64 / f64::from(1_u32 << 31)
        };
        let spots: Vec<Spot> = (0..400).map(|_| spot(52.0 + 0.03 * draw(), -1.5 + 0.05 * draw())).collect();
        let near = |one: &Spot, two: &Spot| one.distance_m(*two) <= 150.0;
        let counts = counts_near(&spots, 150.0, 999);
        for (one, count) in spots.iter().zip(&counts) {
            assert_eq!(spots.iter().filter(|two| near(one, two)).count(), *count as usize);
        }
        assert!(counts.iter().any(|count| *count > 2) && counts.contains(&1));
        let mut by_hand: Vec<usize> = (0..spots.len()).collect();
        loop {
            let before = by_hand.clone();
            for one in 0..spots.len() {
                for two in 0..spots.len() {
                    if near(&spots[one], &spots[two]) {
                        by_hand[one] = by_hand[one].min(by_hand[two]);
                    }
                }
            }
            if before == by_hand {
                break;
            }
        }
        assert_eq!(chains(&spots, 150.0), by_hand);
    }

    #[test]
    fn many_at_one_place_are_counted_once_and_up_to_a_bound() {
        let spots = vec![north(0.0); 60_000];
        assert_eq!(counts_near(&spots, 150.0, 999)[59_999], 999);
        assert!(chains(&spots, 150.0).iter().all(|chain| *chain == 0));
    }
}
