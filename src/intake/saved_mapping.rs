//! The mapping that says what was decided for a spreadsheet, written so that a person can change it; `mapping` reads it
//! back. It decides nothing.

use super::mapping::column_written;
use super::raw::{column_letters, words_of};
use super::types::{Column, Intake};
use std::fmt::Write;

/// The mapping that says what was decided for a spreadsheet and the files laid over it, to be kept or changed.
pub fn save_mapping(intake: &Intake) -> String {
    let source = &intake.source;
    let mut out = String::new();
    let rows: Vec<String> = intake.sheets.iter().map(|sheet| sheet.heading_row.to_string()).collect();
    let (sheet, sheets) = (intake.sheets_said(), intake.sheets.len() > 1);
    let sheet = match (sheet.as_str(), sheets) {
        ("", _) => String::new(),
        (_, true) => format!(", sheets {sheet}"),
        (_, false) => format!(", sheet \"{sheet}\""),
    };
    let noun = if sheets { "rows" } else { "row" };
    for text in [
        &format!("How {}{sheet} is read, headings in {noun} {}.", source.name, rows.join(" and ")),
        "Each line: the heading as written, or \"column F\" where there is none, and the survey column it is.",
        "Change what is wrong and give the file with --mapping. \"\" keeps a column as your own.",
        "The number is how sure the match is, 0 to 1, and why.",
    ] {
        line(&mut out, &format!("# {}", in_comment(text)));
    }
    if !sheets {
        table(&mut out, "columns", &intake.columns);
    }
    for (number, sheet) in (0_u16..).zip(&intake.sheets).filter(|_| sheets) {
        table(&mut out, &format!("sheets.{}", quoted(&sheet.name)), intake.columns_of(number));
    }
    // A file is settled as a whole: of two sheets of it the first says how.
    let mut told: Vec<&str> = Vec::new();
    for layer in intake.layers.iter().filter(|layer| !layer.of_portfolio && !layer.read.is_empty()) {
        if !told.contains(&layer.source.name.as_str()) {
            told.push(&layer.source.name);
            table(&mut out, &format!("files.{}", quoted(&layer.source.name)), &layer.read);
        }
    }
    out
}

fn line(out: &mut String, text: &str) {
    // Writing to a string cannot fail.
    let _ = writeln!(out, "{text}");
}

/// One table: what is read, what is asked, and the user's own.
fn table(out: &mut String, name: &str, columns: &[Column]) {
    line(out, &format!("\n[{name}]"));
    let read = columns.iter().filter(|column| !column.joint);
    for (column, field) in read.filter_map(|column| Some((column, column.field?))) {
        let why = if column.evidence.is_empty() { String::new() } else { format!("; {}", column.evidence) };
        let why = in_comment(&format!("{}{why}", column.how));
        line(out, &format!("{} = \"{}\"  # {:.2} {why}", key_of(column, columns), field.name, column.score));
    }
    let joint: Vec<&Column> = columns.iter().filter(|column| column.joint).collect();
    if !joint.is_empty() {
        let said = "Read as several facts, or together with others; give them a line of their own only to read them otherwise.";
        line(out, &format!("\n# {said}"));
    }
    for column in joint {
        let why = in_comment(&format!("{}; {}", column.how, column.evidence));
        line(out, &format!("# {}  # {why}", key_of(column, columns)));
    }
    let unread = || columns.iter().filter(|column| column.field.is_none() && !column.joint);
    let asked: Vec<_> = unread().filter_map(|column| Some((column, column.could_be?))).collect();
    if !asked.is_empty() {
        line(out, "\n# Could be a survey column, and is not read until you say so: take away the # of the right line.");
    }
    for (column, field) in asked {
        let why = in_comment(&format!("{} {}", column.how, column.evidence));
        line(out, &format!("# {} = \"{}\"  # {}", key_of(column, columns), field.name, why.trim_end()));
    }
    let own: Vec<&Column> = unread().filter(|column| column.could_be.is_none()).collect();
    if !own.is_empty() {
        line(out, "\n# Your own columns, given back untouched.");
    }
    for column in own {
        line(out, &format!("{} = \"\"", key_of(column, columns)));
    }
}

/// A column as a key: its heading, or its letter where the heading is blank, stands twice or looks like a letter.
fn key_of(column: &Column, all: &[Column]) -> String {
    let text = words_of(&column.heading);
    let twice = all.iter().filter(|other| words_of(&other.heading) == text).count() > 1;
    if text.is_empty() || twice || column_written(&column.heading).is_some() {
        return format!("\"column {}\"", column_letters(column.index));
    }
    quoted(&column.heading)
}

/// A text as a key of the file.
fn quoted(text: &str) -> String {
    let mut key = String::from('"');
    for character in text.chars() {
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
