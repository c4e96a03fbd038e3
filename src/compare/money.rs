//! What a site costs in two results and what makes the difference: prices where the quantities are the same, another
//! design where they are not, and the item that moves it most.

use super::document::SiteRead;
use crate::quantity::{Pence, round_to};
use std::cmp::Reverse;
use std::collections::BTreeMap;

/// Why a likely cost is another.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum MoneyKind {
    /// It is the same, item by item.
    Same,
    /// The same quantities and hours at other prices.
    Prices,
    /// Other quantities or hours.
    Design,
    /// It has a cost only in the later result.
    NowPriced,
    /// It has a cost only in the earlier result.
    NoLongerPriced,
    /// It has a cost in neither.
    NoCost,
    /// A document lacks the bill: what moved cannot be told.
    NotTold,
}

impl MoneyKind {
    /// A few words for a column.
    pub fn word(self) -> &'static str {
        match self {
            MoneyKind::Same => "same",
            MoneyKind::Prices => "prices",
            MoneyKind::Design => "design",
            MoneyKind::NowPriced => "now has a cost",
            MoneyKind::NoLongerPriced => "no longer has a cost",
            MoneyKind::NoCost => "no cost",
            MoneyKind::NotTold => "not told",
        }
    }
}

/// Name under which hours of labour stand among the items.
pub const LABOUR: &str = "labour";

/// One item of two bills. Quantities are in the unit of the item, hours for labour.
#[derive(Clone, Debug, PartialEq)]
pub struct ItemChange {
    /// Item code, or [`LABOUR`].
    pub item: String,
    /// Unit of the quantities.
    pub unit: String,
    /// Quantity in the earlier result.
    pub quantity_before: f64,
    /// Quantity in the later one.
    pub quantity_after: f64,
    /// Cost before tax in the earlier result.
    pub cost_before: Pence,
    /// Cost before tax in the later one.
    pub cost_after: Pence,
}

impl ItemChange {
    /// What it costs more in the later result.
    pub fn more(&self) -> Pence {
        less(self.cost_after, self.cost_before)
    }

    /// Whether as much of it is needed.
    pub fn same_quantity(&self) -> bool {
        self.quantity_before == self.quantity_after
    }
}

/// What a site costs in two results.
#[derive(Clone, Debug, PartialEq)]
pub struct Money {
    /// What makes the difference.
    pub kind: MoneyKind,
    /// Likely cost before tax in the earlier result.
    pub before: Option<Pence>,
    /// The same in the later one.
    pub after: Option<Pence>,
    /// Items that differ, that which moves the cost most first.
    pub items: Vec<ItemChange>,
}

impl Money {
    /// What the site costs more in the later result; `None` where it has no cost in one of them.
    pub fn more(&self) -> Option<Pence> {
        Some(less(self.after?, self.before?))
    }
}

/// The difference of two sums.
pub fn less(one: Pence, other: Pence) -> Pence {
    Pence(one.0.saturating_sub(other.0))
}

/// The likely cost of a site.
pub fn cost(site: &SiteRead) -> Option<Pence> {
    site.cost_likely_gbp.value().copied().map(Pence::from_pounds)
}

/// Quantity and cost of every item of a bill, a line of several runs added up.
type Bill<'a> = BTreeMap<&'a str, (&'a str, f64, Pence)>;

fn bill<'a>(site: &'a SiteRead, cost: Pence) -> Bill<'a> {
    let mut items: Bill<'a> = BTreeMap::new();
    let mut rest = cost;
    for line in site.bill.list() {
        let entry = items.entry(&line.item).or_insert((&line.unit, 0.0, Pence(0)));
        let paid = Pence::from_pounds(line.cost_likely_gbp);
        entry.1 = round_to(entry.1 + line.quantity.unwrap_or(0.0), 2);
        entry.2 = entry.2 + paid;
        rest = less(rest, paid);
    }
    // The bill holds what is bought; what remains of the cost is the hours.
    let hours = site.tasks.list().iter().filter_map(|task| task.hours_likely).sum::<f64>();
    items.insert(LABOUR, ("h", round_to(hours, 2), rest));
    items
}

/// Hours of every task.
fn hours(site: &SiteRead) -> BTreeMap<&str, f64> {
    let mut tasks = BTreeMap::new();
    for line in site.tasks.list() {
        let hours: &mut f64 = tasks.entry(line.task.as_str()).or_insert(0.0);
        *hours = round_to(*hours + line.hours_likely.unwrap_or(0.0), 2);
    }
    tasks
}

/// What a site costs in two results.
pub(super) fn money(before: &SiteRead, after: &SiteRead) -> Money {
    let (old, new) = (cost(before), cost(after));
    let plain = |kind| Money { kind, before: old, after: new, items: Vec::new() };
    if before.cost_likely_gbp.is_absent() || after.cost_likely_gbp.is_absent() {
        return plain(MoneyKind::NotTold);
    }
    let (paid_before, paid_after) = match (old, new) {
        (Some(before), Some(after)) => (before, after),
        (None, None) => return plain(MoneyKind::NoCost),
        (None, Some(_)) => return plain(MoneyKind::NowPriced),
        (Some(_), None) => return plain(MoneyKind::NoLongerPriced),
    };
    let lists = [&before.bill, &after.bill].iter().any(|list| list.is_absent())
        || [&before.tasks, &after.tasks].iter().any(|list| list.is_absent());
    if lists {
        return plain(if old == new { MoneyKind::Same } else { MoneyKind::NotTold });
    }
    let (one, two) = (bill(before, paid_before), bill(after, paid_after));
    let mut items: Vec<ItemChange> = Vec::new();
    for item in one.keys().chain(two.keys().filter(|item| !one.contains_key(*item))) {
        let (here, there) = (one.get(item), two.get(item));
        let amount = |side: Option<&(&str, f64, Pence)>| side.map_or((0.0, Pence(0)), |(_, many, paid)| (*many, *paid));
        let ((quantity_before, cost_before), (quantity_after, cost_after)) = (amount(here), amount(there));
        if quantity_before == quantity_after && cost_before == cost_after {
            continue;
        }
        let unit = here.or(there).map_or("", |(unit, ..)| unit);
        items.push(ItemChange {
            item: (*item).to_owned(),
            unit: unit.to_owned(),
            quantity_before,
            quantity_after,
            cost_before,
            cost_after,
        });
    }
    items.sort_by(|a, b| (Reverse(a.more().0.abs()), &a.item).cmp(&(Reverse(b.more().0.abs()), &b.item)));
    let same_amounts = items.iter().all(ItemChange::same_quantity) && hours(before) == hours(after);
    let kind = match (items.is_empty() && hours(before) == hours(after), same_amounts) {
        (true, _) => MoneyKind::Same,
        (_, true) => MoneyKind::Prices,
        _ => MoneyKind::Design,
    };
    Money { kind, before: old, after: new, items }
}
