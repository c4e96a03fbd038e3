//! Sheets that were read one by one, put together: what rows have to do with each other is settled over all of them, then
//! they are sorted into sites and rows set aside. With one sheet it is the same, and nothing names it.

use super::copied;
use super::duplicates::{give_keys, set_duplicates_aside};
use super::gather::Table;
use super::neighbours;
use super::rows::RowRead;
use super::several::Sheets;
use super::types::{CellNote, Column, Intake, RowAsRead, SetAside, SheetRead};
use super::values::recoverable;
use crate::site::Site;
use std::collections::BTreeSet;

/// Columns with anything in them; a sheet with more is no survey.
const MOST_COLUMNS_USED: usize = 1024;

/// One sheet, read by itself.
pub(super) struct OneSheet {
    pub read: SheetRead,
    /// The columns that have a heading.
    pub columns: Vec<Column>,
    pub table: Table,
    /// Rows that wait for figures from another file.
    pub waiting: Vec<(Site, Vec<CellNote>)>,
    pub warnings: Vec<String>,
}

impl OneSheet {
    /// The sheet, if it has no more columns than a survey can have.
    pub fn checked(self) -> Result<Self, String> {
        let all = self.columns.len() + beyond(&self.table.rows).len();
        if all > MOST_COLUMNS_USED {
            return Err(format!(
                "it has {all} columns with something in them; delete those that do not belong to the survey"
            ));
        }
        Ok(self)
    }
}

/// The columns without a heading that hold something.
fn beyond(rows: &[RowRead]) -> BTreeSet<u16> {
    rows.iter().flat_map(|row| &row.beyond).map(|(index, _)| *index).collect()
}

/// Puts sheets together into an intake that knows its source and what there is to say of the file as a whole.
pub(super) fn put_together(mut intake: Intake, sheets: Vec<OneSheet>) -> Intake {
    let several = sheets.len() > 1;
    let mut table = Table::default();
    for (number, one) in (0..u16::MAX).zip(sheets) {
        let OneSheet { read, columns, table: own, waiting, warnings } = one;
        let name = &read.name;
        intake.warnings.extend(warnings.into_iter().map(|said| match several {
            true => format!("Sheet \"{name}\": {said}"),
            false => said,
        }));
        intake.columns.extend(columns.into_iter().map(|column| Column { sheet: number, ..column }));
        intake.waiting.extend(waiting.into_iter().map(|(site, notes)| {
            let notes = notes.into_iter().map(|note| CellNote { sheet: number, ..note }).collect();
            (Site { sheet: number, ..site }, notes)
        }));
        table.append(own, number);
        intake.sheets.push(read);
    }
    if let Some(first) = intake.sheets.first() {
        intake.source.sheet.clone_from(&first.name);
        intake.source.heading_row = first.heading_row;
    }
    let beside = Sheets { columns: &intake.columns, read: &intake.sheets };
    set_duplicates_aside(&mut table, beside);
    give_keys(&mut table, beside);
    neighbours::compare(&mut table, beside);
    intake.warnings.extend(copied::mark(&mut table));
    intake.columns = placed(std::mem::take(&mut intake.columns), &mut table.rows);
    intake.newest_date = table.sites.iter().filter_map(|site| site.identity.survey_date.likely().copied()).max();
    intake.sites = table.sites;
    intake.rows.reserve_exact(table.rows.len());
    for row in table.rows {
        let RowRead { sheet, row, cells, why, notes, .. } = row;
        intake.rows.push(RowAsRead { sheet, row, cells });
        match why {
            Some(cause) => intake.set_aside.push(SetAside { sheet, row, why: cause.said(), cause }),
            None => intake.notes.extend(notes.into_iter().map(|note| CellNote { sheet, ..note })),
        }
    }
    intake.warnings.extend(recoverable(intake.notes.iter().map(|note| note.message.as_str())));
    intake
}

/// Gives the columns that hold something under no heading their place among the others of their sheet.
fn placed(columns: Vec<Column>, rows: &mut [RowRead]) -> Vec<Column> {
    let mut all = Vec::with_capacity(columns.len());
    for rows in rows.chunk_by_mut(|one, next| one.sheet == next.sheet) {
        let sheet = rows.first().map_or(0, |row| row.sheet);
        let mut own: Vec<Column> = columns.iter().filter(|column| column.sheet == sheet).cloned().collect();
        let found = beyond(rows);
        if !found.is_empty() {
            place_beyond(&mut own, found, rows);
        }
        all.append(&mut own);
    }
    all
}

fn place_beyond(columns: &mut Vec<Column>, found: BTreeSet<u16>, rows: &mut [RowRead]) {
    let sheet = columns.first().map_or(0, |column| column.sheet);
    columns.extend(found.into_iter().map(|index| Column {
        sheet,
        index,
        heading: String::new(),
        how: "your own, without a heading".to_owned(),
        ..Column::default()
    }));
    let mut order: Vec<usize> = (0..columns.len()).collect();
    order.sort_by_key(|at| columns.get(*at).map(|column| column.index));
    for row in rows {
        let mut cells = std::mem::take(&mut row.cells);
        let mut beyond = std::mem::take(&mut row.beyond).into_iter().peekable();
        let headed = cells.len();
        row.cells = order
            .iter()
            .map(|at| match columns.get(*at) {
                Some(_) if *at < headed => cells.get_mut(*at).map(std::mem::take).unwrap_or_default(),
                Some(column) => beyond.next_if(|(index, _)| *index == column.index).map_or(String::new(), |(_, t)| t),
                None => String::new(),
            })
            .collect();
    }
    columns.sort_by_key(|column| column.index);
}

impl Intake {
    /// The same as an intake a sheet, each as if it were the only one: what is said of the file stands with the first.
    pub(super) fn by_sheet(mut self) -> Vec<Intake> {
        if self.sheets.len() < 2 {
            return vec![self];
        }
        let mut each = Vec::with_capacity(self.sheets.len());
        for (number, read) in (0..u16::MAX).zip(std::mem::take(&mut self.sheets)) {
            let mut one = Intake { source: self.source.clone(), ..Intake::default() };
            one.source.sheet.clone_from(&read.name);
            one.source.heading_row = read.heading_row;
            one.sheets.push(read);
            one.warnings = std::mem::take(&mut self.warnings);
            one.columns.extend(self.columns.extract_if(.., |column| column.sheet == number));
            one.rows.extend(self.rows.extract_if(.., |row| row.sheet == number));
            one.sites.extend(self.sites.extract_if(.., |site| site.sheet == number));
            one.set_aside.extend(self.set_aside.extract_if(.., |row| row.sheet == number));
            one.notes.extend(self.notes.extract_if(.., |note| note.sheet == number));
            one.waiting.extend(self.waiting.extract_if(.., |(site, _)| site.sheet == number));
            one.columns.iter_mut().for_each(|column| column.sheet = 0);
            one.rows.iter_mut().for_each(|row| row.sheet = 0);
            one.sites.iter_mut().for_each(|site| site.sheet = 0);
            one.set_aside.iter_mut().for_each(|row| row.sheet = 0);
            one.notes.iter_mut().for_each(|note| note.sheet = 0);
            one.waiting.iter_mut().for_each(|(site, _)| site.sheet = 0);
            each.push(one);
        }
        each
    }
}
