//! What changed between two results of `assess`: who is who, which sites changed and because of what, who came and went,
//! what it does to counts and money. It reads results as their JSON document has them and judges nothing itself; which
//! files they stand in it does not know. Swapped results give the mirror of everything said here.

mod causes;
mod changes;
mod document;
mod likeness;
mod matching;
mod money;
#[cfg(test)]
mod tests;

pub use causes::{Became, Cause, Input, InputChange};
pub use changes::{Change, CheckChange, Fact, Figure, Plain};
pub use document::{
    AssumedRead, BillRead, FindingRead, Given, InputRead, InputsRead, ResultError, ResultRead, SiteRead, SummaryRead,
    TaskRead, VerdictWord, read,
};
pub use matching::{By, Pair};
pub use money::{ItemChange, LABOUR, Money, MoneyKind, cost, less};

use crate::quantity::Pence;
use crate::site::Verdict;
use std::cmp::Reverse;
use std::collections::BTreeMap;

/// A site that changed in nothing but its rank is listed when it moved more places than this among the sites of both
/// results; below, ranks are summed up.
pub const RANK_PLACES_LISTED: u64 = 10;

/// The three verdicts, best first.
pub const VERDICTS: [Verdict; 3] = [Verdict::Ready, Verdict::Marginal, Verdict::Blocked];

/// Counts of sites by verdict before (line) and after (column); the last of each is "in the other result alone".
pub type Moves = [[u32; 4]; 4];

/// A site that changed, and why.
#[derive(Clone, Debug)]
pub struct Changed<'a> {
    /// What is other.
    pub change: Change<'a>,
    /// Why.
    pub cause: Cause,
}

/// Sites whose cost moved for one reason.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct MoneyPart {
    /// Why.
    pub why: MoneyWhy,
    /// How many.
    pub sites: u32,
    /// What they cost more in the later result, before tax.
    pub more: Pence,
}

/// Why the cost of a portfolio moved.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum MoneyWhy {
    /// The same quantities at other prices.
    Prices,
    /// Other quantities.
    Design,
    /// A document lacks the bills.
    NotTold,
    /// In both results, with a cost only in the later one.
    NowPriced,
    /// In both results, with a cost only in the earlier one.
    NoLongerPriced,
    /// In the later result alone.
    Came,
    /// In the earlier result alone.
    Went,
}

impl MoneyWhy {
    /// Every reason, in the order in which it is told.
    pub const ALL: [MoneyWhy; 7] = [
        MoneyWhy::Prices,
        MoneyWhy::Design,
        MoneyWhy::NotTold,
        MoneyWhy::NowPriced,
        MoneyWhy::NoLongerPriced,
        MoneyWhy::Came,
        MoneyWhy::Went,
    ];

    fn of(kind: MoneyKind) -> Option<Self> {
        match kind {
            MoneyKind::Prices => Some(MoneyWhy::Prices),
            MoneyKind::Design => Some(MoneyWhy::Design),
            MoneyKind::NotTold => Some(MoneyWhy::NotTold),
            MoneyKind::NowPriced => Some(MoneyWhy::NowPriced),
            MoneyKind::NoLongerPriced => Some(MoneyWhy::NoLongerPriced),
            MoneyKind::Same | MoneyKind::NoCost => None,
        }
    }
}

/// How ranks moved among the sites of both results.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct RankSum {
    /// Sites with another place.
    pub moved: u32,
    /// Of them, those of which nothing else is other and that are not listed.
    pub not_listed: u32,
    /// The most places that a site moved.
    pub greatest: u64,
}

/// What came and went over all sites of both results.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct CameWent {
    /// Sites that have it only in the later result.
    pub came: u32,
    /// Sites that have it only in the earlier one.
    pub went: u32,
}

/// Two results, compared.
#[derive(Clone, Debug)]
pub struct Comparison<'a> {
    /// The earlier result.
    pub before: &'a ResultRead,
    /// The later one.
    pub after: &'a ResultRead,
    /// What became of what they rest on.
    pub inputs: Vec<InputChange>,
    /// Sites in both, in the order of the later result.
    pub pairs: Vec<Pair>,
    /// Sites that changed, that which matters most first.
    pub changed: Vec<Changed<'a>>,
    /// Sites of the later result alone, in its order.
    pub came: Vec<&'a SiteRead>,
    /// Sites of the earlier result alone, in its order.
    pub went: Vec<&'a SiteRead>,
    /// Counts of sites by verdict before and after.
    pub moves: Moves,
    /// Likely cost before tax of the sites that have one, before and after.
    pub cost: (Pence, Pence),
    /// What makes the difference; the parts add up to it.
    pub money: Vec<MoneyPart>,
    /// Items of the sites priced in both, by what they cost more, that which moves most first.
    pub items: Vec<(String, Pence)>,
    /// Reasons by code that came or went, the most frequent first.
    pub reasons: Vec<(String, CameWent)>,
    /// Ranks.
    pub ranks: RankSum,
}

impl Comparison<'_> {
    /// Whether nothing is other about any site.
    pub fn is_empty(&self) -> bool {
        self.changed.is_empty() && self.came.is_empty() && self.went.is_empty() && self.ranks.moved == 0
    }

    /// Pairs found in a way.
    pub fn found(&self, by: By) -> usize {
        self.pairs.iter().filter(|pair| pair.by == by).count()
    }
}

/// How two results differ.
pub fn compare<'a>(before: &'a ResultRead, after: &'a ResultRead) -> Comparison<'a> {
    let pairs = matching::pairs(&before.sites, &after.sites);
    let inputs = causes::inputs(before, after);
    let mut changes: Vec<Change<'a>> = pairs
        .iter()
        .filter_map(|pair| {
            let (one, two) = (before.sites.get(pair.before)?, after.sites.get(pair.after)?);
            Some(changes::change(one, two, pair.by, pair.likeness))
        })
        .collect();
    give_places(&mut changes);
    let alone = |sites: &'a [SiteRead], taken: fn(&Pair) -> usize| -> Vec<&'a SiteRead> {
        let mut paired: Vec<usize> = pairs.iter().map(taken).collect();
        paired.sort_unstable();
        sites.iter().enumerate().filter(|(at, _)| paired.binary_search(at).is_err()).map(|(_, site)| site).collect()
    };
    let went = alone(&before.sites, |pair| pair.before);
    let came = alone(&after.sites, |pair| pair.after);
    let total = |document: &ResultRead| document.sites.iter().filter_map(cost).sum::<Pence>();
    let mut found = Comparison {
        before,
        after,
        inputs,
        moves: moves(&changes, &came, &went),
        cost: (total(before), total(after)),
        money: money_parts(&changes, &came, &went),
        items: items(&changes),
        reasons: reasons(&changes),
        ranks: RankSum::default(),
        changed: Vec::new(),
        came,
        went,
        pairs,
    };
    for change in changes {
        let places = change.rose().unsigned_abs();
        let listed = change.is_own() || change.with_neighbours().is_some() || places > RANK_PLACES_LISTED;
        found.ranks.moved += u32::from(places > 0);
        found.ranks.not_listed += u32::from(places > 0 && !listed);
        found.ranks.greatest = found.ranks.greatest.max(places);
        if listed {
            let cause = causes::cause(&change, &found.inputs);
            found.changed.push(Changed { change, cause });
        }
    }
    found.changed.sort_by(|one, two| weight(&one.change).cmp(&weight(&two.change)));
    found
}

/// Places among the sites of both results: who came and went moves nobody.
fn give_places(changes: &mut [Change<'_>]) {
    let by = |rank: fn(&Change<'_>) -> Option<u32>, changes: &[Change<'_>]| -> Vec<Option<u32>> {
        let mut order: Vec<(u32, usize)> =
            changes.iter().enumerate().filter_map(|(at, change)| Some((rank(change)?, at))).collect();
        order.sort_unstable();
        let mut places = vec![None; changes.len()];
        for (place, (_, at)) in (1..).zip(order) {
            if let Some(slot) = places.get_mut(at) {
                *slot = Some(place);
            }
        }
        places
    };
    let old = by(|change| change.before.rank.value().copied(), changes);
    let new = by(|change| change.after.rank.value().copied(), changes);
    for (change, (old, new)) in changes.iter_mut().zip(old.into_iter().zip(new)) {
        change.places = old.zip(new);
    }
}

fn place_of(verdict: Verdict) -> usize {
    VERDICTS.iter().position(|each| *each == verdict).unwrap_or(VERDICTS.len() - 1)
}

fn moves(changes: &[Change<'_>], came: &[&SiteRead], went: &[&SiteRead]) -> Moves {
    const NOT_THERE: usize = 3;
    let mut moves = Moves::default();
    let both = changes.iter().map(|change| {
        let (before, after) = change.verdicts();
        (place_of(before), place_of(after))
    });
    let came = came.iter().map(|site| (NOT_THERE, place_of(site.counted())));
    let went = went.iter().map(|site| (place_of(site.counted()), NOT_THERE));
    for (before, after) in both.chain(came).chain(went) {
        if let Some(count) = moves.get_mut(before).and_then(|line| line.get_mut(after)) {
            *count += 1;
        }
    }
    moves
}

fn money_parts(changes: &[Change<'_>], came: &[&SiteRead], went: &[&SiteRead]) -> Vec<MoneyPart> {
    let nothing = Pence(0);
    let both = changes.iter().filter_map(|change| {
        let money = &change.money;
        let more = less(money.after.unwrap_or(nothing), money.before.unwrap_or(nothing));
        Some((MoneyWhy::of(money.kind)?, more))
    });
    let came = came.iter().filter_map(|site| Some((MoneyWhy::Came, cost(site)?)));
    let went = went.iter().filter_map(|site| Some((MoneyWhy::Went, less(nothing, cost(site)?))));
    let mut sums: BTreeMap<MoneyWhy, (u32, Pence)> = BTreeMap::new();
    for (why, more) in both.chain(came).chain(went) {
        let sum = sums.entry(why).or_insert((0, nothing));
        *sum = (sum.0 + 1, sum.1 + more);
    }
    let part = |why| sums.get(&why).map(|(sites, more)| MoneyPart { why, sites: *sites, more: *more });
    MoneyWhy::ALL.into_iter().filter_map(part).collect()
}

fn items(changes: &[Change<'_>]) -> Vec<(String, Pence)> {
    let mut sums: BTreeMap<&str, Pence> = BTreeMap::new();
    for item in changes.iter().flat_map(|change| &change.money.items) {
        let sum = sums.entry(&item.item).or_default();
        *sum = *sum + item.more();
    }
    let mut items: Vec<(String, Pence)> =
        sums.into_iter().filter(|(_, more)| more.0 != 0).map(|(item, more)| (item.to_owned(), more)).collect();
    items.sort_by(|one, two| (Reverse(one.1.0.abs()), &one.0).cmp(&(Reverse(two.1.0.abs()), &two.0)));
    items
}

fn reasons(changes: &[Change<'_>]) -> Vec<(String, CameWent)> {
    let mut counts: BTreeMap<&str, CameWent> = BTreeMap::new();
    for change in changes {
        for code in &change.reasons_came {
            counts.entry(code).or_default().came += 1;
        }
        for code in &change.reasons_went {
            counts.entry(code).or_default().went += 1;
        }
    }
    let mut counts: Vec<(String, CameWent)> =
        counts.into_iter().map(|(code, count)| (code.to_owned(), count)).collect();
    counts.sort_by_key(|(_, count)| Reverse(count.came + count.went)); // stable: by code among equals
    counts
}

/// By what changes are ordered: a verdict that moves further, a verdict with the neighbours, more money, a current, more
/// places; equals by name. The same whichever of two results comes first.
fn weight<'a>(change: &Change<'a>) -> impl Ord + use<'a> {
    let (before, after) = change.verdicts();
    let further = place_of(before).abs_diff(place_of(after));
    let nothing = Pence(0);
    let (one, two) = (change.money.before.unwrap_or(nothing), change.money.after.unwrap_or(nothing));
    let money = if change.money_changed() { less(one, two).0.abs() } else { 0 };
    let neighbours = change.with_neighbours().is_some();
    let reasons = change.reasons_came.len() + change.reasons_went.len();
    let (a, b) = (change.before.site_id.as_str(), change.after.site_id.as_str());
    let order = (further, neighbours, money, reasons, change.rose().unsigned_abs());
    (Reverse(order), a.min(b), a.max(b))
}
