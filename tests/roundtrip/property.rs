//! The property itself: what was written is what is read, nothing is lost, and over the rounds every field is reached in
//! every state.

use crate::draws::{Draws, number};
use crate::file::{File, PLAIN, file};
use crate::said::{Said, said, same};
use crate::sheet::{Around, Sheet, sheet};
use crate::values::Truth;
use baywright::intake::{Intake, ReadOptions, read_bytes};
use baywright::site::{FieldKind, fields};
use std::collections::{BTreeMap, BTreeSet};

/// Faults that are shown in full.
const SHOWN: usize = 12;

/// Whether a reading is what it has to be. `doubted` says that a note beside it gives the doubt its reason.
fn meets(found: &Said, truth: &Truth, doubted: bool) -> bool {
    let near = |a: &str, b: f64| a.parse::<f64>().is_ok_and(|a| (a - b).abs() <= 1e-4 * b.abs() + 6e-4);
    match (truth, found) {
        (Truth::Unknown(why), Said::Unknown(read)) => why == read,
        (Truth::Stated(value), Said::Stated(read)) => same(value, read),
        // What the rest of the row contradicts keeps its value and gains a doubt.
        (Truth::Stated(value), Said::Doubtful { likely, .. }) => doubted && same(value, likely),
        (Truth::Queried(value), Said::Doubtful { likely, .. }) => value == likely,
        (Truth::Range(ends), Said::Doubtful { low, likely, high }) => {
            near(low, ends[0]) && near(likely, ends[1]) && near(high, ends[2])
        }
        (Truth::Range(ends), Said::Stated(read)) => ends[0] == ends[2] && near(read, ends[1]),
        _ => false,
    }
}

/// Everything that did not come back, a line each.
fn faults(sheet: &Sheet, file: File) -> Vec<String> {
    let laid = sheet.laid();
    let bytes = file.bytes(&laid.grid);
    // No date that is drawn lies in the future of the run.
    let options = ReadOptions { as_of: Some(jiff::civil::date(2030, 1, 1)), ..ReadOptions::default() };
    let outcome = std::panic::catch_unwind(|| read_bytes(&bytes, file.name(), &options));
    let intake = match outcome {
        Err(_) => return vec!["it panics".to_owned()],
        Ok(Err(error)) => return vec![format!("refused: {error}")],
        Ok(Ok(intake)) => intake,
    };
    let mut faults = Vec::new();
    let row_of = |at: &usize| (at + 1 + file.lines_before()) as u32;
    let sites: Vec<u32> = laid.sites.iter().map(row_of).collect();
    let aside: Vec<u32> = laid.aside.iter().map(row_of).collect();
    let read: Vec<u32> = intake.sites.iter().map(|site| site.row).collect();
    let put: Vec<u32> = intake.set_aside.iter().map(|row| row.row).collect();
    if read != sites || put != aside {
        faults.push(format!("rows {read:?} are sites and {put:?} set aside, not {sites:?} and {aside:?}"));
        faults.extend(intake.set_aside.iter().take(3).map(|row| format!("row {}: {}", row.row, row.why)));
    }
    if intake.rows.len() != intake.sites.len() + intake.set_aside.len() {
        faults.push("rows are lost".to_owned());
    }
    for (column, place) in sheet.columns.iter().zip(&laid.places) {
        let found = intake.columns.iter().find(|found| usize::from(found.index) == *place);
        let read = found.and_then(|found| found.field).map(|field| field.name);
        if read != column.field.map(|field| field.name) {
            let wanted = column.field.map_or("the user's own", |field| field.name);
            let how = found.map(|found| format!("{} {}", found.how, found.evidence)).unwrap_or_default();
            faults.push(format!("heading {:?} of {wanted} is read as {read:?} ({how})", column.heading));
        }
    }
    if faults.is_empty() {
        faults.extend(values(sheet, &intake, &sites));
    }
    faults
}

fn values(sheet: &Sheet, intake: &Intake, rows: &[u32]) -> Vec<String> {
    let mut faults = Vec::new();
    for (cells, row) in sheet.rows.iter().zip(rows) {
        let Some(site) = intake.sites.iter().find(|site| site.row == *row) else { continue };
        for (column, (written, truth)) in sheet.columns.iter().zip(cells) {
            let Some(field) = column.field else { continue };
            let found = said(site, field.name);
            let noted = intake.notes.iter().any(|note| note.row == *row && note.field == field.name);
            let word = matches!(field.kind, FieldKind::Word | FieldKind::YesNo);
            if !meets(&found, truth, noted && word) {
                let (name, heading) = (field.name, &column.heading);
                faults.push(format!("{name} under {heading:?}: {written:?} is read as {found}, not {truth:?}"));
            }
        }
    }
    faults
}

/// The smallest sheet and the plainest file that still show the fault.
fn smaller(mut sheet: Sheet, mut shown: File) -> (Sheet, File) {
    // A refusal by its sentence, anything else by the field or the thing that it is about.
    let kind = |line: &str| match line.starts_with("refused") {
        true => line.chars().take(70).collect(),
        false => line.split([' ', ':']).next().unwrap_or_default().to_owned(),
    };
    let first = faults(&sheet, shown).first().map(|line| kind(line)).unwrap_or_default();
    let fails = |sheet: &Sheet, file: File| faults(sheet, file).iter().any(|line| kind(line) == first);
    if fails(&sheet, PLAIN) {
        shown = PLAIN;
    }
    let bare = Sheet { around: Around::default(), ..sheet.clone() };
    if fails(&bare, shown) {
        sheet = bare;
    }
    let mut at = 0;
    while at < sheet.rows.len() && sheet.rows.len() > 1 {
        let mut less = sheet.clone();
        less.rows.remove(at);
        if fails(&less, shown) { sheet = less } else { at += 1 }
    }
    let mut at = 0;
    while at < sheet.columns.len() {
        let mut less = sheet.clone();
        less.columns.remove(at);
        less.rows.iter_mut().for_each(|row| drop(row.remove(at)));
        if fails(&less, shown) { sheet = less } else { at += 1 }
    }
    (sheet, shown)
}

fn drawn(round: u64) -> (Sheet, File) {
    let mut draws = Draws::of(number("ROUNDTRIP_SEED").unwrap_or(20_261_125), round);
    let sheet = sheet(&mut draws);
    let file = file(&mut draws);
    (sheet, file)
}

#[test]
fn what_is_written_is_what_is_read() {
    let rounds = match number("ROUNDTRIP_ROUND") {
        Some(only) => only..only + 1,
        None => 0..1500 * number("ROUNDTRIP_ROUNDS").unwrap_or(1),
    };
    let count = rounds.end - rounds.start;
    let mut failed = Vec::new();
    let mut reached: BTreeMap<&str, BTreeSet<&str>> = BTreeMap::new();
    let mut cells = 0_u64;
    for round in rounds {
        let (sheet, file) = drawn(round);
        for row in &sheet.rows {
            for (column, (_, truth)) in sheet.columns.iter().zip(row) {
                let Some(field) = column.field else { continue };
                cells += 1;
                reached.entry(field.name).or_default().insert(match truth {
                    Truth::Unknown(_) => "unknown",
                    Truth::Stated(_) => "stated",
                    Truth::Range(_) | Truth::Queried(_) => "in doubt",
                });
            }
        }
        if !faults(&sheet, file).is_empty() {
            failed.push((round, sheet, file));
        }
    }
    println!("{count} sheets, {cells} cells");
    let mut said = Vec::new();
    for (round, sheet, file) in failed.iter().take(SHOWN) {
        let (sheet, file) = smaller(sheet.clone(), *file);
        let headings: Vec<&str> = sheet.columns.iter().map(|column| column.heading.as_str()).collect();
        let lines = faults(&sheet, file).into_iter().take(3).collect::<Vec<_>>().join("\n    ");
        let rows: Vec<Vec<_>> = sheet.rows.iter().map(|row| row.iter().map(|(written, _)| written).collect()).collect();
        said.push(format!(
            "round {round}, {file:?}, {:?}\n    {headings:?}\n    {:?}\n    {lines}",
            sheet.around,
            rows.first()
        ));
    }
    assert!(failed.is_empty(), "{} of {count} sheets:\n{}", failed.len(), said.join("\n"));
    if count >= 1000 {
        every_field_is_reached(&reached);
    }
}

/// Every field in every state that it can have.
fn every_field_is_reached(reached: &BTreeMap<&str, BTreeSet<&str>>) {
    const NEVER_UNKNOWN: [&str; 3] = ["address", "parking_distance_m", "site_id"];
    const NEVER_IN_DOUBT: [&str; 4] = ["latitude", "longitude", "priority", "supply_phases"];
    for field in fields() {
        let states = reached.get(field.name).cloned().unwrap_or_default();
        let mut wanted = vec!["stated"];
        if !NEVER_UNKNOWN.contains(&field.name) {
            wanted.push("unknown");
        }
        if matches!(field.kind, FieldKind::Number | FieldKind::Count | FieldKind::Word)
            && !NEVER_IN_DOUBT.contains(&field.name)
        {
            wanted.push("in doubt");
        }
        for state in wanted {
            assert!(states.contains(state), "{} is never {state}", field.name);
        }
    }
}
