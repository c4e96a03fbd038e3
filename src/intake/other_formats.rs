//! Tests only: old, binary and open workbooks, sound and damaged, and sheets that hide, merge and hold several tables.

use super::{Intake, IntakeError, ReadOptions, read_bytes};
use crate::site::{Answer, WhyUnknown};
use std::io::Write;

const LEGACY: &[u8] = include_bytes!("../../tests/corpus/troubles/plain-by-office.xls");
const OPEN: &[u8] = include_bytes!("../../tests/corpus/troubles/plain-by-office.ods");

fn answer(bytes: &[u8]) -> Result<Intake, IntakeError> {
    read_bytes(bytes, "Returns", &ReadOptions::default())
}

/// Records of the binary format, each with its kind and its data.
fn records(list: &[(u16, Vec<u8>)]) -> Vec<u8> {
    let mut out = Vec::new();
    for (kind, data) in list {
        match kind {
            0..128 => out.push(*kind as u8),
            _ => out.extend([(kind & 0x7F) as u8 | 0x80, (kind >> 7) as u8]),
        }
        let mut left = data.len();
        loop {
            let more = left > 0x7F;
            out.push((left & 0x7F) as u8 | if more { 0x80 } else { 0 });
            left >>= 7;
            if !more {
                break;
            }
        }
        out.extend(data);
    }
    out
}

fn wide(text: &str) -> Vec<u8> {
    let units: Vec<u16> = text.encode_utf16().collect();
    let mut out = (units.len() as u32).to_le_bytes().to_vec();
    out.extend(units.iter().flat_map(|unit| unit.to_le_bytes()));
    out
}

fn words(list: &[u32]) -> Vec<u8> {
    list.iter().flat_map(|word| word.to_le_bytes()).collect()
}

/// A binary workbook of one survey, made by hand: shared and own texts, packed and plain numbers, a date, a fault, a
/// number shown in feet, a hidden row and column, and a lot merged over two rows.
fn binary() -> Vec<u8> {
    let shared = ["address", "cutout_rating_a", "existing_demand_a", "parking_distance_m", "survey_date", "lot"];
    let mut texts = vec![(0x9F, words(&[6, 6]))];
    texts.extend(shared.iter().map(|text| (0x13, [vec![0], wide(text)].concat())));
    texts.push((0xA0, vec![]));
    let format = |code: u16| [0_u16, code, 0, 0, 0, 0, 0, 0].iter().flat_map(|w| w.to_le_bytes()).collect::<Vec<u8>>();
    let styles = records(&[
        (0x116, vec![]),
        (0x267, words(&[1])),
        (0x2C, [164_u16.to_le_bytes().to_vec(), wide("0\" ft\"")].concat()),
        (0x268, vec![]),
        (0x269, words(&[3])),
        (0x2F, format(0)),
        (0x2F, format(14)),
        (0x2F, format(164)),
        (0x26A, vec![]),
    ]);
    let row = |number: u32, hidden: bool| {
        (0x00, [words(&[number, 0]), vec![0, 0, 0, if hidden { 0x10 } else { 0 }, 0, 0, 0, 0, 0]].concat())
    };
    let cell = |kind: u16, column: u32, style: u32, value: Vec<u8>| (kind, [words(&[column, style]), value].concat());
    let mut sheet = vec![
        (0x81, vec![]),
        (0x94, words(&[0, 3, 0, 5])),
        (0x186, vec![]),
        (0x3C, [words(&[2, 2, 2560, 0]), vec![1, 0]].concat()),
        (0x187, vec![]),
        (0x91, vec![]),
        row(0, false),
    ];
    sheet.extend((0..6).map(|at| cell(7, at, 0, words(&[at]))));
    for (number, place) in [(1_u32, "7 Fennel Row"), (2, "8 Fennel Row"), (3, "9 Fennel Row")] {
        sheet.push(row(number, number == 2));
        sheet.push(cell(6, 0, 0, wide(place)));
        sheet.push(cell(2, 1, 0, words(&[(80 << 2) | 2])));
        match number {
            3 => sheet.push(cell(3, 2, 0, vec![0x2A])),
            _ => sheet.push(cell(2, 2, 0, words(&[(3550 << 2) | 3]))),
        }
        sheet.push(cell(5, 3, 2, 40.0_f64.to_le_bytes().to_vec()));
        sheet.push(cell(5, 4, 1, 46_351.0_f64.to_le_bytes().to_vec()));
        if number == 1 {
            sheet.push(cell(6, 5, 0, wide("Lot 7")));
        }
    }
    sheet.extend([(0x92, vec![]), (0xB1, words(&[1])), (0xB0, words(&[1, 2, 5, 5])), (0xB2, vec![]), (0x82, vec![])]);
    let workbook = records(&[
        (0x83, vec![]),
        (0x99, words(&[0, 0])),
        (0x8F, vec![]),
        (0x9C, [words(&[0, 1]), wide("rId1"), wide("Survey")].concat()),
        (0x90, vec![]),
        (0x84, vec![]),
    ]);
    let relations = "<Relationships xmlns=\"http://schemas.openxmlformats.org/package/2006/relationships\"><Relationship \
                     Id=\"rId1\" Type=\"worksheet\" Target=\"worksheets/sheet1.bin\"/></Relationships>";
    let mut zip = zip::ZipWriter::new(std::io::Cursor::new(Vec::new()));
    let stored = zip::write::SimpleFileOptions::default().compression_method(zip::CompressionMethod::Stored);
    for (name, part) in [
        ("[Content_Types].xml", b"<Types/>".to_vec()),
        ("xl/workbook.bin", workbook),
        ("xl/_rels/workbook.bin.rels", relations.as_bytes().to_vec()),
        ("xl/styles.bin", styles),
        ("xl/sharedStrings.bin", records(&texts)),
        ("xl/worksheets/sheet1.bin", records(&sheet)),
    ] {
        zip.start_file(name, stored).unwrap();
        zip.write_all(&part).unwrap();
    }
    zip.finish().unwrap().into_inner()
}

/// The corpus holds this very workbook; `BAYWRIGHT_WRITE_CORPUS=1` writes it anew.
#[test]
fn the_corpus_has_the_binary_workbook() {
    let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/corpus/troubles/binary.xlsb");
    let bytes = binary();
    if std::env::var_os("BAYWRIGHT_WRITE_CORPUS").is_some() {
        std::fs::write(&path, &bytes).unwrap();
    }
    assert!(std::fs::read(&path).unwrap() == bytes, "another workbook");
}

#[test]
fn a_binary_workbook_is_read_with_what_it_hides_merges_and_shows() {
    let intake = answer(&binary()).unwrap();
    assert_eq!(intake.source.sheet, "Survey");
    assert_eq!(intake.sites.len(), 3);
    let site = &intake.sites[1];
    assert_eq!(site.supply.cutout_rating_a.value(), Some(80.0));
    assert_eq!(site.load.existing_demand_a.value(), Some(35.5));
    assert_eq!(site.parking.parking_distance_m.value(), Some(12.192), "the number format shows feet");
    assert_eq!(site.identity.survey_date.likely().map(|date| date.to_string()).as_deref(), Some("2026-11-25"));
    assert_eq!(site.identity.lot.likely().map(String::as_str), Some("Lot 7"));
    assert!(intake.notes.iter().any(|note| note.row == 3 && note.message.contains("merged over rows 2 to 3")));
    assert!(!intake.sites[2].identity.lot.is_stated());
    assert!(intake.sites[2].load.existing_demand_a.value().is_none());
    let said = intake.warnings.join("\n");
    assert!(said.contains("1 row is hidden") && said.contains("Column C is hidden"), "{said}");
}

#[test]
fn damage_to_any_kind_of_workbook_never_panics_and_loses_no_row() {
    let binary = binary();
    for (sound, step) in [(&binary[..], 3), (LEGACY, 41), (OPEN, 97)] {
        assert!(answer(sound).is_ok());
        for at in (0..sound.len()).step_by(step) {
            for mask in [0x5A, 0xFF] {
                let mut hurt = sound.to_vec();
                hurt[at] ^= mask;
                if let Ok(intake) = answer(&hurt) {
                    assert_eq!(intake.rows.len(), intake.sites.len() + intake.set_aside.len());
                }
            }
            let _ = answer(&sound[..at]);
        }
    }
}

#[test]
fn a_record_that_claims_more_than_its_part_is_refused() {
    let mut zip = zip::ZipWriter::new(std::io::Cursor::new(Vec::new()));
    for (name, part) in
        [("[Content_Types].xml", &b"<Types/>"[..]), ("xl/workbook.bin", &[0x83, 1, 0xFF, 0xFF, 0xFF, 0x7F])]
    {
        zip.start_file(name, zip::write::SimpleFileOptions::default()).unwrap();
        zip.write_all(part).unwrap();
    }
    let said = answer(&zip.finish().unwrap().into_inner()).unwrap_err().to_string();
    assert!(said.contains("its inside is damaged"), "{said}");
}

#[test]
fn other_containers_get_a_sentence() {
    let mut mail = LEGACY.to_vec();
    // The stream of cells under another name: a container of old office files, but no workbook.
    let name: Vec<u8> = "Workbook".encode_utf16().flat_map(u16::to_le_bytes).collect();
    let at = mail.windows(name.len()).position(|window| window == name).unwrap();
    mail[at] = b'X';
    let said = answer(&mail).unwrap_err().to_string();
    assert!(said.contains("not a spreadsheet"), "{said}");
    let mut zip = zip::ZipWriter::new(std::io::Cursor::new(Vec::new()));
    for (name, part) in [("mimetype", "application/vnd.oasis.opendocument.text"), ("content.xml", "<a/>")] {
        zip.start_file(name, zip::write::SimpleFileOptions::default()).unwrap();
        zip.write_all(part.as_bytes()).unwrap();
    }
    let said = answer(&zip.finish().unwrap().into_inner()).unwrap_err().to_string();
    assert!(said.contains("OpenDocument file, but not a spreadsheet"), "{said}");
}

/// A sheet of texts and numbers, written by our own library.
fn sheet(rows: &[&[&str]], shape: impl FnOnce(&mut rust_xlsxwriter::Worksheet)) -> Vec<u8> {
    let mut book = rust_xlsxwriter::Workbook::new();
    let sheet = book.add_worksheet().set_name("Survey").unwrap();
    for (row, cells) in (0..).zip(rows) {
        for (column, cell) in (0..).zip(*cells) {
            match cell.parse::<f64>() {
                Ok(number) => sheet.write(row, column, number).unwrap(),
                Err(_) if cell.is_empty() => sheet,
                Err(_) => sheet.write(row, column, *cell).unwrap(),
            };
        }
    }
    shape(sheet);
    book.save_to_buffer().unwrap()
}

const HEADINGS: &[&str] = &["Address", "Main fuse (A)", "Max demand (A)", "Distance to parking (m)", "Lot"];

#[test]
fn merged_labels_stand_for_their_rows_and_merged_figures_do_not() {
    let plain = rust_xlsxwriter::Format::new();
    let bytes = sheet(
        &[
            HEADINGS,
            &["1 Fennel Row", "80", "", "12", ""],
            &["2 Fennel Row", "80", "", "12", ""],
            &["3 Fennel Row", "80", "30", "12", "Lot 8"],
        ],
        |sheet| {
            sheet.merge_range(1, 4, 2, 4, "Lot 7", &plain).unwrap();
            sheet.merge_range(1, 2, 2, 2, "35", &plain).unwrap();
        },
    );
    let intake = answer(&bytes).unwrap();
    let lots: Vec<_> = intake.sites.iter().filter_map(|site| site.identity.lot.likely().cloned()).collect();
    assert_eq!(lots, ["Lot 7", "Lot 7", "Lot 8"]);
    assert_eq!(intake.sites[1].load.existing_demand_a.answer, Answer::Unknown(WhyUnknown::Missing));
    let note = |row: u32, field: &str| {
        let found = intake.notes.iter().find(|note| note.row == row && note.field == field);
        found.map(|note| note.message.clone()).unwrap_or_default()
    };
    assert!(note(3, "lot").contains("stands for each of them"));
    assert!(note(3, "existing_demand_a").contains("read for row 2 only"));
    assert!(note(2, "lot").is_empty());
}

#[test]
fn headings_that_are_merged_downwards_belong_to_the_line_below() {
    let plain = rust_xlsxwriter::Format::new();
    let bytes = sheet(
        &[
            &["", "", "", "Max demand (A)", "Cable run", ""],
            &["", "Rating", "Condition", "", "", "Bin day"],
            &["1 Fennel Row", "80", "sound", "35", "12", "Tuesday"],
        ],
        |sheet| {
            sheet.merge_range(0, 0, 1, 0, "Where it is", &plain).unwrap();
            sheet.merge_range(0, 1, 0, 2, "Cut-out", &plain).unwrap();
        },
    );
    let mapping = vec![("Where it is".to_owned(), "address".to_owned())];
    let intake = read_bytes(&bytes, "Returns", &ReadOptions { mapping, ..ReadOptions::default() }).unwrap();
    let site = &intake.sites[0];
    assert_eq!(site.supply.cutout_rating_a.value(), Some(80.0));
    assert_eq!(site.load.existing_demand_a.value(), Some(35.0));
    assert_eq!(intake.source.heading_row, 2);
    assert_eq!(intake.columns[0].field.map(|field| field.name), Some("address"));
}

#[test]
fn another_survey_further_down_is_set_aside_until_our_headings_stand_again() {
    let bytes = sheet(
        &[
            HEADINGS,
            &["1 Fennel Row", "80", "35", "12", "A"],
            &["Max demand (A)", "Distance to parking (m)", "Address", "Main fuse (A)", ""],
            &["35", "12", "2 Fennel Row", "80", ""],
            HEADINGS,
            &["3 Fennel Row", "60", "30", "9", "A"],
        ],
        |_| {},
    );
    let intake = answer(&bytes).unwrap();
    assert_eq!(intake.sites.iter().map(|site| site.row).collect::<Vec<_>>(), [2, 6]);
    assert_eq!(intake.set_aside.iter().map(|row| row.row).collect::<Vec<_>>(), [3, 4, 5]);
    assert_eq!(intake.rows.len(), 5);
    assert!(intake.warnings.iter().any(|said| said.contains("Another table begins in row 3")), "{:?}", intake.warnings);
}

#[test]
fn sites_after_a_gap_that_nobody_could_survey_are_no_other_table() {
    let bytes = sheet(
        &[
            HEADINGS,
            &["1 Fennel Row", "80", "35", "12", "A"],
            &[],
            &["Rose Cottage", "see photo", "unknown", "no access", "B"],
            &["Ivy Cottage", "see photo", "unknown", "no access", "B"],
        ],
        |_| {},
    );
    assert_eq!(answer(&bytes).unwrap().sites.len(), 3);
}

#[test]
fn other_headings_above_are_told() {
    let bytes = sheet(
        &[
            &["Address", "Main fuse (A)", "Lot"],
            &["Depot", "100", "Z"],
            &[],
            HEADINGS,
            &["1 Fennel Row", "80", "35", "12", "A"],
        ],
        |_| {},
    );
    let intake = answer(&bytes).unwrap();
    assert_eq!((intake.source.heading_row, intake.sites.len()), (4, 1));
    assert!(intake.warnings.iter().any(|said| said.contains("from row 1 to the headings in row 4")));
}

#[test]
fn a_sheet_is_named_by_its_number_too() {
    let mut book = rust_xlsxwriter::Workbook::new();
    for name in ["North", "South"] {
        let sheet = book.add_worksheet().set_name(name).unwrap();
        for (column, (heading, value)) in (0..).zip(HEADINGS.iter().zip(["1 Mill Lane", "80", "35", "12", "A"])) {
            sheet.write(0, column, *heading).unwrap();
            sheet.write(1, column, value).unwrap();
        }
    }
    let bytes = book.save_to_buffer().unwrap();
    let read = |sheet: Option<&str>| {
        read_bytes(
            &bytes,
            "Returns",
            &ReadOptions { sheets: sheet.into_iter().map(str::to_owned).collect(), ..ReadOptions::default() },
        )
    };
    assert!(read(None).unwrap_err().to_string().contains("look alike"));
    assert_eq!(read(Some("2")).unwrap().source.sheet, "South");
    assert!(read(Some("3")).unwrap_err().to_string().contains("\"North\", \"South\""));
}
