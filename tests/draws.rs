//! Draws of a round of a property: which of several, below how many, with which chance. The seed is that of the round,
//! so that a failure is shown again by its number alone.

use crate::splitmix::Splitmix;

/// Draws of one round.
pub struct Draws(Splitmix);

impl Draws {
    /// Those of a round of a sequence.
    pub fn of(sequence: u64, round: u64) -> Self {
        let mut first = Splitmix(sequence ^ round.wrapping_mul(0x2545_f491_4f6c_dd1d));
        Self(Splitmix(first.next()))
    }

    /// A number below `most`; nought below nought.
    pub fn below(&mut self, most: usize) -> usize {
        (self.word() % most.max(1) as u64) as usize
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

/// A number from the environment.
pub fn number(name: &str) -> Option<u64> {
    std::env::var(name).ok().and_then(|text| text.parse().ok())
}
