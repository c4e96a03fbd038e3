//! Generated sites whose circuits the general power-system library solves: the same ones every time, by a fixed seed.
//!
//! It knows the survey and what a circuit may be fed by; not which cable, setting or device the engine chooses.

use baywright::site::*;

/// How many sites of each kind.
const OF_EACH: usize = 40;

/// A kind of circuit, by what feeds it and where it runs.
#[derive(Clone, Copy, Debug)]
enum Kind {
    /// A house, spare way, route indoors.
    Indoors,
    /// A house, small added board, route on walls and in the ground.
    Outdoors,
    /// A house, spare way, indoors and then outdoors.
    Jointed,
    /// A home behind an existing sub-main, spare way of its board.
    BehindSubmain,
    /// One point at a workplace with three phases, asked for on three phases.
    ThreePhase,
    /// The same behind an existing sub-main.
    ThreePhaseBehindSubmain,
    /// One single-phase point on a supply over 100 A, whose busbars drop nothing here.
    Large,
    /// Several points at a workplace, new sub-main.
    CarPark,
    /// Several points behind an existing and a new sub-main.
    CarParkBehindSubmain,
    /// Several points on a single-phase supply, new sub-main.
    SmallCarPark,
}

const KINDS: [Kind; 10] = [
    Kind::Indoors,
    Kind::Outdoors,
    Kind::Jointed,
    Kind::BehindSubmain,
    Kind::ThreePhase,
    Kind::ThreePhaseBehindSubmain,
    Kind::Large,
    Kind::CarPark,
    Kind::CarParkBehindSubmain,
    Kind::SmallCarPark,
];

/// SplitMix64: a public-domain generator of a few lines, so that no crate's version moves the sites.
struct Draws(u64);

impl Draws {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// From `low` to `high`, to one decimal, as a surveyor writes.
    fn between(&mut self, low: f64, high: f64) -> f64 {
        let share = (self.next() >> 11) as f64 / (1u64 << 53) as f64;
        ((low + share * (high - low)) * 10.0).round() / 10.0
    }

    fn one_of<T: Copy>(&mut self, of: &[T]) -> T {
        of[(self.next() % of.len() as u64) as usize]
    }
}

/// Every site, in a fixed order.
pub fn sites() -> Vec<Site> {
    let mut draws = Draws(20_260_701);
    let mut sites = Vec::new();
    for kind in KINDS {
        for number in 1..=OF_EACH {
            let mut site = site(kind, number, &mut draws);
            site.row = sites.len() as u32 + 2;
            site.site_id = format!("{kind:?}-{number:02}");
            sites.push(site);
        }
    }
    sites
}

/// Length of a route, from 10 metres to `most_m`, longer with the number: every length is met in every kind.
fn route_m(number: usize, most_m: f64, draws: &mut Draws) -> f64 {
    let step = (most_m - 10.0) / OF_EACH as f64;
    let least = 10.0 + step * (number - 1) as f64;
    draws.between(least, least + step)
}

fn site(kind: Kind, number: usize, draws: &mut Draws) -> Site {
    let mut site = Site::default();
    let three = matches!(
        kind,
        Kind::ThreePhase | Kind::ThreePhaseBehindSubmain | Kind::Large | Kind::CarPark | Kind::CarParkBehindSubmain
    );
    site.identity.premises_type = Reading::of(match kind {
        Kind::Indoors | Kind::Outdoors | Kind::Jointed => Premises::House,
        Kind::BehindSubmain => Premises::Flat,
        _ => Premises::Workplace,
    });
    site.supply.supply_phases = Reading::of(if three { 3.0 } else { 1.0 });
    site.supply.earthing_system = Reading::of(draws.one_of(&[EarthingSystem::TnCS, EarthingSystem::TnS]));
    site.supply.ze_ohm = Reading::of((draws.between(0.6, 3.5) * 10.0).round() / 100.0);
    site.supply.fault_level_ka = Reading::of(draws.between(1.0, 10.0));
    site.supply.tails_mm2 = Reading::of(draws.one_of(&[16.0, 25.0, 35.0]));
    site.board.meter_to_board_m = Reading::of(draws.between(0.5, 3.0));
    site.load.demand_method = Reading::of(DemandMethod::Measured);
    site.board.board_rcd_type = Reading::of(RcdType::None);
    site.board.spare_ways = Reading::of(if matches!(kind, Kind::Outdoors) { 0.0 } else { 2.0 });
    site.wanted.points_wanted = Reading::of(1.0);
    let (cutout_a, demand_a) = match kind {
        Kind::Large => (draws.one_of(&[160.0, 200.0]), draws.between(20.0, 60.0)),
        // Up to 100 A the tails count, beyond it the busbars are not surveyed.
        Kind::CarPark => (draws.one_of(&[100.0, 200.0, 400.0]), draws.between(10.0, 30.0)),
        _ => (100.0, draws.between(8.0, 30.0)),
    };
    site.supply.cutout_rating_a = Reading::of(cutout_a);
    site.load.existing_demand_a = Reading::of(demand_a);
    if matches!(kind, Kind::BehindSubmain | Kind::ThreePhaseBehindSubmain | Kind::CarParkBehindSubmain) {
        let (mm2, device_a) = draws.one_of(&[(16.0, 63.0), (25.0, 80.0), (35.0, 100.0)]);
        site.board.submain_mm2 = Reading::of(mm2);
        site.board.submain_device_a = Reading::of(device_a);
        site.board.meter_to_board_m = Reading::of(draws.between(3.0, 12.0));
    }
    if matches!(kind, Kind::CarPark | Kind::CarParkBehindSubmain) {
        site.wanted.points_wanted = Reading::of(draws.one_of(&[2.0, 3.0, 4.0, 6.0, 9.0]));
    }
    if matches!(kind, Kind::SmallCarPark) {
        site.wanted.points_wanted = Reading::of(draws.one_of(&[2.0, 3.0]));
    }
    let on_three_phases = matches!(kind, Kind::ThreePhase | Kind::ThreePhaseBehindSubmain)
        || matches!(kind, Kind::CarPark) && number.is_multiple_of(3);
    site.wanted.requested_kw =
        Reading::of(if on_three_phases { draws.one_of(&[11.0, 22.0]) } else { draws.one_of(&[3.6, 7.4, 7.4]) });
    place(&mut site, kind, number, draws);
    site
}

/// The route, by kind.
fn place(site: &mut Site, kind: Kind, number: usize, draws: &mut Draws) {
    let most_m = match kind {
        Kind::Indoors | Kind::Jointed | Kind::BehindSubmain => 60.0,
        Kind::Outdoors | Kind::SmallCarPark | Kind::CarParkBehindSubmain => 100.0,
        _ => 150.0,
    };
    let whole_m = route_m(number, most_m, draws);
    let share = match kind {
        Kind::Indoors => 1.0,
        Kind::Jointed | Kind::BehindSubmain => draws.between(0.2, 0.8),
        Kind::ThreePhase | Kind::ThreePhaseBehindSubmain | Kind::Large => draws.one_of(&[0.0, 0.3]),
        _ => 0.0,
    };
    let indoor_m = (whole_m * share * 10.0).round() / 10.0;
    let outdoor_m = whole_m - indoor_m;
    let buried = draws.one_of(&[true, false]);
    site.parking.route_indoor_m = Reading::of(indoor_m);
    site.parking.route_surface_m = Reading::of(if buried { 0.0 } else { outdoor_m });
    site.parking.route_buried_m = Reading::of(if buried { outdoor_m } else { 0.0 });
}
