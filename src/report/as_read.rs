//! Sheet As read: every row of the user's sheet in the user's order, with what became of it beside the user's own
//! columns. Nothing that was read is left out here.

use super::extent::Extent;
use super::grid::{Cell, Form, Heading, Paper, Row, Rows, Sheet, heading, names};
use super::letters::column_width;
use super::stands;
use super::united::United;
use super::{Run, sentence};
use crate::intake::{Intake, RowAsRead, SetAside};
use crate::portfolio::Ranked;
use schemars::JsonSchema;
use serde::Serialize;
use std::borrow::Cow;

/// A row of the user's: its sheet and its number there.
type Place = (u16, u32);

/// What became of the rows, by row of the user's sheet.
struct Fates<'a> {
    /// User's row, place in rank order.
    sites: Vec<(Place, usize)>,
    /// User's row, why it was set aside.
    aside: Vec<(Place, &'a str)>,
    /// User's row, place in `Intake::notes`.
    notes: Vec<(Place, usize)>,
}

impl<'a> Fates<'a> {
    fn of(run: &'a Run<'a>) -> Self {
        let briefs = run.portfolio.sites.iter().map(|site| &site.judgement.brief).enumerate();
        let mut sites: Vec<_> = briefs.map(|(place, brief)| ((brief.sheet, brief.row), place)).collect();
        sites.sort_unstable();
        let mut aside: Vec<_> =
            run.intake.set_aside.iter().map(|aside| ((aside.sheet, aside.row), aside.why.as_str())).collect();
        aside.sort_by_key(|(row, _)| *row);
        let mut notes: Vec<_> =
            run.intake.notes.iter().enumerate().map(|(place, note)| ((note.sheet, note.row), place)).collect();
        notes.sort_unstable();
        Self { sites, aside, notes }
    }
}

/// The entry of `row` in a list that is in order of rows.
fn at<T: Copy>(list: &[(Place, T)], row: Place) -> Option<T> {
    let found = list.binary_search_by_key(&row, |(each, _)| *each).ok()?;
    list.get(found).map(|(_, entry)| *entry)
}

/// The sheet.
pub(super) fn sheet<'a>(run: &'a Run<'a>, extent: Extent) -> Sheet<'a> {
    let fates = Fates::of(run);
    let united = United::of(run.intake);
    let rows = run.intake.rows.iter().take(extent.as_read);
    Sheet {
        name: names::AS_READ,
        subject: "As read: your rows in your order, with what became of each",
        headings: headings(&united, &own_widths(run, &fates, &united)),
        frozen: if united.several { 4 } else { 3 },
        printed: None,
        paper: Paper::A3,
        rows: Rows::of(rows, move |as_read| row(run, as_read, (&fates, &united))),
    }
}

/// Rows of sites that are measured for the widths of the user's own columns.
const ROWS_MEASURED: usize = 500;
/// Least and greatest width of one, characters; free texts may be wider.
const OWN_WIDTH: (f64, f64) = (7.5, 24.0);
const FREE_WIDTH: f64 = 44.0;
/// Room that bold headings take more, and that is kept beside the widest text.
const BOLD: f64 = 1.06;
const BESIDE: f64 = 1.0;

/// Widths of the user's own columns: what the texts of the first sites take, and the longest word of the heading.
fn own_widths(run: &Run<'_>, fates: &Fates<'_>, united: &United<'_>) -> Vec<f64> {
    let word = |heading: &str| heading.split_whitespace().map(column_width).fold(0.0, f64::max) * BOLD;
    let mut widths: Vec<f64> = united.columns.iter().map(|column| word(&column.heading)).collect();
    let is_site = |row: &&RowAsRead| at(&fates.sites, (row.sheet, row.row)).is_some();
    for row in run.intake.rows.iter().filter(is_site).take(ROWS_MEASURED) {
        for (width, cell) in widths.iter_mut().zip(united.cells(row)) {
            // What is longer than any column is not measured to its end.
            *width = width.max(if cell.len() > 80 { FREE_WIDTH } else { column_width(cell) });
        }
    }
    for (width, column) in widths.iter_mut().zip(&united.columns) {
        let free = column.field.is_none_or(|field| matches!(field.name, "address" | "notes" | "override_why"));
        *width =
            (((*width + BESIDE) * 2.0).ceil() / 2.0).clamp(OWN_WIDTH.0, if free { FREE_WIDTH } else { OWN_WIDTH.1 });
    }
    widths
}

fn headings<'a>(united: &United<'a>, widths: &[f64]) -> Vec<Heading<'a>> {
    let mut headings = Vec::with_capacity(united.columns.len() + 7);
    if united.several {
        headings.push(heading("Sheet", 14.0, Form::Text));
    }
    headings.extend([
        heading("Row", 6.0, Form::Ordinal),
        heading("Site", 11.0, Form::Text),
        heading("Result", 14.0, Form::Text),
        heading("Why", 46.0, Form::Wrapped),
        heading("Next step", 34.0, Form::Wrapped),
        heading("How cells were understood", 40.0, Form::Wrapped),
    ]);
    headings.extend(united.columns.iter().zip(widths).map(|(column, width)| {
        let title: Cow<'_, str> = match column.heading.trim() {
            // An unnamed column keeps its place and is named by it.
            "" => Cow::Owned(format!("(column {})", u32::from(column.index) + 1)),
            _ => Cow::Borrowed(column.heading.as_str()),
        };
        heading(title, *width, Form::Text)
    }));
    headings
}

fn row<'a>(run: &'a Run<'a>, as_read: &'a RowAsRead, (fates, united): (&Fates<'a>, &United<'a>)) -> Row<'a> {
    let mut cells = Vec::with_capacity(7 + united.columns.len());
    if let Some(sheet) = run.intake.sheet_name(as_read.sheet) {
        cells.push(Cell::from(sheet));
    }
    cells.push(Cell::from(as_read.row));
    let place = at(&fates.sites, (as_read.sheet, as_read.row));
    match place.and_then(|place| run.portfolio.sites.get(place)) {
        Some(site) => judged(&mut cells, site),
        None => cells.extend([
            Cell::Blank,
            "set aside".into(),
            at(&fates.aside, (as_read.sheet, as_read.row)).unwrap_or("Not judged.").into(),
            Cell::Blank,
        ]),
    }
    cells.push(understood(run.intake, (as_read.sheet, as_read.row), &fates.notes));
    cells.extend(united.cells(as_read).map(Cell::from));
    cells
}

fn judged<'a>(cells: &mut Row<'a>, site: &'a Ranked) {
    let judgement = &site.judgement;
    cells.push(stands::on_ranking(site));
    cells.extend([
        Cell::Verdict(judgement.counted_verdict(), judgement.brief.override_verdict.is_some()),
        sentence::why(judgement).into(),
        judgement.next_step.as_str().into(),
    ]);
}

/// What needs a word about the cells of a row: "Heading "as written": as understood; why."
fn understood<'a>(intake: &'a Intake, row: Place, notes: &[(Place, usize)]) -> Cell<'a> {
    let first = notes.partition_point(|(each, _)| *each < row);
    let mut text = String::new();
    for (_, place) in notes.iter().skip(first).take_while(|(each, _)| *each == row) {
        let Some(note) = intake.notes.get(*place) else { continue };
        let column = intake.columns_of(note.sheet).iter().find(|column| column.index == note.column);
        // Headings may run over several lines in the sheet; here they are part of a sentence.
        let title = column.map_or(note.field, |column| column.heading.as_str());
        let title = title.split_whitespace().collect::<Vec<_>>().join(" ");
        if !text.is_empty() {
            text.push('\n');
        }
        text.push_str(&format!("{title} \"{}\": {}. {}", note.raw, note.understood, note.message));
    }
    text.into()
}

/// A row that cannot be judged.
#[derive(Serialize, JsonSchema)]
pub struct SetAsideRecord<'a> {
    /// Sheet of the row; only where several are read.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(default)]
    sheet: Option<&'a str>,
    /// Row in the user's sheet.
    row: u32,
    /// Why, as a sentence.
    why: &'a str,
}

/// The rows set aside of a run.
pub(super) fn set_aside<'a>(run: &Run<'a>) -> Vec<SetAsideRecord<'a>> {
    let intake = run.intake;
    let record =
        |one: &'a SetAside| SetAsideRecord { sheet: intake.sheet_name(one.sheet), row: one.row, why: &one.why };
    intake.set_aside.iter().map(record).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::fixture;

    #[test]
    fn every_row_read_comes_out_judged_or_set_aside() {
        let fixture = fixture::Fixture::new(12);
        let run = fixture.run();
        let sheet = sheet(&run, Extent::of(&run));
        let columns = sheet.headings.len();
        let rows: Vec<_> = sheet.rows.collect();
        assert_eq!(rows.len(), run.intake.rows.len());
        assert!(rows.iter().all(|row| row.len() == columns));
        let aside = rows.iter().filter(|row| row[2].shown() == "set aside").count();
        assert_eq!(aside, run.intake.set_aside.len());
        assert_eq!(rows.len() - aside, run.portfolio.sites.len());
        assert!(rows.iter().any(|row| row[5].shown().contains("see photo")));
    }
}
