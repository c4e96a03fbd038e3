//! What one more unit of each row would be worth: the multipliers of the linear programme, and the bound and the regrets
//! that follow from any multipliers.
//!
//! Any multipliers of 0 or more give a true bound, so nothing here rests on how well they were found.

use super::interior::interior;
use super::problem::{Choice, Problem};

/// Products of one step of the interior-point method beyond which small steps are taken instead.
const MOST_PRODUCTS: f64 = 4e8;
/// How many small steps.
const SMALL_STEPS: u32 = 400;

/// The multiplier of each row, and how much of each choice the linear programme takes.
pub(super) struct Linear {
    pub(super) multipliers: Vec<f64>,
    pub(super) amounts: Vec<Vec<f64>>,
}

/// Solves the linear programme of a problem, near enough.
pub(super) fn linear(problem: &Problem) -> Linear {
    let rows = problem.caps.len() as f64;
    let squares = |choices: &Vec<Choice>| {
        let mut named: Vec<usize> = choices.iter().flat_map(|choice| choice.uses.iter().map(|(row, _)| *row)).collect();
        named.sort_unstable();
        named.dedup();
        choices.iter().map(|choice| (choice.uses.len() as f64).powi(2)).sum::<f64>() + (named.len() as f64).powi(2)
    };
    let products = problem.tasks.iter().map(squares).sum::<f64>() + rows.powi(3) / 6.0;
    let found = if products > MOST_PRODUCTS { None } else { interior(problem) };
    found.unwrap_or_else(|| small_steps(problem))
}

/// The bound that multipliers give: no selection is worth more.
pub(super) struct Bound {
    pub(super) worth: f64,
    /// What each choice falls short of the best of its task, its price counted.
    pub(super) regrets: Vec<Vec<f64>>,
}

impl Bound {
    /// `worth` of a selection = `worth` of the bound - regrets of its choices - what is left of the rows at the multipliers.
    pub(super) fn of(problem: &Problem, multipliers: &[f64]) -> Self {
        let mut worth: f64 = problem.caps.iter().zip(multipliers).map(|(cap, own)| cap * own).sum();
        let mut regrets = Vec::with_capacity(problem.tasks.len());
        for choices in &problem.tasks {
            let net: Vec<f64> = choices.iter().map(|choice| choice.worth - price(choice, multipliers)).collect();
            let best = net.iter().copied().fold(f64::NEG_INFINITY, f64::max);
            worth += best;
            regrets.push(net.iter().map(|own| best - own).collect());
        }
        Self { worth, regrets }
    }
}

fn price(choice: &Choice, multipliers: &[f64]) -> f64 {
    choice.uses.iter().map(|(row, amount)| amount * multipliers[*row]).sum()
}

/// Multipliers by small steps against what is left of the rows; amounts are those of the best multipliers.
fn small_steps(problem: &Problem) -> Linear {
    let mut multipliers = vec![0.0; problem.caps.len()];
    let (mut best, mut best_multipliers) = (f64::INFINITY, multipliers.clone());
    let (mut stride, mut stale) = (1.0, 0);
    for _ in 0..SMALL_STEPS {
        let bound = Bound::of(problem, &multipliers);
        let left = problem.left(&dearest(&bound));
        if bound.worth < best {
            (best, stale) = (bound.worth, 0);
            best_multipliers.clone_from(&multipliers);
        } else {
            stale += 1;
            if stale >= 10 {
                (stride, stale) = (stride / 2.0, 0);
                multipliers.clone_from(&best_multipliers);
                continue;
            }
        }
        // Each row by its own size, so that pence and quarters move alike.
        let sizes = || left.iter().zip(&problem.caps).map(|(left, cap)| (*left, cap.abs().max(1.0)));
        let length: f64 = sizes().map(|(left, size)| (left / size).powi(2)).sum();
        if length <= 0.0 {
            break;
        }
        let step = stride * 0.05 * best.abs() / length;
        for (own, (left, size)) in multipliers.iter_mut().zip(sizes()) {
            *own = (*own - step * left / size / size).max(0.0);
        }
    }
    let bound = Bound::of(problem, &best_multipliers);
    let taken = dearest(&bound);
    let amounts = problem.tasks.iter().zip(taken);
    let amounts =
        amounts.map(|(choices, taken)| (0..choices.len()).map(|own| f64::from(u8::from(own == taken))).collect());
    Linear { amounts: amounts.collect(), multipliers: best_multipliers }
}

/// The choice without regret of each task, the first of equals.
fn dearest(bound: &Bound) -> Vec<usize> {
    let least = |regrets: &Vec<f64>| (0..regrets.len()).min_by(|a, b| regrets[*a].total_cmp(&regrets[*b])).unwrap_or(0);
    bound.regrets.iter().map(least).collect()
}
