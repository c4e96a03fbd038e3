//! The words of help in the survey workbook: the note on a heading, the words to choose from, the sheet of help.

use super::LEAST;
use crate::site::{Field, FieldKind, fields};
use rust_xlsxwriter::{Format, FormatAlign, FormatBorder, Worksheet, XlsxError};

/// Columns that may stand in place of one of the least.
const IN_PLACE_OF: &[(&str, &str)] = &[
    ("site_id", "address"),
    ("uprn", "address"),
    ("agreed_capacity_kva", "cutout_rating_a"),
    ("existing_demand_kw", "existing_demand_a"),
    ("recorded_peak_kva", "existing_demand_a"),
];

/// The note on a heading.
pub(super) fn note(field: &Field, needed: bool) -> String {
    let mut text = format!("{}.", field.meaning);
    if needed {
        text.push_str(" Needed, and underlined thickly.");
    }
    if !field.unit.is_empty() && field.unit != "year" {
        text.push_str(&format!(" In {}.", field.unit));
    }
    if let (Some(min), Some(max)) = (field.min, field.max) {
        text.push_str(&format!(" From {min} to {max}."));
    }
    if let Some(list) = choices(field) {
        text.push_str(&format!(" One of: {}.", list.join(", ")));
    }
    text
}

/// The words of a drop-down list.
pub(super) fn choices(field: &Field) -> Option<Vec<&'static str>> {
    match field.kind {
        FieldKind::YesNo => Some(vec!["yes", "no", "unknown"]),
        FieldKind::Word => Some(field.words.clone()),
        _ => None,
    }
}

/// Writes the sheet of help.
pub(super) fn write_help(sheet: &mut Worksheet) -> Result<(), XlsxError> {
    let bold = Format::new().set_bold().set_border_bottom(FormatBorder::Thin);
    let wrap = Format::new().set_text_wrap().set_align(FormatAlign::Top);
    let headings = ["Column", "Group", "Meaning", "Unit", "Words", "From", "To", "Needed"];
    const HOW: [&str; 6] = [
        "Fill in the sheet Homes or the sheet Shared car parks: a row a home, or a row a car park served from one supply.",
        "Thickly underlined columns are needed; every other one sharpens the answer. Leave blank what you do not know, or \
         say why: unknown, see photo, no access.",
        "Delete the columns that you will not survey: a blank in a column counts as asked and not known, a column that \
         is not there as not asked, which is taken at its likeliest.",
        "The grey row with the key EXAMPLE shows how. It is never read as a site and may stay.",
        "Each sheet is assessed by itself. With both filled in, say which: --sheet Homes, or --sheet \"Shared car parks\".",
        "Point at a heading for help. All columns are listed below.",
    ];
    for (row, said) in (0..).zip(HOW) {
        sheet.write_string(row, 0, said)?;
    }
    let head = HOW.len() as u32 + 1;
    for ((at, heading), width) in headings.iter().enumerate().zip([25.0, 12.0, 76.0, 10.0, 62.0, 8.0, 8.0, 38.0]) {
        sheet.write_with_format(head, at as u16, *heading, &bold)?;
        sheet.set_column_width(at as u16, width)?;
    }
    for (at, field) in fields().iter().enumerate() {
        let row = head + at as u32 + 1;
        sheet.write_with_format(row, 0, field.name, &wrap)?;
        sheet.write_with_format(row, 1, field.group, &wrap)?;
        sheet.write_with_format(row, 2, field.meaning, &wrap)?;
        sheet.write_with_format(row, 3, field.unit, &wrap)?;
        sheet.write_with_format(row, 4, choices(field).map(|list| list.join(", ")).unwrap_or_default(), &wrap)?;
        if let Some(min) = field.min {
            sheet.write_with_format(row, 5, min, &wrap)?;
        }
        if let Some(max) = field.max {
            sheet.write_with_format(row, 6, max, &wrap)?;
        }
        sheet.write_with_format(row, 7, needed(field), &wrap)?;
    }
    sheet.set_freeze_panes(head + 1, 1)?;
    sheet.set_landscape().set_print_fit_to_pages(1, 0);
    Ok(())
}

fn needed(field: &Field) -> String {
    if LEAST.contains(&field.name) {
        return "needed".to_owned();
    }
    IN_PLACE_OF
        .iter()
        .find(|(name, _)| *name == field.name)
        .map_or_else(|| "sharpens the answer".to_owned(), |(_, other)| format!("may stand in place of {other}"))
}
