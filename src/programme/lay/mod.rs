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
use super::select::{Rows, TOLERANCE, in_order, linear_bound, select, select_without};
use super::types::{Done, Laid, Moment, Plan, Selection, Unspent, Visit, Why};
use board::Board;
use claims::Claims;
use draft::{Draft, First, Grounds, Way};
use jiff::civil::Date;
use std::collections::BTreeSet;

/// Among drafts whose worth differs by no more than this share, the one with fewest moves is taken.
const WORTH_OF_FEWER_MOVES: f64 = 0.002;
/// Quarters that a move counts for, in the drafts tried.
const MOVE_QUARTERS: [usize; 4] = [0, 4, 16, 64];
/// How often what found no room is laid ahead of all others.
const ROUNDS_AHEAD: usize = 12;
/// How often a selection is made anew without what found no room, and up to how many tasks times periods.
const SELECTIONS_AGAIN: usize = 4;
const MOST_CELLS_AGAIN: usize = 2500;
/// A draft worth this share of what was selected is near enough to be left as it is.
const NEAR_SELECTION: f64 = 0.99;

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
    lay_selected(plan, &select(plan))
}

/// The same for a plan whose selection is at hand.
pub(super) fn lay_selected(plan: &Plan, selection: &Selection) -> Laid {
    let dated = Dated::of(plan);
    let rows = Rows::of(plan, &dated);
    let order = in_order(plan);
    let shares: Vec<usize> = (0..plan.least.len()).filter(|own| !selection.shares_missed.contains(own)).collect();
    let makers = Drafts { on: Grounds { plan, dated: &dated, order: &order }, rows: &rows, shares };
    let mut tried = makers.of(selection);
    let again = if plan.tasks.len() * plan.periods.len() > MOST_CELLS_AGAIN { 0 } else { SELECTIONS_AGAIN };
    let (mut barred, mut last) = (BTreeSet::new(), selection.clone());
    for _ in 0..again {
        let best = makers.best(&tried);
        if best.is_none_or(|best| makers.is_near(best, selection)) {
            break;
        }
        // What found no room where it was chosen is not chosen there again.
        let before = barred.len();
        let own = tried.iter().rev().find(|tried| tried.first_of_its_selection);
        barred.extend(own.iter().flat_map(|own| own.without_room(&order, &last)));
        if barred.len() == before {
            break;
        }
        last = select_without(plan, &barred);
        tried.extend(makers.of(&last));
    }
    makers.best(&tried).map_or_else(Laid::default, |best| told(plan, &dated, &rows, selection, best))
}

/// A draft, and the tasks that it gave up for a least share.
struct Tried<'a> {
    draft: Draft<'a>,
    taken_off: Vec<usize>,
    /// Whether it is the best of the first drafts of its selection.
    first_of_its_selection: bool,
}

impl Tried<'_> {
    /// Tasks that a selection has and the draft has not in the same period, with that period.
    fn without_room(&self, order: &[usize], selection: &Selection) -> Vec<(usize, usize)> {
        let chosen = order.iter().filter_map(|task| Some((*task, selection.periods[*task]?)));
        chosen.filter(|(task, period)| self.draft.claims.periods[*task] != Some(*period)).collect()
    }
}

/// Makes drafts and says which is best.
struct Drafts<'a> {
    on: Grounds<'a>,
    rows: &'a Rows,
    /// Least shares that the selection reaches.
    shares: Vec<usize>,
}

impl<'a> Drafts<'a> {
    /// Drafts of a selection: in several ways, then with what found no room laid ahead of all others.
    fn of(&self, selection: &Selection) -> Vec<Tried<'a>> {
        let claims = Claims::new(self.on.plan, self.rows, &selection.periods, &selection.shares_missed);
        let mut tried = Vec::new();
        for first in [First::Nothing, First::Musts, First::Urgent] {
            tried.extend(MOVE_QUARTERS.map(|move_quarters| self.made(&claims, Way { first, move_quarters }, &[])));
        }
        let Some(best) = self.most(&tried) else { return tried };
        tried[best].first_of_its_selection = true;
        let (way, mut without_room) = (tried[best].draft.way, tried[best].without_room(self.on.order, selection));
        let mut ahead: Vec<usize> = Vec::new();
        for _ in 0..ROUNDS_AHEAD {
            if without_room.is_empty() {
                break;
            }
            let again: Vec<usize> = without_room.iter().map(|(task, _)| *task).collect();
            ahead.retain(|task| !again.contains(task));
            ahead.splice(0..0, again);
            let own = self.made(&claims, way, &ahead);
            without_room = own.without_room(self.on.order, selection);
            tried.push(own);
        }
        tried
    }

    fn made(&self, claims: &Claims<'a>, way: Way, ahead: &[usize]) -> Tried<'a> {
        let mut draft = Draft::laid(&self.on, claims, way, ahead);
        let mut taken_off = Vec::new();
        for share in &self.shares {
            taken_off.extend(draft.reach_share(*share, &self.shares));
        }
        draft.gather();
        Tried { draft, taken_off, first_of_its_selection: false }
    }

    fn rank(&self, tried: &Tried) -> (usize, usize) {
        let reached = self.shares.iter().filter(|share| tried.draft.claims.reaches(**share)).count();
        (tried.draft.musts(), reached)
    }

    /// Whether a draft comes near to what was selected.
    fn is_near(&self, tried: &Tried, selection: &Selection) -> bool {
        let musts = self.on.plan.tasks.iter().filter(|task| task.must).count() - selection.musts_missed.len();
        self.rank(tried) >= (musts, self.shares.len()) && tried.draft.worth() >= selection.worth * NEAR_SELECTION
    }

    /// The draft with most musts, then most least shares, then most worth.
    fn most(&self, tried: &[Tried]) -> Option<usize> {
        let key = |own: usize| (self.rank(&tried[own]), tried[own].draft.worth());
        (0..tried.len()).rev().max_by(|a, b| key(*a).0.cmp(&key(*b).0).then(key(*a).1.total_cmp(&key(*b).1)))
    }

    /// The draft with fewest moves among those nearly as good as the best.
    fn best<'b>(&self, tried: &'b [Tried<'a>]) -> Option<&'b Tried<'a>> {
        let most = &tried[self.most(tried)?];
        let (rank, worth) = (self.rank(most), most.draft.worth() * (1.0 - WORTH_OF_FEWER_MOVES));
        let near = tried.iter().filter(|tried| self.rank(tried) == rank && tried.draft.worth() >= worth);
        near.min_by(|a, b| {
            let moves = a.draft.board.moves().cmp(&b.draft.board.moves());
            moves.then(b.draft.worth().total_cmp(&a.draft.worth()))
        })
    }
}

/// A draft as it is handed on.
fn told(plan: &Plan, dated: &Dated, rows: &Rows, selection: &Selection, tried: &Tried) -> Laid {
    let Tried { draft, taken_off, .. } = tried;
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
