//! The user's policy, in one TOML file over the defaults; whatever would weaken safety is refused.
//!
//! It knows `finding` (whose effects it may tighten) and the words of `reference`, and nothing of surveys, designs or prices.

mod guard;
mod learning;
mod load;
mod money;
mod operator;
mod possibilities;
mod worth;

pub use learning::LearnRules;
pub use load::{RulesError, default_rules, load_rules};
pub use money::{BidRules, PriceRules, Region, ScenarioRules};
pub use operator::OperatorDates;
pub use possibilities::Possibilities;
pub use worth::{Lead, ProgrammeRules};

use crate::finding::{Effect, Reason};
use crate::reference::{CableFamily, Method};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// How facts that nobody was asked are treated.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Stance {
    /// They take their most likely value; the odds carry the doubt.
    #[default]
    Screen,
    /// Each that has a hold holds the site.
    Commit,
}

impl Stance {
    /// The word of the command line and of results.
    pub fn word(self) -> &'static str {
        match self {
            Stance::Screen => "screen",
            Stance::Commit => "commit",
        }
    }
}

/// The whole policy. Every value has its default in `sample-portfolio/rules.toml`, which is embedded.
#[derive(Clone, Debug, Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
#[allow(missing_docs)] // each line of rules.toml says what it is, with unit and source
pub struct Rules {
    pub edition: String,
    #[serde(default)]
    pub as_of: Option<String>,
    pub charging: Charging,
    pub supply: SupplyRules,
    pub survey: SurveyRules,
    pub demand: DemandRules,
    pub energy: Energy,
    pub circuit: CircuitRules,
    pub route: RouteRules,
    pub shared: SharedRules,
    pub policy: Policy,
    pub price: PriceRules,
    pub bid: BidRules,
    pub scenario: ScenarioRules,
    pub programme: ProgrammeRules,
    pub operator: OperatorDates,
    pub order: OrderRules,
    pub learn: LearnRules,
    pub charge_point: Vec<ChargePoint>,
    pub ranking: Ranking,
    #[serde(default)]
    pub effects: BTreeMap<String, String>,
    /// Weights of what a fact may prove to be that the user's file changes: field, condition, value.
    #[serde(default)]
    pub possible: BTreeMap<String, BTreeMap<String, BTreeMap<String, f64>>>,
    /// The whole table with those changes.
    #[serde(skip)]
    pub alternatives: Possibilities,
    /// Preferences that the user's file loosened, as sentences for the Summary.
    #[serde(skip)]
    pub loosened: Vec<String>,
    /// Name and digest of the user's file; empty for the defaults.
    #[serde(skip)]
    pub source: RulesSource,
}

/// From which bytes the rules were read.
#[derive(Clone, Debug, Default)]
pub struct RulesSource {
    /// File name, or "defaults".
    pub name: String,
    /// SHA-256 of the file, or of the defaults.
    pub sha256: String,
}

impl Rules {
    /// The effect of a reason under these rules.
    pub fn effect_of(&self, reason: &Reason) -> Effect {
        self.effects.get(reason.code).and_then(|word| Effect::from_word(word)).unwrap_or(reason.effect)
    }

    /// The charge point used for this many phases; the last line of the table when none has them.
    pub fn charge_point(&self, phases: u8) -> Option<&ChargePoint> {
        self.charge_point.iter().find(|point| point.phases == phases).or(self.charge_point.last())
    }
}

#[derive(Clone, Debug, Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
#[allow(missing_docs)]
pub struct Charging {
    pub setting_steps_a: Vec<f64>,
    pub runner_up_steps_a: Vec<f64>,
    pub useful_current_a: f64,
    pub pilot_floor_a: f64,
}

#[derive(Clone, Debug, Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
#[allow(missing_docs)]
pub struct SupplyRules {
    pub home_threshold_a: f64,
    pub limiter_share: f64,
    pub allow_limiter: bool,
    pub near_cutout_share: f64,
    pub capacity_formality_share: f64,
    pub tails_16mm2_serve_a: f64,
    pub tails_25mm2_serve_a: f64,
    pub tails_longest_m: f64,
    pub ct_metering_above_a: f64,
    pub stale_survey_months: u32,
}

#[derive(Clone, Debug, Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
#[allow(missing_docs)]
pub struct SurveyRules {
    pub settled_share: f64,
    pub least_gain: f64,
}

#[derive(Clone, Debug, Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
#[allow(missing_docs)]
pub struct DemandRules {
    pub measured: [f64; 2],
    pub half_hour: [f64; 2],
    pub calculated: [f64; 2],
    pub estimated: [f64; 2],
    pub not_stated: [f64; 2],
    pub peak_share_of_capacity: [f64; 3],
    pub home_mean_share: f64,
    pub existing_point_a: f64,
}

#[derive(Clone, Debug, Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
#[allow(missing_docs)]
pub struct Energy {
    pub daily_miles: f64,
    pub miles_per_kwh: f64,
    pub van_daily_miles: f64,
    pub van_miles_per_kwh: f64,
    pub charging_loss_share: f64,
    pub home_window_h: f64,
    pub workplace_window_h: f64,
    pub depot_window_h: f64,
    pub home_arrive_h: f64,
    pub workplace_arrive_h: f64,
    pub depot_arrive_h: f64,
    pub high_day_factor: f64,
    pub growth_percent_a_year: f64,
    pub runway_years: u16,
}

#[derive(Clone, Debug, Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
#[allow(missing_docs)]
pub struct CircuitRules {
    pub drop_limit_percent: f64,
    pub device_for_setting: Vec<[f64; 2]>,
    pub curve: String,
    pub rcd_as_fault_protection: bool,
    pub terminals_70c: bool,
    pub declared_ze_tn_c_s_ohm: f64,
    pub declared_ze_tn_s_ohm: f64,
    pub ze_low_ohm: f64,
    pub fault_level_single_phase_ka: f64,
    pub fault_level_three_phase_ka: f64,
    pub conditional_rating_ka: f64,
    pub device_breaking_ka: Vec<f64>,
    pub residual_device_breaking_ka: f64,
    pub electrode_limit_ohm: f64,
    pub electrode_greatest_ohm: f64,
    pub main_bonding_mm2: f64,
    pub earthing_conductor_mm2: f64,
    pub cable_families: Vec<CableFamily>,
    pub continuous_share: f64,
    pub power_factor: f64,
    pub allow_open_pen_device: bool,
    pub separation_above_m: f64,
    pub separation_below_m: f64,
    pub soil_resistivity_ohm_m: [f64; 3],
    pub rod_length_m: f64,
    pub rod_diameter_m: f64,
    pub electrode_season_margin: f64,
    pub added_board_switch_a: f64,
}

#[derive(Clone, Debug, Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
#[allow(missing_docs)]
pub struct RouteRules {
    pub rise_m: f64,
    pub ends_m: f64,
    pub assumed_tails_m: f64,
    pub bay_pitch_m: f64,
    pub home_distance_m: [f64; 3],
    pub shared_distance_m: [f64; 3],
    pub split_garage: [f64; 3],
    pub split_driveway: [f64; 3],
    pub split_allocated: [f64; 3],
    pub split_communal: [f64; 3],
    pub ground_surface: String,
    pub home_ground_surface: String,
    pub ambient_c: f64,
    pub ground_c: f64,
    pub soil_k_m_per_w: f64,
    pub depth_m: f64,
    pub armoured_above_ground: AboveGround,
    pub twin_and_earth_in_insulation: InInsulation,
}

/// How armoured cable is fixed above ground; it decides method and grouping.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize, Serialize)]
#[serde(rename_all = "kebab-case")]
#[allow(missing_docs)]
pub enum AboveGround {
    /// Clipped, several bunched: method C.
    Clipped,
    /// Clipped in one layer, touching: method C.
    SingleLayer,
    /// On perforated tray, touching: method E.
    Tray,
}

/// How twin-and-earth through thermal insulation is rated.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize, Serialize)]
#[allow(missing_docs)]
pub enum InInsulation {
    /// By its length: the clipped rating with the factor of Table 52.2.
    #[serde(rename = "factor")]
    Factor,
    #[serde(rename = "100")]
    M100,
    #[serde(rename = "101")]
    M101,
    #[serde(rename = "102")]
    M102,
    #[serde(rename = "103")]
    M103,
}

impl InInsulation {
    /// The method of Table 4D5; `None` for the factor.
    pub fn method(self) -> Option<Method> {
        match self {
            InInsulation::Factor => None,
            InInsulation::M100 => Some(Method::M100),
            InInsulation::M101 => Some(Method::M101),
            InInsulation::M102 => Some(Method::M102),
            InInsulation::M103 => Some(Method::M103),
        }
    }
}

#[derive(Clone, Debug, Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
#[allow(missing_docs)]
pub struct SharedRules {
    pub accept_share: f64,
    pub points_share_of_bays: f64,
    pub distribution_spacing_m: f64,
    pub profile_margin: f64,
}

#[derive(Clone, Debug, Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
#[allow(missing_docs)]
pub struct Policy {
    pub social_rent_needs_consent: bool,
    pub consultation_threshold_gbp: f64,
    pub higher_risk_storeys: f64,
    pub asbestos_before_year: f64,
    pub provision_above_bays: f64,
    pub report_years_owner: f64,
    pub report_years_rented: f64,
    pub vat_percent: f64,
    #[serde(default)]
    pub vat_percent_by_premises: BTreeMap<String, f64>,
}

#[derive(Clone, Debug, Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
#[allow(missing_docs)]
pub struct OrderRules {
    pub length_margin_share: f64,
    pub cut_step_m: f64,
}

#[derive(Clone, Debug, Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
#[allow(missing_docs)]
pub struct ChargePoint {
    pub name: String,
    pub item: String,
    pub phases: u8,
    pub largest_setting_a: f64,
    pub setting_locked: bool,
    pub answers_open_pen: bool,
    pub open_pen_method: String,
    pub detects_direct_current: bool,
    pub declared_harmonics: bool,
    pub exports: bool,
    pub largest_terminal_mm2: f64,
    pub lead_m: f64,
    #[serde(default = "vehicle_connector")]
    pub outlet: String,
}

/// Outlet of a charge point whose line names none: what nearly all have.
fn vehicle_connector() -> String {
    "vehicle connector".to_owned()
}

impl ChargePoint {
    /// Whether its outlet is a household socket-outlet instead of a vehicle connector.
    pub fn is_socket(&self) -> bool {
        self.outlet == "BS 1363 socket"
    }
}

#[derive(Clone, Debug, Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
#[allow(missing_docs)]
pub struct Ranking {
    pub odds: f64,
    pub cost: f64,
    pub wait: f64,
    pub priority: f64,
    pub points: f64,
    pub typical_cost_gbp: f64,
}
