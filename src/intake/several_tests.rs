//! Tests only: workbooks of several survey sheets, read together or asked about.

use super::mapping::mapping_of;
use super::{Cause, Intake, ReadOptions, read_bytes, read_bytes_with, save_mapping};
use rust_xlsxwriter::Workbook;

type Cells = &'static [&'static [&'static str]];

/// A workbook of these sheets.
fn book(sheets: &[(&str, Cells)]) -> Vec<u8> {
    let mut book = Workbook::new();
    for (name, rows) in sheets {
        let sheet = book.add_worksheet();
        sheet.set_name(*name).unwrap();
        for (row, cells) in (0..).zip(*rows) {
            for (column, cell) in (0..).zip(*cells) {
                match cell.parse::<f64>() {
                    Ok(number) => sheet.write_number(row, column, number).map(|_| ()).unwrap(),
                    Err(_) => sheet.write_string(row, column, *cell).map(|_| ()).unwrap(),
                }
            }
        }
    }
    book.save_to_buffer().unwrap()
}

const NORTH: Cells = &[
    &["Homes of the north"],
    &["Ref", "Address", "Main fuse", "Max demand", "Cable run", "Ward"],
    &["A1", "1 Mill Lane, Combe", "80", "35", "12", "Kiln"],
    &["", "2 Mill Lane, Combe", "see photo", "35", "9", "Kiln"],
    &["A3", "3 Mill Lane, Combe", "60", "30", "9", "Kiln"],
];
const SOUTH: Cells = &[
    &["Address", "Ref", "Fuse size", "Max demand (kW)", "Cable run", "Survey date"],
    &["7 Larder Lane, Combe", "A1", "100", "9", "12", ""],
    &["2 Mill Lane, Combe", "", "100", "7", "14", "2026-10-01"],
    &["8 Larder Lane, Combe", "", "80", "9", "20", ""],
];

fn both(sheets: &[&str]) -> Result<Intake, super::IntakeError> {
    let sheets = sheets.iter().map(|name| (*name).to_owned()).collect();
    let bytes = book(&[("North", NORTH), ("Notes", &[&["nothing"]]), ("South", SOUTH)]);
    read_bytes(&bytes, "Returns.xlsx", &ReadOptions { sheets, ..ReadOptions::default() })
}

#[test]
fn sheets_that_look_alike_stay_a_question_that_says_that_several_may_be_named() {
    let bytes = book(&[("North", NORTH), ("South", NORTH)]);
    let said = read_bytes(&bytes, "Returns.xlsx", &ReadOptions::default()).unwrap_err().to_string();
    assert!(said.contains("\"North\", \"South\" look alike") && said.contains("several may be given"), "{said}");
    let said = both(&["North", "West"]).unwrap_err().to_string();
    assert!(said.contains("it has no sheet \"West\""), "{said}");
    let said = both(&["North", "Notes"]).unwrap_err().to_string();
    assert!(said.contains("sheet \"Notes\"") && said.contains("no row of headings"), "{said}");
}

#[test]
fn sheets_that_are_named_are_read_together_and_no_row_is_lost_or_mistaken() {
    let intake = both(&["South", "1"]).unwrap();
    assert_eq!(intake.rows.len(), intake.sites.len() + intake.set_aside.len());
    let keys: Vec<(u16, u32, &str)> =
        intake.sites.iter().map(|site| (site.sheet, site.row, site.site_id.as_str())).collect();
    // A key that stands on both is told apart, and what has none is named after its sheet and row.
    assert_eq!(
        keys,
        [(0, 3, "A1"), (0, 5, "A3"), (1, 2, "A1-2"), (1, 3, "sheet-2-row-0003"), (1, 4, "sheet-2-row-0004")]
    );
    // One place on both sheets: the one with a date stands.
    let aside = &intake.set_aside[0];
    assert_eq!((intake.set_aside.len(), aside.sheet, aside.row), (1, 0, 4));
    assert!(aside.why.contains("as row 3 of sheet \"South\", which has a survey date (2026-10-01)"), "{}", aside.why);
    let Cause::SamePlace(same) = &aside.cause else { panic!("{:?}", aside.cause) };
    let asked = |heading: &str| same.differences.iter().find(|one| one.heading == heading).unwrap().there.clone();
    assert_eq!((asked("Main fuse").as_deref(), asked("Max demand")), (Some("100"), None));
    // Each sheet has its own columns, and its rows the cells of these.
    for row in &intake.rows {
        assert_eq!(row.cells.len(), intake.columns_of(row.sheet).len());
    }
    assert_eq!(intake.sites[2].load.existing_demand_kw.value(), Some(9.0));
    assert!(!intake.sites[0].load.existing_demand_kw.was_asked());
    let note = intake.notes.iter().find(|note| note.field == "site_id").unwrap();
    assert_eq!(intake.cell_named(note.sheet, note.row, note.column), "South!B2");
    assert!(note.message.contains("Row 3 of sheet \"North\" has the same site_id"), "{}", note.message);
    assert_eq!(intake.sheets[0].above[0], (1, vec![(0, "Homes of the north".to_owned())]));
    let not_read = intake.warnings.iter().find(|said| said.starts_with("Not read")).unwrap();
    assert!(not_read.contains("Notes") && !not_read.contains("South"), "{not_read}");
}

#[test]
fn a_home_and_a_car_park_at_one_address_are_two_places_on_two_sheets() {
    let homes: Cells = &[
        &["Address", "Main fuse", "Max demand", "Cable run"],
        &["Garner Court", "80", "35", "12"],
        &["Kiln House", "80", "35", "12"],
    ];
    let parks: Cells =
        &[&["Address", "Agreed capacity kVA", "Max demand kW", "Cable run"], &["Garner Court", "138", "50", "30"]];
    let bytes = book(&[("Homes", homes), ("Car parks", parks)]);
    let sheets = vec!["Homes".to_owned(), "Car parks".to_owned()];
    let intake = read_bytes(&bytes, "a.xlsx", &ReadOptions { sheets, ..ReadOptions::default() }).unwrap();
    assert_eq!((intake.sites.len(), intake.set_aside.len()), (3, 0), "{:#?}", intake.set_aside);
}

#[test]
fn a_further_file_fills_rows_of_each_sheet_and_says_which() {
    let bytes = book(&[("North", NORTH), ("South", SOUTH)]);
    let answers = b"Address,Looped?,Main fuse\n\"3 Mill Lane, Combe\",no,\n\"8 Larder Lane, Combe\",yes,100\n";
    let sheets = vec!["North".to_owned(), "South".to_owned()];
    let options = ReadOptions { sheets, ..ReadOptions::default() };
    let intake = read_bytes_with(("Returns.xlsx", &bytes), &[("Answers.csv", answers)], &options).unwrap();
    let filled = |id: &str| intake.sites.iter().find(|site| site.site_id == id).unwrap();
    assert!(filled("A3").supply.looped_service.is(false) && filled("sheet-2-row-0004").supply.looped_service.is(true));
    let conflict = &filled("sheet-2-row-0004").conflicts[0];
    assert_eq!(&*conflict.stands.file, "Returns.xlsx, sheet \"South\"");
    assert_eq!((conflict.stands.text.as_str(), conflict.other.text.as_str()), ("80", "100"));
    let sheets: Vec<u16> =
        intake.layers[0].lines.iter().filter(|line| line.rows > 0).map(|line| line.site_sheet).collect();
    assert_eq!(sheets, [0, 1]);
    // The other way round: two sheets laid over a file are two layers.
    let main = b"Address,Main fuse,Max demand,Cable run,Looped?\n\"3 Mill Lane, Combe\",,30,9,\n\"8 Larder Lane, Combe\",,30,9,\n";
    let template = super::template_workbook().unwrap();
    let intake = read_bytes_with(("Main.csv", main), &[("Blank.xlsx", &template)], &ReadOptions::default()).unwrap();
    assert!(intake.layers.iter().all(|layer| layer.joined() + layer.not_joined() == layer.rows_read));
}

#[test]
fn a_mapping_says_it_sheet_by_sheet_and_file_by_file_and_is_obeyed() {
    let bytes = book(&[("North", NORTH), ("South", SOUTH)]);
    let answers: &[u8] = b"Address,Lp,Fuse\n\"3 Mill Lane, Combe\",no,80\n";
    let sheets = vec!["North".to_owned(), "South".to_owned()];
    let read = |text: &str| {
        let mapping = mapping_of(text.as_bytes(), "map.toml").unwrap();
        let options = ReadOptions {
            sheets: sheets.clone(),
            mapping: mapping.columns,
            mapping_by_sheet: mapping.sheets,
            mapping_by_file: mapping.files,
            ..ReadOptions::default()
        };
        read_bytes_with(("Returns.xlsx", &bytes), &[("Answers.csv", answers)], &options)
    };
    // Changed on one sheet alone, and in the further file alone.
    let text = "[sheets.North]\n\"Ward\" = \"lot\"\n[files.\"Answers.csv\"]\n\"Lp\" = \"looped_service\"\n";
    let intake = read(text).unwrap();
    let named = |sheet: u16, heading: &str| {
        let columns = intake.columns_of(sheet);
        columns.iter().find(|column| column.heading == heading).and_then(|column| column.field).map(|field| field.name)
    };
    assert_eq!((named(0, "Ward"), named(1, "Ref")), (Some("lot"), Some("site_id")));
    assert!(intake.sites[1].supply.looped_service.is(false));
    // What is written is read back as it was decided.
    let saved = save_mapping(&intake);
    for part in ["[sheets.\"North\"]", "[sheets.\"South\"]", "[files.\"Answers.csv\"]", "\"Lp\" = \"looped_service\""] {
        assert!(saved.contains(part), "{part} is not in\n{saved}");
    }
    let again = read(&saved).unwrap();
    assert_eq!(format!("{:?}", again.sites), format!("{:?}", intake.sites));
    assert!(again.columns.iter().filter(|column| column.field.is_some()).all(|column| column.score == 1.0));
    // A name that is not there is answered with the nearest.
    let said = read("[sheets.Nroth]\n\"Ward\" = \"lot\"\n").unwrap_err().to_string();
    assert!(said.contains("\"Nroth\" that is not there; the nearest is \"North\""), "{said}");
    let said = read("[files.\"Answer.csv\"]\n\"Lp\" = \"looped_service\"\n").unwrap_err().to_string();
    assert!(said.contains("nearest is \"Answers.csv\""), "{said}");
    // One entry for all sheets needs to stand on one of them.
    assert!(read("[columns]\n\"Fuse size\" = \"cutout_rating_a\"\n").is_ok());
    assert!(read("[columns]\n\"Fuse sise\" = \"cutout_rating_a\"\n").is_err());
    assert!(mapping_of(b"[sheets]\nNorth = 3\n", "map.toml").is_err());
}
