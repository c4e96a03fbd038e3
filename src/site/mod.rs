//! The survey model: what one row says about one site, every value with whether it was stated, asked or never asked.
//!
//! A `Site` is what the user's sheet says, no more: nothing here is assumed. Assumptions are made by the rooms that
//! need them, and recorded as such. This room knows `quantity` only.

mod contradiction;
mod distributor;
mod elsewhere;
mod feeder;
mod fields;
mod fleet;
mod mpan;
mod outcome;
mod postcode;
mod profile;
mod reading;
mod words;

pub use contradiction::Contradiction;
pub use distributor::distributors_named;
pub use elsewhere::{Cited, Conflict, Elsewhere};
pub use feeder::Feeder;
pub use fields::{Field, FieldKind, fields};
pub use fleet::VehicleGroup;
pub use mpan::{distributor_of_mpan, mpan_check_digit_ok};
pub use outcome::{NotLearned, Outcome};
pub use postcode::{distributor_elsewhere, distributors_at};
pub use profile::{HALF_HOURS, Profile, ProfilePeak, ProfileUnit};
pub use reading::{Answer, Reading, WhyUnknown};
pub use words::*;

use jiff::civil::Date;
use std::collections::BTreeMap;

/// One row to be judged: one home, or one car park served from one supply.
#[derive(Clone, Debug, Default)]
pub struct Site {
    /// The sheet of the user's file among those that are read, counted from 0; 0 where only one is.
    pub sheet: u16,
    /// Row in the user's sheet, counted from 1 as spreadsheet programs show it.
    pub row: u32,
    /// The user's own key, or one made from the row when none is given (never empty, unique in a portfolio).
    pub site_id: String,
    /// Whether `site_id` was made by us.
    pub site_id_made: bool,
    /// Who, where and how surveyed.
    pub identity: Identity,
    /// The incoming supply.
    pub supply: Supply,
    /// Existing loads.
    pub load: Load,
    /// The board and what feeds it.
    pub board: Board,
    /// Parking and the cable route.
    pub parking: Parking,
    /// Permissions, age and asbestos.
    pub permissions: Permissions,
    /// What is wanted.
    pub wanted: Wanted,
    /// Values that came from other files than the portfolio.
    pub elsewhere: Vec<Elsewhere>,
    /// Where files disagree about this site.
    pub conflicts: Vec<Conflict>,
    /// Half-hourly import, where a file of half-hours was read for it.
    pub profile: Option<Box<Profile>>,
    /// Vehicle groups, where a fleet sheet names the site.
    pub fleet: Vec<VehicleGroup>,
    /// Answers that contradict one another.
    pub contradictions: Vec<Contradiction>,
    /// Fields whose answer is the same down a whole street or sheet: copied down rather than looked at.
    pub copied_down: Vec<&'static str>,
}

impl Site {
    /// Whether this is one home (a house or a flat): the 60 A threshold of the operators' process is for homes.
    /// A row whose premises type is not given is taken as a home when it wants one point and names no agreed capacity.
    pub fn is_home(&self) -> bool {
        self.premises().is_home()
    }

    /// The premises type as stated, else by what the row holds: an agreed capacity or several points make a workplace,
    /// anything else a house.
    pub fn premises(&self) -> Premises {
        match self.identity.premises_type.stated() {
            Some(stated) => *stated,
            None if self.supply.agreed_capacity_kva.is_stated()
                || self.wanted.points_wanted.value().is_some_and(|points| points > 1.0) =>
            {
                Premises::Workplace
            }
            None => Premises::House,
        }
    }
}

/// Sites by their sheet and row.
pub fn by_row(sites: &[Site]) -> BTreeMap<(u16, u32), &Site> {
    sites.iter().map(|site| ((site.sheet, site.row), site)).collect()
}

/// Who, where and how surveyed.
#[derive(Clone, Debug, Default)]
#[allow(missing_docs)] // the column names of the contract say what each is
pub struct Identity {
    pub uprn: Reading<String>,
    pub address: Reading<String>,
    pub postcode: Reading<String>,
    pub nation: Reading<String>,
    pub premises_type: Reading<Premises>,
    pub tenure: Reading<Tenure>,
    pub lot: Reading<String>,
    pub priority: Reading<f64>,
    pub survey_date: Reading<Date>,
    pub survey_method: Reading<SurveyMethod>,
    pub latitude: Reading<f64>,
    pub longitude: Reading<f64>,
    pub notes: Reading<String>,
    pub override_verdict: Reading<Verdict>,
    pub override_by: Reading<String>,
    pub override_date: Reading<Date>,
    pub override_why: Reading<String>,
}

/// The incoming supply.
#[derive(Clone, Debug, Default)]
#[allow(missing_docs)]
pub struct Supply {
    pub mpan: Reading<String>,
    pub distributor: Reading<String>,
    pub metering: Reading<Metering>,
    pub supply_present: Reading<bool>,
    pub unmetered: Reading<bool>,
    pub supply_phases: Reading<f64>,
    pub cutout_rating_a: Reading<f64>,
    pub cutout_evidence: Reading<CutoutEvidence>,
    pub cutout_condition: Reading<Condition>,
    pub looped_service: Reading<bool>,
    pub tails_mm2: Reading<f64>,
    pub isolator_present: Reading<bool>,
    pub earthing_system: Reading<EarthingSystem>,
    pub ze_ohm: Reading<f64>,
    pub electrode_position: Reading<bool>,
    pub fault_level_ka: Reading<f64>,
    pub main_bonding_mm2: Reading<f64>,
    pub agreed_capacity_kva: Reading<f64>,
    pub recorded_peak_kva: Reading<f64>,
    pub feeder_id: Reading<String>,
}

/// Existing loads.
#[derive(Clone, Debug, Default)]
#[allow(missing_docs)]
pub struct Load {
    pub existing_demand_a: Reading<f64>,
    pub existing_demand_kw: Reading<f64>,
    pub demand_method: Reading<DemandMethod>,
    pub bedrooms: Reading<f64>,
    pub heating: Reading<Heating>,
    pub shower_kw: Reading<f64>,
    pub cooker_kw: Reading<f64>,
    pub water_heater_kw: Reading<f64>,
    pub heat_pump_kw: Reading<f64>,
    pub solar_kw: Reading<f64>,
    pub battery_kw: Reading<f64>,
    pub existing_charge_points: Reading<f64>,
}

/// The board and what feeds it.
#[derive(Clone, Debug, Default)]
#[allow(missing_docs)]
pub struct Board {
    pub board_type: Reading<BoardType>,
    pub board_condition: Reading<Condition>,
    pub board_main_switch_a: Reading<f64>,
    pub earthing_conductor_mm2: Reading<f64>,
    pub condition_report: Reading<ConditionReport>,
    pub condition_report_date: Reading<Date>,
    pub submain_mm2: Reading<f64>,
    pub submain_device_a: Reading<f64>,
    pub spare_ways: Reading<f64>,
    pub board_rcd_type: Reading<RcdType>,
    pub surge_protection: Reading<bool>,
    pub meter_to_board_m: Reading<f64>,
}

/// Parking and the cable route.
#[derive(Clone, Debug, Default)]
#[allow(missing_docs)]
pub struct Parking {
    pub parking_type: Reading<ParkingType>,
    pub bays: Reading<f64>,
    pub parking_distance_m: Reading<f64>,
    pub distance_from: Reading<DistanceFrom>,
    pub route_indoor_m: Reading<f64>,
    pub route_surface_m: Reading<f64>,
    pub route_buried_m: Reading<f64>,
    pub ground_surface: Reading<GroundSurface>,
    pub walls: Reading<f64>,
    pub insulated_length_m: Reading<f64>,
    pub ambient_c: Reading<f64>,
    pub grouped_circuits: Reading<f64>,
    pub covered_parking: Reading<bool>,
    pub storeys: Reading<f64>,
    pub inlet_position: Reading<String>,
    pub parking_orientation: Reading<String>,
    pub tethered: Reading<bool>,
    pub mobile_signal: Reading<bool>,
}

/// Permissions, age and asbestos.
#[derive(Clone, Debug, Default)]
#[allow(missing_docs)]
pub struct Permissions {
    pub listed: Reading<bool>,
    pub consent_status: Reading<ConsentStatus>,
    pub wayleave_status: Reading<ConsentStatus>,
    pub year_built: Reading<f64>,
    pub asbestos_on_route: Reading<bool>,
}

/// What is wanted.
#[derive(Clone, Debug, Default)]
#[allow(missing_docs)]
pub struct Wanted {
    pub points_wanted: Reading<f64>,
    /// Kilowatts as a name: 3.6 and 3.7 mean 16 A, 7 to 7.4 mean 32 A, 11 means 3 x 16 A, 22 means 3 x 32 A.
    pub requested_kw: Reading<f64>,
    pub vehicles: Reading<f64>,
    pub daily_miles: Reading<f64>,
    pub miles_per_kwh: Reading<f64>,
    /// Hours after midnight, 0 to 24.
    pub arrive: Reading<f64>,
    /// Hours after midnight, 0 to 24.
    pub depart: Reading<f64>,
}
