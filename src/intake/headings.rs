//! Which column is which field: by the heading alone, one to one, and never by the order of columns.
//!
//! In order of strength: what the user has settled, the field's own name, a known heading made of the group's title and
//! the column's own, a known heading, one within a longer heading, a near spelling, and a heading whose words speak of
//! the field. Two columns that claim a field with the same strength leave it unread, with a warning: a wrong column
//! costs more than a missing one.

use super::claims::settle_claims;
use super::head_words::{all_of, of_kind, without_number};
use super::heading_units::{by_unit, cut};
use super::legend::without_legend;
use super::mapping::settled;
use super::near::near_field;
use super::raw::{column_letters, words_of};
use super::units::Unit;
use super::worded::{Spoken, spoken_of, units_in};
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
    /// What it means where it points at another heading by number; empty where it says itself.
    pub meant: String,
}

impl Heading {
    /// What it says: itself, with what it points at written out.
    pub fn said(&self) -> &str {
        if self.meant.is_empty() { &self.text } else { &self.meant }
    }
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

    /// Whether its values alone name it.
    pub fn is_by_values(&self) -> bool {
        self.strength == BY_VALUES
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

/// How many fields the words of headings speak of beside those that are named outright.
pub(super) fn fields_spoken_of(headings: &[Heading], mapping: &[(String, String)]) -> usize {
    let mut names: Vec<&str> = headings
        .iter()
        .filter_map(|heading| in_words(heading).map(|found| (heading, found.field.name)))
        .filter(|(heading, _)| alone(heading, mapping).is_none())
        .map(|(_, name)| name)
        .collect();
    names.sort_unstable();
    names.dedup();
    names.len()
}

pub(super) const SETTLED: u8 = 7;
pub(super) const NAMED: u8 = 6;
pub(super) const UNDER_GROUP: u8 = 5;
pub(super) const KNOWN: u8 = 4;
pub(super) const WITHIN: u8 = 3;
pub(super) const NEAR_SPELLING: u8 = 2;
pub(super) const SPOKEN_OF: u8 = 1;
const BY_VALUES: u8 = 0;

/// How sure a match is whose heading speaks of nothing but the field.
const SPOKEN_SURE: f64 = 0.85;

/// How sure a match is by what its heading says alone (design rule): a near spelling carries its similarity instead.
fn score_of(strength: u8) -> f64 {
    match strength {
        SETTLED | NAMED => 1.0,
        UNDER_GROUP | KNOWN => 0.97,
        WITHIN => 0.9,
        _ => 0.85,
    }
}

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

/// A heading that carries the title of its group with it: "Supply: main incomer (A)". A title that makes it something
/// else is none.
fn with_own_title(heading: &Heading) -> Option<Heading> {
    let text = without_number(&without_legend(heading.said()));
    let (title, rest) = [": ", " - ", " > ", " | "].iter().find_map(|mark| text.split_once(mark))?;
    let plain = words_of(title);
    let other = |word: &str| ["another", "turning", "person"].iter().any(|kind| of_kind(kind).contains(word));
    let is_title = heading.group.is_empty() && !title.contains('(') && !words_of(rest).is_empty();
    (is_title && !plain.is_empty() && !plain.split(' ').any(other)).then(|| Heading {
        index: heading.index,
        text: rest.to_owned(),
        group: plain,
        ..Heading::default()
    })
}

/// What one heading says by itself, or the half of it that stands after a title of its own.
pub(super) fn alone(heading: &Heading, mapping: &[(String, String)]) -> Option<Match> {
    let whole = said_by(heading, mapping);
    if whole.is_some() || settled(heading, mapping).is_some() {
        return whole;
    }
    let found = said_by(&with_own_title(heading)?, &[])?;
    Some(Match { strength: found.strength.min(WITHIN), score: found.score.min(score_of(WITHIN)), ..found })
}

fn said_by(heading: &Heading, mapping: &[(String, String)]) -> Option<Match> {
    let cut = cut(heading.said());
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
    // A title says more than a heading that could stand under any: "Type" under "Parking".
    let titled = (!heading.group.is_empty()).then(|| words_of(&format!("{} {}", heading.group, cut.base)));
    if let Some(field) = titled.as_ref().and_then(|under| known.names.get(under).or_else(|| known.headings.get(under)))
    {
        return with_unit(field, format!("under \"{}\"", heading.group), UNDER_GROUP);
    }
    if titled.is_some() && all_of(&cut.base, &["generic"]) && !all_of(&words_of(&heading.group), &["neutral"]) {
        return None;
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
    let (field, held) = within(&cut.base)?;
    by_unit(field, cut.unit_beside(&held))
        .map(|(field, unit)| Match { unit, ..Match::new(field, format!("holds \"{held}\""), WITHIN) })
}

/// The field whose known heading stands within a longer heading, among nothing but fillers.
fn within(base: &str) -> Option<(&'static Field, String)> {
    let words: Vec<&str> = base.split(' ').collect();
    if words.len() < 2 || words.len() > 14 || words.iter().any(|word| of_kind("person").contains(*word)) {
        return None;
    }
    let known = known();
    for length in (1..words.len()).rev() {
        let mut found: Vec<(&'static Field, String)> = Vec::new();
        for start in 0..=words.len() - length {
            let inner = words.get(start..start + length).unwrap_or_default();
            let outside = words.iter().take(start).chain(words.iter().skip(start + length));
            if !outside.clone().all(|word| of_kind("filler").contains(*word)) {
                continue;
            }
            let phrase = inner.join(" ");
            if length == 1 && phrase.len() < 5 {
                continue;
            }
            if let Some(field) = known.headings.get(&phrase).or_else(|| known.names.get(&phrase)) {
                // "No looped supply" asks for the opposite.
                let denies = words.first() == Some(&"no") && words.get(1) != Some(&"of");
                if denies && start > 0 && field.kind == FieldKind::YesNo {
                    return None;
                }
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
    let cut = cut(heading.said());
    let under_title = !heading.group.is_empty() && all_of(&cut.base, &["generic"]);
    if under_title || cut.base.split(' ').any(|word| of_kind("person").contains(word)) {
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

/// The field that most words of a heading speak of, alone or with the title above it. It is the weakest claim that a
/// heading makes: the values have to bear it out.
pub(super) fn in_words(heading: &Heading) -> Option<Match> {
    let cut = cut(heading.said());
    let titled = format!("{} {}", heading.group, cut.base);
    let unsaid = !heading.group.is_empty() && all_of(&cut.base, &["generic"]);
    let remarked = format!("{} {}", cut.base, cut.remarks.join(" "));
    let alone = || {
        let spoken = [&cut.base, &remarked].into_iter().find_map(|text| spoken_of(text, cut.unit.as_deref()));
        spoken.or_else(|| cut.remarks.iter().find_map(|remark| named_in_remark(remark)))
    };
    let under = || if heading.group.is_empty() { None } else { spoken_of(&titled, cut.unit.as_deref()) };
    let found = if unsaid { under() } else { alone().or_else(under) }?;
    let unit = cut.unit.as_deref().or_else(|| units_in(&cut.base).first().copied());
    let (field, unit) = by_unit(found.field, unit.or_else(|| cut.unit_beside(&found.by)))?;
    let how = format!("speaks of \"{}\" {:.2}", found.by, found.share);
    Some(Match { unit, score: SPOKEN_SURE * found.share, ..Match::new(field, how, SPOKEN_OF) })
}

/// What a remark in brackets names outright: "Where do you live? (address)".
fn named_in_remark(remark: &str) -> Option<Spoken> {
    let known = known();
    let field =
        known.names.get(remark).or_else(|| known.headings.get(remark)).filter(|_| !all_of(remark, &["generic"]))?;
    Some(Spoken { field, share: 1.0, by: remark.to_owned() })
}

/// A column for people: letter and heading.
pub(super) fn column_said(heading: &Heading) -> String {
    match heading.text.trim() {
        "" => format!("column {}", column_letters(heading.index)),
        text => format!("column {} \"{text}\"", column_letters(heading.index)),
    }
}
