//! What a read spreadsheet is: sites, the rows as they stood, what was set aside, and how the sheet was understood.

use super::layer::Layer;
use crate::site::{Field, Site};
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

/// One column of the user's sheet.
#[derive(Clone, Debug, Default)]
pub struct Column {
    /// Position, counted from 0.
    pub index: u16,
    /// Heading as written.
    pub heading: String,
    /// The survey field it was read as; `None` for the user's own columns, which come out again untouched.
    pub field: Option<&'static Field>,
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
}

/// One row as it stood, in the user's order.
#[derive(Clone, Debug)]
pub struct RowAsRead {
    /// Row in the user's sheet, counted from 1.
    pub row: u32,
    /// One text a column of `Intake::columns`, as a person would see it.
    pub cells: Vec<String>,
}

/// A row that cannot be judged.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct SetAside {
    /// Row in the user's sheet.
    pub row: u32,
    /// Why, as a sentence.
    pub why: String,
}

/// How one cell was understood, where that is not plain.
#[derive(Clone, Debug, PartialEq)]
pub struct CellNote {
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
}

/// A read spreadsheet. Rows read = `sites` + `set_aside`.
#[derive(Clone, Debug, Default)]
pub struct Intake {
    /// Where from.
    pub source: SourceFile,
    /// Every column of the table, in the user's order.
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
    /// Rows set aside for nothing but want of figures, which another file may bring.
    pub(crate) waiting: Vec<(Site, Vec<CellNote>)>,
    /// Sheets of this file that are no survey but known by their names.
    pub(crate) known_sheets: Vec<String>,
}

/// What the user says about how to read.
#[derive(Clone, Debug, Default)]
pub struct ReadOptions {
    /// The sheet to read; by default the one whose headings look most like a survey.
    pub sheet: Option<String>,
    /// Headings that the user has settled: heading as written, survey field (empty: one of the user's own columns).
    pub mapping: Vec<(String, String)>,
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
