//! A printed page as data: lines of cells that span columns of a narrow grid, running text, and a chart's place.
//! It knows no spreadsheet file.

use super::grid::Cell;

/// Columns of the usual grid.
pub(super) const COLUMNS: u16 = 14;
/// Usual width of a grid, screen pixels: 14 columns of 6.3 characters, which a sheet of A4 takes at full size.
pub(super) const WIDTH_PIXELS: f64 = 14.0 * (6.3 * 7.0 + 5.0);

/// Usual height of a line of text, points.
const LINE_PT: f64 = 13.0;

/// How a span looks.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Look {
    /// The title of the page.
    Title,
    /// What stands under it.
    Subtitle,
    /// Heading of a block.
    Section,
    /// Heading of a text column.
    Head,
    /// Heading of a number column.
    HeadRight,
    /// Text.
    Plain,
    /// Text or number that stands out.
    Strong,
    /// A whole number.
    Whole,
    /// A share of one.
    Share,
    /// Whole pounds.
    Pounds,
    /// Whole pounds that stand out.
    StrongPounds,
    /// A whole number that stands out.
    StrongWhole,
    /// Small text that stands back.
    Quiet,
    /// A sentence that must be read.
    Caution,
    /// Room to write a reading on.
    Room,
    /// Room to sign on.
    Sign,
}

impl Look {
    /// Every look, in the order in which formats are made.
    pub(super) const ALL: [Look; 16] = [
        Look::Title,
        Look::Subtitle,
        Look::Section,
        Look::Head,
        Look::HeadRight,
        Look::Plain,
        Look::Strong,
        Look::Whole,
        Look::Share,
        Look::Pounds,
        Look::StrongPounds,
        Look::StrongWhole,
        Look::Quiet,
        Look::Caution,
        Look::Room,
        Look::Sign,
    ];
}

/// A cell over one or more columns of the grid.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Span<'a> {
    /// First column, from 0.
    pub(super) first: u16,
    /// Last column.
    pub(super) last: u16,
    /// What it holds.
    pub(super) cell: Cell<'a>,
    /// How it looks.
    pub(super) look: Look,
}

/// A span.
pub(super) fn span<'a>(first: u16, last: u16, cell: impl Into<Cell<'a>>, look: Look) -> Span<'a> {
    Span { first, last, cell: cell.into(), look }
}

/// Which lines a chart is drawn from.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Chart {
    /// Line beside which it begins.
    pub(super) line: usize,
    /// Lines that it covers.
    pub(super) lines: usize,
    /// Columns that it covers, from the left.
    pub(super) columns: u16,
    /// First line of its numbers.
    pub(super) first: usize,
    /// Last line of its numbers.
    pub(super) last: usize,
    /// Column of the names of its bars.
    pub(super) names: u16,
    /// Columns of ready, marginal and blocked; one column where the bars are the verdicts themselves.
    pub(super) series: Vec<u16>,
    /// What it shows, in a few words, over it.
    pub(super) title: &'static str,
    /// What it shows, for people who cannot see it.
    pub(super) words: String,
}

/// A curve beside the lines of a page, with its figures to the right of the grid, where nothing is printed.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Curve {
    /// Line beside which it begins.
    pub(super) line: usize,
    /// Lines that it covers.
    pub(super) lines: usize,
    /// Columns that it covers, from the left.
    pub(super) columns: u16,
    /// What it shows, in a few words, over it.
    pub(super) title: &'static str,
    /// Headings of its figures: what runs along, what runs up (the first drawn full, the next dashed), what stands beside.
    pub(super) headings: Vec<&'static str>,
    /// Names of both axes.
    pub(super) axes: [&'static str; 2],
    /// Its figures, a line each, in the order of the headings.
    pub(super) figures: Vec<Vec<f64>>,
    /// What it shows, for people who cannot see it.
    pub(super) words: String,
}

impl Curve {
    /// The column in which its figures begin, from 0.
    pub(super) const fn figures_at(columns: u16) -> u16 {
        columns + 2
    }
}

/// A page.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Page<'a> {
    /// Columns of its grid.
    pub(super) columns: u16,
    /// Width of its grid, screen pixels; what is wider than the paper is printed smaller.
    pub(super) width_pixels: f64,
    /// Height of a line of text, points.
    pub(super) line_pt: f64,
    /// Lines from the top; an empty line is a gap.
    pub(super) lines: Vec<Vec<Span<'a>>>,
    /// The chart, if any.
    pub(super) chart: Option<Chart>,
    /// The curve, if any.
    pub(super) curve: Option<Curve>,
    /// Lines before which the paper may end, the best first.
    pub(super) breaks: Vec<usize>,
    /// Cells that have a name in the workbook: name, line, column.
    pub(super) names: Vec<(String, usize, u16)>,
}

impl Default for Page<'_> {
    fn default() -> Self {
        Self::of_columns(COLUMNS)
    }
}

impl<'a> Page<'a> {
    /// An empty page with a grid of this many columns.
    pub(super) fn of_columns(columns: u16) -> Self {
        Self {
            columns: columns.max(1),
            width_pixels: WIDTH_PIXELS,
            line_pt: LINE_PT,
            lines: Vec::new(),
            chart: None,
            curve: None,
            breaks: Vec::new(),
            names: Vec::new(),
        }
    }

    /// A line of spans; returns its number.
    pub(super) fn line(&mut self, spans: Vec<Span<'a>>) -> usize {
        self.lines.push(spans);
        self.lines.len() - 1
    }

    /// Text over the whole width; nothing for no text.
    pub(super) fn text(&mut self, text: impl Into<Cell<'a>>, look: Look) {
        let cell = text.into();
        if cell != Cell::Blank {
            self.lines.push(vec![span(0, self.columns - 1, cell, look)]);
        }
    }

    /// A gap.
    pub(super) fn gap(&mut self) {
        self.lines.push(Vec::new());
    }

    /// Lets the paper end before the next line.
    pub(super) fn may_break(&mut self) {
        self.breaks.push(self.lines.len());
    }

    /// Two blocks side by side, the shorter filled up with empty lines.
    pub(super) fn beside(&mut self, left: Vec<Vec<Span<'a>>>, right: Vec<Vec<Span<'a>>>) -> usize {
        let first = self.lines.len();
        let lines = left.len().max(right.len());
        let (mut left, mut right) = (left.into_iter(), right.into_iter());
        for _ in 0..lines {
            let mut line = left.next().unwrap_or_default();
            line.extend(right.next().unwrap_or_default());
            self.lines.push(line);
        }
        first
    }
}
