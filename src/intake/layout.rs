//! How a sheet is laid out beside its cells: hidden rows and columns, merged regions. It knows no cell and no field.

use super::raw::column_letters;

/// Most stretches and regions of one sheet that are kept; a sheet with more is read without them.
pub(super) const MOST_KEPT: usize = 200_000;

/// Stretches of rows or columns, each from its first to its last, ascending as far as the file has them so.
pub(super) type Stretches<T> = Vec<(T, T)>;

/// What a sheet hides and merges.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct Layout {
    /// Hidden or filtered rows, from 1.
    pub hidden_rows: Stretches<u32>,
    /// Hidden columns, from 0.
    pub hidden_columns: Stretches<u16>,
    /// Merged regions of more than one cell.
    pub merged: Vec<Region>,
}

/// A rectangle of cells that a sheet shows as one; its value stands in the first cell.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Region {
    /// First row, from 1.
    pub top: u32,
    /// Last row.
    pub bottom: u32,
    /// First column, from 0.
    pub left: u16,
    /// Last column.
    pub right: u16,
}

impl Layout {
    /// Notes a hidden row; rows that follow each other make one stretch.
    pub fn hide_rows(&mut self, first: u32, last: u32) {
        match self.hidden_rows.last_mut() {
            Some((_, end)) if end.saturating_add(1) == first => *end = last,
            _ => {
                if self.hidden_rows.len() < MOST_KEPT {
                    self.hidden_rows.push((first, last));
                }
            }
        }
    }

    /// Notes hidden columns.
    pub fn hide_columns(&mut self, first: u16, last: u16) {
        match self.hidden_columns.last_mut() {
            Some((_, end)) if end.saturating_add(1) == first => *end = last,
            _ => {
                if self.hidden_columns.len() < MOST_KEPT {
                    self.hidden_columns.push((first, last));
                }
            }
        }
    }

    /// Notes a merged region; what covers one cell only is none.
    pub fn merge(&mut self, region: Region) {
        let several = region.top < region.bottom || region.left < region.right;
        if several
            && region.top <= region.bottom
            && region.left <= region.right
            && region.top > 0
            && self.merged.len() < MOST_KEPT
        {
            self.merged.push(region);
        }
    }

    /// Whether a column is hidden.
    pub fn hides_column(&self, column: u16) -> bool {
        self.hidden_columns.iter().any(|(first, last)| (*first..=*last).contains(&column))
    }

    /// Whether a row is hidden.
    pub fn hides_row(&self, row: u32) -> bool {
        let after = self.hidden_rows.partition_point(|(first, _)| *first <= row);
        after.checked_sub(1).and_then(|at| self.hidden_rows.get(at)).is_some_and(|(_, last)| row <= *last)
    }

    /// The region that a cell belongs to.
    pub fn region_of(&self, row: u32, column: u16) -> Option<&Region> {
        self.merged.iter().find(|region| region.holds(row, column))
    }
}

/// What is said of hidden rows and columns, a sentence each. `rows` are those that were read, `columns` those that have
/// a heading.
pub(super) fn hidden_said(layout: &Layout, rows: impl Iterator<Item = u32>, columns: &[u16]) -> Vec<String> {
    let mut said = Vec::new();
    let mut hidden = rows.filter(|row| layout.hides_row(*row));
    if let Some(first) = hidden.next() {
        let count = 1 + hidden.count();
        let are = if count == 1 { "1 row is".to_owned() } else { format!("{count} rows are") };
        said.push(format!(
            "{are} hidden or filtered out in the sheet (the first is row {first}) and read like any other."
        ));
    }
    let letters: Vec<String> =
        columns.iter().filter(|column| layout.hides_column(**column)).map(|column| column_letters(*column)).collect();
    if !letters.is_empty() {
        let (what, are) = if letters.len() == 1 { ("Column", "is") } else { ("Columns", "are") };
        said.push(format!("{what} {} {are} hidden in the sheet and read like any other.", letters.join(", ")));
    }
    said
}

impl Region {
    /// Whether a cell lies within.
    pub fn holds(&self, row: u32, column: u16) -> bool {
        (self.top..=self.bottom).contains(&row) && (self.left..=self.right).contains(&column)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn stretches_grow_and_are_found_again() {
        let mut layout = Layout::default();
        for row in [3, 4, 5, 9] {
            layout.hide_rows(row, row);
        }
        layout.hide_columns(2, 2);
        layout.hide_columns(3, 7);
        assert_eq!((layout.hidden_rows.len(), layout.hidden_columns.len()), (2, 1));
        assert!(layout.hides_row(4) && layout.hides_row(9) && !layout.hides_row(6) && !layout.hides_row(2));
        assert!(layout.hides_column(5) && !layout.hides_column(8));
        layout.merge(Region { top: 4, bottom: 4, left: 1, right: 1 });
        layout.merge(Region { top: 5, bottom: 4, left: 1, right: 2 });
        assert!(layout.merged.is_empty());
        layout.merge(Region { top: 4, bottom: 6, left: 1, right: 1 });
        assert!(layout.region_of(6, 1).is_some() && layout.region_of(7, 1).is_none());
    }
}
