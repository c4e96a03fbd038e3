//! A heading that states a fact for its whole column: "Cable route from board to parking (m)" says from where every
//! distance under it was measured. It holds for the rows that have such a distance, and only where no column says it.

use super::evidence::{capital, field_named};
use super::head_words::{of_kind, stands_for};
use super::headings::{Heading, column_said};
use super::raw::words_of;
use super::slots::{Slot, slot};
use super::table::TableHead;
use crate::site::{Answer, Reading, Site};

/// Fields whose headings may say from where they count.
const MEASURED: &[&str] = &["parking_distance_m", "route_indoor_m", "route_surface_m", "route_buried_m"];
/// The field that says it.
const STATED: &str = "distance_from";
/// Longest name of an end of a route, in words.
const LONGEST_END: usize = 3;

/// A fact that a heading states.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct StatedFact {
    /// Column that states it.
    pub index: u16,
    /// As the contract spells it.
    pub word: &'static str,
}

/// The end of the route that a heading measures from; `None` where it names none, or both.
fn end_of(text: &str) -> Option<&'static str> {
    let plain = words_of(text);
    let idle = of_kind("function");
    let words: Vec<&str> = plain
        .split(' ')
        .filter(|word| matches!(*word, "from" | "to" | "between" | "and") || !idle.contains(*word))
        .collect();
    let mut ends: Vec<&'static str> = Vec::new();
    let mut named = 0;
    let mut at = 0;
    while at < words.len() {
        let longest = LONGEST_END.min(words.len() - at);
        let found = (1..=longest).rev().find_map(|length| {
            let run = words.get(at..at + length)?.join(" ");
            stands_for("route-end", &run).map(|end| (length, end))
        });
        let Some((length, end)) = found else {
            at += 1;
            continue;
        };
        named += 1;
        let before = at.checked_sub(1).and_then(|before| words.get(before)).copied();
        let after = words.get(at + length).copied();
        if matches!(before, Some("from" | "between" | "to")) || after == Some("to") {
            ends.push(end);
        }
        at += length;
    }
    ends.dedup();
    match ends.as_slice() {
        [end] if named == 1 => Some(end),
        _ => None,
    }
}

fn said_of(heading: &Heading) -> Option<&'static str> {
    end_of(&heading.text).or_else(|| end_of(&heading.group))
}

/// The fact that the headings of a table state alike.
pub(super) fn find_stated(head: &TableHead, warnings: &mut Vec<String>) -> Option<StatedFact> {
    if head.has(STATED) || head.contested.iter().any(|(field, _)| field.name == STATED) {
        return None;
    }
    let columns = head
        .headings
        .iter()
        .zip(&head.matches)
        .filter(|(_, found)| found.as_ref().is_some_and(|found| MEASURED.contains(&found.field.name)));
    let said: Vec<(&Heading, &'static str)> =
        columns.filter_map(|(heading, _)| Some((heading, said_of(heading)?))).collect();
    let (heading, word) = said.first()?;
    if said.iter().any(|(_, other)| other != word) || !field_named(STATED)?.words.contains(word) {
        return None;
    }
    warnings.push(format!(
        "{} says that the distance is measured from the {word}: {STATED} is {word} in every row with one.",
        capital(&column_said(heading))
    ));
    Some(StatedFact { index: heading.index, word })
}

impl StatedFact {
    /// States it of a site that has a distance: the whole route's where a column asks for it, else that of any part.
    pub fn put(&self, site: &mut Site) {
        let parking = &site.parking;
        let all: [&Reading<f64>; 4] =
            [&parking.parking_distance_m, &parking.route_indoor_m, &parking.route_surface_m, &parking.route_buried_m];
        if let Some(Slot::Word(put)) = slot(STATED)
            && all.iter().any(|reading| reading.likely().is_some())
            && (parking.parking_distance_m.likely().is_some() || parking.parking_distance_m.column.is_none())
        {
            put(site, Answer::Stated(self.word), self.index);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_end_of_a_route_that_its_heading_names() {
        for (text, end) in [
            ("Cable route from board to parking (m)", Some("board")),
            ("How far is the car from the fuse board", Some("board")),
            ("Meter to parking, cable way round (ft)", Some("intake")),
            ("Distance between the consumer unit and the bay", Some("board")),
            ("Distance from cut-out to charge point", Some("intake")),
            ("CU to bay (m)", Some("board")),
            ("Distance from car to main fuse", Some("intake")),
            ("How far is it in metres from the fuse board to the parking, the way a cable would go?", Some("board")),
            ("Distance to parking", None),
            ("Distance from meter or consumer unit", None),
            ("Run from intake / board to bay", None),
            ("Distance from house to parking", None),
            ("Board distance", None),
        ] {
            assert_eq!(end_of(text), end, "{text}");
        }
    }
}
