//! What there is to say about a spreadsheet before anything is judged, as data: the answer to "can this be assessed?",
//! then sections of lines. The terminal shows them in a page, the marked workbook in full; both from here.
//!
//! It reads no file and judges no site.

use super::alike::{Group, groups};
use super::answer::{Answer, answer};
use super::raw::column_letters;
use super::types::{Column, Intake};
use crate::site::{Field, fields};
use crate::table::Table;
use std::collections::BTreeMap;
use std::sync::OnceLock;

/// How a note says that nothing is known.
pub const NOT_KNOWN: &str = "not known";

/// Everything there is to say about a read spreadsheet.
#[derive(Clone, Debug)]
pub struct Inspection {
    /// File, sheet and row of the headings, in one line.
    pub place: String,
    /// Whether it can be assessed, and what to do.
    pub answer: Answer,
    /// What concerns the sheet as a whole, a sentence each.
    pub warnings: Vec<String>,
    /// Each column that is read as a survey field.
    pub columns: Vec<ColumnLine>,
    /// The user's own columns, by heading.
    pub own: Vec<String>,
    /// Columns that are not there though they would sharpen the answer.
    pub missing: Vec<&'static Worth>,
    /// Survey fields that no column asks for, those of weight among them.
    pub not_asked: usize,
    /// Cells that are read as not known, by kind of trouble, the most frequent first.
    pub lost: Vec<Group>,
    /// Cells that are understood with a doubt or a remark, likewise.
    pub doubtful: Vec<Group>,
    /// Cells read as not known, by survey field, the most first.
    pub lost_by_field: Vec<(&'static str, usize)>,
    /// Values that contradict each other, by kind.
    pub contradictions: Vec<Clash>,
    /// Rows set aside, by reason.
    pub aside: Vec<AsideLine>,
    /// Rows read, judged, set aside.
    pub rows: [usize; 3],
}

/// How one column was understood.
#[derive(Clone, Debug)]
pub struct ColumnLine {
    /// Letters of the column.
    pub letters: String,
    /// Heading as written, in one line.
    pub heading: String,
    /// The survey field with its unit.
    pub field: String,
    /// How sure the match is: certain, likely, to be checked.
    pub sure: Sure,
    /// On what it rests.
    pub how: String,
}

/// How sure a match of a column is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Sure {
    /// The heading is the field's own name or was settled by the user.
    Certain,
    /// The heading is one that people use for it.
    Known,
    /// The heading is near it, or says more: worth a look.
    Check,
}

impl Sure {
    /// In a word.
    pub fn word(self) -> &'static str {
        match self {
            Sure::Certain => "certain",
            Sure::Known => "sure",
            Sure::Check => "check this",
        }
    }
}

/// How sure a column's match is, by how it was made.
pub fn sure(column: &Column) -> Sure {
    match column.how.as_str() {
        "its own name" | "as you said" => Sure::Certain,
        "a known heading" | "part of the address" => Sure::Known,
        how if how.starts_with("a known heading under") => Sure::Known,
        _ => Sure::Check,
    }
}

/// A column that sharpens the answer, and what its absence means.
#[derive(Clone, Debug)]
pub struct Worth {
    /// Survey field.
    pub field: &'static str,
    /// What is taken instead.
    pub assumed: &'static str,
    /// What that costs.
    pub costs: &'static str,
}

/// The columns of weight, most first (`worth.csv`).
pub fn worth() -> &'static [Worth] {
    static WORTH: OnceLock<Vec<Worth>> = OnceLock::new();
    WORTH.get_or_init(|| {
        Table::of(include_str!("worth.csv"))
            .rows()
            .map(|row| Worth { field: row.kept("field"), assumed: row.kept("assumed"), costs: row.kept("costs") })
            .collect()
    })
}

/// Rows set aside for one reason.
#[derive(Clone, Debug, PartialEq)]
pub struct AsideLine {
    /// The reason, shared by all.
    pub why: String,
    /// The rows, in order.
    pub rows: Vec<u32>,
    /// The first one's reason in full.
    pub first: String,
}

/// Values that contradict each other, of one kind.
#[derive(Clone, Debug, PartialEq)]
pub struct Clash {
    /// What they have in common, and which of them stands.
    pub kind: String,
    /// Each case, with the rows.
    pub cases: Vec<String>,
}

/// Looks a read spreadsheet over.
pub fn inspection(intake: &Intake) -> Inspection {
    let source = &intake.source;
    let sheet = if source.sheet.is_empty() { String::new() } else { format!(", sheet \"{}\"", source.sheet) };
    let has = |name: &str| {
        let mut read = intake.columns.iter().flat_map(|column| column.field.iter().chain(&column.also));
        read.any(|field| field.name == name)
    };
    let kinds = |lost: bool| groups(intake.notes.iter().filter(|note| (note.understood == NOT_KNOWN) == lost));
    let fielded: Vec<(&Column, &Field)> =
        intake.columns.iter().filter_map(|column| column.field.map(|field| (column, field))).collect();
    Inspection {
        place: format!("{}{sheet}, headings in row {}", source.name, source.heading_row),
        answer: answer(intake),
        warnings: intake.warnings.clone(),
        columns: fielded.iter().map(|(column, field)| column_line(column, field)).collect(),
        own: own(&intake.columns),
        missing: worth().iter().filter(|worth| !has(worth.field)).collect(),
        not_asked: fields().iter().filter(|field| !has(field.name)).count(),
        lost: kinds(true),
        doubtful: kinds(false),
        lost_by_field: lost_by_field(intake),
        contradictions: contradictions(intake),
        aside: aside(intake),
        rows: [intake.rows.len(), intake.sites.len(), intake.set_aside.len()],
    }
}

fn column_line(column: &Column, field: &Field) -> ColumnLine {
    ColumnLine {
        letters: column_letters(column.index),
        heading: one_line(&column.heading),
        field: match field.unit {
            "" => field.name.to_owned(),
            unit => format!("{} ({unit})", field.name),
        },
        sure: sure(column),
        how: column.how.clone(),
    }
}

fn own(columns: &[Column]) -> Vec<String> {
    let own = columns.iter().filter(|column| column.field.is_none());
    own.map(|column| match (one_line(&column.heading), column.how.as_str()) {
        (heading, _) if heading.is_empty() => format!("column {}", column_letters(column.index)),
        (heading, "your own") => heading,
        (heading, how) => format!("{heading} ({how})"),
    })
    .collect()
}

fn lost_by_field(intake: &Intake) -> Vec<(&'static str, usize)> {
    let mut by_field: BTreeMap<&str, usize> = BTreeMap::new();
    for note in intake.notes.iter().filter(|note| note.understood == NOT_KNOWN) {
        *by_field.entry(note.field).or_default() += 1;
    }
    let mut counts: Vec<(&str, usize)> = by_field.into_iter().collect();
    counts.sort_by(|(a, m), (b, n)| n.cmp(m).then_with(|| a.cmp(b)));
    counts
}

/// Rows set aside by reason: what is told of the single row (after the first comma, colon or bracket) and its row
/// numbers do not make another reason.
fn aside(intake: &Intake) -> Vec<AsideLine> {
    let mut lines: Vec<AsideLine> = Vec::new();
    for row in &intake.set_aside {
        let why = reason(&row.why);
        match lines.iter_mut().find(|line| line.why == why) {
            Some(line) => line.rows.push(row.row),
            None => lines.push(AsideLine { why, rows: vec![row.row], first: row.why.clone() }),
        }
    }
    lines.sort_by_key(|line| std::cmp::Reverse(line.rows.len()));
    lines
}

/// Two rows for one place that say different things: what the sentence of the row set aside lists.
fn contradictions(intake: &Intake) -> Vec<Clash> {
    let differing = intake.set_aside.iter().filter_map(|row| {
        let (twin, differences) = row.why.split_once(" as row ")?.1.split_once(": ")?;
        let other = twin.split(',').next().unwrap_or(twin);
        Some(format!("row {} and row {other}: {}", row.row, differences.trim_end_matches('.')))
    });
    let cases: Vec<String> = differing.collect();
    let kind = "Two rows for one place differ, and the newer survey, else the later row, stands.".to_owned();
    if cases.is_empty() { Vec::new() } else { vec![Clash { kind, cases }] }
}

fn reason(why: &str) -> String {
    if let Some((key, _)) = why.split_once(" as row ") {
        return format!("{key} as another row, the newer kept");
    }
    let plain = why.split([':', '(']).next().unwrap_or(why);
    plain.trim().trim_end_matches('.').to_owned()
}

/// A text in one line: no control characters, single blanks.
pub fn one_line(text: &str) -> String {
    let plain: String = text.chars().map(|c| if c.is_control() { ' ' } else { c }).collect();
    plain.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_column_of_weight_exists_and_says_what_it_costs() {
        assert!(worth().len() >= 15);
        for worth in worth() {
            assert!(fields().iter().any(|field| field.name == worth.field), "{}", worth.field);
            assert!(!worth.assumed.is_empty() && !worth.costs.is_empty(), "{}", worth.field);
        }
    }

    #[test]
    fn reasons_are_alike_whatever_the_row() {
        assert_eq!(
            reason("The same UPRN as row 454, which was surveyed later (2026-11-12): Fuse is 100 here."),
            "The same UPRN as another row, the newer kept"
        );
        assert_eq!(reason("A total of other rows (\"Sub-total\")."), "A total of other rows");
        assert_eq!(reason("The headings stand here again."), "The headings stand here again");
    }
}
