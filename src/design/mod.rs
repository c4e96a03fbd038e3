//! From facts to arrangements and findings.
mod arrangement;
pub use arrangement::*;
