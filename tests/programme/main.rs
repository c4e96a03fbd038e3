//! Programmes of work against trying everything, a mixed-integer solver, a calendar library and a checker of their own.

#[path = "../draws.rs"]
mod draws;
mod enumeration;
mod instances;
mod plans;
mod rules;
mod selection;
#[path = "../splitmix.rs"]
mod splitmix;
