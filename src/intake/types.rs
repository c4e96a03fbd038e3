//! What a read spreadsheet is: sites, the rows as they stood, what was set aside, and how the sheet was understood.

use super::aside::Cause;
use super::grounds::Grounds;
use super::layer::Layer;
use super::personal::LeftOut;
use super::raw::column_letters;
use crate::site::{Feeder, Field, Site};
use jiff::civil::Date;

/// Which file, and which bytes.
#[derive(Clone, Debug, Default)]
pub struct SourceFile {
    /// File name without its folder.
    pub name: String,
    /// SHA-256 of its bytes, hexadecimal.
    pub sha256: String,
    /// Sheet read; empty for a delimited file.
    pub sheet: String,
    /// Row of the headings, counted from 1.
    pub heading_row: u32,
}

/// One sheet of the user's file that is read.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct SheetRead {
    /// Its name; empty for a delimited file.
    pub name: String,
    /// Row of the headings, counted from 1.
    pub heading_row: u32,
    /// The rows down to the headings and, where they have more lines than one, all of these: what stands there, as a
    /// person would see it, by row (from 1) and column (from 0).
    pub above: Vec<(u32, Vec<(u16, String)>)>,
}

/// One column of the user's sheet.
#[derive(Clone, Debug, Default)]
pub struct Column {
    /// The sheet, by its place in [`Intake::sheets`].
    pub sheet: u16,
    /// Position, counted from 0.
    pub index: u16,
    /// Heading as written.
    pub heading: String,
    /// The survey field it was read as; `None` for the user's own columns, which come out again untouched.
    pub field: Option<&'static Field>,
    /// On what the match rests.
    pub grounds: Grounds,
    /// How the match was made, in a few words ("exact", "known heading", "near 'cut out rating' 0.91").
    pub how: String,
    /// How sure the match is, 0 to 1; 0 where there is none.
    pub score: f64,
    /// What the column's own values say for or against it, in a few words; empty when nothing.
    pub evidence: String,
    /// Further survey fields that the same column holds ("Phases / fuse").
    pub also: Vec<&'static Field>,
    /// Whether it is read together with others or as several facts, which no line of a mapping can say.
    pub joint: bool,
    /// The survey field that it could be, where that has to be asked: it is not read as it until a mapping says so.
    pub could_be: Option<&'static Field>,
    /// Whether another column could be that field as well.
    pub contested: bool,
}

/// One row as it stood, in the user's order.
#[derive(Clone, Debug)]
pub struct RowAsRead {
    /// The sheet, by its place in [`Intake::sheets`].
    pub sheet: u16,
    /// Row in the user's sheet, counted from 1.
    pub row: u32,
    /// One text a column of its sheet ([`Intake::columns_of`]), as a person would see it.
    pub cells: Vec<String>,
}

/// A row that cannot be judged.
#[derive(Clone, Debug, PartialEq)]
pub struct SetAside {
    /// The sheet, by its place in [`Intake::sheets`].
    pub sheet: u16,
    /// Row in the user's sheet.
    pub row: u32,
    /// Why, for programs.
    pub cause: Cause,
    /// Why, as a sentence.
    pub why: String,
}

/// How one cell was understood, where that is not plain.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct CellNote {
    /// The sheet, by its place in [`Intake::sheets`]; given when all sheets are read.
    pub sheet: u16,
    /// Row in the user's sheet.
    pub row: u32,
    /// Column, counted from 0.
    pub column: u16,
    /// Survey field.
    pub field: &'static str,
    /// As written.
    pub raw: String,
    /// As understood ("18 m, 13.5 to 22.5"), or "not known".
    pub understood: String,
    /// Why, as a sentence.
    pub message: String,
    /// The rule that found it, where two answers contradict each other.
    pub contradiction: Option<&'static str>,
}

impl CellNote {
    /// Whether nothing is understood.
    pub fn is_lost(&self) -> bool {
        self.understood == NOT_KNOWN
    }
}

/// How a note says that nothing is known.
pub const NOT_KNOWN: &str = "not known";

/// A read spreadsheet. Rows read = `sites` + `set_aside`.
#[derive(Clone, Debug, Default)]
pub struct Intake {
    /// Where from; of several sheets the first.
    pub source: SourceFile,
    /// The sheets that are read; lists of columns, rows, sites and notes are in their order.
    pub sheets: Vec<SheetRead>,
    /// Every column of every table, in the user's order.
    pub columns: Vec<Column>,
    /// Every row with a cell filled under the headings, in the user's order.
    pub rows: Vec<RowAsRead>,
    /// The rows that can be judged, in the user's order.
    pub sites: Vec<Site>,
    /// The rows that cannot, with the reason.
    pub set_aside: Vec<SetAside>,
    /// Cells whose reading needs a word.
    pub notes: Vec<CellNote>,
    /// What a reader should know of the sheet as a whole (hidden rows, unread sheets, formulas without results), a
    /// sentence each.
    pub warnings: Vec<String>,
    /// Newest date in the sheet (survey dates), the as-of date of last resort.
    pub newest_date: Option<Date>,
    /// What no column says although every assessment needs it, as a sentence; only when the sheet was read all the same.
    pub lacking: Option<String>,
    /// Other files (and other sheets of this one) and what became of their rows, in the order in which they were given.
    pub layers: Vec<Layer>,
    /// What was left out because it may be of a person, in the order of the columns; `None` where everything is kept.
    pub left_out: Option<Vec<LeftOut>>,
    /// Feeders, where a sheet of them was read, in its order.
    pub feeders: Vec<Feeder>,
    /// Rows set aside for nothing but want of figures, which another file may bring.
    pub(crate) waiting: Vec<(Site, Vec<CellNote>)>,
    /// Sheets of this file that are no survey but known by their names.
    pub(crate) known_sheets: Vec<String>,
}

impl Intake {
    /// The columns of one sheet.
    pub fn columns_of(&self, sheet: u16) -> &[Column] {
        columns_of(&self.columns, sheet)
    }

    /// The name of a sheet where several are read: rows are then named with it.
    pub fn sheet_name(&self, sheet: u16) -> Option<&str> {
        let several = self.sheets.len() > 1;
        several.then(|| self.sheets.get(usize::from(sheet))).flatten().map(|sheet| sheet.name.as_str())
    }

    /// A row as it is named: by its number, with its sheet before it where several are read ("Homes!7").
    pub fn row_named(&self, sheet: u16, row: u32) -> String {
        match self.sheet_name(sheet) {
            Some(name) => format!("{name}!{row}"),
            None => row.to_string(),
        }
    }

    /// A cell as it is named ("C7", "Homes!C7"). `column` counts from 0.
    pub fn cell_named(&self, sheet: u16, row: u32, column: u16) -> String {
        let cell = format!("{}{row}", column_letters(column));
        match self.sheet_name(sheet) {
            Some(name) => format!("{name}!{cell}"),
            None => cell,
        }
    }

    /// The sheets that are read, as a title names them; empty for a delimited file.
    pub fn sheets_said(&self) -> String {
        match self.sheets.len() {
            0 | 1 => self.source.sheet.clone(),
            _ => self.sheets.iter().map(|sheet| sheet.name.as_str()).collect::<Vec<_>>().join(" and "),
        }
    }
}

/// The columns of one sheet among those of all, which stand in the order of the sheets.
pub(super) fn columns_of(columns: &[Column], sheet: u16) -> &[Column] {
    let from = columns.partition_point(|column| column.sheet < sheet);
    let to = columns.partition_point(|column| column.sheet <= sheet);
    columns.get(from..to).unwrap_or_default()
}

/// What the user says about how to read.
#[derive(Clone, Debug, Default)]
pub struct ReadOptions {
    /// The sheets to read, by name or number (from 1); by default the one whose headings look most like a survey, or
    /// those of our own template that are filled in.
    pub sheets: Vec<String>,
    /// Headings that the user has settled: heading as written, survey field (empty: one of the user's own columns).
    pub mapping: Vec<(String, String)>,
    /// The same for one sheet, by its name; it goes before [`ReadOptions::mapping`].
    pub mapping_by_sheet: Vec<(String, Vec<(String, String)>)>,
    /// The same for a further file, by its name; nothing else is settled there.
    pub mapping_by_file: Vec<(String, Vec<(String, String)>)>,
    /// Read the sheet although a needed column is missing, and say so in [`Intake::lacking`].
    pub whatever_it_lacks: bool,
    /// Whether the file is read beside others: what it lacks may stand in them, so that no column is needed and a row
    /// without figures is kept waiting.
    pub part: bool,
    /// Sheets that are not to be read as a survey.
    pub skip: Vec<String>,
    /// Day of the assessment, where it is given: no survey was made after it.
    pub as_of: Option<Date>,
    /// A day up to which a date is believed although it stands apart from the others of its column (prices and rules in
    /// use are of about then); by default only the column itself tells.
    pub current_until: Option<Date>,
}

impl ReadOptions {
    /// What the user has settled for the headings of one sheet.
    pub(super) fn settled_on(&self, sheet: &str) -> Vec<(String, String)> {
        let own = self.mapping_by_sheet.iter().filter(|(name, _)| name == sheet);
        own.flat_map(|(_, entries)| entries).chain(&self.mapping).cloned().collect()
    }
}

/// Why a file cannot be read at all. Each prints as one sentence that says what was found and what to do.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum IntakeError {
    /// The file as a whole: missing, locked, damaged, not a spreadsheet.
    #[error("cannot read {file}: {problem}")]
    File {
        /// File name.
        file: String,
        /// What is wrong, and what to do.
        problem: String,
    },
    /// One sheet of it.
    #[error("cannot read {file}, sheet \"{sheet}\": {problem}")]
    Sheet {
        /// File name.
        file: String,
        /// Sheet name.
        sheet: String,
        /// What is wrong, with row and column where there is one, and what to do.
        problem: String,
    },
    /// A mapping file.
    #[error("cannot use the mapping {file}: {problem}.")]
    Mapping {
        /// File name.
        file: String,
        /// What is wrong, and what to do.
        problem: String,
    },
    /// A needed column is missing.
    #[error("cannot judge {place}: {lacks}.{nearest}")]
    MissingColumn {
        /// File and sheet.
        place: String,
        /// What no column says.
        lacks: String,
        /// The nearest headings and what to do, beginning on a new line; empty when none is near.
        nearest: String,
    },
    /// The template could not be put together (a fault of ours).
    #[error("cannot put the template together: {problem}; please report it")]
    Template {
        /// What the writer says.
        problem: String,
    },
}

impl IntakeError {
    /// The same without control characters: a sentence quotes the file, and what it quotes must not reach a terminal as
    /// a command. Lines that a sentence itself begins stay.
    pub(super) fn without_controls(self) -> Self {
        let plain = |text: String| -> String {
            text.chars().map(|c| if c.is_control() && c != '\n' { ' ' } else { c }).collect()
        };
        match self {
            Self::File { file, problem } => Self::File { file: plain(file), problem: plain(problem) },
            Self::Sheet { file, sheet, problem } => {
                Self::Sheet { file: plain(file), sheet: plain(sheet), problem: plain(problem) }
            }
            Self::Mapping { file, problem } => Self::Mapping { file: plain(file), problem: plain(problem) },
            Self::MissingColumn { place, lacks, nearest } => {
                Self::MissingColumn { place: plain(place), lacks: plain(lacks), nearest: plain(nearest) }
            }
            Self::Template { problem } => Self::Template { problem: plain(problem) },
        }
    }
}
