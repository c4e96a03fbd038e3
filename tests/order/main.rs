//! Orders: cutting against every way of cutting, what must hold for any pieces, and the order of the sample.
//!
//! It knows the library's order room and the way to a ranked portfolio; no sheet and no file that a run writes.

mod cutting;
mod sample;
#[path = "../splitmix.rs"]
mod splitmix;
