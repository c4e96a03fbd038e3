//! Sheet Visits: the sites whose inspection narrows the count of ready sites and their price most, in order; and how
//! many are likely to prove ready, for programs.

use super::Run;
use super::grid::{Cell, Form, Heading, Paper, Row, Rows, Sheet, heading, names};
use super::stands;
use crate::portfolio::{LikelyReady, Visit};
use schemars::JsonSchema;
use serde::Serialize;

/// The sheet.
pub(super) fn sheet<'a>(run: &'a Run<'a>) -> Sheet<'a> {
    let mut count_left = 1.0;
    let mut price_left = 1.0;
    let rows: Vec<Row<'a>> = run
        .visits
        .iter()
        .zip(1_u32..)
        .filter_map(|(visit, number)| {
            let site = run.portfolio.sites.get(visit.place)?;
            let judgement = &site.judgement;
            count_left -= visit.count_share;
            price_left -= visit.price_share;
            let look_for = if judgement.decisive_unknowns.is_empty() {
                &judgement.confirm_first
            } else {
                &judgement.decisive_unknowns
            };
            Some(vec![
                number.into(),
                site.rank.into(),
                stands::on_ranking(site),
                judgement.brief.address.as_str().into(),
                judgement.brief.lot.as_str().into(),
                Cell::Verdict(judgement.counted_verdict(), judgement.brief.override_verdict.is_some()),
                Cell::Percent(visit.ready),
                visit.speaks_for.into(),
                Cell::Percent(f64::max(count_left, 0.0)),
                Cell::Percent(f64::max(price_left, 0.0)),
                look_for.join(", ").into(),
            ])
        })
        .collect();
    Sheet {
        name: names::VISITS,
        subject: "Sites to visit: each narrows most after those before it",
        headings: headings(),
        frozen: 1,
        printed: None,
        paper: Paper::A3,
        rows: Rows::few(rows),
    }
}

fn headings() -> Vec<Heading<'static>> {
    use Form::{Percent, Text, Whole, Wrapped};
    vec![
        heading("Visit", 6.0, Form::Ordinal),
        heading("Rank", 6.0, Form::Ordinal),
        heading("Site", 12.0, Text),
        heading("Address", 34.0, Text),
        heading("Lot", 16.0, Text),
        heading("Verdict", 14.0, Text),
        heading("Chance of ready", 9.0, Percent),
        heading("Neighbours it speaks for", 11.0, Whole),
        heading("Doubt left: count", 9.0, Percent),
        heading("Doubt left: price", 9.0, Percent),
        heading("Look for", 60.0, Wrapped),
    ]
}

/// A site worth visiting.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct VisitRecord<'a> {
    /// The user's key.
    pub site_id: &'a str,
    /// Chance that it proves ready, the homes of its street that were looked at heard.
    pub chance_ready: f64,
    /// Share that the visit takes of the variance of how many sites prove ready.
    pub count_share: f64,
    /// The same of their price.
    pub price_share: f64,
    /// Other homes of its street and age about which it tells something.
    pub speaks_for: u32,
}

/// The visits of a run.
pub(super) fn records<'a>(run: &Run<'a>) -> Vec<VisitRecord<'a>> {
    let share = |share: f64| crate::quantity::round_to(share, 4);
    let record = |visit: &Visit| {
        let site = run.portfolio.sites.get(visit.place)?;
        Some(VisitRecord {
            site_id: &site.judgement.brief.site_id,
            chance_ready: share(visit.ready),
            count_share: share(visit.count_share),
            price_share: share(visit.price_share),
            speaks_for: visit.speaks_for,
        })
    };
    run.visits.iter().filter_map(record).collect()
}

/// How many sites will prove ready once everything open about them is settled.
#[derive(Clone, Copy, Debug, Serialize, JsonSchema)]
pub struct LikelyReadyRecord {
    /// Mean.
    pub mean: f64,
    /// One time in ten it is less.
    pub p10: f64,
    /// One time in ten it is more.
    pub p90: f64,
}

impl LikelyReadyRecord {
    pub(super) fn new(likely: LikelyReady) -> Self {
        let tenth = |count: f64| crate::quantity::round_to(count, 1);
        Self { mean: tenth(likely.mean), p10: tenth(likely.low), p90: tenth(likely.high) }
    }
}
