//! An .xlsx workbook as rows of cells, one at a time.
//!
//! Only the streaming reader is used: the one that builds a whole sheet allocates the rectangle between the first and
//! the last cell, which two cells far apart make larger than any memory. It knows no survey field.

use super::number_format::unit_in_format;
use super::raw::{RawCell, RawRow};
use calamine::{
    CellErrorType, DataRef, Reader, Sheet, SheetType, SheetVisible, Xlsx, XlsxError, open_workbook_from_rs,
};
use std::collections::BTreeMap;
use std::io::Cursor;
use std::ops::ControlFlow;

/// Rows and columns of the format; a cell beyond them is a fault of the file.
pub(super) const MOST_ROWS: u32 = 1_048_576;
pub(super) const MOST_COLUMNS: u32 = 16_384;
/// Cells in a run that cannot be read before the sheet is given up.
const MOST_FAULTS: u32 = 10_000;
/// Rows whose number formats are looked at.
const ROWS_FOR_FORMATS: u32 = 200;
/// Days between the two epochs that workbooks count from.
pub(super) const DAYS_1900_TO_1904: f64 = 1462.0;

/// An open workbook.
pub(super) struct Workbook<'a> {
    book: Xlsx<Cursor<&'a [u8]>>,
    epoch_shift: f64,
    size: usize,
}

/// One sheet by name.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct SheetName {
    pub name: String,
    pub hidden: bool,
}

/// What was met while a sheet streamed by.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct StreamNotes {
    /// Formulas without a stored result.
    pub formulas_without_result: u32,
    /// Cells whose value the format does not know.
    pub unreadable_cells: u32,
}

impl<'a> Workbook<'a> {
    /// Opens bytes that `preflight` found sound.
    pub fn open(bytes: &'a [u8]) -> Result<Self, String> {
        let book: Xlsx<_> = open_workbook_from_rs(Cursor::new(bytes)).map_err(|error| sentence(&error))?;
        let epoch_shift = if book.has_1904_epoch() { DAYS_1900_TO_1904 } else { 0.0 };
        Ok(Self { book, epoch_shift, size: bytes.len() })
    }

    /// Bytes of the file.
    pub fn size(&self) -> usize {
        self.size
    }

    /// The worksheets in the order of their tabs.
    pub fn sheets(&self) -> Vec<SheetName> {
        worksheets(self.book.sheets_metadata())
    }

    /// Units that the number formats of a column show beside its numbers, as in `0.0" kW"`: the cell holds the number
    /// alone. Looks at the rows from `first_row` (from 1) on; columns whose formats disagree are left out.
    pub fn units_in_formats(&mut self, sheet: &str, first_row: u32) -> BTreeMap<u16, String> {
        let mut units: BTreeMap<u16, Option<String>> = BTreeMap::new();
        let Ok(mut reader) = self.book.worksheet_cells_reader(sheet) else { return BTreeMap::new() };
        let mut faults = 0;
        loop {
            let (cell, style) = match reader.next_cell_with_style_id() {
                Ok(Some(found)) => found,
                Ok(None) => break,
                Err(_) if faults < MOST_FAULTS => {
                    faults += 1;
                    continue;
                }
                Err(_) => break,
            };
            let (row, column) = cell.get_position();
            if row + 1 >= first_row.saturating_add(ROWS_FOR_FORMATS) {
                break;
            }
            if row + 1 < first_row
                || column >= MOST_COLUMNS
                || !matches!(cell.get_value(), DataRef::Float(_) | DataRef::Int(_))
            {
                continue;
            }
            let code = reader.styles().get(style).and_then(|style| style.number_format.as_ref());
            let unit = code.and_then(|format| unit_in_format(&format.format_code));
            let known = units.entry(column as u16).or_insert_with(|| unit.clone()); // within MOST_COLUMNS
            if *known != unit {
                *known = None;
            }
        }
        units.into_iter().filter_map(|(column, unit)| Some((column, unit?))).collect()
    }

    /// Hands every row with a filled cell to `visit`, until it breaks off.
    pub fn stream(
        &mut self,
        sheet: &str,
        visit: &mut dyn FnMut(RawRow) -> ControlFlow<()>,
    ) -> Result<StreamNotes, String> {
        let shift = self.epoch_shift;
        let mut reader = self.book.worksheet_cells_reader(sheet).map_err(|error| sentence(&error))?;
        let mut notes = StreamNotes::default();
        let mut row = RawRow::default();
        let mut faults_in_a_run = 0;
        loop {
            let record = match reader.next_cell_with_formula_metadata() {
                Ok(Some(record)) => record,
                Ok(None) => break,
                // One cell with a value that the reader does not know; it goes on with the next.
                Err(XlsxError::CellError(_) | XlsxError::ParseFloat(_) | XlsxError::CellTAttribute(_))
                    if faults_in_a_run < MOST_FAULTS =>
                {
                    faults_in_a_run += 1;
                    notes.unreadable_cells = notes.unreadable_cells.saturating_add(1);
                    continue;
                }
                Err(error) => return Err(sentence(&error)),
            };
            faults_in_a_run = 0;
            let (at_row, at_column) = record.pos;
            if at_row >= MOST_ROWS || at_column >= MOST_COLUMNS {
                return Err(format!(
                    "it has a cell in row {}, column {}, beyond the end of any sheet; open it and save it again",
                    u64::from(at_row) + 1,
                    u64::from(at_column) + 1
                ));
            }
            let cell = match (raw_cell(record.value, shift), record.formula.is_some()) {
                (Some(cell), _) => cell,
                (None, true) => {
                    notes.formulas_without_result = notes.formulas_without_result.saturating_add(1);
                    RawCell::Fault("formula without a result")
                }
                (None, false) => continue,
            };
            if row.row != at_row + 1 {
                if at_row + 1 < row.row {
                    return Err(format!(
                        "its row {} stands after row {}; open it in a spreadsheet program and save it again",
                        at_row + 1,
                        row.row
                    ));
                }
                let capacity = row.cells.len();
                let done = std::mem::replace(&mut row, RawRow { row: at_row + 1, cells: Vec::with_capacity(capacity) });
                if !done.cells.is_empty() && visit(done).is_break() {
                    return Ok(notes);
                }
            }
            put(&mut row.cells, at_column as u16, cell); // within MOST_COLUMNS
        }
        if !row.cells.is_empty() {
            let _ = visit(row);
        }
        Ok(notes)
    }
}

/// The sheets of cells, not charts or macros, in the order of their tabs.
pub(super) fn worksheets(sheets: &[Sheet]) -> Vec<SheetName> {
    sheets
        .iter()
        .filter(|sheet| sheet.typ == SheetType::WorkSheet)
        .map(|sheet| SheetName { name: sheet.name.clone(), hidden: sheet.visible != SheetVisible::Visible })
        .collect()
}

/// Adds a cell in column order; the last of two in one place stands, as spreadsheet programs have it.
pub(super) fn put(cells: &mut Vec<(u16, RawCell)>, column: u16, cell: RawCell) {
    match cells.last() {
        Some((last, _)) if *last >= column => match cells.binary_search_by_key(&column, |(at, _)| *at) {
            Ok(at) => {
                if let Some(slot) = cells.get_mut(at) {
                    slot.1 = cell;
                }
            }
            Err(at) => cells.insert(at, (column, cell)),
        },
        _ => cells.push((column, cell)),
    }
}

pub(super) fn raw_cell(value: DataRef<'_>, shift: f64) -> Option<RawCell> {
    let text = |text: &str| (!text.trim().is_empty()).then(|| RawCell::Text(text.to_owned()));
    let finite = |number: f64| {
        if number.is_finite() { RawCell::Number(number) } else { RawCell::Fault("not a number") }
    };
    match value {
        DataRef::Empty => None,
        DataRef::Int(number) => Some(RawCell::Number(number as f64)),
        DataRef::Float(number) => Some(finite(number)),
        DataRef::String(owned) => (!owned.trim().is_empty()).then_some(RawCell::Text(owned)),
        DataRef::SharedString(shared) => text(shared),
        DataRef::Bool(truth) => Some(RawCell::Bool(truth)),
        DataRef::DateTime(moment) if !moment.as_f64().is_finite() => Some(RawCell::Fault("not a number")),
        DataRef::DateTime(moment) if moment.is_datetime() && moment.as_f64() >= 1.0 => {
            Some(RawCell::Moment(moment.as_f64() + shift))
        }
        DataRef::DateTime(moment) => Some(RawCell::Moment(moment.as_f64())),
        DataRef::DateTimeIso(iso) | DataRef::DurationIso(iso) => text(&iso),
        DataRef::Error(kind) => Some(RawCell::Fault(match kind {
            CellErrorType::Div0 => "#DIV/0!",
            CellErrorType::NA => "#N/A",
            CellErrorType::Name => "#NAME?",
            CellErrorType::Null => "#NULL!",
            CellErrorType::Num => "#NUM!",
            CellErrorType::Ref => "#REF!",
            CellErrorType::Value => "#VALUE!",
            CellErrorType::GettingData => "#GETTING_DATA",
        })),
    }
}

fn sentence(error: &XlsxError) -> String {
    match error {
        XlsxError::Password => {
            "it is protected with a password; open it, take the password off and save it again".to_owned()
        }
        XlsxError::NotAWorksheet(_) => "it holds a chart, not rows; name a sheet with rows".to_owned(),
        other => format!("its inside is damaged ({other}); open it in a spreadsheet program and save it again"),
    }
}
