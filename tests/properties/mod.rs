//! What must hold for any plausible facts, by random trial: claims of a cable are true, better facts never hurt,
//! nothing panics.
//!
//! The seed is fixed, so that a run is the same everywhere; with PROPTEST_RNG_SEED or PROPTEST_CASES in the environment
//! other trials are made.

mod better;
mod claims;
mod draw;
mod formulas;

use proptest::test_runner::{Config, RngSeed};

/// Trials of one property.
pub fn trials(cases: u32) -> Config {
    let free = ["PROPTEST_RNG_SEED", "PROPTEST_CASES"].iter().any(|name| std::env::var_os(name).is_some());
    let plain = Config { failure_persistence: None, max_shrink_iters: 2_000, ..Config::default() };
    if free {
        return plain;
    }
    Config { cases, rng_seed: RngSeed::Fixed(20_261_125), ..plain }
}
