//! Take-off, hours, prices and bands of an arrangement or of a remedy.
mod types;
pub use types::*;
