//! Makes awkward files part by part: a bare workbook from its XML, an encrypted one from its container header. Knows
//! nothing of surveys.

use std::io::{Cursor, Write};
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, DateTime, ZipWriter};

/// A zip of the parts given, with fixed dates.
pub fn zipped(parts: &[(&str, &str)]) -> Result<Vec<u8>, Box<dyn std::error::Error>> {
    let options = SimpleFileOptions::default()
        .compression_method(CompressionMethod::Deflated)
        .last_modified_time(DateTime::default());
    let mut zip = ZipWriter::new(Cursor::new(Vec::new()));
    for (name, text) in parts {
        zip.start_file(*name, options)?;
        zip.write_all(text.as_bytes())?;
    }
    Ok(zip.finish()?.into_inner())
}

const CONTENT_TYPES: &str = r#"<?xml version="1.0" encoding="UTF-8"?><Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types"><Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/><Default Extension="xml" ContentType="application/xml"/><Override PartName="/xl/workbook.xml" ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml"/><Override PartName="/xl/worksheets/sheet1.xml" ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.worksheet+xml"/><Override PartName="/xl/sharedStrings.xml" ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.sharedStrings+xml"/></Types>"#;
const TOP_LINKS: &str = r#"<?xml version="1.0" encoding="UTF-8"?><Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Id="rId1" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/officeDocument" Target="xl/workbook.xml"/></Relationships>"#;
const BOOK: &str = r#"<?xml version="1.0" encoding="UTF-8"?><workbook xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main" xmlns:r="http://schemas.openxmlformats.org/officeDocument/2006/relationships"><sheets><sheet name="Survey" sheetId="1" r:id="rId1"/></sheets></workbook>"#;
const BOOK_LINKS: &str = r#"<?xml version="1.0" encoding="UTF-8"?><Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Id="rId1" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/worksheet" Target="worksheets/sheet1.xml"/><Relationship Id="rId2" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/sharedStrings" Target="sharedStrings.xml"/></Relationships>"#;
/// A shared strings part that holds nothing.
pub const NO_STRINGS: &str = r#"<?xml version="1.0" encoding="UTF-8"?><sst xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main" count="0" uniqueCount="0"/>"#;

/// A one-sheet workbook whose rows are given as XML.
pub fn bare_workbook(rows: &str, strings: &str) -> Result<Vec<u8>, Box<dyn std::error::Error>> {
    let sheet = format!(
        r#"<?xml version="1.0" encoding="UTF-8"?><worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData>{rows}</sheetData></worksheet>"#
    );
    zipped(&[
        ("[Content_Types].xml", CONTENT_TYPES),
        ("_rels/.rels", TOP_LINKS),
        ("xl/workbook.xml", BOOK),
        ("xl/_rels/workbook.xml.rels", BOOK_LINKS),
        ("xl/worksheets/sheet1.xml", &sheet),
        ("xl/sharedStrings.xml", strings),
    ])
}

/// One row of text cells as XML, from column A on.
pub fn text_row(number: u32, cells: &[&str]) -> String {
    let mut row = format!(r#"<row r="{number}">"#);
    for (letter, text) in ('A'..).zip(cells) {
        row += &format!(r#"<c r="{letter}{number}" t="inlineStr"><is><t>{text}</t></is></c>"#);
    }
    row + "</row>"
}

/// A compound file whose directory names an encrypted package, as a workbook with a password has. It holds no data.
pub fn encrypted() -> Vec<u8> {
    const FREE: u32 = 0xffff_ffff;
    const END: u32 = 0xffff_fffe;
    const FAT_SECTOR: u32 = 0xffff_fffd;
    let mut header = vec![0_u8; 512];
    let mut put = |at: usize, bytes: &[u8]| header[at..at + bytes.len()].copy_from_slice(bytes);
    put(0, &[0xd0, 0xcf, 0x11, 0xe0, 0xa1, 0xb1, 0x1a, 0xe1]);
    put(24, &0x003e_u16.to_le_bytes()); // minor version
    put(26, &3_u16.to_le_bytes()); // major version: sectors of 512 bytes
    put(28, &0xfffe_u16.to_le_bytes()); // little endian
    put(30, &9_u16.to_le_bytes());
    put(32, &6_u16.to_le_bytes());
    put(44, &1_u32.to_le_bytes()); // one allocation sector
    put(48, &1_u32.to_le_bytes()); // the directory begins in sector 1
    put(56, &4096_u32.to_le_bytes());
    put(60, &END.to_le_bytes()); // no small streams
    put(68, &END.to_le_bytes()); // no further allocation sectors
    put(76, &0_u32.to_le_bytes());
    for index in 1..109 {
        put(76 + index * 4, &FREE.to_le_bytes());
    }
    let mut allocation: Vec<u8> = [FAT_SECTOR, END].iter().flat_map(|word| word.to_le_bytes()).collect();
    allocation.resize(512, 0xff);
    let mut directory = Vec::new();
    directory.extend(entry("Root Entry", 5, 1));
    directory.extend(entry("EncryptedPackage", 2, FREE));
    directory.extend(entry("", 0, FREE));
    directory.extend(entry("", 0, FREE));
    [header, allocation, directory].concat()
}

/// One directory entry of a compound file.
fn entry(name: &str, kind: u8, child: u32) -> Vec<u8> {
    let mut entry: Vec<u8> = name.encode_utf16().flat_map(u16::to_le_bytes).collect();
    let length = if name.is_empty() { 0 } else { entry.len() as u16 + 2 };
    entry.resize(128, 0);
    entry[64..66].copy_from_slice(&length.to_le_bytes());
    entry[66] = kind;
    entry[67] = 1;
    entry[68..76].fill(0xff); // no siblings
    entry[76..80].copy_from_slice(&child.to_le_bytes());
    entry[116..120].copy_from_slice(&0xffff_fffe_u32.to_le_bytes());
    entry
}

#[cfg(test)]
mod tests {
    use super::*;
    use calamine::{Reader, Xlsx, XlsxError};

    #[test]
    fn the_encrypted_file_is_taken_for_one() {
        let opened = Xlsx::new(Cursor::new(encrypted()));
        assert!(matches!(opened, Err(XlsxError::Password)), "{:?}", opened.err());
    }

    #[test]
    fn a_bare_workbook_opens() {
        let book = bare_workbook(&text_row(1, &["Address"]), NO_STRINGS).expect("zip in memory");
        let mut opened = Xlsx::new(Cursor::new(book)).expect("a workbook");
        let mut cells = opened.worksheet_cells_reader("Survey").expect("its sheet");
        assert!(cells.next_cell().expect("a cell").is_some());
    }
}
