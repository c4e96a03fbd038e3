//! What changed between two results, as its JSON document holds it: names and nothing else.

use schemars::JsonSchema;
use serde::Serialize;

/// What changed between two results. Everything is null or left out where the results do not tell it; money is before
/// tax.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct ChangesDocument<'a> {
    /// Version of the program.
    pub baywright: &'static str,
    /// The earlier result.
    pub before: SideRecord<'a>,
    /// The later one.
    pub after: SideRecord<'a>,
    /// What they rest on.
    pub inputs: Vec<InputRecord<'a>>,
    /// Sites in both.
    pub sites_in_both: usize,
    /// Counts of sites by verdict before and after; null where the site stands in the other result alone.
    pub moves: Vec<MoveCountRecord>,
    /// Likely cost of the sites that have one.
    pub cost_before_gbp: f64,
    /// The same in the later result.
    pub cost_after_gbp: f64,
    /// What makes the difference; the parts add up to it.
    pub cost_parts: Vec<CostPartRecord>,
    /// Items of sites priced in both, that which moves most first.
    pub cost_items: Vec<CostItemRecord<'a>>,
    /// Reasons that came or went at sites of both, the most frequent first.
    pub reasons: Vec<ReasonCountRecord<'a>>,
    /// Sites of both with another place among them.
    pub ranks_moved: u32,
    /// Of them, those that changed in nothing else and moved so little that they are not listed.
    pub ranks_not_listed: u32,
    /// The most places that a site moved.
    pub ranks_greatest: u64,
    /// Sites of both that changed, that which matters most first.
    pub changed: Vec<ChangedRecord<'a>>,
    /// Sites of the later result alone.
    pub came: Vec<AloneRecord<'a>>,
    /// Sites of the earlier result alone.
    pub went: Vec<AloneRecord<'a>>,
    /// Sites of both whose key, address or postcode is written otherwise.
    pub respelt: Vec<RespeltRecord<'a>>,
}

/// One of the results.
#[derive(Clone, Debug, Serialize, JsonSchema)]
#[allow(missing_docs)] // the names of the results
pub struct SideRecord<'a> {
    pub file: &'a str,
    pub baywright: &'a str,
    pub stance: Option<&'a str>,
    pub as_of: Option<&'a str>,
    pub sites: usize,
    /// Fields that it lacks: nothing is said of them.
    pub lacks: &'a [&'static str],
}

/// Something that the results rest on.
#[derive(Clone, Debug, Serialize, JsonSchema)]
#[allow(missing_docs)]
pub struct InputRecord<'a> {
    pub input: &'static str,
    /// Whether it is another; null where a result does not tell.
    pub changed: Option<bool>,
    pub before: &'a str,
    pub after: &'a str,
}

/// How many sites moved from one verdict to another.
#[derive(Clone, Debug, Serialize, JsonSchema)]
#[allow(missing_docs)]
pub struct MoveCountRecord {
    #[schemars(extend("enum" = ["ready", "marginal", "blocked", null]))]
    pub before: Option<&'static str>,
    #[schemars(extend("enum" = ["ready", "marginal", "blocked", null]))]
    pub after: Option<&'static str>,
    pub sites: u32,
}

/// Why the cost of a portfolio moved.
#[derive(Clone, Debug, Serialize, JsonSchema)]
#[allow(missing_docs)]
pub struct CostPartRecord {
    #[schemars(extend("enum" = ["prices", "design", "not told", "now priced", "no longer priced", "came", "went"]))]
    pub why: &'static str,
    pub sites: u32,
    pub more_gbp: f64,
}

/// What an item costs more in all.
#[derive(Clone, Debug, Serialize, JsonSchema)]
#[allow(missing_docs)]
pub struct CostItemRecord<'a> {
    /// Code of the price book; "labour" for the hours.
    pub item: &'a str,
    pub more_gbp: f64,
}

/// At how many sites of both a reason came or went.
#[derive(Clone, Debug, Serialize, JsonSchema)]
#[allow(missing_docs)]
pub struct ReasonCountRecord<'a> {
    pub reason: &'a str,
    pub came: u32,
    pub went: u32,
}

/// A site that changed.
#[derive(Clone, Debug, Serialize, JsonSchema)]
#[allow(missing_docs)] // before and after of the names of the results
pub struct ChangedRecord<'a> {
    pub site_id: &'a str,
    pub site_id_before: &'a str,
    /// How it was found in both.
    pub found_by: &'static str,
    /// What is other, in words.
    pub what: String,
    /// Verdicts that count: an engineer's, else the computed one.
    pub verdict_before: &'static str,
    pub verdict_after: &'static str,
    pub rank_before: Option<u32>,
    pub rank_after: Option<u32>,
    /// Places risen among the sites of both results; negative where it fell.
    pub places_risen: i64,
    pub reasons_went: Vec<&'a str>,
    pub reasons_came: Vec<&'a str>,
    pub facts: Vec<FactRecord>,
    /// Fields of the results that are other.
    pub figures: Vec<FigureRecord>,
    pub checks: Vec<CheckRecord>,
    pub cost_before_gbp: Option<f64>,
    pub cost_after_gbp: Option<f64>,
    pub cost_more_gbp: Option<f64>,
    /// What moved the cost.
    #[schemars(extend("enum" = ["same", "prices", "design", "now has a cost", "no longer has a cost", "no cost", "not told"]))]
    pub cost_moved_by: &'static str,
    /// Items that differ, that which moves the cost most first.
    pub items: Vec<ItemRecord>,
    /// Inputs that can have done it.
    pub cause: Vec<&'static str>,
    /// Whether the results single it out.
    pub cause_is_sure: bool,
    /// The cause in words.
    pub cause_said: String,
    /// All of it, in sentences.
    pub why: String,
}

/// What became of a fact.
#[derive(Clone, Debug, Serialize, JsonSchema)]
#[allow(missing_docs)]
pub struct FactRecord {
    pub field: String,
    #[schemars(extend("enum" = ["no longer assumed", "now assumed", "assumed otherwise", "no longer decides", "decides now"]))]
    pub became: &'static str,
    /// What was assumed in the earlier result.
    pub before: Option<String>,
    /// What is assumed in the later one.
    pub after: Option<String>,
    /// The same in words.
    pub said: String,
}

/// A field that is other: a number, a word or null on either side.
#[derive(Clone, Debug, Serialize, JsonSchema)]
#[allow(missing_docs)]
pub struct FigureRecord {
    pub field: &'static str,
    pub before: serde_json::Value,
    pub after: serde_json::Value,
}

/// A check that came out otherwise; null where a result does not have it.
#[derive(Clone, Debug, Serialize, JsonSchema)]
#[allow(missing_docs)]
pub struct CheckRecord {
    pub check: String,
    pub value_before: Option<f64>,
    pub limit_before: Option<f64>,
    pub outcome_before: Option<String>,
    pub value_after: Option<f64>,
    pub limit_after: Option<f64>,
    pub outcome_after: Option<String>,
}

/// An item of two bills.
#[derive(Clone, Debug, Serialize, JsonSchema)]
#[allow(missing_docs)]
pub struct ItemRecord {
    /// Code of the price book; "labour" for the hours.
    pub item: String,
    pub unit: String,
    pub quantity_before: f64,
    pub quantity_after: f64,
    pub cost_before_gbp: f64,
    pub cost_after_gbp: f64,
}

/// A site of one result alone.
#[derive(Clone, Debug, Serialize, JsonSchema)]
#[allow(missing_docs)]
pub struct AloneRecord<'a> {
    pub site_id: &'a str,
    pub address: Option<&'a str>,
    pub postcode: Option<&'a str>,
    pub verdict: &'static str,
    pub rank: Option<u32>,
    pub cost_likely_gbp: Option<f64>,
}

/// A site found again under other marks.
#[derive(Clone, Debug, Serialize, JsonSchema)]
#[allow(missing_docs)]
pub struct RespeltRecord<'a> {
    pub site_id_before: &'a str,
    pub site_id_after: &'a str,
    pub address_before: &'a str,
    pub address_after: &'a str,
    pub postcode_before: &'a str,
    pub postcode_after: &'a str,
    pub found_by: &'static str,
    /// How alike the addresses are, 0 to 1, where they were weighed.
    pub likeness: Option<f64>,
}
