//! The bid as records: the whole, lots, sites, where the spread is, questions and grants. The JSON is made from them.

use super::Run;
use crate::portfolio::{Amounts, Bid, exclusions, grants, questions};
use schemars::JsonSchema;
use serde::Serialize;

/// A bid for the sites chosen; amounts in pounds, to the penny.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct BidRecord<'a> {
    /// All sites together.
    pub whole: BidLineRecord<'a>,
    /// By lot; an empty name for sites of no lot.
    pub lots: Vec<BidLineRecord<'a>>,
    /// By site, in the order of the ranking.
    pub sites: Vec<BidLineRecord<'a>>,
    /// Chance in per cent that the direct cost with risk is not exceeded.
    pub risk_percentile: f64,
    /// The sites that carry most of the spread, most first.
    pub riskiest_sites: Vec<&'a str>,
    /// What carries most of the spread, most first.
    pub causes: Vec<CauseRecord>,
    /// What to ask the client, the dearest first.
    pub questions: Vec<QuestionRecord>,
    /// What the bid leaves out.
    pub exclusions: Vec<&'static str>,
    /// Grants that may be had; none is taken off a price.
    pub grants: Vec<GrantRecord>,
}

/// One line of a bid.
#[derive(Clone, Debug, Serialize, JsonSchema)]
#[allow(missing_docs)] // each name carries its unit
pub struct BidLineRecord<'a> {
    /// site_id or lot; empty for the whole.
    pub name: &'a str,
    pub direct_gbp: f64,
    pub preliminaries_gbp: f64,
    pub risk_gbp: f64,
    pub overhead_gbp: f64,
    pub profit_gbp: f64,
    pub price_gbp: f64,
    pub vat_gbp: f64,
    pub price_with_vat_gbp: f64,
}

/// What carries a share of the spread.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct CauseRecord {
    /// Word of the price book.
    pub cause: &'static str,
    /// Share of the variance of the direct cost.
    pub share: f64,
}

/// A question to the client.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct QuestionRecord {
    /// Survey field; empty where no column of the survey tells.
    pub field: &'static str,
    /// The question, in a sentence.
    pub question: &'static str,
    /// Sites where it is assumed, or where what hangs on it is priced.
    pub sites: u32,
    /// Likely cost of what hangs on it, pounds.
    pub hangs_on_it_gbp: f64,
}

/// What a scheme may give.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct GrantRecord {
    /// Code of the scheme.
    pub scheme: &'static str,
    /// Last day on which work may be finished.
    pub until: String,
    /// Sockets counted.
    pub sockets: u32,
    /// Pounds that they may be given.
    pub amount_gbp: f64,
}

fn line<'a>(name: &'a str, amounts: Amounts) -> BidLineRecord<'a> {
    BidLineRecord {
        name,
        direct_gbp: amounts.direct.pounds(),
        preliminaries_gbp: amounts.preliminaries.pounds(),
        risk_gbp: amounts.risk.pounds(),
        overhead_gbp: amounts.overhead.pounds(),
        profit_gbp: amounts.profit.pounds(),
        price_gbp: amounts.price().pounds(),
        vat_gbp: amounts.vat.pounds(),
        price_with_vat_gbp: amounts.with_vat().pounds(),
    }
}

impl<'a> BidRecord<'a> {
    /// The record of a bid of a run.
    pub fn new(run: &Run<'a>, bid: &'a Bid) -> Self {
        let sites = &run.portfolio.sites;
        let id = |at: usize| sites.get(at).map_or("", |site| site.judgement.brief.site_id.as_str());
        Self {
            whole: line("", bid.whole.amounts),
            lots: bid.lots.iter().map(|lot| line(&lot.name, lot.amounts)).collect(),
            sites: bid.sites.iter().map(|own| line(id(own.at), own.amounts)).collect(),
            risk_percentile: run.rules.bid.risk_percentile,
            riskiest_sites: bid.riskiest.iter().filter_map(|at| bid.sites.get(*at)).map(|own| id(own.at)).collect(),
            causes: bid
                .causes
                .iter()
                .map(|cause| CauseRecord {
                    cause: cause.cause.word(),
                    share: crate::quantity::round_to(cause.share(), 4),
                })
                .collect(),
            questions: questions(sites, bid)
                .into_iter()
                .map(|question| QuestionRecord {
                    field: question.field,
                    question: question.question,
                    sites: question.sites,
                    hangs_on_it_gbp: question.hangs_on_it.pounds(),
                })
                .collect(),
            exclusions: exclusions(sites, bid).into_iter().map(|exclusion| exclusion.text).collect(),
            grants: grants(sites, bid, run.as_of)
                .into_iter()
                .map(|grant| GrantRecord {
                    scheme: grant.code,
                    until: grant.until.to_string(),
                    sockets: grant.sockets,
                    amount_gbp: grant.amount.pounds(),
                })
                .collect(),
        }
    }
}
