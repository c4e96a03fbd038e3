//! The floor of the benchmark: the same cells read and the same cells written, by the same two libraries in the same
//! modes, on the same threads, with nothing between. Knows nothing of sites.

use baywright::report::compression_level;
use calamine::{DataRef, Reader, Xlsx, open_workbook};
use rayon::prelude::*;
use rust_xlsxwriter::{Workbook, Worksheet, XlsxError};
use std::error::Error;
use std::fs::File;
use std::io::BufReader;
use std::path::Path;

/// One cell of a finished workbook.
pub struct Held {
    row: u32,
    column: u16,
    value: Value,
}

enum Value {
    Text(Box<str>),
    Number(f64),
}

/// One sheet of a finished workbook, held in memory.
pub struct SheetCells {
    name: String,
    /// Texts stand in the sheet itself: the mark of the mode that writes row by row.
    row_by_row: bool,
    cells: Vec<Held>,
}

/// Reads every cell of every sheet and lets it go: the floor of reading. Returns the number of cells.
pub fn read(path: &Path) -> Result<u64, Box<dyn Error>> {
    let mut workbook: Xlsx<BufReader<File>> = open_workbook(path)?;
    let mut count = 0;
    for name in workbook.sheet_names() {
        let mut cells = workbook.worksheet_cells_reader(&name)?;
        while cells.next_cell()?.is_some() {
            count += 1;
        }
    }
    Ok(count)
}

/// Holds every cell of every sheet in memory.
pub fn hold(path: &Path) -> Result<Vec<SheetCells>, Box<dyn Error>> {
    let mut workbook: Xlsx<BufReader<File>> = open_workbook(path)?;
    let mut sheets = Vec::new();
    for name in workbook.sheet_names() {
        let mut sheet = SheetCells { name: name.clone(), row_by_row: false, cells: Vec::new() };
        let (mut inline, mut shared) = (0_u64, 0_u64);
        let mut reader = workbook.worksheet_cells_reader(&name)?;
        while let Some(cell) = reader.next_cell()? {
            let (row, column) = cell.get_position();
            let value = match cell.get_value() {
                DataRef::String(text) => {
                    inline += 1;
                    Value::Text(text.as_str().into())
                }
                DataRef::SharedString(text) => {
                    shared += 1;
                    Value::Text((*text).into())
                }
                DataRef::Int(number) => Value::Number(*number as f64),
                DataRef::Float(number) => Value::Number(*number),
                DataRef::DateTime(date) => Value::Number(date.as_f64()),
                DataRef::Bool(truth) => Value::Number(f64::from(u8::from(*truth))),
                _ => continue,
            };
            sheet.cells.push(Held { row, column: u16::try_from(column)?, value });
        }
        sheet.row_by_row = inline > shared;
        sheets.push(sheet);
    }
    Ok(sheets)
}

/// Writes the held cells: sheets are filled side by side on the same threads as the main job's, in the same modes and
/// with the same compression; no formats.
pub fn write(path: &Path, sheets: &[SheetCells]) -> Result<(), Box<dyn Error>> {
    let ranked = sheets
        .iter()
        .find(|sheet| sheet.name == "Ranking")
        .and_then(|sheet| sheet.cells.last())
        .map_or(0, |cell| cell.row as usize);
    let mut workbook = Workbook::new();
    workbook.set_zip_compression_level(compression_level(ranked));
    let mut pairs = Vec::new();
    for sheet in sheets {
        let mut worksheet =
            if sheet.row_by_row { workbook.new_worksheet_with_constant_memory()? } else { Worksheet::new() };
        worksheet.set_name(&sheet.name)?;
        pairs.push((worksheet, sheet));
    }
    let filled: Vec<Result<Worksheet, XlsxError>> = pairs
        .into_par_iter()
        .with_max_len(1)
        .map(|(mut worksheet, sheet)| fill(&mut worksheet, sheet).map(|()| worksheet))
        .collect();
    for worksheet in filled {
        workbook.push_worksheet(worksheet?);
    }
    workbook.save(path)?;
    Ok(())
}

fn fill(worksheet: &mut Worksheet, sheet: &SheetCells) -> Result<(), XlsxError> {
    for cell in &sheet.cells {
        match &cell.value {
            Value::Text(text) => worksheet.write_string(cell.row, cell.column, &**text)?,
            Value::Number(number) => worksheet.write_number(cell.row, cell.column, *number)?,
        };
    }
    Ok(())
}
