//! Another table under the one that is read: its rows are set aside and never taken for places.
//!
//! Two marks tell it. A row further down names fields outright but is not the headings again: all up to the next
//! repetition of our own headings is another table. Or, past a blank row, a stretch begins with words alone and has no
//! figure in any column that would hold one: a list of codes, a legend, notes in columns.

use super::aside::Cause;
use super::gather::Table;
use super::headings::{Heading, fields_named};
use super::rows::RowRead;
use crate::site::{Answer, Reading, Site, WhyUnknown};

/// Fields that a row must name to head another table.
const FEWEST_FIELDS: usize = 3;
/// Headings of another table that are told.
const MOST_TOLD: usize = 4;

/// Sets the rows of other tables aside; a sentence for each table. `columns` are those that have headings.
pub(super) fn set_apart(table: &mut Table, columns: &[u16], mapping: &[(String, String)]) -> Vec<String> {
    let mut apart: Vec<(usize, usize)> = Vec::new();
    let mut at = 0;
    while let Some(row) = table.rows.get(at) {
        let before = at.checked_sub(1).and_then(|before| table.rows.get(before));
        let after_gap = before.is_some_and(|before| before.row + 1 < row.row);
        let end = if row.why == Some(Cause::HeadingsAgain) || !is_words(row) {
            None
        } else if named(row, columns, mapping) >= FEWEST_FIELDS {
            let rest = table.rows.iter().skip(at);
            Some(at + rest.take_while(|row| row.why != Some(Cause::HeadingsAgain)).count())
        } else if after_gap {
            let rows = table.rows.get(at..).unwrap_or_default();
            let length = 1 + rows.iter().zip(rows.iter().skip(1)).take_while(|(a, b)| a.row + 1 == b.row).count();
            Some(at + length).filter(|end| end - at > 1 && without_figures(table, at, *end))
        } else {
            None
        };
        match end {
            Some(end) => {
                apart.push((at, end));
                at = end;
            }
            None => at += 1,
        }
    }
    let mut said = Vec::new();
    for (from, to) in apart {
        let Some(rows) = table.rows.get_mut(from..to) else { continue };
        let Some(first) = rows.first() else { continue };
        let (row, count) = (first.row, rows.len());
        let told: Vec<String> = filled(first).take(MOST_TOLD).map(|cell| format!("\"{cell}\"")).collect();
        for read in rows {
            read.why = Some(Cause::AnotherTable(row));
        }
        said.push(format!(
            "Another table begins in row {row} ({}): its {count} rows are set aside. To read it, give it a sheet of its own.",
            told.join(", ")
        ));
    }
    if !said.is_empty() {
        // What another table's rows were read as is nothing.
        let _ = table.take_waiting();
    }
    said
}

fn filled(row: &RowRead) -> impl Iterator<Item = &String> {
    row.cells.iter().chain(row.beyond.iter().map(|(_, cell)| cell)).filter(|cell| !cell.is_empty())
}

/// Whether a row has at least two cells and all of them are words without a digit.
fn is_words(row: &RowRead) -> bool {
    let mut count = 0;
    for cell in filled(row) {
        if cell.bytes().any(|byte| byte.is_ascii_digit()) || !cell.bytes().any(|byte| byte.is_ascii_alphabetic()) {
            return false;
        }
        count += 1;
    }
    count > 1
}

fn named(row: &RowRead, columns: &[u16], mapping: &[(String, String)]) -> usize {
    let headed = row.cells.iter().zip(columns).filter(|(cell, _)| !cell.is_empty()).map(|(cell, at)| (*at, cell));
    let beyond = row.beyond.iter().map(|(at, cell)| (*at, cell));
    let headings: Vec<Heading> =
        headed.chain(beyond).map(|(index, cell)| Heading { index, text: cell.clone(), ..Heading::default() }).collect();
    fields_named(&headings, mapping)
}

/// Whether no row of a stretch has a figure, and every site of it has words where figures belong.
fn without_figures(table: &Table, from: usize, to: usize) -> bool {
    let first = table.row_of.partition_point(|at| *at < from);
    let last = table.row_of.partition_point(|at| *at < to);
    let sites = table.sites.get(first..last).unwrap_or_default();
    let stated = |site: &Site| {
        site.identity.uprn.is_stated()
            || site.identity.postcode.is_stated()
            || site.identity.override_verdict.is_stated()
            || figures(site).iter().any(|reading| reading.likely().is_some())
    };
    let garbled = |site: &Site| {
        figures(site).iter().any(|reading| matches!(reading.answer, Answer::Unknown(WhyUnknown::NotUnderstood)))
    };
    !sites.is_empty() && !sites.iter().any(stated) && sites.iter().all(garbled)
}

fn figures(site: &Site) -> [&Reading<f64>; 6] {
    [
        &site.supply.cutout_rating_a,
        &site.supply.agreed_capacity_kva,
        &site.supply.recorded_peak_kva,
        &site.load.existing_demand_a,
        &site.load.existing_demand_kw,
        &site.parking.parking_distance_m,
    ]
}
