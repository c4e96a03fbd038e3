//! Two proofs of the design engine that share no figure with it.
//!
//! `figures`: a second implementation, written from the trade documents and the published tables with plain loops and one
//! formula a line, reckons every figure of every arrangement of generated sites again. `choice`: every way of giving
//! charging is tried, and the engine's choice must be as good, as strong and as cheap.
//!
//! The second implementation takes from the library its types, the facts of a site, the rules and the price of a given
//! arrangement, never a figure of the circuit. The engine's modelling conventions that it follows (lengths, rises, how a
//! route is split) are quoted at the head of the file that uses them. SECOND_TRIALS in the environment multiplies the
//! number of trials.

mod chain;
mod choice;
mod circuit;
mod currents;
mod draw;
mod earth;
mod effects;
mod expected;
mod figures;
mod groups;
mod laid;
mod laying;
mod loads;
mod prices;
mod published;
#[path = "../splitmix.rs"]
mod splitmix;
mod supply;
mod ways;

/// Trials of one property.
fn trials(usual: u64) -> u64 {
    let factor = std::env::var("SECOND_TRIALS").ok().and_then(|text| text.parse().ok()).unwrap_or(1);
    usual * factor
}
