//! Choice, verdict, decisive unknowns, odds and ways out of one site.
mod types;
pub use types::*;
