//! Scenarios as records: the run and each scenario in figures, and every site that moves. The JSON is made from them.

use super::Run;
use crate::portfolio::{Change, Figures, Moved, Scenario, Tally};
use crate::quantity::{Pence, round_to};
use schemars::JsonSchema;
use serde::Serialize;

/// The run or a scenario beside it, in figures. Costs are before tax, of the installations at sites not blocked; P50 to
/// P90 are what their sum does not exceed with that chance.
#[derive(Clone, Debug, Serialize, JsonSchema)]
#[allow(missing_docs)] // each name carries its unit
pub struct ScenarioRecord<'a> {
    /// Name of the file that makes it; "this run" for the run itself.
    pub name: &'a str,
    /// In what it differs from the run: "rules", "price book"; null for the run itself.
    pub differs: Option<&'static str>,
    /// The date it was judged for.
    pub as_of: String,
    pub ready: u32,
    pub marginal: u32,
    pub blocked: u32,
    /// Points served at sites not blocked.
    pub points: u32,
    pub cost_likely_gbp: f64,
    pub cost_p50_gbp: f64,
    pub cost_p80_gbp: f64,
    pub cost_p90_gbp: f64,
    /// Likely person-hours of the same installations.
    pub hours_likely: f64,
    /// Sites in the bid, chosen by the verdicts of the scenario.
    pub bid_sites: u32,
    /// Price of the bid before tax; null where none of them has a price.
    pub bid_price_gbp: Option<f64>,
    /// Sites whose verdict gets better than in the run, and worse.
    pub verdicts_better: u32,
    pub verdicts_worse: u32,
    /// Sites whose charging current rises, and falls.
    pub currents_raised: u32,
    pub currents_lowered: u32,
    /// Sites whose likely cost rises, and falls, by more than the rules count as moved.
    pub costs_dearer: u32,
    pub costs_cheaper: u32,
    /// The sites that move, verdicts first, then in the order of the run's ranking.
    pub moved: Vec<MovedRecord<'a>>,
}

/// A site that moves: in the run (before) and in the scenario (after).
#[derive(Clone, Debug, Serialize, JsonSchema)]
#[allow(missing_docs)] // each name carries its unit
pub struct MovedRecord<'a> {
    pub site_id: &'a str,
    /// Its rank in the run.
    pub rank: u32,
    pub verdict_before: &'static str,
    pub verdict_after: &'static str,
    /// Code of the reason that governed in the run; null where nothing needed doing.
    pub reason_before: Option<&'static str>,
    /// Code of the reason that governs in the scenario.
    pub reason_after: Option<&'static str>,
    pub charging_current_before_a: Option<f64>,
    pub charging_current_after_a: Option<f64>,
    pub points_before: u32,
    pub points_after: u32,
    /// Likely cost before tax; null where no installation is counted: blocked, or nothing was designed.
    pub cost_likely_before_gbp: Option<f64>,
    pub cost_likely_after_gbp: Option<f64>,
    pub hours_likely_before: Option<f64>,
    pub hours_likely_after: Option<f64>,
}

/// The name of the run among its scenarios.
pub(super) const THIS_RUN: &str = "this run";

/// The run, then each scenario; nothing where there are none.
pub(super) fn records<'a>(run: &Run<'a>) -> Vec<ScenarioRecord<'a>> {
    if run.scenarios.is_empty() {
        return Vec::new();
    }
    let own = Figures::of(run.portfolio, run.bid);
    let own = record(THIS_RUN, None, run.as_of.to_string(), &own, Tally::default());
    let sites = &run.portfolio.sites;
    let of = |scenario: &'a Scenario| ScenarioRecord {
        moved: scenario
            .moved
            .iter()
            .filter_map(|one| {
                let site = sites.get(one.at)?;
                Some(moved(site.judgement.brief.site_id.as_str(), site.rank, one))
            })
            .collect(),
        ..record(
            &scenario.name,
            Some(scenario.differs.word()),
            scenario.as_of.to_string(),
            &scenario.figures,
            scenario.tally,
        )
    };
    std::iter::once(own).chain(run.scenarios.iter().map(of)).collect()
}

fn record<'a>(
    name: &'a str,
    differs: Option<&'static str>,
    as_of: String,
    figures: &Figures,
    tally: Tally,
) -> ScenarioRecord<'a> {
    let levels = figures.doubt.levels();
    ScenarioRecord {
        name,
        differs,
        as_of,
        ready: figures.ready,
        marginal: figures.marginal,
        blocked: figures.blocked,
        points: figures.points,
        cost_likely_gbp: figures.cost.pounds(),
        cost_p50_gbp: levels.p50.pounds(),
        cost_p80_gbp: levels.p80.pounds(),
        cost_p90_gbp: levels.p90.pounds(),
        hours_likely: round_to(figures.hours, 2),
        bid_sites: figures.bid_sites,
        bid_price_gbp: figures.bid_price.map(Pence::pounds),
        verdicts_better: tally.better,
        verdicts_worse: tally.worse,
        currents_raised: tally.raised,
        currents_lowered: tally.lowered,
        costs_dearer: tally.dearer,
        costs_cheaper: tally.cheaper,
        moved: Vec::new(),
    }
}

fn moved<'a>(site_id: &'a str, rank: u32, one: &Moved) -> MovedRecord<'a> {
    let Change { before, after } = one.verdict;
    let amperes = |setting_a: Option<f64>| setting_a.map(crate::quantity::round_current_a);
    let hundredths = |hours: Option<f64>| hours.map(|hours| round_to(hours, 2));
    MovedRecord {
        site_id,
        rank,
        verdict_before: before.word(),
        verdict_after: after.word(),
        reason_before: one.reason.before.map(|reason| reason.code),
        reason_after: one.reason.after.map(|reason| reason.code),
        charging_current_before_a: amperes(one.current_a.before),
        charging_current_after_a: amperes(one.current_a.after),
        points_before: one.points.before,
        points_after: one.points.after,
        cost_likely_before_gbp: one.cost.before.map(Pence::pounds),
        cost_likely_after_gbp: one.cost.after.map(Pence::pounds),
        hours_likely_before: hundredths(one.hours.before),
        hours_likely_after: hundredths(one.hours.after),
    }
}
