//! How a sheet is understood, as plain text for a terminal: columns, rows, cells that need a word, what is missing.
//!
//! It only tells; it reads no file and judges no site.

use super::raw::column_letters;
use super::types::{CellNote, Intake};
use crate::site::{Field, fields};
use std::collections::BTreeMap;
use std::fmt::Write;

/// Lines of each list that are shown before "and so many more".
const CELLS_SHOWN: usize = 20;
const ROWS_SHOWN: usize = 10;
/// Characters of a cell or heading that are shown.
const WIDEST: usize = 34;
/// How a note says that nothing is known.
const NOT_KNOWN: &str = "not known";

/// Columns that change most when they are there, and what each sharpens.
const SHARPENS: &[(&str, &str)] = &[
    ("looped_service", "a looped service stops a point until it is separated"),
    ("cutout_evidence", "whether the rating was read from the fuse, a label or only the carrier"),
    ("demand_method", "a measured demand has a band of 10 %, an estimate 30 %"),
    ("supply_phases", "capacity and the choice of 11 and 22 kW"),
    ("earthing_system", "the earthing path at the charge point"),
    ("ze_ohm", "disconnection times, in place of the declared maximum"),
    ("premises_type", "which of the operators' thresholds holds"),
    ("parking_type", "whether there is a place to charge, and what the route crosses"),
    ("consent_status", "whether somebody has to agree first"),
    ("tails_mm2", "what the meter tails carry"),
    ("isolator_present", "whether the tails can be worked on without the operator"),
    ("spare_ways", "a spare way in the board, or a new small board"),
    ("route_buried_m", "digging is the dearest metre of a route"),
    ("condition_report", "work on the installation that has to come first"),
    ("postcode", "neighbours that can be applied for together"),
    ("survey_date", "which of two surveys stands, and which are stale"),
];

/// The whole description, lines ending in line ends.
pub fn describe(intake: &Intake) -> String {
    let mut out = String::new();
    head(intake, &mut out);
    columns(intake, &mut out);
    rows(intake, &mut out);
    cells(intake, &mut out);
    missing(intake, &mut out);
    out
}

fn head(intake: &Intake, out: &mut String) {
    let source = &intake.source;
    let sheet = if source.sheet.is_empty() { String::new() } else { format!(", sheet \"{}\"", source.sheet) };
    line(out, &format!("{}{sheet}, headings in row {}", source.name, source.heading_row));
    for warning in &intake.warnings {
        line(out, &format!("  {warning}"));
    }
}

fn columns(intake: &Intake, out: &mut String) {
    let read = intake.columns.iter().filter(|column| column.field.is_some()).count();
    line(out, "");
    line(out, &format!("{read} of {} columns are read as survey fields", intake.columns.len()));
    let name = |field: &Field| match field.unit {
        "" => field.name.to_owned(),
        unit => format!("{} ({unit})", field.name),
    };
    let fielded = || intake.columns.iter().filter_map(|column| column.field.map(|field| (column, field)));
    let width = fielded().map(|(column, _)| cut(&column.heading).chars().count()).max().unwrap_or(0);
    let name_width = fielded().map(|(_, field)| name(field).len()).max().unwrap_or(0);
    for (column, field) in fielded() {
        let heading = cut(&column.heading);
        let pad = " ".repeat(width.saturating_sub(heading.chars().count()));
        let (letters, name) = (column_letters(column.index), name(field));
        line(out, &format!("  {letters:>3}  {heading}{pad}  {name:<name_width$}  {}", column.how));
    }
    let own: Vec<String> = intake
        .columns
        .iter()
        .filter(|column| column.field.is_none())
        .map(|column| match column.heading.as_str() {
            "" => format!("column {}", column_letters(column.index)),
            heading => cut(heading),
        })
        .collect();
    if !own.is_empty() {
        line(out, &format!("  Your own columns, kept and given back: {}", listed(&own, 12)));
    }
}

fn rows(intake: &Intake, out: &mut String) {
    line(out, "");
    line(
        out,
        &format!(
            "{} rows read: {} can be judged, {} set aside",
            intake.rows.len(),
            intake.sites.len(),
            intake.set_aside.len()
        ),
    );
    for row in intake.set_aside.iter().take(ROWS_SHOWN) {
        line(out, &format!("  row {:<6} {}", row.row, row.why));
    }
    more(out, intake.set_aside.len(), ROWS_SHOWN, "rows");
}

fn cells(intake: &Intake, out: &mut String) {
    if intake.notes.is_empty() {
        return;
    }
    let lost = intake.notes.iter().filter(|note| note.understood == NOT_KNOWN).count();
    line(out, "");
    let verb = if lost == 1 { "is" } else { "are" };
    line(out, &format!("{} cells need a word; {lost} of them {verb} read as not known", intake.notes.len()));
    // The same text in the same column is said once; what is lost comes first, each in the order of the sheet.
    let mut alike: Vec<(&CellNote, usize)> = Vec::new();
    let mut places: BTreeMap<(u16, &str, &str), usize> = BTreeMap::new();
    for note in &intake.notes {
        match places.get(&(note.column, note.raw.as_str(), note.message.as_str())).and_then(|at| alike.get_mut(*at)) {
            Some((_, count)) => *count += 1,
            None => {
                places.insert((note.column, &note.raw, &note.message), alike.len());
                alike.push((note, 1));
            }
        }
    }
    alike.sort_by_key(|(note, _)| note.understood != NOT_KNOWN);
    for (note, count) in alike.iter().take(CELLS_SHOWN) {
        let at = format!("{}{}", column_letters(note.column), note.row);
        let raw = format!("\"{}\"", cut(&note.raw));
        let times = if *count > 1 { format!(" ({count} cells, this the first)") } else { String::new() };
        let understood =
            if note.understood == NOT_KNOWN { String::new() } else { format!("{}. ", cut(&note.understood)) };
        line(out, &format!("  {at:<7} {:<20} {raw}{times}  {understood}{}", note.field, note.message));
    }
    more(out, alike.len(), CELLS_SHOWN, "texts");
    let mut by_field: BTreeMap<&str, usize> = BTreeMap::new();
    for note in intake.notes.iter().filter(|note| note.understood == NOT_KNOWN) {
        *by_field.entry(note.field).or_default() += 1;
    }
    if by_field.len() > 1 {
        let mut counts: Vec<(&str, usize)> = by_field.into_iter().collect();
        counts.sort_by(|(a, m), (b, n)| n.cmp(m).then_with(|| a.cmp(b)));
        let counts: Vec<String> = counts.iter().map(|(field, count)| format!("{field} {count}")).collect();
        line(out, &format!("  Not known by column: {}", listed(&counts, 8)));
    }
}

fn missing(intake: &Intake, out: &mut String) {
    let has = |name: &str| intake.columns.iter().any(|column| column.field.is_some_and(|field| field.name == name));
    let lacking: Vec<_> = SHARPENS.iter().filter(|(name, _)| !has(name)).collect();
    line(out, "");
    if lacking.is_empty() {
        line(out, "No column of weight is missing.");
        return;
    }
    line(out, "No column asks for these; each would sharpen the answer");
    for (name, why) in lacking {
        line(out, &format!("  {name:<18} {why}"));
    }
    let others = fields().len() - intake.columns.iter().filter(|column| column.field.is_some()).count();
    line(out, &format!("  All {} columns are in the template; {others} are not in this sheet.", fields().len()));
}

fn line(out: &mut String, text: &str) {
    // Writing to a string cannot fail.
    let _ = writeln!(out, "{}", text.trim_end());
}

fn more(out: &mut String, all: usize, shown: usize, what: &str) {
    if all > shown {
        line(out, &format!("  and {} more {what}", all - shown));
    }
}

fn listed(items: &[String], most: usize) -> String {
    let shown = items.iter().take(most).cloned().collect::<Vec<_>>().join(", ");
    if items.len() > most { format!("{shown} and {} more", items.len() - most) } else { shown }
}

/// A text in one line of bounded width, fit for a terminal: no control characters.
fn cut(text: &str) -> String {
    let plain: String = text
        .chars()
        .map(|c| if c.is_control() { ' ' } else { c })
        .collect::<String>()
        .split_whitespace()
        .collect::<Vec<_>>()
        .join(" ");
    if plain.chars().count() <= WIDEST {
        return plain;
    }
    plain.chars().take(WIDEST - 1).chain(['\u{2026}']).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::intake::{ReadOptions, read_bytes};

    #[test]
    fn it_says_what_is_read_what_is_not_and_what_is_missing() {
        let text = "Address,Main fuse,Max demand,Cable run,Bin day\n\
            1 Mill Lane,see photo,35,approx 12,Tue\nTotal,,,35,\n";
        let intake = read_bytes(text.as_bytes(), "Returns.csv", &ReadOptions::default()).unwrap();
        let said = describe(&intake);
        for part in [
            "Returns.csv, headings in row 1",
            "4 of 5 columns",
            "cutout_rating_a (A)",
            "Bin day",
            "2 rows read: 1 can be judged, 1 set aside",
            "row 3",
            "B2",
            "\"see photo\"",
            "12 m, 9 to 15",
            "looped_service",
        ] {
            assert!(said.contains(part), "{part} is not in\n{said}");
        }
        assert!(said.lines().all(|line| !line.ends_with(' ')));
    }

    #[test]
    fn every_column_that_sharpens_exists() {
        for (name, _) in SHARPENS {
            assert!(fields().iter().any(|field| field.name == *name), "{name}");
        }
    }
}
