//! Rows from the file turned into rows read, while the file is still being unpacked: one thread unpacks, the others
//! read what it hands over, and the order of the sheet is kept whatever their number.

use super::merged::Merged;
use super::raw::RawRow;
use super::rows::{Plan, RowRead};
use super::types::CellNote;
use crate::site::Site;
use std::collections::BTreeMap;
use std::ops::ControlFlow;
use std::sync::{Mutex, PoisonError};

/// Rows that are handed over at a time.
const ROWS_AT_A_TIME: usize = 512;
/// Batches that may wait to be read; beyond them the unpacking thread reads a batch itself, which bounds the memory.
const BATCHES_WAITING: usize = 16;

/// The rows of a table and the sites among them.
#[derive(Default)]
pub(super) struct Table {
    /// Every row, in order.
    pub rows: Vec<RowRead>,
    /// The sites, in order.
    pub sites: Vec<Site>,
    /// The position in `rows` of each site.
    pub row_of: Vec<usize>,
}

impl Table {
    /// Adds a row, with its site if it is one.
    pub fn push(&mut self, (row, site): (RowRead, Option<Site>)) {
        if let Some(site) = site {
            self.row_of.push(self.rows.len());
            self.sites.push(site);
        }
        self.rows.push(row);
    }

    /// Adds the rows of the next sheet, as its number among those read.
    pub fn append(&mut self, mut other: Table, sheet: u16) {
        other.rows.iter_mut().for_each(|row| row.sheet = sheet);
        other.sites.iter_mut().for_each(|site| site.sheet = sheet);
        let before = self.rows.len();
        self.row_of.extend(other.row_of.into_iter().map(|at| before + at));
        // The first sheet, mostly the only one, is moved as a whole.
        if before == 0 {
            (self.rows, self.sites) = (other.rows, other.sites);
        } else {
            self.rows.append(&mut other.rows);
            self.sites.append(&mut other.sites);
        }
    }

    /// The row of a site.
    pub fn row(&self, site: usize) -> Option<&RowRead> {
        self.row_of.get(site).and_then(|at| self.rows.get(*at))
    }

    /// Takes out the sites whose rows are set aside already, with what was noted of them.
    pub fn take_waiting(&mut self) -> Vec<(Site, Vec<CellNote>)> {
        let Table { rows, sites, row_of } = self;
        let waits = |at: &usize| rows.get(*at).is_some_and(|row| row.why.is_some());
        if !row_of.iter().any(waits) {
            return Vec::new();
        }
        let all = std::mem::take(sites);
        let (mut waiting, mut places) = (Vec::new(), Vec::new());
        for (site, at) in all.into_iter().zip(std::mem::take(row_of)) {
            match rows.get_mut(at).filter(|row| row.why.is_some()) {
                Some(row) => waiting.push((site, std::mem::take(&mut row.notes))),
                None => {
                    sites.push(site);
                    places.push(at);
                }
            }
        }
        *row_of = places;
        waiting
    }

    /// The row of a site, to be changed.
    pub fn row_mut(&mut self, site: usize) -> Option<&mut RowRead> {
        self.row_of.get(site).and_then(|at| self.rows.get_mut(*at))
    }
}

/// One batch, read.
type Batch = Vec<(RowRead, Option<Site>)>;

/// Batches that were read, laid down in order as soon as the ones before them are there.
#[derive(Default)]
struct Laid {
    table: Table,
    next: usize,
    early: BTreeMap<usize, Batch>,
}

impl Laid {
    fn lay(&mut self, number: usize, batch: Batch) {
        self.early.insert(number, batch);
        while let Some(batch) = self.early.remove(&self.next) {
            batch.into_iter().for_each(|row| self.table.push(row));
            self.next += 1;
        }
    }
}

/// Every row under the headings, in order, with merged cells filled down. `stream` hands rows to what it is given until the file ends.
pub(super) fn gather<N, F>(plan: &Plan, heading_row: u32, merged: &mut Merged, stream: F) -> Result<(Table, N), String>
where
    F: FnOnce(&mut dyn FnMut(RawRow) -> ControlFlow<()>) -> Result<N, String>,
{
    let laid = Mutex::new(Laid::default());
    let given = std::sync::atomic::AtomicUsize::new(0);
    let read_batch = |number: usize, batch: Vec<RawRow>| {
        let read: Batch = batch.into_iter().map(|raw| plan.read(raw)).collect();
        // A poisoned lock means that another thread panicked; that panic is passed on when the scope ends.
        laid.lock().unwrap_or_else(PoisonError::into_inner).lay(number, read);
        given.fetch_sub(1, std::sync::atomic::Ordering::Relaxed);
    };
    let notes = rayon::in_place_scope(|scope| {
        let mut batch: Vec<RawRow> = Vec::with_capacity(ROWS_AT_A_TIME);
        let mut number = 0;
        let mut hand_over = |batch: Vec<RawRow>| {
            let this = number;
            number += 1;
            if given.fetch_add(1, std::sync::atomic::Ordering::Relaxed) < BATCHES_WAITING {
                scope.spawn(move |_| read_batch(this, batch));
            } else {
                read_batch(this, batch);
            }
        };
        let notes = stream(&mut |mut row| {
            if row.row > heading_row {
                if !merged.is_empty() {
                    merged.fill(&mut row);
                }
                batch.push(row);
            }
            if batch.len() >= ROWS_AT_A_TIME {
                hand_over(std::mem::replace(&mut batch, Vec::with_capacity(ROWS_AT_A_TIME)));
            }
            ControlFlow::Continue(())
        });
        hand_over(batch);
        notes
    })?;
    let mut table = laid.into_inner().unwrap_or_else(PoisonError::into_inner).table;
    // Sites are large and there may be many: without the room that their list grew into.
    table.sites.shrink_to_fit();
    Ok((table, notes))
}
