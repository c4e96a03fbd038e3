//! What there is to say about a spreadsheet before anything is judged, as data: the answer to "can this be assessed?",
//! then sections of lines. The terminal shows them in a page, the marked workbook in full; both from here.
//!
//! It reads no file and judges no site.

use super::alike::{Group, groups};
use super::answer::{Answer, answer};
use super::clashes::{Clash, clashes};
use super::grounds::{Grounds, Sure};
use super::raw::column_letters;
use super::types::{Column, Intake, SheetRead};
use crate::site::{Field, fields};
use crate::table::Table;
use std::collections::BTreeMap;
use std::sync::OnceLock;

/// Everything there is to say about a read spreadsheet.
#[derive(Clone, Debug)]
pub struct Inspection {
    /// File, sheet and row of the headings, in one line.
    pub place: String,
    /// Whether it can be assessed, and what to do.
    pub answer: Answer,
    /// What concerns the sheet as a whole, a sentence each.
    pub warnings: Vec<String>,
    /// The sheets, one or more, with their columns.
    pub sheets: Vec<SheetColumns>,
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

/// How the columns of one sheet were understood.
#[derive(Clone, Debug)]
pub struct SheetColumns {
    /// Name of the sheet where several are read; empty else.
    pub name: String,
    /// Each column that is read as a survey field.
    pub read: Vec<ColumnLine>,
    /// Each column that could be a survey field and is not read until the user says so.
    pub asked: Vec<ColumnLine>,
    /// The user's own columns, by heading, else by letter.
    pub own: Vec<String>,
}

/// How one column was understood.
#[derive(Clone, Debug)]
pub struct ColumnLine {
    /// Letters of the column.
    pub letters: String,
    /// Heading as written, in one line.
    pub heading: String,
    /// The survey field.
    pub field: &'static Field,
    /// On what it rests.
    pub grounds: Grounds,
    /// How sure the match is, 0 to 1.
    pub score: f64,
    /// The same in words: certain, likely, to be checked.
    pub sure: Sure,
    /// How the match was made, in a few words.
    pub how: String,
    /// What the values say for or against it; empty when nothing.
    pub evidence: String,
}

impl ColumnLine {
    fn of(column: &Column, field: &'static Field) -> Self {
        Self {
            letters: column_letters(column.index),
            heading: one_line(&column.heading),
            field,
            grounds: column.grounds,
            score: column.score,
            sure: Sure::of(column.grounds, column.score),
            how: one_line(&column.how),
            evidence: one_line(&column.evidence),
        }
    }

    /// The survey field with its unit.
    pub fn field_said(&self) -> String {
        match self.field.unit {
            "" => self.field.name.to_owned(),
            unit => format!("{} ({unit})", self.field.name),
        }
    }

    /// On what it rests and, where that is worth a look, how sure it is and what the values say.
    pub fn grounds_said(&self) -> String {
        match self.grounds {
            Grounds::Named if self.sure == Sure::Certain => self.grounds.word().to_owned(),
            Grounds::Values => format!("{}, {:.2}: {}", self.how, self.score, self.evidence),
            // A near spelling says its likeness itself; the values may have lowered it since.
            _ if self.sure == Sure::Check && !self.evidence.is_empty() => {
                let score = format!("{:.2}", self.score);
                let score = if self.how.ends_with(&score) { String::new() } else { format!(", {score}") };
                format!("{}{score}; {}", self.how, self.evidence)
            }
            Grounds::Within => format!("{}, {:.2}", self.how, self.score),
            _ => self.how.clone(),
        }
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
    /// The rows as they are named, in order.
    pub rows: Vec<String>,
    /// The first one's reason in full.
    pub first: String,
}

/// Looks a read spreadsheet over.
pub fn inspection(intake: &Intake) -> Inspection {
    let has = |name: &str| {
        let mut read = intake.columns.iter().flat_map(|column| column.field.iter().chain(&column.also));
        read.any(|field| field.name == name)
    };
    let kinds = |lost: bool| {
        let of_kind = intake.notes.iter().filter(|note| note.is_lost() == lost && note.contradiction.is_none());
        groups(intake, of_kind)
    };
    Inspection {
        place: one_line(&place(intake)),
        answer: answer(intake),
        warnings: intake.warnings.clone(),
        sheets: (0_u16..).zip(&intake.sheets).map(|(sheet, _)| sheet_columns(intake, sheet)).collect(),
        missing: worth().iter().filter(|worth| !has(worth.field)).collect(),
        not_asked: fields().iter().filter(|field| !has(field.name)).count(),
        lost: kinds(true),
        doubtful: kinds(false),
        lost_by_field: lost_by_field(intake),
        contradictions: clashes(intake),
        aside: aside(intake),
        rows: [intake.rows.len(), intake.sites.len(), intake.set_aside.len()],
    }
}

fn place(intake: &Intake) -> String {
    let heads = |sheet: &SheetRead| match sheet.name.as_str() {
        "" => format!("headings in row {}", sheet.heading_row),
        name => format!("sheet \"{name}\", headings in row {}", sheet.heading_row),
    };
    let sheets: Vec<String> = intake.sheets.iter().map(heads).collect();
    format!("{}, {}", intake.source.name, sheets.join("; "))
}

fn sheet_columns(intake: &Intake, sheet: u16) -> SheetColumns {
    let columns = intake.columns_of(sheet);
    let unread = || columns.iter().filter(|column| column.field.is_none());
    let own = unread().filter(|column| column.could_be.is_none()).map(|column| match one_line(&column.heading) {
        heading if heading.is_empty() => format!("column {}", column_letters(column.index)),
        heading => heading,
    });
    SheetColumns {
        name: intake.sheet_name(sheet).unwrap_or_default().to_owned(),
        read: columns.iter().filter_map(|column| Some(ColumnLine::of(column, column.field?))).collect(),
        asked: unread().filter_map(|column| Some(ColumnLine::of(column, column.could_be?))).collect(),
        own: own.collect(),
    }
}

fn lost_by_field(intake: &Intake) -> Vec<(&'static str, usize)> {
    let mut by_field: BTreeMap<&str, usize> = BTreeMap::new();
    for note in intake.notes.iter().filter(|note| note.is_lost()) {
        *by_field.entry(note.field).or_default() += 1;
    }
    let mut counts: Vec<(&str, usize)> = by_field.into_iter().collect();
    counts.sort_by(|(a, m), (b, n)| n.cmp(m).then_with(|| a.cmp(b)));
    counts
}

/// Rows set aside by reason: what is told of the single row makes no other reason.
fn aside(intake: &Intake) -> Vec<AsideLine> {
    let mut lines: Vec<AsideLine> = Vec::new();
    for row in &intake.set_aside {
        let (why, named) = (row.cause.kind(), intake.row_named(row.sheet, row.row));
        match lines.iter_mut().find(|line| line.why == why) {
            Some(line) => line.rows.push(named),
            None => lines.push(AsideLine { why, rows: vec![named], first: row.why.clone() }),
        }
    }
    lines.sort_by_key(|line| std::cmp::Reverse(line.rows.len()));
    lines
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
}
