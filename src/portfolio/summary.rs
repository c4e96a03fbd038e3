//! The portfolio in figures: counts, costs, what waits for what, what would move most.

use super::rank::points_served;
use super::streets::likely_ready;
use super::unlock::unlocks;
use super::{Lot, Move, Ranked, Summary};
use crate::finding::{Effect, Reason, WaitsFor};
use crate::quantity::CostBand;
use crate::rules::Rules;
use crate::site::{Premises, Verdict};
use crate::verdict::Judgement;
use std::collections::BTreeMap;

/// A reason with its count, keyed by its place in the table so that ties keep that order.
type Counts = BTreeMap<usize, (&'static Reason, u32)>;

/// Figures of ranked sites.
pub(super) fn summarise(sites: &[Ranked], rules: &Rules) -> Summary {
    let mut summary = Summary::default();
    let mut waiting = [0_u32; WaitsFor::ALL.len()];
    let (mut reasons, mut blocked_by): (Counts, Counts) = (Counts::new(), Counts::new());
    let mut moves: BTreeMap<usize, Move> = BTreeMap::new();
    let mut lots: BTreeMap<String, Lot> = BTreeMap::new();
    for site in sites {
        let judgement = &site.judgement;
        let verdict = judgement.counted_verdict();
        let cost = cost_of(judgement);
        let group = match verdict {
            Verdict::Ready => &mut summary.ready,
            Verdict::Marginal => &mut summary.marginal,
            Verdict::Blocked => &mut summary.blocked,
        };
        group.count += 1;
        group.cost = group.cost.plus(cost);
        group.vat =
            group.vat + cost.likely.percent(rules.vat_percent(judgement.brief.premises.map_or("", Premises::word)));
        let priced = judgement.estimate.as_ref().filter(|_| verdict != Verdict::Blocked);
        let doubt = priced.map(|estimate| estimate.doubt);
        group.doubt += &doubt.unwrap_or_default();
        let crew_days = priced.map_or(0.0, |estimate| estimate.crew_days.likely);
        group.crew_days += crew_days;
        group.rests_on += priced.map(|estimate| estimate.rests_on).unwrap_or_default();
        group.points += judgement.chosen.as_ref().map_or(1, points_served);
        if !judgement.brief.lot.is_empty() {
            let lot = lots.entry(judgement.brief.lot.clone()).or_default();
            match verdict {
                Verdict::Ready => lot.ready += 1,
                Verdict::Marginal => lot.marginal += 1,
                Verdict::Blocked => lot.blocked += 1,
            }
            if verdict != Verdict::Blocked {
                lot.cost = lot.cost.plus(cost);
                lot.doubt += &doubt.unwrap_or_default();
                lot.crew_days += crew_days;
            }
        }
        summary.ready_if_committed += u32::from(judgement.ready_if_committed);
        summary.overridden += u32::from(judgement.brief.override_verdict.is_some());
        if verdict == Verdict::Marginal {
            // An engineer's "marginal" without a computed hold waits for the engineer: counted as a fact.
            let wait = judgement.waits_for.first().copied().unwrap_or(WaitsFor::Fact);
            waiting[wait as usize] += 1;
        }
        if verdict == Verdict::Ready {
            continue;
        }
        let holding = holding(judgement);
        for reason in &holding {
            count(&mut reasons, reason);
            let entry = moves.entry(reason.position).or_insert(Move { reason, sites: 0, readies: 0 });
            entry.sites += 1;
            entry.readies += u32::from(holding.len() == 1);
        }
        if let Some(first) = holding.first().filter(|_| verdict == Verdict::Blocked) {
            count(&mut blocked_by, first);
        }
    }
    summary.waiting = WaitsFor::ALL.into_iter().zip(waiting).collect();
    summary.reasons = commonest(reasons);
    summary.blocked_by = commonest(blocked_by);
    summary.moves = moves.into_values().collect();
    // Stable sort over the order of the table: ties keep it.
    summary.moves.sort_by(|a, b| b.readies.cmp(&a.readies).then_with(|| b.sites.cmp(&a.sites)));
    summary.unlocks = unlocks(sites);
    summary.likely_ready = likely_ready(sites, &|_| true);
    summary.lots = lots
        .into_iter()
        .map(|(name, lot)| {
            let likely_ready = likely_ready(sites, &|site| site.judgement.brief.lot == name);
            Lot { name, likely_ready, ..lot }
        })
        .collect();
    summary
}

/// Cost of the installation; of a blocked site the cheapest way out.
fn cost_of(judgement: &Judgement) -> CostBand {
    match (judgement.counted_verdict(), &judgement.estimate) {
        (Verdict::Ready | Verdict::Marginal, Some(estimate)) => estimate.cost,
        (Verdict::Blocked, _) => judgement.remedies.first().map_or_else(CostBand::default, |remedy| remedy.cost),
        _ => CostBand::default(),
    }
}

/// Reasons that stop or hold a site, most decisive first.
fn holding(judgement: &Judgement) -> Vec<&'static Reason> {
    let holds = |reason: &&'static Reason| {
        judgement.findings.iter().any(|finding| finding.effect >= Effect::Holds && finding.code() == Some(reason.code))
    };
    judgement.reasons.iter().copied().filter(holds).collect()
}

fn count(counts: &mut Counts, reason: &'static Reason) {
    counts.entry(reason.position).or_insert((reason, 0)).1 += 1;
}

fn commonest(counts: Counts) -> Vec<(&'static Reason, u32)> {
    let mut all: Vec<_> = counts.into_values().collect();
    all.sort_by_key(|(_, sites)| std::cmp::Reverse(*sites));
    all
}
