//! One complete set of facts to design for: what the survey states, and for the rest a named assumption.
//!
//! Electrical figures keep their safe side whatever the stance: declared maximum Ze, 16 kA, 16 mm2 tails, bonding
//! unproven. Premises facts that nobody was asked take their most likely value; the odds carry that doubt.

use super::basis::UNKNOWN_TAILS_MM2;
use super::bonding::{Bonding, EarthSizes};
use super::demand::{Demand, existing_demand};
use super::half_hours::{HalfHourLoad, half_hour_load};
use super::place::shared_car_park;
use super::route::{Route, route};
use super::vehicles::VehicleGroup;
use super::wanted::{Wanted, wanted};
use crate::quantity::Band;
use crate::rules::Rules;
use crate::site::{
    BoardType, Condition, DistanceFrom, EarthingSystem, GroundSurface, Metering, ParkingType, Premises, RcdType, Site,
};
use serde::Serialize;
use std::sync::Arc;

/// A value that is not from the user's sheet.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Assumed {
    /// Survey field.
    pub field: &'static str,
    /// The value used, with its unit.
    pub value: String,
    /// Why that value, and from where.
    pub source: &'static str,
}

/// Everything the engine designs from.
#[derive(Clone, Debug)]
pub struct Facts {
    /// Kind of place.
    pub premises: Premises,
    /// Phases of the supply: 1 or 3.
    pub supply_phases: u8,
    /// Cut-out or incoming device, amperes a phase.
    pub cutout_a: f64,
    /// Agreed import capacity, amperes a phase; `None` where there is none.
    pub capacity_a: Option<f64>,
    /// Current-transformer or high-voltage metering, stated or by size.
    pub ct_metered: bool,
    /// Existing demand on the worst phase.
    pub demand: Demand,
    /// Meter tails, mm2; `None` where the question does not arise (over 100 A).
    pub tails_mm2: Option<f64>,
    /// Route of the tails from intake to board, metres.
    pub tails_m: f64,
    /// An isolator stands between meter and board.
    pub isolator: bool,
    /// Earthing offered; `None` when not known: the design then serves both TN and TT.
    pub earthing: Option<EarthingSystem>,
    /// The earthing was asked for and is not known.
    pub earthing_open: bool,
    /// Highest external earth-fault loop impedance of the TN supply, ohms.
    pub ze_ohm: f64,
    /// Whether that was stated; else it is the declared maximum.
    pub ze_stated: bool,
    /// Measured resistance of the consumer's electrode on a TT supply, ohms.
    pub electrode_ohm: Option<f64>,
    /// Whether there is a place for an electrode; `None` when not known.
    pub electrode_position: Option<bool>,
    /// Highest prospective fault current at the origin for breaking capacity, kiloamperes.
    pub fault_level_ka: f64,
    /// Whether a level was stated; else it is the declared maximum of the supply.
    pub fault_level_stated: bool,
    /// Fault current that decides energy let-through, kiloamperes.
    pub let_through_ka: f64,
    /// Main bonding and earthing conductor.
    pub bonding: Bonding,
    /// Their sizes, stated and needed.
    pub earth_sizes: EarthSizes,
    /// Make-up of the existing board; `None` where not known.
    pub board: Option<BoardType>,
    /// The existing board is reported doubtful.
    pub board_doubtful: bool,
    /// Parking that several households or users share.
    pub several_users: bool,
    /// A spare way of a board that may feed the point.
    pub spare_way: bool,
    /// Type of the residual-current device that protects the existing board; `None` where not known.
    pub board_rcd: Option<RcdType>,
    /// Main switch of the existing board, amperes; `None` where not stated.
    pub main_switch_a: Option<f64>,
    /// Solar panels or a battery store feed the installation: power may flow back through its devices.
    pub power_flows_back: bool,
    /// Surge protection is fitted.
    pub surge_protection: bool,
    /// Existing sub-main to the board the parking would be fed from: conductor mm2 and device A.
    pub submain: Option<(f64, f64)>,
    /// Cable route from intake or board to the point (or to the distribution board of several points).
    pub route: Route,
    /// Plausible ends of the route's length, metres.
    pub distance_m: Band,
    /// From where the route was measured; `None` where nobody said.
    pub distance_from: Option<DistanceFrom>,
    /// What a trench goes through.
    pub ground_surface: GroundSurface,
    /// Walls drilled.
    pub walls: u32,
    /// Where the vehicle stands.
    pub parking: ParkingType,
    /// Floors of the building; 0 when not known.
    pub storeys: f64,
    /// A shared car park under a roof.
    pub covered: bool,
    /// Whether an asbestos survey comes before drilling.
    pub asbestos_survey: bool,
    /// Whether there is no mobile or network signal.
    pub no_signal: bool,
    /// What is wanted.
    pub wanted: Wanted,
    /// The vehicles that several points charge; empty for one point.
    pub vehicles: Arc<[VehicleGroup]>,
    /// Existing load by half-hour; `None` for one point.
    pub half_hours: Option<Arc<HalfHourLoad>>,
}

/// The most likely facts of a site, and every value among them that is not from the sheet.
pub fn facts(site: &Site, rules: &Rules) -> (Facts, Vec<Assumed>) {
    let mut assumed = Vec::with_capacity(16);
    let mut note = |field: &'static str, value: String, source: &'static str| {
        assumed.push(Assumed { field, value, source });
    };
    let premises = site.premises();
    if !site.identity.premises_type.is_stated() {
        note("premises_type", premises.to_string(), "by what the row holds");
    }
    let home = premises.is_home();
    let supply_phases = match site.supply.supply_phases.value() {
        Some(phases) if phases >= 2.5 => 3,
        Some(_) => 1,
        None if home => {
            note("supply_phases", "1".into(), "97 % of homes (memory)");
            1
        }
        // One phase carries least: the safe side where nobody knows.
        None if site.supply.cutout_rating_a.value().is_some_and(|a| a > rules.supply.ct_metering_above_a) => {
            note("supply_phases", "3".into(), "a supply over 100 A has three phases (common practice)");
            3
        }
        None => {
            note(
                "supply_phases",
                if premises == Premises::Block { "1" } else { "3" }.into(),
                "most likely for the premises (memory)",
            );
            if premises == Premises::Block { 1 } else { 3 }
        }
    };
    let capacity_kva = site.supply.agreed_capacity_kva.ends().map(|(low, _, _)| *low);
    let capacity_a = capacity_kva.map(|kva| crate::quantity::kva_to_amps(kva, supply_phases));
    let cutout_a = cutout(site, capacity_a, home, &mut note);
    let said_metered = site.supply.metering.value().is_some_and(|metering| metering != Metering::WholeCurrent);
    let ct_metered = said_metered || cutout_a > rules.supply.ct_metering_above_a;
    let demand = existing_demand(site, supply_phases, capacity_a, cutout_a, rules, &mut note);
    let tails_mm2 = tails(site, cutout_a, rules, &mut note);
    let tails_m = site.board.meter_to_board_m.ends().map(|(_, _, high)| *high).unwrap_or_else(|| {
        note("meter_to_board_m", format!("{} m", rules.route.assumed_tails_m), "usual tails (memory)");
        rules.route.assumed_tails_m
    });
    let isolator = site.supply.isolator_present.value().unwrap_or_else(|| {
        note("isolator_present", "no".into(), "half of homes have none; assuming one would hide a step (memory)");
        false
    });
    // "PME or a rod" names two systems: neither is taken, and the design serves both as for one that is not known.
    let two_systems = site.supply.earthing_system.ends().is_some_and(|(low, _, high)| low != high);
    let earthing = site.supply.earthing_system.value().filter(|_| !two_systems);
    if !site.supply.earthing_system.was_asked() {
        note(
            "earthing_system",
            "PME or TN-S, open PEN answered".into(),
            "nobody was asked: the harsher figure of each",
        );
    }
    let stated_ze = site.supply.ze_ohm.ends().map(|(_, _, high)| *high);
    let ze_ohm = match (earthing, stated_ze) {
        (Some(EarthingSystem::Tt), _) => rules.circuit.declared_ze_tn_s_ohm,
        (_, Some(ze)) => ze,
        (Some(EarthingSystem::TnCS), None) => {
            note(
                "ze_ohm",
                format!("{} Ω", rules.circuit.declared_ze_tn_c_s_ohm),
                "declared maximum for TN-C-S (print)",
            );
            rules.circuit.declared_ze_tn_c_s_ohm
        }
        (_, None) => {
            note("ze_ohm", format!("{} Ω", rules.circuit.declared_ze_tn_s_ohm), "declared maximum for TN-S (print)");
            rules.circuit.declared_ze_tn_s_ohm
        }
    };
    let stated_fault_ka = site.supply.fault_level_ka.ends().map(|(_, _, high)| *high);
    let fault_level_ka = stated_fault_ka.unwrap_or_else(|| {
        let declared = if supply_phases == 3 || cutout_a > 100.0 {
            rules.circuit.fault_level_three_phase_ka
        } else {
            rules.circuit.fault_level_single_phase_ka
        };
        note("fault_level_ka", format!("{declared} kA"), "declared maximum of the supply (print)");
        declared
    });
    let low_ze = match (earthing, stated_ze) {
        (Some(EarthingSystem::TnCS | EarthingSystem::TnS) | None, Some(ze)) => ze.min(rules.circuit.ze_low_ohm),
        _ => rules.circuit.ze_low_ohm,
    };
    // A supply over 100 A a phase may stand near its transformer: the lowest credible impedance of a home says nothing
    // there, and the declared level is taken for conductors too.
    let large = cutout_a > rules.supply.ct_metering_above_a;
    let by_impedance_ka = crate::quantity::U0_V / low_ze.max(0.001) / 1000.0;
    // A stated level below what the stated impedance lets flow is contradicted by it: the higher current counts.
    let by_stated_ze_ka = match (earthing, site.supply.ze_ohm.ends()) {
        (Some(EarthingSystem::Tt), _) | (_, None) => 0.0,
        (_, Some((low, _, _))) => crate::quantity::U0_V / low.max(0.001) / 1000.0,
    };
    let let_through_ka =
        stated_fault_ka.map_or(if large { fault_level_ka } else { by_impedance_ka }, |ka| ka.max(by_stated_ze_ka));
    let fault_level_ka = fault_level_ka.max(by_stated_ze_ka);
    let earth_sizes = EarthSizes::of(site, earthing, cutout_a, rules);
    let bonding = earth_sizes.state();
    if bonding == Bonding::Unproven {
        note(
            "main_bonding_mm2",
            "unproven".into(),
            "bonding or earthing conductor not stated or not proven for the supply: priced as likely to need work",
        );
    }
    let spare_way = site.board.spare_ways.value().is_some_and(|ways| ways >= 1.0)
        && !site.board.board_type.is(BoardType::Rewireable)
        && !site.board.board_condition.is(Condition::Unsafe)
        && site.board.board_rcd_type.is_stated();
    let (wanted, vehicles) = wanted(site, premises, rules, &mut note);
    let vehicles: Arc<[VehicleGroup]> = vehicles.into();
    let half_hours =
        (wanted.points > 1).then(|| Arc::new(half_hour_load(site, premises, supply_phases, rules, &mut note)));
    let parking = site.parking.parking_type.value().unwrap_or_else(|| {
        let likely = if home { ParkingType::Driveway } else { ParkingType::Communal };
        note("parking_type", likely.to_string(), "most likely for the premises (memory)");
        likely
    });
    let (mut route, distance_m) = route(site, parking, home, rules, &mut note);
    let ground_surface = site.parking.ground_surface.value().unwrap_or_else(|| {
        let word = if home { &rules.route.home_ground_surface } else { &rules.route.ground_surface };
        let surface = GroundSurface::from_word(word).unwrap_or(GroundSurface::Tarmac);
        if route.buried_m > 0.0 {
            note("ground_surface", surface.to_string(), "usual ground of such parking (memory)");
        }
        surface
    });
    // Under a hard surface each cable lies in a duct of its own; in soft ground they are laid bare.
    route.ducted = ground_surface != GroundSurface::Soft;
    let walls = site.parking.walls.value().map_or_else(
        || {
            note("walls", "1".into(), "one wall between board and parking (memory)");
            1
        },
        |walls| walls.max(0.0) as u32,
    );
    let covered = site.parking.covered_parking.is(true);
    let facts = Facts {
        premises,
        supply_phases,
        cutout_a,
        capacity_a,
        ct_metered,
        demand,
        tails_mm2,
        tails_m,
        isolator,
        earthing,
        earthing_open: site.supply.earthing_system.is_unknown() || two_systems,
        ze_ohm,
        ze_stated: stated_ze.is_some(),
        electrode_ohm: if earthing == Some(EarthingSystem::Tt) { stated_ze } else { None },
        electrode_position: site.supply.electrode_position.value(),
        fault_level_ka,
        fault_level_stated: stated_fault_ka.is_some(),
        let_through_ka,
        bonding,
        earth_sizes,
        board: site.board.board_type.value(),
        board_doubtful: site.board.board_condition.is(Condition::Doubtful),
        several_users: shared_car_park(site, premises),
        spare_way,
        board_rcd: site.board.board_rcd_type.value(),
        main_switch_a: site.board.board_main_switch_a.ends().map(|(low, _, _)| *low),
        power_flows_back: [&site.load.solar_kw, &site.load.battery_kw]
            .iter()
            .any(|reading| reading.ends().is_some_and(|(_, _, high)| *high > 0.0)),
        surge_protection: site.board.surge_protection.is(true),
        submain: site.board.submain_mm2.value().zip(site.board.submain_device_a.value()),
        route,
        distance_m,
        distance_from: site.parking.distance_from.value(),
        ground_surface,
        walls,
        parking,
        storeys: site.parking.storeys.value().unwrap_or(0.0),
        covered,
        asbestos_survey: asbestos_survey(site, rules),
        no_signal: site.parking.mobile_signal.is(false),
        wanted,
        vehicles,
        half_hours,
    };
    (facts, assumed)
}

/// Whether drilling waits for an asbestos survey: built before 2000 or year not known, and no record either way.
pub(super) fn asbestos_survey(site: &Site, rules: &Rules) -> bool {
    let old = site.permissions.year_built.ends().is_none_or(|(low, _, _)| *low < rules.policy.asbestos_before_year);
    old && !site.permissions.asbestos_on_route.is_stated()
}

/// How a value that is not from the sheet is recorded: field, value, source.
pub(super) type Note<'a> = &'a mut dyn FnMut(&'static str, String, &'static str);

fn cutout(site: &Site, capacity_a: Option<f64>, home: bool, note: Note<'_>) -> f64 {
    /// Design value of an unknown domestic cut-out (survey practice: 60 to 100 A, 60 as the design value).
    const UNKNOWN_A: f64 = 60.0;
    match (site.supply.cutout_rating_a.ends(), capacity_a) {
        (Some((low, _, _)), _) => *low,
        // An agreed capacity without a stated incoming device: the device is at least that large.
        (None, Some(capacity_a)) if !home => {
            note("cutout_rating_a", format!("{capacity_a:.0} A"), "incoming device not stated: the agreed capacity");
            capacity_a
        }
        (None, _) => {
            note(
                "cutout_rating_a",
                format!("{UNKNOWN_A} A"),
                "not known: 60 to 100 A with 60 as the design value (memory)",
            );
            UNKNOWN_A
        }
    }
}

fn tails(site: &Site, cutout_a: f64, rules: &Rules, note: Note<'_>) -> Option<f64> {
    if cutout_a > rules.supply.tails_25mm2_serve_a {
        return None;
    }
    Some(site.supply.tails_mm2.ends().map(|(low, _, _)| *low).unwrap_or_else(|| {
        note("tails_mm2", format!("{UNKNOWN_TAILS_MM2} mm²"), "not known: 16 mm² serves 80 A (memory)");
        UNKNOWN_TAILS_MM2
    }))
}
