//! Answers of several rows that contradict one another: a loop to a neighbour who says there is none, one supply number
//! at several places. Each is noted with both cells and puts in doubt what is in doubt; no value is made up.

use super::gather::Table;
use super::raw::{column_letters, words_of};
use super::several::Sheets;
use super::types::CellNote;
use crate::site::{Answer, Contradiction, Site};
use std::collections::{BTreeMap, HashMap};

/// The street of a site and its number in it, when its address begins with one: "7 Fennel Row, Tarnholt" is 7 in
/// "fennel row tarnholt". A postcode at the end is left out, so that both sides of a road are one street.
pub(super) fn street_of(site: &Site) -> Option<(String, String)> {
    let plain = words_of(site.identity.address.likely()?);
    let postcode = site.identity.postcode.likely().map(|code| words_of(code)).unwrap_or_default();
    let plain = plain.strip_suffix(&postcode).unwrap_or(&plain).trim_end();
    let (number, street) = plain.split_once(' ')?;
    let numbered = number.len() <= 5 && number.bytes().next().is_some_and(|byte| byte.is_ascii_digit());
    numbered.then(|| (street.to_owned(), number.to_owned()))
}

/// Compares the sites of a table.
pub(super) fn compare(table: &mut Table, sheets: Sheets<'_>) {
    shared_numbers(table, sheets);
    loops(table, sheets);
}

/// One supply number on rows that are different places: the landlord's supply, or a number copied down.
fn shared_numbers(table: &mut Table, sheets: Sheets<'_>) {
    let mut first: HashMap<&str, usize> = HashMap::new();
    let mut shared: Vec<(usize, usize)> = Vec::new();
    for (at, site) in table.sites.iter().enumerate() {
        let Some(mpan) = site.supply.mpan.likely() else { continue };
        match first.get(mpan.as_str()) {
            Some(earlier) => shared.push((*earlier, at)),
            None => {
                first.insert(mpan, at);
            }
        }
    }
    for (earlier, later) in shared {
        let message = |table: &Table, own: usize, other: usize| {
            let (row, column) =
                table.sites.get(other).map_or((0, 0), |site| (site.row, site.supply.mpan.column.unwrap_or_default()));
            let beside = beside(table, sheets, own, other);
            format!(
                "{}{row}{beside} has the same MPAN and another address: one supply for several places, or a number \
                 copied; each is judged by itself.",
                column_letters(column)
            )
        };
        // The first of several is told once.
        let told = table.sites.get(earlier).is_some_and(|site| has(site, "number-at-several"));
        if !told {
            let said = message(table, earlier, later);
            contradict((table, sheets), earlier, "number-at-several", ["mpan", "address"], &said);
        }
        let said = message(table, later, earlier);
        contradict((table, sheets), later, "number-at-several", ["mpan", "address"], &said);
    }
}

/// What stands behind the cell of another site where that is on another sheet.
fn beside(table: &Table, sheets: Sheets<'_>, own: usize, other: usize) -> String {
    let sheet = |at: usize| table.sites.get(at).map_or(0, |site| site.sheet);
    sheets.beside(sheet(own), sheet(other))
}

fn has(site: &Site, rule: &str) -> bool {
    site.contradictions.iter().any(|known| known.rule == rule)
}

/// A service looped to a neighbour is looped at the neighbour as well: where that one says no, its answer is in doubt.
fn loops(table: &mut Table, sheets: Sheets<'_>) {
    // Only a cell that says more than yes can name a neighbour.
    let named: Vec<(usize, String)> = table
        .sites
        .iter()
        .enumerate()
        .filter(|(_, site)| site.supply.looped_service.is(true))
        .filter_map(|(at, _)| Some((at, neighbour_named(&loop_cell(table, sheets, at)?)?)))
        .collect();
    if named.is_empty() {
        return;
    }
    let mut houses: BTreeMap<(String, String), usize> = BTreeMap::new();
    for (at, site) in table.sites.iter().enumerate() {
        if let Some(house) = street_of(site) {
            houses.insert(house, at);
        }
    }
    for (at, number) in named {
        let Some((street, own)) = table.sites.get(at).and_then(street_of) else { continue };
        let Some(&neighbour) = houses.get(&(street, number)).filter(|_| !own.is_empty()) else { continue };
        if neighbour == at || table.sites.get(neighbour).is_none_or(|site| !site.supply.looped_service.is(false)) {
            continue;
        }
        let cell = |at: usize, from: usize| {
            let site = table.sites.get(at);
            let column = site.and_then(|site| site.supply.looped_service.column).map_or(String::new(), column_letters);
            format!("{column}{}{}", site.map_or(0, |site| site.row), beside(table, sheets, from, at))
        };
        let (named, denied) = (cell(at, neighbour), cell(neighbour, at));
        let fields = ["looped_service", "looped_service"];
        let said = format!("{named} says that its service is looped with this one; the loop is taken as not settled.");
        contradict((table, sheets), neighbour, "neighbours-differ", fields, &said);
        if let Some(site) = table.sites.get_mut(neighbour) {
            site.supply.looped_service.answer = Answer::Doubtful { low: false, likely: true, high: true };
        }
        let said = format!("{denied} says that its service is not looped; the yes here stands.");
        contradict((table, sheets), at, "neighbours-differ", fields, &said);
    }
}

/// What stands in the cell of the loop, as the sheet shows it.
fn loop_cell(table: &Table, sheets: Sheets<'_>, at: usize) -> Option<String> {
    let site = table.sites.get(at)?;
    let column = site.supply.looped_service.column?;
    table.row(at)?.cells.get(sheets.place(site.sheet, column)?).cloned()
}

/// The house that a cell names: the 5 of "Y - with no 5" or "looped to 5".
fn neighbour_named(text: &str) -> Option<String> {
    let plain = words_of(text);
    let mut words =
        plain.split(' ').skip_while(|word| !matches!(*word, "no" | "number" | "to" | "with" | "from" | "at"));
    words
        .find(|word| word.len() <= 5 && word.bytes().next().is_some_and(|byte| byte.is_ascii_digit()))
        .map(str::to_owned)
}

/// Notes a contradiction on a site and its cell.
fn contradict(
    (table, sheets): (&mut Table, Sheets<'_>),
    at: usize,
    rule: &'static str,
    fields: [&'static str; 2],
    message: &str,
) {
    let Some(site) = table.sites.get_mut(at) else { return };
    let column = match fields[0] {
        "mpan" => site.supply.mpan.column,
        _ => site.supply.looped_service.column,
    }
    .unwrap_or_default();
    site.contradictions.push(Contradiction { rule, fields, decides: false });
    let Some(row) = table.row_mut(at) else { return };
    let note = CellNote {
        row: row.row,
        column,
        field: fields[0],
        raw: sheets.place(row.sheet, column).and_then(|at| row.cells.get(at)).cloned().unwrap_or_default(),
        contradiction: Some(rule),
        understood: "contradicted".to_owned(),
        message: message.to_owned(),
        ..CellNote::default()
    };
    let place = row.notes.partition_point(|known| known.column <= column);
    row.notes.insert(place, note);
}

#[cfg(test)]
#[path = "neighbours_tests.rs"]
mod tests;
