//! Baywright: which of many sites can have electric-vehicle charging, at what cost, and what would unblock the rest.
//!
//! The path of one row, and the rooms in reading order (each knows only those before it):
//!
//! ```text
//! spreadsheet -> intake -> site -> design -> estimate -> verdict -> portfolio -> order -> programme -> operators -> report
//! ```
//!
//! What came of it comes back through `learn`: verdicts, costs and hours against what was found.
//!
//! `quantity`, `finding`, `rules` and `reference` are what every room may use. `design`, `estimate` and `verdict` are
//! pure: no clock, no file, no thread.

#![warn(missing_docs)]

pub mod cards;
mod chosen;
pub mod compare;
pub mod comparing;
pub mod design;
mod digest;
pub mod energy;
pub mod estimate;
pub mod finding;
mod hush;
pub mod intake;
pub mod learn;
pub mod learning;
mod loaded;
pub mod operators;
pub mod order;
mod places;
pub mod portfolio;
pub mod possible;
pub mod programme;
pub mod progress;
mod table;

pub mod quantity;
pub mod reference;
pub mod report;
pub mod rules;
pub mod run;
mod scenarios;
mod settings;
pub mod site;
#[cfg(test)]
#[path = "../tests/splitmix.rs"]
mod splitmix;
pub mod verdict;
