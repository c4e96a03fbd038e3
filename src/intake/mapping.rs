//! The user's own word on headings: a small TOML file that says which heading is which survey column.
//!
//! `inspect --save-mapping` writes what was decided, the user changes what is wrong, `--mapping` obeys it. One table,
//! `[columns]`: a heading as written, or `column F` where there is no heading or it stands twice, and the name of the
//! survey column; nothing in quotation marks keeps the column as the user's own. It knows no values.

use super::headings::{Heading, column_said};
use super::near::nearest_name;
use super::raw::{column_letters, words_of};
use super::types::{Column, Intake, IntakeError};
use crate::site::fields;
use sha2::{Digest, Sha256};
use std::fmt::Write;
use std::path::Path;

/// A mapping file, read and checked by itself.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Mapping {
    /// File name without its folder.
    pub name: String,
    /// SHA-256 of its bytes, hexadecimal.
    pub sha256: String,
    /// Heading as written (or `column F`), survey column (empty: one of the user's own).
    pub columns: Vec<(String, String)>,
}

/// A mapping file larger than this is something else.
const LARGEST_BYTES: u64 = 1 << 20;
/// A match that is less sure than this is worth a look.
pub(super) const SURE: f64 = 0.9;

/// Reads a mapping file.
///
/// # Errors
/// One sentence when it cannot be read, is no mapping, names a column that does not exist (the nearest right one is
/// named) or gives one survey column to two headings; an address alone may be made of several.
pub fn read_mapping(path: &Path) -> Result<Mapping, IntakeError> {
    let file = path.file_name().map_or_else(|| path.display().to_string(), |name| name.to_string_lossy().into_owned());
    let failed = |problem: String| IntakeError::Mapping { file: file.clone(), problem };
    let size = std::fs::metadata(path).map_err(|fault| failed(format!("it cannot be read ({fault})")))?.len();
    if size > LARGEST_BYTES {
        return Err(failed("it is too large to be a mapping".to_owned()));
    }
    let bytes = std::fs::read(path).map_err(|fault| failed(format!("it cannot be read ({fault})")))?;
    mapping_of(&bytes, &file)
}

/// The same for bytes already in memory; `file` is the name used in sentences.
pub(super) fn mapping_of(bytes: &[u8], file: &str) -> Result<Mapping, IntakeError> {
    let failed = |problem: String| IntakeError::Mapping { file: file.to_owned(), problem };
    let text = std::str::from_utf8(bytes).map_err(|_| failed("it is not text in UTF-8".to_owned()))?;
    let columns = parsed(text).map_err(failed)?;
    let sha256 = Sha256::digest(bytes).iter().map(|byte| format!("{byte:02x}")).collect();
    Ok(Mapping { name: file.to_owned(), sha256, columns })
}

/// The entries of a mapping's text, or what is wrong with it.
fn parsed(text: &str) -> Result<Vec<(String, String)>, String> {
    const FORM: &str = "a mapping is a table [columns] of lines such as \"Main fuse\" = \"cutout_rating_a\"";
    let table: toml::Table = text.trim_start_matches('\u{FEFF}').parse().map_err(|fault: toml::de::Error| {
        let line = fault.span().map(|span| text.get(..span.start).map_or(1, |before| before.matches('\n').count() + 1));
        let place = line.map(|line| format!("line {line}: ")).unwrap_or_default();
        format!("{place}{}; {FORM}", fault.message())
    })?;
    if let Some((key, _)) = table.iter().find(|(key, _)| *key != "columns") {
        return Err(format!("{key} is not known; {FORM}"));
    }
    let Some(toml::Value::Table(columns)) = table.get("columns") else {
        return Err(format!("it has no columns; {FORM}"));
    };
    let mut entries: Vec<(String, String)> = Vec::new();
    for (heading, value) in columns {
        let toml::Value::String(name) = value else {
            return Err(format!("\"{heading}\" is not given the name of a survey column; {FORM}"));
        };
        let name = name.trim();
        if !name.is_empty() && !fields().iter().any(|field| field.name == name) {
            let near = nearest_name(name, fields().iter().map(|field| field.name));
            let hint = near.map_or_else(
                || "`baywright schema survey-row` lists them".to_owned(),
                |near| format!("the nearest is {near}"),
            );
            return Err(format!("\"{heading}\" is given to {name}, which is no survey column; {hint}"));
        }
        if let Some((other, _)) = entries.iter().find(|(other, _)| words_of(other) == words_of(heading)) {
            return Err(format!("\"{other}\" and \"{heading}\" are the same heading; keep one of them"));
        }
        if let Some((other, _)) =
            entries.iter().find(|(_, other)| !name.is_empty() && name != "address" && other == name)
        {
            return Err(format!("\"{other}\" and \"{heading}\" are both given to {name}; keep one of them"));
        }
        entries.push((heading.clone(), name.to_owned()));
    }
    Ok(entries)
}

/// What the user has settled for a column, if anything: an empty name keeps it as one of the user's own. The letter of
/// the column goes before its heading, which may stand twice.
pub(super) fn settled<'a>(heading: &Heading, mapping: &'a [(String, String)]) -> Option<&'a str> {
    if mapping.is_empty() {
        return None;
    }
    let text = words_of(&heading.text);
    let by_letter = mapping.iter().find(|(written, _)| column_written(written) == Some(heading.index));
    let by_heading = || mapping.iter().find(|(written, _)| !text.is_empty() && words_of(written) == text);
    by_letter.or_else(by_heading).map(|(_, name)| name.as_str())
}

/// The column that `column F` names.
pub(super) fn column_written(written: &str) -> Option<u16> {
    let plain = words_of(written);
    let letters = plain.strip_prefix("column ")?;
    if letters.is_empty() || letters.len() > 3 || !letters.bytes().all(|byte| byte.is_ascii_lowercase()) {
        return None;
    }
    let number = letters.bytes().fold(0_u32, |number, letter| number * 26 + u32::from(letter - b'a') + 1);
    u16::try_from(number - 1).ok()
}

/// Whether every entry names a column of the sheet; else a sentence with the nearest heading. `filled` holds the
/// columns without a heading that have something in them.
pub(super) fn check(headings: &[Heading], filled: &[u16], mapping: &[(String, String)]) -> Result<(), String> {
    for (written, name) in mapping {
        let text = words_of(written);
        let mut headed = headings.iter().filter(|heading| words_of(&heading.text) == text && !text.is_empty());
        if let Some(first) = headed.next() {
            if let Some(second) = headed.next().filter(|_| !name.is_empty() && name != "address") {
                return Err(format!(
                    "the mapping's \"{written}\" heads two columns, {} and {}; write \"column {}\" for the right one",
                    column_letters(first.index),
                    column_letters(second.index),
                    column_letters(first.index)
                ));
            }
            continue;
        }
        match column_written(written) {
            Some(column) if name.is_empty() || filled.contains(&column) => continue,
            Some(column) if headings.iter().any(|heading| heading.index == column) => continue,
            Some(_) => return Err(format!("the mapping names {written}, and there is nothing in it")),
            None => {}
        }
        let near = nearest_name(written, headings.iter().map(|heading| heading.text.as_str()));
        let near = near.and_then(|near| headings.iter().find(|heading| heading.text == near));
        let hint = near.map_or_else(
            || "take the headings from the sheet as they are written".to_owned(),
            |near| format!("the nearest is {}", column_said(near)),
        );
        return Err(format!("the mapping names a heading \"{written}\" that the sheet does not have; {hint}"));
    }
    Ok(())
}

/// The mapping that says what was decided for a spreadsheet, to be kept or changed.
pub fn save_mapping(intake: &Intake) -> String {
    let source = &intake.source;
    let sheet = if source.sheet.is_empty() { String::new() } else { format!(", sheet \"{}\"", source.sheet) };
    let mut out = String::new();
    let mut line = |text: &str| {
        // Writing to a string cannot fail.
        let _ = writeln!(out, "{text}");
    };
    line(&format!(
        "# How {}{} is read, headings in row {}.",
        in_comment(&source.name),
        in_comment(&sheet),
        source.heading_row
    ));
    line("# Each line: the heading as written, or \"column F\" where there is none, and the survey column it is.");
    line("# Change what is wrong and give the file with --mapping. \"\" keeps a column as your own.");
    line("# The number is how sure the match is, 0 to 1, and why.");
    line("");
    line("[columns]");
    for column in intake.columns.iter().filter(|column| column.field.is_some() && !column.joint) {
        let name = column.field.map(|field| field.name).unwrap_or_default();
        let why = if column.evidence.is_empty() { String::new() } else { format!("; {}", column.evidence) };
        let why = in_comment(&format!("{}{why}", column.how));
        line(&format!("{} = \"{name}\"  # {:.2} {why}", key_of(column, &intake.columns), column.score));
    }
    let joint = || intake.columns.iter().filter(|column| column.joint);
    if joint().next().is_some() {
        line("");
        line(
            "# Read as several facts, or together with others; give them a line of their own only to read them otherwise.",
        );
    }
    for column in joint() {
        let why = in_comment(&format!("{}; {}", column.how, column.evidence));
        line(&format!("# {}  # {why}", key_of(column, &intake.columns)));
    }
    if asked(intake).next().is_some() {
        line("");
        line("# Could be a survey column, and is not read until you say so: take away the # of the right line.");
    }
    for column in asked(intake) {
        let name = column.could_be.map(|field| field.name).unwrap_or_default();
        let why = in_comment(&format!("{} {}", column.how, column.evidence));
        line(&format!("# {} = \"{name}\"  # {}", key_of(column, &intake.columns), why.trim_end()));
    }
    let own = || intake.columns.iter().filter(|column| column.field.is_none() && column.could_be.is_none());
    if own().next().is_some() {
        line("");
        line("# Your own columns, given back untouched.");
    }
    for column in own() {
        line(&format!("{} = \"\"", key_of(column, &intake.columns)));
    }
    out
}

fn asked(intake: &Intake) -> impl Iterator<Item = &Column> {
    intake.columns.iter().filter(|column| column.field.is_none() && column.could_be.is_some())
}

/// A column as a key: its heading, or its letter where the heading is blank, stands twice or looks like a letter.
fn key_of(column: &Column, all: &[Column]) -> String {
    let text = words_of(&column.heading);
    let twice = all.iter().filter(|other| words_of(&other.heading) == text).count() > 1;
    if text.is_empty() || twice || column_written(&column.heading).is_some() {
        return format!("\"column {}\"", column_letters(column.index));
    }
    let mut key = String::from('"');
    for character in column.heading.chars() {
        match character {
            '"' | '\\' => key.extend(['\\', character]),
            c if c.is_control() => {
                let _ = write!(key, "\\u{:04X}", u32::from(c));
            }
            c => key.push(c),
        }
    }
    key.push('"');
    key
}

/// A text that cannot end a comment.
fn in_comment(text: &str) -> String {
    text.chars().map(|c| if c.is_control() { ' ' } else { c }).collect()
}
