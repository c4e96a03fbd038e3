//! The files of `tests/corpus/troubles`, one trouble each, against the expectation beside each of them.
//!
//! A case that is known to fail carries `pending` with the reason; when it begins to pass, the mark is stale and the
//! test fails until it is taken off. `CORPUS=part-of-a-name cargo test --test reading troubles -- --nocapture` shows
//! what was read of one file.

use crate::said::{Said, meets, said};
use baywright::intake::{Intake, IntakeError, ReadOptions, describe, read_bytes};
use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

/// What is expected of one file; the README beside this file explains each line.
#[derive(Debug, serde::Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Expected {
    pub trouble: String,
    pub writer: String,
    #[serde(default)]
    pub pending: Option<String>,
    #[serde(default)]
    pub refused: Vec<String>,
    #[serde(default)]
    pub judged: Option<usize>,
    #[serde(default)]
    pub judged_at_most: Option<usize>,
    #[serde(default)]
    pub set_aside: Option<usize>,
    #[serde(default)]
    pub heading_row: Option<u32>,
    #[serde(default)]
    pub says: Vec<String>,
    #[serde(default)]
    pub says_anywhere: Vec<String>,
    #[serde(default)]
    pub aside_says: Vec<String>,
    #[serde(default)]
    pub notes_on: Vec<String>,
    #[serde(default)]
    pub own: Vec<String>,
    #[serde(default)]
    pub cells: Vec<String>,
    #[serde(default)]
    pub bomb: bool,
}

pub fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/corpus/troubles")
}

/// Every case: path of the file and what is expected of it, by name.
pub fn cases() -> Vec<(PathBuf, Expected)> {
    let mut names: Vec<PathBuf> = fs::read_dir(folder()).unwrap().map(|entry| entry.unwrap().path()).collect();
    names.sort();
    let tomls: Vec<PathBuf> =
        names.iter().filter(|path| path.extension().is_some_and(|e| e == "toml")).cloned().collect();
    let files: BTreeSet<PathBuf> = names.into_iter().filter(|path| !tomls.contains(path)).collect();
    let cases: Vec<(PathBuf, Expected)> = tomls
        .iter()
        .map(|toml| {
            let text = fs::read_to_string(toml).unwrap();
            let expected = toml::from_str(&text).unwrap_or_else(|fault| panic!("{}: {fault}", toml.display()));
            (toml.with_extension(""), expected)
        })
        .collect();
    let told: BTreeSet<PathBuf> = cases.iter().map(|(path, _)| path.clone()).collect();
    let odd: Vec<&PathBuf> = files.symmetric_difference(&told).collect();
    assert!(odd.is_empty(), "a file without its expectation or the other way round: {odd:?}");
    cases
}

/// Whether one of the words parted by `|` stands in the text, whatever the case.
fn holds(text: &str, words: &str) -> bool {
    let text = text.to_lowercase();
    words.split('|').any(|word| text.contains(&word.to_lowercase()))
}

/// Everything that is not as expected, a line each.
fn faults(result: &Result<Intake, IntakeError>, expected: &Expected) -> Vec<String> {
    let mut faults = Vec::new();
    let intake = match result {
        Err(error) => {
            let sentence = error.to_string();
            if !sentence.starts_with("cannot ") {
                faults.push(format!("the sentence is no sentence: {sentence}"));
            }
            if expected.refused.is_empty() && expected.judged_at_most.is_none() {
                faults.push(format!("refused: {sentence}"));
            }
            let missing = expected.refused.iter().filter(|words| !holds(&sentence, words));
            faults.extend(missing.map(|words| format!("{words:?} is not in {sentence:?}")));
            return faults;
        }
        Ok(intake) => intake,
    };
    if intake.rows.len() != intake.sites.len() + intake.set_aside.len() {
        faults.push(format!(
            "{} rows are not {} sites and {} set aside",
            intake.rows.len(),
            intake.sites.len(),
            intake.set_aside.len()
        ));
    }
    if !expected.refused.is_empty() {
        faults.push(format!("read ({} sites) and not refused", intake.sites.len()));
        return faults;
    }
    let mut count = |what: &str, wanted: Option<usize>, found: usize| {
        if wanted.is_some_and(|wanted| wanted != found) {
            faults.push(format!("{what}: {found}, not {}", wanted.unwrap_or_default()));
        }
    };
    count("judged", expected.judged, intake.sites.len());
    count("set aside", expected.set_aside, intake.set_aside.len());
    count("heading row", expected.heading_row.map(|row| row as usize), intake.source.heading_row as usize);
    if expected.judged_at_most.is_some_and(|most| intake.sites.len() > most) {
        faults.push(format!("{} sites judged", intake.sites.len()));
    }
    let warnings = intake.warnings.join("\n");
    let aside = intake.set_aside.iter().map(|row| row.why.as_str()).collect::<Vec<_>>().join("\n");
    let notes = intake.notes.iter().map(|note| note.message.as_str()).collect::<Vec<_>>().join("\n");
    let everything = format!("{warnings}\n{aside}\n{notes}");
    for (text, wanted) in
        [(&warnings, &expected.says), (&everything, &expected.says_anywhere), (&aside, &expected.aside_says)]
    {
        faults.extend(wanted.iter().filter(|words| !holds(text, words)).map(|words| format!("not said: {words}")));
    }
    for line in &expected.notes_on {
        let (row, names) = line.split_once(' ').expect("row and fields");
        let row: u32 = row.parse().unwrap();
        if !intake.notes.iter().any(|note| note.row == row && names.split('|').any(|name| name == note.field)) {
            faults.push(format!("no note in row {row} on {names}"));
        }
    }
    for heading in &expected.own {
        let column = intake.columns.iter().find(|column| column.heading == *heading);
        match column {
            Some(column) if column.field.is_none() => {}
            Some(column) => faults.push(format!("{heading:?} is read as {}", column.field.map_or("", |f| f.name))),
            None => faults.push(format!("the column {heading:?} is lost")),
        }
    }
    faults.extend(expected.cells.iter().filter_map(|line| cell_fault(intake, line)));
    faults
}

/// "5 cutout_rating_a = 80" or "5 cutout_rating_a says letter".
fn cell_fault(intake: &Intake, line: &str) -> Option<String> {
    let mut parts = line.splitn(4, ' ');
    let (row, field, verb, wanted) = (parts.next()?, parts.next()?, parts.next()?, parts.next()?);
    let row: u32 = row.parse().unwrap_or_else(|_| panic!("{line:?} does not begin with a row"));
    let Some(site) = intake.sites.iter().find(|site| site.row == row) else {
        return Some(format!("row {row} is no site"));
    };
    match verb {
        "=" => {
            let found: Said = said(site, field);
            (!meets(&found, wanted)).then(|| format!("row {row} {field}: {found}, not {wanted}"))
        }
        "says" => {
            let mut notes = intake.notes.iter().filter(|note| note.row == row && note.field == field);
            (!notes.any(|note| holds(&note.message, wanted)))
                .then(|| format!("row {row} {field}: nothing says {wanted}"))
        }
        other => panic!("{line:?}: nobody knows {other:?}"),
    }
}

#[test]
fn troubles_are_read_as_expected() {
    let only = std::env::var("CORPUS").ok();
    let mut bad = Vec::new();
    let (mut passed, mut pending) = (0, Vec::new());
    for (path, expected) in cases() {
        let name = path.file_name().unwrap().to_string_lossy().into_owned();
        if expected.bomb || only.as_ref().is_some_and(|part| !name.contains(part.as_str())) {
            continue;
        }
        let bytes = fs::read(&path).unwrap();
        let result = std::panic::catch_unwind(|| read_bytes(&bytes, &name, &ReadOptions::default()));
        let found = match &result {
            Err(_) => vec!["it panics".to_owned()],
            Ok(result) => faults(result, &expected),
        };
        if only.is_some() {
            match &result {
                Ok(Ok(intake)) => println!("{name}\n{}", describe(intake)),
                Ok(Err(error)) => println!("{name}\n{error}"),
                Err(_) => {}
            }
        }
        match (&expected.pending, found.is_empty()) {
            (None, true) => passed += 1,
            (Some(why), false) => pending.push(format!("  {name}: {why}")),
            (None, false) => {
                bad.push(format!(
                    "{name} ({}, by {})\n    {}",
                    expected.trouble,
                    expected.writer,
                    found.join("\n    ")
                ));
            }
            (Some(_), true) => bad.push(format!("{name} passes: its mark `pending` is stale, take it off")),
        }
    }
    println!("{passed} files read as expected, {} pending\n{}", pending.len(), pending.join("\n"));
    assert!(bad.is_empty(), "{} files are not read as expected:\n{}", bad.len(), bad.join("\n"));
}

#[test]
fn there_are_enough_troubles_and_enough_writers() {
    let cases = cases();
    assert!(cases.len() >= 60, "{} files", cases.len());
    let writers: BTreeSet<&str> = cases.iter().map(|(_, expected)| expected.writer.as_str()).collect();
    for writer in ["rust_xlsxwriter", "LibreOffice", "openpyxl", "xlsxwriter", "by hand"] {
        assert!(writers.contains(writer), "{writer} wrote none");
    }
    let size: u64 = fs::read_dir(folder()).unwrap().map(|entry| entry.unwrap().metadata().unwrap().len()).sum();
    assert!(size < 1_500_000, "{size} bytes");
    for (path, expected) in &cases {
        assert!(expected.trouble.ends_with('.'), "{}", path.display());
        let expects = !expected.refused.is_empty() || expected.judged.is_some() || expected.judged_at_most.is_some();
        assert!(expects, "{} expects nothing", path.display());
    }
}
