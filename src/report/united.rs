//! The columns of several sheets side by side in one table: columns that are read as the same field, or that have the same
//! heading as the user's own, are one. With one sheet they are its columns as they stand.

use crate::intake::{Column, Intake, RowAsRead};

/// The columns of all sheets.
pub(super) struct United<'a> {
    /// Each once, those of the first sheet first.
    pub(super) columns: Vec<&'a Column>,
    /// Whether there is more than one sheet.
    pub(super) several: bool,
    /// By sheet, for every column of the table the column of that sheet.
    places: Vec<Vec<Option<usize>>>,
}

impl<'a> United<'a> {
    pub(super) fn of(intake: &'a Intake) -> Self {
        let mut columns: Vec<&Column> = Vec::with_capacity(intake.columns.len());
        let mut places = Vec::with_capacity(intake.sheets.len());
        for (sheet, _) in (0_u16..).zip(&intake.sheets) {
            let mut own: Vec<Option<usize>> = vec![None; columns.len()];
            for (place, column) in intake.columns_of(sheet).iter().enumerate() {
                let free = own.iter().zip(&columns).position(|(taken, known)| taken.is_none() && same(known, column));
                match free.and_then(|at| own.get_mut(at)) {
                    Some(slot) => *slot = Some(place),
                    None => {
                        columns.push(column);
                        own.push(Some(place));
                    }
                }
            }
            places.push(own);
        }
        Self { columns, several: intake.sheets.len() > 1, places }
    }

    /// The cells of a row in the order of the table; blank where its sheet has no such column.
    pub(super) fn cells(&self, row: &'a RowAsRead) -> impl Iterator<Item = &'a str> {
        let places = self.places.get(usize::from(row.sheet)).map_or(&[][..], Vec::as_slice);
        (0..self.columns.len()).map(move |at| {
            let place = places.get(at).copied().flatten();
            place.and_then(|place| row.cells.get(place)).map_or("", String::as_str)
        })
    }
}

/// Whether columns of two sheets are one in the table. The parts of an address are several columns of one field: they
/// go by their headings.
fn same(one: &Column, other: &Column) -> bool {
    if one.sheet == other.sheet {
        return false;
    }
    match (one.field, other.field) {
        (Some(field), Some(own)) => field.name == own.name && (field.name != "address" || one.heading == other.heading),
        (None, None) => !one.heading.is_empty() && one.heading == other.heading,
        _ => false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::intake::SheetRead;
    use crate::site::fields;

    fn column(sheet: u16, index: u16, heading: &str, field: &str) -> Column {
        let field = fields().iter().find(|known| known.name == field);
        Column { sheet, index, heading: heading.to_owned(), field, ..Column::default() }
    }

    #[test]
    fn columns_of_one_meaning_are_one_and_every_cell_keeps_its_own() {
        let intake = Intake {
            sheets: vec![SheetRead::default(); 2],
            columns: vec![
                column(0, 0, "Ref", ""),
                column(0, 1, "Fuse", "cutout_rating_a"),
                column(0, 2, "Ref", ""),
                column(1, 0, "Main fuse", "cutout_rating_a"),
                column(1, 1, "Ref", ""),
                column(1, 2, "Bays", "bays"),
            ],
            ..Intake::default()
        };
        let united = United::of(&intake);
        let headings: Vec<&str> = united.columns.iter().map(|column| column.heading.as_str()).collect();
        assert_eq!(headings, ["Ref", "Fuse", "Ref", "Bays"]);
        let row = |sheet: u16, cells: [&str; 3]| RowAsRead { sheet, row: 2, cells: cells.map(str::to_owned).to_vec() };
        let first = row(0, ["1", "80", "x"]);
        let second = row(1, ["100", "2", "6"]);
        assert_eq!(united.cells(&first).collect::<Vec<_>>(), ["1", "80", "x", ""]);
        assert_eq!(united.cells(&second).collect::<Vec<_>>(), ["2", "100", "", "6"]);
    }
}
