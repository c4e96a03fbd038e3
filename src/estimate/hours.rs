//! Person-hours of an arrangement, task by task, how long that keeps a crew on site, and visits that come to nothing.
//! It knows no materials.
//!
//! Which task holds which, so that nothing is counted twice, stands in DEVELOPERS.md under "Hours".

use super::price_book::{ItemIndex, PriceBook};
use super::quantities::{Quantities, Size, is_armoured, length_share, on_tray};
use super::take_off::{DATA_BECAUSE, bonding, bonding_because, has_data_cable, penetrations};
use super::types::{LabourBand, Place};
use crate::design::{Arrangement, EarthingPath, Feed, Run, RunRole, Work};
use crate::quantity::Band;
use crate::reference::CableFamily;

/// How long a crew is on site, at the likely hours.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct CrewTime {
    /// Hours on site with the crew at work, travel left out.
    pub hours: f64,
    /// Persons in the largest crew.
    pub persons: u8,
}

impl CrewTime {
    /// In the words of results.
    pub(super) fn band(self, counted: &Quantities, prices: &PriceBook) -> LabourBand {
        let day = prices.crew_day_h();
        match self.hours {
            _ if counted.trench_m.high > 0.0 => LabourBand::CivilWorks,
            hours if hours <= day / 2.0 => LabourBand::HalfDay,
            hours if hours <= day => LabourBand::Day,
            hours if hours <= 2.0 * day => LabourBand::TwoDays,
            _ => LabourBand::Longer,
        }
    }
}

/// Sends every task to `line`: task, how many, where that comes from. Answers how long the crew is on site.
pub(super) fn hours(
    arrangement: &Arrangement,
    place: &Place,
    counted: &Quantities,
    prices: &PriceBook,
    line: &mut impl FnMut(ItemIndex, Band, Band, &'static str),
) -> CrewTime {
    let known = &prices.known;
    let mut tasks = Vec::with_capacity(24);
    let mut task = |item: ItemIndex, count: Band, because| {
        if count.high > 0.0 {
            tasks.push((item, count, because));
        }
    };
    points(arrangement, counted, prices, &mut task);
    for run in &arrangement.runs {
        lay(run, length_share(run, arrangement, place), place, prices, &mut task);
    }
    if has_data_cable(arrangement) {
        let laid = |run| data_m(run, length_share(run, arrangement, place));
        task(known.lay_data, arrangement.runs.iter().map(laid).sum(), DATA_BECAUSE);
    }
    route(counted, place, prices, &mut task);
    works(arrangement, counted, prices, &mut task);
    task(known.test_first, Band::exact(1.0), "one installation");
    let further = f64::from(arrangement.points) - 1.0 + counted.boards;
    task(known.test_further, Band::exact(further), "further points, and boards at the parking");
    task(known.certificate, Band::exact(1.0), "one installation");
    task(
        if counted.home { known.liaison_home } else { known.liaison_site },
        Band::exact(1.0),
        "home or shared site, one",
    );
    if !counted.home && (counted.boards > 0.0 || arrangement.points > 1) {
        task(known.design_shared, Band::exact(1.0), "several points on one supply");
    }
    let on_site = |item: ItemIndex| prices.item(item).filter(|row| row.crew > 0);
    // A deeper trench than the one priced takes longer by its volume.
    let dig = known.dig(place.ground_surface);
    let depth = |item: ItemIndex| if dig == Some(item) { counted.depth } else { Band::exact(1.0) };
    let hours_of = |item: ItemIndex, count: Band| {
        on_site(item).map_or(0.0, |row| row.figure.likely * depth(item).likely * count.likely)
    };
    let sum: f64 = tasks.iter().map(|(item, count, _)| hours_of(*item, *count)).sum();
    let share = if counted.home { one_visit(sum, prices) } else { 1.0 };
    let mut crew = CrewTime::default();
    for (item, count, because) in tasks {
        match on_site(item) {
            Some(row) => {
                crew.hours += share * hours_of(item, count) / f64::from(row.crew);
                crew.persons = crew.persons.max(row.crew);
                line(item, count, depth(item).scaled(share), because);
            }
            None => line(item, count, Band::exact(1.0), because),
        }
    }
    // Each day on site is a visit of each person; a day that is begun counts.
    let days = (crew.hours / prices.crew_day_h()).ceil().max(1.0);
    let visits = days * f64::from(crew.persons.max(1));
    line(known.travel, Band::exact(visits), Band::exact(1.0), "days on site by the hours above, and persons");
    if counted.home {
        // A caretaker opens a shared site; at a home some appointments find nobody in: the share of them, by the
        // hours of a visit that comes to nothing.
        let lost = prices.figure(known.no_access_share).scaled(days);
        line(known.lost_visit, lost, Band::exact(1.0), "days on site, and the share of visits lost for want of access");
    }
    crew
}

/// Hours on site as a share of the sum of their tasks: what is done in one visit to a home is set up and cleared away
/// once, and its parts were timed one by one. The saving grows with the work up to that of a complete simple job, so
/// that more work never takes less time.
fn one_visit(sum_h: f64, prices: &PriceBook) -> f64 {
    let known = &prices.known;
    let share = prices.figure(known.one_visit_share).likely.clamp(0.0, 1.0);
    let saved_h = ((1.0 - share) * sum_h).min(prices.figure(known.one_visit_saving).likely);
    if sum_h > 0.0 { 1.0 - saved_h / sum_h } else { 1.0 }
}

/// Length over which a run's data cable is laid beside it, metres.
fn data_m(run: &Run, share: Band) -> Band {
    let route_m = share.scaled(run.indoor_m + run.surface_m + run.buried_m);
    route_m.plus(Band::exact(run.rises_m)).scaled(f64::from(run.count))
}

fn points(
    arrangement: &Arrangement,
    counted: &Quantities,
    prices: &PriceBook,
    task: &mut impl FnMut(ItemIndex, Band, &'static str),
) {
    let known = &prices.known;
    let mount = if arrangement.phases == 3 { known.mount_3ph } else { known.mount_1ph };
    task(mount, Band::exact(counted.wall_points + counted.posts), "points on a wall or post");
    task(known.set_post, Band::exact(counted.posts), "points that stand free by themselves");
    task(known.set_pedestal, Band::exact(counted.pedestals), "points that stand free in pairs");
    task(known.cast_base, Band::exact(counted.bases()), "posts, pedestals and pillars");
    task(known.fix_barrier, Band::exact(counted.barriers()), "points and pillars where vehicles manoeuvre");
    let points = Band::exact(f64::from(arrangement.points));
    if arrangement.earthing == EarthingPath::SupplyEarthOpenPenDevice {
        task(known.fit_open_pen, points, "a device a point");
    }
    match arrangement.feed {
        Feed::SpareWay => task(known.fit_device, points, "a way a final circuit"),
        Feed::AddedBoard => {
            let board = if arrangement.phases == 3 { known.fit_board_small_3ph } else { known.fit_board_small };
            task(board, Band::exact(1.0), "feed: small added board");
            task(known.fit_further_device, points, "a way a final circuit");
        }
        Feed::Distribution => {
            let board = if counted.pillar { known.set_pillar } else { known.fit_distribution_board };
            task(board, Band::exact(counted.boards), "feed: a board a sub-main at the parking");
            task(known.fit_further_device, points, "a way a final circuit");
        }
    }
    if arrangement.submain_device.is_some() {
        task(known.fit_submain_device, Band::exact(counted.boards.max(1.0)), "sub-mains and their devices");
    }
}

fn lay(
    run: &Run,
    share: Band,
    place: &Place,
    prices: &PriceBook,
    task: &mut impl FnMut(ItemIndex, Band, &'static str),
) {
    let known = &prices.known;
    let size = Size::to_lay(run.cable.csa_mm2);
    let count = f64::from(run.count);
    let metres = |length_m: f64| share.scaled(length_m * count);
    let in_conduit = run.cable.family == CableFamily::Singles;
    let clipped = size.pick(known.lay_clipped_small, known.lay_clipped_medium, known.lay_clipped_large);
    let indoors = size.pick(known.lay_indoors_small, known.lay_indoors_medium, known.lay_indoors_large);
    let in_ground = size.pick(known.lay_ground_small, known.lay_ground_medium, known.lay_ground_large);
    let tray = size.pick(known.lay_tray_small, known.lay_tray_medium, known.lay_tray_large);
    if on_tray(run, place, prices) {
        task(tray, metres(run.indoor_m + run.surface_m), "run above ground, on tray");
    } else {
        task(indoors, metres(run.indoor_m), "run indoors");
        // Singles are drawn into their conduit wherever it stands.
        let outdoors = if in_conduit { indoors } else { clipped };
        task(outdoors, metres(run.surface_m), "run on a surface outdoors");
    }
    if in_conduit {
        let conduit_m = metres(run.indoor_m + run.surface_m).plus(Band::exact(run.rises_m * count));
        task(known.erect_conduit, conduit_m, "length above ground and rises");
    }
    // Rises and ends are fixed like the surface they rise on.
    let rises = if is_armoured(run.cable.family) { clipped } else { indoors };
    task(rises, Band::exact(run.rises_m * count), "rises and ends");
    task(in_ground, metres(run.buried_m), "run in the ground");
    if is_armoured(run.cable.family) {
        let gland = Size::of_gland(run.cable.csa_mm2);
        let end = gland.pick(known.gland_end_small, known.gland_end_medium, known.gland_end_large);
        // Terminating the end at a charge point is part of mounting it.
        let ends = if run.role == RunRole::Final { 1.0 } else { 2.0 };
        task(end, Band::exact(ends * count), "armoured ends that no other task terminates");
    }
}

fn route(
    counted: &Quantities,
    place: &Place,
    prices: &PriceBook,
    task: &mut impl FnMut(ItemIndex, Band, &'static str),
) {
    let known = &prices.known;
    task(known.fit_tray, counted.tray_m, "route above ground that runs share");
    task(known.drill_wall, counted.holes, "walls on the route and the cables through them");
    if let Some(dig) = known.dig(place.ground_surface) {
        task(dig, counted.trench_m, "route in the ground");
    }
    task(known.build_draw_pit, counted.pits, "route in the ground by pit spacing");
}

fn works(
    arrangement: &Arrangement,
    counted: &Quantities,
    prices: &PriceBook,
    task: &mut impl FnMut(ItemIndex, Band, &'static str),
) {
    let known = &prices.known;
    let one = Band::exact(1.0);
    for work in &arrangement.works {
        match *work {
            Work::TailsUpgrade { .. } => task(known.replace_tails, one, "tails to be replaced"),
            Work::Isolator => task(known.fit_isolator, one, "no isolator there"),
            Work::BondingUpgrade { proven } => {
                task(known.upgrade_bonding, bonding(proven, prices), bonding_because(proven));
            }
            // In a distribution board that is fitted anyway, it is part of that.
            Work::SurgeProtection if counted.boards > 0.0 && !counted.pillar => {}
            Work::SurgeProtection => task(known.fit_surge, one, "surge protection not fitted"),
            Work::ArcFault => {
                task(known.fit_arc_fault, Band::exact(f64::from(arrangement.points)), "a device a socket-outlet");
            }
            Work::Electrode { rods } => task(known.drive_rod, Band::exact(f64::from(rods)), "rods of the electrode"),
            Work::LimiterSensor => task(known.fit_limiter, one, "control: limiter on the incomer"),
            Work::GroupController => task(known.set_up_group, one, "control: group"),
            Work::JointBox | Work::TerminalBox => {
                task(known.fit_joint_box, Band::exact(counted.finals), "a box a final circuit");
            }
            // The survey is bought whole.
            Work::AsbestosSurvey => {}
            Work::FireStopping => task(known.fire_stop, penetrations(counted), "walls on the route, at least one"),
            Work::NetworkLink => task(known.fit_link, one, "no signal at the point"),
            Work::Application => {
                let pack = if counted.home { known.application_home } else { known.application_site };
                task(pack, one, "operator: application instead of a notice");
            }
        }
    }
}
