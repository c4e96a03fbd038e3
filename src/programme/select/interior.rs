//! The linear programme of a selection by a primal-dual interior-point method with a correction at each step. Every task
//! is eliminated by itself, so that only a matrix of the few rows is left to factor.
//!
//! It promises no bound and no whole numbers: that is for whoever uses its multipliers.

use super::multipliers::Linear;
use super::problem::Problem;

/// Steps after which it stands as it is.
const MOST_STEPS: usize = 60;
/// Mean product of amount and reduced cost, both in units near 1, at which it is near enough.
const NEAR_ENOUGH: f64 = 1e-12;

struct Column {
    task: usize,
    worth: f64,
    uses: Vec<(usize, f64)>,
}

/// The problem with worths of at most 1 and rows of about 1.
struct Scaled {
    columns: Vec<Column>,
    tasks: usize,
    caps: Vec<f64>,
}

/// Where the method stands, or the way that it goes from there.
struct Point {
    amounts: Vec<f64>,
    slack: Vec<f64>,
    of_tasks: Vec<f64>,
    of_rows: Vec<f64>,
    reduced: Vec<f64>,
    reduced_slack: Vec<f64>,
}

/// The multipliers and amounts of the linear programme; none where the arithmetic breaks down.
pub(super) fn interior(problem: &Problem) -> Option<Linear> {
    let mut units: Vec<f64> = problem.caps.iter().map(|cap| cap.abs()).collect();
    for (row, amount) in problem.tasks.iter().flatten().flat_map(|choice| &choice.uses) {
        units[*row] = units[*row].max(amount.abs());
    }
    let worths = problem.tasks.iter().flatten().map(|choice| choice.worth.abs());
    let worth_unit = worths.fold(0.0, f64::max).max(f64::MIN_POSITIVE);
    let columns =
        problem.tasks.iter().enumerate().flat_map(|(task, choices)| choices.iter().map(move |choice| (task, choice)));
    let columns = columns.map(|(task, choice)| {
        let uses = choice.uses.iter().map(|(row, amount)| (*row, amount / units[*row])).collect();
        Column { task, worth: choice.worth / worth_unit, uses }
    });
    let caps = problem.caps.iter().zip(&units).map(|(cap, unit)| cap / unit).collect();
    let scaled = Scaled { columns: columns.collect(), tasks: problem.tasks.len(), caps };
    let mut point = scaled.begin();
    for _ in 0..MOST_STEPS {
        let gap = scaled.step(&mut point);
        if !gap.is_finite() {
            return None;
        }
        if gap < NEAR_ENOUGH {
            break;
        }
    }
    let multipliers = point.of_rows.iter().zip(&units).map(|(own, unit)| own.max(0.0) * worth_unit / unit).collect();
    let mut amounts = vec![Vec::new(); scaled.tasks];
    for (column, amount) in scaled.columns.iter().zip(&point.amounts) {
        amounts[column.task].push(*amount);
    }
    let linear = Linear { multipliers, amounts };
    linear.multipliers.iter().all(|own: &f64| own.is_finite()).then_some(linear)
}

impl Scaled {
    fn begin(&self) -> Point {
        let of_rows = vec![0.1; self.caps.len()];
        let mut choices = vec![0.0; self.tasks];
        self.columns.iter().for_each(|column| choices[column.task] += 1.0);
        let amounts: Vec<f64> = self.columns.iter().map(|column| 1.0 / choices[column.task]).collect();
        let mut of_tasks = vec![f64::NEG_INFINITY; self.tasks];
        for column in &self.columns {
            of_tasks[column.task] = of_tasks[column.task].max(column.worth - column.price(&of_rows) + 0.1);
        }
        let reduced = self.columns.iter().map(|own| of_tasks[own.task] + own.price(&of_rows) - own.worth).collect();
        let slack = self.caps.iter().zip(self.used(&amounts)).map(|(cap, used)| (cap - used).max(0.1)).collect();
        Point { amounts, slack, of_tasks, reduced, reduced_slack: of_rows.clone(), of_rows }
    }

    /// What amounts of the columns use of each row.
    fn used(&self, amounts: &[f64]) -> Vec<f64> {
        let mut used = vec![0.0; self.caps.len()];
        for (column, amount) in self.columns.iter().zip(amounts) {
            column.uses.iter().for_each(|(row, each)| used[*row] += each * amount);
        }
        used
    }

    /// One step; the mean product before it.
    fn step(&self, point: &mut Point) -> f64 {
        let pairs = (self.columns.len() + self.caps.len()) as f64;
        let gap = point.products(None) / pairs;
        let system = System::of(self, point);
        let guess = self.way(point, &system, 0.0, None);
        let after = point.products(Some((&guess, point.reach(&guess)))) / pairs;
        let centre = gap * (after / gap).powi(3).clamp(1e-8, 1.0);
        let way = self.way(point, &system, centre, Some(&guess));
        let (primal, dual) = point.reach(&way);
        point.go(&way, (0.995 * primal).min(1.0), (0.995 * dual).min(1.0));
        gap
    }

    /// The way to where every product is `centre`; with a guess, corrected for what the guess leaves out.
    fn way(&self, point: &Point, system: &System, centre: f64, guess: Option<&Point>) -> Point {
        let aim = |amount: f64, reduced: f64, guessed: Option<(f64, f64)>| {
            centre - amount * reduced - guessed.map_or(0.0, |(amount, reduced)| amount * reduced)
        };
        let guessed = |own: usize| guess.map(|guess| (guess.amounts[own], guess.reduced[own]));
        let used = self.used(&point.amounts);
        let short: Vec<f64> = (0..self.caps.len()).map(|row| self.caps[row] - used[row] - point.slack[row]).collect();
        let mut of_tasks = vec![-1.0; self.tasks];
        let mut rows = vec![0.0; self.caps.len()];
        let mut fixed = Vec::with_capacity(self.columns.len());
        for (own, column) in self.columns.iter().enumerate() {
            let (amount, reduced) = (point.amounts[own], point.reduced[own]);
            let wrong = point.of_tasks[column.task] + column.price(&point.of_rows) - column.worth - reduced;
            let part = (aim(amount, reduced, guessed(own)) - amount * wrong) / reduced;
            fixed.push((part, wrong));
            of_tasks[column.task] += amount + part;
            column.uses.iter().for_each(|(row, each)| rows[*row] += each * part);
        }
        let mut slack_aims = Vec::with_capacity(rows.len());
        for row in 0..rows.len() {
            let (slack, reduced) = (point.slack[row], point.reduced_slack[row]);
            let wrong = point.of_rows[row] - reduced;
            let aim = aim(slack, reduced, guess.map(|guess| (guess.slack[row], guess.reduced_slack[row])));
            rows[row] += (aim - slack * wrong) / reduced - short[row];
            slack_aims.push((aim, wrong));
        }
        for ((spread, whole), own) in system.spread.iter().zip(&system.whole).zip(&of_tasks) {
            spread.iter().for_each(|(row, each)| rows[*row] -= each * own / whole);
        }
        let of_rows = system.solved(rows);
        for ((spread, whole), own) in system.spread.iter().zip(&system.whole).zip(&mut of_tasks) {
            let taken: f64 = spread.iter().map(|(row, each)| each * of_rows[*row]).sum();
            *own = (*own - taken) / whole;
        }
        let mut way =
            Point { of_tasks, of_rows, amounts: vec![], slack: vec![], reduced: vec![], reduced_slack: vec![] };
        for (own, (column, (part, wrong))) in self.columns.iter().zip(fixed).enumerate() {
            let moved = column.price(&way.of_rows) + way.of_tasks[column.task];
            way.reduced.push(moved + wrong);
            way.amounts.push(part - point.amounts[own] / point.reduced[own] * moved);
        }
        for (row, (aim, wrong)) in slack_aims.into_iter().enumerate() {
            let moved = way.of_rows[row] + wrong;
            way.reduced_slack.push(moved);
            way.slack.push((aim - point.slack[row] * moved) / point.reduced_slack[row]);
        }
        way
    }
}

impl Column {
    fn price(&self, of_rows: &[f64]) -> f64 {
        self.uses.iter().map(|(row, each)| each * of_rows[*row]).sum()
    }
}

impl Point {
    fn pairs(&self) -> impl Iterator<Item = (f64, f64)> + '_ {
        let amounts = self.amounts.iter().chain(&self.slack).copied();
        amounts.zip(self.reduced.iter().chain(&self.reduced_slack).copied())
    }

    /// Products of amounts and reduced costs, added up; with a way and its lengths, those after it.
    fn products(&self, way: Option<(&Point, (f64, f64))>) -> f64 {
        let Some((way, (primal, dual))) = way else {
            return self.pairs().map(|(amount, reduced)| amount * reduced).sum();
        };
        self.pairs().zip(way.pairs()).map(|(own, way)| (own.0 + primal * way.0) * (own.1 + dual * way.1)).sum()
    }

    /// How far along a way amounts and reduced costs stay 0 or more, at most the whole way.
    fn reach(&self, way: &Point) -> (f64, f64) {
        let mut far = (1.0f64, 1.0f64);
        for (own, way) in self.pairs().zip(way.pairs()) {
            if way.0 < 0.0 {
                far.0 = far.0.min(-own.0 / way.0);
            }
            if way.1 < 0.0 {
                far.1 = far.1.min(-own.1 / way.1);
            }
        }
        far
    }

    fn go(&mut self, way: &Point, primal: f64, dual: f64) {
        let add = |own: &mut Vec<f64>, way: &Vec<f64>, far: f64| {
            own.iter_mut().zip(way).for_each(|(own, way)| *own += far * way)
        };
        add(&mut self.amounts, &way.amounts, primal);
        add(&mut self.slack, &way.slack, primal);
        add(&mut self.of_tasks, &way.of_tasks, dual);
        add(&mut self.of_rows, &way.of_rows, dual);
        add(&mut self.reduced, &way.reduced, dual);
        add(&mut self.reduced_slack, &way.reduced_slack, dual);
    }
}

/// The matrix of the rows, factored, with what it takes to put the tasks back.
struct System {
    /// Lower triangle, row by row.
    factor: Vec<Vec<f64>>,
    /// Of each task: what its columns add up to in each row, and altogether.
    spread: Vec<Vec<(usize, f64)>>,
    whole: Vec<f64>,
}

impl System {
    fn of(scaled: &Scaled, point: &Point) -> Self {
        let rows = scaled.caps.len();
        let mut matrix: Vec<Vec<f64>> = (0..rows).map(|row| vec![0.0; row + 1]).collect();
        for (row, own) in matrix.iter_mut().enumerate() {
            own[row] = point.slack[row] / point.reduced_slack[row];
        }
        let (mut spread, mut whole) = (vec![Vec::new(); scaled.tasks], vec![0.0; scaled.tasks]);
        let (mut sums, mut task) = (vec![0.0; rows], 0);
        let close = |task: usize, sums: &mut Vec<f64>, matrix: &mut Vec<Vec<f64>>, whole: f64| {
            let own: Vec<(usize, f64)> = sums.iter().copied().enumerate().filter(|(_, sum)| *sum != 0.0).collect();
            add_square(matrix, &own, -1.0 / whole);
            sums.fill(0.0);
            (task, own)
        };
        for (own, column) in scaled.columns.iter().enumerate() {
            if column.task != task {
                let (closed, own) = close(task, &mut sums, &mut matrix, whole[task]);
                spread[closed] = own;
                task = column.task;
            }
            let weight = point.amounts[own] / point.reduced[own];
            add_square(&mut matrix, &column.uses, weight);
            column.uses.iter().for_each(|(row, each)| sums[*row] += weight * each);
            whole[task] += weight;
        }
        if scaled.tasks > 0 {
            let (closed, own) = close(task, &mut sums, &mut matrix, whole[task]);
            spread[closed] = own;
        }
        factor(&mut matrix);
        Self { factor: matrix, spread, whole }
    }

    fn solved(&self, mut right: Vec<f64>) -> Vec<f64> {
        for row in 0..right.len() {
            let known: f64 = (0..row).map(|before| self.factor[row][before] * right[before]).sum();
            right[row] = (right[row] - known) / self.factor[row][row];
        }
        for row in (0..right.len()).rev() {
            right[row] /= self.factor[row][row];
            for before in 0..row {
                right[before] -= self.factor[row][before] * right[row];
            }
        }
        right
    }
}

/// Adds `weight` times a sparse vector's square; the vector's rows ascend.
fn add_square(matrix: &mut [Vec<f64>], vector: &[(usize, f64)], weight: f64) {
    for (place, (row, each)) in vector.iter().enumerate() {
        for (before, other) in &vector[..=place] {
            matrix[*row][*before] += weight * each * other;
        }
    }
}

/// Factors a symmetric matrix in place; a pivot that has vanished makes its row stand still.
fn factor(matrix: &mut [Vec<f64>]) {
    for row in 0..matrix.len() {
        let (above, rest) = matrix.split_at_mut(row);
        let own = &mut rest[0];
        let size = own[row].abs();
        for before in 0..row {
            let known: f64 = (0..before).map(|first| own[first] * above[before][first]).sum();
            own[before] = (own[before] - known) / above[before][before];
        }
        let pivot = own[row] - own[..row].iter().map(|each| each * each).sum::<f64>();
        own[row] = if pivot > 1e-13 * size { pivot.sqrt() } else { 1e64 };
    }
}
