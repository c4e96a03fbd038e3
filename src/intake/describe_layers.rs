//! How files laid over the portfolio are understood, as plain text for a terminal: what each was taken for, what was
//! joined, what was not and where they disagree. It only tells.

use super::describe::wrapped;
use super::layer::{Fate, Layer, LayerLine};
use super::types::Intake;
use std::fmt::Write;

/// Lines of each list that are shown before "and so many more".
const SHOWN: usize = 10;
/// Sites whose half-hours are told: one is like the next.
const SITES_SHOWN: usize = 1;
/// Characters of a cell that are shown.
const WIDEST: usize = 34;
/// Columns that are named.
const COLUMNS: usize = 12;

/// The whole description, lines ending in line ends; empty without further files.
pub fn describe_layers(intake: &Intake) -> String {
    let mut out = String::new();
    for layer in &intake.layers {
        describe(layer, &mut out);
    }
    out
}

fn describe(layer: &Layer, out: &mut String) {
    say(out, "");
    let (joined, not) = (layer.joined(), layer.not_joined());
    let rows = format!("{} rows read: {joined} joined, {not} not joined", layer.rows_read);
    say(out, &format!("{}: {}, {rows}", cut(&layer.name(), 2 * WIDEST), layer.kind.word()));
    if !layer.columns.is_empty() {
        let named: Vec<String> = layer.columns.iter().take(COLUMNS).map(|column| cut(column, 2 * WIDEST)).collect();
        let more = layer.columns.len().saturating_sub(COLUMNS);
        let more = if more > 0 { format!(" and {more} more") } else { String::new() };
        wrapped(out, "  Read: ", "    ", &format!("{}{more}", named.join(", ")));
    }
    for warning in &layer.warnings {
        wrapped(out, "  ", "    ", warning);
    }
    let (filled, conflicts) = (layer.count(Fate::Filled), layer.count(Fate::Conflict));
    if filled + conflicts > 0 {
        say(out, &format!("  {filled} blanks filled, {conflicts} disagreements"));
    }
    list(layer, Fate::NotJoined, SHOWN, out, "rows", |line| format!("row {:<6} {}", line.row, line.remark));
    list(layer, Fate::Conflict, SHOWN, out, "disagreements", |line| {
        let (value, against) = (cut(&line.value, WIDEST), cut(&line.against, WIDEST));
        let (cell, field, there) = (&line.cell, line.field, cut(&line.against_cell, 2 * WIDEST));
        format!(
            "{cell:<7} {field}: \"{value}\" against \"{against}\" ({there}), site {}. {}",
            line.site_id, line.remark
        )
    });
    list(layer, Fate::NotUnderstood, SHOWN, out, "cells", |line| {
        format!("{:<7} {}: \"{}\". {}", line.cell, line.field, cut(&line.value, WIDEST), line.remark)
    });
    list(layer, Fate::Profile, SITES_SHOWN, out, "sites", |line| format!("site {}: {}", line.site_id, line.remark));
}

fn list(layer: &Layer, fate: Fate, shown: usize, out: &mut String, what: &str, told: impl Fn(&LayerLine) -> String) {
    for line in layer.lines.iter().filter(|line| line.fate == fate).take(shown) {
        say(out, &format!("  {}", told(line)));
    }
    let more = layer.count(fate).saturating_sub(shown);
    if more > 0 {
        say(out, &format!("  and {more} more {what}"));
    }
}

fn say(out: &mut String, text: &str) {
    // Writing to a string cannot fail.
    let _ = writeln!(out, "{}", text.trim_end());
}

/// A text in one line of bounded width, fit for a terminal: no control characters.
fn cut(text: &str, widest: usize) -> String {
    let plain: String = text.chars().map(|c| if c.is_control() { ' ' } else { c }).collect();
    let plain = plain.split_whitespace().collect::<Vec<_>>().join(" ");
    if plain.chars().count() <= widest {
        return plain;
    }
    plain.chars().take(widest - 1).chain(['\u{2026}']).collect()
}
