//! The awkward files under tests/corpus, each with a text beside it that says what must come of it.
//!
//! - `refused/`: each line of the text must occur in the error, whatever the case; `|` separates alternatives.
//! - `read/`: `judged N`, `set-aside N`, and `text SOMETHING` that must occur in a cell as read.
//! - `either/`: a sentence or a reading, but never a crash; the text says why the file is here.

use crate::corpus_parts::{NO_STRINGS, bare_workbook, encrypted, text_row, zipped};
use rust_xlsxwriter::{DocProperties, ExcelDateTime, Workbook, XlsxError};
use std::error::Error;

const HEADINGS: [&str; 4] = ["Address", "Supply fuse (A)", "Estimated load (A)", "Distance to parking (m)"];
const ROWS: [[&str; 4]; 3] = [
    ["2 Heron's Ladder, Tarnholt", "80", "25", "12"],
    ["4 Heron's Ladder, Tarnholt", "60", "30", "9"],
    ["6 Heron's Ladder, Tarnholt", "100", "20", "16"],
];

/// Files by path from the top of the repository.
pub type Files = Vec<(String, Vec<u8>)>;

/// Every file of the corpus, by path from the top of the repository.
pub fn files() -> Result<Files, Box<dyn Error>> {
    let mut files = Files::new();
    refused(&mut files)?;
    read(&mut files)?;
    either(&mut files)?;
    Ok(files)
}

/// A file and the text beside it.
fn add(files: &mut Files, folder: &str, name: &str, bytes: Vec<u8>, lines: &[&str]) {
    let stem = name.replace('.', "-");
    files.push((format!("tests/corpus/{folder}/{name}"), bytes));
    files.push((format!("tests/corpus/{folder}/{stem}.txt"), (lines.join("\n") + "\n").into_bytes()));
}

/// A workbook of texts and numbers, one inner list a row.
fn sheet(rows: &[Vec<&str>]) -> Result<Vec<u8>, XlsxError> {
    let mut workbook = Workbook::new();
    let created = ExcelDateTime::from_ymd(2026, 11, 25)?;
    workbook.set_properties(&DocProperties::new().set_creation_datetime(&created));
    let sheet = workbook.add_worksheet().set_name("Survey")?;
    for (row, cells) in rows.iter().enumerate() {
        for (column, text) in cells.iter().enumerate().filter(|(_, text)| !text.is_empty()) {
            let (row, column) = (row as u32, column as u16);
            match text.parse::<f64>() {
                Ok(number) => sheet.write(row, column, number)?,
                Err(_) => sheet.write(row, column, *text)?,
            };
        }
    }
    workbook.save_to_buffer()
}

fn table(headings: &[&'static str], rows: &[[&'static str; 4]]) -> Vec<Vec<&'static str>> {
    let mut table = vec![headings.to_vec()];
    table.extend(rows.iter().map(|row| row.to_vec()));
    table
}

fn refused(files: &mut Files) -> Result<(), Box<dyn Error>> {
    let mut put = |name: &str, bytes: Vec<u8>, lines: &[&str]| {
        let mut lines = lines.to_vec();
        lines.insert(0, name);
        add(files, "refused", name, bytes, &lines);
    };
    let prose = "Dear all\nthe survey will follow when the second contractor has finished\nRegards\nStock team\n";
    put("letter.xlsx", prose.into(), &["spreadsheet|workbook|heading"]);
    let picture = [0x89, b'P', b'N', b'G', 0x0d, 0x0a, 0x1a, 0x0a, 0, 0, 0, 0x0d, b'I', b'H', b'D', b'R', 0, 0, 0, 1];
    put("picture.xlsx", picture.to_vec(), &["spreadsheet|workbook"]);
    let page = "<html><body><table><tr><td>Address</td><td>Fuse</td></tr></table></body></html>";
    put("page.xls", page.into(), &["web page"]);
    put("empty.xlsx", Vec::new(), &["empty"]);
    put("empty.csv", Vec::new(), &["empty"]);
    let whole = sheet(&table(&HEADINGS, &ROWS))?;
    put("truncated.xlsx", whole[..whole.len() * 3 / 5].to_vec(), &["damaged|incomplete|truncated|cut short|not whole"]);
    put("password.xlsx", encrypted(), &["password"]);
    put("other-archive.xlsx", zipped(&[("readme.txt", "not a workbook")])?, &["spreadsheet|workbook"]);
    put("broken-sheet.xlsx", bare_workbook("<row r=\"1\"><c r=\"A1\"", NO_STRINGS)?, &["damaged|sheet|Survey"]);
    put("blank-sheet.xlsx", sheet(&[])?, &["Survey", "empty|nothing|no heading"]);
    let bare: Vec<Vec<&str>> = ROWS.iter().map(|row| row.to_vec()).collect();
    put("no-headings.xlsx", sheet(&bare)?, &["heading"]);
    put("no-headings.csv", csv_text(&bare, ",").into(), &["heading"]);
    let mut nearest = table(&HEADINGS, &ROWS);
    nearest[0][3] = "Dist. to MPAN";
    put("no-distance.xlsx", sheet(&nearest)?, &["parking", "Dist. to MPAN"]);
    let mut no_supply = table(&HEADINGS, &ROWS);
    no_supply[0][1] = "Officer ref";
    put("no-supply.csv", csv_text(&no_supply, ",").into(), &["cutout_rating_a|supply rating|fuse"]);
    let mut no_address = table(&HEADINGS, &ROWS);
    no_address[0][0] = "Boiler age";
    put("no-address.xlsx", sheet(&no_address)?, &["address"]);
    put("headings-only.xlsx", sheet(&table(&HEADINGS, &[]))?, &["row"]);
    put("headings-only.csv", csv_text(&table(&HEADINGS, &[]), ",").into(), &["row"]);
    let corners = r#"<row r="1"><c r="A1"><v>1</v></c></row><row r="1048576"><c r="XFD1048576"><v>2</v></c></row>"#;
    put("two-cells.xlsx", bare_workbook(corners, NO_STRINGS)?, &["heading"]);
    Ok(())
}

fn read(files: &mut Files) -> Result<(), Box<dyn Error>> {
    let mut put = |name: &str, bytes: Vec<u8>, lines: &[&str]| add(files, "read", name, bytes, lines);
    let mut titled = vec![vec!["Stock condition 2026"], vec!["Printed for the board"], vec![]];
    titled.extend(table(&HEADINGS, &ROWS));
    put("title-above.xlsx", sheet(&titled)?, &["judged 3", "set-aside 0"]);
    let (headings, first) = (text_row(1, &HEADINGS), text_row(2, &ROWS[0]));
    let corner = r#"<row r="1048576"><c r="XFD1048576"><v>2</v></c></row>"#;
    put(
        "far-corner.xlsx",
        bare_workbook(&format!("{headings}{first}{corner}"), NO_STRINGS)?,
        &["judged 1", "set-aside 1"],
    );
    let errors = format!(
        r#"{headings}{first}<row r="3"><c r="A3" t="inlineStr"><is><t>8 Heron's Ladder</t></is></c><c r="B3" t="e"><v>#N/A</v></c><c r="C3" t="e"><v>#SPILL!</v></c><c r="D3"><v>11</v></c></row>"#
    );
    put("error-cells.xlsx", bare_workbook(&errors, NO_STRINGS)?, &["judged 2", "set-aside 0", "text 8 Heron's Ladder"]);
    // As report generators write it: a formula that no spreadsheet program has worked out yet.
    let formula =
        text_row(3, &["10 Heron's Ladder", "80", "25"]).replace("</row>", r#"<c r="D3"><f>4+8</f></c></row>"#);
    put(
        "formula-no-value.xlsx",
        bare_workbook(&format!("{headings}{first}{formula}"), NO_STRINGS)?,
        &["judged 2", "set-aside 0"],
    );
    let windows = "Address;Supply fuse (A);Estimated load (A);Distance to parking (m);Budget\r\n\
                   2 Caf\u{e9} Steps, Tarnholt;80;25;12,5;\u{a3}900\r\n4 Caf\u{e9} Steps, Tarnholt;60;30;9;\u{a3}700\r\n";
    // Every character here has the same number in Windows-1252 as in Unicode, and fits a byte.
    let windows = windows.chars().map(|letter| letter as u8).collect();
    put("semicolon-windows-1252.csv", windows, &["judged 2", "set-aside 0", "text Caf\u{e9} Steps", "text \u{a3}900"]);
    let mut wide = vec![0xff, 0xfe];
    wide.extend(csv_text(&table(&HEADINGS, &ROWS), "\t").encode_utf16().flat_map(u16::to_le_bytes));
    put("utf-16.csv", wide, &["judged 3", "set-aside 0"]);
    let marked = "\u{feff}Address,Supply fuse (A),Estimated load (A),Distance to parking (m),Notes\n\
                  \"2 Heron's Ladder\nTarnholt\",80,25,12,\"two lines, \"\"quoted\"\"\"\n\n,,,,\n4 Heron's Ladder,60,30,9,\n";
    put("byte-mark-and-lines.csv", marked.into(), &["judged 2", "set-aside 0", "text \"quoted\""]);
    let ragged = "Address,Supply fuse (A),Estimated load (A),Distance to parking (m)\n2 Heron's Ladder,80,25,12,spare\n4 Heron's Ladder,60\n";
    put("ragged.csv", ragged.into(), &["judged 2", "set-aside 0", "text spare"]);
    let mut twice = table(&HEADINGS, &ROWS);
    twice.insert(2, HEADINGS.to_vec());
    twice.push(vec!["Sub-total", "", "", ""]);
    put("repeated-headings.csv", csv_text(&twice, ",").into(), &["judged 3", "set-aside 2"]);
    put("table-named-xlsx.xlsx", csv_text(&table(&HEADINGS, &ROWS), ",").into(), &["judged 3", "set-aside 0"]);
    Ok(())
}

fn either(files: &mut Files) -> Result<(), Box<dyn Error>> {
    let mut put = |name: &str, bytes: Vec<u8>, why: &str| add(files, "either", name, bytes, &[why]);
    let (headings, first) = (text_row(1, &HEADINGS), text_row(2, &ROWS[0]));
    let good = format!("{headings}{first}");
    let lie = NO_STRINGS.replace("uniqueCount=\"0\"", "uniqueCount=\"99999999999\"");
    put("shared-strings-lie.xlsx", bare_workbook(&good, &lie)?, "declares more shared strings than memory holds");
    let far = r#"<row r="4294967295"><c r="A4294967295"><v>1</v></c></row>"#;
    put("row-beyond-sheet.xlsx", bare_workbook(&format!("{good}{far}"), NO_STRINGS)?, "a row number no sheet has");
    let huge = format!(
        "{good}<row r=\"3\"><c r=\"A3\"><v>1e999</v></c><c r=\"B3\"><v>NaN</v></c><c r=\"D3\"><v>-1e300</v></c></row>"
    );
    put("not-finite.xlsx", bare_workbook(&huge, NO_STRINGS)?, "numbers that are not finite, or absurd");
    let shared = format!("{good}<row r=\"3\"><c r=\"B3\"><f t=\"shared\" si=\"3000000000\"/><v>80</v></c></row>");
    put("shared-formula-lie.xlsx", bare_workbook(&shared, NO_STRINGS)?, "a shared formula with an absurd index");
    let backwards = format!("{first}{headings}");
    put("rows-out-of-order.xlsx", bare_workbook(&backwards, NO_STRINGS)?, "rows out of order in the part");
    let same = "Address,Distance (m),Distance (m),Supply fuse (A),Estimated load (A)\n2 Heron's Ladder,12,14,80,25\n";
    put("two-same-headings.csv", same.into(), "two columns with one heading");
    let quote = "Address,Supply fuse (A),Estimated load (A),Distance to parking (m)\n\"2 Heron's Ladder,80,25,12\n4 Heron's Ladder,60,30,9\n";
    put("open-quote.csv", quote.into(), "a quotation mark that never closes swallows the rest");
    let noise: Vec<u8> = (0..2048_u32).map(|at| (at.wrapping_mul(2_654_435_761) >> 24) as u8).collect();
    put("noise.csv", noise, "bytes that mean nothing");
    Ok(())
}

/// Delimited text; a cell that holds the delimiter is quoted.
fn csv_text(rows: &[Vec<&str>], delimiter: &str) -> String {
    let quoted = |cell: &&str| match cell.contains(delimiter) {
        true => format!("\"{cell}\""),
        false => (*cell).to_owned(),
    };
    rows.iter().map(|row| row.iter().map(quoted).collect::<Vec<_>>().join(delimiter) + "\n").collect()
}
