//! What contradicts itself in a read spreadsheet, by kind, with every case: answers of one row, of several rows, and two
//! rows for one place. It finds none of them; that was done while the rows were read.

use super::aside::Cause;
use super::contradictions::said_of;
use super::types::{CellNote, Intake};
use std::collections::BTreeMap;

/// Values that contradict each other, of one kind.
#[derive(Clone, Debug, PartialEq)]
pub struct Clash {
    /// What they have in common, and what is made of it.
    pub kind: String,
    /// Each case, with its cells or rows.
    pub cases: Vec<String>,
}

/// Every contradiction, the most frequent kind first.
pub(super) fn clashes(intake: &Intake) -> Vec<Clash> {
    let mut by_rule: BTreeMap<&str, Vec<String>> = BTreeMap::new();
    for note in &intake.notes {
        if let Some(rule) = note.contradiction {
            by_rule.entry(rule).or_default().push(case(intake, note, rule));
        }
    }
    let mut clashes: Vec<Clash> =
        by_rule.into_iter().map(|(rule, cases)| Clash { kind: said_of(rule).1, cases }).collect();
    let cases: Vec<String> = intake
        .set_aside
        .iter()
        .filter_map(|row| match &row.cause {
            Cause::SamePlace(same) if !same.differences.is_empty() => {
                let named = intake.row_named(row.sheet, row.row);
                Some(format!("row {named} and {}: {}", same.stands_said(), same.differences_said()))
            }
            _ => None,
        })
        .collect();
    if !cases.is_empty() {
        let kind = "Two rows for one place differ, and the newer survey, else the later row, stands.".to_owned();
        clashes.push(Clash { kind, cases });
    }
    clashes.sort_by_key(|clash| std::cmp::Reverse(clash.cases.len()));
    clashes
}

/// One case: the cell with what stands in it, and what it is held against.
fn case(intake: &Intake, note: &CellNote, rule: &str) -> String {
    let cell = intake.cell_named(note.sheet, note.row, note.column);
    let against = said_of(rule).0.and_then(|field| {
        let columns = intake.columns_of(note.sheet);
        let at = columns.iter().position(|column| column.field.is_some_and(|known| known.name == field))?;
        let row = intake.rows.binary_search_by_key(&(note.sheet, note.row), |row| (row.sheet, row.row)).ok()?;
        let text = intake.rows.get(row)?.cells.get(at).filter(|text| !text.is_empty())?;
        Some(format!("{} \"{text}\"", intake.cell_named(note.sheet, note.row, columns.get(at)?.index)))
    });
    let raw = format!("{cell} \"{}\"", note.raw);
    match against {
        Some(against) => format!("{raw} against {against}"),
        // Between rows the note names the other cell.
        None => format!("{raw}: {}", note.message),
    }
}
