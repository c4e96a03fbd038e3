//! Rows that are one place, and keys that several places share. Of two rows for one place the later survey stands,
//! else the later row; the other is set aside and names it. It adds no fact to any site.

use super::gather::Table;
use super::rows::RowRead;
use super::twins::Standing;
use super::types::{CellNote, Column};
use crate::site::Contradiction;
use std::collections::{BTreeSet, HashMap};

/// Differences that are listed in the sentence of a row set aside.
const DIFFERENCES_LISTED: usize = 3;

/// Sets the earlier of two rows for one place aside. `columns` are those with a heading, as the cells of a row are.
pub(super) fn set_duplicates_aside(table: &mut Table, columns: &[Column]) {
    let mut standing = Standing::of(&table.sites);
    for at in 0..table.sites.len() {
        if let Some((other, by)) = standing.twin_of(at) {
            // A row that is set aside stands for nothing any more.
            if settle(table, columns, other, at, by) == at {
                continue;
            }
            standing.leave(other);
        }
        standing.enter(at);
    }
    let Table { rows, sites, row_of } = table;
    let stays = |at: &usize| rows.get(*at).is_some_and(|row| row.why.is_none());
    let mut places = row_of.iter();
    sites.retain(|_| places.next().is_some_and(stays));
    row_of.retain(stays);
}

/// Leaves the later survey, else the later row, and sets the other aside; which of them that is.
fn settle(table: &mut Table, columns: &[Column], earlier: usize, later: usize, by: &str) -> usize {
    let date = |at: usize| table.sites.get(at)?.identity.survey_date.likely().copied();
    let (earlier_date, later_date) = (date(earlier), date(later));
    let earlier_stands = matches!((earlier_date, later_date), (Some(one), Some(two)) if one > two)
        || (earlier_date.is_some() && later_date.is_none());
    let (stands, goes) = if earlier_stands { (earlier, later) } else { (later, earlier) };
    let reason = match (date(stands), date(goes)) {
        (Some(kept), Some(left)) if kept > left => format!("which was surveyed later ({kept})"),
        (Some(kept), None) => format!("which has a survey date ({kept})"),
        _ => "which stands later in the sheet".to_owned(),
    };
    let standing = table.row(stands).map_or(0, |row| row.row);
    let dated = match (date(stands), date(goes)) {
        (Some(kept), Some(left)) => kept != left,
        (kept, left) => kept.is_some() != left.is_some(),
    };
    disagree(table, columns, (stands, goes), dated);
    let differences = differences(table.row(stands), table.row(goes), columns);
    if let Some(row) = table.row_mut(goes) {
        row.why = Some(format!("The same {by} as row {standing}, {reason}{differences}."));
    }
    goes
}

/// Notes on the row that stands where the two disagree about cut-out, loop or earthing, with both values. Where no date
/// tells which is right, that holds the site until it is settled.
fn disagree(table: &mut Table, columns: &[Column], (stands, goes): (usize, usize), dated: bool) {
    let (Some(kept), Some(left)) = (table.sites.get(stands), table.sites.get(goes)) else { return };
    let differ = |one: Option<bool>| one == Some(true);
    let (ours, theirs) = (&kept.supply, &left.supply);
    let found: Vec<&'static str> = [
        (
            "cutout_rating_a",
            differ(ours.cutout_rating_a.value().zip(theirs.cutout_rating_a.value()).map(|(one, two)| one != two)),
        ),
        (
            "looped_service",
            differ(ours.looped_service.value().zip(theirs.looped_service.value()).map(|(one, two)| one != two)),
        ),
        (
            "earthing_system",
            differ(ours.earthing_system.value().zip(theirs.earthing_system.value()).map(|(one, two)| one != two)),
        ),
    ]
    .into_iter()
    .filter_map(|(field, differs)| differs.then_some(field))
    .collect();
    let other = left.row;
    for field in found {
        let Some(at) = columns.iter().position(|column| column.field.is_some_and(|known| known.name == field)) else {
            continue;
        };
        let column = columns.get(at).map_or(0, |column| column.index);
        let text = |site: usize| table.row(site).and_then(|row| row.cells.get(at)).cloned().unwrap_or_default();
        let (raw, theirs) = (text(stands), text(goes));
        let which = if dated { "the later survey is used" } else { "no date tells which is right: to be settled" };
        let message = format!("Row {other}, for the same place, says {theirs}; {which}.");
        if let Some(site) = table.sites.get_mut(stands) {
            site.contradictions.push(Contradiction { rule: "surveys-differ", fields: [field, field], decides: !dated });
        }
        if let Some(row) = table.row_mut(stands) {
            let understood = raw.clone();
            row.notes.push(CellNote { row: row.row, column, field, raw, understood, message });
        }
    }
}

fn differences(stands: Option<&RowRead>, goes: Option<&RowRead>, columns: &[Column]) -> String {
    let (Some(stands), Some(goes)) = (stands, goes) else { return String::new() };
    let mut listed = Vec::new();
    let mut more = 0;
    for (column, (kept, left)) in columns.iter().zip(stands.cells.iter().zip(&goes.cells)) {
        let counts = column.field.is_some_and(|field| field.name != "survey_date");
        if !counts || kept == left || left.is_empty() {
            continue;
        }
        if listed.len() < DIFFERENCES_LISTED {
            let kept = if kept.is_empty() { "blank" } else { kept };
            let heading = column.heading.split_whitespace().collect::<Vec<_>>().join(" ");
            listed.push(format!("{heading} is {left} here, {kept} there"));
        } else {
            more += 1;
        }
    }
    match (listed.is_empty(), more) {
        (true, _) => String::new(),
        (false, 0) => format!(": {}", listed.join("; ")),
        (false, more) => format!(": {}; {more} more differences", listed.join("; ")),
    }
}

/// Gives every site a key of its own: one made from the row where there is none, a suffix where two places share one.
pub(super) fn give_keys(table: &mut Table, id_column: Option<u16>) {
    let stated: BTreeSet<String> =
        table.sites.iter().map(|site| site.site_id.clone()).filter(|id| !id.is_empty()).collect();
    let mut used: HashMap<String, u32> = HashMap::new();
    // The last suffix of each key that several places share, so that ten thousand of them take no million steps.
    let mut last: HashMap<String, u32> = HashMap::new();
    for (site, at) in table.sites.iter_mut().zip(&table.row_of) {
        if site.site_id.is_empty() {
            site.site_id_made = true;
            let mut made = format!("row-{:04}", site.row);
            while stated.contains(&made) {
                made.insert(0, '_');
            }
            site.site_id = made;
            continue;
        }
        let stated_id = site.site_id.clone();
        let Some(first_row) = used.get(&stated_id).copied() else {
            used.insert(stated_id, site.row);
            continue;
        };
        let number = last.entry(stated_id.clone()).or_insert(1);
        let mut suffixed = String::new();
        while suffixed.is_empty() || stated.contains(&suffixed) || used.contains_key(&suffixed) {
            *number = number.saturating_add(1);
            suffixed = format!("{stated_id}-{number}");
        }
        used.insert(suffixed.clone(), site.row);
        site.site_id.clone_from(&suffixed);
        let message =
            format!("Row {first_row} has the same site_id and another address; this one is called {suffixed}.");
        let (row, column) = (site.row, id_column.unwrap_or_default());
        if let Some(read) = table.rows.get_mut(*at) {
            read.notes.push(CellNote { row, column, field: "site_id", raw: stated_id, understood: suffixed, message });
        }
    }
}
