//! An old .xls workbook (of 1997 and later) as rows of cells.
//!
//! The format is a list of records; each is read by itself, and one that is cut short is passed over. Nothing is
//! allocated by what a record claims, only by what it holds. It knows no survey field. Numbers of records and places
//! of their parts: MS-XLS, the published description of the format.

use super::compound::{Compound, f64_at, u16_at, u32_at};
use super::layout::{Layout, Region};
use super::legacy_records::{Records, Text};
use super::number_format::{built_in_moment, fault_of, packed_number, shows_moment, unit_in_format};
use super::raw::{RawCell, RawRow, texts_borne, too_much_text};
use super::workbook::{DAYS_1900_TO_1904, SheetName, StreamNotes};
use std::collections::BTreeMap;
use std::ops::ControlFlow;

const FORMULA: u16 = 0x0006;
const END: u16 = 0x000A;
const EPOCH: u16 = 0x0022;
const PASSWORD: u16 = 0x002F;
const COLUMNS: u16 = 0x007D;
const SHEET: u16 = 0x0085;
const PACKED_NUMBERS: u16 = 0x00BD;
const RICH_LABEL: u16 = 0x00D6;
const CELL_FORMAT: u16 = 0x00E0;
const MERGED: u16 = 0x00E5;
const TEXTS: u16 = 0x00FC;
const SHARED_TEXT: u16 = 0x00FD;
const NUMBER: u16 = 0x0203;
const LABEL: u16 = 0x0204;
const TRUTH_OR_FAULT: u16 = 0x0205;
const FORMULA_TEXT: u16 = 0x0207;
const ROW: u16 = 0x0208;
const PACKED_NUMBER: u16 = 0x027E;
const NUMBER_FORMAT: u16 = 0x041E;
const BEGIN: u16 = 0x0809;
/// Version that a workbook of 1997 and later begins with.
const VERSION_1997: u16 = 0x0600;

/// An open workbook.
pub(super) struct Legacy {
    stream: Vec<u8>,
    sheets: Vec<(SheetName, usize)>,
    texts: Vec<String>,
    formats: Vec<CellFormat>,
    shift: f64,
}

#[derive(Clone, Debug, Default)]
struct CellFormat {
    moment: bool,
    unit: Option<String>,
}

/// One sheet's cells by row (from 0), with the format of each.
type Rows = BTreeMap<u16, Vec<(u16, RawCell, u16)>>;

impl Legacy {
    /// Opens bytes that begin like a container of old office files.
    pub fn open(bytes: &[u8]) -> Result<Self, String> {
        let file = Compound::open(bytes).ok_or_else(damaged)?;
        let stream = match (file.stream("Workbook"), file.has("Book")) {
            (Some(stream), _) => stream,
            (None, true) => return Err(too_old()),
            (None, false) if file.has("Workbook") => return Err(damaged()),
            (None, false) => {
                return Err("it is an old document but not a spreadsheet; an .xlsx workbook or a .csv file is wanted"
                    .to_owned());
            }
        };
        let mut book =
            Self { stream: Vec::new(), sheets: Vec::new(), texts: Vec::new(), formats: Vec::new(), shift: 0.0 };
        let mut codes: BTreeMap<u16, String> = BTreeMap::new();
        let mut numbered = Vec::new();
        let mut records = Records { stream: &stream, at: 0 };
        let mut begun = false;
        while let Some((kind, data)) = records.next() {
            match kind {
                BEGIN if !begun => {
                    begun = true;
                    if u16_at(data, 0) != Some(VERSION_1997) {
                        return Err(too_old());
                    }
                }
                _ if !begun => return Err(damaged()),
                PASSWORD => return Err(protected()),
                EPOCH if u16_at(data, 0) == Some(1) => book.shift = DAYS_1900_TO_1904,
                SHEET => {
                    // Only sheets of cells, not charts or macros.
                    if let (Some(place), Some(state), Some(0)) = (u32_at(data, 0), data.get(4), data.get(5)) {
                        let name = Text::of(data.get(6..).unwrap_or_default(), &[]).short();
                        let name = SheetName { name: name.unwrap_or_default(), hidden: state & 3 != 0 };
                        book.sheets.push((name, place as usize));
                    }
                }
                NUMBER_FORMAT => {
                    let code = Text::of(data.get(2..).unwrap_or_default(), &[]).long();
                    if let (Some(number), Some(code)) = (u16_at(data, 0), code) {
                        codes.insert(number, code);
                    }
                }
                CELL_FORMAT => numbered.push(u16_at(data, 2).unwrap_or_default()),
                TEXTS => {
                    let rest = records.continued();
                    book.texts = Text::of(data.get(8..).unwrap_or_default(), &rest).all();
                }
                END => break,
                _ => {}
            }
        }
        if !begun || book.sheets.is_empty() {
            return Err(damaged());
        }
        book.formats = numbered
            .into_iter()
            .map(|number| match codes.get(&number) {
                Some(code) => CellFormat { moment: shows_moment(code), unit: unit_in_format(code) },
                None => CellFormat { moment: built_in_moment(number), unit: None },
            })
            .collect();
        book.stream = stream;
        Ok(book)
    }

    /// Bytes of the file.
    pub fn size(&self) -> usize {
        self.stream.len()
    }

    /// The worksheets in the order of their tabs.
    pub fn sheets(&self) -> Vec<SheetName> {
        self.sheets.iter().map(|(name, _)| name.clone()).collect()
    }

    /// Units that the number formats of a column show; columns whose formats disagree are left out.
    pub fn units_in_formats(&self, sheet: &str, first_row: u32) -> BTreeMap<u16, String> {
        let mut units: BTreeMap<u16, Option<String>> = BTreeMap::new();
        let Ok((rows, _)) = self.rows_of(sheet) else { return BTreeMap::new() };
        for (_, cells) in rows.into_iter().filter(|(row, _)| u32::from(*row) + 1 >= first_row) {
            for (column, _, format) in cells.into_iter().filter(|(_, cell, _)| matches!(cell, RawCell::Number(_))) {
                let unit = self.formats.get(usize::from(format)).and_then(|format| format.unit.clone());
                let known = units.entry(column).or_insert_with(|| unit.clone());
                if *known != unit {
                    *known = None;
                }
            }
        }
        units.into_iter().filter_map(|(column, unit)| Some((column, unit?))).collect()
    }

    /// What a sheet hides and merges.
    pub fn layout(&self, sheet: &str) -> Layout {
        let mut layout = Layout::default();
        for (kind, data) in self.records_of(sheet) {
            let word = |at| u16_at(data, at).unwrap_or_default();
            match kind {
                ROW if word(12) & 0x20 != 0 => layout.hide_rows(u32::from(word(0)) + 1, u32::from(word(0)) + 1),
                COLUMNS if word(8) & 1 != 0 => layout.hide_columns(word(0), word(2).min(255)),
                MERGED => {
                    for region in data.get(2..).unwrap_or_default().chunks_exact(8).take(usize::from(word(0))) {
                        let word = |at| u16_at(region, at).unwrap_or_default();
                        layout.merge(Region {
                            top: u32::from(word(0)) + 1,
                            bottom: u32::from(word(2)) + 1,
                            left: word(4),
                            right: word(6),
                        });
                    }
                }
                _ => {}
            }
        }
        layout
    }

    /// Hands every row with a filled cell to `visit`, until it breaks off.
    pub fn stream(&self, sheet: &str, visit: &mut dyn FnMut(RawRow) -> ControlFlow<()>) -> Result<StreamNotes, String> {
        let (rows, notes) = self.rows_of(sheet)?;
        for (row, cells) in rows {
            let cells = cells.into_iter().map(|(column, cell, _)| (column, cell)).collect();
            if visit(RawRow { row: u32::from(row) + 1, cells }).is_break() {
                break;
            }
        }
        Ok(notes)
    }

    /// The records of a sheet itself, without those of charts within it.
    fn records_of(&self, sheet: &str) -> impl Iterator<Item = (u16, &[u8])> {
        let place = self.sheets.iter().find(|(name, _)| name.name == sheet).map_or(usize::MAX, |(_, place)| *place);
        let mut depth = 0_u32;
        Records { stream: &self.stream, at: place }
            .take_while(move |(kind, _)| {
                match *kind {
                    BEGIN => depth += 1,
                    END => depth = depth.saturating_sub(1),
                    _ => {}
                }
                depth > 0
            })
            .scan(0_u32, |depth, (kind, data)| {
                match kind {
                    BEGIN => *depth += 1,
                    END => *depth = depth.saturating_sub(1),
                    _ => {}
                }
                Some((*depth == 1).then_some((kind, data)))
            })
            .flatten()
    }

    fn rows_of(&self, sheet: &str) -> Result<(Rows, StreamNotes), String> {
        let mut rows = Rows::new();
        let mut notes = StreamNotes::default();
        let mut waiting: Option<(u16, u16, u16)> = None;
        let mut seen = false;
        let mut texts = texts_borne(self.size());
        for (kind, data) in self.records_of(sheet) {
            seen = true;
            let (Some(row), Some(column), format) = (u16_at(data, 0), u16_at(data, 2), u16_at(data, 4).unwrap_or(0))
            else {
                continue;
            };
            let byte = |at: usize| data.get(at).copied();
            let number = |at| f64_at(data, at).map(|number| self.number(number, format));
            let cell = match kind {
                NUMBER => number(6),
                PACKED_NUMBER => u32_at(data, 6).map(|word| self.number(packed_number(word), format)),
                PACKED_NUMBERS => {
                    let pairs = data.get(4..data.len().saturating_sub(2)).unwrap_or_default().chunks_exact(6);
                    for (column, pair) in (column..=255).zip(pairs) {
                        let format = u16_at(pair, 0).unwrap_or_default();
                        let number = self.number(packed_number(u32_at(pair, 2).unwrap_or_default()), format);
                        put(&mut rows, (row, column, format), number);
                    }
                    None
                }
                SHARED_TEXT => u32_at(data, 6).and_then(|at| self.texts.get(at as usize)).and_then(|text| filled(text)),
                LABEL | RICH_LABEL => {
                    Text::of(data.get(6..).unwrap_or_default(), &[]).long().and_then(|text| filled(&text))
                }
                TRUTH_OR_FAULT => match (byte(6), byte(7)) {
                    (Some(truth), Some(0)) => Some(RawCell::Bool(truth != 0)),
                    (Some(code), Some(_)) => Some(RawCell::Fault(fault_of(code))),
                    _ => None,
                },
                FORMULA if u16_at(data, 12) == Some(0xFFFF) => match (byte(6), byte(8)) {
                    (Some(0), _) => {
                        waiting = Some((row, column, format));
                        None
                    }
                    (Some(1), Some(truth)) => Some(RawCell::Bool(truth != 0)),
                    (Some(2), Some(code)) => Some(RawCell::Fault(fault_of(code))),
                    _ => None,
                },
                FORMULA => number(6),
                FORMULA_TEXT => {
                    let text = Text::of(data, &[]).long().and_then(|text| filled(&text));
                    if let (Some(place), Some(text)) = (waiting.take(), text) {
                        put(&mut rows, place, text);
                    }
                    None
                }
                _ => None,
            };
            if let Some(RawCell::Text(text)) = &cell {
                let bytes = text.len() as u64;
                texts = texts.checked_sub(bytes).ok_or_else(|| too_much_text(u32::from(row) + 1))?;
            }
            if let Some(cell) = cell.filter(|_| column <= 255) {
                if matches!(cell, RawCell::Fault("not a number")) {
                    notes.unreadable_cells = notes.unreadable_cells.saturating_add(1);
                }
                put(&mut rows, (row, column, format), cell);
            }
        }
        if seen { Ok((rows, notes)) } else { Err(damaged()) }
    }

    fn number(&self, number: f64, format: u16) -> RawCell {
        let moment = self.formats.get(usize::from(format)).is_some_and(|format| format.moment);
        match (number.is_finite(), moment) {
            (false, _) => RawCell::Fault("not a number"),
            (true, false) => RawCell::Number(number),
            (true, true) if number >= 1.0 => RawCell::Moment(number + self.shift),
            (true, true) => RawCell::Moment(number),
        }
    }
}

fn filled(text: &str) -> Option<RawCell> {
    (!text.trim().is_empty()).then(|| RawCell::Text(text.to_owned()))
}

/// Adds a cell in column order; the last of two in one place stands.
fn put(rows: &mut Rows, (row, column, format): (u16, u16, u16), cell: RawCell) {
    let cells = rows.entry(row).or_default();
    match cells.binary_search_by_key(&column, |(at, _, _)| *at) {
        Ok(at) => {
            if let Some(slot) = cells.get_mut(at) {
                *slot = (column, cell, format);
            }
        }
        Err(at) => cells.insert(at, (column, cell, format)),
    }
}

fn damaged() -> String {
    "it is an old .xls workbook that is damaged or cut short; fetch it again, or open it and save it as .xlsx"
        .to_owned()
}

fn protected() -> String {
    "it is protected with a password; open it, take the password off and save it again".to_owned()
}

fn too_old() -> String {
    "it is a workbook of a kind from before 1997; open it and save it as .xlsx".to_owned()
}
