//! Tests only: files that are not what they say, or that ask for more memory than there is. Each gets one sentence.

use super::{Intake, IntakeError, ReadOptions, read_bytes};
use proptest::prelude::*;
use std::io::Write;

fn answer(bytes: &[u8]) -> Result<Intake, IntakeError> {
    read_bytes(bytes, "Returns.xlsx", &ReadOptions::default())
}

fn refused(bytes: &[u8], says: &str) {
    match answer(bytes) {
        Ok(_) => panic!("was read, {says} was expected"),
        Err(error) => {
            let sentence = error.to_string();
            assert!(sentence.contains(says), "{sentence}: {says} was expected");
            assert!(sentence.contains("Returns.xlsx") && !sentence.contains('\n'), "{sentence}");
        }
    }
}

/// A workbook of the given sheet data and table of texts, made by hand.
fn workbook(sheet_data: &str, texts: &str) -> Vec<u8> {
    let mut zip = zip::ZipWriter::new(std::io::Cursor::new(Vec::new()));
    let options = zip::write::SimpleFileOptions::default().compression_method(zip::CompressionMethod::Deflated);
    let main = "http://schemas.openxmlformats.org/spreadsheetml/2006/main";
    let relations = "http://schemas.openxmlformats.org/officeDocument/2006/relationships";
    let package = "http://schemas.openxmlformats.org/package/2006/relationships";
    for (name, text) in [
        ("[Content_Types].xml", "<Types/>".to_owned()),
        (
            "_rels/.rels",
            format!(
                "<Relationships xmlns=\"{package}\"><Relationship Id=\"r1\" Type=\"{relations}/officeDocument\" Target=\"xl/workbook.xml\"/></Relationships>"
            ),
        ),
        (
            "xl/_rels/workbook.xml.rels",
            format!(
                "<Relationships xmlns=\"{package}\"><Relationship Id=\"r1\" Type=\"{relations}/worksheet\" Target=\"worksheets/sheet1.xml\"/></Relationships>"
            ),
        ),
        (
            "xl/workbook.xml",
            format!(
                "<workbook xmlns=\"{main}\" xmlns:r=\"{relations}\"><sheets><sheet name=\"Survey\" sheetId=\"1\" r:id=\"r1\"/></sheets></workbook>"
            ),
        ),
        (
            "xl/worksheets/sheet1.xml",
            format!("<worksheet xmlns=\"{main}\"><sheetData>{sheet_data}</sheetData></worksheet>"),
        ),
        ("xl/sharedStrings.xml", texts.to_owned()),
    ] {
        zip.start_file(name, options).unwrap();
        zip.write_all(text.as_bytes()).unwrap();
    }
    zip.finish().unwrap().into_inner()
}

const TEXTS: &str = "<sst uniqueCount=\"1\"><si><t>7 Fennel Row</t></si></sst>";

fn text(at: &str, text: &str) -> String {
    format!("<c r=\"{at}\" t=\"inlineStr\"><is><t>{text}</t></is></c>")
}

fn headings() -> String {
    format!(
        "<row r=\"1\">{}{}{}{}</row>",
        text("A1", "address"),
        text("B1", "cutout_rating_a"),
        text("C1", "existing_demand_a"),
        text("D1", "parking_distance_m")
    )
}

fn row(number: u32, cells: &str) -> String {
    format!("<row r=\"{number}\">{cells}</row>")
}

#[test]
fn a_workbook_made_by_hand_is_read() {
    let data = format!(
        "{}{}",
        headings(),
        row(
            2,
            "<c r=\"A2\" t=\"s\"><v>0</v></c><c r=\"B2\"><v>80</v></c><c r=\"C2\"><v>35</v></c><c r=\"D2\"><v>12</v></c>"
        )
    );
    let intake = answer(&workbook(&data, TEXTS)).unwrap();
    assert_eq!(intake.sites.len(), 1);
    assert_eq!(intake.sites[0].supply.cutout_rating_a.value(), Some(80.0));
    assert_eq!(intake.source.sheet, "Survey");
}

#[test]
fn two_cells_far_apart_cost_nothing() {
    let data = format!(
        "{}{}{}",
        headings(),
        row(2, "<c r=\"A2\" t=\"s\"><v>0</v></c><c r=\"B2\"><v>80</v></c>"),
        row(1_048_576, "<c r=\"XFD1048576\"><v>1</v></c>")
    );
    let intake = answer(&workbook(&data, TEXTS)).unwrap();
    assert_eq!(intake.rows.len(), 2);
    assert_eq!(intake.columns.len(), 5, "four headings and the one column far out");
    assert_eq!(intake.set_aside[0].row, 1_048_576);
}

#[test]
fn cells_beyond_any_sheet_and_rows_out_of_order_are_refused() {
    let beyond = format!("{}{}", headings(), row(4_294_967_295, &text("A4294967295", "x")));
    refused(&workbook(&beyond, TEXTS), "beyond the end of any sheet");
    let backwards = format!("{}{}{}", headings(), row(5, &text("A5", "x")), row(3, &text("A3", "y")));
    refused(&workbook(&backwards, TEXTS), "row 3 stands after row 5");
}

#[test]
fn a_table_of_texts_that_claims_too_much_is_refused_before_it_is_opened() {
    for claim in ["99999999999", "18446744073709551615", "99999999999999999999999999"] {
        let texts = format!("<sst count=\"1\" uniqueCount=\"{claim}\"><si><t>x</t></si></sst>");
        refused(&workbook(&headings(), &texts), "which cannot be");
        let padded = format!("<?xml version=\"1.0\"?>{}{texts}", " ".repeat(20_000));
        refused(&workbook(&headings(), &padded), "which cannot be");
    }
    let hidden = format!("<!--{}-->{TEXTS}", "a".repeat(100_000));
    refused(&workbook(&headings(), &hidden), "table of texts is damaged");
}

#[test]
fn a_shared_formula_of_a_high_number_costs_nothing() {
    let data = format!(
        "{}{}",
        headings(),
        row(
            2,
            &format!(
                "{}<c r=\"B2\"><f t=\"shared\" si=\"3000000000\" ref=\"B2:B3\">A1</f><v>60</v></c>",
                text("A2", "7 Fennel Row")
            )
        )
    );
    let intake = answer(&workbook(&data, TEXTS)).unwrap();
    assert_eq!(intake.sites[0].supply.cutout_rating_a.value(), Some(60.0));
}

#[test]
fn formulas_without_results_and_unknown_errors_are_not_known_and_said() {
    let data = format!(
        "{}{}",
        headings(),
        row(
            2,
            &format!(
                "{}<c r=\"B2\"><v>60</v></c><c r=\"C2\"><f>1+1</f></c><c r=\"D2\" t=\"e\"><v>#SPILL!</v></c><c r=\"E2\"><v>1</v></c>",
                text("A2", "7 Fennel Row")
            )
        )
    );
    let intake = answer(&workbook(&data, TEXTS)).unwrap();
    let site = &intake.sites[0];
    assert!(site.load.existing_demand_a.is_unknown() && site.parking.parking_distance_m.is_unknown());
    assert_eq!(intake.warnings.len(), 2, "{:?}", intake.warnings);
    assert_eq!(intake.rows[0].cells.last().map(String::as_str), Some("1"), "the cell after the error is read");
}

#[test]
fn numbers_that_are_none_are_not_understood() {
    for value in ["1e999", "NaN", "inf"] {
        let data = format!(
            "{}{}",
            headings(),
            row(2, &format!("{}<c r=\"B2\"><v>{value}</v></c>", text("A2", "7 Fennel Row")))
        );
        let intake = answer(&workbook(&data, TEXTS)).unwrap();
        assert!(intake.sites[0].supply.cutout_rating_a.is_unknown(), "{value}");
    }
}

#[test]
fn what_is_no_spreadsheet_is_named() {
    let sound = workbook(&headings(), TEXTS);
    refused(b"", "empty");
    refused(b"   \n\n ", "empty");
    refused(&sound[..sound.len() / 2], "damaged or cut short");
    refused(b"PK\x03\x04 nothing of the kind", "damaged or cut short");
    refused(b"%PDF-1.7 ...", "a PDF document");
    refused(b"\x89PNG\r\n", "a picture");
    refused(b"PAR1....", "a Parquet table");
    refused("<!DOCTYPE html><table><tr><td>address".as_bytes(), "web page");
    refused("\u{feff}\n<html xmlns:x=\"urn\">".as_bytes(), "web page");
    refused(&[0_u8, 1, 2, 3, 4, 5, 200, 201, 0, 0, 1, 2], "not a spreadsheet");
    let mut old = vec![0xD0, 0xCF, 0x11, 0xE0, 0xA1, 0xB1, 0x1A, 0xE1];
    old.extend([0; 600]);
    refused(&old, "old .xls workbook");
    old.extend("EncryptedPackage".encode_utf16().flat_map(u16::to_le_bytes));
    refused(&old, "protected with a password");
    let mut zip = zip::ZipWriter::new(std::io::Cursor::new(Vec::new()));
    zip.start_file("photo.jpg", zip::write::SimpleFileOptions::default()).unwrap();
    refused(&zip.finish().unwrap().into_inner(), "zip archive");
    let mut zip = zip::ZipWriter::new(std::io::Cursor::new(Vec::new()));
    for name in ["mimetype", "content.xml"] {
        zip.start_file(name, zip::write::SimpleFileOptions::default()).unwrap();
    }
    refused(&zip.finish().unwrap().into_inner(), "OpenDocument");
}

#[test]
fn damage_anywhere_never_panics() {
    let data = format!(
        "{}{}",
        headings(),
        row(
            2,
            "<c r=\"A2\" t=\"s\"><v>0</v></c><c r=\"B2\"><v>80</v></c><c r=\"C2\"><v>35</v></c><c r=\"D2\"><v>12</v></c>"
        )
    );
    let sound = workbook(&data, TEXTS);
    for at in 0..sound.len() {
        let mut hurt = sound.clone();
        hurt[at] ^= 0x5A;
        let _ = answer(&hurt);
        let _ = answer(&sound[..at]);
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(256))]

    /// Any cells with any positions, types, formulas and values in a sheet's own text never panic, and nothing is lost.
    #[test]
    fn any_sheet_text(
        cells in proptest::collection::vec(
            (
                prop_oneof!["[A-D]{1}[2-9]", "[A-Z]{1,4}[0-9]{1,8}", Just(String::new()), ".{0,5}"],
                prop_oneof!["", "s", "b", "n", "e", "str", "d", "inlineStr", "zz"],
                prop_oneof!["[0-9.eE+-]{0,12}", "[a-zA-Z ]{0,9}", "#[A-Z!?/0]{1,6}", Just("0".to_owned())],
                prop_oneof![2 => Just(String::new()), 1 => Just("<f>A1</f>".to_owned()),
                    1 => "<f t=\"shared\" si=\"[0-9]{1,12}\" ref=\"[A-C][1-9]:[A-D][1-9]\">A1</f>"],
                0..6_u32,
            ),
            0..14,
        ),
        numbers in proptest::collection::vec(prop_oneof![1..40_u32, any::<u32>()], 14),
    ) {
        let mut data = headings();
        for ((at, kind, value, formula, style), number) in cells.iter().zip(&numbers) {
            let clean = |text: &str| text.replace(['<', '>', '&', '"'], "");
            data.push_str(&row(*number, &format!(
                "<c r=\"{}\" t=\"{}\" s=\"{style}\">{formula}<v>{}</v></c>", clean(at), clean(kind), clean(value)
            )));
        }
        if let Ok(intake) = answer(&workbook(&data, TEXTS)) {
            prop_assert_eq!(intake.rows.len(), intake.sites.len() + intake.set_aside.len());
            prop_assert!(intake.rows.iter().all(|row| row.cells.len() == intake.columns.len()));
        }
    }
}
