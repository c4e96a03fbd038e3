//! What became of a file that is laid over the portfolio: every row of it, every value it brought, every disagreement.
//!
//! These are records for reports; how rows are joined and values laid is said in `join` and `lay`.

use super::types::{Column, SourceFile};

/// What a further file, or a sheet of one, was taken for.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum LayerKind {
    /// Rows of a survey.
    #[default]
    Survey,
    /// Half-hours by meter and day.
    HalfHours,
    /// Vehicle groups by site.
    Fleet,
    /// Feeders that sites hang on.
    Feeders,
    /// A sheet that the contract names and that is used elsewhere, or by a later version.
    KnownForLater,
}

impl LayerKind {
    /// As it is written in reports.
    pub fn word(self) -> &'static str {
        match self {
            LayerKind::Survey => "survey",
            LayerKind::HalfHours => "half-hours",
            LayerKind::Fleet => "fleet",
            LayerKind::Feeders => "feeders",
            LayerKind::KnownForLater => "known, not used",
        }
    }
}

/// What one line of a layer tells.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Fate {
    /// Rows that were joined to a site.
    Joined,
    /// Rows that were not; the remark says why.
    NotJoined,
    /// A value that filled a blank.
    Filled,
    /// A disagreement.
    Conflict,
    /// Something to know of the half-hours of a site.
    Profile,
    /// A cell that could not be used; the remark says why.
    NotUnderstood,
}

impl Fate {
    /// As it is written in reports.
    pub fn word(self) -> &'static str {
        match self {
            Fate::Joined => "joined",
            Fate::NotJoined => "not joined",
            Fate::Filled => "filled",
            Fate::Conflict => "conflict",
            Fate::Profile => "half-hours",
            Fate::NotUnderstood => "not understood",
        }
    }
}

/// One line about a layer.
#[derive(Clone, Debug, PartialEq)]
pub struct LayerLine {
    /// What it tells.
    pub fate: Fate,
    /// Row of the layer, counted from 1 (the first of several).
    pub row: u32,
    /// Rows of the layer that it stands for; 0 where another line counts them.
    pub rows: usize,
    /// The site it concerns; empty when there is none.
    pub site_id: String,
    /// Row of that site in the portfolio; 0 when there is none.
    pub site_row: u32,
    /// Sheet of that row, by its place in [`super::Intake::sheets`].
    pub site_sheet: u16,
    /// Survey field; empty where a whole row is meant.
    pub field: &'static str,
    /// The value of the layer as written.
    pub value: String,
    /// Its cell ("C7").
    pub cell: String,
    /// The value it stands against; empty when there is none.
    pub against: String,
    /// That value's file and cell.
    pub against_cell: String,
    /// By what a row was joined and how surely, or what became of the value, in a sentence.
    pub remark: String,
}

/// A further file, or one sheet of it.
#[derive(Clone, Debug, Default)]
pub struct Layer {
    /// Which file and sheet.
    pub source: SourceFile,
    /// What it was taken for.
    pub kind: LayerKind,
    /// Whether it is a sheet of the portfolio's own file.
    pub of_portfolio: bool,
    /// Rows read. Always those joined and those not joined together.
    pub rows_read: usize,
    /// Every column of a survey.
    pub read: Vec<Column>,
    /// Columns that were read ("cutout_rating_a from Main fuse").
    pub columns: Vec<String>,
    /// Everything there is to say, in the order of its rows.
    pub lines: Vec<LayerLine>,
    /// What a reader should know of it as a whole, a sentence each.
    pub warnings: Vec<String>,
}

impl Layer {
    /// Rows with a fate.
    fn rows(&self, fate: Fate) -> usize {
        self.lines.iter().filter(|line| line.fate == fate).map(|line| line.rows).sum()
    }

    /// Rows that were joined to a site.
    pub fn joined(&self) -> usize {
        self.rows(Fate::Joined)
    }

    /// Rows that were not.
    pub fn not_joined(&self) -> usize {
        self.rows(Fate::NotJoined)
    }

    /// Lines with a fate.
    pub fn count(&self, fate: Fate) -> usize {
        self.lines.iter().filter(|line| line.fate == fate).count()
    }

    /// The file, and its sheet where it has one.
    pub fn name(&self) -> String {
        match self.source.sheet.as_str() {
            "" => self.source.name.clone(),
            sheet => format!("{}, sheet \"{sheet}\"", self.source.name),
        }
    }
}
