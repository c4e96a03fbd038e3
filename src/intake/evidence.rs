//! The values of a column as evidence of what it is: they name a column whose heading says nothing, speak against a
//! heading that they contradict, and settle which of two candidates a field is.
//!
//! What the user has settled stands. Values that could be several things (a date, a fuse or a main switch of 100 A)
//! never name a column by themselves: they are asked about. Thresholds are design rules.

use super::by_words::{ask, name_by_short, name_by_words};
use super::headings::{Heading, Match, column_said, match_but};
use super::legend::decoded;
use super::mapping::{SURE, settled};
use super::own_keys::{find_address, find_key, find_kind_of_place, number_of_street};
use super::phases::find_phases;
use super::places::find_places;
use super::raw::{RawCell, RawRow, words_of};
use super::rivals::settle;
use super::signs::{Sign, count, mentions_a_loop, reads_as, sampled, words_under};
use super::stated_facts::find_stated;
use super::table::{TableHead, address_parts};
use super::two_facts::find_shared;
use crate::site::{Field, FieldKind, fields};
use std::collections::BTreeMap;

/// Fewer values are no evidence.
pub(super) const FEWEST: usize = 3;
/// Share of the values from which on they all are something; and up to which none is.
pub(super) const NEARLY_ALL: f64 = 0.9;
pub(super) const NEARLY_NONE: f64 = 0.1;
/// How sure a column is that only its values name.
pub(super) const BY_VALUES_SURE: f64 = 0.8;

/// Signs that name a column whatever its heading says, unless the heading speaks of something else.
const PLAIN: &[(Sign, &str)] = &[
    (Sign::SupplyNumber, "mpan"),
    (Sign::Postcode, "postcode"),
    (Sign::Address, "address"),
    (Sign::WordOf("earthing_system"), "earthing_system"),
    (Sign::Loops, "looped_service"),
];
/// Signs that name a column whose heading says nothing.
const FAIR: &[(Sign, &str)] = &[
    (Sign::PropertyReference, "uprn"),
    (Sign::Distributor, "distributor"),
    (Sign::WordOf("tenure"), "tenure"),
    (Sign::WordOf("heating"), "heating"),
];
/// Signs that could be several things: a column whose heading says nothing is asked about.
const FAINT: &[(Sign, &str)] = &[(Sign::FuseRating, "cutout_rating_a"), (Sign::Date, "survey_date")];
/// What speaks against a heading.
pub(super) const AGAINST: &[Sign] = &[
    Sign::SupplyNumber,
    Sign::Postcode,
    Sign::Address,
    Sign::WordOf("earthing_system"),
    Sign::YesNo,
    Sign::Date,
    Sign::Number,
    Sign::Measured,
    Sign::PlaceLine,
];

/// A column that is not read although it could be a field: position in the list of headings, field, why.
#[derive(Clone, Debug)]
pub(super) struct Asked {
    pub at: usize,
    pub field: &'static Field,
    pub why: String,
}

/// The head of a table after its values were heard.
pub(super) struct Weighed {
    pub head: TableHead,
    /// What is asked about.
    pub asked: Vec<Asked>,
    /// A sentence each.
    pub warnings: Vec<String>,
    /// Columns with something in them.
    pub filled: Vec<u16>,
}

pub(super) type Samples<'a> = BTreeMap<u16, Vec<&'a RawCell>>;

pub(super) fn field_named(name: &str) -> Option<&'static Field> {
    fields().iter().find(|field| field.name == name)
}

/// Hears the values in the first rows.
pub(super) fn weigh(mut head: TableHead, rows: &[RawRow], mapping: &[(String, String)]) -> Weighed {
    let decoded = decoded(&head, rows);
    let rows = decoded.as_deref().unwrap_or(rows);
    let samples = sampled(rows, head.last);
    let cells_of = |heading: &Heading| samples.get(&heading.index).map_or(&[][..], Vec::as_slice);
    let mut asked = Vec::new();
    let mut warnings = Vec::new();
    with_unheaded(&mut head, &samples, mapping);
    let against: Vec<(usize, Match, String)> = head
        .headings
        .iter()
        .enumerate()
        .filter_map(|(at, heading)| {
            contradicted(heading, cells_of(heading), mapping).map(|(found, why)| (at, found, why))
        })
        .collect();
    let barred = |at: usize, found: &Match| {
        !found.is_settled()
            && against.iter().any(|(other, against, _)| *other == at && against.field.name == found.field.name)
    };
    let matched = match_but(&head.headings, mapping, &barred);
    (head.matches, head.contested) = (matched.matches, matched.contested);
    for (at, found, why) in against {
        let Some(heading) = head.headings.get(at) else { continue };
        let said = column_said(heading);
        if found.is_settled() {
            warnings.push(format!("You said that {said} is {}, although it holds {why}.", found.field.name));
        } else if let Some(dated) = date_of(&found, &why, &head) {
            let evidence = format!("dates under a heading of {}", found.field.name);
            warnings.push(format!(
                "{} is read as {} ({evidence}); if it is not, say so in a mapping.",
                capital(&said),
                dated.name
            ));
            if let Some(slot) = head.matches.get_mut(at) {
                *slot = Some(Match::by_values(dated, BY_VALUES_SURE, evidence));
            }
        } else if found.field.name == "postcode" && why == Sign::Address.said() && !head.has("address") {
            warnings.push(format!("{} is read as address by its values ({why}).", capital(&said)));
            if let Some((slot, field)) = head.matches.get_mut(at).zip(field_named("address")) {
                *slot = Some(Match::by_values(field, BY_VALUES_SURE, why));
            }
        } else if keeps_its_question(found.field) && !head.has(found.field.name) && why != Sign::Measured.said() {
            // The question was asked. Taking the column away would make it one that nobody asked, which weighs less.
            warnings.push(format!(
                "{} is headed like {} but holds {why}: it is taken as asked and not known. If another column says it, \
                 name that one in a mapping.",
                capital(&said),
                found.field.name
            ));
            if let Some(slot) = head.matches.get_mut(at) {
                *slot = Some(Match { score: NEARLY_NONE, evidence: format!("against it: {why}"), ..found });
            }
        } else {
            warnings.push(format!("Not read: {said} is headed like {} but holds {why}.", found.field.name));
            asked.push(Asked {
                at,
                field: found.field,
                why: format!("headed like {} but holds {why}", found.field.name),
            });
        }
    }
    settle(&mut head, &samples, &mut warnings);
    find_shared(&mut head, &samples, mapping, &mut warnings);
    find_phases(&mut head, &samples, mapping, &mut warnings);
    again_the_address(&mut head, &samples);
    let uncertain = name_by_words(&mut head, &samples, mapping, &asked, &mut warnings);
    name_by_values(&mut head, &samples, mapping, &mut asked, &mut warnings);
    name_by_short(&mut head, &samples, mapping, &asked, &mut warnings);
    again_the_address(&mut head, &samples);
    ask(&head, uncertain, &mut asked, &mut warnings);
    find_kind_of_place(&mut head, &samples, mapping, &mut warnings);
    if !head.has("address") || head.address.len() == 1 {
        let places = find_places(&head, rows, &samples, mapping, &mut asked, &mut warnings);
        if let Some(field) = field_named("address").filter(|_| !places.is_empty()) {
            for at in &places {
                if let Some(slot) = head.matches.get_mut(*at) {
                    *slot = Some(Match::part_of_address(field));
                }
            }
            head.address = places;
        }
    }
    if find_address(&mut head, &samples, mapping, &mut asked, &mut warnings) {
        again_the_address(&mut head, &samples);
    }
    find_key(&mut head, &samples, mapping, &mut asked, &mut warnings);
    for (heading, found) in head.headings.iter().zip(&mut head.matches) {
        let Some(found) = found.as_mut().filter(|found| !found.is_settled()) else { continue };
        agree(found, samples.get(&heading.index).map_or(&[][..], Vec::as_slice));
        if found.score < SURE && found.score > NEARLY_NONE && found.evidence.is_empty() {
            warnings.push(format!(
                "{} is read as {} ({}); if it is not, say so in a mapping.",
                capital(&column_said(heading)),
                found.field.name,
                found.how
            ));
        }
    }
    head.stated = find_stated(&head, &mut warnings);
    Weighed { head, asked, warnings, filled: samples.keys().copied().collect() }
}

/// Adds the columns that have values and no heading, where the values or the user name them.
fn with_unheaded(head: &mut TableHead, samples: &Samples<'_>, mapping: &[(String, String)]) {
    for (column, cells) in samples {
        if head.headings.iter().any(|heading| heading.index == *column) {
            continue;
        }
        let heading = Heading { index: *column, ..Heading::default() };
        let says = settled(&heading, mapping).is_some_and(|name| !name.is_empty())
            || PLAIN.iter().chain(FAIR).chain(FAINT).any(|(sign, _)| all_are(*sign, cells));
        if says {
            head.headings.push(heading);
        }
    }
    head.headings.sort_by_key(|heading| heading.index);
}

/// Whether nearly all values carry a sign.
pub(super) fn all_are(sign: Sign, cells: &[&RawCell]) -> bool {
    // Yes and no alone speak of no loop: every third value must.
    let loops = || cells.iter().filter(|cell| mentions_a_loop(cell)).count();
    cells.len() >= FEWEST
        && (sign != Sign::Loops || loops() * 3 >= cells.len())
        && count(cells, |cell| sign.is_on(cell)) as f64 >= NEARLY_ALL * cells.len() as f64
}

pub(super) fn share(hits: usize, cells: &[&RawCell]) -> f64 {
    if cells.is_empty() { 0.0 } else { hits as f64 / cells.len() as f64 }
}

/// The match that a heading would have, and what its values are instead.
fn contradicted(heading: &Heading, cells: &[&RawCell], mapping: &[(String, String)]) -> Option<(Match, String)> {
    if cells.len() < FEWEST {
        return None;
    }
    let alone = match_but(std::slice::from_ref(heading), mapping, &|_, _| false);
    let found = alone.matches.into_iter().next().flatten()?;
    let sign = AGAINST.iter().find(|sign| speaks_against(**sign, found.field) && all_are(**sign, cells))?;
    let free = matches!(found.field.kind, FieldKind::Text) || found.field.name == "site_id";
    if !free && share(cells.iter().filter(|cell| reads_as(found.field, cell)).count(), cells) > NEARLY_NONE {
        return None;
    }
    Some((found, sign.said()))
}

/// The field that holds the day of another, where dates stand under the other's heading ("Last EICR") and no column
/// claims it.
fn date_of(found: &Match, why: &str, head: &TableHead) -> Option<&'static Field> {
    let dated = field_named(&format!("{}_date", found.field.name))?;
    (why == Sign::Date.said() && !head.has(dated.name) && !dated.name.starts_with("override")).then_some(dated)
}

/// Whether a sign can speak against a field at all.
pub(super) fn speaks_against(sign: Sign, field: &Field) -> bool {
    match sign {
        // "7 kW" is no count, though it would be read as one.
        Sign::Measured => return field.kind == FieldKind::Count,
        Sign::PlaceLine => return field.name == "premises_type",
        _ => {}
    }
    match field.name {
        "address" => sign != Sign::Address,
        "distributor" => matches!(sign, Sign::Postcode | Sign::Address | Sign::Date | Sign::YesNo),
        "site_id" => matches!(sign, Sign::Date | Sign::YesNo),
        // Digits that are no supply number are mistakes, each with its own note.
        "mpan" | "uprn" => sign != Sign::Number,
        "postcode" => true,
        _ => match field.kind {
            FieldKind::Text | FieldKind::Identifier => false,
            // A figure beyond belief has its own note.
            FieldKind::Number | FieldKind::Count | FieldKind::Date | FieldKind::Time => sign != Sign::Number,
            FieldKind::YesNo | FieldKind::Word => true,
        },
    }
}

/// Whether a column that nothing can be read from still counts as a question that was asked.
fn keeps_its_question(field: &Field) -> bool {
    !matches!(field.kind, FieldKind::Text | FieldKind::Identifier)
}

/// Names what no heading names, by values that are plainly one thing.
fn name_by_values(
    head: &mut TableHead,
    samples: &Samples<'_>,
    mapping: &[(String, String)],
    asked: &mut Vec<Asked>,
    warnings: &mut Vec<String>,
) {
    let mut claims: BTreeMap<&'static str, Vec<(usize, Sign, bool)>> = BTreeMap::new();
    for (at, heading) in head.headings.iter().enumerate() {
        let taken = head.matches.get(at).is_some_and(Option::is_some) || asked.iter().any(|one| one.at == at);
        let contested = head.contested.iter().any(|(_, claims)| claims.contains(&at));
        let words = words_of(&heading.text);
        if taken || contested || settled(heading, mapping).is_some() || speaks_of_another(&words) {
            continue;
        }
        let Some(cells) = samples.get(&heading.index) else { continue };
        let list = |signs: &[(Sign, &'static str)]| {
            signs.iter().find(|(sign, name)| !head.has(name) && all_are(*sign, cells)).copied()
        };
        let idle = says_nothing(&words);
        let strong = list(PLAIN).or_else(|| list(FAIR).filter(|_| idle));
        let faint = || list(FAINT).filter(|_| idle);
        if let Some((sign, name)) = strong {
            claims.entry(name).or_default().push((at, sign, true));
        } else if let Some((sign, name)) = faint() {
            claims.entry(name).or_default().push((at, sign, false));
        }
    }
    for (name, claimants) in claims {
        let Some(field) = field_named(name) else { continue };
        let is_contested = head.contested.iter().any(|(other, _)| other.name == name);
        if let ([(at, sign, true)], false) = (claimants.as_slice(), is_contested) {
            let Some(heading) = head.headings.get(*at) else { continue };
            let cells = samples.get(&heading.index).map_or(0, Vec::len);
            let evidence = format!("{} in the first {cells} values", sign.said());
            warnings.push(format!(
                "{} is read as {name} by its values ({}); if it is not, say so in a mapping.",
                capital(&column_said(heading)),
                sign.said()
            ));
            if let Some(slot) = head.matches.get_mut(*at) {
                *slot = Some(Match::by_values(field, BY_VALUES_SURE, evidence));
            }
            continue;
        }
        for (at, sign, _) in claimants {
            let Some(heading) = head.headings.get(at) else { continue };
            let said = column_said(heading);
            let key = match heading.text.as_str() {
                "" => said.clone(),
                text => text.to_owned(),
            };
            warnings.push(format!(
                "Not read: {said} holds {} and could be {name}. If it is, write \"{key}\" = \"{name}\" in a mapping.",
                sign.said()
            ));
            asked.push(Asked { at, field, why: format!("holds {}", sign.said()) });
        }
    }
}

/// Whether a heading speaks of another place, time or supply than the row's.
fn speaks_of_another(words: &str) -> bool {
    let foreign = words_under("foreign");
    words.split(' ').any(|word| foreign.contains(word) || foreign.contains(word.trim_end_matches('s')))
}

/// Whether a heading says nothing: none, a letter, a number, or words such as "column".
fn says_nothing(words: &str) -> bool {
    words.split(' ').all(|word| {
        word.chars().count() <= 1
            || word.bytes().all(|byte| byte.is_ascii_digit())
            || words_under("idle").contains(word.trim_end_matches(|c: char| c.is_ascii_digit()))
    })
}

/// The address may have lost its column, or gained one: its parts are sought anew. A street that is called the address
/// ("Kiln Road") takes its number from the column that holds it.
fn again_the_address(head: &mut TableHead, samples: &Samples<'_>) {
    let Some(field) = field_named("address") else { return };
    head.address = address_parts(&head.headings, &head.matches);
    if let [street] = head.address.as_slice()
        && let Some(number) = number_of_street(head, samples, *street)
    {
        head.address.insert(0, number);
    }
    for at in &head.address {
        if let Some(slot @ None) = head.matches.get_mut(*at) {
            *slot = Some(Match::part_of_address(field));
        }
    }
}

/// How far the values agree with a match: where half of them do not read, the match is half as sure.
fn agree(found: &mut Match, cells: &[&RawCell]) {
    let free = matches!(found.field.kind, FieldKind::Text) || found.field.name == "site_id";
    if free || cells.len() < FEWEST || !found.evidence.is_empty() {
        return;
    }
    let reads = cells.iter().filter(|cell| reads_as(found.field, cell)).count();
    found.score *= 0.5 + 0.5 * share(reads, cells);
    found.evidence = format!("{reads} of the first {} values read as it", cells.len());
}

pub(super) fn capital(text: &str) -> String {
    let mut characters = text.chars();
    characters.next().map_or_else(String::new, |first| first.to_uppercase().chain(characters).collect())
}
