//! From a file to sites.
mod types;
pub use types::*;
