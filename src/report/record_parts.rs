//! The parts of a site's record: ways out, checks, assumed values, bill, tasks, odds. Names and order as in the contract.

use super::materials::PriceIndex;
use super::record::{hundredths, share};
use crate::estimate::{BillLine, CrewDays, RestsOn, TaskLine};
use crate::finding::Finding;
use crate::portfolio::Unlock;
use crate::quantity::{Band, round_to};
use crate::verdict::{Assumed, Odds, Remedy};
use schemars::JsonSchema;
use serde::Serialize;

/// A way out.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct RemedyRecord<'a> {
    /// What is done, in the order it is done.
    pub set: &'a [&'static str],
    /// Cost before tax, likely, pounds, without the installation.
    pub cost_likely_gbp: f64,
    /// Weeks until it is done, likely.
    pub weeks_likely: u16,
    /// Who pays.
    pub payer: &'a str,
    /// Why it is shown.
    #[schemars(extend("enum" = ["cheapest", "quickest"]))]
    pub kind: &'static str,
    /// Chance that the site is ready once it is done, 0 to 1.
    pub chance: Option<f64>,
}

/// A remedy of the cheapest ways out, over the portfolio.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct UnlockRecord {
    /// What is done.
    pub remedy: &'static str,
    /// Who pays.
    pub payer: &'static str,
    /// Sites in whose cheapest way out it is.
    pub sites: u32,
    /// Of them, those that become ready by it alone.
    pub alone: u32,
    /// Sites that become ready by it and those before it.
    pub so_far: u32,
    /// Its likely cost before tax over these sites, pounds.
    pub cost_likely_gbp: f64,
}

impl UnlockRecord {
    pub(super) fn new(unlock: &Unlock) -> Self {
        let Unlock { remedy, payer, sites, alone, so_far, cost } = *unlock;
        Self { remedy, payer, sites, alone, so_far, cost_likely_gbp: cost.pounds() }
    }
}

/// A check that was made.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct FindingRecord {
    /// Name of the check.
    pub check: &'static str,
    /// Clause of the wiring regulations or of the operators' process.
    pub clause: &'static str,
    /// Published source.
    pub source: &'static str,
    /// Figure found, in the unit.
    pub value: Option<f64>,
    /// Limit it was held against.
    pub limit: Option<f64>,
    /// Unit of value and limit.
    pub unit: &'static str,
    /// How it came out.
    #[schemars(extend("enum" = ["pass", "fail", "unknown", "noted"]))]
    pub outcome: &'static str,
    /// What it does to the verdict.
    #[schemars(extend("enum" = ["none", "note", "step", "holds", "stops"]))]
    pub effect: &'static str,
    /// Code of the reason it gives.
    pub reason: Option<&'static str>,
    /// What has to be measured on site before energising; null where the check asks for nothing.
    pub measure: Option<&'static str>,
}

/// A value that is not from the user's sheet.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct AssumedRecord<'a> {
    /// Survey field.
    pub field: &'static str,
    /// Value used, with its unit.
    pub value: &'a str,
    /// Why that value, and from where.
    pub source: &'static str,
}

/// A line of materials or bought services.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct BillRecord<'a> {
    /// Item code of the price book.
    pub item: &'static str,
    /// Quantity in the unit, likely.
    pub quantity: Option<f64>,
    /// Unit of the price book; empty where the book does not hold the item.
    pub unit: &'a str,
    /// Cost before tax, likely, pounds.
    pub cost_likely_gbp: f64,
}

/// A task.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct TaskRecord {
    /// Item code of the price book.
    pub task: &'static str,
    /// Person-hours, likely.
    pub hours_likely: Option<f64>,
}

/// Days of a crew on site, travel left out.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct CrewRecord {
    /// Code of its labour rate in the price book.
    pub crew: &'static str,
    /// Persons who work together.
    pub persons: u8,
    /// Days, low end.
    pub days_low: Option<f64>,
    /// Days, likely.
    pub days_likely: Option<f64>,
    /// Days, high end.
    pub days_high: Option<f64>,
}

/// The chance of each verdict, 0 to 1.
#[derive(Clone, Debug, Serialize, JsonSchema)]
#[allow(missing_docs)] // the verdicts
pub struct OddsRecord {
    pub ready: Option<f64>,
    pub marginal: Option<f64>,
    pub blocked: Option<f64>,
}

impl<'a> RemedyRecord<'a> {
    pub(super) fn new(remedy: &'a Remedy) -> Self {
        Self {
            set: &remedy.set,
            cost_likely_gbp: remedy.cost.likely.pounds(),
            weeks_likely: remedy.weeks.likely,
            payer: &remedy.payer,
            kind: remedy.kind.word(),
            chance: share(remedy.chance),
        }
    }
}

impl FindingRecord {
    pub(super) fn new(finding: &Finding) -> Self {
        let places = finding.check.places;
        let shown = |number: Option<f64>| number.filter(|number| number.is_finite()).map(|n| round_to(n, places));
        Self {
            check: finding.check.name,
            clause: finding.check.clause,
            source: finding.check.source,
            value: shown(finding.value),
            limit: shown(finding.limit),
            unit: finding.check.unit,
            outcome: super::findings::outcome(finding.outcome),
            effect: finding.effect.word(),
            reason: finding.code(),
            measure: Some(finding.check.measure).filter(|words| !words.is_empty()),
        }
    }
}

impl<'a> AssumedRecord<'a> {
    pub(super) fn new(assumed: &'a Assumed) -> Self {
        Self { field: assumed.field, value: &assumed.value, source: assumed.source }
    }
}

impl<'a> BillRecord<'a> {
    pub(super) fn new(line: &BillLine, prices: &PriceIndex<'a>) -> Self {
        Self {
            item: line.item,
            quantity: hundredths(line.quantity.likely),
            unit: prices.words(line.item).1,
            cost_likely_gbp: line.cost.likely.pounds(),
        }
    }
}

impl TaskRecord {
    pub(super) fn new(line: &TaskLine) -> Self {
        Self { task: line.task, hours_likely: hundredths(line.hours.likely) }
    }
}

impl CrewRecord {
    pub(super) fn new(crew: &CrewDays) -> Self {
        let Band { low, likely, high } = crew.days;
        let [days_low, days_likely, days_high] = [low, likely, high].map(hundredths);
        Self { crew: crew.rate, persons: crew.persons, days_low, days_likely, days_high }
    }
}

impl OddsRecord {
    pub(super) fn new(odds: Option<Odds>) -> Self {
        let of = |chance: fn(Odds) -> f64| odds.map(chance).and_then(share);
        Self { ready: of(|odds| odds.ready), marginal: of(|odds| odds.marginal), blocked: of(|odds| odds.blocked) }
    }
}

/// A likely cost, pounds before tax, parted by what its lines rest on. A line rests on illustrative prices if the basis of
/// its price, its hours or its labour rate says so, else on published ones if any says so, else on stated ones, such as
/// quotes. The share is null where there is no cost.
#[derive(Clone, Debug, Serialize, JsonSchema)]
#[allow(missing_docs)] // each name carries its unit
pub struct RestsOnRecord {
    pub illustrative_gbp: f64,
    pub published_gbp: f64,
    pub stated_gbp: f64,
    pub illustrative_share: Option<f64>,
}

/// The record of such a cost.
pub(super) fn rests_on(money: RestsOn) -> RestsOnRecord {
    RestsOnRecord {
        illustrative_gbp: money.illustrative.pounds(),
        published_gbp: money.published.pounds(),
        stated_gbp: money.stated.pounds(),
        illustrative_share: money.illustrative_share().and_then(share),
    }
}
