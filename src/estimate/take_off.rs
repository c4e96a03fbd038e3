//! Materials and bought services of an arrangement, each with the design figure its quantity comes from.
//!
//! Lines go to a visitor, so that a whole bill and a bare sum come from the same place. It knows no labour.

use super::price_book::{ItemIndex, PriceBook};
use super::quantities::{Quantities, Size, is_armoured, length_share, on_tray};
use super::types::Place;
use crate::design::{Arrangement, Device, EarthingPath, Feed, Residual, Run, Work};
use crate::quantity::Band;
use crate::reference::CableFamily;
use crate::site::GroundSurface;

/// Sends every material and service to `line`: item, quantity, where the quantity comes from.
pub(super) fn take_off(
    arrangement: &Arrangement,
    place: &Place,
    counted: &Quantities,
    prices: &PriceBook,
    line: &mut impl FnMut(ItemIndex, Band, &'static str),
) {
    let mut line = |item, quantity: Band, because| {
        if quantity.high > 0.0 {
            line(item, quantity, because);
        }
    };
    points(arrangement, counted, prices, &mut line);
    boards_and_devices(arrangement, counted, prices, &mut line);
    for run in &arrangement.runs {
        cable_run(run, length_share(run, arrangement, place), place, prices, &mut line);
    }
    route(counted, place, prices, &mut line);
    works(arrangement, counted, place, prices, &mut line);
}

fn points(
    arrangement: &Arrangement,
    counted: &Quantities,
    prices: &PriceBook,
    line: &mut impl FnMut(ItemIndex, Band, &'static str),
) {
    let known = &prices.known;
    let three = arrangement.phases == 3;
    let point = if three { prices.charge_points[1] } else { prices.charge_points[0] };
    line(point, Band::exact(counted.wall_points + counted.posts), "points on a wall or post");
    line(known.point_fixings, Band::exact(counted.wall_points), "points on a wall");
    line(known.post, Band::exact(counted.posts), "points that stand free by themselves");
    let pedestal = if three { known.pedestal_twin_3ph } else { known.pedestal_twin_1ph };
    line(pedestal, Band::exact(counted.pedestals), "points that stand free in pairs");
    line(known.base, Band::exact(counted.bases()), "posts, pedestals and pillars");
    line(known.barrier, Band::exact(counted.barriers()), "points and pillars where vehicles manoeuvre");
    let points = f64::from(arrangement.points);
    if !counted.home {
        line(known.bay_marking, Band::exact(points), "points, a bay each");
    }
    line(
        known.labels,
        Band::exact(points + 1.0 + counted.boards),
        "points, boards at the parking, and the board they are fed from",
    );
    if arrangement.earthing == EarthingPath::SupplyEarthOpenPenDevice {
        let device = if three { known.open_pen_device_3ph } else { known.open_pen_device_1ph };
        line(device, Band::exact(points), "a device a point");
    }
}

fn boards_and_devices(
    arrangement: &Arrangement,
    counted: &Quantities,
    prices: &PriceBook,
    line: &mut impl FnMut(ItemIndex, Band, &'static str),
) {
    let known = &prices.known;
    match arrangement.feed {
        Feed::SpareWay => {}
        Feed::AddedBoard => {
            // By the phases of the circuit: a one-phase board is fed by one pair also where the supply has three.
            let three = arrangement.phases == 3;
            let pairs = if three { 2.0 } else { 1.0 };
            let board = if three { known.board_small_3ph } else { known.board_small };
            line(board, Band::exact(1.0), "feed: small added board");
            line(known.connector_blocks, Band::exact(pairs), "feed: small added board, a pair for two conductors");
            let tails = prices.figure(known.added_board_tails);
            line(known.tails, tails.scaled(pairs), "feed: small added board; allowance added-board-tails");
        }
        Feed::Distribution if counted.pillar => {
            line(known.feeder_pillar, Band::exact(counted.boards), "feed: a pillar a sub-main at open parking");
        }
        Feed::Distribution => {
            let three = arrangement.supply_phases == 3;
            let board = if three { known.board_distribution_3ph } else { known.board_distribution_1ph };
            line(board, Band::exact(counted.boards), "feed: a board a sub-main at the parking");
        }
    }
    let points = f64::from(arrangement.points);
    let device = &arrangement.device;
    let four = device.poles >= 3;
    let item = match device.residual {
        Some(Residual::TypeA30) if four => known.device_residual_a_4p,
        Some(Residual::TypeA30) => known.device_residual_a_2p,
        Some(Residual::TypeB30) if four => known.device_residual_b_4p,
        Some(Residual::TypeB30) => known.device_residual_b_2p,
        Some(Residual::Delayed100) | None if four => known.breaker_4p,
        Some(Residual::Delayed100) | None => known.breaker_2p,
    };
    line(item, Band::exact(points), "a device a final circuit");
    delayed_and_breaking(device, points, prices, line);
    if let Some(submain) = &arrangement.submain_device {
        // The bounds are those that the price book describes; beyond the largest, by rating in proportion.
        let (item, quantity) = match submain.rating_a {
            rating if rating <= 63.0 => (known.submain_device_63, 1.0),
            rating if rating <= 125.0 => (known.submain_device_125, 1.0),
            rating => (known.submain_device_250, (rating / 250.0).max(1.0)),
        };
        line(item, Band::exact(quantity * counted.boards.max(1.0)), "sub-mains and the rating of their device");
        delayed_and_breaking(submain, counted.boards.max(1.0), prices, line);
    }
}

fn delayed_and_breaking(
    device: &Device,
    count: f64,
    prices: &PriceBook,
    line: &mut impl FnMut(ItemIndex, Band, &'static str),
) {
    if device.residual == Some(Residual::Delayed100) {
        line(prices.known.residual_delayed, Band::exact(count), "time-delayed residual-current device");
    }
    if device.breaking_ka > 6.0 {
        line(prices.known.higher_breaking, Band::exact(count), "breaking capacity above 6 kA");
    }
}

/// Length of one run as it is laid, metres: route, rises and ends, slack; no waste.
pub(super) fn laid_m(run: &Run, share: Band, prices: &PriceBook) -> Band {
    let route_m = share.scaled(run.indoor_m + run.surface_m + run.buried_m);
    route_m.plus(Band::exact(run.rises_m)).plus(prices.figure(prices.known.cable_slack))
}

/// The same as it is bought: with what is cut to waste.
fn cut_m(run: &Run, share: Band, prices: &PriceBook) -> Band {
    laid_m(run, share, prices).times(Band::exact(1.0).plus(prices.figure(prices.known.cable_waste)))
}

fn cable_run(
    run: &Run,
    share: Band,
    place: &Place,
    prices: &PriceBook,
    line: &mut impl FnMut(ItemIndex, Band, &'static str),
) {
    let known = &prices.known;
    let count = f64::from(run.count);
    let cut_m = cut_m(run, share, prices);
    if let Some((item, factor)) = known.cable(&run.cable) {
        let family = run.cable.family;
        // Singles are priced by the core, and bring their own protective conductor.
        let cores = if family == CableFamily::Singles { f64::from(run.cable.cores) + 1.0 } else { 1.0 };
        line(item, cut_m.scaled(count * cores * factor), "length of the run with rises and ends, slack and waste");
    }
    let size = Size::to_lay(run.cable.csa_mm2);
    let open_m = if on_tray(run, place, prices) { 0.0 } else { run.indoor_m + run.surface_m };
    let fixed_m = share.scaled(open_m).plus(Band::exact(run.rises_m)).scaled(count);
    match run.cable.family {
        CableFamily::TwinAndEarth => line(known.trunking, fixed_m, "indoor length and rises"),
        CableFamily::Singles => line(known.conduit, fixed_m, "length above ground and rises"),
        CableFamily::ArmouredXlpe | CableFamily::ArmouredPvc => {
            let clips = size.pick(known.clips_small, known.clips_medium, known.clips_large);
            line(clips, fixed_m, "length above ground and rises");
        }
    }
    if is_armoured(run.cable.family) {
        let gland = Size::of_gland(run.cable.csa_mm2).pick(known.gland_small, known.gland_medium, known.gland_large);
        line(gland, Band::exact(2.0 * count), "two ends a run");
    } else {
        line(known.cable_entry, Band::exact(2.0 * count), "two ends a run");
    }
}

fn route(
    counted: &Quantities,
    place: &Place,
    prices: &PriceBook,
    line: &mut impl FnMut(ItemIndex, Band, &'static str),
) {
    let known = &prices.known;
    line(known.tray, counted.tray_m, "route above ground that runs share");
    line(known.core_drill, counted.holes, "walls on the route and the cables through them");
    let trench = counted.trench_m;
    if let Some(item) = known.trench(place.ground_surface) {
        line(item, trench, "route in the ground");
    }
    line(known.marker_tape, trench, "route in the ground");
    line(known.duct, counted.duct_m, "runs in hard ground, and one spare at a shared site");
    line(known.draw_pit, counted.pits, "route in the ground by pit spacing");
    if trench.high > 0.0 {
        let highway = matches!(place.ground_surface, GroundSurface::Footway | GroundSurface::Carriageway);
        if highway || !counted.home {
            line(known.service_search, Band::exact(1.0), "route in the ground at a shared site or in the highway");
        }
        if highway {
            line(known.street_works, Band::exact(1.0), "route in the ground of the highway");
        }
    }
    if counted.out_of_reach {
        line(known.access_equipment, Band::exact(1.0), "route above reach that no tray carries");
    }
}

fn works(
    arrangement: &Arrangement,
    counted: &Quantities,
    place: &Place,
    prices: &PriceBook,
    line: &mut impl FnMut(ItemIndex, Band, &'static str),
) {
    let known = &prices.known;
    let one = Band::exact(1.0);
    let three = arrangement.supply_phases == 3;
    if has_data_cable(arrangement) {
        let cut = |run| cut_m(run, length_share(run, arrangement, place), prices).scaled(f64::from(run.count));
        line(known.data_cable, arrangement.runs.iter().map(cut).sum(), DATA_BECAUSE);
    }
    for work in &arrangement.works {
        match *work {
            Work::TailsUpgrade { length_m } => {
                line(known.tails, Band::exact(length_m * tails_sets(arrangement)), "route of the tails");
            }
            Work::Isolator => {
                line(if three { known.isolator_4p } else { known.isolator_2p }, one, "no isolator there");
                line(known.isolation_visit, one, "no isolator there: the supply is made dead first");
            }
            Work::BondingUpgrade { proven } => {
                line(known.bonding_parts, bonding(proven, prices), bonding_because(proven));
            }
            Work::SurgeProtection => {
                line(if three { known.surge_3ph } else { known.surge_1ph }, one, "surge protection not fitted");
            }
            Work::ArcFault => {
                let points = Band::exact(f64::from(arrangement.points));
                line(known.arc_fault, points, "a device a socket-outlet");
            }
            Work::Electrode { rods } => {
                line(known.earth_rod, Band::exact(f64::from(rods)), "rods of the electrode");
                let between_m = prices.figure(known.rod_spacing).scaled(f64::from(rods.saturating_sub(1)));
                let length_m = prices.figure(known.electrode_conductor_length).plus(between_m);
                line(known.electrode_conductor, length_m, "electrode: allowance electrode-conductor-length, and rods");
            }
            Work::LimiterSensor => line(known.limiter_sensor, one, "control: limiter on the incomer"),
            Work::GroupController => {
                line(known.group_controller, one, "control: group");
                line(known.limiter_sensor, one, "control: sensor of the group");
            }
            Work::JointBox | Work::TerminalBox => {
                line(box_item(arrangement, prices), Band::exact(counted.finals), "a box a final circuit");
            }
            Work::AsbestosSurvey => line(known.asbestos_survey, one, "year of building, and asbestos not recorded"),
            Work::FireStopping => line(known.fire_stopping, penetrations(counted), "walls on the route, at least one"),
            Work::NetworkLink => line(known.network_link, one, "no signal at the point"),
            // The operator makes no charge for an application of this kind; the hours are tasks.
            Work::Application => {}
        }
    }
}

fn box_item(arrangement: &Arrangement, prices: &PriceBook) -> ItemIndex {
    let largest = arrangement.runs.iter().map(|run| run.cable.csa_mm2).fold(0.0, f64::max);
    if largest > 16.0 { prices.known.joint_box_large } else { prices.known.joint_box_small }
}

/// Whether a data cable goes along with every run: to whatever follows the load, from its sensor.
pub(super) fn has_data_cable(arrangement: &Arrangement) -> bool {
    arrangement.works.iter().any(|work| matches!(work, Work::LimiterSensor | Work::GroupController))
}

/// Where the length of the data cable comes from.
pub(super) const DATA_BECAUSE: &str = "runs between the sensor and the points";

/// Tails are priced as a pair: three phases take two.
fn tails_sets(arrangement: &Arrangement) -> f64 {
    if arrangement.supply_phases == 3 { 2.0 } else { 1.0 }
}

/// How much of a bonding upgrade: a whole one where it is proven, else the share of places that need it.
pub(super) fn bonding(proven: bool, prices: &PriceBook) -> Band {
    if proven { Band::exact(1.0) } else { prices.figure(prices.known.bonding_share) }
}

/// Where that comes from.
pub(super) fn bonding_because(proven: bool) -> &'static str {
    if proven { "bonding stated too small" } else { "bonding not proven: the share of places that need it" }
}

/// Penetrations to stop: every hole, and at least one.
pub(super) fn penetrations(counted: &Quantities) -> Band {
    let holes = counted.holes;
    Band::new(holes.low.max(1.0), holes.likely.max(1.0), holes.high.max(1.0))
}
