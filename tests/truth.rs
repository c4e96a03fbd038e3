//! Whether the engineering is true: published cases, the tables against physics, and what must hold for any facts.
//!
//! It knows the library's design, reference, rules and site rooms; no file format, no price, no verdict.

mod network;
mod properties;
mod tables;
mod validation;
