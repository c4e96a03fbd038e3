//! The survey sheets of our own template among the sheets of a workbook: known by their names and by headings that are
//! fields' own names; who fills one in may take columns away or add some. One that holds nothing but the worked example is no candidate beside one that was filled in.

use super::raw::{RawRow, words_of};
use super::table::TableHead;
use super::template::{EXAMPLE, SHEETS};

/// Headings that are fields' own names, to know a sheet of the template by.
const FEWEST_OWN_NAMES: usize = 8;

/// Whether a sheet of the template was filled in; `None` for any other sheet.
pub(super) fn filled_in(name: &str, head: &TableHead, beginning: &[RawRow]) -> Option<bool> {
    let named = SHEETS.contains(&name);
    let exact = head.headings.iter().zip(&head.matches).filter(|(heading, found)| {
        found.as_ref().is_some_and(|found| words_of(found.field.name) == words_of(&heading.text))
    });
    if !named || exact.count() < FEWEST_OWN_NAMES {
        return None;
    }
    let example = |row: &RawRow| row.cells.iter().any(|(_, cell)| cell.shown() == EXAMPLE);
    Some(beginning.iter().any(|row| row.row > head.row && !example(row)))
}
