//! The reader against input that wishes it ill: hostile cells, hostile headings, damaged files of every format, and
//! files that ask for more than they hold.
//!
//! Every draw comes from a seeded generator, so a failure names the round that shows it again:
//! `HOSTILE_ROUND=1234 cargo test --release --test hostile xlsx`. HOSTILE_ROUNDS in the environment multiplies the
//! number of rounds, HOSTILE_SEED gives other ones.

mod bombs;
mod bounds;
mod cells;
mod child;
#[path = "../draws.rs"]
mod draws;
mod files;
mod headings;
mod mutation;
#[path = "../reading/said.rs"]
#[allow(dead_code)]
mod said;
mod seeds;
#[path = "../splitmix.rs"]
mod splitmix;

use draws::{Draws, number};

/// Rounds of one test, and where the first one stands in the sequence.
fn rounds(usual: u64) -> std::ops::Range<u64> {
    match number("HOSTILE_ROUND") {
        Some(only) => only..only + 1,
        None => 0..usual * number("HOSTILE_ROUNDS").unwrap_or(1),
    }
}

/// The generator of one round.
fn draws(round: u64) -> Draws {
    Draws::of(number("HOSTILE_SEED").unwrap_or(20_261_125), round)
}
