//! What a design comes to in counted things: points on posts or walls, trench, holes, tray. Materials and hours both
//! read these, so that they cannot disagree. It knows no prices beyond the allowances of the price book.

use super::price_book::PriceBook;
use super::types::Place;
use crate::design::{Arrangement, Feed, Run, RunRole};
use crate::quantity::Band;
use crate::reference::CableFamily;
use crate::site::{GroundSurface, ParkingType, Premises};

/// Conductor size class, after which hours and fixings are priced.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Size {
    Small,
    Medium,
    Large,
}

impl Size {
    /// By weight in the hand: how cable is laid and fixed. Bounds as the price book describes its lines.
    pub(super) fn to_lay(csa_mm2: f64) -> Size {
        Self::within(csa_mm2, 10.0, 35.0)
    }

    /// By the gland it takes. Bounds as the price book describes its lines.
    pub(super) fn of_gland(csa_mm2: f64) -> Size {
        Self::within(csa_mm2, 6.0, 25.0)
    }

    fn within(csa_mm2: f64, small: f64, medium: f64) -> Size {
        if csa_mm2 <= small {
            Size::Small
        } else if csa_mm2 <= medium {
            Size::Medium
        } else {
            Size::Large
        }
    }

    /// One of three by size.
    pub(super) fn pick<T>(self, small: T, medium: T, large: T) -> T {
        match self {
            Size::Small => small,
            Size::Medium => medium,
            Size::Large => large,
        }
    }
}

/// Counted things of one arrangement at one place.
#[derive(Clone, Copy, Debug)]
pub(super) struct Quantities {
    /// A house or a flat.
    pub home: bool,
    /// Points on walls or columns.
    pub wall_points: f64,
    /// Points on a post of their own.
    pub posts: f64,
    /// Pedestals of two points.
    pub pedestals: f64,
    /// Whether those boards stand outdoors in pillars.
    pub pillar: bool,
    /// Distribution boards at the parking: one a sub-main.
    pub boards: f64,
    /// Length of trench, metres; like runs share it.
    pub trench_m: Band,
    /// Depth of that trench as a share of the depth that the price book prices: its volume a metre goes by it.
    pub depth: Band,
    /// By what the price of a metre of trench differs for it: the making good of the surface costs the same.
    pub trench_price: Band,
    /// Length of duct, metres; none in soft ground, where cable is laid direct.
    pub duct_m: Band,
    /// Draw pits.
    pub pits: Band,
    /// Length of tray, metres; like runs share it.
    pub tray_m: Band,
    /// Cored holes.
    pub holes: Band,
    /// Final circuits.
    pub finals: f64,
    /// Whether a run lies above reach and not on tray, whose hours have their access equipment in them.
    pub out_of_reach: bool,
}

impl Quantities {
    pub(super) fn of(arrangement: &Arrangement, place: &Place, prices: &PriceBook) -> Self {
        let home = place.premises.is_home();
        let points = f64::from(arrangement.points);
        let runs = &arrangement.runs;
        let final_in_ground = runs.iter().any(|run| run.role == RunRole::Final && run.buried_m > 0.0);
        // A home's driveway or garage has a wall; elsewhere a point whose cable comes out of the ground stands free.
        let on_ground = final_in_ground
            && !place.covered
            && match place.parking_type {
                Some(ParkingType::Driveway | ParkingType::Garage) => false,
                Some(ParkingType::Allocated | ParkingType::Communal | ParkingType::OnStreet) => true,
                Some(ParkingType::None) | None => !home,
            };
        let pedestals = if on_ground && !home { (points / 2.0).floor() } else { 0.0 };
        let posts = if on_ground { points - 2.0 * pedestals } else { 0.0 };
        let submain = runs.iter().find(|run| run.role == RunRole::SubMain);
        let boards =
            if arrangement.feed == Feed::Distribution { submain.map_or(1.0, |run| f64::from(run.count)) } else { 0.0 };
        let pillar = boards > 0.0 && !place.covered && submain.is_some_and(|run| run.buried_m > 0.0);
        let total = |of: &dyn Fn(&Run) -> f64| -> Band {
            runs.iter().map(|run| length_share(run, arrangement, place).scaled(of(run))).sum()
        };
        let trench_m = total(&|run| way_m(run, run.buried_m, place));
        let ducted = place.ground_surface != GroundSurface::Soft;
        // A shared site gets one spare duct along the way.
        let spare_m = if home { Band::exact(0.0) } else { trench_m };
        let ducts_m = total(&|run| run.buried_m * f64::from(run.count)).plus(spare_m);
        let known = &prices.known;
        let spacing_m = prices.figure(known.draw_pit_spacing).likely.max(1.0);
        let tray_m = total(&|run| {
            if on_tray(run, place, prices) { way_m(run, run.indoor_m + run.surface_m, place) } else { 0.0 }
        });
        let none = Band::exact(0.0);
        let depth = depth(place.ground_surface, prices);
        let deeper = prices.figure(known.trench_depth_share).likely.clamp(0.0, 1.0);
        let finals =
            runs.iter().rev().find(|run| run.role == RunRole::Final).map_or(points, |run| f64::from(run.count));
        // Walls lie on the way from the origin: on the sub-main where there is one, else on the final circuits.
        let through = submain.map_or(finals, |run| f64::from(run.count));
        let cores = (through / prices.figure(known.cables_a_core).likely.max(1.0)).ceil().max(1.0);
        Self {
            home,
            wall_points: points - posts - 2.0 * pedestals,
            posts,
            pedestals,
            boards,
            pillar,
            trench_m,
            depth,
            trench_price: Band::exact(1.0 - deeper).plus(depth.scaled(deeper)),
            duct_m: if ducted { ducts_m } else { none },
            pits: if ducted { floor(trench_m.scaled(1.0 / spacing_m)) } else { none },
            tray_m,
            holes: place.walls.scaled(cores),
            finals,
            out_of_reach: runs.iter().any(|run| is_out_of_reach(run, place, prices)),
        }
    }

    /// Concrete bases: of posts, pedestals and pillars.
    pub(super) fn bases(&self) -> f64 {
        self.posts + self.pedestals + if self.pillar { self.boards } else { 0.0 }
    }

    /// Barriers: one for whatever stands on the ground (what has a base), and a wheel stop for each wall point of a
    /// shared car park.
    pub(super) fn barriers(&self) -> f64 {
        self.bases() + if self.home { 0.0 } else { self.wall_points }
    }
}

/// Depth of a trench as a share of the depth at which it is priced; 1 where the book prices it at none.
fn depth(surface: GroundSurface, prices: &PriceBook) -> Band {
    let Some((dug, priced)) = prices.known.depths(surface) else { return Band::exact(1.0) };
    let (dug, priced_m) = (prices.figure(dug), prices.figure(priced).likely);
    if priced_m > 0.0 {
        Band { low: dug.low / priced_m, likely: dug.likely / priced_m, high: dug.high / priced_m }
    } else {
        Band::exact(1.0)
    }
}

fn floor(band: Band) -> Band {
    Band { low: band.low.floor(), likely: band.likely.floor(), high: band.high.floor() }
}

/// Share of a run's designed length: the doubt lies on the way from the origin, not on the circuits from a
/// distribution board on to its points.
pub(super) fn length_share(run: &Run, arrangement: &Arrangement, place: &Place) -> Band {
    let beyond_board = run.role == RunRole::Final && arrangement.feed == Feed::Distribution;
    if beyond_board { Band::exact(1.0) } else { place.length_share }
}

/// Length of the way that like runs share over a part of them `part_m` long.
///
/// Final circuits of a car park have the mean length of a row of bays fed from its middle: m = s + w / 4, with w the
/// width of the row and s the way to it. The way that holds them all is s + w = m + 3 w / 4.
fn way_m(run: &Run, part_m: f64, place: &Place) -> f64 {
    if run.role == RunRole::Final && run.count > 1 && part_m > 0.0 {
        part_m + 0.75 * place.bay_pitch_m * f64::from(run.count - 1)
    } else {
        part_m
    }
}

/// Whether a run lies on tray: in covered parking, and where several like runs go the same way at a shared site.
pub(super) fn on_tray(run: &Run, place: &Place, prices: &PriceBook) -> bool {
    !place.premises.is_home()
        && run.cable.family != CableFamily::Singles
        && (place.covered || f64::from(run.count) >= prices.figure(prices.known.tray_from_runs).likely)
}

/// Whether a run needs a tower or platform: under the ceiling of covered parking, or down the front of a building of
/// flats. Tray is always counted with its own.
fn is_out_of_reach(run: &Run, place: &Place, prices: &PriceBook) -> bool {
    let shared = !place.premises.is_home();
    let high = place.storeys >= prices.figure(prices.known.access_from_storeys).likely;
    let under_ceiling = shared && place.covered && run.indoor_m + run.surface_m > 0.0;
    let down_the_front = place.premises == Premises::Flat && high && run.surface_m > 0.0;
    (under_ceiling || down_the_front) && !on_tray(run, place, prices)
}

/// Whether a cable is armoured.
pub(super) fn is_armoured(family: CableFamily) -> bool {
    matches!(family, CableFamily::ArmouredXlpe | CableFamily::ArmouredPvc)
}
