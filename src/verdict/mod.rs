//! Choice, verdict, decisive unknowns, odds and ways out of one site.
mod types;
pub use crate::design::Assumed;
pub use types::*;
