//! Rows that are one place, and keys that several places share. Of two rows for one place the later survey stands,
//! else the later row; the other is set aside and names it. It adds no fact to any site.

use super::raw::words_of;
use super::rows::RowRead;
use super::types::{CellNote, Column};
use crate::site::Site;
use std::collections::{BTreeSet, HashMap};

/// Differences that are listed in the sentence of a row set aside.
const DIFFERENCES_LISTED: usize = 3;

/// What marks a place.
struct Mark {
    words: Vec<String>,
    numbers: Vec<String>,
    key: String,
}

impl Mark {
    fn of(site: &Site) -> Self {
        let mut text = site.identity.address.likely().cloned().unwrap_or_default();
        if let Some(postcode) = site.identity.postcode.likely() {
            if !text.to_ascii_uppercase().contains(postcode.as_str()) {
                text.push(' ');
                text.push_str(postcode);
            }
        }
        let key = words_of(&text);
        let words: Vec<String> = key.split(' ').filter(|word| !word.is_empty()).map(str::to_owned).collect();
        let numbers = words.iter().filter(|word| word.bytes().any(|byte| byte.is_ascii_digit())).cloned().collect();
        Self { words, numbers, key }
    }

    /// The same numbers, and the words of one among those of the other; an address left blank fits any.
    fn fits(&self, other: &Mark) -> bool {
        if self.key == other.key || self.key.is_empty() || other.key.is_empty() {
            return true;
        }
        let (short, long) = if self.words.len() <= other.words.len() { (self, other) } else { (other, self) };
        self.numbers == other.numbers && short.words.iter().all(|word| long.words.contains(word))
    }
}

/// Sets the earlier of two rows for one place aside.
pub(super) fn set_duplicates_aside(rows: &mut [RowRead], columns: &[Column]) {
    // Each table leads from a mark to the row that stands for it so far.
    let mut by_uprn: HashMap<String, Vec<usize>> = HashMap::new();
    let mut by_id: HashMap<String, Vec<usize>> = HashMap::new();
    let mut by_place: HashMap<String, Vec<usize>> = HashMap::new();
    for at in 0..rows.len() {
        let Some(site) = rows.get(at).and_then(|row| row.outcome.as_ref().ok()) else { continue };
        let mark = Mark::of(site);
        let uprn = site.identity.uprn.likely().cloned();
        let id = (!site.site_id.is_empty()).then(|| site.site_id.clone());
        let place = (!mark.key.is_empty()).then(|| mark.key.clone());
        let mut candidates: BTreeSet<usize> = BTreeSet::new();
        candidates.extend(uprn.as_ref().and_then(|key| by_uprn.get(key)).into_iter().flatten());
        candidates.extend(id.as_ref().and_then(|key| by_id.get(key)).into_iter().flatten());
        candidates.extend(place.as_ref().and_then(|key| by_place.get(key)).into_iter().flatten());
        let twin = candidates.into_iter().find_map(|other| {
            let known = rows.get(other)?.outcome.as_ref().ok()?;
            same_place(site, &mark, known).map(|by| (other, by))
        });
        if let Some((other, by)) = twin {
            settle(rows, columns, other, at, by);
        }
        for (table, key) in [(&mut by_uprn, uprn), (&mut by_id, id), (&mut by_place, place)] {
            if let Some(key) = key {
                table.entry(key).or_default().push(at);
            }
        }
    }
}

/// By which mark two sites are one place, if they are.
fn same_place(site: &Site, mark: &Mark, other: &Site) -> Option<&'static str> {
    let other_mark = Mark::of(other);
    let compare = |one: Option<&String>, two: Option<&String>| match (one, two) {
        (Some(one), Some(two)) => Some(one == two),
        _ => None,
    };
    let id = |site: &Site| (!site.site_id.is_empty()).then(|| site.site_id.clone());
    let by_mpan = compare(site.supply.mpan.likely(), other.supply.mpan.likely());
    let by_uprn = compare(site.identity.uprn.likely(), other.identity.uprn.likely());
    let by_id = compare(id(site).as_ref(), id(other).as_ref());
    // Two supply numbers are two supplies, whatever the address.
    if by_mpan == Some(false) || !mark.fits(&other_mark) {
        return None;
    }
    let same_address = mark.key == other_mark.key && !mark.key.is_empty();
    match (by_uprn, by_id, by_mpan) {
        (Some(true), _, _) => Some("UPRN"),
        (_, Some(true), _) => Some("site_id"),
        (_, _, Some(true)) if same_address => Some("supply number and address"),
        (Some(false), _, _) | (_, Some(false), _) => None,
        _ => same_address.then_some("address"),
    }
}

/// Leaves the later survey, else the later row, and sets the other aside.
fn settle(rows: &mut [RowRead], columns: &[Column], earlier: usize, later: usize, by: &str) {
    let date = |at: usize| rows.get(at)?.outcome.as_ref().ok()?.identity.survey_date.likely().copied();
    let (earlier_date, later_date) = (date(earlier), date(later));
    let earlier_stands = matches!((earlier_date, later_date), (Some(one), Some(two)) if one > two)
        || (earlier_date.is_some() && later_date.is_none());
    let (stands, goes) = if earlier_stands { (earlier, later) } else { (later, earlier) };
    let standing = rows.get(stands).map_or(0, |row| row.row);
    let reason = match (date(stands), date(goes)) {
        (Some(kept), Some(left)) if kept > left => format!("which was surveyed later ({kept})"),
        (Some(kept), None) => format!("which has a survey date ({kept})"),
        _ => "which stands later in the sheet".to_owned(),
    };
    let differences = differences(rows.get(stands), rows.get(goes), columns);
    if let Some(row) = rows.get_mut(goes) {
        row.outcome = Err(format!("The same {by} as row {standing}, {reason}{differences}."));
    }
}

fn differences(stands: Option<&RowRead>, goes: Option<&RowRead>, columns: &[Column]) -> String {
    let (Some(stands), Some(goes)) = (stands, goes) else { return String::new() };
    let cell = |row: &RowRead, column: u16| {
        row.cells
            .binary_search_by_key(&column, |(at, _)| *at)
            .ok()
            .and_then(|at| row.cells.get(at))
            .map(|(_, text)| text.clone())
    };
    let mut listed = Vec::new();
    let mut more = 0;
    for column in columns.iter().filter(|column| column.field.is_some_and(|field| field.name != "survey_date")) {
        let (kept, left) = (cell(stands, column.index), cell(goes, column.index));
        if kept == left || left.is_none() {
            continue;
        }
        if listed.len() < DIFFERENCES_LISTED {
            let kept = kept.unwrap_or_else(|| "blank".to_owned());
            listed.push(format!("{} is {} here, {kept} there", column.heading.trim(), left.unwrap_or_default()));
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
pub(super) fn give_keys(rows: &mut [RowRead], id_column: Option<u16>) {
    let stated: BTreeSet<String> = rows
        .iter()
        .filter_map(|row| row.outcome.as_ref().ok())
        .map(|site| site.site_id.clone())
        .filter(|id| !id.is_empty())
        .collect();
    let mut used: HashMap<String, u32> = HashMap::new();
    for row in rows {
        let Ok(site) = row.outcome.as_mut() else { continue };
        if site.site_id.is_empty() {
            site.site_id_made = true;
            let mut made = format!("row-{:04}", row.row);
            while stated.contains(&made) {
                made.insert(0, '_');
            }
            site.site_id = made;
            continue;
        }
        let stated_id = site.site_id.clone();
        let Some(first_row) = used.get(&stated_id).copied() else {
            used.insert(stated_id, row.row);
            continue;
        };
        let mut number = 2_u32;
        let mut suffixed = format!("{stated_id}-{number}");
        while stated.contains(&suffixed) || used.contains_key(&suffixed) {
            number += 1;
            suffixed = format!("{stated_id}-{number}");
        }
        used.insert(suffixed.clone(), row.row);
        row.notes.push(CellNote {
            row: row.row,
            column: id_column.unwrap_or_default(),
            field: "site_id",
            raw: stated_id,
            understood: suffixed.clone(),
            message: format!(
                "Row {first_row} has the same site_id and another address; this one is called {suffixed}."
            ),
        });
        site.site_id = suffixed;
    }
}
