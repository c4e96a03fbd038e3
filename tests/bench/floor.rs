//! The floor of the benchmark: the same cells read and the same cells written, by the same two libraries in the same
//! modes, with nothing between. Knows nothing of sites.

use baywright::report::compression_level;
use calamine::{DataRef, Reader, Xlsx, open_workbook};
use rayon::prelude::*;
use rust_xlsxwriter::{Workbook, Worksheet, XlsxError};
use std::error::Error;
use std::fs::File;
use std::io::BufReader;
use std::path::Path;

/// What one sheet of the result holds.
#[derive(Debug, Clone)]
pub struct SheetCount {
    /// Name of the sheet.
    pub name: String,
    /// Rows with a cell.
    pub rows: u32,
    /// Cells with a text.
    pub texts: u64,
    /// Bytes of those texts.
    pub text_bytes: u64,
    /// Of those, the texts that stand in the sheet itself: the mark of the mode that writes row by row.
    pub inline_texts: u64,
    /// Cells with a number, a date or a truth value.
    pub numbers: u64,
}

/// Counts the cells of every sheet, cell by cell.
pub fn count(path: &Path) -> Result<Vec<SheetCount>, Box<dyn Error>> {
    let mut workbook: Xlsx<BufReader<File>> = open_workbook(path)?;
    let mut counts = Vec::new();
    for name in workbook.sheet_names() {
        let mut count =
            SheetCount { name: name.clone(), rows: 0, texts: 0, text_bytes: 0, inline_texts: 0, numbers: 0 };
        let mut last_row = None;
        let mut cells = workbook.worksheet_cells_reader(&name)?;
        while let Some(cell) = cells.next_cell()? {
            let text = match cell.get_value() {
                DataRef::Empty => continue,
                DataRef::String(text) => {
                    count.inline_texts += 1;
                    text.len()
                }
                DataRef::SharedString(text) => text.len(),
                _ => {
                    count.numbers += 1;
                    0
                }
            };
            if text > 0 {
                count.texts += 1;
                count.text_bytes += text as u64;
            }
            if last_row != Some(cell.get_position().0) {
                count.rows += 1;
                last_row = Some(cell.get_position().0);
            }
        }
        counts.push(count);
    }
    Ok(counts)
}

/// Writes as many cells as were counted: texts of the mean length, all different, and numbers. Sheets are filled side
/// by side on the same threads as the main job's, in the same modes and with the same compression.
pub fn write(path: &Path, counts: &[SheetCount]) -> Result<(), Box<dyn Error>> {
    let mut workbook = Workbook::new();
    let ranked = counts.iter().find(|count| count.name == "Ranking").map_or(0, |count| count.rows as usize);
    workbook.set_zip_compression_level(compression_level(ranked));
    let mut sheets = Vec::new();
    for count in counts {
        // Texts in the sheet itself come from the mode that keeps one row in memory.
        let row_by_row = count.inline_texts * 2 > count.texts;
        let mut sheet = if row_by_row { workbook.new_worksheet_with_constant_memory()? } else { Worksheet::new() };
        sheet.set_name(&count.name)?;
        sheets.push((sheet, count));
    }
    let filled: Vec<Result<Worksheet, XlsxError>> = sheets
        .into_par_iter()
        .with_max_len(1)
        .map(|(mut sheet, count)| fill(&mut sheet, count).map(|()| sheet))
        .collect();
    for sheet in filled {
        workbook.push_worksheet(sheet?);
    }
    workbook.save(path)?;
    Ok(())
}

fn fill(sheet: &mut Worksheet, count: &SheetCount) -> Result<(), XlsxError> {
    use std::fmt::Write;
    let cells = count.texts + count.numbers;
    let columns = cells.div_ceil(u64::from(count.rows.max(1))).max(1);
    let length = (count.text_bytes / count.texts.max(1)) as usize;
    let mut text = String::new();
    for at in 0..cells {
        let (row, column) = ((at / columns) as u32, (at % columns) as u16);
        // Texts spread evenly between the numbers.
        if at * count.texts / cells != (at + 1) * count.texts / cells {
            text.clear();
            // Writing to a String cannot fail.
            let _ = write!(text, "{at:<length$}");
            sheet.write_string(row, column, &text)?;
        } else {
            sheet.write_number(row, column, at as f64 * 0.5)?;
        }
    }
    Ok(())
}
