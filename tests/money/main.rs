//! Money held against what lies outside the program: distributions against plain simulation.

mod anchors;
mod bid;
mod draws;
#[path = "../splitmix.rs"]
mod splitmix;
