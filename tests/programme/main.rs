//! Programmes of work against trying everything, a mixed-integer solver, a calendar library and a checker of their own.

mod bank_days;
mod checker;
#[path = "../draws.rs"]
mod draws;
mod enumeration;
mod hostile;
mod instances;
mod laying;
mod plans;
mod rules;
mod selection;
#[path = "../splitmix.rs"]
mod splitmix;
