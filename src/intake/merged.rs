//! Cells that are merged over several rows of the table: their value stands for each of the rows, as the sheet shows
//! it. Only regions of one column are labels of rows; wider ones are titles.
//!
//! A figure does not say by being merged whether it is one for all of the places or the same for each: it is not filled
//! down, since a capacity taken for each could promise what is there once.

use super::gather::Table;
use super::layout::{Layout, Region};
use super::raw::{RawCell, RawRow};
use super::rows::Plan;
use super::types::CellNote;
use crate::site::{Field, FieldKind};

fn is_figure(field: &Field) -> bool {
    matches!(field.kind, FieldKind::Number | FieldKind::Count)
}

/// The regions of one column under the headings, by their first row.
#[derive(Debug, Default)]
pub(super) struct Merged {
    regions: Vec<Region>,
    /// Columns of figures, which are not filled.
    figures: Vec<u16>,
    next: usize,
    open: Vec<(Region, RawCell)>,
}

impl Merged {
    /// Of a sheet whose table begins after row `head`.
    pub fn of(layout: &Layout, head: u32, plan: &Plan) -> Self {
        let down = |region: &&Region| region.left == region.right && region.top > head && region.bottom > region.top;
        let mut regions: Vec<Region> = layout.merged.iter().filter(down).copied().collect();
        regions.sort_unstable();
        let figures = plan.columns().iter().filter(|column| is_figure(column.field));
        Self { regions, figures: figures.map(|column| column.index).collect(), next: 0, open: Vec::new() }
    }

    /// Whether there is nothing to fill.
    pub fn is_empty(&self) -> bool {
        self.regions.is_empty()
    }

    /// Fills the cells of a row that stand for the first of their region. Rows come in order.
    pub fn fill(&mut self, row: &mut RawRow) {
        self.open.retain(|(region, _)| region.bottom >= row.row);
        while let Some(region) = self.regions.get(self.next).filter(|region| region.top <= row.row) {
            self.next += 1;
            if let Some(cell) = row.cell(region.left).filter(|_| region.top == row.row) {
                self.open.push((*region, cell.clone()));
            }
        }
        for (region, cell) in &self.open {
            if region.top == row.row || self.figures.contains(&region.left) {
                continue;
            }
            if let Err(at) = row.cells.binary_search_by_key(&region.left, |(column, _)| *column) {
                row.cells.insert(at, (region.left, cell.clone()));
            }
        }
    }

    /// Notes on every site what was filled, and on the first row of a region what was not.
    pub fn note(&self, table: &mut Table, plan: &Plan) {
        for region in &self.regions {
            let Some(column) = plan.columns().iter().find(|column| column.index == region.left) else { continue };
            let Some(place) = plan.place(region.left) else { continue };
            let first = table.rows.partition_point(|row| row.row < region.top);
            let filled = !self.figures.contains(&region.left);
            let mut above = String::new();
            for row in table.rows.iter_mut().skip(first).take_while(|row| row.row <= region.bottom) {
                let cell = row.cells.get(place).cloned().unwrap_or_default();
                if row.row == region.top {
                    above.clone_from(&cell);
                }
                if above.is_empty() || row.why.is_some() || (filled && (row.row == region.top || cell != above)) {
                    continue;
                }
                let message = if filled {
                    format!(
                        "The cell is merged over rows {} to {}: its value stands for each of them.",
                        region.top, region.bottom
                    )
                } else {
                    format!(
                        "The cell is merged over rows {} to {}. Whether \"{above}\" is one figure for all of them or the \
                         same for each is not said: it is read for row {} only. Split the cell and write each figure.",
                        region.top, region.bottom, region.top
                    )
                };
                row.notes.push(CellNote {
                    row: row.row,
                    column: region.left,
                    field: column.field.name,
                    raw: cell.clone(),
                    understood: if cell.is_empty() { "not known".to_owned() } else { cell },
                    message,
                    ..CellNote::default()
                });
                row.notes.sort_by_key(|note| note.column);
            }
        }
    }
}
