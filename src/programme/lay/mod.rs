//! A selection on the calendar: which crew is at which site from which quarter of which day, place by place.
//!
//! It knows days and crews; what a task is worth is the selection's to weigh.

mod board;
mod claims;
mod draft;
#[cfg(test)]
mod tests;
mod tour;

use super::reach::Dated;
use super::select::{Rows, TOLERANCE, in_order, linear_bound, select};
use super::types::{Done, Laid, Moment, Plan, Selection, Unspent, Visit, Why};
use board::Board;
use claims::Claims;
use draft::{Draft, First, Way};
use jiff::civil::Date;

/// Among drafts whose worth differs by no more than this share, the one with fewest moves is taken.
const WORTH_OF_FEWER_MOVES: f64 = 0.002;
/// Quarters that a move counts for, in the drafts tried.
const MOVE_QUARTERS: [usize; 4] = [0, 4, 16, 64];

/// Selects and lays a programme.
///
/// Each work is one run of one crew of its trade on its working days; a task's works follow one another, begin at the
/// earliest on its day and end within the period that pays for it. Work may begin in an earlier period. The tasks of a
/// period are laid place by place, the place nearest to the crew that is free first; a place is shared among crews where
/// one alone would keep others waiting. What finds no room is tried in later periods; at the end, whatever still fits is
/// laid, chosen or not. Several drafts are made; taken is the one with most musts, then most least shares, then most
/// worth, and fewest moves among those of nearly the same worth.
///
/// A programme never takes more from money and crews than a selection may (see [`select`]), the usable share included.
/// `bound` is the selection's: no programme that keeps within the rows of the selection, its musts and its least shares is
/// worth more. Where the calendar leaves out a must or misses a share that the selection has, it is the bound of the
/// linear programme without them.
pub fn lay(plan: &Plan) -> Laid {
    let selection = select(plan);
    let dated = Dated::of(plan);
    let rows = Rows::of(plan, &dated);
    let order = in_order(plan);
    let claims = Claims::new(plan, &rows, &selection.periods, &selection.shares_missed);
    let shares: Vec<usize> = (0..plan.least.len()).filter(|own| !selection.shares_missed.contains(own)).collect();
    let mut drafts: Vec<(Draft, Vec<usize>)> = Vec::new();
    for first in [First::Nothing, First::Musts, First::Urgent] {
        for move_quarters in MOVE_QUARTERS {
            let mut draft = Draft::laid(plan, &dated, &claims, &order, Way { first, move_quarters });
            let mut taken_off = Vec::new();
            for &share in &shares {
                taken_off.extend(draft.reach_share(share, &shares));
            }
            drafts.push((draft, taken_off));
        }
    }
    let rank = |draft: &Draft| {
        let reached = shares.iter().filter(|share| draft.claims.reaches(**share)).count();
        (draft.musts(), reached)
    };
    let highest = drafts.iter().map(|(draft, _)| rank(draft)).max().unwrap_or_default();
    drafts.retain(|(draft, _)| rank(draft) == highest);
    let most = drafts.iter().map(|(draft, _)| draft.worth()).fold(0.0, f64::max);
    drafts.retain(|(draft, _)| draft.worth() >= most * (1.0 - WORTH_OF_FEWER_MOVES));
    drafts.sort_by(|(a, _), (b, _)| a.board.moves().cmp(&b.board.moves()).then(b.worth().total_cmp(&a.worth())));
    match drafts.into_iter().next() {
        Some((draft, taken_off)) => told(plan, &dated, &rows, &selection, &draft, &taken_off),
        None => Laid::default(),
    }
}

/// A draft as it is handed on.
fn told(plan: &Plan, dated: &Dated, rows: &Rows, selection: &Selection, draft: &Draft, taken_off: &[usize]) -> Laid {
    let (mut done, mut left_out) = (Vec::new(), Vec::new());
    for (task, period) in draft.claims.periods.iter().enumerate() {
        match period.and_then(|period| Some((period, finish(plan, dated, &draft.board, task, period)?))) {
            Some((period, finish)) => done.push(Done { task, period, finish }),
            None => left_out.push((task, why(plan, rows, selection, taken_off, task))),
        }
    }
    let missed = |task: &usize| plan.tasks[*task].must && draft.claims.periods[*task].is_none();
    let musts_missed: Vec<usize> = (0..plan.tasks.len()).filter(missed).collect();
    let shares_missed: Vec<usize> = (0..plan.least.len()).filter(|own| !draft.claims.reaches(*own)).collect();
    let worth = draft.worth();
    let as_selected = musts_missed.iter().all(|task| selection.musts_missed.contains(task))
        && shares_missed.iter().all(|share| selection.shares_missed.contains(share));
    let bound = if as_selected {
        selection.bound
    } else {
        let kept = |task: usize| {
            plan.tasks[task].must && !musts_missed.contains(&task) && !selection.musts_missed.contains(&task)
        };
        let musts = (0..plan.tasks.len()).map(kept).collect();
        let reached = |share: usize| !shares_missed.contains(&share) && !selection.shares_missed.contains(&share);
        linear_bound(plan, musts, (0..plan.least.len()).map(reached).collect())
    };
    // The same sum in another order may differ in its last digits.
    let bound = if worth > bound && worth <= bound * (1.0 + 1e-9) { worth } else { bound };
    let (visits, moves) = (visits(dated, &draft.board), draft.board.moves());
    Laid { visits, done, left_out, worth, bound, musts_missed, shares_missed, moves }
}

fn visits(dated: &Dated, board: &Board) -> Vec<Visit> {
    let moment = |quarter: usize| -> Option<Moment> { dated.calendar.moment(quarter) };
    let mut visits = Vec::new();
    for (crew, runs) in board.crews.iter().enumerate() {
        visits.extend(runs.iter().filter_map(|run| {
            let (first, last) = (moment(run.start)?, moment(run.end.checked_sub(1)?)?);
            Some(Visit { task: run.task, work: run.work, crew, first, last })
        }));
    }
    visits
}

/// The day on which a task is finished.
fn finish(plan: &Plan, dated: &Dated, board: &Board, task: usize, period: usize) -> Option<Date> {
    match board.end_of(task) {
        Some(end) => dated.calendar.moment(end.checked_sub(1)?).map(|moment| moment.date),
        None => dated.idle_finish(plan, &plan.tasks[task], period),
    }
}

/// Why a task is not done.
fn why(plan: &Plan, rows: &Rows, selection: &Selection, taken_off: &[usize], task: usize) -> Why {
    let reached = match &rows.reached[task] {
        Ok(reached) => reached,
        Err(why) => return *why,
    };
    let money = |period: usize| -> i64 {
        let counted = match plan.unspent {
            Unspent::Lost => &plan.periods[period..=period],
            Unspent::Carried => &plan.periods[..=period],
        };
        counted.iter().fold(0i64, |sum, period| sum.saturating_add(period.budget.0.max(0)))
    };
    if reached.iter().all(|period| plan.tasks[task].cost.0 > money(*period)) {
        return Why::TooDear;
    }
    if taken_off.contains(&task) {
        return Why::WorthLess;
    }
    // No usable share of crew-days holds it, or it was chosen and found none free.
    let alone = |period: &usize| {
        rows.uses(plan, task, *period)
            .iter()
            .all(|(row, amount)| !rows.is_of_crews(*row) || *amount <= rows.caps[*row] + TOLERANCE)
    };
    if selection.periods[task].is_some() || !reached.iter().any(alone) { Why::NoRoom } else { Why::WorthLess }
}
