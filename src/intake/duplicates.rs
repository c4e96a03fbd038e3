//! Rows that are one place, and keys that several places share. Of two rows for one place the later survey stands,
//! else the later row; the other is set aside and names it. It adds no fact to any site.

use super::aside::{Cause, Difference, Newer, SamePlace};
use super::gather::Table;
use super::rows::RowRead;
use super::several::{Sheets, made_key};
use super::twins::Standing;
use super::types::CellNote;
use crate::site::Contradiction;
use std::collections::{BTreeSet, HashMap};

/// Sets the earlier of two rows for one place aside.
pub(super) fn set_duplicates_aside(table: &mut Table, sheets: Sheets<'_>) {
    let mut standing = Standing::of(&table.sites);
    for at in 0..table.sites.len() {
        if let Some((other, by)) = standing.twin_of(at) {
            // A row that is set aside stands for nothing any more.
            if settle(table, sheets, other, at, by) == at {
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
fn settle(table: &mut Table, sheets: Sheets<'_>, earlier: usize, later: usize, by: &'static str) -> usize {
    let date = |at: usize| table.sites.get(at)?.identity.survey_date.likely().copied();
    let (earlier_date, later_date) = (date(earlier), date(later));
    let earlier_stands = matches!((earlier_date, later_date), (Some(one), Some(two)) if one > two)
        || (earlier_date.is_some() && later_date.is_none());
    let (stands, goes) = if earlier_stands { (earlier, later) } else { (later, earlier) };
    let because = match (date(stands), date(goes)) {
        (Some(kept), Some(left)) if kept > left => Newer::Surveyed(kept),
        (Some(kept), None) => Newer::Dated(kept),
        _ => Newer::Below,
    };
    let dated = match (date(stands), date(goes)) {
        (Some(kept), Some(left)) => kept != left,
        (kept, left) => kept.is_some() != left.is_some(),
    };
    disagree(table, sheets, (stands, goes), dated);
    let differences = differences(table.row(stands), table.row(goes), sheets);
    let (standing, on) = table.row(stands).map_or((0, 0), |row| (row.row, row.sheet));
    if let Some(row) = table.row_mut(goes) {
        let on = sheets.other(row.sheet, on).map(str::to_owned);
        row.why = Some(Cause::SamePlace(Box::new(SamePlace { by, stands: standing, on, because, differences })));
    }
    goes
}

/// Notes on the row that stands where the two disagree about cut-out, loop or earthing, with both values. Where no date
/// tells which is right, that holds the site until it is settled.
fn disagree(table: &mut Table, sheets: Sheets<'_>, (stands, goes): (usize, usize), dated: bool) {
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
    let (sheet, other) = (kept.sheet, format!("{}{}", left.row, sheets.beside(kept.sheet, left.sheet)));
    for field in found {
        let Some(column) = sheets.column_of(sheet, field) else { continue };
        let text = |site: usize| {
            let row = table.row(site)?;
            row.cells.get(sheets.place_of(row.sheet, field)?).cloned()
        };
        let (raw, theirs) = (text(stands).unwrap_or_default(), text(goes).unwrap_or_default());
        let which = if dated { "the later survey is used" } else { "no date tells which is right: to be settled" };
        let message = format!("Row {other}, for the same place, says {theirs}; {which}.");
        if let Some(site) = table.sites.get_mut(stands) {
            site.contradictions.push(Contradiction { rule: "surveys-differ", fields: [field, field], decides: !dated });
        }
        if let Some(row) = table.row_mut(stands) {
            let understood = raw.clone();
            row.notes.push(CellNote {
                row: row.row,
                column,
                field,
                raw,
                understood,
                message,
                contradiction: Some("surveys-differ"),
                ..CellNote::default()
            });
        }
    }
}

/// What the row set aside says otherwise than the one that stands, in the order of its columns.
fn differences(stands: Option<&RowRead>, goes: Option<&RowRead>, sheets: Sheets<'_>) -> Vec<Difference> {
    let (Some(stands), Some(goes)) = (stands, goes) else { return Vec::new() };
    let differing =
        sheets.columns(goes.sheet).iter().zip(&goes.cells).enumerate().filter_map(|(at, (column, left))| {
            let field = column.field.filter(|field| field.name != "survey_date")?;
            let place = if stands.sheet == goes.sheet { Some(at) } else { sheets.place_of(stands.sheet, field.name) };
            let kept = place.and_then(|place| stands.cells.get(place));
            (kept != Some(left) && !left.is_empty()).then(|| Difference {
                heading: column.heading.split_whitespace().collect::<Vec<_>>().join(" "),
                here: left.clone(),
                there: kept.cloned(),
            })
        });
    differing.collect()
}

/// Gives every site a key of its own: one made from the row where there is none, a suffix where two places share one.
pub(super) fn give_keys(table: &mut Table, sheets: Sheets<'_>) {
    let stated: BTreeSet<String> =
        table.sites.iter().map(|site| site.site_id.clone()).filter(|id| !id.is_empty()).collect();
    let mut used: HashMap<String, (u16, u32)> = HashMap::new();
    // The last suffix of each key that several places share, so that ten thousand of them take no million steps.
    let mut last: HashMap<String, u32> = HashMap::new();
    for (site, at) in table.sites.iter_mut().zip(&table.row_of) {
        if site.site_id.is_empty() {
            site.site_id_made = true;
            let mut made = made_key(site.sheet, site.row);
            while stated.contains(&made) {
                made.insert(0, '_');
            }
            site.site_id = made;
            continue;
        }
        let stated_id = site.site_id.clone();
        let Some((first_sheet, first_row)) = used.get(&stated_id).copied() else {
            used.insert(stated_id, (site.sheet, site.row));
            continue;
        };
        let number = last.entry(stated_id.clone()).or_insert(1);
        let mut suffixed = String::new();
        while suffixed.is_empty() || stated.contains(&suffixed) || used.contains_key(&suffixed) {
            *number = number.saturating_add(1);
            suffixed = format!("{stated_id}-{number}");
        }
        used.insert(suffixed.clone(), (site.sheet, site.row));
        site.site_id.clone_from(&suffixed);
        let beside = sheets.beside(site.sheet, first_sheet);
        let message =
            format!("Row {first_row}{beside} has the same site_id and another address; this one is called {suffixed}.");
        let (row, column) = (site.row, sheets.column_of(site.sheet, "site_id").unwrap_or_default());
        if let Some(read) = table.rows.get_mut(*at) {
            read.notes.push(CellNote {
                row,
                column,
                field: "site_id",
                raw: stated_id,
                understood: suffixed,
                message,
                ..CellNote::default()
            });
        }
    }
}
