//! Where the table is: which row heads it, under which titles, and which columns hold parts of the address.

use super::headings::{Heading, Match, fields_named, match_headings};
use super::raw::{RawCell, RawRow, words_of};
use crate::site::{Field, fields};

/// Filled rows looked at to find the headings.
pub(super) const LOOKED_AT: usize = 60;
/// Fields that a row of headings must name to be one.
const FEWEST_FIELDS: usize = 2;
/// Longest text that is a heading and not a note.
const LONGEST_HEADING: usize = 300;

/// The head of a table.
#[derive(Debug)]
pub(super) struct TableHead {
    /// Row of the headings, from 1.
    pub row: u32,
    /// The headings, by column.
    pub headings: Vec<Heading>,
    /// What each was matched to.
    pub matches: Vec<Option<Match>>,
    /// Fields that several columns claim alike.
    pub contested: Vec<(&'static Field, Vec<usize>)>,
    /// Columns (positions in `headings`) that make up the address, in order; one when a column holds it whole.
    pub address: Vec<usize>,
}

impl TableHead {
    /// How many fields it names.
    pub fn fields(&self) -> usize {
        self.matches.iter().flatten().count()
    }

    /// Whether a field has a column.
    pub fn has(&self, name: &str) -> bool {
        self.matches.iter().flatten().any(|found| found.field.name == name)
    }
}

/// The row among the first ones that names most fields; the earlier of equals. `None` when none names enough.
pub(super) fn find_head(rows: &[RawRow], mapping: &[(String, String)]) -> Option<TableHead> {
    let mut best: Option<(usize, usize)> = None;
    for (at, row) in rows.iter().enumerate() {
        let headings = headings_of(row, None);
        if headings.len() < FEWEST_FIELDS {
            continue;
        }
        let named = fields_named(&headings, mapping);
        if named >= FEWEST_FIELDS && best.is_none_or(|(most, _)| named > most) {
            best = Some((named, at));
        }
    }
    let (_, at) = best?;
    let row = rows.get(at)?;
    let above = at.checked_sub(1).and_then(|above| rows.get(above)).filter(|above| above.row + 1 == row.row);
    let plain = head_of(row, None, mapping);
    let grouped = head_of(row, above, mapping);
    Some(if grouped.fields() > plain.fields() { grouped } else { plain })
}

fn head_of(row: &RawRow, above: Option<&RawRow>, mapping: &[(String, String)]) -> TableHead {
    let headings = headings_of(row, above);
    let matched = match_headings(&headings, mapping);
    let mut matches = matched.matches;
    let address = address_parts(&headings, &matches);
    if let Some(field) = fields().iter().find(|field| field.name == "address") {
        for at in &address {
            if let Some(slot @ None) = matches.get_mut(*at) {
                *slot = Some(Match::part_of_address(field));
            }
        }
    }
    TableHead { row: row.row, headings, matches, contested: matched.contested, address }
}

/// The texts of a row as headings, each with the title above it or to the left above it.
fn headings_of(row: &RawRow, above: Option<&RawRow>) -> Vec<Heading> {
    let group_of = |column: u16| {
        above
            .and_then(|above| above.cells.iter().rev().find(|(at, _)| *at <= column))
            .map(|(_, cell)| cell.shown())
            .unwrap_or_default()
    };
    row.cells
        .iter()
        .filter_map(|(index, cell)| match cell {
            RawCell::Text(text) if text.len() <= LONGEST_HEADING => {
                Some(Heading { index: *index, text: text.trim().to_owned(), group: group_of(*index) })
            }
            _ => None,
        })
        .collect()
}

/// Headings of columns that hold a part of an address.
const ADDRESS_PARTS: &[&str] = &[
    "house number",
    "house no",
    "house name",
    "house",
    "house name number",
    "door number",
    "flat",
    "flat no",
    "flat number",
    "unit",
    "unit no",
    "unit number",
    "building",
    "building name",
    "block name",
    "number",
    "no",
    "street",
    "street name",
    "street number",
    "road",
    "road name",
    "address 1",
    "address 2",
    "address 3",
    "address 4",
    "address line 1",
    "address line 2",
    "address line 3",
    "address line 4",
    "address1",
    "address2",
    "address3",
    "addr 1",
    "addr 2",
    "addr1",
    "addr2",
    "locality",
    "town",
    "city",
    "village",
    "district",
    "county",
    "property name",
    "site address 1",
    "site address 2",
    "site address line 1",
    "site address line 2",
    "property number",
];
/// Parts that say by themselves where a place is, more or less.
const ADDRESS_CARRIERS: &[&str] = &["street", "road", "address 1", "address line 1", "address1", "addr 1", "addr1"];

/// The columns that make up the address. A column that holds it whole is enough; without one, the parts are put
/// together in the order of the sheet, provided that a street is among them.
pub(super) fn address_parts(headings: &[Heading], matches: &[Option<Match>]) -> Vec<usize> {
    let whole: Vec<usize> = matches
        .iter()
        .enumerate()
        .filter(|(_, found)| found.as_ref().is_some_and(|found| found.field.name == "address"))
        .map(|(at, _)| at)
        .collect();
    if !whole.is_empty() {
        return whole;
    }
    let parts: Vec<usize> = headings
        .iter()
        .enumerate()
        .zip(matches)
        .filter(|((_, heading), found)| found.is_none() && ADDRESS_PARTS.contains(&words_of(&heading.text).as_str()))
        .map(|((at, _), _)| at)
        .collect();
    let carries = parts.iter().filter_map(|at| headings.get(*at)).any(|heading| {
        let text = words_of(&heading.text);
        ADDRESS_CARRIERS.iter().any(|carrier| text.ends_with(carrier) || text.starts_with(carrier))
    });
    if carries { parts } else { Vec::new() }
}
