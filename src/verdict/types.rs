//! What is said of one site.

use super::outlook::{Outlook, Swing};
use crate::design::{Arrangement, Assumed, Basis, Control, SupplyPlan};
use crate::estimate::Estimate;
use crate::finding::{Finding, Reason, Route, WaitsFor, Weeks};
use crate::quantity::{Band, CostBand, Pence};
use crate::site::{Heating, ParkingType, Premises, Verdict};
use serde::Serialize;

/// The few facts of a site that every report needs, kept when the survey itself is let go.
#[derive(Clone, Debug, Default)]
#[allow(missing_docs)] // the column names of the contract
pub struct SiteBrief {
    pub sheet: u16,
    pub row: u32,
    pub site_id: String,
    pub uprn: String,
    pub address: String,
    pub postcode: String,
    pub lot: String,
    pub premises: Option<Premises>,
    /// Whether the premises type was stated.
    pub premises_stated: bool,
    pub tenure: &'static str,
    pub priority: Option<f64>,
    pub feeder_id: String,
    pub latitude: Option<f64>,
    pub longitude: Option<f64>,
    pub heating: Option<Heating>,
    /// Whether a heat pump heats it or is stated beside another heating.
    pub heat_pump: bool,
    pub bedrooms: Option<f64>,
    pub supply_phases: Option<f64>,
    pub existing_charge_points: Option<f64>,
    pub parking_type: Option<ParkingType>,
    pub override_verdict: Option<Verdict>,
    pub override_by: String,
    pub override_date: String,
    pub override_why: String,
}

/// How much of the survey stands behind a result.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Confidence {
    /// Cut-out evidence, loop and measured demand are all stated.
    Surveyed,
    /// Some of them are.
    Partly,
    /// None of them is.
    Desk,
}

impl Confidence {
    /// The word of the contract.
    pub fn word(self) -> &'static str {
        match self {
            Confidence::Surveyed => "surveyed",
            Confidence::Partly => "partly",
            Confidence::Desk => "desk",
        }
    }
}

/// The chance of each verdict once the unknowns are settled; the three add to 1.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
#[allow(missing_docs)]
pub struct Odds {
    pub ready: f64,
    pub marginal: f64,
    pub blocked: f64,
}

/// Why a remedy set is shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum RemedyKind {
    /// Least cost.
    Cheapest,
    /// Least time.
    Quickest,
}

impl RemedyKind {
    /// The word of the contract.
    pub fn word(self) -> &'static str {
        match self {
            RemedyKind::Cheapest => "cheapest",
            RemedyKind::Quickest => "quickest",
        }
    }
}

/// A set of remedies that turns the site ready.
#[derive(Clone, Debug, PartialEq)]
pub struct Remedy {
    /// The remedies, in words, in the order they are done.
    pub set: Vec<&'static str>,
    /// Who pays for each of them and how much, in the same order.
    pub each: Vec<Each>,
    /// Cost of the set, before tax, without the installation itself.
    pub cost: CostBand,
    /// Weeks until they are done.
    pub weeks: Weeks,
    /// Who pays: one word or several joined by "and".
    pub payer: String,
    /// Cheapest or quickest.
    pub kind: RemedyKind,
    /// Chance that the site is ready once they are done (1 for a sure thing).
    pub chance: f64,
}

/// One remedy of a set.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Each {
    /// Who pays: programme, operator, landlord, resident or nobody.
    pub payer: &'static str,
    /// Likely cost before tax; those of a set add up to its own.
    pub cost: Pence,
}

/// Another arrangement that was considered.
#[derive(Clone, Debug, PartialEq)]
pub struct RunnerUp {
    /// Setting, amperes a phase.
    pub setting_a: f64,
    /// Phases of the point.
    pub phases: u8,
    /// Control.
    pub control: Control,
    /// Cable in words.
    pub cable: String,
    /// Why it lost, as a sentence.
    pub why_lost: String,
}

/// What is said of one site, before it is ranked among others.
#[derive(Clone, Debug)]
pub struct Judgement {
    /// Which site.
    pub brief: SiteBrief,
    /// Computed verdict.
    pub verdict: Verdict,
    /// What a marginal site waits for, the governing wait first.
    pub waits_for: Vec<WaitsFor>,
    /// Weeks until everything that stops, holds or must be done first is settled; `None` when nothing takes time.
    pub weeks: Option<Weeks>,
    /// Stops, holds and steps, most decisive first.
    pub reasons: Vec<&'static Reason>,
    /// Every finding, in working order: of the site, then of the chosen arrangement.
    pub findings: Vec<Finding>,
    /// The chosen arrangement, its findings moved to `findings`; `None` where none was designed.
    pub chosen: Option<Arrangement>,
    /// What the design of one point was reckoned from; `None` for several points and where there is no cable.
    pub basis: Option<Box<Basis>>,
    /// Its estimate; `None` for a blocked site and where nothing was designed.
    pub estimate: Option<Estimate>,
    /// What several points come to beside the design: vehicles, control, phases, years; `None` for one point.
    pub supply_plan: Option<Box<SupplyPlan>>,
    /// The next best arrangement and why it lost.
    pub runner_up: Option<RunnerUp>,
    /// The best arrangement that an application to the operator would allow, where it is better than the chosen one.
    pub with_application: Option<RunnerUp>,
    /// Existing demand on the worst phase, amperes.
    pub existing_demand_a: Band,
    /// The least of cut-out, tails and agreed capacity, amperes a phase; `None` when the supply is not known.
    pub supply_limit_a: Option<f64>,
    /// How the operator is dealt with.
    pub operator_route: Route,
    /// How much of the survey stands behind it.
    pub confidence: Confidence,
    /// Odds once the unknowns are settled; `None` where they were not asked for.
    pub odds: Option<Odds>,
    /// What it may prove to be, from which the odds are; `None` where they were not asked for.
    pub outlook: Option<Outlook>,
    /// How verdict and cost move with each open fact; empty where it was not looked at closely.
    pub swings: Vec<Swing>,
    /// Survey fields whose answer decides.
    pub decisive_unknowns: Vec<&'static str>,
    /// What must be confirmed before the van is booked (facts nobody was asked that could hold the site).
    pub confirm_first: Vec<&'static str>,
    /// Ways out.
    pub remedies: Vec<Remedy>,
    /// What of the facts would have to be otherwise where a site that is not ready has no way out, as a sentence; empty
    /// elsewhere.
    pub would_have_to_give: String,
    /// Values that are not from the user's sheet.
    pub assumed: Vec<Assumed>,
    /// Whether the site is ready if everything unasked is held.
    pub ready_if_committed: bool,
    /// The next step, as a sentence.
    pub next_step: String,
}

impl Judgement {
    /// The verdict that counts: the engineer's override where there is one.
    pub fn counted_verdict(&self) -> Verdict {
        self.brief.override_verdict.unwrap_or(self.verdict)
    }
}
