//! What the design of one point was reckoned from, as plain figures: enough to reckon its checks a second time elsewhere.
//!
//! Read from the survey and the facts once an arrangement is chosen. It decides nothing.

use super::demand::DemandOrigin;
use super::facts::Facts;
use super::{Arrangement, Feed, Route};
use crate::quantity::{Band, U0_V};
use crate::rules::Rules;
use crate::site::{DemandMethod, DistanceFrom, EarthingSystem, Metering, Reading, Site};

/// The facts that the checks of one point take, resolved; what hangs on other facts stands beside what it hangs on.
#[derive(Clone, Debug, PartialEq)]
pub struct Basis {
    /// One home.
    pub home: bool,
    /// Phases of the supply: 1 or 3.
    pub supply_phases: u8,
    /// Cut-out or incoming device, amperes a phase.
    pub cutout_a: f64,
    /// The device was not stated and stands for the agreed capacity.
    pub cutout_from_capacity: bool,
    /// Agreed import capacity, kilovolt-amperes.
    pub capacity_kva: Option<f64>,
    /// The survey says that the supply is metered by current transformers or at high voltage.
    pub said_metered: bool,
    /// Existing demand on the worst phase against the cut-out, amperes.
    pub demand_a: Band,
    /// Recorded half-hour peak, amperes a phase, where one is stated: it is held against the agreed capacity.
    pub recorded_a: Option<Band>,
    /// How the demand came about.
    pub origin: DemandOrigin,
    /// How the survey says that demand was found; `None` where it does not.
    pub method: Option<DemandMethod>,
    /// Meter tails as stated, or what is taken for them, mm2.
    pub tails_mm2: f64,
    /// Route of the tails, or of an existing sub-main, metres.
    pub tails_m: f64,
    /// An isolator stands between meter and board.
    pub isolator: bool,
    /// Earthing offered; `None` when not known.
    pub earthing: Option<EarthingSystem>,
    /// The earthing was asked for and is not known.
    pub earthing_open: bool,
    /// Whether there is a place for an electrode; `None` when not known.
    pub electrode_place: Option<bool>,
    /// Stated external impedance, low and high end, ohms; on TT that of the electrode.
    pub stated_ze_ohm: Option<(f64, f64)>,
    /// Stated prospective current, its high end, kiloamperes.
    pub stated_fault_ka: Option<f64>,
    /// Existing sub-main: conductor mm2 and device A.
    pub submain: Option<(f64, f64)>,
    /// Main switch of the existing board, amperes.
    pub main_switch_a: Option<f64>,
    /// Main bonding as stated, mm2.
    pub bonding_mm2: Option<f64>,
    /// Earthing conductor as stated, mm2.
    pub earthing_conductor_mm2: Option<f64>,
    /// The route at its longest plausible length.
    pub route: Route,
    /// What a circuit fed from the intake runs indoors beyond that route, metres.
    pub before_route_m: f64,
    /// Current asked for, amperes a phase.
    pub asked_a: f64,
    /// Phases asked for.
    pub asked_phases: u8,
    /// Energy needed a day, kilowatt-hours.
    pub daily_kwh: f64,
    /// Hours in which it may be charged.
    pub window_h: f64,
}

impl Basis {
    /// The basis of a design of one point with a cable; `None` for any other.
    pub fn of(site: &Site, facts: &Facts, arrangement: &Arrangement) -> Option<Self> {
        if facts.wanted.points > 1 || arrangement.runs.is_empty() || arrangement.feed == Feed::Distribution {
            return None;
        }
        let ends = |reading: &Reading<f64>| reading.ends().map(|(low, _, high)| (*low, *high));
        let tt = facts.earthing == Some(EarthingSystem::Tt);
        let ze_ohm = if tt { facts.electrode_ohm } else { Some(facts.ze_ohm).filter(|_| facts.ze_stated) };
        // Where the design was made for one value of a doubtful reading, that value is both its ends.
        let low_ze = |high: f64| ends(&site.supply.ze_ohm).filter(|ends| ends.1 == high).map_or(high, |ends| ends.0);
        let from_board = facts.submain.is_some() && facts.distance_from != Some(DistanceFrom::Intake);
        Some(Self {
            home: facts.premises.is_home(),
            supply_phases: facts.supply_phases,
            cutout_a: facts.cutout_a,
            cutout_from_capacity: site.supply.cutout_rating_a.ends().is_none()
                && facts.capacity_a.is_some()
                && !facts.premises.is_home(),
            capacity_kva: facts.capacity_a.map(|amps| amps * U0_V * f64::from(facts.supply_phases) / 1000.0),
            said_metered: site.supply.metering.value().is_some_and(|metering| metering != Metering::WholeCurrent),
            demand_a: facts.demand.band_a,
            recorded_a: site.supply.recorded_peak_kva.ends().map(|_| facts.demand.against_capacity_a),
            origin: facts.demand.origin,
            method: site.load.demand_method.value(),
            tails_mm2: facts.tails_mm2.or(ends(&site.supply.tails_mm2).map(|ends| ends.0)).unwrap_or(UNKNOWN_TAILS_MM2),
            tails_m: facts.tails_m,
            isolator: facts.isolator,
            earthing: facts.earthing,
            earthing_open: facts.earthing_open,
            electrode_place: facts.electrode_position,
            stated_ze_ohm: ze_ohm.map(|high| (low_ze(high), high)),
            stated_fault_ka: ends(&site.supply.fault_level_ka).map(|ends| ends.1.min(facts.fault_level_ka)),
            submain: facts.submain,
            main_switch_a: facts.main_switch_a,
            bonding_mm2: facts.earth_sizes.bonding.stated_mm2,
            earthing_conductor_mm2: facts.earth_sizes.conductor.stated_mm2,
            route: facts.route.scaled_to(facts.distance_m.high),
            before_route_m: if arrangement.feed == Feed::AddedBoard && from_board { facts.tails_m } else { 0.0 },
            asked_a: facts.wanted.setting_a,
            asked_phases: facts.wanted.phases,
            daily_kwh: facts.wanted.daily_kwh,
            window_h: facts.wanted.window_h,
        })
    }
}

/// Tails of a supply whose tails nobody surveyed, mm2.
pub(super) const UNKNOWN_TAILS_MM2: f64 = 16.0;

/// What the rods of an electrode for the charge point come to in the rules' soil, with the season's margin, ohms.
pub fn rods_with_margin_ohm(rules: &Rules) -> f64 {
    super::rods::rod_design(rules).with_margin_ohm
}
