//! Ways out: the cheapest and the quickest set of remedies that turns a site ready (`remedies.csv`).
//!
//! Every reason that stops or holds needs one remedy. A remedy that changes a fact (a larger fuse, measured demand) is
//! offered only when the site, judged again with it, is not stopped by its design; what then still holds it is settled
//! by the cheapest remedy that follows.

use super::choice::best;
use super::types::{Remedy, RemedyKind};
use super::unknowns::with_demand;
use crate::design::{Arrangement, Facts, arrangements, worst_effect};
use crate::estimate::{Place, PriceBook, likely_cost, price_items};
use crate::finding::{Effect, Finding, Weeks};
use crate::quantity::{Band, CostBand};
use crate::rules::Rules;
use crate::table::Table;
use std::sync::OnceLock;

/// What a remedy does to the facts.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Change {
    /// The reason goes away when the likely outcome holds.
    Settles,
    /// The cut-out becomes this rating, amperes.
    Cutout(f64),
    /// The operator lays a service that carries this rating, amperes: whatever its policy on fuses of old ones.
    Service(f64),
    /// The operator brings three phases to a home that has one: the load is spread over them.
    ThreePhases,
    /// Existing demand proves to be in the middle of its band.
    DemandLikely,
    /// Nothing here settles it.
    Nothing,
}

impl Change {
    /// A larger fuse or service, rather than a better figure of demand.
    fn is_supply(self) -> bool {
        matches!(self, Change::Cutout(_) | Change::Service(_) | Change::ThreePhases)
    }
}

/// One row of `remedies.csv`.
struct Row {
    reason: &'static str,
    remedy: &'static str,
    change: Change,
    payer: &'static str,
    items: &'static str,
    weeks: Weeks,
    chance: f64,
    applies_to: &'static str,
}

fn rows() -> &'static [Row] {
    static ROWS: OnceLock<Vec<Row>> = OnceLock::new();
    ROWS.get_or_init(|| {
        let change = |text: &str| match text.split_once('=') {
            Some(("cutout", amps)) => amps.parse().map_or(Change::Nothing, Change::Cutout),
            Some(("service", amps)) => amps.parse().map_or(Change::Nothing, Change::Service),
            Some(("phases", "3")) => Change::ThreePhases,
            Some(("demand", "likely")) => Change::DemandLikely,
            _ if text == "settles" => Change::Settles,
            _ => Change::Nothing,
        };
        Table::of(include_str!("remedies.csv"))
            .rows()
            .map(|row| {
                let weeks = |column: &str| row.number(column).map_or(0, |weeks| weeks as u16);
                Row {
                    reason: row.kept("reason"),
                    remedy: row.kept("remedy"),
                    change: change(row.text("change")),
                    payer: row.kept("payer"),
                    items: row.kept("items"),
                    weeks: Weeks { low: weeks("weeks_low"), likely: weeks("weeks_likely"), high: weeks("weeks_high") },
                    chance: row.number("chance").unwrap_or(0.5),
                    applies_to: row.kept("applies_to"),
                }
            })
            .collect()
    })
}

/// What the ways out are looked for with.
pub(super) struct Situation<'a> {
    pub(super) facts: &'a Facts,
    pub(super) rules: &'a Rules,
    pub(super) prices: &'a PriceBook,
    pub(super) place: &'a Place,
    /// Largest cut-out the operator's policy allows a home, amperes.
    pub(super) fuse_policy_a: Option<f64>,
}

/// One way to settle one reason: a remedy, and what still has to follow it.
#[derive(Clone)]
struct Offer {
    remedies: Vec<&'static Row>,
    cost: CostBand,
    weeks: Weeks,
    chance: f64,
}

impl Situation<'_> {
    fn applies(&self, row: &Row) -> bool {
        match row.applies_to {
            "home" => self.facts.premises.is_home(),
            "site" => !self.facts.premises.is_home(),
            _ => true,
        }
    }

    fn plain(&self, row: &'static Row) -> Option<Offer> {
        let items = self.prices.parse_items(row.items).ok()?;
        let cost = price_items(&items, self.place, self.prices);
        Some(Offer { remedies: vec![row], cost, weeks: row.weeks, chance: row.chance })
    }

    /// The offer of a row; a row that changes a fact is followed by what the changed site still needs.
    fn offer(&self, row: &'static Row) -> Option<Offer> {
        self.offer_on(self.facts, row, None)
    }

    /// The offer of a row on a site with these facts. After a larger supply the demand may still have to be logged, and
    /// after a logged demand the supply still be enlarged (`after`), but neither twice.
    fn offer_on(&self, facts: &Facts, row: &'static Row, after: Option<Change>) -> Option<Offer> {
        if !self.applies(row) || after.is_some_and(|before| before.is_supply() == row.change.is_supply()) {
            return None;
        }
        let changed = match row.change {
            Change::Settles => return self.plain(row),
            Change::ThreePhases => return self.plain(row).filter(|_| facts.supply_phases == 1),
            Change::Nothing => return None,
            Change::Cutout(amps) | Change::Service(amps) => {
                let new_service = matches!(row.change, Change::Service(_));
                let allowed = new_service || self.fuse_policy_a.is_none_or(|policy_a| amps <= policy_a);
                (allowed && amps > facts.cutout_a).then(|| Facts { cutout_a: amps, ..facts.clone() })?
            }
            Change::DemandLikely => {
                // What a logger is likely to show: the middle of the band. A paper figure is the top of its own.
                let middle = |band: Band| (band.low + band.high) / 2.0;
                let demand = facts.demand;
                let mut logged = with_demand(facts, middle(demand.band_a));
                logged.demand.against_capacity_a = Band::exact(middle(demand.against_capacity_a));
                logged
            }
        };
        let mut offer = self.plain(row)?;
        let mut follow = Weeks::default();
        for code in holding_codes(&changed, self)? {
            let of_code = || rows().iter().filter(|next| next.reason == code && self.applies(next));
            let cheapest = |offers: &mut dyn Iterator<Item = Offer>| {
                offers.min_by_key(|offer| (offer.cost.likely.0, offer.weeks.likely))
            };
            let settles = of_code().filter(|next| next.change == Change::Settles);
            let next = cheapest(&mut settles.filter_map(|next| self.plain(next))).or_else(|| {
                let changes = of_code().filter(|next| next.change != Change::Settles && after.is_none());
                cheapest(&mut changes.filter_map(|next| self.offer_on(&changed, next, Some(row.change))))
            })?;
            follow = follow.beside(next.weeks);
            offer.cost = offer.cost.plus(next.cost);
            offer.chance *= next.chance;
            offer.remedies.extend(next.remedies);
        }
        // The change comes first, what it leaves open after it.
        offer.weeks = Weeks {
            low: offer.weeks.low + follow.low,
            likely: offer.weeks.likely + follow.likely,
            high: offer.weeks.high + follow.high,
        };
        Some(offer)
    }
}

/// Reasons that still hold the design that would be chosen for these facts; `None` when it is stopped.
fn holding_codes(facts: &Facts, situation: &Situation<'_>) -> Option<Vec<&'static str>> {
    let cost = |arrangement: &Arrangement| likely_cost(arrangement, situation.place, situation.prices);
    let best = best(arrangements(facts, situation.rules), cost)?;
    if worst_effect(&best) == Effect::Stops {
        return None;
    }
    Some(best.findings.iter().filter(|finding| finding.effect == Effect::Holds).filter_map(Finding::code).collect())
}

/// The cheapest and the quickest set for these findings; one entry when they are the same, none when some reason has
/// no way out.
pub(super) fn ways_out(findings: &[Finding], situation: &Situation<'_>) -> Vec<Remedy> {
    let mut reasons: Vec<&'static str> = Vec::new();
    for finding in findings.iter().filter(|finding| finding.effect >= Effect::Holds) {
        reasons.extend(finding.code().filter(|code| !reasons.contains(code)));
    }
    if reasons.is_empty() {
        return Vec::new();
    }
    let mut options: Vec<Vec<Offer>> = Vec::with_capacity(reasons.len());
    for reason in &reasons {
        let offered: Vec<Offer> =
            rows().iter().filter(|row| row.reason == *reason).filter_map(|row| situation.offer(row)).collect();
        if offered.is_empty() {
            return Vec::new();
        }
        options.push(offered);
    }
    let cheapest = set(&options, RemedyKind::Cheapest);
    let quickest = set(&options, RemedyKind::Quickest);
    if cheapest.set == quickest.set { vec![cheapest] } else { vec![cheapest, quickest] }
}

fn set(options: &[Vec<Offer>], kind: RemedyKind) -> Remedy {
    let mut chosen: Vec<&Offer> = Vec::with_capacity(options.len());
    for offered in options {
        let best = offered.iter().min_by_key(|offer| match kind {
            RemedyKind::Cheapest => (offer.cost.likely.0, i64::from(offer.weeks.likely)),
            RemedyKind::Quickest => (i64::from(offer.weeks.likely), offer.cost.likely.0),
        });
        chosen.extend(best);
    }
    // One photograph answers several questions: the same remedy is done and paid once.
    let mut set: Vec<&'static str> = Vec::new();
    let mut payers: Vec<&str> = Vec::new();
    let mut kept: Vec<&Offer> = Vec::new();
    for offer in chosen {
        let known = offer.remedies.iter().all(|row| set.contains(&row.remedy));
        for row in &offer.remedies {
            if !set.contains(&row.remedy) {
                set.push(row.remedy);
            }
            if !payers.contains(&row.payer) {
                payers.push(row.payer);
            }
        }
        if !known {
            kept.push(offer);
        }
    }
    Remedy {
        set,
        cost: kept.iter().map(|offer| offer.cost).sum(),
        weeks: kept.iter().map(|offer| offer.weeks).fold(Weeks::default(), Weeks::beside),
        payer: payers.join(" and "),
        kind,
        chance: kept.iter().map(|offer| offer.chance).product(),
    }
}
