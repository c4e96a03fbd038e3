//! What a charging point costs when the cheapest sites are done first, and what the next one would: where money stops
//! buying much. It adds up and ranks nothing.

use super::Ranked;
use super::rank::points_served;
use crate::quantity::Pence;
use crate::site::Verdict;

/// The portfolio up to one site, the cheapest a point first.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CostStep {
    /// Sites so far.
    pub sites: u32,
    /// They as a share of all sites of the portfolio, blocked ones too.
    pub share: f64,
    /// Points so far.
    pub points: u32,
    /// Likely cost so far, before tax.
    pub cost: Pence,
    /// Pounds a point so far.
    pub average_gbp: f64,
    /// Pounds a point of this site.
    pub own_gbp: f64,
}

/// A step for every site that is ready or marginal and has a price, cheapest a point first; ties in rank order.
pub fn cost_curve(sites: &[Ranked]) -> Vec<CostStep> {
    let mut priced: Vec<(f64, u32, Pence)> = sites
        .iter()
        .filter(|site| site.judgement.counted_verdict() != Verdict::Blocked)
        .filter_map(|site| {
            let judgement = &site.judgement;
            let points = judgement.chosen.as_ref().map(points_served).filter(|points| *points > 0)?;
            let cost = judgement.estimate.as_ref()?.cost.likely;
            Some((cost.pounds() / f64::from(points), points, cost))
        })
        .collect();
    // Stable: ties keep the order of the ranking.
    priced.sort_by(|one, other| one.0.total_cmp(&other.0));
    let all = sites.len().max(1) as f64;
    let (mut points, mut cost) = (0_u32, Pence::default());
    (1..)
        .zip(priced)
        .map(|(count, (own_gbp, own_points, own_cost))| {
            points += own_points;
            cost = cost + own_cost;
            CostStep {
                sites: count,
                share: f64::from(count) / all,
                points,
                cost,
                average_gbp: cost.pounds() / f64::from(points),
                own_gbp,
            }
        })
        .collect()
}
