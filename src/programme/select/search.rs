//! Depth-first search over some of the tasks while the others stay as they are: bounded by the regrets of the choices
//! and by what must be left of the rows. Its work is counted, never timed.
//!
//! It proves what it says of the tasks it is given; which ones to give it is for `solve`.

use super::multipliers::Bound;
use super::problem::{Problem, extreme_of};
use super::rows::TOLERANCE;
use super::state::State;

/// Multipliers and what follows from them, for one problem.
pub(super) struct Priced<'a> {
    pub(super) problem: &'a Problem,
    pub(super) multipliers: Vec<f64>,
    pub(super) bound: Bound,
    /// Rows whose multiplier is worth counting.
    priced: Vec<usize>,
    /// Sums of worth that differ by less are the same.
    pub(super) same: f64,
}

impl<'a> Priced<'a> {
    pub(super) fn of(problem: &'a Problem, multipliers: Vec<f64>) -> Self {
        let bound = Bound::of(problem, &multipliers);
        let same = 1e-9 * bound.worth.abs().max(1e-9);
        let counts = |row: &usize| multipliers[*row] * problem.caps[*row].abs() > same;
        let priced = (0..multipliers.len()).filter(counts).collect();
        Self { problem, multipliers, bound, priced, same }
    }
}

/// What one depth of the search knows.
struct Depth {
    task: usize,
    /// Choices in order of their regret.
    choices: Vec<usize>,
    next: usize,
    /// Regrets of the choices above this depth.
    regret: f64,
    /// The least and the most that this depth and those below it can take from each row.
    least: Vec<f64>,
    most: Vec<f64>,
}

/// Searches the tasks in the order given and leaves the best selection in `best`; whether it came to the end.
pub(super) fn search<'a>(priced: &Priced<'a>, best: &mut State<'a>, tasks: &[usize], work: &mut u64) -> bool {
    let mut state = best.clone();
    let regrets = &priced.bound.regrets;
    let mut free = vec![false; state.taken.len()];
    tasks.iter().for_each(|task| free[*task] = true);
    let fixed: f64 = (0..free.len()).filter(|task| !free[*task]).map(|task| regrets[task][state.taken[task]]).sum();
    let mut depths = depths(priced, tasks, fixed, best.worth);
    // From here on what the free tasks take is counted depth by depth.
    for task in tasks {
        let choice = &priced.problem.tasks[*task][state.taken[*task]];
        choice.uses.iter().for_each(|(row, amount)| state.left[*row] += amount);
        state.worth -= choice.worth;
    }
    let mut at = 0;
    loop {
        if at == tasks.len() {
            if state.worth > best.worth + priced.same && priced.problem.is_kept(&state.taken) {
                *best = State::new(priced.problem, state.taken.clone());
            }
            if at == 0 {
                return true;
            }
            at -= 1;
            take_back(&mut state, &depths[at]);
            continue;
        }
        if *work == 0 {
            return false;
        }
        let room = priced.bound.worth - best.worth - priced.same;
        let depth = &mut depths[at];
        let choice = depth.choices.get(depth.next).copied();
        let choice = choice.filter(|choice| depth.regret + regrets[depth.task][*choice] < room);
        let Some(choice) = choice else {
            depth.next = 0;
            if at == 0 {
                return true;
            }
            at -= 1;
            take_back(&mut state, &depths[at]);
            continue;
        };
        depth.next += 1;
        let (task, regret) = (depth.task, depth.regret + regrets[depth.task][choice]);
        let own = &priced.problem.tasks[task][choice];
        own.uses.iter().for_each(|(row, amount)| state.left[*row] -= amount);
        state.worth += own.worth;
        state.taken[task] = choice;
        let below = &depths[at + 1];
        *work = work.saturating_sub(4 + (own.uses.len() + priced.priced.len() + below.least.len() / 4) as u64);
        let kept = state.left.iter().zip(&below.least).all(|(left, least)| least - left <= TOLERANCE);
        // What stays of the rows whatever the tasks below take.
        let idle = |row: &usize| priced.multipliers[*row] * (state.left[*row] - below.most[*row]).max(0.0);
        if kept && regret + priced.priced.iter().map(idle).sum::<f64>() < room {
            depths[at + 1].regret = regret;
            at += 1;
        } else {
            take_back(&mut state, &depths[at]);
        }
    }
}

fn take_back(state: &mut State, depth: &Depth) {
    let choice = &state.problem.tasks[depth.task][state.taken[depth.task]];
    choice.uses.iter().for_each(|(row, amount)| state.left[*row] += amount);
    state.worth -= choice.worth;
}

/// One depth a task and one below them all.
fn depths(priced: &Priced, tasks: &[usize], fixed: f64, best: f64) -> Vec<Depth> {
    let rows = priced.problem.caps.len();
    let room = priced.bound.worth - best - fixed;
    let (mut least, mut most) = (vec![0.0; rows], vec![0.0; rows]);
    let end = Depth { task: 0, choices: vec![], next: 0, regret: fixed, least: least.clone(), most: most.clone() };
    let mut found = vec![end];
    for &task in tasks.iter().rev() {
        let all = &priced.problem.tasks[task];
        let regrets = &priced.bound.regrets[task];
        let mut choices: Vec<usize> = (0..all.len()).filter(|own| regrets[*own] < room).collect();
        choices.sort_by(|a, b| regrets[*a].total_cmp(&regrets[*b]).then(a.cmp(b)));
        least.iter_mut().zip(extreme_of(all, rows, f64::min)).for_each(|(sum, own)| *sum += own);
        most.iter_mut().zip(extreme_of(all, rows, f64::max)).for_each(|(sum, own)| *sum += own);
        found.push(Depth { task, choices, next: 0, regret: fixed, least: least.clone(), most: most.clone() });
    }
    found.reverse();
    found
}
