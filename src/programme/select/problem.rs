//! An integer programme in which every task takes exactly one of its choices and no row goes over its cap.
//!
//! It knows choices and rows, not what they stand for.

use super::rows::TOLERANCE;

/// One way to take a task: finished in a period, or left out.
#[derive(Clone, Debug)]
pub(super) struct Choice {
    /// The period; `None` is left out.
    pub(super) period: Option<usize>,
    pub(super) worth: f64,
    /// Row and amount, rows ascending.
    pub(super) uses: Vec<(usize, f64)>,
}

/// Tasks with their choices, and caps of the rows.
#[derive(Clone, Debug, Default)]
pub(super) struct Problem {
    /// At least one choice each.
    pub(super) tasks: Vec<Vec<Choice>>,
    pub(super) caps: Vec<f64>,
}

impl Problem {
    /// The same problem without choices that no selection can take and rows that every selection keeps.
    pub(super) fn tidied(mut self) -> Self {
        let least = self.extreme(f64::min);
        for choices in &mut self.tasks {
            let own = extreme_of(choices, self.caps.len(), f64::min);
            let may = |choice: &Choice| {
                let over =
                    |(row, amount): &(usize, f64)| least[*row] - own[*row] + amount > self.caps[*row] + TOLERANCE;
                !choice.uses.iter().any(over)
            };
            if choices.iter().any(may) {
                choices.retain(may);
            }
        }
        let most = self.extreme(f64::max);
        let mut number = Vec::with_capacity(self.caps.len());
        let mut kept = Vec::new();
        for (cap, most) in self.caps.iter().zip(most) {
            number.push((most > *cap + TOLERANCE).then_some(kept.len()));
            if most > *cap + TOLERANCE {
                kept.push(*cap);
            }
        }
        for choice in self.tasks.iter_mut().flatten() {
            choice.uses = choice.uses.iter().filter_map(|(row, amount)| Some((number[*row]?, *amount))).collect();
        }
        self.caps = kept;
        self
    }

    /// The least or the most that all tasks together can come to in each row.
    fn extreme(&self, pick: fn(f64, f64) -> f64) -> Vec<f64> {
        let mut sums = vec![0.0; self.caps.len()];
        for choices in &self.tasks {
            for (sum, own) in sums.iter_mut().zip(extreme_of(choices, self.caps.len(), pick)) {
                *sum += own;
            }
        }
        sums
    }

    /// What a way to take every task is worth.
    pub(super) fn worth(&self, taken: &[usize]) -> f64 {
        self.tasks.iter().zip(taken).map(|(choices, taken)| choices[*taken].worth).sum()
    }

    /// What is left of each row.
    pub(super) fn left(&self, taken: &[usize]) -> Vec<f64> {
        let mut left = self.caps.clone();
        for (choices, taken) in self.tasks.iter().zip(taken) {
            for (row, amount) in &choices[*taken].uses {
                left[*row] -= amount;
            }
        }
        left
    }

    /// Whether every row is kept.
    pub(super) fn is_kept(&self, taken: &[usize]) -> bool {
        self.left(taken).iter().all(|left| *left >= -TOLERANCE)
    }
}

/// The least or the most that one task can come to in each row.
pub(super) fn extreme_of(choices: &[Choice], rows: usize, pick: fn(f64, f64) -> f64) -> Vec<f64> {
    let mut found: Vec<Option<f64>> = vec![None; rows];
    let mut seen = vec![0; rows];
    for (row, amount) in choices.iter().flat_map(|choice| &choice.uses) {
        found[*row] = Some(found[*row].map_or(*amount, |old| pick(old, *amount)));
        seen[*row] += 1;
    }
    // A choice that does not name the row takes nothing from it.
    let all = choices.len();
    found
        .into_iter()
        .zip(seen)
        .map(|(own, seen)| own.map_or(0.0, |own| if seen < all { pick(own, 0.0) } else { own }))
        .collect()
}
