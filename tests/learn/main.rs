//! Is what outcomes teach true? Sites are drawn, outcomes are drawn from truths that are known here, and the truths must
//! come out again: weights seen or told by verdicts alone, hours of tasks, and nothing where nothing is wrong.

mod command;
mod drawn;
#[allow(dead_code)] // those of other tests
#[path = "../draws.rs"]
mod draws;
mod hours;
mod kept;
#[path = "../splitmix.rs"]
mod splitmix;
mod weights;

use baywright::estimate::PriceBook;
use baywright::rules::{Rules, Stance, default_rules};
use baywright::verdict::Context;

fn context(rules: &Rules) -> Context<'_> {
    let as_of = jiff::civil::date(2026, 11, 25);
    Context { rules, prices: PriceBook::default_book(), stance: Stance::Screen, as_of, odds: true }
}

fn defaults() -> Context<'static> {
    context(default_rules())
}
