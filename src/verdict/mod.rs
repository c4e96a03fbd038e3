//! Choice, verdict, decisive unknowns, odds and ways out of one site.
//!
//! `judge` is a function of the survey, the rules, the prices, the stance and the date: no clock, no file, no thread.
//! It knows nothing of other sites and of how a verdict is shown.

mod choice;
#[cfg(test)]
mod effects_tests;
mod judge;
mod outlook;
mod remedy;
#[cfg(test)]
mod tests;
mod types;
mod unknowns;

pub use crate::design::Assumed;
pub use judge::{Context, judge, judge_closely};
pub use outlook::{Answers, Known, Outlook, Swing, SwingEnd, Ways};
pub use types::*;
