//! Ditto marks and "as above": resolved from the row immediately above, in the same section of the sheet, and from
//! nowhere else. A blank row, a title, a total, a repeated heading or a row set aside ends a section.
//!
//! Rows are read side by side, so this goes over them once more in order; a sheet without a ditto costs nothing. Whoever
//! sorts or filters a sheet moves such marks away from what they repeat, so each is noted with the cell it took.

use super::gather::Table;
use super::raw::{RawCell, RawRow, column_letters};
use super::rows::Plan;
use super::types::CellNote;
use crate::site::Site;

/// Ways to write "the same as above".
const MARKS: &[&str] = &[
    "\"",
    "\"\"",
    "''",
    ",,",
    "\u{3003}",
    "\u{201c}",
    "\u{201d}",
    "\u{2033}",
    "-\"-",
    "- \" -",
    "\" \"",
    "ditto",
    "ditto.",
    "(ditto)",
    "do.",
    "as above",
    "as above.",
    "same",
    "same as above",
    "see above",
    "as previous",
    "\u{2191}",
];
/// Longest of them, in bytes.
const LONGEST: usize = 16;
/// What belongs to one place alone: repeated, it would make two rows one.
const NEVER: &[&str] = &[
    "site_id",
    "uprn",
    "address",
    "mpan",
    "latitude",
    "longitude",
    "override_verdict",
    "override_by",
    "override_date",
    "override_why",
];

/// Whether a cell repeats the one above.
fn repeats(cell: &RawCell) -> bool {
    let RawCell::Text(text) = cell else { return false };
    let text = text.trim();
    let begins =
        |c: char| matches!(c, '"' | '\'' | ',' | '-' | '(' | 'd' | 'D' | 'a' | 'A' | 's' | 'S') || !c.is_ascii();
    text.len() <= LONGEST && text.starts_with(begins) && MARKS.iter().any(|mark| mark.eq_ignore_ascii_case(text))
}

/// Whether a cell of the row repeats the one above.
pub(super) fn any(raw: &RawRow) -> bool {
    raw.cells.iter().any(|(_, cell)| repeats(cell))
}

/// Resolves every ditto mark that can be.
pub(super) fn resolve(table: &mut Table, plan: &Plan) {
    if table.rows.iter().all(|row| row.repeats.is_none()) {
        return;
    }
    let mut sites: Vec<Option<Site>> = table.rows.iter().map(|_| None).collect();
    for (site, at) in std::mem::take(&mut table.sites).into_iter().zip(std::mem::take(&mut table.row_of)) {
        if let Some(place) = sites.get_mut(at) {
            *place = Some(site);
        }
    }
    // The cells of the row above with its own marks resolved, when it had any.
    let mut resolved: Option<Vec<String>> = None;
    for at in 0..table.rows.len() {
        let (before, rest) = table.rows.split_at_mut(at);
        let Some(row) = rest.first_mut() else { break };
        let Some(mut raw) = row.repeats.take() else {
            resolved = None;
            continue;
        };
        let above = before.last().filter(|above| above.why.is_none() && above.row + 1 == row.row);
        let Some(above) = above else {
            resolved = None;
            continue;
        };
        let cells_above = resolved.as_ref().unwrap_or(&above.cells);
        let taken = substitute(&mut raw, plan, cells_above);
        let (mut again, site) = plan.read(*raw);
        resolved = Some(std::mem::take(&mut again.cells));
        row.why = again.why;
        row.notes = again.notes;
        for (column, mark, text) in taken {
            note(&mut row.notes, plan, (row.row, column), &mark, &text);
        }
        row.notes.sort_by_key(|note| note.column);
        if let Some(place) = sites.get_mut(at) {
            *place = site;
        }
    }
    for (at, site) in sites.into_iter().enumerate() {
        if let Some(site) = site {
            table.row_of.push(at);
            table.sites.push(site);
        }
    }
}

/// Puts the texts above in the place of the marks; says which cells, with the mark and the text.
fn substitute(raw: &mut RawRow, plan: &Plan, above: &[String]) -> Vec<(u16, String, String)> {
    let mut taken = Vec::new();
    for (column, cell) in raw.cells.iter_mut().filter(|(_, cell)| repeats(cell)) {
        let field = plan.columns().iter().find(|known| known.index == *column).map(|known| known.field.name);
        let may = match field {
            Some(name) => !NEVER.contains(&name),
            None => plan.is_part_of_address(*column),
        };
        let text = plan.place(*column).and_then(|at| above.get(at)).filter(|text| !text.is_empty());
        let Some(text) = text.filter(|text| may && !repeats(&RawCell::Text((*text).clone()))) else { continue };
        taken.push((*column, cell.shown(), text.clone()));
        *cell = RawCell::Text(text.clone());
    }
    taken
}

/// Notes that a cell repeats the one above; what was said of the text itself goes behind it.
fn note(notes: &mut Vec<CellNote>, plan: &Plan, (row, column): (u32, u16), mark: &str, text: &str) {
    let field = plan.columns().iter().find(|known| known.index == column).map_or("address", |known| known.field.name);
    let said = format!("It repeats {}{}: {text}.", column_letters(column), row - 1);
    match notes.iter_mut().find(|note| note.column == column) {
        Some(note) => {
            mark.clone_into(&mut note.raw);
            note.message = format!("{said} {}", note.message);
        }
        None => notes.push(CellNote {
            row,
            column,
            field,
            raw: mark.to_owned(),
            understood: text.to_owned(),
            message: said,
            ..CellNote::default()
        }),
    }
}

#[cfg(test)]
#[path = "ditto_tests.rs"]
mod tests;
