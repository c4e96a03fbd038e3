//! The empty survey workbook: every column of the contract with its words to choose from, and a sheet of help.
//!
//! It is made from the table of fields and nothing else; the same program always makes the same bytes.

use super::types::IntakeError;
use crate::site::{Field, FieldKind, fields};
use rust_xlsxwriter::{
    Color, DataValidation, DataValidationErrorStyle, DataValidationRule, DocProperties, ExcelDateTime, Format,
    FormatAlign, FormatBorder, Note, Workbook, Worksheet, XlsxError,
};

/// Rows of the survey sheet that carry the drop-down lists.
const ROWS_WITH_LISTS: u32 = 2000;
/// Row of the column names, from 0: the group titles stand above it.
const HEADING_ROW: u32 = 1;
/// The columns that are the least to work from.
const LEAST: &[&str] = &["address", "cutout_rating_a", "existing_demand_a", "parking_distance_m"];
/// Columns that may stand in place of one of the least.
const IN_PLACE_OF: &[(&str, &str)] = &[
    ("site_id", "address"),
    ("uprn", "address"),
    ("agreed_capacity_kva", "cutout_rating_a"),
    ("existing_demand_kw", "existing_demand_a"),
    ("recorded_peak_kva", "existing_demand_a"),
];
const GROUP_TINTS: &[(&str, u32)] = &[
    ("identity", 0xE7E6E6),
    ("supply", 0xDCE6F1),
    ("load", 0xE2EFDA),
    ("board", 0xFFF2CC),
    ("parking", 0xEDEDED),
    ("permissions", 0xFCE4D6),
    ("wanted", 0xDDEBF7),
];

/// The template as the bytes of an .xlsx workbook.
///
/// # Errors
/// Only when the workbook cannot be put together, which the table of fields does not allow to happen (tested).
pub fn template_workbook() -> Result<Vec<u8>, IntakeError> {
    put_together().map_err(|error| IntakeError::Template { problem: error.to_string() })
}

fn put_together() -> Result<Vec<u8>, XlsxError> {
    let mut book = Workbook::new();
    // A fixed day: the bytes hang on nothing but the table of fields.
    let day = ExcelDateTime::from_ymd(2026, 1, 1)?;
    book.set_properties(&DocProperties::new().set_title("Survey for charge points").set_creation_datetime(&day));
    let survey = book.add_worksheet();
    survey.set_name("Survey")?;
    write_survey(survey)?;
    let help = book.add_worksheet();
    help.set_name("Help")?;
    write_help(help)?;
    book.save_to_buffer()
}

fn tint(group: &str) -> Color {
    GROUP_TINTS.iter().find(|(name, _)| *name == group).map_or(Color::White, |(_, tint)| Color::RGB(*tint))
}

fn write_survey(sheet: &mut Worksheet) -> Result<(), XlsxError> {
    let mut group_from = 0_u16;
    let all = fields();
    for (at, field) in all.iter().enumerate() {
        let column = at as u16; // the table holds about a hundred fields
        let heading = Format::new()
            .set_bold()
            .set_text_wrap()
            .set_align(FormatAlign::Top)
            .set_background_color(tint(field.group))
            .set_border_bottom(if LEAST.contains(&field.name) { FormatBorder::Thick } else { FormatBorder::Thin });
        sheet.write_with_format(HEADING_ROW, column, field.name, &heading)?;
        sheet.set_column_width(column, width(field))?;
        let note = Note::new(note(field)).add_author_prefix(false).set_width(280).set_height(120);
        sheet.insert_note(HEADING_ROW, column, &note)?;
        if matches!(field.kind, FieldKind::Identifier) {
            // As text, so that no zero is lost and no digit rounded.
            sheet.set_column_format(column, &Format::new().set_num_format("@"))?;
        }
        if field.kind == FieldKind::Date {
            sheet.set_column_format(column, &Format::new().set_num_format("dd/mm/yyyy"))?;
        }
        if let Some(list) = choices(field) {
            let validation = DataValidation::new()
                .allow_list_strings(&list)?
                .set_error_style(DataValidationErrorStyle::Warning)
                .set_error_title("Not one of the words")?
                .set_error_message("The reader understands many other words too; keep it if you mean it.")?;
            sheet.add_data_validation(HEADING_ROW + 1, column, ROWS_WITH_LISTS, column, &validation)?;
        } else if let (Some(min), Some(max), FieldKind::Number | FieldKind::Count) = (field.min, field.max, field.kind)
        {
            let validation = DataValidation::new()
                .allow_decimal_number(DataValidationRule::Between(min, max))
                .set_error_style(DataValidationErrorStyle::Information)
                .set_error_title("Outside what can be believed")?
                .set_error_message(
                    "A number in the unit of the heading is best; text such as \"see photo\" is read too.",
                )?;
            sheet.add_data_validation(HEADING_ROW + 1, column, ROWS_WITH_LISTS, column, &validation)?;
        }
        let last_of_group = all.get(at + 1).is_none_or(|next| next.group != field.group);
        if last_of_group {
            let title = Format::new().set_bold().set_background_color(tint(field.group));
            if column > group_from {
                sheet.merge_range(0, group_from, 0, column, field.group, &title)?;
            } else {
                sheet.write_with_format(0, column, field.group, &title)?;
            }
            group_from = column + 1;
        }
    }
    // The headings and the address stay in sight.
    let address = all.iter().position(|field| field.name == "address").map_or(0, |at| at as u16 + 1);
    sheet.set_freeze_panes(HEADING_ROW + 1, address)?;
    sheet.set_landscape().set_repeat_rows(0, HEADING_ROW)?;
    Ok(())
}

fn width(field: &Field) -> f64 {
    match field.name {
        "address" => 38.0,
        "notes" | "override_why" => 28.0,
        _ => (field.name.len() as f64 * 1.1 + 2.0).clamp(11.0, 28.0),
    }
}

fn note(field: &Field) -> String {
    let mut text = format!("{}.", field.meaning);
    if LEAST.contains(&field.name) {
        text.push_str(" Needed, and underlined thickly.");
    }
    if !field.unit.is_empty() && field.unit != "year" {
        text.push_str(&format!(" In {}.", field.unit));
    }
    if let Some(list) = choices(field) {
        text.push_str(&format!(" One of: {}.", list.join(", ")));
    }
    text
}

/// The words of a drop-down list.
fn choices(field: &Field) -> Option<Vec<&'static str>> {
    match field.kind {
        FieldKind::YesNo => Some(vec!["yes", "no", "unknown"]),
        FieldKind::Word => Some(field.words.clone()),
        _ => None,
    }
}

fn write_help(sheet: &mut Worksheet) -> Result<(), XlsxError> {
    let bold = Format::new().set_bold().set_border_bottom(FormatBorder::Thin);
    let wrap = Format::new().set_text_wrap().set_align(FormatAlign::Top);
    let headings = ["Column", "Group", "Meaning", "Unit", "Words", "Least", "Most", "Needed"];
    for ((at, heading), width) in headings.iter().enumerate().zip([25.0, 12.0, 76.0, 10.0, 62.0, 8.0, 8.0, 38.0]) {
        sheet.write_with_format(0, at as u16, *heading, &bold)?;
        sheet.set_column_width(at as u16, width)?;
    }
    for (at, field) in fields().iter().enumerate() {
        let row = at as u32 + 1;
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
    sheet.set_freeze_panes(1, 1)?;
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::intake::{ReadOptions, read_bytes};

    #[test]
    fn the_template_is_the_same_each_time_and_is_read_back_column_by_column() {
        let bytes = template_workbook().unwrap();
        assert_eq!(bytes, template_workbook().unwrap());
        // Empty it holds no row; the sentence shows that its headings were found.
        let sentence = read_bytes(&bytes, "template.xlsx", &ReadOptions::default()).unwrap_err().to_string();
        assert!(
            sentence.contains("sheet \"Survey\"") && sentence.contains("no row under the headings in row 2"),
            "{sentence}"
        );
    }

    #[test]
    fn every_list_fits_the_format_and_every_field_has_help() {
        for field in fields() {
            if let Some(list) = choices(field) {
                assert!(list.join(",").len() <= 255, "{}", field.name);
            }
            assert!(note(field).len() < 400);
            assert!(GROUP_TINTS.iter().any(|(group, _)| *group == field.group), "{}", field.group);
        }
    }
}
