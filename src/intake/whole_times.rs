//! Times that only their whole columns can tell: a 6.30 is in the morning or the evening, and only a clock of twenty-four
//! hours among its neighbours says that it is in the morning.

use super::gather::Table;
use super::raw::RawCell;
use super::rows::Plan;
use super::slots::Slot;
use super::times::{Half, clock};
use super::values::ColumnPlan;
use super::whole_columns::{cell, say};
use crate::site::{Answer, FieldKind, WhyUnknown};

/// Leaves no time standing whose half of the day is open, unless the times of the sheet show a clock of twenty-four hours.
pub(super) fn settle(table: &mut Table, plan: &Plan) {
    let columns: Vec<(&ColumnPlan, usize)> = plan
        .columns()
        .iter()
        .filter(|column| column.field.kind == FieldKind::Time)
        .filter_map(|column| Some((column, plan.place(column.index)?)))
        .collect();
    let half = |table: &Table, at: usize, place: usize| {
        let text = cell(table, at, place);
        (!text.is_empty()).then(|| clock(&RawCell::Text(text.to_owned()))).flatten().map(|clock| clock.half)
    };
    let sites = 0..table.sites.len();
    let twenty_four =
        sites.clone().any(|at| columns.iter().any(|(_, place)| half(table, at, *place) == Some(Half::TwentyFour)));
    if twenty_four {
        return;
    }
    // 11:30 among times of two digits is what the survey asks for; beside a 6.30 it may be in the evening.
    let open = sites.clone().any(|at| columns.iter().any(|(_, place)| half(table, at, *place) == Some(Half::Open)));
    if !open {
        return;
    }
    for (column, place) in columns {
        let Slot::Number(reading) = column.slot else { continue };
        for at in sites.clone() {
            if !matches!(half(table, at, place), Some(Half::Open | Half::Shaped)) {
                continue;
            }
            if let Some(site) = table.sites.get_mut(at) {
                reading(site).answer = Answer::Unknown(WhyUnknown::NotUnderstood);
            }
            let message = "Morning or evening: neither the cell nor its column tells; write 18:30 or 6.30 pm.";
            say(table, (at, place), column, "not known", message);
        }
    }
}
