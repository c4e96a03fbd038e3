//! Whether the engineering is true: published cases, the tables against physics, and what must hold for any facts.
//!
//! It knows the library's design, reference, rules and site rooms, and quantities of the estimate room; no file format,
//! no sum of money, no verdict.

mod network;
mod properties;
mod tables;
mod validation;
