//! Sheet Joined files: what became of every row of the files laid over the portfolio, which values they brought, where
//! they disagree with it, and what their half-hours tell. How rows are joined it does not know.

use super::Run;
use super::grid::{Cell, Form, Heading, Paper, Row, Rows, Sheet, heading, names};
use crate::intake::{Fate, Layer, LayerLine};
use schemars::JsonSchema;
use serde::Serialize;

/// The sheet; made only where there is a further file or sheet.
pub(super) fn sheet<'a>(run: &'a Run<'a>) -> Sheet<'a> {
    let rows = run.intake.layers.iter().flat_map(move |layer| {
        std::iter::once((layer, None)).chain(layer.lines.iter().map(move |line| (layer, Some(line))))
    });
    Sheet {
        name: names::JOINED_FILES,
        subject: "Joined files: what became of each row laid over the portfolio",
        headings: headings(),
        frozen: 3,
        printed: None,
        paper: Paper::A3,
        rows: Rows::of(rows, move |(layer, line)| match line {
            Some(line) => row(run, layer, line),
            None => head(layer),
        }),
    }
}

fn headings() -> Vec<Heading<'static>> {
    use Form::{Ordinal, Text, Whole, Wrapped};
    vec![
        heading("File", 26.0, Text),
        heading("Its row", 7.0, Ordinal),
        heading("What became of it", 13.0, Text),
        heading("Rows", 7.0, Whole),
        heading("Site", 11.0, Text),
        heading("Site's row", 8.0, Ordinal),
        heading("Field", 19.0, Text),
        heading("As written there", 22.0, Text),
        heading("Cell there", 9.0, Text),
        heading("Against", 22.0, Text),
        heading("File and cell of that", 26.0, Text),
        heading("Remark", 60.0, Wrapped),
    ]
}

fn counted(number: u32) -> Cell<'static> {
    if number == 0 { Cell::Blank } else { number.into() }
}

fn rows_counted(rows: usize) -> Cell<'static> {
    u32::try_from(rows).map_or(Cell::Blank, counted)
}

/// A line a file for the terminal; empty without further files.
pub(super) fn lines(run: &Run<'_>) -> String {
    let line = |layer: &Layer| {
        format!(
            "{}: {} rows, {} joined, {} not; {} blanks filled, {} disagreements (sheet Joined files)\n",
            layer.name(),
            layer.rows_read,
            layer.joined(),
            layer.not_joined(),
            layer.count(Fate::Filled),
            layer.count(Fate::Conflict)
        )
    };
    run.intake.layers.iter().map(line).collect()
}

/// The line of a file as a whole: rows read = joined + not joined.
fn head(layer: &Layer) -> Row<'_> {
    let mut remark = format!(
        "{} rows read: {} joined, {} not; {} blanks filled, {} disagreements.",
        layer.rows_read,
        layer.joined(),
        layer.not_joined(),
        layer.count(Fate::Filled),
        layer.count(Fate::Conflict)
    );
    for warning in &layer.warnings {
        remark.push(' ');
        remark.push_str(warning);
    }
    let mut cells: Row<'_> = vec![layer.name().into(), Cell::Blank, layer.kind.word().into()];
    cells.push(rows_counted(layer.rows_read));
    cells.extend(std::iter::repeat_n(Cell::Blank, 7));
    cells.push(remark.into());
    cells
}

fn row<'a>(run: &'a Run<'a>, layer: &'a Layer, line: &'a LayerLine) -> Row<'a> {
    vec![
        layer.name().into(),
        line.row.into(),
        line.fate.word().into(),
        rows_counted(line.rows),
        line.site_id.as_str().into(),
        match run.intake.sheet_name(line.site_sheet).filter(|_| line.site_row > 0) {
            Some(_) => run.intake.row_named(line.site_sheet, line.site_row).into(),
            None => counted(line.site_row),
        },
        line.field.into(),
        line.value.as_str().into(),
        line.cell.as_str().into(),
        line.against.as_str().into(),
        line.against_cell.as_str().into(),
        line.remark.as_str().into(),
    ]
}

/// A further file, or one sheet of it, in the JSON document.
#[derive(Serialize, JsonSchema)]
pub struct JoinedFileRecord<'a> {
    /// File name without its folder.
    file: &'a str,
    /// Sheet; empty for delimited text.
    sheet: &'a str,
    /// What it was taken for: `survey`, `half-hours` or `known, not used`.
    kind: &'a str,
    /// Rows read: those joined and those not joined together.
    rows_read: usize,
    /// Rows joined to a site.
    rows_joined: usize,
    /// Rows joined to none.
    rows_not_joined: usize,
    /// What a reader should know of it as a whole.
    warnings: &'a [String],
    /// Every row, value and disagreement.
    lines: Vec<JoinedLineRecord<'a>>,
}

/// One line about a further file.
#[derive(Serialize, JsonSchema)]
pub struct JoinedLineRecord<'a> {
    /// `joined`, `not joined`, `filled`, `conflict` or `half-hours`.
    what: &'a str,
    /// Row of the further file.
    row: u32,
    /// Rows that the line stands for; 0 where another line counts them.
    rows: usize,
    /// The site it concerns; empty for none.
    site_id: &'a str,
    /// Row of that site in the portfolio; 0 for none.
    site_row: u32,
    /// Sheet of that row; only where several are read together.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(default)]
    site_sheet: Option<&'a str>,
    /// Survey field; empty where a whole row is meant.
    field: &'a str,
    /// As written in the further file.
    value: &'a str,
    /// Its cell.
    cell: &'a str,
    /// What it stands against; empty for nothing.
    against: &'a str,
    /// File and cell of that.
    against_cell: &'a str,
    /// A sentence.
    remark: &'a str,
}

/// The records of a run.
pub(super) fn records<'a>(run: &Run<'a>) -> Vec<JoinedFileRecord<'a>> {
    let intake = run.intake;
    let line = |line: &'a LayerLine| JoinedLineRecord {
        what: line.fate.word(),
        row: line.row,
        rows: line.rows,
        site_id: &line.site_id,
        site_row: line.site_row,
        site_sheet: intake.sheet_name(line.site_sheet).filter(|_| line.site_row > 0),
        field: line.field,
        value: &line.value,
        cell: &line.cell,
        against: &line.against,
        against_cell: &line.against_cell,
        remark: &line.remark,
    };
    let record = |layer: &'a Layer| JoinedFileRecord {
        file: &layer.source.name,
        sheet: &layer.source.sheet,
        kind: layer.kind.word(),
        rows_read: layer.rows_read,
        rows_joined: layer.joined(),
        rows_not_joined: layer.not_joined(),
        warnings: &layer.warnings,
        lines: layer.lines.iter().map(line).collect(),
    };
    run.intake.layers.iter().map(record).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::fixture::Fixture;

    #[test]
    fn every_line_stands_under_its_file_and_the_file_says_the_sum() {
        let mut fixture = Fixture::new(3);
        let line = |fate, rows, remark: &str| LayerLine {
            fate,
            row: 2,
            rows,
            site_id: "A".into(),
            site_row: 4,
            site_sheet: 0,
            field: "looped_service",
            value: "no".into(),
            cell: "C2".into(),
            against: "yes".into(),
            against_cell: "Portfolio.xlsx F4".into(),
            remark: remark.into(),
        };
        let lines = vec![
            line(Fate::Joined, 1, "By UPRN."),
            line(Fate::NotJoined, 2, "No site."),
            line(Fate::Conflict, 0, "The earlier answer stands."),
        ];
        fixture.intake.layers = vec![Layer { rows_read: 3, lines, ..Layer::default() }];
        let run = fixture.run();
        let sheet = sheet(&run);
        let columns = sheet.headings.len();
        let rows: Vec<_> = sheet.rows.collect();
        assert_eq!(rows.len(), 4);
        assert!(rows.iter().all(|row| row.len() == columns));
        assert!(rows[0][11].shown().contains("3 rows read: 1 joined, 2 not; 0 blanks filled, 1 disagreements"));
        assert_eq!(rows[3][10].shown(), "Portfolio.xlsx F4");
        assert_eq!(records(&run)[0].rows_not_joined, 2);
    }
}
