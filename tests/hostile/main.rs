//! The reader against input that wishes it ill: hostile cells, hostile headings, damaged files of every format, and
//! files that ask for more than they hold.
//!
//! Every draw comes from a seeded generator, so a failure names the round that shows it again:
//! `HOSTILE_ROUND=1234 cargo test --release --test hostile xlsx`. HOSTILE_ROUNDS in the environment multiplies the
//! number of rounds, HOSTILE_SEED gives other ones.

mod bounds;
mod cells;
mod child;
mod files;
mod headings;
mod mutation;
#[path = "../reading/said.rs"]
#[allow(dead_code)]
mod said;
mod seeds;
#[path = "../splitmix.rs"]
mod splitmix;

use splitmix::Splitmix;

/// A number from the environment.
fn number(name: &str) -> Option<u64> {
    std::env::var(name).ok().and_then(|text| text.parse().ok())
}

/// Rounds of one test, and where the first one stands in the sequence.
fn rounds(usual: u64) -> std::ops::Range<u64> {
    match number("HOSTILE_ROUND") {
        Some(only) => only..only + 1,
        None => 0..usual * number("HOSTILE_ROUNDS").unwrap_or(1),
    }
}

/// The generator of one round.
fn draws(round: u64) -> Draws {
    let seed = number("HOSTILE_SEED").unwrap_or(20_261_125);
    let mut first = Splitmix(seed ^ round.wrapping_mul(0x2545_f491_4f6c_dd1d));
    Draws(Splitmix(first.next()))
}

/// Draws of one round.
pub struct Draws(Splitmix);

impl Draws {
    /// A number below `most`, which is not nought.
    pub fn below(&mut self, most: usize) -> usize {
        (self.0.next() % most.max(1) as u64) as usize
    }

    /// Whether something of this chance, in hundredths, happens.
    pub fn chance(&mut self, hundredths: usize) -> bool {
        self.below(100) < hundredths
    }

    /// One of several.
    pub fn one<'a, T>(&mut self, among: &'a [T]) -> &'a T {
        &among[self.below(among.len())]
    }

    /// Eight bytes of noise.
    pub fn word(&mut self) -> u64 {
        self.0.next()
    }
}
