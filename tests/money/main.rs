//! Money held against what lies outside the program: distributions against plain simulation.

mod draws;
#[path = "../splitmix.rs"]
mod splitmix;
