//! The cheapest and the quickest set, found exactly: branch and bound over the remedies of each reason, for every way
//! of changing the facts that could still be better than the best set known.

use super::table::{Row, rows};
use super::{Changed, Open, Situation};
use crate::estimate::price_items;
use crate::finding::{WaitsFor, Weeks, reason};
use crate::quantity::{CostBand, Pence};
use crate::verdict::types::{Each, Remedy, RemedyKind};
use std::collections::BTreeMap;

/// A set of remedies with its likely cost and weeks; while it grows both can only rise.
#[derive(Clone, Debug, Default)]
struct Plan {
    /// What changes the facts, in the order it is done.
    changes: Vec<&'static Row>,
    /// What settles the rest: beside the changes where it can be, else after them.
    settling: Vec<&'static Row>,
    /// What has to be settled.
    open: Vec<Open>,
    cost: Pence,
    weeks: u16,
}

impl Plan {
    /// What is least first.
    fn key(&self, kind: RemedyKind) -> (i64, i64) {
        let (cost, weeks) = (self.cost.0, i64::from(self.weeks));
        match kind {
            RemedyKind::Cheapest => (cost, weeks),
            RemedyKind::Quickest => (weeks, cost),
        }
    }

    /// What breaks a tie: fewer remedies, then the order of the file.
    fn tie(&self) -> (usize, Vec<usize>) {
        let mut ids: Vec<usize> = self.rows().map(|row| row.id).collect();
        ids.sort_unstable();
        (ids.len(), ids)
    }

    fn rows(&self) -> impl Iterator<Item = &'static Row> {
        self.changes.iter().chain(&self.settling).copied()
    }

    /// Weeks of the changes, one after the other.
    fn before(&self) -> Weeks {
        self.changes.iter().fold(Weeks::default(), |sum, row| after(sum, row.weeks))
    }

    /// Weeks until `row`, one of what settles, is done: after the changes where it settles a reason of the design.
    fn until(&self, row: &Row, situation: &Situation<'_>, changed: Changed) -> Weeks {
        let waits = self.open.iter().filter(|open| open.of_design).any(|open| settles(row, open, situation, changed));
        if waits { after(self.before(), row.weeks) } else { row.weeks }
    }

    fn changed(&self) -> Changed {
        self.changes.iter().fold(Changed::default(), |changed, row| changed.and(row.change).unwrap_or(changed))
    }
}

fn after(first: Weeks, then: Weeks) -> Weeks {
    Weeks {
        low: first.low.saturating_add(then.low),
        likely: first.likely.saturating_add(then.likely),
        high: first.high.saturating_add(then.high),
    }
}

fn settles(row: &Row, open: &Open, situation: &Situation<'_>, changed: Changed) -> bool {
    situation.settling(open.code, changed).any(|other| other.id == row.id)
}

/// The search at one site.
pub(super) struct Search<'a> {
    situation: &'a Situation<'a>,
    found: Vec<Open>,
    /// What is open with changed facts, judged once each.
    judged: Vec<(Changed, Vec<Open>)>,
    /// Cost of each remedy by its place; `None` where the price book lacks an item.
    prices: BTreeMap<usize, Option<CostBand>>,
    cheapest: Option<Plan>,
    quickest: Option<Plan>,
}

impl<'a> Search<'a> {
    pub(super) fn new(situation: &'a Situation<'a>, found: Vec<Open>) -> Self {
        let judged = vec![(Changed::default(), found.clone())];
        Self { situation, found, judged, prices: BTreeMap::new(), cheapest: None, quickest: None }
    }

    /// Both sets; one entry where they are the same.
    pub(super) fn ways_out(mut self) -> Vec<Remedy> {
        self.with_changes(&Plan::default());
        let found = self.found.clone();
        for first in self.changes(&found, Changed::default()) {
            let Some(once) = self.changing(&Plan::default(), first) else { continue };
            self.with_changes(&once);
            let changed = once.changed();
            let open = self.open_after(changed);
            for second in self.changes(&open, changed) {
                if let Some(twice) = self.changing(&once, second) {
                    self.with_changes(&twice);
                }
            }
        }
        let (Some(cheapest), Some(quickest)) = (self.cheapest.take(), self.quickest.take()) else { return Vec::new() };
        let same = cheapest.tie() == quickest.tie();
        let mut ways = vec![self.remedy(&cheapest, RemedyKind::Cheapest)];
        if !same {
            ways.push(self.remedy(&quickest, RemedyKind::Quickest));
        }
        ways
    }

    /// Remedies listed for these reasons that would change the facts further: better figures of demand first. Where one
    /// is listed for several, the row of the least chance.
    fn changes(&self, open: &[Open], changed: Changed) -> Vec<&'static Row> {
        let listed = |row: &&Row| open.iter().any(|open| open.code == row.reason) && self.situation.offers(row);
        let mut changes: Vec<&'static Row> =
            rows().iter().filter(|row| changed.and(row.change).is_some()).filter(listed).collect();
        changes.sort_by(|a, b| {
            (a.change.is_supply(), a.id).cmp(&(b.change.is_supply(), b.id)).then(a.chance.total_cmp(&b.chance))
        });
        changes.dedup_by_key(|row| row.id);
        changes
    }

    /// The plan with one more change; `None` where it cannot be priced or no set with it can be the best.
    fn changing(&mut self, plan: &Plan, row: &'static Row) -> Option<Plan> {
        let mut plan = plan.clone();
        plan.cost = plan.cost + self.price(row)?.likely;
        plan.changes.push(row);
        plan.weeks = plan.before().likely;
        (!self.hopeless(&plan)).then_some(plan)
    }

    fn open_after(&mut self, changed: Changed) -> Vec<Open> {
        if let Some((_, open)) = self.judged.iter().find(|(known, _)| *known == changed) {
            return open.clone();
        }
        let open = self.situation.open_after(changed);
        self.judged.push((changed, open.clone()));
        open
    }

    /// Every set with exactly these changes that could be the best.
    fn with_changes(&mut self, changes: &Plan) {
        let changed = changes.changed();
        let open = self.open_after(changed);
        let mut options: Vec<Vec<&'static Row>> = Vec::with_capacity(open.len());
        for reason in &open {
            let mut settling: Vec<&'static Row> = self.situation.settling(reason.code, changed).collect();
            settling.retain(|row| self.price(row).is_some());
            options.push(settling);
        }
        if options.iter().all(|settling| !settling.is_empty()) {
            self.cover(Plan { open, ..changes.clone() }, &options, changed);
        }
    }

    /// Settles the first reason that the plan leaves open, in every way.
    fn cover(&mut self, plan: Plan, options: &[Vec<&'static Row>], changed: Changed) {
        if self.hopeless(&plan) {
            return;
        }
        let settled = |rows: &[&'static Row]| rows.iter().any(|row| plan.settling.iter().any(|has| has.id == row.id));
        let Some(rows) = options.iter().find(|rows| !settled(rows)) else {
            return self.keep(plan);
        };
        for row in rows {
            let Some(cost) = self.price(row) else { continue };
            let mut more = plan.clone();
            more.cost = more.cost + cost.likely;
            more.weeks = more.weeks.max(more.until(row, self.situation, changed).likely);
            more.settling.push(row);
            self.cover(more, options, changed);
        }
    }

    /// Whether no set that holds this one can be better than what is known, by cost or by weeks.
    fn hopeless(&self, plan: &Plan) -> bool {
        let worse = |best: &Option<Plan>, kind| best.as_ref().is_some_and(|best| best.key(kind) < plan.key(kind));
        worse(&self.cheapest, RemedyKind::Cheapest) && worse(&self.quickest, RemedyKind::Quickest)
    }

    fn keep(&mut self, plan: Plan) {
        let better = |best: &Option<Plan>, kind| {
            best.as_ref().is_none_or(|best| (plan.key(kind), plan.tie()) < (best.key(kind), best.tie()))
        };
        if better(&self.cheapest, RemedyKind::Cheapest) {
            self.cheapest = Some(plan.clone());
        }
        if better(&self.quickest, RemedyKind::Quickest) {
            self.quickest = Some(plan);
        }
    }

    fn price(&mut self, row: &Row) -> Option<CostBand> {
        let Situation { prices, place, .. } = self.situation;
        let price = || prices.parse_items(row.items).ok().map(|items| price_items(&items, place, prices));
        *self.prices.entry(row.id).or_insert_with(price)
    }

    fn remedy(&mut self, plan: &Plan, kind: RemedyKind) -> Remedy {
        let changed = plan.changed();
        let mut payers: Vec<&'static str> = Vec::new();
        let mut costs: Vec<CostBand> = Vec::new();
        for row in plan.rows() {
            if !payers.contains(&row.payer) {
                payers.push(row.payer);
            }
            costs.push(self.price(row).unwrap_or_default());
        }
        let of_row = |(row, cost): (&'static Row, &CostBand)| Each { payer: row.payer, cost: cost.likely };
        let settling = plan.settling.iter().map(|row| plan.until(row, self.situation, changed));
        Remedy {
            set: plan.rows().map(|row| row.remedy).collect(),
            each: plan.rows().zip(&costs).map(of_row).collect(),
            cost: costs.iter().copied().sum(),
            weeks: settling.fold(plan.before(), Weeks::beside),
            payer: payers.join(" and "),
            kind,
            chance: self.chance(plan, changed),
        }
    }

    /// Chance that all of a set turns out as is likely. What one remedy finds out are facts of their own, each with its
    /// chance; what else it settles stands or falls together, by the least chance.
    fn chance(&self, plan: &Plan, changed: Changed) -> f64 {
        let mut open = plan.open.clone();
        let mut chance: f64 = plan.changes.iter().map(|row| row.chance).product();
        for row in &plan.settling {
            let mut together = 1.0_f64;
            open.retain(|reason_open| {
                let mut settling = self.situation.settling(reason_open.code, changed);
                let Some(listed) = settling.find(|other| other.id == row.id) else { return true };
                if reason(reason_open.code).waits_for == Some(WaitsFor::Fact) {
                    chance *= listed.chance;
                } else {
                    together = together.min(listed.chance);
                }
                false
            });
            chance *= together;
        }
        chance
    }
}
