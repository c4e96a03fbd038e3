//! An address in columns that no list of parts knows: "Flat" and "Building", "Lodge", "Field" and "Park", "Village" and
//! "House". Headings that name kinds of places, over texts that together tell nearly every row from the others, are put
//! together in the order of the sheet.

use super::evidence::{Asked, FEWEST, Samples, field_named, share};
use super::head_words::{all_of, of_kind};
use super::heading_units::spaced;
use super::headings::{Heading, column_said};
use super::mapping::settled;
use super::near::is_slip_of;
use super::raw::{RawCell, RawRow, words_of};
use super::signs::Sign;
use super::table::TableHead;
use std::collections::BTreeSet;

/// Share of the values of a column that must be texts of a place.
const TEXTS: f64 = 0.8;
/// Share of the rows that the columns together must tell apart.
const DISTINCT: f64 = 0.9;

/// Letters of a word that is too short to be taken for a slip of another.
const SHORT: usize = 5;
/// Letters of a column's shortest text that can be an address by itself, with a blank in it.
const WHOLE_ADDRESS: usize = 8;

/// Whether a column tells nearly every row apart in several words: an address by itself, however its heading is spelt.
fn is_whole(cells: &[&RawCell]) -> bool {
    let texts: Vec<String> = cells.iter().map(|cell| cell.shown()).collect();
    let long = texts.iter().filter(|text| text.len() >= WHOLE_ADDRESS && text.trim().contains(' ')).count();
    let seen: BTreeSet<&String> = texts.iter().collect();
    cells.len() >= FEWEST && share(long, cells) >= TEXTS && share(seen.len(), cells) >= DISTINCT
}

/// Whether a heading names kinds of places and nothing else: "Lodge or pitch", "Building", "Bilding".
fn names_places(heading: &Heading) -> bool {
    let words = words_of(&spaced(&heading.text));
    // Short words are too near each other: "plate" is no slip of "place".
    let slip = |word: &str| word.len() > SHORT && of_kind("place").iter().any(|place| is_slip_of(word, place));
    let is_place = |word: &str| of_kind("place").contains(word) || slip(word);
    let carried = words.split(' ').any(is_place);
    let said = |word: &str| is_place(word) || all_of(word, &["filler", "neutral"]) || matches!(word, "name" | "no");
    carried && words.split(' ').all(said)
}

/// Whether the values could be names or numbers of places.
fn are_places(cells: &[&RawCell]) -> bool {
    let text = |cell: &&&RawCell| {
        let says = |sign: Sign| sign.is_on(cell);
        match cell {
            RawCell::Text(text) => {
                text.len() <= 80
                    && text.chars().any(char::is_alphanumeric)
                    && ![Sign::YesNo, Sign::Date, Sign::Postcode, Sign::Measured].into_iter().any(says)
            }
            RawCell::Number(number) => number.fract() == 0.0 && *number > 0.0,
            _ => false,
        }
    };
    cells.len() >= FEWEST && share(cells.iter().filter(text).count(), cells) >= TEXTS
}

/// The columns (positions in the list of headings) that make up an address where none is headed as one. `named` is one
/// that its values name already.
pub(super) fn find_places(
    head: &TableHead,
    rows: &[RawRow],
    samples: &Samples<'_>,
    mapping: &[(String, String)],
    asked: &mut Vec<Asked>,
    warnings: &mut Vec<String>,
) -> Vec<usize> {
    let named_address = head.headings.iter().zip(&head.matches).any(|(heading, found)| {
        found.as_ref().is_some_and(|found| found.field.name == "address")
            && samples.get(&heading.index).is_some_and(|cells| is_whole(cells))
    });
    if named_address {
        return Vec::new();
    }
    let free = |at: usize| match head.matches.get(at).and_then(Option::as_ref) {
        // A key of the place and what kind it is may be its name; what else is read stays what it is.
        Some(found) => {
            let said = found.field.name == "premises_type" && !found.is_by_values() || found.field.name == "address";
            said && !found.is_settled() && found.score < 0.97
        }
        None => true,
    };
    let places: Vec<usize> = head
        .headings
        .iter()
        .enumerate()
        .filter(|(at, heading)| {
            let cells = samples.get(&heading.index).map_or(&[][..], Vec::as_slice);
            free(*at) && settled(heading, mapping).is_none() && names_places(heading) && are_places(cells)
        })
        .map(|(at, _)| at)
        .collect();
    if places.len() < 2 || field_named("address").is_none() {
        return Vec::new();
    }
    let texts = |at: &usize| head.headings.get(*at).and_then(|heading| samples.get(&heading.index));
    // Numbers alone are no address.
    let worded = |at: &&usize| {
        texts(at).is_some_and(|cells| cells.iter().all(|cell| cell.shown().chars().any(char::is_alphabetic)))
    };
    if !places.iter().any(|at| worded(&at)) {
        return Vec::new();
    }
    let indices: Vec<u16> =
        places.iter().filter_map(|at| head.headings.get(*at)).map(|heading| heading.index).collect();
    let mut seen: BTreeSet<Vec<String>> = BTreeSet::new();
    let mut all = 0;
    for row in rows.iter().filter(|row| row.row > head.last) {
        let cells: Vec<String> =
            indices.iter().map(|index| row.cell(*index).map(RawCell::shown).unwrap_or_default()).collect();
        if row.cells.len() > indices.len() && cells.iter().any(|cell| !cell.is_empty()) {
            all += 1;
            seen.insert(cells);
        }
    }
    if all < FEWEST || (seen.len() as f64) < DISTINCT * all as f64 {
        return Vec::new();
    }
    let said: Vec<String> = places.iter().filter_map(|at| head.headings.get(*at)).map(column_said).collect();
    warnings.push(format!(
        "The address is put together of {}, in that order; if it is another, say so in a mapping.",
        said.join(", ")
    ));
    asked.retain(|one| !places.contains(&one.at));
    places
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn headings_that_name_places() {
        for (text, is) in [
            ("Flat", true),
            ("Bilding", true),
            ("Lodge or pitch", true),
            ("Hospital", true),
            ("House name", true),
            ("Building type", false),
            ("Flat owner", false),
            ("Parking", false),
            ("Plate no", false),
            ("Notes", false),
        ] {
            let heading = Heading { text: text.to_owned(), ..Heading::default() };
            assert_eq!(names_places(&heading), is, "{text}");
        }
    }
}
