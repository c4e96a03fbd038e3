//! A binary .xlsb workbook as rows of cells, one at a time.
//!
//! Cells come from the streaming reader, which panics where a record is shorter than it should be; a panic is taken
//! for damage. Lengths that records claim are held against the part first, since the reader believes them. What is
//! hidden, merged and shown beside numbers is read from the records themselves. It knows no survey field. Numbers of
//! records: MS-XLSB, the published description of the format.

use super::compound::{u16_at, u32_at};
use super::guarded::unwound;
use super::hidden::part_of;
use super::layout::{Layout, Region};
use super::number_format::unit_in_format;
use super::raw::RawRow;
use super::workbook::{DAYS_1900_TO_1904, MOST_COLUMNS, MOST_ROWS, SheetName, StreamNotes, put, raw_cell, worksheets};
use calamine::{Reader, Xlsb, XlsbError, open_workbook_from_rs};
use std::collections::BTreeMap;
use std::io::{BufReader, Cursor, Read};
use std::ops::ControlFlow;

const ROW: u32 = 0x00;
const FORMAT: u32 = 0x2C;
/// Numbers: packed, plain, and as the result of a formula.
const NUMBERS: [u32; 3] = [0x02, 0x05, 0x09];
const CELL_FORMAT: u32 = 0x2F;
const COLUMNS: u32 = 0x3C;
const SHEET: u32 = 0x9C;
const MERGED: u32 = 0xB0;
const CELL_FORMATS_BEGIN: u32 = 0x269;
const CELL_FORMATS_END: u32 = 0x26A;
/// Bytes of the longest record of any workbook.
const LONGEST_RECORD: u64 = 1 << 20;

/// An open workbook.
pub(super) struct Binary<'a> {
    bytes: &'a [u8],
    book: Xlsb<Cursor<&'a [u8]>>,
    shift: f64,
}

impl<'a> Binary<'a> {
    /// Opens bytes that `preflight` found sound.
    pub fn open(bytes: &'a [u8]) -> Result<Self, String> {
        check_lengths(bytes)?;
        let book: Xlsb<_> = guarded(|| open_workbook_from_rs(Cursor::new(bytes)))?;
        let shift = if book.has_1904_epoch() { DAYS_1900_TO_1904 } else { 0.0 };
        Ok(Self { bytes, book, shift })
    }

    /// Bytes of the file.
    pub fn size(&self) -> usize {
        self.bytes.len()
    }

    /// The worksheets in the order of their tabs.
    pub fn sheets(&self) -> Vec<SheetName> {
        worksheets(self.book.sheets_metadata())
    }

    /// Hands every row with a filled cell to `visit`, until it breaks off.
    pub fn stream(
        &mut self,
        sheet: &str,
        visit: &mut dyn FnMut(RawRow) -> ControlFlow<()>,
    ) -> Result<StreamNotes, String> {
        let shift = self.shift;
        let mut reader = guarded(|| self.book.worksheet_cells_reader(sheet))?;
        let mut row = RawRow::default();
        while let Some(cell) = guarded(|| reader.next_cell())? {
            let (at_row, at_column) = cell.get_position();
            if at_row >= MOST_ROWS || at_column >= MOST_COLUMNS {
                return Err("it has a cell beyond the end of any sheet; open it and save it again".to_owned());
            }
            let Some(value) = raw_cell(cell.get_value().clone(), shift) else { continue };
            if row.row != at_row + 1 {
                if at_row + 1 < row.row {
                    return Err(format!(
                        "its row {} stands after row {}; open it in a spreadsheet program and save it again",
                        at_row + 1,
                        row.row
                    ));
                }
                let done = std::mem::replace(&mut row, RawRow { row: at_row + 1, cells: Vec::new() });
                if !done.cells.is_empty() && visit(done).is_break() {
                    return Ok(StreamNotes::default());
                }
            }
            put(&mut row.cells, at_column as u16, value); // within MOST_COLUMNS
        }
        if !row.cells.is_empty() {
            let _ = visit(row);
        }
        Ok(StreamNotes::default())
    }

    /// What a sheet hides and merges.
    pub fn layout(&self, sheet: &str) -> Layout {
        let mut layout = Layout::default();
        self.records_of(sheet, &mut |kind, data| {
            let word = |at| u32_at(data, at).unwrap_or_default();
            let column = |at| word(at).min(MOST_COLUMNS - 1) as u16; // within MOST_COLUMNS
            match kind {
                // The row's marks: its level in the last three bits, then hidden by its height.
                ROW if data.get(11).is_some_and(|marks| marks & 0x10 != 0) => {
                    layout.hide_rows(word(0).saturating_add(1), word(0).saturating_add(1));
                }
                COLUMNS if data.get(16).is_some_and(|marks| marks & 1 != 0) => {
                    layout.hide_columns(column(0), column(4))
                }
                MERGED => layout.merge(Region {
                    top: word(0).saturating_add(1),
                    bottom: word(4).saturating_add(1),
                    left: column(8),
                    right: column(12),
                }),
                _ => {}
            }
            ControlFlow::Continue(())
        });
        layout
    }

    /// Units that the number formats of a column show; columns whose formats disagree are left out.
    pub fn units_in_formats(&self, sheet: &str, first_row: u32) -> BTreeMap<u16, String> {
        let mut codes: BTreeMap<u16, String> = BTreeMap::new();
        let mut formats: Vec<Option<String>> = Vec::new();
        let mut within = false;
        each_record(self.bytes, "xl/styles.bin", &mut |kind, data| {
            match kind {
                FORMAT => {
                    let units = data.get(6..).unwrap_or_default().chunks_exact(2);
                    let units: Vec<u16> = units.filter_map(|unit| u16_at(unit, 0)).collect();
                    codes.insert(u16_at(data, 0).unwrap_or_default(), String::from_utf16_lossy(&units));
                }
                CELL_FORMATS_BEGIN => within = true,
                CELL_FORMATS_END => within = false,
                CELL_FORMAT if within => {
                    let code = codes.get(&u16_at(data, 2).unwrap_or_default());
                    formats.push(code.and_then(|code| unit_in_format(code)));
                }
                _ => {}
            }
            ControlFlow::Continue(())
        });
        let mut units: BTreeMap<u16, Option<String>> = BTreeMap::new();
        let mut row = 0;
        self.records_of(sheet, &mut |kind, data| {
            let word = |at| u32_at(data, at).unwrap_or_default();
            if kind == ROW {
                row = word(0).saturating_add(1);
            }
            if row >= first_row && NUMBERS.contains(&kind) {
                let unit = formats.get((word(4) & 0x00FF_FFFF) as usize).cloned().flatten();
                // A column beyond the last one is refused where cells are read.
                let known = units.entry(word(0).min(MOST_COLUMNS) as u16).or_insert_with(|| unit.clone());
                if *known != unit {
                    *known = None;
                }
            }
            if row > first_row.saturating_add(200) { ControlFlow::Break(()) } else { ControlFlow::Continue(()) }
        });
        units.into_iter().filter_map(|(column, unit)| Some((column, unit?))).collect()
    }

    fn records_of(&self, sheet: &str, visit: &mut dyn FnMut(u32, &[u8]) -> ControlFlow<()>) {
        let Ok(mut archive) = zip::ZipArchive::new(Cursor::new(self.bytes)) else { return };
        let mut id = None;
        each_record(self.bytes, "xl/workbook.bin", &mut |kind, data| {
            if kind == SHEET {
                let mut texts = data.get(8..).unwrap_or_default();
                let relation = wide_text(&mut texts);
                if wide_text(&mut texts).as_deref() == Some(sheet) {
                    id = relation;
                }
            }
            ControlFlow::Continue(())
        });
        let part = id.and_then(|id| part_of(&mut archive, "xl/_rels/workbook.bin.rels", &id));
        if let Some(part) = part {
            each_record(self.bytes, &part, visit);
        }
    }
}

/// A text with its length in four bytes, taken off the front of `data`.
fn wide_text(data: &mut &[u8]) -> Option<String> {
    let length = (u32_at(data, 0)? as usize).checked_mul(2)?.checked_add(4)?;
    let units: Vec<u16> = data.get(4..length)?.chunks_exact(2).filter_map(|unit| u16_at(unit, 0)).collect();
    *data = data.get(length..)?;
    Some(String::from_utf16_lossy(&units))
}

/// Hands every record of a part to `visit`; `None` when the part is not there or a record claims too much.
fn each_record(bytes: &[u8], part: &str, visit: &mut dyn FnMut(u32, &[u8]) -> ControlFlow<()>) -> Option<()> {
    let mut archive = zip::ZipArchive::new(Cursor::new(bytes)).ok()?;
    let mut part = BufReader::new(archive.by_name(part).ok()?);
    let mut data = Vec::new();
    loop {
        let Some(kind) = number(&mut part, 2) else { return Some(()) };
        let length = u64::from(number(&mut part, 4)?);
        if length > LONGEST_RECORD {
            return None;
        }
        data.clear();
        if part.by_ref().take(length).read_to_end(&mut data).ok()? as u64 != length {
            return None;
        }
        if visit(kind, &data).is_break() {
            return Some(());
        }
    }
}

/// A number in bytes of seven bits each, at most `most` of them; a kind keeps the mark of its first byte's bit only.
fn number(part: &mut impl Read, most: u32) -> Option<u32> {
    let mut value = 0;
    for at in 0..most {
        let mut byte = [0];
        part.read_exact(&mut byte).ok()?;
        let [byte] = byte;
        value |= u32::from(byte & 0x7F) << (7 * at);
        if byte & 0x80 == 0 {
            break;
        }
    }
    Some(value)
}

/// Whether every record of every binary part that the reader opens is as long as it says.
fn check_lengths(bytes: &[u8]) -> Result<(), String> {
    let archive = zip::ZipArchive::new(Cursor::new(bytes)).map_err(|_| damaged(&"its archive"))?;
    let parts: Vec<String> = archive.file_names().flatten().map(|name| name.into_owned()).collect();
    let read = |name: &&String| {
        name.ends_with(".bin")
            && (name.contains("worksheets/sheet")
                || ["workbook.bin", "styles.bin", "sharedStrings.bin"].iter().any(|end| name.ends_with(end)))
    };
    for part in parts.iter().filter(read) {
        each_record(bytes, part, &mut |_, _| ControlFlow::Continue(())).ok_or_else(|| damaged(part))?;
    }
    Ok(())
}

/// What the reader says, with a panic of it taken for damage.
fn guarded<T>(read: impl FnOnce() -> Result<T, XlsbError>) -> Result<T, String> {
    match unwound(read) {
        Some(Ok(found)) => Ok(found),
        Some(Err(XlsbError::Password)) => {
            Err("it is protected with a password; open it, take the password off and save it again".to_owned())
        }
        Some(Err(error)) => Err(damaged(&error)),
        None => Err(damaged(&"a record is too short")),
    }
}

fn damaged(what: &dyn std::fmt::Display) -> String {
    format!("its inside is damaged ({what}); open it in a spreadsheet program and save it again as .xlsx")
}
