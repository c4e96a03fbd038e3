//! The whole way from a path to an `Intake`: examine, choose the sheet, find the headings, read the rows, settle what
//! rows have to do with each other.

use super::delimited::Delimited;
use super::duplicates::{give_keys, set_duplicates_aside};
use super::gather::{Table, gather};
use super::headings::{Match, column_said};
use super::hidden::{HiddenRows, hidden_rows};
use super::needed;
use super::other_sheets::is_known;
use super::preflight::{FileKind, examine, load};
use super::raw::RawRow;
use super::rows::Plan;
use super::table::{LOOKED_AT, TableHead, find_head};
use super::types::{Column, Intake, IntakeError, ReadOptions, RowAsRead, SetAside, SourceFile};
use super::workbook::{SheetName, StreamNotes, Workbook};
use sha2::{Digest, Sha256};
use std::collections::{BTreeMap, BTreeSet};
use std::ops::ControlFlow;
use std::path::Path;

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
    let (mut rows, kind) = Rows::open(bytes).map_err(failed)?;
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
    if !options.part {
        needed::check(&head, &place)?;
    }
    intake.source.sheet = sheet.clone();
    intake.source.heading_row = head.row;
    let fault = |problem: String| match sheet.as_str() {
        "" => IntakeError::File { file: file.to_owned(), problem },
        name => IntakeError::Sheet { file: file.to_owned(), sheet: name.to_owned(), problem },
    };
    let mut plan = Plan::of(&head, &rows.units_in_formats(&sheet, head.row + 1));
    plan.part = options.part;
    let (read, hidden) = rayon::join(
        || gather(&plan, head.row, |visit| rows.stream(&sheet, visit)),
        || if kind == FileKind::Workbook { hidden_rows(bytes, &sheet, head.row) } else { HiddenRows::default() },
    );
    let (read, notes) = read.map_err(fault)?;
    if hidden.count > 0 {
        let said = if hidden.count == 1 { "1 row is".to_owned() } else { format!("{} rows are", hidden.count) };
        intake.warnings.push(format!(
            "{said} hidden or filtered out in the sheet (the first is row {}) and read like any other.",
            hidden.first
        ));
    }
    if read.rows.is_empty() {
        return Err(fault(format!("there is no row under the headings in row {}; is this the right sheet?", head.row)));
    }
    intake.columns = headed(&head);
    let known = |name: &String| *name != sheet && is_known(name);
    intake.known_sheets = rows.sheets().into_iter().map(|sheet| sheet.name).filter(known).collect();
    warn(&mut intake.warnings, &head, notes, &rows);
    finish(intake, read).map_err(fault)
}

/// A source of rows.
pub(super) enum Rows<'a> {
    Workbook(Box<Workbook<'a>>),
    Delimited(Delimited<'a>),
}

impl<'a> Rows<'a> {
    /// Opens bytes, whatever format they have.
    pub(super) fn open(bytes: &'a [u8]) -> Result<(Self, FileKind), String> {
        let kind = examine(bytes)?;
        let rows = match kind {
            FileKind::Workbook => Rows::Workbook(Box::new(Workbook::open(bytes)?)),
            FileKind::Delimited => Rows::Delimited(Delimited::open(bytes)),
        };
        Ok((rows, kind))
    }

    pub(super) fn sheets(&self) -> Vec<SheetName> {
        match self {
            Rows::Workbook(book) => book.sheets(),
            Rows::Delimited(_) => vec![SheetName { name: String::new(), hidden: false }],
        }
    }

    fn units_in_formats(&mut self, sheet: &str, first_row: u32) -> BTreeMap<u16, String> {
        match self {
            Rows::Workbook(book) => book.units_in_formats(sheet, first_row),
            Rows::Delimited(_) => BTreeMap::new(),
        }
    }

    pub(super) fn stream(
        &mut self,
        sheet: &str,
        visit: &mut dyn FnMut(RawRow) -> ControlFlow<()>,
    ) -> Result<StreamNotes, String> {
        match self {
            Rows::Workbook(book) => book.stream(sheet, visit),
            Rows::Delimited(text) => text.stream(visit).map(|()| StreamNotes::default()),
        }
    }

    /// The first filled rows of a sheet.
    pub(super) fn beginning(&mut self, sheet: &str) -> Result<Vec<RawRow>, String> {
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
        _ => sheets.iter().filter(|sheet| !options.skip.contains(&sheet.name)).cloned().collect(),
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
    // A sheet that the contract names beside the survey gives way to any other; one with addresses is a survey.
    let beside = |sheet: &SheetName, head: &TableHead| is_known(&sheet.name) && !head.has("address");
    if options.sheet.is_none() && heads.iter().any(|(_, _, sheet, head)| !beside(sheet, head)) {
        heads.retain(|(_, _, sheet, head)| !beside(sheet, head));
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
            None if names(&candidates).len() > 2 => format!("there is nothing on {}", names(&candidates)),
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
    let said_elsewhere = |name: &String| is_known(name) || options.skip.contains(name);
    let others: Vec<SheetName> =
        sheets.iter().filter(|sheet| sheet.name != chosen.2.name && !said_elsewhere(&sheet.name)).cloned().collect();
    if !others.is_empty() {
        warnings.push(format!("Not read: the other sheets ({}).", names(&others)));
    }
    if chosen.2.hidden {
        warnings.push(format!("The sheet \"{}\" is hidden in the workbook.", chosen.2.name));
    }
    Ok((chosen.2.name.clone(), chosen.3))
}

/// Every column that has a heading, in the user's order.
fn headed(head: &TableHead) -> Vec<Column> {
    let how = |at: usize, found: &Option<Match>| {
        let contested = head.contested.iter().find(|(_, claims)| claims.contains(&at));
        match (found, contested) {
            (Some(found), _) => found.how.clone(),
            (None, Some((field, _))) => format!("could be {}, but so could another column", field.name),
            (None, None) => "your own".to_owned(),
        }
    };
    head.headings
        .iter()
        .zip(&head.matches)
        .enumerate()
        .map(|(at, (heading, found))| Column {
            index: heading.index,
            heading: heading.text.clone(),
            field: found.as_ref().map(|found| found.field),
            how: how(at, found),
        })
        .collect()
}

/// Gives the columns that hold something under no heading their place among the others.
fn place_beyond(columns: &mut Vec<Column>, table: &mut Table) -> Result<(), String> {
    let found: BTreeSet<u16> = table.rows.iter().flat_map(|row| &row.beyond).map(|(index, _)| *index).collect();
    let all = columns.len() + found.len();
    if all > MOST_COLUMNS_USED {
        return Err(format!(
            "it has {all} columns with something in them; delete those that do not belong to the survey"
        ));
    }
    if found.is_empty() {
        return Ok(());
    }
    columns.extend(found.into_iter().map(|index| Column {
        index,
        heading: String::new(),
        field: None,
        how: "your own, without a heading".to_owned(),
    }));
    let mut order: Vec<usize> = (0..columns.len()).collect();
    order.sort_by_key(|at| columns.get(*at).map(|column| column.index));
    for row in &mut table.rows {
        let mut cells = std::mem::take(&mut row.cells);
        let mut beyond = std::mem::take(&mut row.beyond).into_iter().peekable();
        let headed = cells.len();
        row.cells = order
            .iter()
            .map(|at| match columns.get(*at) {
                Some(_) if *at < headed => cells.get_mut(*at).map(std::mem::take).unwrap_or_default(),
                Some(column) => beyond.next_if(|(index, _)| *index == column.index).map_or(String::new(), |(_, t)| t),
                None => String::new(),
            })
            .collect();
    }
    columns.sort_by_key(|column| column.index);
    Ok(())
}

fn warn(warnings: &mut Vec<String>, head: &TableHead, notes: StreamNotes, rows: &Rows<'_>) {
    for (field, claims) in &head.contested {
        let claims: Vec<String> = claims.iter().filter_map(|at| head.headings.get(*at)).map(column_said).collect();
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
fn finish(mut intake: Intake, mut table: Table) -> Result<Intake, String> {
    intake.waiting = table.take_waiting();
    set_duplicates_aside(&mut table, &intake.columns);
    let of_key = |column: &&Column| column.field.is_some_and(|field| field.name == "site_id");
    give_keys(&mut table, intake.columns.iter().find(of_key).map(|column| column.index));
    place_beyond(&mut intake.columns, &mut table)?;
    intake.newest_date = table.sites.iter().filter_map(|site| site.identity.survey_date.likely().copied()).max();
    intake.sites = table.sites;
    intake.rows.reserve_exact(table.rows.len());
    for row in table.rows {
        intake.rows.push(RowAsRead { row: row.row, cells: row.cells });
        match row.why {
            Some(why) => intake.set_aside.push(SetAside { row: row.row, why }),
            None => intake.notes.extend(row.notes),
        }
    }
    Ok(intake)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_cannot_be_opened_is_named() {
        let folder = tempfile::tempdir().unwrap();
        let says = |path: &std::path::Path| read(path, &ReadOptions::default()).unwrap_err().to_string();
        assert!(says(&folder.path().join("none.xlsx")).contains("no such file"));
        assert!(says(folder.path()).contains("a folder"));
        assert!(says(&folder.path().join("~$Returns.xlsx")).contains("lock file"));
    }
}
