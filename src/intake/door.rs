//! The whole way from a path to an `Intake`: examine, choose the sheet, find the headings, read the rows, settle what
//! rows have to do with each other.

use super::choose::{choose, weigh_again};
use super::delimited::Delimited;
use super::duplicates::{give_keys, set_duplicates_aside};
use super::evidence::Weighed;
use super::gather::{Table, gather};
use super::headings::{Match, column_said};
use super::hidden::layout_of;
use super::layout::hidden_said;
use super::mapping::check;
use super::merged::Merged;
use super::needed;
use super::other_sheets::is_known;
use super::preflight::{FileKind, load};
use super::raw::column_letters;
use super::rows::Plan;
use super::second_table::set_apart;
use super::source::Rows;
use super::types::{Column, Intake, IntakeError, ReadOptions, RowAsRead, SetAside, SourceFile};
use super::values::recoverable;
use super::workbook::StreamNotes;
use super::{column_dates, copied, ditto, neighbours, whole_columns};
use sha2::{Digest, Sha256};
use std::collections::BTreeSet;
use std::path::Path;

/// Columns with anything in them; a sheet with more is no survey.
const MOST_COLUMNS_USED: usize = 1024;

/// Reads a spreadsheet (`.xlsx`, `.xlsm`, `.xlsb`, `.xls`, `.ods`, Parquet, or delimited text in any usual encoding) into
/// sites.
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
    let (sheet, mut weighed) = choose(&mut rows, file, options, &mut intake.warnings)?;
    let place = if sheet.is_empty() { file.to_owned() } else { format!("{file}, sheet \"{sheet}\"") };
    // The text of an .xlsx sheet is long: what it merges is asked first only where the headings do not suffice.
    let mut layout = (kind != FileKind::Workbook || needed::check(&weighed.head, &weighed.asked, &place).is_err())
        .then(|| rows.layout(bytes, &sheet));
    if let Some(layout) = &layout
        && let Some(again) = weigh_again(&mut rows, &sheet, options, layout, &weighed)
    {
        weighed = again;
    }
    check(&weighed.head.headings, &weighed.filled, &options.mapping).map_err(failed)?;
    if !options.part
        && let Err(lacking) = needed::check(&weighed.head, &weighed.asked, &place)
    {
        if !options.whatever_it_lacks {
            return Err(lacking);
        }
        intake.lacking = Some(lacking.to_string());
    }
    intake.source.sheet = sheet.clone();
    let fault = |problem: String| match sheet.as_str() {
        "" => IntakeError::File { file: file.to_owned(), problem },
        name => IntakeError::Sheet { file: file.to_owned(), sheet: name.to_owned(), problem },
    };
    let mut plan = plan_of(&weighed, &mut rows, &sheet, options);
    let mut merged = layout.as_ref().map_or_else(Merged::default, |known| Merged::of(known, weighed.head.last, &plan));
    // Otherwise that text is searched while the cells are read.
    let (mut read, found) = rayon::join(
        || gather(&plan, weighed.head.last, &mut merged, |visit| rows.stream(&sheet, visit)),
        || layout.is_none().then(|| layout_of(bytes, &sheet)),
    );
    if let Some(found) = found {
        let again = weigh_again(&mut rows, &sheet, options, &found, &weighed);
        let changed = again.is_some();
        if let Some(again) = again {
            weighed = again;
            plan = plan_of(&weighed, &mut rows, &sheet, options);
        }
        merged = Merged::of(&found, weighed.head.last, &plan);
        if changed || !merged.is_empty() {
            drop(read);
            read = gather(&plan, weighed.head.last, &mut merged, |visit| rows.stream(&sheet, visit));
        }
        layout = Some(found);
    }
    let layout = layout.unwrap_or_default();
    let head = &weighed.head;
    intake.source.heading_row = head.row;
    let (mut read, notes) = read.map_err(fault)?;
    merged.note(&mut read, &plan);
    let columns: Vec<u16> = head.headings.iter().map(|heading| heading.index).collect();
    intake.warnings.extend(hidden_said(&layout, read.rows.iter().map(|row| row.row), &columns));
    if read.rows.is_empty() {
        return Err(fault(format!("there is no row under the headings in row {}; is this the right sheet?", head.row)));
    }
    intake.columns = headed(&weighed);
    let known = |name: &String| *name != sheet && is_known(name);
    intake.known_sheets = rows.sheets().into_iter().map(|sheet| sheet.name).filter(known).collect();
    warn(&mut intake.warnings, &weighed, notes, &rows);
    finish(intake, read, &plan, options).map_err(fault)
}

fn plan_of(weighed: &Weighed, rows: &mut Rows<'_>, sheet: &str, options: &ReadOptions) -> Plan {
    let head = &weighed.head;
    let mut plan = Plan::of(head, &rows.units_in_formats(sheet, head.last + 1));
    plan.part = options.part;
    plan
}

/// Every column that has a heading, in the user's order.
fn headed(weighed: &Weighed) -> Vec<Column> {
    let head = &weighed.head;
    let how = |at: usize, found: &Option<Match>| {
        let contested = head.contested.iter().find(|(_, claims)| claims.contains(&at));
        let asked = weighed.asked.iter().find(|asked| asked.at == at);
        match (found, contested, asked) {
            (Some(found), ..) => found.how.clone(),
            (None, Some((field, _)), _) => format!("could be {}, but so could another column", field.name),
            (None, None, Some(asked)) => asked.why.clone(),
            (None, None, None) if head.headings.get(at).is_some_and(|heading| heading.text.is_empty()) => {
                "your own, without a heading".to_owned()
            }
            (None, None, None) => "your own".to_owned(),
        }
    };
    let shared = |at: usize| head.shared.iter().find(|shared| shared.at == at);
    let could_be = |at: usize| {
        let contested = head.contested.iter().find(|(_, claims)| claims.contains(&at)).map(|(field, _)| *field);
        contested.or_else(|| weighed.asked.iter().find(|asked| asked.at == at).map(|asked| asked.field))
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
            score: found.as_ref().map_or(0.0, |found| found.score),
            evidence: found.as_ref().map(|found| found.evidence.clone()).unwrap_or_default(),
            also: shared(at)
                .map(|shared| shared.matches.iter().skip(1).map(|found| found.field).collect())
                .unwrap_or_default(),
            joint: shared(at).is_some() || head.phases.contains(&at),
            could_be: if found.is_some() { None } else { could_be(at) },
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
        how: "your own, without a heading".to_owned(),
        ..Column::default()
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

fn warn(warnings: &mut Vec<String>, weighed: &Weighed, notes: StreamNotes, rows: &Rows<'_>) {
    let head = &weighed.head;
    warnings.extend(weighed.warnings.iter().cloned());
    for (field, claims) in &head.contested {
        let claims = || claims.iter().filter_map(|at| head.headings.get(*at));
        let letters: Vec<String> = claims().map(|heading| column_letters(heading.index)).collect();
        let claims: Vec<String> = claims().map(column_said).collect();
        warnings.push(format!(
            "Not read: {} each could be {name}; rename the right one {name}, or write \"column {}\" = \"{name}\" in a mapping \
             with its letter.",
            claims.join(" and "),
            letters.first().map(String::as_str).unwrap_or_default(),
            name = field.name
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
    if let Some(row) = head.another_above {
        warnings.push(format!(
            "What stands from row {row} to the headings in row {} looks like another table and is not read; if it is \
             wanted, give it a sheet of its own.",
            head.row
        ));
    }
    if let Rows::Parquet(table) = rows
        && !table.unread().is_empty()
    {
        warnings.push(format!(
            "Not read: {}, of a type of values that is not known here; write them as text.",
            table.unread().join(", ")
        ));
    }
    if let Rows::Delimited(Delimited { guessed_encoding: Some(encoding), .. }) = rows {
        warnings.push(format!("The text carries no mark of its encoding; it is read as {encoding}."));
    }
}

/// Settles what rows have to do with each other and sorts them into sites and rows set aside.
fn finish(mut intake: Intake, mut table: Table, plan: &Plan, options: &ReadOptions) -> Result<Intake, String> {
    intake.waiting = table.take_waiting();
    let columns: Vec<u16> = intake.columns.iter().map(|column| column.index).collect();
    intake.warnings.extend(set_apart(&mut table, &columns, &options.mapping));
    ditto::resolve(&mut table, plan);
    whole_columns::settle(&mut table, plan);
    column_dates::settle(&mut table, plan, options);
    set_duplicates_aside(&mut table, &intake.columns);
    let of_key = |column: &&Column| column.field.is_some_and(|field| field.name == "site_id");
    give_keys(&mut table, intake.columns.iter().find(of_key).map(|column| column.index));
    neighbours::compare(&mut table, plan);
    intake.warnings.extend(copied::mark(&mut table));
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
    intake.warnings.extend(recoverable(intake.notes.iter().map(|note| note.message.as_str())));
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
