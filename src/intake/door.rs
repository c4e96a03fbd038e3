//! The whole way from a path to an `Intake`: examine, choose the sheets, find the headings, read the rows of each, and
//! hand them over to be put together.

use super::choose::{Chosen, choose, weigh_again};
use super::delimited::Delimited;
use super::evidence::Weighed;
use super::gather::gather;
use super::grounds::Grounds;
use super::headings::{Match, column_said};
use super::hidden::layout_of;
use super::layout::{Layout, hidden_said};
use super::mapping::check_all;
use super::merged::Merged;
use super::needed;
use super::other_sheets::is_known;
use super::preflight::{FileKind, load};
use super::raw::column_letters;
use super::rows::Plan;
use super::second_table::set_apart;
use super::source::Rows;
use super::together::{OneSheet, put_together};
use super::types::{Column, Intake, IntakeError, ReadOptions, SheetRead, SourceFile};
use super::workbook::StreamNotes;
use super::{column_dates, ditto, whole_columns};
use crate::digest::sha256_of;
use std::path::Path;

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
    read_whole(bytes, file, options).map_err(IntakeError::without_controls)
}

fn read_whole(bytes: &[u8], file: &str, options: &ReadOptions) -> Result<Intake, IntakeError> {
    let failed = |problem: String| IntakeError::File { file: file.to_owned(), problem };
    let (mut rows, kind) = Rows::open(bytes).map_err(failed)?;
    let mut intake = Intake {
        source: SourceFile { name: file.to_owned(), sha256: sha256_of(bytes), ..SourceFile::default() },
        ..Intake::default()
    };
    let mut chosen = choose(&mut rows, file, options, &mut intake.warnings)?;
    let mut layouts = Vec::with_capacity(chosen.len());
    for one in &mut chosen {
        let place = place_of(file, &one.name);
        let lacks = |weighed: &Weighed| needed::check(&weighed.head, &weighed.asked, &place);
        // The text of an .xlsx sheet is long: what it merges is asked first only where the headings do not suffice.
        let layout =
            (kind != FileKind::Workbook || lacks(&one.weighed).is_err()).then(|| rows.layout(bytes, &one.name));
        if let Some(layout) = &layout
            && let Some(again) = weigh_again(&mut rows, &one.name, options, layout, &one.weighed)
        {
            one.weighed = again;
        }
        layouts.push(layout);
    }
    let heads = chosen
        .iter()
        .map(|one| (one.name.as_str(), one.weighed.head.headings.as_slice(), one.weighed.filled.as_slice()));
    let known: Vec<String> = rows.sheets().into_iter().map(|sheet| sheet.name).collect();
    check_all(&heads.collect::<Vec<_>>(), &known, options).map_err(failed)?;
    if !options.part {
        for one in &chosen {
            let place = place_of(file, &one.name);
            let Err(lacking) = needed::check(&one.weighed.head, &one.weighed.asked, &place) else { continue };
            if !options.whatever_it_lacks {
                return Err(lacking);
            }
            intake.lacking.get_or_insert(lacking.to_string());
        }
    }
    let mut sheets = Vec::with_capacity(chosen.len());
    for (one, layout) in chosen.into_iter().zip(layouts) {
        let name = one.name.clone();
        let fault = |problem: String| match name.as_str() {
            "" => IntakeError::File { file: file.to_owned(), problem },
            name => IntakeError::Sheet { file: file.to_owned(), sheet: name.to_owned(), problem },
        };
        sheets.push(read_sheet(&mut rows, bytes, one, layout, options).map_err(fault)?);
    }
    let known = |name: &String| is_known(name) && !sheets.iter().any(|sheet| sheet.read.name == *name);
    intake.known_sheets = rows.sheets().into_iter().map(|sheet| sheet.name).filter(known).collect();
    Ok(put_together(intake, sheets))
}

fn place_of(file: &str, sheet: &str) -> String {
    if sheet.is_empty() { file.to_owned() } else { format!("{file}, sheet \"{sheet}\"") }
}

/// Reads one sheet by itself.
fn read_sheet(
    rows: &mut Rows<'_>,
    bytes: &[u8],
    chosen: Chosen,
    mut layout: Option<Layout>,
    options: &ReadOptions,
) -> Result<OneSheet, String> {
    let Chosen { name: sheet, mut weighed, beginning } = chosen;
    let mut plan = plan_of(&weighed, rows, &sheet, options);
    let mut merged = layout.as_ref().map_or_else(Merged::default, |known| Merged::of(known, weighed.head.last, &plan));
    // Otherwise that text is searched while the cells are read.
    let (mut read, found) = rayon::join(
        || gather(&plan, weighed.head.last, &mut merged, |visit| rows.stream(&sheet, visit)),
        || layout.is_none().then(|| layout_of(bytes, &sheet)),
    );
    if let Some(found) = found {
        let again = weigh_again(rows, &sheet, options, &found, &weighed);
        let changed = again.is_some();
        if let Some(again) = again {
            weighed = again;
            plan = plan_of(&weighed, rows, &sheet, options);
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
    let (mut table, notes) = read?;
    merged.note(&mut table, &plan);
    let indices: Vec<u16> = head.headings.iter().map(|heading| heading.index).collect();
    let mut warnings: Vec<String> = Vec::new();
    warnings.extend(hidden_said(&layout, table.rows.iter().map(|row| row.row), &indices));
    if table.rows.is_empty() {
        return Err(format!("there is no row under the headings in row {}; is this the right sheet?", head.row));
    }
    warn(&mut warnings, &weighed, notes, rows);
    let waiting = table.take_waiting();
    warnings.extend(set_apart(&mut table, &indices, &options.settled_on(&sheet)));
    ditto::resolve(&mut table, &plan);
    whole_columns::settle(&mut table, &plan);
    column_dates::settle(&mut table, &plan, options);
    let above = beginning.into_iter().take_while(|row| row.row <= head.last).map(|row| {
        let cells = row.cells.iter().map(|(column, cell)| (*column, cell.shown()));
        (row.row, cells.filter(|(_, text)| !text.is_empty()).collect())
    });
    let read = SheetRead { heading_row: head.row, above: above.collect(), name: sheet };
    OneSheet { read, columns: headed(&weighed), table, waiting, warnings }.checked()
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
            grounds: found.as_ref().map_or(Grounds::None, Grounds::of),
            contested: found.is_none() && head.contested.iter().any(|(_, claims)| claims.contains(&at)),
            sheet: 0,
        })
        .collect()
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
