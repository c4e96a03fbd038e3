//! An OpenDocument spreadsheet (.ods) as rows of cells, one at a time.
//!
//! The format writes equal neighbours once, with a count: a hundred bytes can say a million rows of a thousand cells.
//! What repetition makes is therefore counted, and a sheet is given up where that is more than any survey holds. It
//! knows no survey field.

use super::layout::{Layout, Region};
use super::open_cells::{Row, Xml, attribute, count, damaged, is_hidden, read_row};
use super::raw::{RawCell, RawRow, texts_borne, too_much_text};
use super::source::{MOST_SHEETS, too_many_sheets};
use super::workbook::{SheetName, StreamNotes};
use quick_xml::events::Event;
use std::collections::{BTreeMap, BTreeSet};
use std::io::{BufRead, BufReader, Cursor};
use std::ops::ControlFlow;

/// Rows and columns of any sheet.
const MOST_ROWS: u32 = 1_048_576;
const MOST_COLUMNS: u32 = 16_384;
/// Filled cells of one sheet that may come of repetition.
const MOST_REPEATED: u64 = 1_000_000;
/// Filled rows of one sheet that may come of repetition: two sites are hardly ever written alike in every cell.
const MOST_ROWS_REPEATED: u64 = 20_000;
/// Rows whose numbers are looked at for the unit shown beside them.
const ROWS_FOR_UNITS: u32 = 200;

/// An open document.
pub(super) struct OpenDocument<'a> {
    bytes: &'a [u8],
    sheets: Vec<SheetName>,
}

/// What is done with a row and its number, from 1.
type Visit<'v> = &'v mut dyn FnMut(u32, Row) -> Result<ControlFlow<()>, String>;

impl<'a> OpenDocument<'a> {
    /// Opens bytes that `preflight` found sound.
    pub fn open(bytes: &'a [u8]) -> Result<Self, String> {
        let mut document = Self { bytes, sheets: Vec::new() };
        document.sheets = document.find_sheets()?;
        Ok(document)
    }

    /// Bytes of the file.
    pub fn size(&self) -> usize {
        self.bytes.len()
    }

    /// The sheets in the order of their tabs.
    pub fn sheets(&self) -> Vec<SheetName> {
        self.sheets.clone()
    }

    /// Units that the sheet shows beside the numbers of a column ("40 ft" where the cell holds 40); columns that
    /// disagree are left out.
    pub fn units_shown(&self, sheet: &str, first_row: u32) -> BTreeMap<u16, String> {
        let mut units: BTreeMap<u16, Option<String>> = BTreeMap::new();
        let mut layout = Layout::default();
        let _ = self.rows_of(sheet, &mut layout, &mut |number, row| {
            for (column, cell) in &row.cells {
                if number < first_row || !matches!(cell.value, Some(RawCell::Number(_))) {
                    continue;
                }
                let after = cell.shown.rfind(|c: char| c.is_ascii_digit()).and_then(|at| cell.shown.get(at + 1..));
                let word = after.unwrap_or_default().trim().to_lowercase();
                let plain = !word.is_empty() && word.len() <= 8 && word.chars().all(char::is_alphanumeric);
                let unit = plain.then_some(word);
                let known = units.entry(*column as u16).or_insert_with(|| unit.clone()); // within MOST_COLUMNS
                if *known != unit {
                    *known = None;
                }
            }
            Ok(if number >= first_row.saturating_add(ROWS_FOR_UNITS) {
                ControlFlow::Break(())
            } else {
                ControlFlow::Continue(())
            })
        });
        units.into_iter().filter_map(|(column, unit)| Some((column, unit?))).collect()
    }

    /// What a sheet hides and merges; as far as it can be read.
    pub fn layout(&self, sheet: &str) -> Layout {
        let mut layout = Layout::default();
        let _ = self.rows_of(sheet, &mut layout, &mut |_, _| Ok(ControlFlow::Continue(())));
        layout
    }

    /// Hands every row with a filled cell to `visit`, until it breaks off.
    pub fn stream(&self, sheet: &str, visit: &mut dyn FnMut(RawRow) -> ControlFlow<()>) -> Result<StreamNotes, String> {
        let mut notes = StreamNotes::default();
        let (mut made, mut rows_made) = (0_u64, 0_u64);
        let mut texts = texts_borne(self.size());
        self.rows_of(sheet, &mut Layout::default(), &mut |number, row| {
            let mut cells = Vec::with_capacity(row.cells.len());
            for (column, cell) in row.cells {
                let value = match (cell.value, cell.formula) {
                    (Some(value), _) => value,
                    (None, true) => {
                        notes.formulas_without_result = notes.formulas_without_result.saturating_add(1);
                        RawCell::Fault("formula without a result")
                    }
                    (None, false) => continue,
                };
                if let RawCell::Text(text) = &value {
                    let bytes = (text.len() as u64).saturating_mul(u64::from(cell.repeated.min(MOST_COLUMNS)));
                    texts = texts.checked_sub(bytes).ok_or_else(|| too_much_text(number))?;
                }
                made = made.saturating_add(u64::from(cell.repeated.saturating_sub(1)));
                if made > MOST_REPEATED {
                    return Err(too_much(number));
                }
                for offset in 0..cell.repeated {
                    match column.saturating_add(offset) {
                        at if at < MOST_COLUMNS => cells.push((at as u16, value.clone())),
                        _ => break,
                    }
                }
            }
            if cells.is_empty() {
                return Ok(ControlFlow::Continue(()));
            }
            made = made.saturating_add(u64::from(row.repeated.saturating_sub(1)).saturating_mul(cells.len() as u64));
            rows_made = rows_made.saturating_add(u64::from(row.repeated.saturating_sub(1)));
            if made > MOST_REPEATED || rows_made > MOST_ROWS_REPEATED {
                return Err(too_much(number));
            }
            for offset in 1..row.repeated {
                if visit(RawRow { row: number.saturating_add(offset - 1), cells: cells.clone() }).is_break() {
                    return Ok(ControlFlow::Break(()));
                }
            }
            Ok(visit(RawRow { row: number.saturating_add(row.repeated.saturating_sub(1)), cells }))
        })?;
        Ok(notes)
    }

    /// Runs `read` over the document's content.
    fn with_content<T>(&self, read: impl FnOnce(&mut Xml<'_>) -> Result<T, String>) -> Result<T, String> {
        let mut archive = zip::ZipArchive::new(Cursor::new(self.bytes)).map_err(|error| damaged(&error))?;
        let part = archive.by_name("content.xml").map_err(|error| damaged(&error))?;
        let source: Box<dyn BufRead + '_> = Box::new(BufReader::new(part));
        let mut xml = quick_xml::Reader::from_reader(source);
        xml.config_mut().check_end_names = false;
        xml.config_mut().expand_empty_elements = true;
        read(&mut xml)
    }

    fn find_sheets(&self) -> Result<Vec<SheetName>, String> {
        self.with_content(|xml| {
            let mut sheets: Vec<SheetName> = Vec::new();
            let mut unseen = BTreeSet::new();
            let mut style = String::new();
            let mut depth = 0_u32;
            let mut buffer = Vec::new();
            loop {
                buffer.clear();
                match xml.read_event_into(&mut buffer).map_err(|error| damaged(&error))? {
                    Event::Start(element) => match element.name().as_ref() {
                        "style:style" => style = attribute(&element, "style:name").unwrap_or_default(),
                        "style:table-properties"
                            if attribute(&element, "table:display").as_deref() == Some("false") =>
                        {
                            unseen.insert(style.clone());
                        }
                        "table:table" => {
                            depth += 1;
                            let name = attribute(&element, "table:name").filter(|_| depth == 1);
                            let known = |name: &String| sheets.iter().any(|sheet| sheet.name == *name);
                            if let Some(name) = name.filter(|name| !known(name)) {
                                let style = attribute(&element, "table:style-name");
                                let hidden = style.is_some_and(|style| unseen.contains(&style));
                                sheets.push(SheetName { name, hidden });
                                if sheets.len() > MOST_SHEETS {
                                    return Err(too_many_sheets());
                                }
                            }
                        }
                        _ => {}
                    },
                    Event::End(element) if element.name().as_ref() == "table:table" => {
                        depth = depth.saturating_sub(1);
                    }
                    Event::Eof => return Ok(sheets),
                    _ => {}
                }
            }
        })
    }

    /// Hands every row of a sheet to `visit` and notes its layout.
    fn rows_of(&self, sheet: &str, layout: &mut Layout, visit: Visit<'_>) -> Result<(), String> {
        self.with_content(|xml| {
            let mut buffer = Vec::new();
            let mut depth = 0_u32;
            loop {
                buffer.clear();
                match xml.read_event_into(&mut buffer).map_err(|error| damaged(&error))? {
                    Event::Start(element) if element.name().as_ref() == "table:table" => {
                        depth += 1;
                        if depth == 1 && attribute(&element, "table:name").as_deref() == Some(sheet) {
                            return read_sheet(xml, layout, visit);
                        }
                    }
                    Event::End(element) if element.name().as_ref() == "table:table" => depth = depth.saturating_sub(1),
                    Event::Eof => return Err(damaged(&"the sheet is not in it")),
                    _ => {}
                }
            }
        })
    }
}

fn read_sheet(xml: &mut Xml<'_>, layout: &mut Layout, visit: Visit<'_>) -> Result<(), String> {
    let mut buffer = Vec::new();
    let (mut number, mut column, mut depth) = (1_u32, 0_u32, 1_u32);
    loop {
        buffer.clear();
        match xml.read_event_into(&mut buffer).map_err(|error| damaged(&error))? {
            Event::Start(element) => match element.name().as_ref() {
                "table:table" => depth += 1,
                "table:table-column" if depth == 1 => {
                    let repeated = count(&element, "table:number-columns-repeated");
                    let last = column.saturating_add(repeated - 1).min(MOST_COLUMNS - 1);
                    if is_hidden(&element) && column < MOST_COLUMNS {
                        layout.hide_columns(column as u16, last as u16); // both within MOST_COLUMNS
                    }
                    column = column.saturating_add(repeated);
                }
                "table:table-row" if depth == 1 => {
                    let repeated = count(&element, "table:number-rows-repeated");
                    let row = read_row(xml, repeated, is_hidden(&element))?;
                    let filled = row.cells.iter().any(|(_, cell)| cell.value.is_some() || cell.formula);
                    let last = number.saturating_add(repeated - 1);
                    if filled && last > MOST_ROWS {
                        return Err(too_much(number));
                    }
                    if row.hidden {
                        layout.hide_rows(number, last);
                    }
                    for (at, cell) in &row.cells {
                        let right = at.saturating_add(cell.columns_spanned - 1).min(MOST_COLUMNS - 1);
                        layout.merge(Region {
                            top: number,
                            bottom: number.saturating_add(cell.rows_spanned - 1),
                            left: *at as u16, // within MOST_COLUMNS, as read_row has it
                            right: right as u16,
                        });
                    }
                    if filled && visit(number, row)?.is_break() {
                        return Ok(());
                    }
                    number = last.saturating_add(1);
                }
                _ => {}
            },
            Event::End(element) if element.name().as_ref() == "table:table" => {
                depth -= 1;
                if depth == 0 {
                    return Ok(());
                }
            }
            Event::Eof => return Err(damaged(&"it ends within a sheet")),
            _ => {}
        }
    }
}

fn too_much(row: u32) -> String {
    format!(
        "its row {row} says that it is repeated further than any survey goes; delete what stands under and beside the \
         table and save it again"
    )
}
