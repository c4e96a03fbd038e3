//! The column that holds the office's own key of each place, where no heading says so outright: "No.", "Depot", "Plot".
//! A key differs in every row and has a figure in it. Numbers that only count the rows are a key where there is no
//! better one. Several columns alike are asked about, never settled by their order.

use super::evidence::{Asked, BY_VALUES_SURE, Samples, all_are, capital, field_named};
use super::head_words::{all_of, of_kind};
use super::headings::{Heading, Match, column_said};
use super::identifiers::key;
use super::mapping::settled;
use super::raw::{RawCell, words_of};
use super::signs::Sign;
use super::table::{TableHead, is_number_in_street};
use std::collections::BTreeSet;

/// Longest key, in characters, and most words in one.
const LONGEST: usize = 24;
const MOST_WORDS: usize = 3;
/// Fewer rows tell nothing.
const FEWEST: usize = 2;
/// Share of the rows that must have one.
const NEARLY_ALL: f64 = 0.9;

/// How good a key is, the best last.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Rank {
    /// It counts the rows.
    Counts,
    /// Of a visit or a paper.
    OfVisit,
    /// Of something.
    Plain,
    /// Of the place.
    OfPlace,
}

/// Names the column of keys, among columns that nothing names or that claim the key alike.
pub(super) fn find_key(
    head: &mut TableHead,
    samples: &Samples<'_>,
    mapping: &[(String, String)],
    asked: &mut Vec<Asked>,
    warnings: &mut Vec<String>,
) {
    let Some(field) = field_named("site_id").filter(|field| !head.has(field.name)) else { return };
    let claims: Option<Vec<usize>> =
        head.contested.iter().find(|(other, _)| other.name == field.name).map(|(_, claims)| claims.clone());
    let longest = samples.values().map(Vec::len).max().unwrap_or_default();
    let mut candidates: Vec<(usize, Rank)> = Vec::new();
    for (at, heading) in head.headings.iter().enumerate() {
        let contested = head.contested.iter().any(|(other, claims)| other.name != field.name && claims.contains(&at));
        let free = head.matches.get(at).is_some_and(Option::is_none) && !contested;
        let wanted = claims.as_ref().is_none_or(|claims| claims.contains(&at));
        let other = asked.iter().any(|one| one.at == at && one.field.name != "address");
        if !free || !wanted || other || settled(heading, mapping).is_some() {
            continue;
        }
        let Some(cells) = samples.get(&heading.index).filter(|cells| is_filled(cells.len(), longest)) else { continue };
        let Some(rank) = rank_of(heading, claims.is_some()).filter(|_| are_keys(cells)) else { continue };
        candidates.push((at, if counts(cells) { Rank::Counts } else { rank }));
    }
    let Some(best) = candidates.iter().map(|(_, rank)| *rank).max() else { return };
    let winners: Vec<usize> = candidates.iter().filter(|(_, rank)| *rank == best).map(|(at, _)| *at).collect();
    // Whatever tells places apart is a better key than a count of rows.
    let better = ["uprn", "mpan"].iter().any(|name| head.has(name));
    if best == Rank::Counts && better {
        return;
    }
    let [won] = winners.as_slice() else {
        if claims.is_none() {
            head.contested.push((field, winners));
        }
        return;
    };
    let Some(heading) = head.headings.get(*won) else { return };
    let count = samples.get(&heading.index).map_or(0, Vec::len);
    warnings.push(format!(
        "{} is read as site_id, because it differs in each of the first {count} rows; if it is not, say so in a mapping.",
        capital(&column_said(heading))
    ));
    if let Some(slot) = head.matches.get_mut(*won) {
        *slot = Some(Match::by_values(field, BY_VALUES_SURE, format!("differs in each of the first {count} rows")));
    }
    head.contested.retain(|(other, _)| other.name != field.name);
    asked.retain(|one| one.at != *won);
}

/// Names the column of addresses where no heading says so outright: a word for places ("Premises", "Depot") over lines
/// that begin with a number and a name. Whether there is one.
pub(super) fn find_address(
    head: &mut TableHead,
    samples: &Samples<'_>,
    mapping: &[(String, String)],
    asked: &mut Vec<Asked>,
    warnings: &mut Vec<String>,
) -> bool {
    let Some(field) = field_named("address").filter(|field| !head.has(field.name) && head.address.is_empty()) else {
        return false;
    };
    let places: Vec<usize> = head
        .headings
        .iter()
        .enumerate()
        .filter(|(at, heading)| {
            let free = match head.matches.get(*at) {
                Some(Some(found)) => found.field.name == "premises_type" && !found.is_settled(),
                _ => true,
            };
            let cells = samples.get(&heading.index).map_or(&[][..], Vec::as_slice);
            let words = words_of(&heading.text);
            free && !words.is_empty()
                && all_of(&words, &["key-of-place", "neutral"])
                && settled(heading, mapping).is_none()
                && all_are(Sign::PlaceLine, cells)
        })
        .map(|(at, _)| at)
        .collect();
    let [at] = places.as_slice() else { return false };
    let Some(heading) = head.headings.get(*at) else { return false };
    warnings.push(format!(
        "{} is read as address by its values ({}); if it is not, say so in a mapping.",
        capital(&column_said(heading)),
        Sign::PlaceLine.said()
    ));
    if let Some(slot) = head.matches.get_mut(*at) {
        *slot = Some(Match::by_values(field, BY_VALUES_SURE, Sign::PlaceLine.said()));
    }
    asked.retain(|one| one.at != *at);
    true
}

/// Names the column that says what kind of place a row is, under a heading that says no more than that it is a place
/// ("Prop", "Unit", "Dwelling"): nearly all of its values are words for kinds of places.
pub(super) fn find_kind_of_place(
    head: &mut TableHead,
    samples: &Samples<'_>,
    mapping: &[(String, String)],
    warnings: &mut Vec<String>,
) {
    let Some(field) = field_named("premises_type").filter(|field| !head.has(field.name)) else { return };
    let kinds: Vec<usize> = head
        .headings
        .iter()
        .enumerate()
        .filter(|(at, heading)| {
            let words = words_of(&heading.text);
            let cells = samples.get(&heading.index).map_or(&[][..], Vec::as_slice);
            head.matches.get(*at).is_some_and(Option::is_none)
                && settled(heading, mapping).is_none()
                && !words.is_empty()
                && all_of(&words, &["key-of-place", "neutral", "generic", "place"])
                && all_are(Sign::WordOf("premises_type"), cells)
                // "Flat 1" is a name.
                && !cells.iter().any(|cell| cell.shown().bytes().any(|byte| byte.is_ascii_digit()))
        })
        .map(|(at, _)| at)
        .collect();
    let [at] = kinds.as_slice() else { return };
    let Some(heading) = head.headings.get(*at) else { return };
    let evidence = Sign::WordOf("premises_type").said();
    warnings.push(format!(
        "{} is read as premises_type by its values ({evidence}); if it is not, say so in a mapping.",
        capital(&column_said(heading))
    ));
    if let Some(slot) = head.matches.get_mut(*at) {
        *slot = Some(Match::by_values(field, BY_VALUES_SURE, evidence));
    }
}

/// The column of house numbers, where the addresses themselves have none. Numbers under "No." that count the rows are
/// none.
pub(super) fn number_of_street(head: &TableHead, samples: &Samples<'_>, street: usize) -> Option<usize> {
    let cells_at = |at: usize| head.headings.get(at).and_then(|heading| samples.get(&heading.index));
    let has_digit = |cell: &&&RawCell| cell.shown().bytes().any(|byte| byte.is_ascii_digit());
    let streets = cells_at(street)?;
    if streets.iter().any(|cell| has_digit(&cell)) {
        return None;
    }
    let of_numbers = |(at, heading): (usize, &Heading)| {
        let free = head.matches.get(at).is_some_and(Option::is_none);
        let cells = cells_at(at)?;
        let bare = all_of(&words_of(&heading.text), &["key"]) && counts(cells);
        let headed = of_kind("address-number").contains(&words_of(&heading.text)) && !bare;
        (free && headed && is_filled(cells.len(), streets.len()) && cells.iter().all(|cell| has_digit(&cell)))
            .then_some(at)
    };
    let mut found = head.headings.iter().enumerate().filter_map(of_numbers);
    found.next().filter(|_| found.next().is_none())
}

fn is_filled(cells: usize, rows: usize) -> bool {
    cells >= FEWEST && cells as f64 >= NEARLY_ALL * rows as f64
}

/// What a heading says of a key; `None` where it speaks of something else. `claimed` is one that heads keys already.
fn rank_of(heading: &Heading, claimed: bool) -> Option<Rank> {
    let words = words_of(&heading.text);
    if heading.text.trim() == "#" || words.is_empty() {
        return Some(Rank::Plain);
    }
    if !claimed && (is_number_in_street(heading) || !all_of(&words, &["key", "key-of-place", "key-of-visit"])) {
        return None;
    }
    let has = |kind: &str| words.split(' ').any(|word| of_kind(kind).contains(word));
    let of_visit = has("key-of-visit");
    Some(match (has("key-of-place"), of_visit) {
        (true, false) => Rank::OfPlace,
        (false, false) => Rank::Plain,
        _ => Rank::OfVisit,
    })
}

/// Whether all values could be keys and none stands twice.
fn are_keys(cells: &[&RawCell]) -> bool {
    let mut seen = BTreeSet::new();
    cells.iter().all(|cell| {
        let text = key(cell);
        let shaped = match cell {
            RawCell::Number(number) => number.fract() == 0.0 && *number >= 0.0,
            RawCell::Text(_) => {
                text.chars().count() <= LONGEST
                    && text.split(' ').count() <= MOST_WORDS
                    && !text.contains([',', '@'])
                    && text.bytes().any(|byte| byte.is_ascii_digit())
            }
            _ => false,
        };
        let other = [Sign::Date, Sign::Postcode, Sign::SupplyNumber].iter().any(|sign| sign.is_on(cell));
        shaped && !other && seen.insert(text)
    })
}

/// Whether the values count the rows: each one more than the one before.
fn counts(cells: &[&RawCell]) -> bool {
    let number = |cell: &&RawCell| key(cell).parse::<i64>().ok();
    let pairs = cells.iter().zip(cells.iter().skip(1));
    pairs.fold(true, |so_far, (one, next)| {
        so_far && matches!((number(one), number(next)), (Some(one), Some(next)) if next == one + 1)
    })
}
