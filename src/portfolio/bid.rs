//! A bid for chosen sites: what is added to their direct cost and in which order, by site, by lot and in all, to the
//! penny; and where the price is most at risk. It knows no sheet and no file.
//!
//! ```text
//! direct        the sum of the likely lines, as the site's own estimate has it
//! preliminaries a share of direct
//! risk          what the whole is not to exceed at the percentile of the rules, less the sum of the likely costs
//! overhead      a share of all of these
//! profit        a share of all of these and overhead
//! ```
//!
//! Risk is reckoned once, for the whole: sites share causes, so the percentiles of single sites do not add. Each site
//! bears what its mean lies above its likely cost, and of the rest what it has to do with the variance of the whole (its
//! covariance). Every amount is rounded to the penny once, per site; lots and the whole are sums of their sites.

use super::Ranked;
use crate::estimate::{Cause, Doubt, Estimate};
use crate::quantity::Pence;
use crate::rules::Rules;
use crate::site::Premises;
use std::collections::BTreeMap;

/// What stands at risk in one place is told for this many sites, and this many causes.
const SITES_TOLD: usize = 10;
const CAUSES_TOLD: usize = 3;

/// Amounts in the order in which they are added.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Amounts {
    /// Likely cost of materials, services and hours.
    pub direct: Pence,
    /// Preliminaries.
    pub preliminaries: Pence,
    /// Risk.
    pub risk: Pence,
    /// Overhead.
    pub overhead: Pence,
    /// Profit.
    pub profit: Pence,
    /// Value-added tax on the price.
    pub vat: Pence,
}

impl Amounts {
    /// The price before tax.
    pub fn price(&self) -> Pence {
        self.direct + self.preliminaries + self.risk + self.overhead + self.profit
    }

    /// The price with tax.
    pub fn with_vat(&self) -> Pence {
        self.price() + self.vat
    }

    fn add(&mut self, other: Amounts) {
        self.direct = self.direct + other.direct;
        self.preliminaries = self.preliminaries + other.preliminaries;
        self.risk = self.risk + other.risk;
        self.overhead = self.overhead + other.overhead;
        self.profit = self.profit + other.profit;
        self.vat = self.vat + other.vat;
    }
}

/// The bid for one site.
#[derive(Clone, Debug, PartialEq)]
pub struct BidSite {
    /// Its place in the ranking, from 0.
    pub at: usize,
    /// What it comes to.
    pub amounts: Amounts,
    /// Its share of the variance of the whole, 0 to 1.
    pub share_of_spread: f64,
}

/// The bid for one lot.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct BidLot {
    /// Name; empty for sites of no lot.
    pub name: String,
    /// Sites.
    pub sites: u32,
    /// Points served.
    pub points: u32,
    /// What it comes to.
    pub amounts: Amounts,
    /// Its direct cost with its doubt.
    pub doubt: Doubt,
}

/// What carries a share of the spread.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CauseShare {
    /// The cause.
    pub cause: Cause,
    /// Its share of the variance of the whole, 0 to 1, where it is the same everywhere.
    pub everywhere: f64,
    /// The same where it differs from site to site.
    pub by_site: f64,
}

impl CauseShare {
    /// Both together.
    pub fn share(&self) -> f64 {
        self.everywhere + self.by_site
    }
}

/// A bid.
#[derive(Clone, Debug, Default)]
pub struct Bid {
    /// Sites in the order of the ranking.
    pub sites: Vec<BidSite>,
    /// Lots by name.
    pub lots: Vec<BidLot>,
    /// All together.
    pub whole: BidLot,
    /// The sites that carry most of the spread, most first: places in `sites`.
    pub riskiest: Vec<usize>,
    /// The causes that carry most of it, most first.
    pub causes: Vec<CauseShare>,
    /// Price a pound of direct cost: what a rate of the price book is multiplied by.
    pub uplift: f64,
}

/// The bid for the chosen sites (their places in the ranking) that have an estimate; `None` when there is none.
pub fn bid(sites: &[Ranked], chosen: &[usize], rules: &Rules) -> Option<Bid> {
    let estimated = |at: &usize| {
        let site = sites.get(*at)?;
        Some((*at, site, site.judgement.estimate.as_ref()?))
    };
    let picked: Vec<(usize, &Ranked, &Estimate)> = chosen.iter().filter_map(estimated).collect();
    if picked.is_empty() {
        return None;
    }
    let doubt: Doubt = picked.iter().map(|(_, _, estimate)| &estimate.doubt).sum();
    let policy = &rules.bid;
    let above_mean = doubt.percentile(policy.risk_percentile / 100.0) - doubt.mean();
    let variance = doubt.variance();
    let mut bid = Bid::default();
    let mut lots: BTreeMap<&str, BidLot> = BTreeMap::new();
    let mut risk = Cumulative::default();
    for (at, site, estimate) in &picked {
        let brief = &site.judgement.brief;
        let direct = estimate.cost.likely;
        let share_of_spread = if variance > 0.0 { estimate.doubt.part_in(&doubt) / variance } else { 0.0 };
        let preliminaries = direct.percent(policy.preliminaries_percent);
        let risk = risk.next(estimate.doubt.mean() - direct.pounds() + above_mean * share_of_spread);
        let before = direct + preliminaries + risk;
        let overhead = before.percent(policy.overhead_percent);
        let profit = (before + overhead).percent(policy.profit_percent);
        let mut amounts = Amounts { direct, preliminaries, risk, overhead, profit, vat: Pence(0) };
        amounts.vat = amounts.price().percent(rules.vat_percent(brief.premises.map_or("", Premises::word)));
        let points = site.judgement.chosen.as_ref().map_or(0, super::rank::points_served);
        for lot in [lots.entry(brief.lot.as_str()).or_default(), &mut bid.whole] {
            lot.sites += 1;
            lot.points += points;
            lot.amounts.add(amounts);
            lot.doubt += &estimate.doubt;
        }
        bid.sites.push(BidSite { at: *at, amounts, share_of_spread });
    }
    bid.lots = lots.into_iter().map(|(name, lot)| BidLot { name: name.to_owned(), ..lot }).collect();
    bid.riskiest = (0..bid.sites.len()).collect();
    let spread = |at: &usize| bid.sites.get(*at).map_or(0.0, |site| site.share_of_spread);
    bid.riskiest.sort_by(|a, b| spread(b).total_cmp(&spread(a)));
    bid.riskiest.truncate(SITES_TOLD);
    bid.causes = causes(&doubt);
    let direct = bid.whole.amounts.direct.pounds();
    bid.uplift = if direct > 0.0 { bid.whole.amounts.price().pounds() / direct } else { 1.0 };
    Some(bid)
}

fn causes(doubt: &Doubt) -> Vec<CauseShare> {
    let variance = doubt.variance();
    if variance <= 0.0 {
        return Vec::new();
    }
    let mut causes: Vec<CauseShare> = Cause::ALL
        .into_iter()
        .map(|cause| {
            let (everywhere, by_site) = doubt.variance_by(cause);
            CauseShare { cause, everywhere: everywhere / variance, by_site: by_site / variance }
        })
        .collect();
    // Stable: of equals the one that stands first in the list of causes.
    causes.sort_by(|a, b| b.share().total_cmp(&a.share()));
    causes.truncate(CAUSES_TOLD);
    causes
}

/// Pounds rounded to pence one after another, so that the pence add up to the rounded sum.
#[derive(Default)]
struct Cumulative {
    pounds: f64,
    given: Pence,
}

impl Cumulative {
    fn next(&mut self, pounds: f64) -> Pence {
        self.pounds += pounds;
        let upto = Pence::from_pounds(self.pounds);
        let next = Pence(upto.0 - self.given.0);
        self.given = upto;
        next
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pence_add_up_to_the_rounded_sum() {
        let mut cumulative = Cumulative::default();
        let parts: Vec<Pence> = std::iter::repeat_n(1.0 / 3.0, 10).map(|pounds| cumulative.next(pounds)).collect();
        assert_eq!(parts.iter().copied().sum::<Pence>(), Pence::from_pounds(10.0 / 3.0));
        assert!(parts.iter().all(|part| (33..=34).contains(&part.0)));
    }
}
