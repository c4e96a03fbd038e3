//! The whole way from a path to an `Intake`: examine, choose the sheet, find the headings, read the rows, settle what
//! rows have to do with each other.

use super::delimited::Delimited;
use super::duplicates::{give_keys, set_duplicates_aside};
use super::preflight::{FileKind, examine, load};
use super::raw::RawRow;
use super::rows::{Plan, RowRead};
use super::table::{LOOKED_AT, TableHead, find_head};
use super::types::{Column, Intake, IntakeError, ReadOptions, RowAsRead, SetAside, SourceFile};
use super::workbook::{SheetName, StreamNotes, Workbook};
use super::{headings, needed};
use rayon::prelude::*;
use sha2::{Digest, Sha256};
use std::collections::BTreeMap;
use std::ops::ControlFlow;
use std::path::Path;

/// Rows that are read at a time by all threads.
const ROWS_AT_A_TIME: usize = 2048;
/// Columns with anything in them; a sheet with more is no survey.
const MOST_COLUMNS_USED: usize = 1024;

/// Reads a spreadsheet (`.xlsx`, or delimited text in any usual encoding) into sites.
///
/// # Errors
/// One sentence when the file cannot be read, no sheet or no row of headings is found, or a needed column is missing.
/// Cells that are not understood are no error: they are unknown, with a note.
pub fn read(path: &Path, options: &ReadOptions) -> Result<Intake, IntakeError> {
    let file = path.file_name().map_or_else(|| path.display().to_string(), |name| name.to_string_lossy().into_owned());
    let failed = |problem: String| IntakeError::File { file: file.clone(), problem };
    let bytes = load(path).map_err(failed)?;
    read_bytes(&bytes, &file, options)
}

/// The same for bytes already in memory; `file` is the name used in sentences.
///
/// # Errors
/// As [`read`].
pub fn read_bytes(bytes: &[u8], file: &str, options: &ReadOptions) -> Result<Intake, IntakeError> {
    let failed = |problem: String| IntakeError::File { file: file.to_owned(), problem };
    let kind = examine(bytes).map_err(failed)?;
    let mut rows = match kind {
        FileKind::Workbook => Rows::Workbook(Workbook::open(bytes).map_err(failed)?),
        FileKind::Delimited => Rows::Delimited(Delimited::open(bytes)),
    };
    let mut intake = Intake {
        source: SourceFile {
            name: file.to_owned(),
            sha256: Sha256::digest(bytes).iter().map(|byte| format!("{byte:02x}")).collect(),
            ..SourceFile::default()
        },
        ..Intake::default()
    };
    let (sheet, head) = choose(&mut rows, file, options, &mut intake.warnings)?;
    let place = if sheet.is_empty() { file.to_owned() } else { format!("{file}, sheet \"{sheet}\"") };
    needed::check(&head, &place)?;
    intake.source.sheet = sheet.clone();
    intake.source.heading_row = head.row;
    let fault = |problem: String| match sheet.as_str() {
        "" => IntakeError::File { file: file.to_owned(), problem },
        name => IntakeError::Sheet { file: file.to_owned(), sheet: name.to_owned(), problem },
    };
    let plan = Plan::of(&head);
    let (read, notes) = read_rows(&mut rows, &sheet, &plan, head.row).map_err(fault)?;
    if read.is_empty() {
        return Err(fault(format!("there is no row under the headings in row {}; is this the right sheet?", head.row)));
    }
    intake.columns = columns(&head, &read);
    if intake.columns.len() > MOST_COLUMNS_USED {
        return Err(fault(format!(
            "it has {} columns with something in them; delete those that do not belong to the survey",
            intake.columns.len()
        )));
    }
    warn(&mut intake.warnings, &head, notes, &rows);
    finish(intake, read)
}

/// A source of rows.
enum Rows<'a> {
    Workbook(Workbook<'a>),
    Delimited(Delimited<'a>),
}

impl Rows<'_> {
    fn sheets(&self) -> Vec<SheetName> {
        match self {
            Rows::Workbook(book) => book.sheets(),
            Rows::Delimited(_) => vec![SheetName { name: String::new(), hidden: false }],
        }
    }

    fn stream(&mut self, sheet: &str, visit: &mut dyn FnMut(RawRow) -> ControlFlow<()>) -> Result<StreamNotes, String> {
        match self {
            Rows::Workbook(book) => book.stream(sheet, visit),
            Rows::Delimited(text) => text.stream(visit).map(|()| StreamNotes::default()),
        }
    }

    /// The first filled rows of a sheet.
    fn beginning(&mut self, sheet: &str) -> Result<Vec<RawRow>, String> {
        let mut rows = Vec::with_capacity(LOOKED_AT);
        self.stream(sheet, &mut |row| {
            rows.push(row);
            if rows.len() < LOOKED_AT { ControlFlow::Continue(()) } else { ControlFlow::Break(()) }
        })?;
        Ok(rows)
    }
}

/// The sheet to read and its head: the one that was named, else the one whose headings name most fields. Visible
/// sheets go before hidden ones; two alike are never settled by their order.
fn choose(
    rows: &mut Rows<'_>,
    file: &str,
    options: &ReadOptions,
    warnings: &mut Vec<String>,
) -> Result<(String, TableHead), IntakeError> {
    let failed = |problem: String| IntakeError::File { file: file.to_owned(), problem };
    let sheets = rows.sheets();
    let names =
        |sheets: &[SheetName]| sheets.iter().map(|sheet| format!("\"{}\"", sheet.name)).collect::<Vec<_>>().join(", ");
    let candidates: Vec<SheetName> = match &options.sheet {
        Some(wanted) if matches!(rows, Rows::Workbook(_)) => {
            let found = sheets
                .iter()
                .find(|sheet| sheet.name == *wanted)
                .or_else(|| sheets.iter().find(|sheet| sheet.name.trim().eq_ignore_ascii_case(wanted.trim())));
            let Some(found) = found else {
                return Err(failed(format!("it has no sheet \"{wanted}\"; its sheets are {}", names(&sheets))));
            };
            vec![found.clone()]
        }
        _ => sheets.clone(),
    };
    let mut heads: Vec<(usize, bool, &SheetName, TableHead)> = Vec::new();
    let mut first_problem = None;
    let mut fullest: Option<(usize, &SheetName, u32)> = None;
    for sheet in &candidates {
        let beginning = match rows.beginning(&sheet.name) {
            Ok(beginning) => beginning,
            Err(problem) => {
                first_problem.get_or_insert(IntakeError::Sheet {
                    file: file.to_owned(),
                    sheet: sheet.name.clone(),
                    problem,
                });
                continue;
            }
        };
        for row in &beginning {
            if fullest.is_none_or(|(most, _, _)| row.cells.len() > most) {
                fullest = Some((row.cells.len(), sheet, row.row));
            }
        }
        if let Some(head) = find_head(&beginning, &options.mapping) {
            heads.push((head.fields(), !sheet.hidden, sheet, head));
        }
    }
    let Some(best) = heads.iter().map(|(fields, visible, _, _)| (*visible, *fields)).max() else {
        if let Some(problem) = first_problem {
            return Err(problem);
        }
        let wanted = "a row that names at least address, cutout_rating_a, existing_demand_a and parking_distance_m";
        let found = match fullest {
            Some((_, sheet, row)) if !sheet.name.is_empty() => {
                format!("the fullest row is row {row} of sheet \"{}\"", sheet.name)
            }
            Some((_, _, row)) => format!("the fullest row is row {row}"),
            None => "there is nothing in it".to_owned(),
        };
        return Err(failed(format!(
            "no row of headings was found among the first {LOOKED_AT} rows ({found}); {wanted} is wanted"
        )));
    };
    let alike: Vec<SheetName> = heads
        .iter()
        .filter(|(fields, visible, _, _)| (*visible, *fields) == best)
        .map(|(_, _, sheet, _)| (*sheet).clone())
        .collect();
    if alike.len() > 1 {
        return Err(failed(format!(
            "the sheets {} look alike and each could be the survey; say which with --sheet",
            names(&alike)
        )));
    }
    let Some(chosen) = heads.into_iter().find(|(fields, visible, _, _)| (*visible, *fields) == best) else {
        return Err(failed("no sheet was found".to_owned()));
    };
    let others: Vec<SheetName> = sheets.iter().filter(|sheet| sheet.name != chosen.2.name).cloned().collect();
    if !others.is_empty() {
        warnings.push(format!("Not read: the other sheets ({}).", names(&others)));
    }
    if chosen.2.hidden {
        warnings.push(format!("The sheet \"{}\" is hidden in the workbook.", chosen.2.name));
    }
    Ok((chosen.2.name.clone(), chosen.3))
}

/// Every row under the headings, in order. Rows are gathered and read by all threads a batch at a time.
fn read_rows(
    rows: &mut Rows<'_>,
    sheet: &str,
    plan: &Plan,
    heading_row: u32,
) -> Result<(Vec<RowRead>, StreamNotes), String> {
    let mut read: Vec<RowRead> = Vec::new();
    let mut batch: Vec<RawRow> = Vec::with_capacity(ROWS_AT_A_TIME);
    let notes = rows.stream(sheet, &mut |row| {
        if row.row > heading_row {
            batch.push(row);
        }
        if batch.len() >= ROWS_AT_A_TIME {
            read.par_extend(batch.par_drain(..).map(|raw| plan.read(raw)));
        }
        ControlFlow::Continue(())
    })?;
    read.par_extend(batch.into_par_iter().map(|raw| plan.read(raw)));
    Ok((read, notes))
}

/// Every column that has a heading or anything under one, in the user's order.
fn columns(head: &TableHead, read: &[RowRead]) -> Vec<Column> {
    let mut columns: BTreeMap<u16, Column> = BTreeMap::new();
    for (at, (heading, found)) in head.headings.iter().zip(&head.matches).enumerate() {
        let contested = head.contested.iter().find(|(_, claims)| claims.contains(&at));
        let how = match (found, contested) {
            (Some(found), _) => found.how.clone(),
            (None, Some((field, _))) => format!("could be {}, but so could another column", field.name),
            (None, None) => "your own".to_owned(),
        };
        let field = found.as_ref().map(|found| found.field);
        columns.insert(heading.index, Column { index: heading.index, heading: heading.text.clone(), field, how });
    }
    let mut last_seen = u16::MAX;
    for (index, _) in read.iter().flat_map(|row| &row.cells) {
        // Columns come in order within a row: most are known.
        if *index != last_seen && !columns.contains_key(index) {
            let how = "your own, without a heading".to_owned();
            columns.insert(*index, Column { index: *index, heading: String::new(), field: None, how });
        }
        last_seen = *index;
    }
    columns.into_values().collect()
}

fn warn(warnings: &mut Vec<String>, head: &TableHead, notes: StreamNotes, rows: &Rows<'_>) {
    for (field, claims) in &head.contested {
        let claims: Vec<String> =
            claims.iter().filter_map(|at| head.headings.get(*at)).map(headings::column_said).collect();
        warnings.push(format!(
            "Not read: {} each could be {}; rename the right one {}.",
            claims.join(" and "),
            field.name,
            field.name
        ));
    }
    if notes.formulas_without_result > 0 {
        warnings.push(format!(
            "{} formulas have no stored result and are read as not known: open the file in a spreadsheet program and save it.",
            notes.formulas_without_result
        ));
    }
    if notes.unreadable_cells > 0 {
        warnings.push(format!(
            "{} cells hold a kind of value that cannot be read; they are taken as blank.",
            notes.unreadable_cells
        ));
    }
    if let Rows::Delimited(Delimited { guessed_encoding: Some(encoding), .. }) = rows {
        warnings.push(format!("The text carries no mark of its encoding; it is read as {encoding}."));
    }
}

/// Settles what rows have to do with each other and sorts them into sites and rows set aside.
fn finish(mut intake: Intake, mut read: Vec<RowRead>) -> Result<Intake, IntakeError> {
    set_duplicates_aside(&mut read, &intake.columns);
    let id_column =
        intake.columns.iter().find(|column| column.field.is_some_and(|field| field.name == "site_id")).map(|c| c.index);
    give_keys(&mut read, id_column);
    intake.rows.reserve_exact(read.len());
    let places: BTreeMap<u16, usize> =
        intake.columns.iter().enumerate().map(|(at, column)| (column.index, at)).collect();
    for row in read {
        let mut cells = vec![String::new(); intake.columns.len()];
        for (index, text) in row.cells {
            if let Some(slot) = places.get(&index).and_then(|at| cells.get_mut(*at)) {
                *slot = text;
            }
        }
        intake.rows.push(RowAsRead { row: row.row, cells });
        match row.outcome {
            Ok(site) => {
                intake.newest_date = intake.newest_date.max(site.identity.survey_date.likely().copied());
                intake.notes.extend(row.notes);
                intake.sites.push(*site);
            }
            Err(why) => intake.set_aside.push(SetAside { row: row.row, why }),
        }
    }
    Ok(intake)
}
