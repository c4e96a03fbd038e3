//! What outcomes tell, as its JSON document holds it: names and nothing else.

use crate::report::{InputFile, Inputs};
use schemars::JsonSchema;
use serde::Serialize;

/// What outcomes tell of verdicts, costs and hours, and which weights and task hours they would move. Money is before
/// tax; hours are person-hours of the crews, travel in them and desk work not.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct LearnedDocument<'a> {
    /// Version of the program.
    pub baywright: &'static str,
    /// What the judgements rest on.
    pub inputs: &'a Inputs,
    /// The files of outcomes.
    pub outcomes: &'a [InputFile],
    /// How unasked facts were taken.
    pub stance: &'a str,
    /// Date of the judgements.
    pub as_of: String,
    /// Sites that were judged, with an outcome or not.
    pub sites_judged: usize,
    /// Rows of outcomes read.
    pub rows_read: usize,
    /// How verdicts did.
    pub verdicts: VerdictsRecord<'a>,
    /// How costs did: all sites first, then by what was said and by premises.
    pub cost: Vec<SpreadRecord<'a>>,
    /// How hours did, likewise.
    pub hours: Vec<SpreadRecord<'a>>,
    /// Standard deviation of a site's hours, as a share of those said, that no task explains.
    pub hours_noise_share: Option<f64>,
    /// Hours of tasks, those told best first.
    pub tasks: Vec<TaskFactorRecord<'a>>,
    /// Weights of open facts, those that were told best first.
    pub weights: Vec<WeightRecord<'a>>,
    /// Verdicts on site that nothing left open explains.
    pub verdicts_unexplained: u32,
    /// Verdicts left out because facts on site were not as surveyed.
    pub verdicts_otherwise: u32,
    /// Sites with an outcome.
    pub sites: Vec<OutcomeRecord<'a>>,
    /// Rows, cells and columns of outcomes that could not be used.
    pub not_used: Vec<NotUsedRecord<'a>>,
    /// What all this does not say.
    pub cautions: &'static [&'static str],
}

/// How verdicts did.
#[derive(Clone, Debug, Serialize, JsonSchema)]
#[allow(missing_docs)]
pub struct VerdictsRecord<'a> {
    /// Counts of sites by the verdict that counted and the one found.
    pub counted: Vec<ConfusionRecord>,
    /// The same by the computed verdict.
    pub computed: Vec<ConfusionRecord>,
    pub sites: u32,
    pub right: u32,
    pub computed_right: u32,
    /// Sites said ready and found otherwise.
    pub not_ready: &'a [String],
    /// Mean squared difference of `probability_ready` from what was found; less is better.
    pub brier: Option<f64>,
    /// The same for the share found ready, given to every site.
    pub brier_of_base: Option<f64>,
    pub calibration: Vec<BinRecord>,
    pub groups: Vec<ShareRecord<'a>>,
}

/// Counts of sites.
#[derive(Clone, Debug, Serialize, JsonSchema)]
#[allow(missing_docs)]
pub struct ConfusionRecord {
    pub said: &'static str,
    pub found: &'static str,
    pub sites: u32,
}

/// A fifth of the scale of `probability_ready`.
#[derive(Clone, Debug, Serialize, JsonSchema)]
#[allow(missing_docs)]
pub struct BinRecord {
    pub sites: u32,
    pub said: f64,
    pub found: f64,
}

/// How the verdicts of a lot or of premises of a kind did.
#[derive(Clone, Debug, Serialize, JsonSchema)]
#[allow(missing_docs)]
pub struct ShareRecord<'a> {
    pub by: &'static str,
    pub name: &'a str,
    pub sites: u32,
    pub right: u32,
    pub said_ready: u32,
    pub found_ready: u32,
}

/// Figures said and found.
#[derive(Clone, Debug, Serialize, JsonSchema)]
#[allow(missing_docs)]
pub struct SpreadRecord<'a> {
    pub by: &'static str,
    pub name: &'a str,
    pub sites: u32,
    pub said: f64,
    pub found: f64,
    /// Found by said, of the sums.
    pub bias: f64,
    pub bias_error: Option<f64>,
    /// Of found by said, site by site.
    pub median: f64,
    pub ratio_p10: f64,
    pub ratio_p90: f64,
    /// Sites within the stated band, which is to hold 80 %.
    pub within: u32,
}

/// The hours of a task.
#[derive(Clone, Debug, Serialize, JsonSchema)]
#[allow(missing_docs)]
pub struct TaskFactorRecord<'a> {
    pub task: &'a str,
    pub sites: u32,
    pub said_h: f64,
    pub factor: f64,
    pub error: f64,
    /// The factor proposed; null where nothing is.
    pub proposed: Option<f64>,
    /// Whether the bounds of the rules held it.
    pub clamped: bool,
    pub why_not: &'static str,
}

/// The weights of a fact under a condition.
#[derive(Clone, Debug, Serialize, JsonSchema)]
#[allow(missing_docs)]
pub struct WeightRecord<'a> {
    pub field: &'static str,
    pub condition: &'static str,
    pub values: Vec<WeightValueRecord>,
    /// Sites at which the fact was seen; broken where the age of a building is not known.
    pub seen: f64,
    /// Sites of which the verdict alone tells.
    pub by_verdict: f64,
    /// As many sites with the fact seen would have told as much.
    pub worth: f64,
    /// Another fact that explains the same verdicts.
    pub rival: Option<RivalRecord<'a>>,
    pub why_not: &'static str,
}

/// One alternative.
#[derive(Clone, Debug, Serialize, JsonSchema)]
#[allow(missing_docs)]
pub struct WeightValueRecord {
    pub value: &'static str,
    pub before: f64,
    pub after: f64,
    pub error: f64,
    /// The weight proposed; null where nothing is.
    pub proposed: Option<f64>,
}

/// A fact that is hard to tell from another.
#[derive(Clone, Debug, Serialize, JsonSchema)]
#[allow(missing_docs)]
pub struct RivalRecord<'a> {
    pub field: &'a str,
    pub condition: &'a str,
    pub correlation: f64,
}

/// One site, said and found.
#[derive(Clone, Debug, Serialize, JsonSchema)]
#[allow(missing_docs)]
pub struct OutcomeRecord<'a> {
    pub site_id: &'a str,
    pub file: &'a str,
    pub row: u32,
    pub verdict: &'static str,
    pub computed_verdict: &'static str,
    pub probability_ready: Option<f64>,
    pub verdict_on_site: Option<&'static str>,
    pub cost_low_gbp: Option<f64>,
    pub cost_likely_gbp: Option<f64>,
    pub cost_high_gbp: Option<f64>,
    pub installed_cost_gbp: Option<f64>,
    pub crew_hours_likely: Option<f64>,
    pub hours: Option<f64>,
    pub facts: Vec<FoundRecord<'a>>,
    /// Why its verdict taught nothing of weights; empty where it did or there is none.
    pub verdict_not_learned_from: &'static str,
}

/// A fact found on site.
#[derive(Clone, Debug, Serialize, JsonSchema)]
#[allow(missing_docs)]
pub struct FoundRecord<'a> {
    pub field: &'static str,
    pub found: &'a str,
    /// "alternative", "none of them", "as surveyed", "otherwise than surveyed", "not learned".
    pub proved: &'static str,
    /// The alternative that it proved to be.
    pub value: Option<&'static str>,
    /// What the survey states, where that is another.
    pub surveyed: Option<&'a str>,
}

/// Something that could not be used.
#[derive(Clone, Debug, Serialize, JsonSchema)]
#[allow(missing_docs)]
pub struct NotUsedRecord<'a> {
    pub file: &'a str,
    /// Null where the whole sheet is meant.
    pub row: Option<u32>,
    pub cell: Option<&'a str>,
    pub column: Option<&'a str>,
    pub found: &'a str,
    pub why: &'a str,
}
