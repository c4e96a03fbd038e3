//! The user's own word on headings: a small TOML file that says which heading is which survey column.
//!
//! `inspect --save-mapping` writes what was decided, the user changes what is wrong, `--mapping` obeys it. A table
//! `[columns]`, and for one of several sheets `[sheets."its name"]`, for a further file `[files."its name"]`: a heading
//! as written, or `column F` where there is no heading or it stands twice, and the name of the survey column; nothing in
//! quotation marks keeps the column as the user's own. It knows no values.

use super::headings::{Heading, column_said};
use super::near::nearest_name;
use super::raw::{column_letters, words_of};
use super::types::{IntakeError, ReadOptions};
use crate::digest::sha256_of;
use crate::site::fields;
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
    /// The same for one sheet, by its name.
    pub sheets: Vec<(String, Vec<(String, String)>)>,
    /// The same for one further file, by its name.
    pub files: Vec<(String, Vec<(String, String)>)>,
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
    let sha256 = sha256_of(bytes);
    let mapping = parsed(text).map_err(failed)?;
    Ok(Mapping { name: file.to_owned(), sha256, ..mapping })
}

const FORM: &str = "a mapping is a table [columns] of lines such as \"Main fuse\" = \"cutout_rating_a\"";

/// What a mapping's text says, or what is wrong with it.
fn parsed(text: &str) -> Result<Mapping, String> {
    let table: toml::Table = text.trim_start_matches('\u{FEFF}').parse().map_err(|fault: toml::de::Error| {
        let line = fault.span().map(|span| text.get(..span.start).map_or(1, |before| before.matches('\n').count() + 1));
        let place = line.map(|line| format!("line {line}: ")).unwrap_or_default();
        format!("{place}{}; {FORM}", fault.message())
    })?;
    let mut mapping = Mapping::default();
    for (key, value) in &table {
        let toml::Value::Table(inner) = value else {
            return Err(format!("{key} is not known; {FORM}"));
        };
        let named = || {
            inner.iter().map(|(name, value)| match value {
                toml::Value::Table(columns) => Ok((name.clone(), entries_of(columns)?)),
                _ => Err(format!("\"{name}\" under {key} is no table; {FORM}")),
            })
        };
        match key.as_str() {
            "columns" => mapping.columns = entries_of(inner)?,
            "sheets" => mapping.sheets = named().collect::<Result<_, _>>()?,
            "files" => mapping.files = named().collect::<Result<_, _>>()?,
            _ => return Err(format!("{key} is not known; {FORM}")),
        }
    }
    if table.is_empty() {
        return Err(format!("it has no columns; {FORM}"));
    }
    Ok(mapping)
}

/// The lines of one table of a mapping.
fn entries_of(columns: &toml::Table) -> Result<Vec<(String, String)>, String> {
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

/// Whether every entry names a column of the sheet it is for: one for all sheets a column of one of them at least. Each
/// of `sheets` has its name, its headings, and the columns without a heading that have something in them; `known` are
/// the names of all sheets of the file.
pub(super) fn check_all(
    sheets: &[(&str, &[Heading], &[u16])],
    known: &[String],
    options: &ReadOptions,
) -> Result<(), String> {
    for (name, entries) in &options.mapping_by_sheet {
        match sheets.iter().find(|(sheet, ..)| sheet == name) {
            Some((_, headings, filled)) => check(headings, filled, entries)?,
            // A sheet that is not read this time needs none of it.
            None if known.contains(name) => {}
            None => return Err(not_there("sheet", name, known)),
        }
    }
    for entry in &options.mapping {
        let alone = std::slice::from_ref(entry);
        let knows = sheets.iter().filter(|(_, headings, filled)| is_there(entry, headings, filled));
        let mut checked = 0;
        for (_, headings, filled) in knows {
            check(headings, filled, alone)?;
            checked += 1;
        }
        if checked == 0
            && let Some((_, headings, filled)) = sheets.first()
        {
            check(headings, filled, alone)?;
        }
    }
    Ok(())
}

/// Whether a sheet has what an entry names.
fn is_there((written, name): &(String, String), headings: &[Heading], filled: &[u16]) -> bool {
    let text = words_of(written);
    let column = column_written(written);
    headings
        .iter()
        .any(|heading| (words_of(&heading.text) == text && !text.is_empty()) || Some(heading.index) == column)
        || column.is_some_and(|column| name.is_empty() || filled.contains(&column))
}

/// Whether every further file that is named is laid over; those that are not needed this time must be laid over none.
pub(super) fn check_files(given: &[String], options: &ReadOptions) -> Result<(), String> {
    let wrong = options.mapping_by_file.iter().find(|(name, _)| !given.is_empty() && !given.contains(name));
    wrong.map_or(Ok(()), |(name, _)| Err(not_there("file", name, given)))
}

fn not_there(what: &str, name: &str, there: &[String]) -> String {
    let near = nearest_name(name, there.iter().map(String::as_str));
    let hint = near.map_or_else(
        || format!("there are {}", there.iter().map(|one| format!("\"{one}\"")).collect::<Vec<_>>().join(", ")),
        |near| format!("the nearest is \"{near}\""),
    );
    format!("the mapping names a {what} \"{name}\" that is not there; {hint}")
}
