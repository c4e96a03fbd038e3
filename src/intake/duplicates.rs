//! Rows that are one place, and keys that several places share. Of two rows for one place the later survey stands,
//! else the later row; the other is set aside and names it. It adds no fact to any site.

use super::aside::{Cause, Difference, Newer, SamePlace};
use super::gather::Table;
use super::raw::words_of;
use super::rows::RowRead;
use super::several::{Sheets, made_key};
use super::types::CellNote;
use crate::site::{Contradiction, Site};
use std::collections::{BTreeSet, HashMap};

/// The address as it is compared: its words, with the postcode unless they end with it. Empty without an address.
fn place_of(site: &Site) -> String {
    let mut place = site.identity.address.likely().map(|address| words_of(address)).unwrap_or_default();
    if place.is_empty() {
        return place;
    }
    if let Some(postcode) = site.identity.postcode.likely() {
        let postcode = words_of(postcode);
        if !place.ends_with(&postcode) {
            place.push(' ');
            place.push_str(&postcode);
        }
    }
    place
}

/// Whether two addresses can be one place: the same numbers in them, and the words of one among those of the other.
/// An address left blank fits any.
fn can_be_one(one: &str, other: &str) -> bool {
    if one == other || one.is_empty() || other.is_empty() {
        return true;
    }
    let words = |text: &'_ str| text.split(' ').map(str::to_owned).collect::<Vec<String>>();
    let (one, other) = (words(one), words(other));
    let numbers = |words: &[String]| {
        words.iter().filter(|word| word.bytes().any(|byte| byte.is_ascii_digit())).cloned().collect::<Vec<_>>()
    };
    let (short, long) = if one.len() <= other.len() { (&one, &other) } else { (&other, &one) };
    numbers(&one) == numbers(&other) && short.iter().all(|word| long.contains(word))
}

/// Sets the earlier of two rows for one place aside.
pub(super) fn set_duplicates_aside(table: &mut Table, sheets: Sheets<'_>) {
    // Each leads from a mark to the sites that have it, in order.
    let mut by_uprn: HashMap<String, Vec<usize>> = HashMap::new();
    let mut by_id: HashMap<String, Vec<usize>> = HashMap::new();
    let mut by_place: HashMap<String, Vec<usize>> = HashMap::new();
    for at in 0..table.sites.len() {
        let Some(site) = table.sites.get(at) else { continue };
        let place = place_of(site);
        let uprn = site.identity.uprn.likely().cloned();
        let id = (!site.site_id.is_empty()).then(|| site.site_id.clone());
        let mut candidates: BTreeSet<usize> = BTreeSet::new();
        candidates.extend(uprn.as_ref().and_then(|key| by_uprn.get(key)).into_iter().flatten());
        candidates.extend(id.as_ref().and_then(|key| by_id.get(key)).into_iter().flatten());
        candidates.extend(by_place.get(&place).into_iter().flatten());
        let twin = candidates.into_iter().find_map(|other| {
            // A row that was set aside stands for nothing any more.
            table.row(other).filter(|row| row.why.is_none())?;
            same_place(site, &place, table.sites.get(other)?).map(|by| (other, by))
        });
        if let Some((other, by)) = twin {
            settle(table, sheets, other, at, by);
        }
        for (index, key) in
            [(&mut by_uprn, uprn), (&mut by_id, id), (&mut by_place, Some(place).filter(|place| !place.is_empty()))]
        {
            if let Some(key) = key {
                index.entry(key).or_default().push(at);
            }
        }
    }
    let Table { rows, sites, row_of } = table;
    let stays = |at: &usize| rows.get(*at).is_some_and(|row| row.why.is_none());
    let mut places = row_of.iter();
    sites.retain(|_| places.next().is_some_and(stays));
    row_of.retain(stays);
}

/// By which mark two sites are one place, if they are.
fn same_place(site: &Site, place: &str, other: &Site) -> Option<&'static str> {
    let other_place = place_of(other);
    let compare = |one: Option<&String>, two: Option<&String>| match (one, two) {
        (Some(one), Some(two)) => Some(one == two),
        _ => None,
    };
    let id = |site: &Site| (!site.site_id.is_empty()).then(|| site.site_id.clone());
    let by_mpan = compare(site.supply.mpan.likely(), other.supply.mpan.likely());
    let by_uprn = compare(site.identity.uprn.likely(), other.identity.uprn.likely());
    let by_id = compare(id(site).as_ref(), id(other).as_ref());
    // Two supply numbers are two supplies, whatever the address.
    if by_mpan == Some(false) || !can_be_one(place, &other_place) {
        return None;
    }
    let same_address = place == other_place && !place.is_empty();
    match (by_uprn, by_id, by_mpan) {
        (Some(true), _, _) => Some("UPRN"),
        (_, Some(true), _) => Some("site_id"),
        (_, _, Some(true)) if same_address => Some("supply number and address"),
        (Some(false), _, _) | (_, Some(false), _) => None,
        // A home and the car park beside it may share their address; each has a sheet and a supply of its own.
        _ if site.sheet != other.sheet && site.is_home() != other.is_home() => None,
        _ => same_address.then_some("address"),
    }
}

/// Leaves the later survey, else the later row, and sets the other aside.
fn settle(table: &mut Table, sheets: Sheets<'_>, earlier: usize, later: usize, by: &'static str) {
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
        let mut number = 2_u32;
        let mut suffixed = format!("{stated_id}-{number}");
        while stated.contains(&suffixed) || used.contains_key(&suffixed) {
            number += 1;
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
