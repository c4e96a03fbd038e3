//! A plan with a little more of one thing, to see what it would add.
//!
//! It changes the plan only; whoever asks runs the selection on both.

use super::select::linear_bound;
use super::types::{Crew, Plan, Unspent};
use crate::quantity::Pence;

/// A little more of one thing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum More {
    /// One more crew of a trade, from the first period to the last.
    Crew {
        /// The trade, by number.
        trade: usize,
    },
    /// More money, before tax: in the first period where what is left of it is carried over, else in the period where
    /// the linear programme without musts and least shares gains most by it, the first of equals.
    Money(Pence),
}

/// The plan with a little more; as it is where it has no period.
pub fn with_more(plan: &Plan, change: &More) -> Plan {
    let mut more = plan.clone();
    let first = plan.periods.iter().map(|period| period.from).min();
    let last = plan.periods.iter().map(|period| period.to).max();
    let (Some(from), Some(to)) = (first, last) else { return more };
    match *change {
        More::Crew { trade } => {
            let name = format!("Added crew {}", plan.crews.len() + 1);
            more.crews.push(Crew { name, trade, from, to });
        }
        More::Money(money) => {
            let period = match plan.unspent {
                Unspent::Carried => 0,
                Unspent::Lost => where_most(plan, money),
            };
            more.periods[period].budget = plan.periods[period].budget + money;
        }
    }
    more
}

fn where_most(plan: &Plan, money: Pence) -> usize {
    let mut best = (0, f64::NEG_INFINITY);
    for period in 0..plan.periods.len() {
        let mut more = plan.clone();
        more.periods[period].budget = plan.periods[period].budget + money;
        let worth = linear_bound(&more, vec![false; plan.tasks.len()], vec![false; plan.least.len()]);
        if worth > best.1 * (1.0 + 1e-9) {
            best = (period, worth);
        }
    }
    best.0
}
