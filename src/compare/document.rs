//! A result as `assess --json` wrote it, read as far as a comparison needs it. An older document that lacks a field is
//! read without it and says so; what is no result is refused in a sentence.

use crate::site::Verdict;
use serde::Deserialize;
use serde::de::{Deserializer, Error as _};

/// A field that a document may lack, hold as null, or state.
#[derive(Clone, Debug, Default, PartialEq)]
pub enum Given<T> {
    /// The document has no such field: nothing can be said of it.
    #[default]
    Absent,
    /// Not computed, or nothing.
    Null,
    /// Stated.
    Value(T),
}

impl<T> Given<T> {
    /// What is stated.
    pub fn value(&self) -> Option<&T> {
        if let Given::Value(value) = self { Some(value) } else { None }
    }

    /// Whether the document has no such field.
    pub fn is_absent(&self) -> bool {
        matches!(self, Given::Absent)
    }
}

impl<T> Given<Vec<T>> {
    /// The entries; none where there is no list.
    pub fn list(&self) -> &[T] {
        self.value().map_or(&[], Vec::as_slice)
    }
}

impl Given<String> {
    /// The text; empty where there is none.
    pub fn text(&self) -> &str {
        self.value().map_or("", String::as_str)
    }
}

impl<'de, T: Deserialize<'de>> Deserialize<'de> for Given<T> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        Ok(Option::deserialize(deserializer)?.map_or(Given::Null, Given::Value))
    }
}

/// The word of a verdict.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct VerdictWord(pub Verdict);

impl<'de> Deserialize<'de> for VerdictWord {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let word = String::deserialize(deserializer)?;
        Verdict::from_word(&word)
            .map(VerdictWord)
            .ok_or_else(|| D::Error::custom(format!("{word:?} is no verdict: ready, marginal or blocked")))
    }
}

/// One site of a result. Fields have the names of the document.
#[derive(Clone, Debug, Deserialize)]
#[allow(missing_docs)] // the schema of the results says what each is
pub struct SiteRead {
    pub site_id: String,
    pub verdict: VerdictWord,
    #[serde(default)]
    pub rank: Given<u32>,
    #[serde(default)]
    pub uprn: Given<String>,
    #[serde(default)]
    pub address: Given<String>,
    #[serde(default)]
    pub postcode: Given<String>,
    #[serde(default)]
    pub lot: Given<String>,
    #[serde(default)]
    pub reasons: Given<Vec<String>>,
    #[serde(default)]
    pub override_verdict: Given<VerdictWord>,
    #[serde(default)]
    pub verdict_with_neighbours: Given<VerdictWord>,
    #[serde(default)]
    pub next_step: Given<String>,
    #[serde(default)]
    pub operator_route: Given<String>,
    #[serde(default)]
    pub weeks_likely: Given<f64>,
    #[serde(default)]
    pub charging_current_a: Given<f64>,
    #[serde(default)]
    pub point_phases: Given<f64>,
    #[serde(default)]
    pub control: Given<String>,
    #[serde(default)]
    pub points: Given<f64>,
    #[serde(default)]
    pub points_served: Given<f64>,
    #[serde(default)]
    pub group_limit_a: Given<f64>,
    #[serde(default)]
    pub existing_demand_a: Given<f64>,
    #[serde(default)]
    pub supply_limit_a: Given<f64>,
    #[serde(default)]
    pub device_rating_a: Given<f64>,
    #[serde(default)]
    pub cable_type: Given<String>,
    #[serde(default)]
    pub cable_csa_mm2: Given<f64>,
    #[serde(default)]
    pub cable_length_m: Given<f64>,
    #[serde(default)]
    pub earthing_path: Given<String>,
    #[serde(default)]
    pub cost_likely_gbp: Given<f64>,
    #[serde(default)]
    pub labour_hours_likely: Given<f64>,
    #[serde(default)]
    pub decisive_unknowns: Given<Vec<String>>,
    #[serde(default)]
    pub findings: Given<Vec<FindingRead>>,
    #[serde(default)]
    pub assumed: Given<Vec<AssumedRead>>,
    #[serde(default)]
    pub bill: Given<Vec<BillRead>>,
    #[serde(default)]
    pub tasks: Given<Vec<TaskRead>>,
}

impl SiteRead {
    /// The verdict that counts: an engineer's override, else the computed one.
    pub fn counted(&self) -> Verdict {
        self.override_verdict.value().unwrap_or(&self.verdict).0
    }

    /// The fields that the document was read without, by their names.
    fn lacks(&self) -> impl Iterator<Item = &'static str> {
        [
            (self.rank.is_absent(), "rank"),
            (self.uprn.is_absent(), "uprn"),
            (self.address.is_absent(), "address"),
            (self.postcode.is_absent(), "postcode"),
            (self.reasons.is_absent(), "reasons"),
            (self.override_verdict.is_absent(), "override_verdict"),
            (self.verdict_with_neighbours.is_absent(), "verdict_with_neighbours"),
            (self.operator_route.is_absent(), "operator_route"),
            (self.charging_current_a.is_absent(), "charging_current_a"),
            (self.point_phases.is_absent(), "point_phases"),
            (self.control.is_absent(), "control"),
            (self.points.is_absent(), "points"),
            (self.points_served.is_absent(), "points_served"),
            (self.group_limit_a.is_absent(), "group_limit_a"),
            (self.existing_demand_a.is_absent(), "existing_demand_a"),
            (self.supply_limit_a.is_absent(), "supply_limit_a"),
            (self.cost_likely_gbp.is_absent(), "cost_likely_gbp"),
            (self.decisive_unknowns.is_absent(), "decisive_unknowns"),
            (self.findings.is_absent(), "findings"),
            (self.assumed.is_absent(), "assumed"),
            (self.bill.is_absent(), "bill"),
            (self.tasks.is_absent(), "tasks"),
        ]
        .into_iter()
        .filter_map(|(absent, name)| absent.then_some(name))
    }
}

/// The outcome of a check.
#[derive(Clone, Debug, Deserialize, PartialEq)]
#[allow(missing_docs)]
pub struct FindingRead {
    pub check: String,
    #[serde(default)]
    pub value: Option<f64>,
    #[serde(default)]
    pub limit: Option<f64>,
    #[serde(default)]
    pub unit: String,
    #[serde(default)]
    pub outcome: String,
    #[serde(default)]
    pub effect: String,
    #[serde(default)]
    pub reason: Option<String>,
}

/// A value that was not from the user's sheet.
#[derive(Clone, Debug, Deserialize, PartialEq)]
#[allow(missing_docs)]
pub struct AssumedRead {
    pub field: String,
    #[serde(default)]
    pub value: String,
}

/// A line of materials or bought services.
#[derive(Clone, Debug, Deserialize, PartialEq)]
#[allow(missing_docs)]
pub struct BillRead {
    pub item: String,
    #[serde(default)]
    pub quantity: Option<f64>,
    #[serde(default)]
    pub unit: String,
    #[serde(default)]
    pub cost_likely_gbp: f64,
}

/// A task.
#[derive(Clone, Debug, Deserialize, PartialEq)]
#[allow(missing_docs)]
pub struct TaskRead {
    pub task: String,
    #[serde(default)]
    pub hours_likely: Option<f64>,
}

/// A file that went into a run.
#[derive(Clone, Debug, Default, Deserialize, PartialEq)]
#[serde(default)]
#[allow(missing_docs)]
pub struct InputRead {
    pub name: String,
    pub sha256: String,
}

/// The files that a run rested on.
#[derive(Clone, Debug, Default, Deserialize, PartialEq)]
#[serde(default)]
#[allow(missing_docs)]
pub struct InputsRead {
    pub portfolio: Given<InputRead>,
    pub rules: Given<InputRead>,
    pub price_book: Given<InputRead>,
    /// Left out by a run that had none.
    pub mapping: Option<InputRead>,
    pub with: Given<Vec<InputRead>>,
}

/// What a run says of itself.
#[derive(Clone, Debug, Default, Deserialize, PartialEq)]
#[serde(default)]
#[allow(missing_docs)]
pub struct SummaryRead {
    pub stance: Given<String>,
    pub as_of: Given<String>,
}

#[derive(Deserialize)]
struct Whole {
    baywright: Option<String>,
    #[serde(default)]
    inputs: InputsRead,
    #[serde(default)]
    summary: SummaryRead,
    sites: Option<Vec<SiteRead>>,
}

/// A result.
#[derive(Clone, Debug)]
pub struct ResultRead {
    /// The file, as the user knows it.
    pub file: String,
    /// Version of the program that wrote it.
    pub version: String,
    /// What it rests on.
    pub inputs: InputsRead,
    /// Stance and date.
    pub summary: SummaryRead,
    /// Its sites, in its order.
    pub sites: Vec<SiteRead>,
    /// Fields that it lacks: nothing is said of them.
    pub lacks: Vec<&'static str>,
}

/// Why a file is no result that can be compared; each is a sentence.
#[derive(Debug, thiserror::Error)]
pub enum ResultError {
    /// Another kind of document.
    #[error(
        "{file} is not a result of `baywright assess --json`: it has no {missing:?}. Give the JSON document that stands \
         beside the workbook."
    )]
    Foreign {
        /// File.
        file: String,
        /// The entry that every result has.
        missing: &'static str,
    },
    /// Not JSON, or damaged.
    #[error(
        "{file} cannot be read as a result of `baywright assess --json`: {why}. Give the JSON document that stands \
         beside the workbook, whole and unchanged."
    )]
    Broken {
        /// File.
        file: String,
        /// What the reader says, with line and column.
        why: String,
    },
}

/// Reads a result from the bytes of its JSON document; `file` is what it is called.
///
/// # Errors
/// When it is no JSON, no result, or a field holds what it cannot hold.
pub fn read(file: &str, bytes: &[u8]) -> Result<ResultRead, ResultError> {
    let file = file.to_owned();
    // Some editors put a mark before UTF-8.
    let bytes = bytes.strip_prefix("\u{feff}".as_bytes()).unwrap_or(bytes);
    let whole: Whole = match serde_json::from_slice(bytes) {
        Ok(whole) => whole,
        Err(fault) => return Err(ResultError::Broken { file, why: fault.to_string() }),
    };
    let Some(version) = whole.baywright else { return Err(ResultError::Foreign { file, missing: "baywright" }) };
    let Some(sites) = whole.sites else { return Err(ResultError::Foreign { file, missing: "sites" }) };
    let mut lacks: Vec<&'static str> = [
        (whole.inputs.portfolio.is_absent(), "inputs.portfolio"),
        (whole.inputs.rules.is_absent(), "inputs.rules"),
        (whole.inputs.price_book.is_absent(), "inputs.price_book"),
        (whole.inputs.with.is_absent(), "inputs.with"),
        (whole.summary.stance.is_absent(), "summary.stance"),
        (whole.summary.as_of.is_absent(), "summary.as_of"),
    ]
    .into_iter()
    .filter_map(|(absent, name)| absent.then_some(name))
    .collect();
    for name in sites.iter().flat_map(SiteRead::lacks) {
        if !lacks.contains(&name) {
            lacks.push(name);
        }
    }
    Ok(ResultRead { file, version, inputs: whole.inputs, summary: whole.summary, sites, lacks })
}
