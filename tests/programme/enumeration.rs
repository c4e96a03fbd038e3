//! Selections of small plans by trying every one.

use crate::rules::{Stated, TOLERANCE, stated, worth};
use baywright::programme::Plan;
use std::collections::BTreeMap;

/// What is best by trying everything.
pub struct Best {
    pub worth: f64,
    pub musts_missed: Vec<usize>,
    pub shares_missed: Vec<usize>,
}

/// Every selection of some tasks that keeps the rows of money and crews: its periods and which least shares it reaches.
struct Every<'a> {
    stated: &'a Stated,
    tasks: &'a [usize],
    must: Vec<bool>,
    periods: Vec<Option<usize>>,
    left: Vec<f64>,
}

impl Every<'_> {
    fn visit(&mut self, at: usize, seen: &mut dyn FnMut(&[Option<usize>], u32)) {
        let Some(&task) = self.tasks.get(at) else {
            let reached = self.left[self.stated.shares..].iter().enumerate();
            let reached = reached.map(|(own, left)| u32::from(*left >= -TOLERANCE) << own).sum();
            return seen(&self.periods, reached);
        };
        for period in 0..self.stated.uses[task].len() {
            let Some(own) = &self.stated.uses[task][period] else { continue };
            self.left.iter_mut().zip(own).for_each(|(left, amount)| *left -= amount);
            self.periods[task] = Some(period);
            if self.left[..self.stated.shares].iter().all(|left| *left >= -TOLERANCE) {
                self.visit(at + 1, seen);
            }
            let own = self.stated.uses[task][period].as_ref().unwrap();
            self.left.iter_mut().zip(own).for_each(|(left, amount)| *left += amount);
        }
        self.periods[task] = None;
        if !self.must[task] {
            self.visit(at + 1, seen);
        }
    }
}

pub fn best(plan: &Plan) -> Best {
    let stated = stated(plan);
    let all = plan.tasks.len();
    let every = |tasks: &[usize], must: Vec<bool>, seen: &mut dyn FnMut(&[Option<usize>], u32)| {
        let (periods, left) = (vec![None; all], stated.caps.clone());
        Every { stated: &stated, tasks, must, periods, left }.visit(0, seen);
    };
    let musts: Vec<usize> = (0..all).filter(|task| plan.tasks[*task].must).collect();
    let mut most = (0, 0.0, vec![None; all]);
    every(&musts, vec![false; all], &mut |periods, _| {
        let count = periods.iter().flatten().count();
        let sum: f64 = musts.iter().filter(|task| periods[**task].is_some()).map(|task| plan.tasks[*task].worth).sum();
        if (count, sum) > (most.0, most.1) {
            most = (count, sum, periods.to_vec());
        }
    });
    let must: Vec<bool> = most.2.iter().map(Option::is_some).collect();
    let musts_missed = musts.iter().copied().filter(|task| !must[*task]).collect();
    let mut by_shares: BTreeMap<u32, f64> = BTreeMap::new();
    let tasks: Vec<usize> = (0..all).collect();
    every(&tasks, must, &mut |periods, reached| {
        let sum = periods.iter().enumerate().filter_map(|(task, period)| Some(worth(plan, task, (*period)?))).sum();
        let own = by_shares.entry(reached).or_insert(f64::NEG_INFINITY);
        *own = own.max(sum);
    });
    let (mut kept, mut shares_missed) = (0u32, vec![]);
    for own in 0..plan.least.len() {
        let wished = kept | 1 << own;
        if by_shares.keys().any(|reached| reached & wished == wished) {
            kept = wished;
        } else {
            shares_missed.push(own);
        }
    }
    let worths = by_shares.iter().filter(|(reached, _)| **reached & kept == kept).map(|(_, worth)| *worth);
    Best { worth: worths.fold(f64::NEG_INFINITY, f64::max), musts_missed, shares_missed }
}
