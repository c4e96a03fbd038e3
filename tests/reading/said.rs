//! What an intake says in one field of one site, as plain text, whatever the type of the field; and whether that is
//! what was expected. The list of fields here is written out a second time on purpose: it shares nothing with the
//! reader's own list.

use baywright::site::{Answer, Reading, Site, WhyUnknown};
use jiff::civil::Date;

/// An answer as text: numbers to three decimals, words as the contract spells them, dates as year-month-day.
#[derive(Clone, Debug, PartialEq)]
pub enum Said {
    NotAsked,
    Unknown(WhyUnknown),
    Stated(String),
    Doubtful { low: String, likely: String, high: String },
}

impl std::fmt::Display for Said {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Said::NotAsked => write!(f, "not asked"),
            Said::Unknown(why) => write!(f, "unknown ({why:?})"),
            Said::Stated(value) => write!(f, "{value}"),
            Said::Doubtful { low, likely, high } => write!(f, "{low}..{high} likely {likely}"),
        }
    }
}

impl Said {
    /// The value, stated with or without doubt.
    pub fn likely(&self) -> Option<&str> {
        match self {
            Said::Stated(value) | Said::Doubtful { likely: value, .. } => Some(value),
            _ => None,
        }
    }
}

/// A value that can be written.
trait Written {
    fn written(&self) -> String;
}

impl Written for f64 {
    fn written(&self) -> String {
        let rounded = (self * 1000.0).round() / 1000.0;
        format!("{rounded}")
    }
}
impl Written for bool {
    fn written(&self) -> String {
        if *self { "yes" } else { "no" }.to_owned()
    }
}
impl Written for String {
    fn written(&self) -> String {
        self.clone()
    }
}
impl Written for Date {
    fn written(&self) -> String {
        self.to_string()
    }
}

macro_rules! written_by_word {
    ($($kind:ident),+) => {
        $(impl Written for baywright::site::$kind {
            fn written(&self) -> String {
                self.word().to_owned()
            }
        })+
    };
}
written_by_word!(
    Premises,
    Tenure,
    SurveyMethod,
    Metering,
    CutoutEvidence,
    Condition,
    EarthingSystem,
    DemandMethod,
    Heating,
    BoardType,
    ConditionReport,
    RcdType,
    ParkingType,
    DistanceFrom,
    GroundSurface,
    ConsentStatus,
    Verdict
);

fn of<T: Written>(reading: &Reading<T>) -> Said {
    match &reading.answer {
        Answer::NotAsked => Said::NotAsked,
        Answer::Unknown(why) => Said::Unknown(*why),
        Answer::Stated(value) => Said::Stated(value.written()),
        Answer::Doubtful { low, likely, high } => {
            Said::Doubtful { low: low.written(), likely: likely.written(), high: high.written() }
        }
    }
}

macro_rules! fields {
    ($($group:ident: $($field:ident),+;)+) => {
        /// What a site says in the field of this name.
        pub fn said(site: &Site, field: &str) -> Said {
            match field {
                "site_id" => Said::Stated(site.site_id.clone()),
                $($(stringify!($field) => of(&site.$group.$field),)+)+
                other => panic!("nobody knows the field {other:?}"),
            }
        }
        /// Every field there is, but the key.
        pub const FIELDS: &[&str] = &[$($(stringify!($field)),+),+];
    };
}

fields! {
    identity: uprn, address, postcode, nation, premises_type, tenure, lot, priority, survey_date, survey_method,
        latitude, longitude, notes, override_verdict, override_by, override_date, override_why;
    supply: mpan, distributor, metering, supply_present, unmetered, supply_phases, cutout_rating_a, cutout_evidence,
        cutout_condition, looped_service, tails_mm2, isolator_present, earthing_system, ze_ohm, electrode_position,
        fault_level_ka, main_bonding_mm2, agreed_capacity_kva, recorded_peak_kva, feeder_id;
    load: existing_demand_a, existing_demand_kw, demand_method, bedrooms, heating, shower_kw, cooker_kw,
        water_heater_kw, heat_pump_kw, solar_kw, battery_kw, existing_charge_points;
    board: board_type, board_condition, board_main_switch_a, earthing_conductor_mm2, condition_report,
        condition_report_date, submain_mm2, submain_device_a, spare_ways, board_rcd_type, surge_protection,
        meter_to_board_m;
    parking: parking_type, bays, parking_distance_m, distance_from, route_indoor_m, route_surface_m, route_buried_m,
        ground_surface, walls, insulated_length_m, ambient_c, grouped_circuits, covered_parking, storeys,
        inlet_position, parking_orientation, tethered, mobile_signal;
    permissions: listed, consent_status, wayleave_status, year_built, asbestos_on_route;
    wanted: points_wanted, requested_kw, vehicles, daily_miles, miles_per_kwh, arrive, depart;
}

/// Whether two values are the same: as text, or as numbers within a ten-thousandth.
pub fn same(a: &str, b: &str) -> bool {
    match (a.parse::<f64>(), b.parse::<f64>()) {
        (Ok(x), Ok(y)) if !a.starts_with('0') || a.len() < 3 || a.contains('.') => {
            (x - y).abs() <= 1e-4 * x.abs().max(y.abs()) + 6e-4
        }
        _ => a == b,
    }
}

/// Whether what was said meets an expectation of the corpus. The README beside this file lists the forms.
pub fn meets(said: &Said, wanted: &str) -> bool {
    let (first, rest) = wanted.split_once(' ').unwrap_or((wanted, ""));
    let ends = |text: &str| {
        let (range, likely) = text.split_once(" likely ").map_or((text, None), |(range, likely)| (range, Some(likely)));
        let (low, high) = range.split_once("..")?;
        Some((low.to_owned(), high.to_owned(), likely.map(str::to_owned)))
    };
    let reads = |value: &str| said.likely().is_some_and(|likely| same(likely, value));
    match (first, rest) {
        ("unknown", "any") => matches!(said, Said::Unknown(_)),
        ("unknown", why) => {
            let kind = match why {
                "missing" => WhyUnknown::Missing,
                "elsewhere" => WhyUnknown::Elsewhere,
                "not-seen" => WhyUnknown::NotSeen,
                "not-understood" => WhyUnknown::NotUnderstood,
                other => panic!("unknown {other:?} is no kind"),
            };
            *said == Said::Unknown(kind)
        }
        ("not-asked", "") => *said == Said::NotAsked,
        ("unsure", "") => !matches!(said, Said::Stated(_)),
        ("likely", value) => matches!(said, Said::Doubtful { .. }) && reads(value),
        ("reads", value) => reads(value),
        ("maybe", value) => matches!(said, Said::Unknown(_)) || reads(value),
        ("not", value) => !reads(value),
        ("between", values) => {
            let bounds: Vec<f64> = values.split(' ').map(|value| value.parse().unwrap()).collect();
            let value = said.likely().and_then(|value| value.parse::<f64>().ok());
            value.is_some_and(|value| bounds[0] <= value && value <= bounds[1])
        }
        _ => match (ends(wanted), said) {
            (Some((low, high, likely)), Said::Doubtful { low: l, likely: m, high: h }) => {
                same(&low, l) && same(&high, h) && likely.is_none_or(|likely| same(&likely, m))
            }
            (None, Said::Stated(value)) => same(value, wanted),
            _ => false,
        },
    }
}

#[test]
fn every_field_of_the_contract_can_be_asked() {
    let site = Site::default();
    for field in baywright::site::fields() {
        said(&site, field.name);
    }
    assert_eq!(FIELDS.len() + 1, baywright::site::fields().len());
}

#[test]
fn an_expectation_can_fail() {
    let stated = Said::Stated("80".to_owned());
    let doubtful = Said::Doubtful { low: "60".to_owned(), likely: "60".to_owned(), high: "80".to_owned() };
    let unknown = Said::Unknown(WhyUnknown::Missing);
    for (wanted, of_stated, of_doubtful, of_unknown) in [
        ("80", true, false, false),
        ("60..80", false, true, false),
        ("60..80 likely 60", false, true, false),
        ("60..80 likely 70", false, false, false),
        ("likely 60", false, true, false),
        ("reads 80", true, false, false),
        ("maybe 80", true, false, true),
        ("not 80", false, true, true),
        ("unsure", false, true, true),
        ("between 70 90", true, false, false),
        ("unknown any", false, false, true),
        ("unknown elsewhere", false, false, false),
        ("not-asked", false, false, false),
    ] {
        assert_eq!(meets(&stated, wanted), of_stated, "{wanted}");
        assert_eq!(meets(&doubtful, wanted), of_doubtful, "{wanted}");
        assert_eq!(meets(&unknown, wanted), of_unknown, "{wanted}");
    }
    assert!(!same("007", "7") && same("0.35", "0.350") && same("0", "0.0"));
}
