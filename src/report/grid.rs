//! A sheet as data: headings with width and number format, then rows of typed cells. It knows no spreadsheet file.

use crate::quantity::{CostBand, Pence};
use crate::site::Verdict;
use jiff::civil::Date;
use std::borrow::Cow;

/// How the values of a column are shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Form {
    /// Text on one line, left.
    Text,
    /// Text that may take several lines.
    Wrapped,
    /// Whole numbers.
    Whole,
    /// A row or rank number, without a thousands mark.
    Ordinal,
    /// One decimal place.
    Tenths,
    /// Two decimal places.
    Hundredths,
    /// Three decimal places.
    Thousandths,
    /// As many places as the figure has, four at most.
    Free,
    /// A share of one, as whole percent.
    Percent,
    /// Pounds, whole.
    Pounds,
    /// Pounds and pence.
    Pence,
    /// A date.
    Date,
}

impl Form {
    /// Every form, in the order in which formats are registered.
    pub(super) const ALL: [Form; 12] = [
        Form::Text,
        Form::Wrapped,
        Form::Whole,
        Form::Ordinal,
        Form::Tenths,
        Form::Hundredths,
        Form::Thousandths,
        Form::Free,
        Form::Percent,
        Form::Pounds,
        Form::Pence,
        Form::Date,
    ];

    /// Whether the column is set to the right.
    pub(super) fn is_number(self) -> bool {
        !matches!(self, Form::Text | Form::Wrapped | Form::Date)
    }
}

/// One column of a sheet.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Heading<'a> {
    /// What the column holds, with its unit.
    pub(super) title: Cow<'a, str>,
    /// Width in characters.
    pub(super) width: f64,
    /// How its values are shown.
    pub(super) form: Form,
    /// Whether the column belongs to the technical columns that fold away.
    pub(super) folds: bool,
}

/// A column that is always in sight.
pub(super) fn heading<'a>(title: impl Into<Cow<'a, str>>, width: f64, form: Form) -> Heading<'a> {
    Heading { title: title.into(), width, form, folds: false }
}

/// A technical column that folds away.
pub(super) fn folded<'a>(title: impl Into<Cow<'a, str>>, width: f64, form: Form) -> Heading<'a> {
    Heading { title: title.into(), width, form, folds: true }
}

/// One cell.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Cell<'a> {
    /// Nothing: not computed, not stated.
    Blank,
    /// Text; what looks like a formula stays text.
    Text(Cow<'a, str>),
    /// A number in the unit of the heading.
    Number(f64),
    /// A whole number.
    Int(i64),
    /// An amount before tax unless the heading says otherwise.
    Money(Pence),
    /// A share of one.
    Percent(f64),
    /// A date.
    Date(Date),
    /// A verdict: tinted, with its word; the mark is set where an engineer's override counts.
    Verdict(Verdict, bool),
    /// A jump to a row (counted from 1, as shown) of a sheet of this workbook.
    Link {
        /// What is shown.
        text: Cow<'a, str>,
        /// Sheet.
        sheet: &'static str,
        /// Row, counted from 1.
        row: u32,
    },
    /// So many rows of another sheet, with a jump to the first.
    Lines {
        /// How many.
        lines: u32,
        /// Sheet.
        sheet: &'static str,
        /// The first, counted from 1.
        row: u32,
    },
    /// A number that the workbook reckons itself.
    Formula {
        /// The formula, without its equals sign.
        text: String,
        /// What it comes to.
        shown: f64,
    },
}

impl<'a> From<&'a str> for Cell<'a> {
    fn from(text: &'a str) -> Self {
        if text.is_empty() { Cell::Blank } else { Cell::Text(Cow::Borrowed(text)) }
    }
}

impl From<String> for Cell<'_> {
    fn from(text: String) -> Self {
        if text.is_empty() { Cell::Blank } else { Cell::Text(Cow::Owned(text)) }
    }
}

impl From<Option<f64>> for Cell<'_> {
    fn from(number: Option<f64>) -> Self {
        number.map_or(Cell::Blank, Cell::Number)
    }
}

impl From<f64> for Cell<'_> {
    fn from(number: f64) -> Self {
        Cell::Number(number)
    }
}

impl From<u32> for Cell<'_> {
    fn from(number: u32) -> Self {
        Cell::Int(i64::from(number))
    }
}

impl From<u16> for Cell<'_> {
    fn from(number: u16) -> Self {
        Cell::Int(i64::from(number))
    }
}

impl From<u8> for Cell<'_> {
    fn from(number: u8) -> Self {
        Cell::Int(i64::from(number))
    }
}

impl<'a> Cell<'a> {
    /// The three points of a cost, or three blanks.
    pub(super) fn cost(cost: Option<CostBand>) -> [Cell<'a>; 3] {
        match cost {
            Some(cost) => [Cell::Money(cost.low), Cell::Money(cost.likely), Cell::Money(cost.high)],
            None => [Cell::Blank, Cell::Blank, Cell::Blank],
        }
    }

    /// What a person sees, for tests and for measuring widths.
    #[cfg(test)]
    pub(super) fn shown(&self) -> String {
        match self {
            Cell::Blank => String::new(),
            Cell::Text(text) | Cell::Link { text, .. } => text.to_string(),
            Cell::Number(number) | Cell::Percent(number) | Cell::Formula { shown: number, .. } => number.to_string(),
            Cell::Int(number) => number.to_string(),
            Cell::Lines { lines, .. } => lines.to_string(),
            Cell::Money(pence) => format!("{:.2}", pence.pounds()),
            Cell::Date(date) => date.to_string(),
            Cell::Verdict(verdict, marked) => verdict_word(*verdict, *marked).to_owned(),
        }
    }
}

/// The word for a verdict, with the mark of an engineer's override.
pub(super) fn verdict_word(verdict: Verdict, overridden: bool) -> &'static str {
    match (verdict, overridden) {
        (Verdict::Ready, false) => "ready",
        (Verdict::Marginal, false) => "marginal",
        (Verdict::Blocked, false) => "blocked",
        (Verdict::Ready, true) => "ready (engineer)",
        (Verdict::Marginal, true) => "marginal (engineer)",
        (Verdict::Blocked, true) => "blocked (engineer)",
    }
}

/// One row of a sheet.
pub(super) type Row<'a> = Vec<Cell<'a>>;

/// Paper that a sheet is printed on, landscape.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Paper {
    /// 297 mm by 210 mm.
    A4,
    /// 420 mm by 297 mm, for the wide sheets.
    A3,
}

/// One sheet: headings in its first row, then the rows.
pub(super) struct Sheet<'a> {
    /// Name on the tab.
    pub(super) name: &'static str,
    /// What it holds, for the head of a printed page.
    pub(super) subject: &'static str,
    /// Columns.
    pub(super) headings: Vec<Heading<'a>>,
    /// Columns at the left that stay in sight.
    pub(super) frozen: u16,
    /// Columns printed, from the left; all when `None`.
    pub(super) printed: Option<u16>,
    /// Paper.
    pub(super) paper: Paper,
    /// The rows, made as they are written.
    pub(super) rows: Rows<'a>,
}

/// The rows of a sheet: first those of its table, whose number is known before the first is written, then what stands
/// beneath it.
pub(super) struct Rows<'a> {
    /// Rows of the table.
    pub(super) in_table: usize,
    rows: Box<dyn Iterator<Item = Row<'a>> + Send + 'a>,
}

impl<'a> Rows<'a> {
    /// A row for each item. The items are gone through twice, the first time to count them; the rows are made one by
    /// one as they are written.
    pub(super) fn of<T>(
        items: impl Iterator<Item = T> + Clone + Send + 'a,
        row: impl FnMut(T) -> Row<'a> + Send + 'a,
    ) -> Self {
        let items = items.take(GREATEST_ROWS);
        Self { in_table: items.clone().count(), rows: Box::new(items.map(row)) }
    }

    /// Rows made at once: for sheets that stay short, and where only making a row tells whether there is one.
    pub(super) fn few(rows: impl IntoIterator<Item = Row<'a>>) -> Self {
        let rows: Vec<Row<'a>> = rows.into_iter().take(GREATEST_ROWS).collect();
        Self { in_table: rows.len(), rows: Box::new(rows.into_iter()) }
    }

    /// These rows and then others, all in one table.
    pub(super) fn and(self, others: Rows<'a>) -> Self {
        Self { in_table: self.in_table.saturating_add(others.in_table), rows: Box::new(self.rows.chain(others.rows)) }
    }

    /// These rows with others beneath the table: sums and remarks, which are not sorted or filtered with it.
    pub(super) fn then(self, beneath: impl IntoIterator<Item = Row<'a>, IntoIter: Send + 'a>) -> Self {
        Self { rows: Box::new(self.rows.chain(beneath)), ..self }
    }
}

impl<'a> Iterator for Rows<'a> {
    type Item = Row<'a>;

    fn next(&mut self) -> Option<Row<'a>> {
        self.rows.next()
    }
}

/// Rows under the headings that a worksheet can hold.
pub(super) const GREATEST_ROWS: usize = 1_048_575;

/// Names of the sheets, in the order of the tabs.
pub(super) mod names {
    pub(in crate::report) const SUMMARY: &str = "Summary";
    pub(in crate::report) const RANKING: &str = "Ranking";
    pub(in crate::report) const WEIGHTS: &str = "Weights";
    pub(in crate::report) const DESIGN: &str = "Design";
    pub(in crate::report) const FINDINGS: &str = "Findings";
    pub(in crate::report) const TRY_SITE: &str = "Try a site";
    pub(in crate::report) const MATERIALS: &str = "Materials";
    pub(in crate::report) const LABOUR: &str = "Labour";
    pub(in crate::report) const GAPS: &str = "Survey gaps";
    pub(in crate::report) const BID: &str = "Bid";
    pub(in crate::report) const RATES: &str = "Rates";
    pub(in crate::report) const TENDER: &str = "Tender notes";
    pub(in crate::report) const SHARED_SUPPLIES: &str = "Shared supplies";
    pub(in crate::report) const VEHICLES: &str = "Vehicles";
    pub(in crate::report) const VISITS: &str = "Visits";
    pub(in crate::report) const SCENARIOS: &str = "Scenarios";
    pub(in crate::report) const MOVED: &str = "What moves";
    pub(in crate::report) const CLUSTERS: &str = "Clusters";
    pub(in crate::report) const CLUSTER_SITES: &str = "Cluster sites";
    pub(in crate::report) const PROGRAMME: &str = "Programme";
    pub(in crate::report) const CREWS_BY_WEEK: &str = "Crews by week";
    pub(in crate::report) const POINTS_AND_SPEND: &str = "Points and spend";
    pub(in crate::report) const PROGRAMME_SITES: &str = "Programme sites";
    pub(in crate::report) const ORDER: &str = "Order schedule";
    pub(in crate::report) const CUTTING: &str = "Cutting list";
    pub(in crate::report) const CHANGED: &str = "Changed sites";
    pub(in crate::report) const CAME_AND_WENT: &str = "Came and went";
    pub(in crate::report) const OUTCOMES: &str = "Outcomes";
    pub(in crate::report) const OUTCOME_SITES: &str = "Sites";
    pub(in crate::report) const PRIORS: &str = "Priors";
    pub(in crate::report) const TASK_HOURS: &str = "Task hours";
    pub(in crate::report) const NOT_USED: &str = "Not used";
    pub(in crate::report) const AS_READ: &str = "As read";
    pub(in crate::report) const JOINED_FILES: &str = "Joined files";
    pub(in crate::report) const ASSUMPTIONS: &str = "Assumptions";
    pub(in crate::report) const TRY_DATA: &str = "Try data";
    pub(in crate::report) const TRY_TABLES: &str = "Try tables";
}
