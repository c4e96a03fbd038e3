//! What a spreadsheet says of persons, left out of it before anything is made from it. A column is kept only where it
//! can say nothing of a person: a survey column without a name in it, or a column of the user's own whose heading and
//! cells are made of words of the trade and short figures. Verdicts stay what they are: what was understood is kept,
//! what was written is not.

mod columns;
mod marks;
mod sentences;
#[cfg(test)]
mod tests;
mod word_list;

use super::aside::Cause;
use super::raw::column_letters;
use super::types::{Intake, RowAsRead};
use crate::site::{Answer, Cited, Reading, Site, distributor_of_mpan, mpan_check_digit_ok};
use columns::{Keep, keep_of_field, own_column_kind};
use marks::{LEFT_OUT, heading_without_marks};
use sentences::Secrets;
use std::collections::BTreeMap;
use word_list::all_known;

/// What stands for a name or a text that was stated and is not shared.
const NOT_SHARED: &str = "(left out for sharing)";

/// Something that is left out.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct LeftOut {
    /// The sheet, by its place in [`Intake::sheets`].
    pub sheet: u16,
    /// Column, counted from 0.
    pub column: u16,
    /// Its heading as written, but for what gives a person away.
    pub heading: String,
    /// What it says of a person: name, telephone, mail, access, birth, health, money, notes, supply number, or "text"
    /// for what may be anything.
    pub what: &'static str,
    /// Cells of a column that stays; 0 where the whole column is left out.
    pub cells: u32,
}

impl LeftOut {
    /// The letter of the column in its sheet.
    pub fn letter(&self) -> String {
        column_letters(self.column)
    }
}

/// How the columns of the user's own that are personal are told from the others, for those who want just these (what a
/// crew is told of a site): kind by place in [`Intake::columns`], `None` for what may be shared.
pub fn personal_columns(intake: &Intake) -> Vec<Option<&'static str>> {
    let mut kinds = Vec::with_capacity(intake.columns.len());
    for (sheet, _) in (0_u16..).zip(&intake.sheets) {
        let rows = || intake.rows.iter().filter(move |row| row.sheet == sheet);
        for (place, column) in intake.columns_of(sheet).iter().enumerate() {
            kinds.push(match column.field.map(keep_of_field) {
                Some(Keep::Nothing(what)) => Some(what),
                Some(_) => None,
                None => own_column_kind(&column.heading, rows().filter_map(|row| row.cells.get(place))),
            });
        }
    }
    kinds
}

/// Leaves out of what was read everything that may be of a person, and notes in [`Intake::left_out`] what that is. Supply
/// numbers stay in the surveys until [`share_supply_numbers`].
pub fn share(intake: &mut Intake) {
    let kinds = personal_columns(intake);
    let mut left: BTreeMap<(u16, u16), LeftOut> = BTreeMap::new();
    for (column, kind) in intake.columns.iter().zip(&kinds) {
        if let Some(what) = kind {
            left.insert(
                (column.sheet, column.index),
                LeftOut {
                    sheet: column.sheet,
                    column: column.index,
                    heading: heading_without_marks(&column.heading),
                    what,
                    cells: 0,
                },
            );
        }
    }
    let mut secrets = Secrets::default();
    intake.columns.iter().for_each(|column| secrets.may_quote(&column.heading));
    intake.sheets.iter().for_each(|sheet| secrets.may_quote(&sheet.name));
    for layer in &intake.layers {
        secrets.may_quote(&layer.source.sheet);
        layer.read.iter().for_each(|column| secrets.may_quote(&column.heading));
    }
    let mut rows = std::mem::take(&mut intake.rows);
    let mut first = 0;
    let aside: BTreeMap<(u16, u32), &Cause> =
        intake.set_aside.iter().map(|aside| ((aside.sheet, aside.row), &aside.cause)).collect();
    for (sheet, _) in (0_u16..).zip(&intake.sheets) {
        let columns = intake.columns_of(sheet);
        let kinds = kinds.get(first..first + columns.len()).unwrap_or_default();
        first += columns.len();
        for row in rows.iter_mut().filter(|row| row.sheet == sheet) {
            let stray = aside.get(&(row.sheet, row.row)).is_some_and(|cause| !sentences::is_a_place(cause));
            let mut kept = Vec::with_capacity(row.cells.len());
            for ((column, kind), cell) in columns.iter().zip(kinds).zip(std::mem::take(&mut row.cells)) {
                let shown = match (kind, column.field.map(keep_of_field)) {
                    (Some(_), _) => {
                        secrets.add(row.sheet, row.row, &cell);
                        continue;
                    }
                    (None, Some(_)) if stray && !all_known(&cell) => LEFT_OUT.to_owned(),
                    (None, Some(keep)) => keep.tidy(&cell),
                    (None, None) => cell.clone(),
                };
                if shown != cell {
                    secrets.add(row.sheet, row.row, &cell);
                    let one = left.entry((column.sheet, column.index)).or_insert_with(|| LeftOut {
                        sheet: column.sheet,
                        column: column.index,
                        heading: heading_without_marks(&column.heading),
                        what: "text",
                        cells: 0,
                    });
                    one.cells += 1;
                }
                kept.push(shown);
            }
            row.cells = kept;
        }
    }
    intake.rows = rows;
    let mut of_column = kinds.iter();
    sentences::share(intake, &secrets, &kinds);
    intake.columns.retain(|_| of_column.next().is_none_or(Option::is_none));
    for column in &mut intake.columns {
        let shown = heading_without_marks(&column.heading);
        if shown.contains(LEFT_OUT) {
            column.heading = shown;
        }
    }
    intake.sites.iter_mut().for_each(site_shared);
    for feeder in &mut intake.feeders {
        feeder.feeder_id = Keep::Key.tidy(&feeder.feeder_id);
        feeder.cell.text = LEFT_OUT.to_owned();
    }
    for sheet in &mut intake.sheets {
        sheet.above = Vec::new();
    }
    intake.waiting = Vec::new();
    intake.left_out = Some(left.into_values().collect());
}

/// A site with what may be of a person replaced; what was understood stays, so that the verdict does.
fn site_shared(site: &mut Site) {
    let identity = &mut site.identity;
    for text in [&mut identity.notes, &mut identity.override_by, &mut identity.override_why] {
        replace(text, |_| NOT_SHARED.to_owned());
    }
    for text in [&mut identity.address, &mut identity.lot] {
        replace(text, |text| Keep::Text.tidy(text));
    }
    for text in [&mut identity.uprn, &mut identity.postcode, &mut site.supply.feeder_id] {
        replace(text, |text| Keep::Key.tidy(text));
    }
    let parking = &mut site.parking;
    for text in [&mut parking.inlet_position, &mut parking.parking_orientation] {
        replace(text, |text| Keep::Known.tidy(text));
    }
    site.site_id = key_shared(&site.site_id, site.sheet, site.row);
    for elsewhere in &mut site.elsewhere {
        cited_shared(&mut elsewhere.cell, elsewhere.field);
    }
    for conflict in &mut site.conflicts {
        cited_shared(&mut conflict.stands, conflict.field);
        cited_shared(&mut conflict.other, conflict.field);
    }
    for (number, group) in (1..).zip(&mut site.fleet) {
        group.name = group_shared(&group.name, number);
        group.cell.text = LEFT_OUT.to_owned();
    }
}

/// A key of a site; one that gives a person away is made anew from its row.
fn key_shared(site_id: &str, sheet: u16, row: u32) -> String {
    if marks::is_marked(site_id) { super::several::made_key(sheet, row) + "-shared" } else { site_id.to_owned() }
}

/// A name of a vehicle group, where it is made of words of the trade; else its number.
fn group_shared(name: &str, number: usize) -> String {
    if all_known(name) { name.to_owned() } else { format!("group {number}") }
}

fn cited_shared(cell: &mut Cited, field: &str) {
    cell.text = columns::keep_of(field).tidy(&cell.text);
}

/// The text of a reading changed, whatever its doubt.
fn replace(reading: &mut Reading<String>, with: impl Fn(&str) -> String) {
    match &mut reading.answer {
        Answer::Stated(text) => *text = with(text),
        Answer::Doubtful { low, likely, high } => [low, likely, high].into_iter().for_each(|text| *text = with(text)),
        Answer::NotAsked | Answer::Unknown(_) => {}
    }
}

/// Takes the supply numbers out of the surveys, once the sites are judged by them: they tell the operator and whether they
/// are right. Nobody is told that they are not known, so that nobody takes a number for one that is. Whose network it is
/// stays: the first two digits name the operator and nobody else.
pub fn share_supply_numbers(sites: &mut [Site]) {
    for site in sites {
        let number = site.supply.mpan.stated().filter(|number| mpan_check_digit_ok(number));
        if let (Some(distributor), false) =
            (number.and_then(|number| distributor_of_mpan(number)), site.supply.distributor.is_stated())
        {
            site.supply.distributor = Reading::of(distributor.to_string());
        }
        site.supply.mpan = Reading::default();
    }
}

/// The cells of a row that are personal, each with its heading: for a crew, never for sharing.
pub fn personal_cells<'a>(
    intake: &'a Intake,
    kinds: &[Option<&'static str>],
    row: &'a RowAsRead,
) -> Vec<(&'static str, &'a str, &'a str)> {
    let first = intake.columns.partition_point(|column| column.sheet < row.sheet);
    let columns = intake.columns_of(row.sheet).iter().zip(kinds.iter().skip(first));
    let cells = columns.zip(&row.cells);
    cells
        .filter_map(|((column, kind), cell)| Some(((*kind)?, column.heading.trim(), cell.trim())))
        .filter(|(_, _, cell)| !cell.is_empty())
        .collect()
}
