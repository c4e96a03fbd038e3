//! How far a rating can be out that nobody saw who wrote it: a device told by telephone or inferred at a desk keeps its
//! figure and gets the range of its evidence (`doubt.csv`). It knows no limit and no verdict.
//!
//! Left alone: existing demand, whose bands go by its method; the cut-out, which is settled by what it was read from;
//! an agreed capacity, which is a contract's figure; and what was read on a visit, where a device's number is right or
//! a step out and no percentage says it.

use super::raw::{RawCell, RawRow};
use super::types::CellNote;
use super::units::{Doubt, shares};
use crate::site::{Answer, Reading, Site, SurveyMethod};

/// Gives the ratings that rest on hearsay their range.
pub(super) fn widen(raw: &RawRow, site: &mut Site, notes: &mut Vec<CellNote>) {
    let (doubt, said) = match site.identity.survey_method.stated() {
        Some(SurveyMethod::Phone) => (Doubt::ToldByPhone, "Told by telephone"),
        Some(SurveyMethod::Desk) => (Doubt::FromDesk, "Inferred at a desk"),
        _ => return,
    };
    let (low, high) = shares(doubt);
    let ratings: [(&'static str, &mut Reading<f64>); 2] = [
        ("board_main_switch_a", &mut site.board.board_main_switch_a),
        ("submain_device_a", &mut site.board.submain_device_a),
    ];
    for (field, reading) in ratings {
        let Answer::Stated(likely) = reading.answer else { continue };
        let (low, high) = (likely * low, likely * high);
        reading.answer = Answer::Doubtful { low, likely, high };
        let Some(column) = reading.column else { continue };
        notes.push(CellNote {
            row: raw.row,
            column,
            field,
            raw: raw.cell(column).map(RawCell::shown).unwrap_or_default(),
            understood: format!("{likely} A, {low} to {high}"),
            message: format!("{said}, not seen: judged over the range of such evidence."),
            ..CellNote::default()
        });
    }
}
