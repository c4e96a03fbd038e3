//! Sheets of outcomes, as people send them back: which sheet of a file is one, which site each line means, and which
//! survey facts were found there. Every line, cell and column that is not used is told. It judges nothing.

use super::door::read_bytes;
use super::identifiers;
use super::join::{Found, Marks, Places, key};
use super::layers::cell_named;
use super::other_sheets::known_as;
use super::preflight::load;
use super::raw::RawCell;
use super::side_sheets::{Line, Read, Reader};
use super::source::Rows;
use super::types::{CellNote, Intake, IntakeError, ReadOptions, SourceFile};
use crate::digest::sha256_of;
use crate::quantity::Pence;
use crate::site::{Cited, NotLearned, Outcome, Site, Verdict};
use std::collections::BTreeMap;
use std::path::PathBuf;
use std::sync::Arc;

/// What some sheets of outcomes say. Rows read = outcomes + rows that are told as not used.
#[derive(Clone, Debug, Default)]
pub struct OutcomesRead {
    /// One for each site, in the order of the sites.
    pub outcomes: Vec<Outcome>,
    /// What could not be used.
    pub not_used: Vec<NotLearned>,
    /// The sheets read.
    pub files: Vec<SourceFile>,
    /// Rows under their headings.
    pub rows_read: usize,
    /// Survey fields that were read as found on site, each once.
    pub fields: Vec<&'static str>,
}

/// Columns that say how a site came out; a sheet of outcomes has one of them.
const TELLING: [&str; 3] = ["verdict_on_site", "installed_cost_gbp", "hours"];
const KEYS: [&str; 2] = ["site_id", "uprn"];
const WANTED: &str = "a row of headings with site_id or uprn, and verdict_on_site, installed_cost_gbp, hours or a survey \
                      column as it was found on site";

/// Reads files of outcomes of the sites of a portfolio.
///
/// # Errors
/// One sentence when a file cannot be read or holds no sheet of outcomes.
pub fn read_outcomes(files: &[PathBuf], portfolio: &Intake) -> Result<OutcomesRead, IntakeError> {
    let mut loaded = Vec::with_capacity(files.len());
    for path in files {
        let file =
            path.file_name().map_or_else(|| path.display().to_string(), |name| name.to_string_lossy().into_owned());
        let bytes = load(path).map_err(|problem| IntakeError::File { file: file.clone(), problem })?;
        loaded.push((file, bytes));
    }
    let files: Vec<(&str, &[u8])> = loaded.iter().map(|(file, bytes)| (file.as_str(), bytes.as_slice())).collect();
    outcomes_of_bytes(&files, &portfolio.sites)
}

/// The same for bytes already in memory, each with the name used in sentences.
///
/// # Errors
/// As [`read_outcomes`].
pub fn outcomes_of_bytes(files: &[(&str, &[u8])], sites: &[Site]) -> Result<OutcomesRead, IntakeError> {
    let marks = |site: &Site| Marks {
        uprn: site.identity.uprn.likely().cloned(),
        site_id: Some(key(&site.site_id)),
        ..Marks::default()
    };
    let places = Places::of(sites.iter().map(marks).collect());
    let mut all = OutcomesRead::default();
    let mut by_site: BTreeMap<usize, Outcome> = BTreeMap::new();
    for (file, bytes) in files {
        sheets_of(file, bytes, &places, sites, &mut by_site, &mut all).map_err(IntakeError::without_controls)?;
    }
    all.outcomes = by_site.into_values().collect();
    all.fields.sort_unstable();
    all.fields.dedup();
    for told in &mut all.not_used {
        for text in [&mut told.found, &mut told.why, &mut told.file] {
            *text = text.chars().map(|c| if c.is_control() { ' ' } else { c }).collect();
        }
    }
    Ok(all)
}

/// How surely a sheet is one of outcomes: the lower the surer; `None` when it is none.
fn likeness(name: &str, read: &Read, known: bool) -> Option<u8> {
    let has = |names: &[&str]| read.columns.iter().any(|(column, _)| names.contains(column));
    match (has(&KEYS), has(&TELLING)) {
        (true, _) if known || name.eq_ignore_ascii_case("outcomes") => Some(0),
        (true, true) => Some(1),
        (true, false) if !read.others.is_empty() => Some(2),
        _ => None,
    }
}

fn sheets_of(
    file: &str,
    bytes: &[u8],
    places: &Places,
    sites: &[Site],
    by_site: &mut BTreeMap<usize, Outcome>,
    all: &mut OutcomesRead,
) -> Result<(), IntakeError> {
    let failed = |problem: String| IntakeError::File { file: file.to_owned(), problem };
    let (mut rows, _) = Rows::open(bytes).map_err(failed)?;
    let mut sheets = Vec::new();
    for sheet in rows.sheets() {
        let beginning = rows.beginning(&sheet.name).unwrap_or_default();
        let reader = Reader::of("outcomes", &beginning);
        let name = if sheet.name.is_empty() { "" } else { sheet.name.as_str() };
        let known = known_as(name, &beginning) == Some("outcomes");
        if let Some(rank) = likeness(name, reader.so_far(), known) {
            sheets.push((rank, sheet.name, reader));
        }
    }
    let Some(best) = sheets.iter().map(|(rank, ..)| *rank).min() else {
        return Err(failed(format!("it has no sheet of outcomes; expected is {WANTED}.")));
    };
    let sha256 = sha256_of(bytes);
    for (_, sheet, mut reader) in sheets.into_iter().filter(|(rank, ..)| *rank == best) {
        let fault = |problem: String| match sheet.as_str() {
            "" => IntakeError::File { file: file.to_owned(), problem },
            name => IntakeError::Sheet { file: file.to_owned(), sheet: name.to_owned(), problem },
        };
        rows.stream(&sheet, &mut |row| reader.take(row)).map_err(fault)?;
        let read = reader.done();
        let name = if sheet.is_empty() { file.to_owned() } else { format!("{file}, sheet \"{sheet}\"") };
        all.files.push(SourceFile {
            name: file.to_owned(),
            sha256: sha256.clone(),
            sheet: sheet.clone(),
            heading_row: read.heading_row,
        });
        let facts = Facts::of(bytes, file, &sheet, &read, &name, all);
        join(&read, &name, places, sites, facts, by_site, all);
    }
    Ok(())
}

/// Survey columns of a sheet of outcomes, read as those of any survey.
#[derive(Default)]
struct Facts {
    by_row: BTreeMap<u32, Site>,
}

impl Facts {
    fn of(bytes: &[u8], file: &str, sheet: &str, read: &Read, name: &str, all: &mut OutcomesRead) -> Self {
        let mut told = |row: u32, cell: String, field: &'static str, found: String, why: String| {
            all.not_used.push(NotLearned { file: name.to_owned(), row, cell, field, found, why });
        };
        let filled: Vec<&String> = read.others.iter().filter(|heading| !heading.is_empty()).collect();
        if filled.is_empty() {
            return Self::default();
        }
        let sheets = if sheet.is_empty() { Vec::new() } else { vec![sheet.to_owned()] };
        let options = ReadOptions { sheets, part: true, ..ReadOptions::default() };
        let taken = match read_bytes(bytes, file, &options) {
            Ok(taken) => taken,
            Err(why) => {
                let headings = filled.iter().map(|heading| heading.as_str()).collect::<Vec<_>>().join(", ");
                let why = format!("These columns are read as no survey facts: {why}");
                told(0, String::new(), "", headings, why);
                return Self::default();
            }
        };
        // A heading that names a column of outcomes is one: a date of the work is no date of a survey.
        let own = |heading: &str| read.columns.iter().any(|(_, own)| own == heading.trim());
        let columns = || taken.columns.iter().filter(|column| !own(&column.heading));
        for column in columns().filter(|column| column.field.is_none() && !column.heading.trim().is_empty()) {
            let why = format!("The column is no survey column that is understood ({}); it is not used.", column.how);
            told(0, cell_named(read.heading_row, Some(column.index)), "", column.heading.trim().to_owned(), why);
        }
        let fields: Vec<&'static str> = columns()
            .flat_map(|column| column.field.into_iter().chain(column.also.iter().copied()))
            .map(|field| field.name)
            .filter(|field| !KEYS.contains(field))
            .collect();
        for note in taken.notes.iter().filter(|note: &&CellNote| note.is_lost() && fields.contains(&note.field)) {
            let why = format!("It is not understood as it was found on site. {}", note.message);
            told(note.row, cell_named(note.row, Some(note.column)), note.field, note.raw.clone(), why);
        }
        all.fields.extend(fields);
        let waiting = taken.waiting.into_iter().map(|(site, _)| site);
        Self { by_row: taken.sites.into_iter().chain(waiting).map(|site| (site.row, site)).collect() }
    }
}

fn marks_of(line: &Line) -> Marks {
    let uprn = line.text("uprn").map(|text| RawCell::Text(text.to_owned()));
    Marks {
        uprn: uprn.and_then(|cell| identifiers::uprn(&cell).ok()).map(|(uprn, _)| uprn),
        site_id: line.text("site_id").map(key),
        ..Marks::default()
    }
}

fn join(
    read: &Read,
    name: &str,
    places: &Places,
    sites: &[Site],
    mut facts: Facts,
    by_site: &mut BTreeMap<usize, Outcome>,
    all: &mut OutcomesRead,
) {
    let file: Arc<str> = Arc::from(name);
    let told = |row: u32, cell: String, field: &'static str, found: &str, why: String| NotLearned {
        file: name.to_owned(),
        row,
        cell,
        field,
        found: found.to_owned(),
        why,
    };
    all.not_used.extend(
        read.not_used.iter().map(|cell| {
            told(cell.row, cell_named(cell.row, Some(cell.column)), cell.field, &cell.text, cell.why.clone())
        }),
    );
    for line in &read.lines {
        let found = facts.by_row.remove(&line.row);
        if line.is_blank() && found.is_none() {
            continue;
        }
        all.rows_read += 1;
        let named = line.text("site_id").or_else(|| line.text("uprn")).unwrap_or_default();
        let marks = marks_of(line);
        let place = match places.find(&marks) {
            _ if marks == Marks::default() => Err("It names no site: expected is a site_id or a UPRN.".to_owned()),
            Found::One { at, .. } => Ok(at),
            Found::None(why) => Err(format!("{why} Its outcome is not used.")),
        };
        let (at, site) = match place.map(|at| (at, sites.get(at))) {
            Ok((at, Some(site))) => (at, site),
            Ok(_) => continue,
            Err(why) => {
                all.not_used.push(told(line.row, String::new(), "site_id", named, why));
                continue;
            }
        };
        if !line.says_more_than(&KEYS) && found.is_none() {
            let why = "It says nothing of how the site came out.".to_owned();
            all.not_used.push(told(line.row, String::new(), "", named, why));
            continue;
        }
        let outcome = Outcome {
            at,
            verdict: line.text("verdict_on_site").and_then(Verdict::from_word),
            cost: line.figure("installed_cost_gbp").map(Pence::from_pounds),
            hours: line.figure("hours"),
            date: line.text("date").and_then(|text| text.parse().ok()),
            found: found.map(Box::new),
            cell: Cited { file: Arc::clone(&file), row: line.row, column: None, text: named.to_owned() },
        };
        let Some(before) = by_site.get(&at) else {
            by_site.insert(at, outcome);
            continue;
        };
        // Of two lines on one site the later day counts; where no day tells, the line that came first.
        let later = matches!((before.date, outcome.date), (Some(before), Some(day)) if day > before);
        let (kept, dropped) = if later { (&outcome, before) } else { (before, &outcome) };
        let why = format!(
            "Site {} stands twice: the line of {}, row {} is used ({}).",
            site.site_id,
            kept.cell.file,
            kept.cell.row,
            if later || before.date > outcome.date { "it is of a later day" } else { "it came first" }
        );
        all.not_used.push(NotLearned {
            file: dropped.cell.file.to_string(),
            ..told(dropped.cell.row, String::new(), "site_id", named, why)
        });
        if later {
            by_site.insert(at, outcome);
        }
    }
}
