//! The survey workbook to be filled in: a sheet of homes and a sheet of shared car parks, each with the columns that
//! make sense there, words to choose from, bounds, help on every heading and one worked example; sheets of vehicles,
//! half-hours and feeders; and a sheet of help.
//!
//! It is made from the table of fields and `template.csv` and nothing else; the same program always makes the same bytes.

mod help;
mod side;

use self::help::{choices, note, write_help};
use self::side::write_side_sheets;
use super::types::IntakeError;
use crate::site::{Field, FieldKind, fields};
use crate::table::Table;
use rust_xlsxwriter::{
    Color, DataValidation, DataValidationErrorStyle, DataValidationRule, DocProperties, ExcelDateTime, Format,
    FormatAlign, FormatBorder, Note, Workbook, Worksheet, XlsxError,
};
use std::sync::OnceLock;

/// Rows of a survey sheet that carry the drop-down lists.
const ROWS_WITH_LISTS: u32 = 2000;
/// Row of the column names, from 0: the group titles stand above it.
const HEADING_ROW: u32 = 1;
/// The key of the worked example, which is never read as a site.
pub(super) const EXAMPLE: &str = "EXAMPLE";
/// The two survey sheets.
pub(super) const SHEETS: [&str; 2] = ["Homes", "Shared car parks"];
/// The columns that are the least to work from, on the one sheet or the other.
const LEAST: &[&str] = &["address", "cutout_rating_a", "existing_demand_a", "parking_distance_m"];
const LEAST_OF_CAR_PARKS: &[&str] = &["address", "agreed_capacity_kva", "existing_demand_kw", "parking_distance_m"];
/// One column of a survey sheet.
#[derive(Clone, Copy, Debug)]
struct Asked {
    field: &'static Field,
    /// Its value in the worked example; empty where the example leaves it out.
    example: &'static str,
}

/// The columns of a survey sheet by its place among [`SHEETS`], the least first (`template.csv`).
fn columns(sheet: usize) -> &'static [Asked] {
    static COLUMNS: OnceLock<[Vec<Asked>; 2]> = OnceLock::new();
    let both = COLUMNS.get_or_init(|| {
        [("homes", "home_example"), ("car_parks", "car_park_example")].map(|(on, example)| {
            Table::of(include_str!("template.csv"))
                .rows()
                .filter(|row| row.text(on) == "yes")
                .filter_map(|row| {
                    let field = fields().iter().find(|field| field.name == row.text("field"))?;
                    Some(Asked { field, example: row.kept(example) })
                })
                .collect()
        })
    });
    both.get(sheet).map_or(&[], Vec::as_slice)
}

fn least(sheet: usize) -> &'static [&'static str] {
    if sheet == 0 { LEAST } else { LEAST_OF_CAR_PARKS }
}

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
    put_together([&[], &[]]).map_err(|error| IntakeError::Template { problem: error.to_string() })
}

/// The template with rows of values under the worked example of each sheet.
fn put_together(filled: [&[Vec<String>]; 2]) -> Result<Vec<u8>, XlsxError> {
    let mut book = Workbook::new();
    // A fixed day: the bytes hang on nothing but the tables.
    let day = ExcelDateTime::from_ymd(2026, 1, 1)?;
    book.set_properties(&DocProperties::new().set_title("Survey for charge points").set_creation_datetime(&day));
    for (at, (name, rows)) in SHEETS.into_iter().zip(filled).enumerate() {
        let sheet = book.add_worksheet();
        sheet.set_name(name)?;
        write_survey(sheet, at)?;
        let example: Vec<String> = columns(at).iter().map(|asked| asked.example.to_owned()).collect();
        write_row(sheet, at, HEADING_ROW + 1, &example, Some(&example_format()))?;
        for (row, values) in (HEADING_ROW + 2..).zip(rows) {
            write_row(sheet, at, row, values, None)?;
        }
    }
    write_side_sheets(&mut book)?;
    let help = book.add_worksheet();
    help.set_name("Help")?;
    write_help(help)?;
    book.save_to_buffer()
}

fn example_format() -> Format {
    Format::new().set_italic().set_font_color(Color::RGB(0x66737A)).set_background_color(Color::RGB(0xF4F5F6))
}

/// One row of values, each as its kind: dates and numbers as such, identifiers and words as texts.
fn write_row(
    sheet: &mut Worksheet,
    at: usize,
    row: u32,
    values: &[String],
    format: Option<&Format>,
) -> Result<(), XlsxError> {
    for (column, (asked, value)) in (0..).zip(columns(at).iter().zip(values)) {
        let plain = column_format(asked.field);
        let format = match format {
            Some(format) if asked.field.kind == FieldKind::Date => format.clone().set_num_format(DAY),
            Some(format) => format.clone(),
            None => plain,
        };
        let number = value.parse::<f64>().ok().filter(|number| number.is_finite());
        let day = ExcelDateTime::parse_from_str(value).ok();
        match (asked.field.kind, number, day) {
            _ if value.is_empty() => sheet.write_blank(row, column, &format)?,
            (FieldKind::Number | FieldKind::Count, Some(number), _) => {
                sheet.write_number_with_format(row, column, number, &format)?
            }
            (FieldKind::Date, _, Some(day)) => sheet.write_datetime_with_format(row, column, &day, &format)?,
            _ => sheet.write_string_with_format(row, column, value, &format)?,
        };
    }
    Ok(())
}

const DAY: &str = "dd/mm/yyyy";

fn column_format(field: &Field) -> Format {
    match field.kind {
        // As text, so that no zero is lost and no digit rounded.
        FieldKind::Identifier | FieldKind::Time => Format::new().set_num_format("@"),
        FieldKind::Date => Format::new().set_num_format(DAY),
        _ => Format::new(),
    }
}

fn tint(group: &str) -> Color {
    GROUP_TINTS.iter().find(|(name, _)| *name == group).map_or(Color::White, |(_, tint)| Color::RGB(*tint))
}

fn write_survey(sheet: &mut Worksheet, at: usize) -> Result<(), XlsxError> {
    let mut group_from = 0_u16;
    let all = columns(at);
    // The least and what may stand in its place come first, under a title of their own.
    let first = all.iter().position(|asked| asked.field.name == "parking_distance_m").unwrap_or_default();
    let group = |place: usize, field: &Field| if place <= first { "the least" } else { field.group };
    for (place, asked) in all.iter().enumerate() {
        let field = asked.field;
        let column = place as u16; // the table holds about a hundred fields
        let needed = least(at).contains(&field.name);
        let ground = tint(if place <= first { "identity" } else { field.group });
        let heading = Format::new()
            .set_bold()
            .set_text_wrap()
            .set_align(FormatAlign::Top)
            .set_background_color(ground)
            .set_border_bottom(if needed { FormatBorder::Thick } else { FormatBorder::Thin });
        sheet.write_with_format(HEADING_ROW, column, field.name, &heading)?;
        sheet.set_column_width(column, width(field))?;
        let note = Note::new(note(field, needed)).add_author_prefix(false).set_width(280).set_height(120);
        sheet.insert_note(HEADING_ROW, column, &note)?;
        sheet.set_column_format(column, &column_format(field))?;
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
        let title = group(place, field);
        let last_of_group = all.get(place + 1).is_none_or(|next| group(place + 1, next.field) != title);
        if last_of_group {
            let format = Format::new().set_bold().set_background_color(ground);
            if column > group_from {
                sheet.merge_range(0, group_from, 0, column, title, &format)?;
            } else {
                sheet.write_with_format(0, column, title, &format)?;
            }
            group_from = column + 1;
        }
    }
    // The headings and the address stay in sight.
    let address = all.iter().position(|asked| asked.field.name == "address").map_or(0, |place| place as u16 + 1);
    sheet.set_freeze_panes(HEADING_ROW + 1, address)?;
    sheet.set_landscape().set_paper_size(8).set_print_fit_to_pages(3, 0).set_repeat_rows(0, HEADING_ROW)?;
    Ok(())
}

fn width(field: &Field) -> f64 {
    match field.name {
        "address" => 38.0,
        "notes" | "override_why" => 28.0,
        _ => (field.name.len() as f64 * 1.1 + 2.0).clamp(11.0, 28.0),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::intake::slots::{Slot, slot};
    use crate::intake::{Intake, ReadOptions, read_bytes};
    use crate::site::{Answer, Reading, Site};

    fn read(bytes: &[u8], sheet: Option<&str>) -> Result<Intake, IntakeError> {
        let sheets = sheet.into_iter().map(str::to_owned).collect();
        read_bytes(bytes, "survey.xlsx", &ReadOptions { sheets, ..ReadOptions::default() })
    }

    #[test]
    fn the_empty_template_is_the_same_each_time_and_holds_nothing_but_the_example() {
        let bytes = template_workbook().unwrap();
        assert_eq!(bytes, template_workbook().unwrap());
        for sheet in [None, Some("Homes"), Some("Shared car parks")] {
            let intake = read(&bytes, sheet).unwrap();
            assert_eq!((intake.rows.len(), intake.sites.len()), (1, 0), "{sheet:?}");
            assert!(intake.set_aside[0].why.contains("worked example"), "{}", intake.set_aside[0].why);
            assert_eq!(intake.source.heading_row, 2);
        }
    }

    /// A value for a column of the n-th site, fit for the column.
    fn value(asked: &Asked, n: usize) -> String {
        let field = asked.field;
        match (field.name, field.kind) {
            ("site_id", _) => format!("S{n:03}"),
            ("address", _) => format!("{} Fennel Row, Tarnholt", n + 1),
            ("uprn", _) => format!("9000000{n:05}"),
            ("postcode", _) => format!("YD{} 3AD", n + 1),
            ("mpan", _) => String::new(),
            ("latitude", _) => format!("52.{n:02}1"),
            ("longitude", _) => format!("-1.{n:02}1"),
            (_, FieldKind::Text | FieldKind::Identifier) => format!("{} {n}", field.name.replace('_', " ")),
            // The example's own answers: they go with one another, as twenty drawn at random would not.
            (_, FieldKind::Number | FieldKind::Count | FieldKind::YesNo | FieldKind::Word) => asked.example.to_owned(),
            (_, FieldKind::Date) => format!("2026-11-{:02}", n + 1),
            (_, FieldKind::Time) => format!("{:02}:30", n),
        }
    }

    /// The site that these values are, put together without the reader.
    fn site(sheet: usize, row: u32, values: &[String]) -> Site {
        let mut site = Site { row, ..Site::default() };
        for (index, (asked, value)) in (0..).zip(columns(sheet).iter().zip(values)) {
            let column = Some(index);
            fn of<T>(value: Option<T>) -> Answer<T> {
                value.map_or(Answer::Unknown(crate::site::WhyUnknown::Missing), Answer::Stated)
            }
            let text = Some(value.clone()).filter(|value| !value.is_empty());
            match slot(asked.field.name).unwrap() {
                Slot::SiteId => site.site_id = value.clone(),
                Slot::Text(place) => *place(&mut site) = Reading { answer: of(text), column },
                Slot::Number(place) => {
                    let hours = value
                        .split_once(':')
                        .map(|(hour, minute)| hour.parse::<f64>().unwrap() + minute.parse::<f64>().unwrap() / 60.0);
                    *place(&mut site) = Reading { answer: of(hours.or_else(|| value.parse().ok())), column };
                }
                Slot::YesNo(place) => *place(&mut site) = Reading { answer: of(Some(value == "yes")), column },
                Slot::Day(place) => *place(&mut site) = Reading { answer: of(value.parse().ok()), column },
                Slot::Word(set) => {
                    let word = asked.field.words.iter().find(|word| *word == value);
                    set(&mut site, of(word.copied()), index);
                }
            }
        }
        site
    }

    #[test]
    fn filled_in_it_is_read_back_with_nothing_left_over() {
        for (at, name) in SHEETS.into_iter().enumerate() {
            let rows: Vec<Vec<String>> =
                (0..20).map(|n| columns(at).iter().map(|asked| value(asked, n)).collect()).collect();
            let filled: [&[Vec<String>]; 2] = if at == 0 { [&rows, &[]] } else { [&[], &rows] };
            // The sheet that was filled in is found without being named.
            let intake = read(&put_together(filled).unwrap(), None).unwrap();
            assert_eq!(intake.source.sheet, name);
            for column in &intake.columns {
                assert_eq!(column.how, "its own name", "{}", column.heading);
                assert_eq!(column.field.unwrap().name, column.heading);
            }
            assert_eq!(intake.columns.len(), columns(at).len());
            assert!(intake.notes.is_empty(), "{:#?}", intake.notes);
            assert_eq!((intake.rows.len(), intake.sites.len(), intake.set_aside.len()), (21, 20, 1));
            for (n, (read, values)) in intake.sites.iter().zip(&rows).enumerate() {
                let mut expected = site(at, n as u32 + 4, values);
                // Twenty equal answers are taken for copied down, as they should be.
                expected.copied_down.clone_from(&read.copied_down);
                assert_eq!(format!("{read:#?}"), format!("{expected:#?}"));
            }
        }
    }

    #[test]
    fn both_sheets_filled_in_are_read_together_and_each_alone_when_named() {
        let rows = |at: usize| {
            let values = |n: usize| columns(at).iter().map(|asked| value(asked, n + at * 20)).collect::<Vec<String>>();
            vec![values(1), values(2)]
        };
        let bytes = put_together([&rows(0), &rows(1)]).unwrap();
        let both = read(&bytes, None).unwrap();
        assert!(both.warnings.iter().all(|said| !said.contains("Not read: the other sheets (\"Shared")), "{both:?}");
        let names: Vec<&str> = both.sheets.iter().map(|sheet| sheet.name.as_str()).collect();
        assert_eq!(names, SHEETS);
        let places: Vec<(u16, u32)> = both.sites.iter().map(|site| (site.sheet, site.row)).collect();
        assert_eq!(places, [(0, 4), (0, 5), (1, 4), (1, 5)]);
        assert_eq!((both.rows.len(), both.set_aside.len()), (6, 2), "the worked example of each is set aside");
        for (at, name) in SHEETS.into_iter().enumerate() {
            let alone = read(&bytes, Some(name)).unwrap();
            assert_eq!((alone.sites.len(), alone.sheets.len()), (2, 1));
            // Each site says together what it says alone.
            let sheet = u16::try_from(at).unwrap();
            let there = both.sites.iter().filter(|site| site.sheet == sheet);
            for (one, other) in there.zip(&alone.sites) {
                let one = Site { sheet: 0, ..one.clone() };
                assert_eq!(format!("{one:#?}"), format!("{other:#?}"));
            }
        }
        let options = ReadOptions { sheets: vec!["2".into(), "Homes".into(), "1".into()], ..ReadOptions::default() };
        let named = read_bytes(&bytes, "survey.xlsx", &options).unwrap();
        assert_eq!(format!("{:#?}", named.sites), format!("{:#?}", both.sites), "in the order of the tabs, each once");
    }

    #[test]
    fn every_list_fits_the_format_and_every_field_has_help_and_a_place() {
        for field in fields() {
            if let Some(list) = choices(field) {
                assert!(list.join(",").len() <= 255, "{}", field.name);
            }
            assert!(note(field, true).len() < 400);
            assert!(GROUP_TINTS.iter().any(|(group, _)| *group == field.group), "{}", field.group);
            let sheets = (0..2).filter(|at| columns(*at).iter().any(|asked| asked.field.name == field.name));
            assert!(sheets.count() > 0, "{} stands on no sheet", field.name);
        }
        for at in 0..2 {
            for name in least(at) {
                assert!(
                    columns(at).iter().any(|asked| asked.field.name == *name && !asked.example.is_empty()),
                    "{name}"
                );
            }
        }
    }
}
