//! Published tables, embedded with source and status a row, and their typed look-ups.
//!
//! It knows no survey and no design: it answers with what is printed, and with the row it was printed in.

mod types;

pub use types::{Cable, CableFamily, Curve, Method};
