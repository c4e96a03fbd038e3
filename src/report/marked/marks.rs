//! What is marked on the user's sheet and how it looks: a sign before the text and a ground, so that no mark hangs on
//! colour alone. It writes no cell.

use crate::intake::{CellNote, Gap, Intake, gaps, one_line};
use crate::report::formats::{HAIR, PALE, QUIET, heading, text};
use rust_xlsxwriter::{Color, Format, FormatBorder, FormatPattern, Workbook};
use std::collections::BTreeMap;

/// Cells of the user's sheet that carry a note of their own: each is a drawing, and a spreadsheet program that has to
/// lay out tens of thousands of them stands still. The file format sets no limit; this one is a design rule.
pub(super) const MOST_NOTES: usize = 4_000;
/// What is wrong with a cell.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Mark {
    /// Read as not known.
    Lost,
    /// Contradicted by another answer.
    Clash,
    /// Understood with a doubt or a remark.
    Doubtful,
    /// Blank where it decides.
    Gap,
    /// In a row that was set aside.
    Aside,
}

impl Mark {
    /// Every mark, as the page explains them.
    pub(super) const ALL: [Mark; 5] = [Mark::Lost, Mark::Clash, Mark::Doubtful, Mark::Gap, Mark::Aside];

    /// The sign before the text of a cell; a gap has none but its hatching.
    pub(super) fn sign(self) -> &'static str {
        match self {
            Mark::Lost => "? ",
            Mark::Clash => "! ",
            Mark::Doubtful => "~ ",
            Mark::Gap => "",
            Mark::Aside => "| ",
        }
    }

    /// What the mark means.
    pub(super) fn meaning(self) -> &'static str {
        match self {
            Mark::Lost => "read as not known",
            Mark::Clash => "contradicted by another answer",
            Mark::Doubtful => "understood, with a doubt or a remark",
            Mark::Gap => "hatched: blank, and the row says nowhere else what is wanted",
            Mark::Aside => "in a row that was set aside; its first cell says why",
        }
    }

    fn ground(self) -> Format {
        match self {
            Mark::Lost => text().set_background_color(Color::RGB(0xF3C9C4)).set_bold(),
            Mark::Clash => text().set_background_color(Color::RGB(0xFBE3B5)).set_bold(),
            Mark::Doubtful => text().set_background_color(Color::RGB(0xFBE3B5)),
            Mark::Gap => text()
                .set_pattern(FormatPattern::LightUp)
                .set_foreground_color(QUIET)
                .set_background_color(Color::RGB(0xF3C9C4)),
            Mark::Aside => text().set_background_color(PALE).set_font_color(QUIET).set_italic(),
        }
    }
}

/// The formats of the user's sheet: for texts and for numbers, plain first and then by mark.
pub(super) struct Looks {
    plain: Format,
    marked: [[Format; 2]; 5],
    /// A heading.
    pub(super) heading: Format,
    /// The heading of a column that is not read.
    pub(super) own: Format,
}

impl Looks {
    pub(super) fn register(workbook: &mut Workbook) -> Self {
        let looks = Self {
            plain: text(),
            // The sign is part of the number format: what stands in the cell stays as it was.
            marked: Mark::ALL.map(|mark| {
                let format = |shown: &str| {
                    let sign = mark.sign();
                    let ground = mark.ground().set_border(FormatBorder::Hair).set_border_color(HAIR);
                    if sign.is_empty() { ground } else { ground.set_num_format(format!("\"{sign}\"{shown}")) }
                };
                // The fourth part of a number format is that of texts.
                [format("@"), format("General")]
            }),
            heading: heading(),
            own: heading().set_font_color(QUIET).set_italic(),
        };
        for format in
            [&looks.plain].into_iter().chain(looks.marked.iter().flatten()).chain([&looks.heading, &looks.own])
        {
            workbook.register_format(format);
        }
        looks
    }

    /// The format of a cell with a mark or none.
    pub(super) fn of(&self, mark: Option<Mark>, number: bool) -> &Format {
        let Some(mark) = mark else { return &self.plain };
        let [lost, clash, doubtful, gap, aside] = &self.marked;
        let [texts, numbers] = match mark {
            Mark::Lost => lost,
            Mark::Clash => clash,
            Mark::Doubtful => doubtful,
            Mark::Gap => gap,
            Mark::Aside => aside,
        };
        if number { numbers } else { texts }
    }
}

/// A cell: its sheet, row and column.
type Place = (u16, u32, u16);

/// What is marked, ready to be looked up cell by cell, and how much of it has room for a note.
pub(super) struct Marks<'a> {
    /// What is said of cells.
    pub(super) notes: BTreeMap<Place, Vec<&'a CellNote>>,
    gaps: BTreeMap<Place, Gap>,
    /// Rows set aside, with the reason.
    pub(super) aside: BTreeMap<(u16, u32), &'a str>,
    /// Cells that are marked by themselves.
    pub(super) marked: usize,
    /// Of these, how many find no room for a note on the sheet.
    pub(super) without_note: usize,
}

impl<'a> Marks<'a> {
    pub(super) fn of(intake: &'a Intake) -> Self {
        let mut notes: BTreeMap<Place, Vec<&CellNote>> = BTreeMap::new();
        for note in &intake.notes {
            notes.entry((note.sheet, note.row, note.column)).or_default().push(note);
        }
        let aside: BTreeMap<(u16, u32), &str> =
            intake.set_aside.iter().map(|row| ((row.sheet, row.row), row.why.as_str())).collect();
        let gaps: BTreeMap<Place, Gap> =
            gaps(intake).into_iter().map(|gap| ((gap.sheet, gap.row, gap.column), gap)).collect();
        let blank = gaps.keys().filter(|place| !notes.contains_key(place)).count();
        let marked = notes.len() + blank + aside.len();
        Self { notes, gaps, aside, marked, without_note: marked.saturating_sub(MOST_NOTES) }
    }

    /// The mark of a cell and what its note says; a row set aside is told at its first cell.
    pub(super) fn at(&self, sheet: u16, row: u32, column: u16) -> Option<(Mark, String)> {
        if self.aside.contains_key(&(sheet, row)) {
            return Some((Mark::Aside, String::new()));
        }
        if let Some(notes) = self.notes.get(&(sheet, row, column)) {
            let lost = notes.iter().any(|note| note.is_lost());
            let said: Vec<String> = notes.iter().map(|note| told(note)).collect();
            let clash = notes.iter().any(|note| note.contradiction.is_some());
            let mark = if lost {
                Mark::Lost
            } else if clash {
                Mark::Clash
            } else {
                Mark::Doubtful
            };
            return Some((mark, said.join("\n")));
        }
        let gap = self.gaps.get(&(sheet, row, column))?;
        let (mark, said) = if gap.blank { (Mark::Gap, "Blank") } else { (Mark::Lost, "Read as not known") };
        Some((mark, format!("{said}, and nothing else in the row says the {}.\n{TAKEN}", gap.what)))
    }
}

/// What is assumed for a value that is not known.
const TAKEN: &str = "Taken as not known: the site is judged at every plausible value, and held where that decides.";

fn told(note: &CellNote) -> String {
    let message = one_line(&note.message);
    if note.is_lost() {
        format!("{}: not understood. {message}\n{TAKEN}", note.field)
    } else if note.contradiction.is_some() {
        format!("{}: contradicted. {message}", note.field)
    } else {
        format!("{}: read as {}. {message}", note.field, one_line(&note.understood))
    }
}
