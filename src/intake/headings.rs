//! Which column is which field: by the heading alone, one to one, and never by the order of columns.
//!
//! In order of strength: what the user has settled, the field's own name, a known heading, a known heading under its
//! group's title, a known heading within a longer one, and a near spelling. Two columns that claim a field with the
//! same strength leave it unread, with a warning: a wrong column costs more than a missing one.

use super::claims::settle_claims;
use super::mapping::settled;
use super::near::near_field;
use super::raw::{column_letters, folded, words_of};
use super::units::{QUANTITIES, Unit, unit_named};
use crate::site::{Field, FieldKind, fields};
use std::collections::HashMap;
use std::sync::OnceLock;

/// One column's heading.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Heading {
    pub index: u16,
    /// As written.
    pub text: String,
    /// Title of the group of columns it stands under; empty when there is none.
    pub group: String,
}

/// A column that was matched to a field.
#[derive(Clone, Debug)]
pub(super) struct Match {
    pub field: &'static Field,
    /// How, in a few words.
    pub how: String,
    /// Unit that the heading gives to bare numbers.
    pub unit: Option<Unit>,
    /// How plainly the heading says it; see the constants below.
    pub strength: u8,
    /// How sure the match is, 0 to 1.
    pub score: f64,
    /// What the column's own values say for or against it, in a few words; empty when nothing.
    pub evidence: String,
}

/// Every heading with its match, and the warnings.
pub(super) struct Matched {
    /// One a heading, in their order.
    pub matches: Vec<Option<Match>>,
    /// Fields that several columns claim alike, with the positions (in the list of headings) of the claimants.
    pub contested: Vec<(&'static Field, Vec<usize>)>,
}

impl Match {
    fn new(field: &'static Field, how: impl Into<String>, strength: u8) -> Self {
        Self { field, how: how.into(), unit: None, strength, score: score_of(strength), evidence: String::new() }
    }

    /// A column that its values name, where the heading says nothing.
    pub fn by_values(field: &'static Field, score: f64, evidence: String) -> Self {
        Self { score, evidence, ..Self::new(field, "by its values", BY_VALUES) }
    }

    /// Whether the user has settled it: the values are not asked.
    pub fn is_settled(&self) -> bool {
        self.strength == SETTLED
    }

    /// A column that holds a part of the address.
    pub fn part_of_address(field: &'static Field) -> Self {
        Self::new(field, "part of the address", KNOWN)
    }
}

/// How many fields a row of headings names outright, each counted once; near spellings do not count.
pub(super) fn fields_named(headings: &[Heading], mapping: &[(String, String)]) -> usize {
    let mut names: Vec<&str> =
        headings.iter().filter_map(|heading| alone(heading, mapping)).map(|found| found.field.name).collect();
    names.sort_unstable();
    names.dedup();
    names.len()
}

pub(super) const SETTLED: u8 = 6;
pub(super) const NAMED: u8 = 5;
pub(super) const KNOWN: u8 = 4;
pub(super) const UNDER_GROUP: u8 = 3;
pub(super) const WITHIN: u8 = 2;
pub(super) const NEAR_SPELLING: u8 = 1;
const BY_VALUES: u8 = 0;

/// How sure a match is by what its heading says alone (design rule): a near spelling carries its similarity instead.
fn score_of(strength: u8) -> f64 {
    match strength {
        SETTLED | NAMED => 1.0,
        KNOWN => 0.97,
        UNDER_GROUP => 0.95,
        WITHIN => 0.9,
        _ => 0.85,
    }
}

/// Words that a known heading may stand among.
const FILLERS: &[&str] = &[
    "what",
    "is",
    "the",
    "of",
    "a",
    "an",
    "size",
    "rating",
    "value",
    "please",
    "state",
    "in",
    "at",
    "your",
    "how",
    "many",
    "number",
    "no",
    "are",
    "there",
    "does",
    "do",
    "have",
    "has",
    "it",
    "total",
    "approx",
    "approximate",
    "y",
    "n",
    "yes",
    "or",
    "known",
    "if",
    "for",
    "to",
    "and",
    "per",
    "this",
    "property",
    "site",
    "s",
    "existing",
    "any",
    "estimated",
    "current",
    "long",
    "q",
    "question",
    "1",
    "2",
    "3",
    "4",
    "5",
    "6",
    "7",
    "8",
    "9",
];
/// Units in a heading that make it something else than any field of ours.
const OTHER_UNITS: &[&str] =
    &["kwh", "mwh", "%", "£", "gbp", "kwh/year", "kwh pa", "kwh p.a.", "kwh/yr", "min", "mins"];
/// Words of headings that belong to persons: such a column is matched by its full name or not at all.
const PERSONAL: &[&str] =
    &["phone", "telephone", "mobile", "email", "mail", "contact", "customer", "surname", "forename"];

struct Known {
    names: HashMap<String, &'static Field>,
    headings: HashMap<String, &'static Field>,
}

fn known() -> &'static Known {
    static KNOWN: OnceLock<Known> = OnceLock::new();
    KNOWN.get_or_init(|| {
        let mut known = Known { names: HashMap::new(), headings: HashMap::new() };
        for field in fields() {
            known.names.insert(words_of(field.name), field);
            for heading in &field.headings {
                known.headings.insert(words_of(heading), field);
            }
        }
        known
    })
}

/// A heading without the unit in its brackets, and the unit.
struct Cut {
    whole: String,
    base: String,
    unit: Option<String>,
}

impl Cut {
    /// The unit in brackets, else the last word where `known` does not end in it: in "supply capacity total A" it may
    /// be the unit, though it passes for a filler or a slip.
    fn unit_beside(&self, known: &str) -> Option<&str> {
        let last = || self.base.rsplit(' ').next().filter(|last| known.rsplit(' ').next() != Some(*last));
        self.unit.as_deref().or_else(last)
    }
}

fn cut(text: &str) -> Cut {
    let folded = folded(text);
    let mut base = String::new();
    let mut unit = None;
    let mut rest = folded.as_str();
    while let Some(open) = rest.find(['(', '[']) {
        base.push_str(rest.get(..open).unwrap_or_default());
        base.push(' ');
        let after = rest.get(open + 1..).unwrap_or_default();
        let close = after.find([')', ']']).unwrap_or(after.len());
        let inner = after.get(..close).unwrap_or_default().trim();
        if unit.is_none() && inner.len() <= 12 {
            unit = Some(inner.to_owned());
        }
        rest = after.get(close..).unwrap_or_default().trim_start_matches([')', ']']);
    }
    base.push_str(rest);
    Cut { whole: words_of(&folded), base: words_of(&base), unit }
}

/// The sibling field that a unit points to: demand in kilowatts is another column than demand in amperes.
fn by_unit(field: &'static Field, unit: Option<&str>) -> Option<(&'static Field, Option<Unit>)> {
    let Some(written) = unit else { return Some((field, None)) };
    if OTHER_UNITS.contains(&written) {
        return None;
    }
    let packed: String = written.chars().filter(|c| *c != ' ').collect();
    let sibling = |name: &str| fields().iter().find(|other| other.name == name);
    let field = match (field.name, packed.as_str()) {
        ("existing_demand_a", "kw" | "w") => sibling("existing_demand_kw")?,
        ("existing_demand_kw", "a" | "amps" | "amp") => sibling("existing_demand_a")?,
        _ => field,
    };
    let taken = super::figures::quantities(field);
    let unit = unit_named(&packed, taken);
    // Amperes are no capacity in kilovolt-amperes: a unit that the field does not take makes it another column.
    // So does any unit over a count, an answer or a day.
    let measures = !taken.is_empty() || matches!(field.kind, FieldKind::Count | FieldKind::YesNo | FieldKind::Date);
    if unit.is_none() && measures && unit_named(&packed, QUANTITIES).is_some() {
        return None;
    }
    Some((field, unit))
}

/// Matches every heading.
pub(super) fn match_headings(headings: &[Heading], mapping: &[(String, String)]) -> Matched {
    match_but(headings, mapping, &|_, _| false)
}

/// Matches every heading, but none to a field that `barred` (by position in the list) keeps it from.
pub(super) fn match_but(
    headings: &[Heading],
    mapping: &[(String, String)],
    barred: &dyn Fn(usize, &Match) -> bool,
) -> Matched {
    let kept = |(at, found): (usize, Option<Match>)| found.filter(|found| !barred(at, found));
    let mut matches: Vec<Option<Match>> =
        headings.iter().map(|heading| alone(heading, mapping)).enumerate().map(kept).collect();
    let mut contested = settle_claims(headings, &mut matches, &[]);
    // Near spellings come last, and only for fields that no column claims.
    let taken: Vec<&str> = matches
        .iter()
        .flatten()
        .map(|matched| matched.field.name)
        .chain(contested.iter().map(|(field, _)| field.name))
        .collect();
    let mut near: Vec<Option<Match>> = headings
        .iter()
        .zip(&matches)
        .map(|(heading, matched)| {
            let own =
                matched.is_some() || contested_by(&contested, headings, heading) || settled(heading, mapping).is_some();
            if own { None } else { near_spelling(heading, &taken) }
        })
        .enumerate()
        .map(kept)
        .collect();
    contested.extend(settle_claims(headings, &mut near, &taken));
    for (slot, found) in matches.iter_mut().zip(near) {
        if slot.is_none() {
            *slot = found;
        }
    }
    Matched { matches, contested }
}

fn contested_by(contested: &[(&'static Field, Vec<usize>)], headings: &[Heading], heading: &Heading) -> bool {
    contested.iter().any(|(_, claims)| claims.iter().any(|at| headings.get(*at) == Some(heading)))
}

/// What one heading says by itself.
fn alone(heading: &Heading, mapping: &[(String, String)]) -> Option<Match> {
    let cut = cut(&heading.text);
    if let Some(name) = settled(heading, mapping) {
        let field = fields().iter().find(|field| field.name == name)?;
        let unit = by_unit(field, cut.unit.as_deref()).and_then(|(_, unit)| unit);
        return Some(Match { unit, ..Match::new(field, "as you said", SETTLED) });
    }
    if cut.base.is_empty() {
        return None;
    }
    let known = known();
    if let Some(field) = known.names.get(&cut.whole) {
        return Some(Match::new(field, "its own name", NAMED));
    }
    let with_unit = |field: &'static Field, how: String, strength| {
        by_unit(field, cut.unit.as_deref()).map(|(field, unit)| Match { unit, ..Match::new(field, how, strength) })
    };
    if let Some(field) = known.names.get(&cut.base) {
        return with_unit(field, "its own name".to_owned(), NAMED);
    }
    if let Some(field) = known.headings.get(&cut.whole) {
        return with_unit(field, "a known heading".to_owned(), KNOWN);
    }
    if let Some(field) = known.headings.get(&cut.base) {
        return with_unit(field, "a known heading".to_owned(), KNOWN);
    }
    // "Distance m", "demand kW": the unit without brackets.
    if let Some((base, unit)) = cut.base.rsplit_once(' ')
        && let Some(field) = known.names.get(base).or_else(|| known.headings.get(base))
    {
        let (sibling, named) = by_unit(field, Some(unit))?;
        if named.is_some() {
            return Some(Match { unit: named, ..Match::new(sibling, "a known heading", KNOWN) });
        }
    }
    if !heading.group.is_empty() {
        let under = words_of(&format!("{} {}", heading.group, cut.base));
        if let Some(field) = known.names.get(&under).or_else(|| known.headings.get(&under)) {
            return with_unit(field, format!("under \"{}\"", heading.group), UNDER_GROUP);
        }
    }
    let (field, held) = within(&cut.base)?;
    by_unit(field, cut.unit_beside(&held))
        .map(|(field, unit)| Match { unit, ..Match::new(field, format!("holds \"{held}\""), WITHIN) })
}

/// The field whose known heading stands within a longer heading, among nothing but fillers.
fn within(base: &str) -> Option<(&'static Field, String)> {
    let words: Vec<&str> = base.split(' ').collect();
    if words.len() < 2 || words.len() > 14 || words.iter().any(|word| PERSONAL.contains(word)) {
        return None;
    }
    let known = known();
    for length in (1..words.len()).rev() {
        let mut found: Vec<(&'static Field, String)> = Vec::new();
        for start in 0..=words.len() - length {
            let inner = words.get(start..start + length).unwrap_or_default();
            let outside = words.iter().take(start).chain(words.iter().skip(start + length));
            if !outside.clone().all(|word| FILLERS.contains(word)) {
                continue;
            }
            let phrase = inner.join(" ");
            if length == 1 && phrase.len() < 5 {
                continue;
            }
            if let Some(field) = known.headings.get(&phrase).or_else(|| known.names.get(&phrase)) {
                found.push((field, phrase));
            }
        }
        let first = found.first().cloned();
        if let Some((field, phrase)) = first {
            return found.iter().all(|(other, _)| other.name == field.name).then_some((field, phrase));
        }
    }
    None
}

/// The field whose name or known heading is spelt nearly so.
fn near_spelling(heading: &Heading, taken: &[&str]) -> Option<Match> {
    let cut = cut(&heading.text);
    if cut.base.split(' ').any(|word| PERSONAL.contains(&word)) {
        return None;
    }
    let (field, score, spelling) = near_field(&cut.base)?;
    if taken.contains(&field.name) {
        return None;
    }
    let (field, unit) = by_unit(field, cut.unit_beside(&spelling))?;
    let how = format!("near \"{spelling}\" {score:.2}");
    Some(Match { unit, score, ..Match::new(field, how, NEAR_SPELLING) })
}

/// A column for people: letter and heading.
pub(super) fn column_said(heading: &Heading) -> String {
    match heading.text.trim() {
        "" => format!("column {}", column_letters(heading.index)),
        text => format!("column {} \"{text}\"", column_letters(heading.index)),
    }
}
