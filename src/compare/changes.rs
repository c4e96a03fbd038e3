//! What is other about one site in two results: verdict, reasons, facts, figures of the design, checks and money. It
//! says what came and what went, and nothing of why.

use super::document::{FindingRead, Given, SiteRead};
use super::matching::By;
use super::money::{Money, MoneyKind, money};
use crate::site::Verdict;
use std::collections::{BTreeMap, BTreeSet};

/// What became of a fact that nobody had seen, or that somebody has.
#[derive(Clone, Debug, PartialEq)]
pub enum Fact {
    /// Assumed in the earlier result, and no longer in the later one; its value there.
    NoLongerAssumed(String, String),
    /// Assumed only in the later result; its value there.
    NowAssumed(String, String),
    /// Assumed in both, with another value: before, after.
    AssumedOtherwise(String, String, String),
    /// It decided the verdict in the earlier result, and is settled.
    Settled(String),
    /// It decides the verdict only in the later result.
    NowDecides(String),
}

impl Fact {
    /// The survey field.
    pub fn field(&self) -> &str {
        match self {
            Fact::NoLongerAssumed(field, _)
            | Fact::NowAssumed(field, _)
            | Fact::AssumedOtherwise(field, ..)
            | Fact::Settled(field)
            | Fact::NowDecides(field) => field,
        }
    }
}

/// A figure or a word of the document.
#[derive(Clone, Debug, PartialEq)]
pub enum Plain {
    /// None is stated.
    Nothing,
    /// A number in the unit of its field.
    Number(f64),
    /// A word.
    Word(String),
}

/// A field that differs.
#[derive(Clone, Debug, PartialEq)]
pub struct Figure {
    /// Its name in the document.
    pub field: &'static str,
    /// In the earlier result.
    pub before: Plain,
    /// In the later one.
    pub after: Plain,
}

/// A check that came out otherwise, or that only one result has.
#[derive(Clone, Debug, PartialEq)]
pub struct CheckChange {
    /// Its name.
    pub check: String,
    /// In the earlier result.
    pub before: Option<FindingRead>,
    /// In the later one.
    pub after: Option<FindingRead>,
}

impl CheckChange {
    /// How much it says: another effect, then another outcome, another limit, another value, a note that one has.
    fn weight(&self) -> u8 {
        match (&self.before, &self.after) {
            (Some(one), Some(two)) if one.effect != two.effect => 0,
            (Some(one), Some(two)) if one.outcome != two.outcome && (bites(one) || bites(two)) => 1,
            (Some(one), Some(two)) if one.limit != two.limit => 2,
            (Some(_), Some(_)) => 3,
            (Some(one), None) | (None, Some(one)) if bites(one) => 1,
            _ => 4,
        }
    }

    /// Whether it asks for something that it did not ask for, or no longer does.
    pub fn turned(&self) -> bool {
        self.weight() < 2
    }
}

/// Whether a finding asks for something: a step or more, or an outcome that is not good.
fn bites(finding: &FindingRead) -> bool {
    !matches!(finding.effect.as_str(), "none" | "note" | "") || matches!(finding.outcome.as_str(), "fail" | "unknown")
}

/// One site in both results.
#[derive(Clone, Debug)]
pub struct Change<'a> {
    /// In the earlier result.
    pub before: &'a SiteRead,
    /// In the later one.
    pub after: &'a SiteRead,
    /// How it was found to be one site.
    pub by: By,
    /// How alike its addresses are, where they were weighed.
    pub likeness: Option<f64>,
    /// Its place among the sites of both results, before and after; `None` where a document has no rank.
    pub places: Option<(u32, u32)>,
    /// Codes of reasons that only the later result has.
    pub reasons_came: Vec<&'a str>,
    /// Codes of reasons that only the earlier result has.
    pub reasons_went: Vec<&'a str>,
    /// Facts.
    pub facts: Vec<Fact>,
    /// Fields of the survey and the design that differ.
    pub figures: Vec<Figure>,
    /// Checks that differ, the most telling first.
    pub checks: Vec<CheckChange>,
    /// Money.
    pub money: Money,
}

impl Change<'_> {
    /// The verdicts that count.
    pub fn verdicts(&self) -> (Verdict, Verdict) {
        (self.before.counted(), self.after.counted())
    }

    /// Whether the verdict that counts is another.
    pub fn verdict_changed(&self) -> bool {
        let (before, after) = self.verdicts();
        before != after
    }

    /// The verdicts with the neighbours where both results have one and they differ.
    pub fn with_neighbours(&self) -> Option<(Verdict, Verdict)> {
        let one = self.before.verdict_with_neighbours.value()?.0;
        let two = self.after.verdict_with_neighbours.value()?.0;
        (one != two).then_some((one, two))
    }

    /// Places that it rose among the sites of both results; negative where it fell.
    pub fn rose(&self) -> i64 {
        self.places.map_or(0, |(before, after)| i64::from(before) - i64::from(after))
    }

    /// Whether an engineer's override came, went or is another.
    pub fn override_changed(&self) -> bool {
        both(&self.before.override_verdict, &self.after.override_verdict)
            && self.before.override_verdict != self.after.override_verdict
    }

    /// Whether anything of the site itself is other; its rank and its neighbours are not its own.
    pub fn is_own(&self) -> bool {
        self.before.verdict != self.after.verdict
            || self.override_changed()
            || !self.reasons_came.is_empty()
            || !self.reasons_went.is_empty()
            || !self.facts.is_empty()
            || !self.figures.is_empty()
            || !self.checks.is_empty()
            || self.money_changed()
    }

    /// Whether it costs more or less, or is made of other things.
    pub fn money_changed(&self) -> bool {
        match self.money.kind {
            MoneyKind::Same | MoneyKind::NoCost => false,
            MoneyKind::NotTold => self.money.more().is_some_and(|more| more.0 != 0),
            _ => true,
        }
    }
}

/// Whether both documents have a field.
fn both<T>(one: &Given<T>, two: &Given<T>) -> bool {
    !one.is_absent() && !two.is_absent()
}

/// What is other about a site.
pub(super) fn change<'a>(before: &'a SiteRead, after: &'a SiteRead, by: By, likeness: Option<f64>) -> Change<'a> {
    let compare_reasons = both(&before.reasons, &after.reasons);
    let only = |one: &'a SiteRead, two: &SiteRead| -> Vec<&'a str> {
        let others = two.reasons.list();
        let own = one.reasons.list().iter().filter(|code| compare_reasons && !others.contains(code));
        own.map(String::as_str).collect()
    };
    Change {
        before,
        after,
        by,
        likeness,
        places: None,
        reasons_came: only(after, before),
        reasons_went: only(before, after),
        facts: facts(before, after),
        figures: figures(before, after),
        checks: checks(before, after),
        money: money(before, after),
    }
}

/// The values assumed by field; several of one field side by side.
fn assumed(site: &SiteRead) -> BTreeMap<&str, String> {
    let mut values: BTreeMap<&str, String> = BTreeMap::new();
    for line in site.assumed.list() {
        let value = values.entry(&line.field).or_default();
        if !value.is_empty() {
            value.push_str("; ");
        }
        value.push_str(&line.value);
    }
    values
}

fn facts(before: &SiteRead, after: &SiteRead) -> Vec<Fact> {
    let mut facts = Vec::new();
    if both(&before.decisive_unknowns, &after.decisive_unknowns) {
        let open = |site: &SiteRead| site.decisive_unknowns.list().iter().cloned().collect::<BTreeSet<String>>();
        let (one, two) = (open(before), open(after));
        facts.extend(one.difference(&two).cloned().map(Fact::Settled));
        facts.extend(two.difference(&one).cloned().map(Fact::NowDecides));
    }
    if both(&before.assumed, &after.assumed) {
        let (one, two) = (assumed(before), assumed(after));
        for field in one.keys().chain(two.keys()).collect::<BTreeSet<_>>() {
            match (one.get(field), two.get(field)) {
                (Some(value), None) => facts.push(Fact::NoLongerAssumed((*field).to_owned(), value.clone())),
                (None, Some(value)) => facts.push(Fact::NowAssumed((*field).to_owned(), value.clone())),
                (Some(one), Some(two)) if one != two => {
                    facts.push(Fact::AssumedOtherwise((*field).to_owned(), one.clone(), two.clone()));
                }
                _ => {}
            }
        }
    }
    facts
}

/// A field of a site with its name in the document.
type Named<T> = (&'static str, fn(&SiteRead) -> &Given<T>);

/// The figures of the survey and the design that are told, in this order.
const NUMBERS: [Named<f64>; 12] = [
    ("existing_demand_a", |site| &site.existing_demand_a),
    ("supply_limit_a", |site| &site.supply_limit_a),
    ("charging_current_a", |site| &site.charging_current_a),
    ("point_phases", |site| &site.point_phases),
    ("points", |site| &site.points),
    ("points_served", |site| &site.points_served),
    ("group_limit_a", |site| &site.group_limit_a),
    ("device_rating_a", |site| &site.device_rating_a),
    ("cable_csa_mm2", |site| &site.cable_csa_mm2),
    ("cable_length_m", |site| &site.cable_length_m),
    ("labour_hours_likely", |site| &site.labour_hours_likely),
    ("weeks_likely", |site| &site.weeks_likely),
];

/// The words of the design that are told, after the figures.
const WORDS: [Named<String>; 4] = [
    ("control", |site| &site.control),
    ("cable_type", |site| &site.cable_type),
    ("earthing_path", |site| &site.earthing_path),
    ("operator_route", |site| &site.operator_route),
];

fn figures(before: &SiteRead, after: &SiteRead) -> Vec<Figure> {
    fn other<'f, T: PartialEq>(
        fields: &'f [Named<T>],
        (before, after): (&'f SiteRead, &'f SiteRead),
        plain: fn(&T) -> Plain,
    ) -> impl Iterator<Item = Figure> + 'f {
        fields.iter().filter_map(move |(field, pick)| {
            let (one, two) = (pick(before), pick(after));
            let side = |given: &Given<T>| given.value().map_or(Plain::Nothing, plain);
            (both(one, two) && one != two).then(|| Figure { field, before: side(one), after: side(two) })
        })
    }
    let sides = (before, after);
    let numbers = other(&NUMBERS, sides, |number| Plain::Number(*number));
    numbers.chain(other(&WORDS, sides, |word: &String| Plain::Word(word.clone()))).collect()
}

fn checks(before: &SiteRead, after: &SiteRead) -> Vec<CheckChange> {
    if !both(&before.findings, &after.findings) {
        return Vec::new();
    }
    /// The first, second, ... of one name are held against each other.
    fn by_name(site: &SiteRead) -> BTreeMap<(&str, usize), &FindingRead> {
        let mut many: BTreeMap<&str, usize> = BTreeMap::new();
        let mut found = BTreeMap::new();
        for finding in site.findings.list() {
            let place = many.entry(&finding.check).or_default();
            found.insert((finding.check.as_str(), *place), finding);
            *place += 1;
        }
        found
    }
    let (one, two) = (by_name(before), by_name(after));
    let keys: BTreeSet<_> = one.keys().chain(two.keys()).copied().collect();
    let mut changed: Vec<CheckChange> = keys
        .into_iter()
        .filter(|key| one.get(key) != two.get(key))
        .map(|key| {
            let of = |side: &BTreeMap<(&str, usize), &FindingRead>| side.get(&key).map(|finding| (*finding).clone());
            CheckChange { check: key.0.to_owned(), before: of(&one), after: of(&two) }
        })
        .collect();
    changed.sort_by_key(CheckChange::weight); // stable: by name within one weight
    changed
}
