//! What really happened at a site, as a sheet of outcomes states it: verdict on site, cost, hours, facts that were found.

use super::{Cited, Site, Verdict};
use crate::quantity::Pence;
use jiff::civil::Date;

/// The outcome of one site. Blank answers stay blank.
#[derive(Clone, Debug)]
pub struct Outcome {
    /// Place of its site among those that were read.
    pub at: usize,
    /// The verdict of whoever stood on site.
    pub verdict: Option<Verdict>,
    /// What the installation cost, before tax.
    pub cost: Option<Pence>,
    /// Person-hours of the crews, travel in them and office work not.
    pub hours: Option<f64>,
    /// Day that it is of.
    pub date: Option<Date>,
    /// Survey fields as they were found on site; `None` where the sheet has none.
    pub found: Option<Box<Site>>,
    /// Where its line stands.
    pub cell: Cited,
}

/// Something of a sheet of outcomes that could not be used.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NotLearned {
    /// File, with its sheet where it has several.
    pub file: String,
    /// Row, counted from 1; 0 where the whole sheet is meant.
    pub row: u32,
    /// Its cell ("C7"); empty where a whole row or sheet is meant.
    pub cell: String,
    /// Column of the outcomes, or survey field; empty where a whole row or sheet is meant.
    pub field: &'static str,
    /// What stands there.
    pub found: String,
    /// What was expected, and what became of it, in sentences.
    pub why: String,
}
