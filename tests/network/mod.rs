//! The engine's circuits against a general power-system library: voltage drop by power flow, short circuits and earth
//! faults in an equivalent network. `README.md` says how a circuit becomes a network and what must differ.
//!
//! The library's answers are kept as data, so that these tests need nothing but this program; `solve.py` makes them and
//! `run` beside it renews them.

mod describe;
mod kept;
mod reckon;
mod sites;
#[path = "../splitmix.rs"]
mod splitmix;

use describe::{Designed, designed};
use kept::Answer;

/// The engine's figure and the library's for one circuit.
pub struct Pair {
    pub circuit: String,
    pub engine: f64,
    pub library: f64,
}

impl Pair {
    /// By how much the engine is above the library, as a share.
    pub fn excess(&self) -> f64 {
        self.engine / self.library - 1.0
    }
}

/// The pairs whose excess is outside `least..=most`, as sentences; all of them where a figure is no number.
pub fn outside(pairs: &[Pair], least: f64, most: f64) -> Vec<String> {
    let beyond = |pair: &&Pair| !(least..=most).contains(&pair.excess());
    let say = |pair: &Pair| {
        let Pair { circuit, engine, library } = pair;
        format!("{circuit}: engine {engine:.4}, library {library:.4}, {:+.2} %", 100.0 * pair.excess())
    };
    pairs.iter().filter(beyond).map(say).collect()
}

/// Least and greatest excess, percent.
pub fn range(pairs: &[Pair]) -> [f64; 2] {
    let excess = pairs.iter().map(|pair| 100.0 * pair.excess());
    excess.fold([f64::INFINITY, f64::NEG_INFINITY], |[least, most], value| [least.min(value), most.max(value)])
}

/// Every circuit with its answer.
pub struct Case {
    pub designed: Designed,
    pub answer: Answer,
}

/// The circuits as the engine designs them now, each with the kept answer of its name.
pub fn cases() -> Vec<Case> {
    let answers: Vec<Answer> = kept::lines("answers.csv");
    let designed = designed();
    assert_eq!(
        answers.iter().map(|answer| answer.circuit.as_str()).collect::<Vec<_>>(),
        designed.iter().map(|designed| designed.circuit.circuit.as_str()).collect::<Vec<_>>(),
        "answers.csv is of other circuits: {RENEW}"
    );
    designed.into_iter().zip(answers).map(|(designed, answer)| Case { designed, answer }).collect()
}

/// What to do when the engine designs other circuits than the kept ones.
pub const RENEW: &str = "run tests/network/run --renew";

mod tests;
