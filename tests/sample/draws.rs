//! Repeatable draws: a generator seeded by the name of what is drawn, so that adding a street changes no other street.
//! Knows nothing of sites or spreadsheets.

use super::splitmix::Splitmix;

/// A sequence of draws.
pub struct Draws(Splitmix);

impl Draws {
    /// The sequence that belongs to a name.
    pub fn named(name: &str) -> Self {
        // FNV-1a, so that the seed does not depend on the hasher of the standard library.
        let seed = name
            .bytes()
            .fold(0xcbf2_9ce4_8422_2325_u64, |hash, byte| (hash ^ u64::from(byte)).wrapping_mul(0x0000_0100_0000_01b3));
        Draws(Splitmix(seed))
    }

    fn next(&mut self) -> u64 {
        self.0.next()
    }

    /// A whole number from `low` to `high`, both included.
    pub fn between(&mut self, low: i64, high: i64) -> i64 {
        low + (self.next() % ((high - low) as u64 + 1)) as i64
    }

    /// A share of occasions, in percent.
    pub fn chance(&mut self, percent: u32) -> bool {
        self.next() % 100 < u64::from(percent)
    }

    /// One of several, all alike.
    pub fn pick<T: Copy>(&mut self, of: &[T]) -> T {
        of[(self.next() % of.len() as u64) as usize]
    }

    /// One of several by weight.
    pub fn weighted<T: Copy>(&mut self, of: &[(T, u32)]) -> T {
        let total: u32 = of.iter().map(|(_, weight)| weight).sum();
        let mut left = (self.next() % u64::from(total)) as u32;
        for (value, weight) in of {
            if left < *weight {
                return *value;
            }
            left -= weight;
        }
        of[0].0
    }
}
