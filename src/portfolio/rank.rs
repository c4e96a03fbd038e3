//! The order in which money should be spent: verdict first, then a score whose parts are shown.

use super::{Portfolio, Ranked, ScoreParts, summary};
use crate::rules::Rules;
use crate::verdict::Judgement;

/// Weeks of waiting that halve the wait part of the score (a quarter of a year, design rule).
const HALVING_WEEKS: f64 = 13.0;
/// Points at which the points part is full (design rule).
const FULL_POINTS: f64 = 32.0;

/// Ranks judged sites and counts them. The order is total: verdict, score, site_id, row.
pub fn rank(judgements: impl IntoIterator<Item: Into<Box<Judgement>>>, rules: &Rules) -> Portfolio {
    let judgements = judgements.into_iter().map(Into::into);
    let mut sites: Vec<Ranked> =
        judgements.map(|judgement: Box<Judgement>| Ranked::new(score(&judgement, rules), judgement)).collect();
    sites.sort_by(|a, b| {
        let (one, other) = (&a.judgement, &b.judgement);
        one.counted_verdict()
            .cmp(&other.counted_verdict())
            .then_with(|| b.score.score.total_cmp(&a.score.score))
            .then_with(|| one.brief.site_id.cmp(&other.brief.site_id))
            .then_with(|| one.brief.row.cmp(&other.brief.row))
    });
    for (index, site) in sites.iter_mut().enumerate() {
        site.rank = u32::try_from(index + 1).unwrap_or(u32::MAX);
    }
    let summary = summary::summarise(&sites, rules);
    Portfolio { sites, summary, clusters: Vec::new() }
}

fn points(judgement: &Judgement) -> u32 {
    judgement.chosen.as_ref().map_or(1, points_served).max(1)
}

/// Likely cost of a point served, pounds.
pub(super) fn cost_a_point_gbp(judgement: &Judgement) -> Option<f64> {
    let points = f64::from(points(judgement));
    judgement.estimate.as_ref().map(|estimate| estimate.cost.likely.pounds() / points)
}

/// Score of one site: each part 0 to 1, weighted by the rules.
fn score(judgement: &Judgement, rules: &Rules) -> ScoreParts {
    let weights = &rules.ranking;
    let points = points(judgement);
    let cost = cost_a_point_gbp(judgement)
        .map_or(0.0, |gbp| weights.typical_cost_gbp / (weights.typical_cost_gbp + gbp).max(1e-9));
    let weeks = judgement.weeks.map_or(0.0, |weeks| f64::from(weeks.likely));
    let wait = HALVING_WEEKS / (HALVING_WEEKS + weeks);
    // 1 is the most urgent; 2 counts half of it, and so on. No priority given counts nothing.
    let priority = judgement.brief.priority.filter(|p| *p >= 1.0).map_or(0.0, |p| 1.0 / p);
    let points = (f64::from(points).ln_1p() / FULL_POINTS.ln_1p()).min(1.0);
    // Where no odds were asked for they tell no site from another.
    let odds = judgement.odds.map_or(0.0, |odds| odds.ready);
    let score = weights.odds * odds
        + weights.cost * cost
        + weights.wait * wait
        + weights.priority * priority
        + weights.points * points;
    ScoreParts { odds, cost, wait, priority, points, score }
}

/// Points that an arrangement really serves.
pub fn points_served(arrangement: &crate::design::Arrangement) -> u32 {
    arrangement.shared.map_or(arrangement.points, |shared| shared.points_served)
}
