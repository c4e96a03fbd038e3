//! What a cell means where only its whole column can tell: an x among ticks, yeses or noes, a demand and a length that
//! nobody gave a unit. It reads no cell that stands by itself, and adds nothing that is not written.

use super::figures::{CENTIMETRES_ABOVE, MILLIMETRES_ABOVE};
use super::gather::Table;
use super::raw::words_of;
use super::rows::Plan;
use super::slots::Slot;
use super::types::CellNote;
use super::units::unit_named;
use super::values::ColumnPlan;
use super::words::Word;
use crate::quantity::{kva_to_amps, round_to};
use crate::site::{Answer, FieldKind, Reading, Site, WhyUnknown};

/// A demand of a home without a unit from here on is amperes (survey practice: 20 to 110 A).
const AMPERES_FROM: f64 = 20.0;
/// A demand of a home without a unit up to here may be kilovolt-amperes (survey practice: 5 to 23 kVA).
const KVA_UP_TO: f64 = 23.0;

/// Settles every such cell of the table.
pub(super) fn settle(table: &mut Table, plan: &Plan) {
    super::whole_times::settle(table, plan);
    for column in plan.columns() {
        let Some(place) = plan.place(column.index) else { continue };
        match column.slot {
            Slot::YesNo(reading) if column.field.kind == FieldKind::YesNo && !plan.has_legend(column.index) => {
                crosses(table, column, place, reading)
            }
            Slot::Number(_) if column.field.name == "existing_demand_a" && column.unit.is_none() => {
                let names_unit = |word| unit_named(word, &["current", "apparent", "power"]).is_some();
                if !plan.heading(column.index).split(' ').any(names_unit) {
                    demands(table, column, place);
                }
            }
            Slot::Number(reading) if column.field.unit == "m" && column.unit.is_none_or(|unit| unit.factor == 1.0) => {
                lengths(table, column, place, reading);
            }
            _ => {}
        }
    }
}

/// The cell of a site's row at a place.
pub(super) fn cell(table: &Table, at: usize, place: usize) -> &str {
    table.row(at).and_then(|row| row.cells.get(place)).map_or("", String::as_str)
}

fn is_cross(text: &str) -> bool {
    matches!(text.trim(), "x" | "X" | "\u{d7}")
}

/// Gives every x of a yes/no column the sense that the rest of the column leaves it.
fn crosses(table: &mut Table, column: &ColumnPlan, place: usize, reading: fn(&mut Site) -> &mut Reading<bool>) {
    let crosses: Vec<usize> = (0..table.sites.len()).filter(|at| is_cross(cell(table, *at, place))).collect();
    if crosses.is_empty() {
        return;
    }
    let (mut ticks, mut yes, mut no, mut blank) = (0_usize, 0_usize, 0_usize, 0_usize);
    for at in 0..table.sites.len() {
        let text = cell(table, at, place);
        if text.is_empty() {
            blank += 1;
            continue;
        }
        if is_cross(text) {
            continue;
        }
        if text.contains(['\u{2713}', '\u{2714}', '\u{2611}', '\u{2705}']) || words_of(text).starts_with("tick") {
            ticks += 1;
        } else if let Word::Plain { word, .. } = column.lexicon.read(text) {
            if word == "yes" { yes += 1 } else { no += 1 }
        }
    }
    // A cross beside ticks is plain; everything else is the likelier reading of two, and stays in doubt.
    let (answer, understood, why) = if ticks > 0 {
        (Answer::Stated(false), "no", format!("an x beside {ticks} ticks in this column is a cross"))
    } else {
        let (likely, why) = match (yes, no) {
            // Nothing but x in every row: it may be all ticks or all crosses, and stays not understood.
            (0, 0) if blank == 0 => return,
            (0, 0) => {
                (true, format!("nothing else is written in this column, and {blank} cells are blank: it marks a yes"))
            }
            // As many of the one as of the other tell nothing.
            (yes, no) if yes == no => return,
            (_, 0) => (false, format!("yes is written {yes} times in this column and no never: the x is the other")),
            (0, _) => (true, format!("no is written {no} times in this column and yes never: the x is the other")),
            (yes, no) => (yes > no, format!("yes is written {yes} times and no {no} times in this column")),
        };
        let understood = if likely { "yes, with a doubt" } else { "no, with a doubt" };
        (Answer::Doubtful { low: false, likely, high: true }, understood, why)
    };
    let message = format!("An x may be a tick or a cross; {why}.");
    for at in crosses {
        if let Some(site) = table.sites.get_mut(at) {
            *reading(site) = Reading { answer: answer.clone(), column: Some(column.index) };
        }
        say(table, (at, place), column, understood, &message);
    }
}

/// Settles demands of homes without a unit, in a column whose figures do not show that they are amperes.
fn demands(table: &mut Table, column: &ColumnPlan, place: usize) {
    let bare = |at: &usize| -> Option<(usize, f64)> {
        let site = table.sites.get(*at).filter(|site| site.is_home())?;
        site.load.existing_demand_a.stated()?;
        // A unit in the cell was met when it was read; only digits alone are in question.
        let value: f64 = cell(table, *at, place).trim().parse().ok()?;
        Some((*at, value))
    };
    let bare: Vec<(usize, f64)> = (0..table.sites.len()).filter_map(|at| bare(&at)).collect();
    let amperes = bare.iter().filter(|(_, value)| *value > KVA_UP_TO).count();
    if bare.is_empty() || amperes * 2 > bare.len() {
        return;
    }
    for (at, value) in bare.into_iter().filter(|(_, value)| *value <= KVA_UP_TO) {
        let Some(site) = table.sites.get_mut(at) else { continue };
        let phases = if site.supply.supply_phases.value().is_some_and(|phases| phases >= 2.0) { 3 } else { 1 };
        let as_kva = round_to(kva_to_amps(value, phases), 1);
        if value >= AMPERES_FROM {
            site.load.existing_demand_a.answer = Answer::Unknown(WhyUnknown::NotUnderstood);
            let message =
                "A figure of 20 to 23 without a unit may be amperes or kVA, and the column does not tell: ask.";
            say(table, (at, place), column, "not known", message);
        } else {
            let (low, high) = (value.min(as_kva), value.max(as_kva));
            site.load.existing_demand_a.answer = Answer::Doubtful { low, likely: high, high };
            let understood = format!("{high} A, {low} to {high}");
            let message = format!("A figure below 20 without a unit is more likely kVA ({as_kva} A) than amperes.");
            say(table, (at, place), column, &understood, &message);
        }
    }
}

/// Leaves no bare length standing as metres or centimetres whose column is mostly bare millimetres (survey practice:
/// hundreds are centimetres where the neighbours are a few metres).
fn lengths(table: &mut Table, column: &ColumnPlan, place: usize, reading: fn(&mut Site) -> &mut Reading<f64>) {
    let bare: Vec<Option<f64>> = (0..table.sites.len()).map(|at| cell(table, at, place).trim().parse().ok()).collect();
    if bare.iter().flatten().all(|value| *value <= CENTIMETRES_ABOVE) {
        return;
    }
    let (mut metres, mut millimetres) = (0_usize, 0_usize);
    for (site, bare) in table.sites.iter_mut().zip(&bare) {
        let Some(read) = reading(site).value() else { continue };
        metres += usize::from(bare.unwrap_or(read) <= CENTIMETRES_ABOVE);
        millimetres += usize::from(bare.is_some_and(|value| value > MILLIMETRES_ABOVE));
    }
    if millimetres <= metres {
        return;
    }
    for (at, value) in bare.iter().enumerate().filter_map(|(at, value)| Some((at, (*value)?))) {
        let Some(site) = table.sites.get_mut(at) else { continue };
        if reading(site).value().is_none() || value > MILLIMETRES_ABOVE {
            continue;
        }
        reading(site).answer = Answer::Unknown(WhyUnknown::NotUnderstood);
        let message = "Metres, centimetres or millimetres: neither the cell nor its column tells; write the unit.";
        say(table, (at, place), column, "not known", message);
    }
}

/// Replaces the note on a site's cell.
pub(super) fn say(
    table: &mut Table,
    (site, place): (usize, usize),
    column: &ColumnPlan,
    understood: &str,
    message: &str,
) {
    let Some(row) = table.row_mut(site) else { return };
    let field = column.field.name;
    let raw = row.cells.get(place).cloned().unwrap_or_default();
    row.notes.retain(|note| !(note.column == column.index && note.field == field));
    let note = CellNote {
        row: row.row,
        column: column.index,
        field,
        raw,
        understood: understood.to_owned(),
        message: message.to_owned(),
        ..CellNote::default()
    };
    let at = row.notes.partition_point(|known| known.column <= column.index);
    row.notes.insert(at, note);
}

#[cfg(test)]
#[path = "whole_columns_tests.rs"]
mod tests;
