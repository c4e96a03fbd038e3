//! The best selection of a problem: bound by multipliers, a first selection, better ones by searching some tasks at a
//! time, then everything that the bound leaves open.
//!
//! Drawn numbers only say which tasks are searched together; they come from a fixed seed.

use super::multipliers::linear;
use super::problem::Problem;
use super::search::{Priced, search};
use super::state::State;

/// The most work of all searches of some tasks at a time, and of the search that proves, in rows touched.
const MOST_WORK: u64 = 60_000_000;
/// Work that each of them has however few the choices, and for each choice.
const LEAST_WORK: u64 = 2_000_000;
const WORK_A_CHOICE: u64 = 20_000;
/// Work of one of them.
const WORK_OF_A_PART: u64 = 400_000;
/// Searches in a row that find nothing better after which there are no more.
const MOST_IN_VAIN: u32 = 400;
/// Rounds of searching parts after it, where it does not come to its end; each draws other parts.
const LAST_ROUNDS: u64 = 2;

/// A selection and how good one can be.
pub(super) struct Answer {
    pub(super) taken: Vec<usize>,
    pub(super) bound: f64,
}

/// Solves a problem from a selection that keeps its rows; it stops at a selection worth `enough`.
pub(super) fn solve(problem: &Problem, start: Vec<usize>, enough: f64) -> Answer {
    let most = problem.tasks.iter().map(|own| own.iter().map(|choice| choice.worth).fold(f64::NEG_INFINITY, f64::max));
    let most: f64 = most.sum();
    let enough = enough.min(most - 1e-9 * most.abs());
    let mut best = State::new(problem, start);
    let answer = |best: State, bound: f64| Answer { taken: best.taken, bound };
    if best.worth >= enough {
        return answer(best, most);
    }
    let linear = linear(problem);
    let priced = Priced::of(problem, linear.multipliers);
    let bound = priced.bound.worth.min(most);
    for mut own in [rounded(&best, &linear.amounts), best.clone()] {
        own.fill(&priced.bound.regrets);
        if own.worth > best.worth && problem.is_kept(&own.taken) {
            best = own;
        }
    }
    by_parts(&priced, &mut best, enough, 1);
    if best.worth >= enough {
        return answer(best, bound);
    }
    let open = open_tasks(&priced, &best);
    let mut work = allowed_work(problem);
    if search(&priced, &mut best, &open, &mut work) {
        let proven = best.worth;
        return answer(best, proven);
    }
    for round in 0..LAST_ROUNDS {
        by_parts(&priced, &mut best, enough, 2 + round);
    }
    answer(best, bound)
}

fn allowed_work(problem: &Problem) -> u64 {
    let choices = problem.tasks.iter().map(Vec::len).sum::<usize>() as u64;
    (LEAST_WORK + WORK_A_CHOICE * choices).min(MOST_WORK)
}

/// What a solution of the linear programme takes most of, where the rows allow it; elsewhere what `start` takes.
fn rounded<'a>(start: &State<'a>, amounts: &[Vec<f64>]) -> State<'a> {
    let mut state = start.clone();
    let mut wished: Vec<(f64, usize, usize)> = Vec::new();
    for (task, amounts) in amounts.iter().enumerate() {
        let most = (0..amounts.len()).max_by(|a, b| amounts[*a].total_cmp(&amounts[*b]).then(b.cmp(a)));
        wished.extend(most.map(|choice| (amounts[choice], task, choice)));
    }
    wished.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
    for (_, task, choice) in wished {
        if state.taken[task] != choice {
            state.put_if_kept(task, choice);
        }
    }
    state
}

/// The tasks of which the bound leaves more than one choice, those with most at stake first.
fn open_tasks(priced: &Priced, best: &State) -> Vec<usize> {
    let room = priced.bound.worth - best.worth - priced.same;
    let mut open = Vec::new();
    for (task, regrets) in priced.bound.regrets.iter().enumerate() {
        // The choice of the best selection stands among them or is the only one.
        let mut left: Vec<f64> = regrets.iter().copied().filter(|regret| *regret < room).collect();
        left.sort_by(f64::total_cmp);
        match left.get(1) {
            Some(second) => open.push((*second, task)),
            None if regrets[best.taken[task]] >= room => open.push((room, task)),
            None => {}
        }
    }
    open.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
    open.into_iter().map(|(_, task)| task).collect()
}

/// Searches a few tasks at a time, mostly such as are near their second choice, while that finds better selections.
fn by_parts<'a>(priced: &Priced<'a>, best: &mut State<'a>, enough: f64, seed: u64) {
    let (mut work, mut in_vain, mut drawn) = (allowed_work(priced.problem), 0, seed);
    while in_vain < MOST_IN_VAIN && work > 0 && best.worth < enough {
        let room = priced.bound.worth - best.worth - priced.same;
        if room <= 0.0 {
            return;
        }
        let mut pool = open_tasks(priced, best);
        pool.reverse();
        if pool.is_empty() {
            return;
        }
        let size = 6 + in_vain as usize / 40;
        // Half of the parts are of one period: tasks that it finishes or could finish nearly as well.
        if draw(&mut drawn, 2) == 0 {
            let task = pool[draw(&mut drawn, pool.len())];
            let period = priced.problem.tasks[task][best.taken[task]].period;
            pool.retain(|task| is_about(priced, best, *task, period, room));
        }
        let size = size.min(pool.len());
        let near = pool.len().min(40);
        let mut part: Vec<usize> = Vec::new();
        while part.len() < size {
            let among = if draw(&mut drawn, 4) > 0 && part.len() < near { near } else { pool.len() };
            let task = pool[draw(&mut drawn, among)];
            if !part.contains(&task) {
                part.push(task);
            }
        }
        let before = best.worth;
        let allowed = WORK_OF_A_PART.min(work);
        let mut left = allowed;
        search(priced, best, &part, &mut left);
        work -= allowed - left;
        work = work.saturating_sub(best.taken.len() as u64);
        in_vain = if best.worth > before { 0 } else { in_vain + 1 };
    }
}

/// Whether a task stands in a period or has a choice there with little regret.
fn is_about(priced: &Priced, best: &State, task: usize, period: Option<usize>, room: f64) -> bool {
    let choices = priced.problem.tasks[task].iter().zip(&priced.bound.regrets[task]).enumerate();
    choices
        .filter(|(_, (choice, _))| choice.period == period)
        .any(|(own, (_, regret))| best.taken[task] == own || *regret < room / 4.0)
}

/// A number under `below`, the next of a fixed sequence.
fn draw(drawn: &mut u64, below: usize) -> usize {
    *drawn = drawn.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
    ((*drawn >> 33) as usize) % below.max(1)
}
