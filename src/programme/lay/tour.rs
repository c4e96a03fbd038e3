//! In which order the tasks of a period are laid: place by place, each time the place nearest to the crew that is free
//! first.
//!
//! It knows where crews stand and how far places lie apart as the crow flies, no roads.

use super::super::reach::{Dated, real_work};
use super::super::types::{Place, Plan};
use super::board::Board;
use std::collections::BTreeMap;

/// Tasks of a period by their places.
pub(super) struct Tour<'a> {
    plan: &'a Plan,
    dated: &'a Dated,
    /// Tasks still to be laid, in the order in which they are at their place.
    places: BTreeMap<usize, Vec<usize>>,
    /// The trade that begins most of them.
    lead: Option<usize>,
}

impl<'a> Tour<'a> {
    /// A tour of tasks that come in an order of their own; at a place those that are ready first and due first go first.
    pub(super) fn new(plan: &'a Plan, dated: &'a Dated, tasks: &[usize]) -> Self {
        let mut places: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
        let mut begun: BTreeMap<usize, usize> = BTreeMap::new();
        for &task in tasks {
            places.entry(plan.tasks[task].place).or_default().push(task);
            real_work(&plan.tasks[task]).next().iter().for_each(|(_, trade, _)| *begun.entry(*trade).or_default() += 1);
        }
        for tasks in places.values_mut() {
            tasks.sort_by_key(|task| (dated.ready(&plan.tasks[*task]), dated.latest(&plan.tasks[*task])));
        }
        let lead = begun.iter().max_by(|a, b| a.1.cmp(b.1).then(b.0.cmp(a.0))).map(|(trade, _)| *trade);
        Self { plan, dated, places, lead }
    }

    /// The tasks of the next place.
    pub(super) fn next(&mut self, board: &Board) -> Option<Vec<usize>> {
        let crews = self.plan.crews.iter().enumerate().filter(|(_, crew)| Some(crew.trade) == self.lead);
        let free = |crew: usize| board.crews[crew].last().map_or(self.dated.crews[crew].start, |run| run.end);
        let crew = crews.map(|(crew, _)| (free(crew), crew)).min().map(|(_, crew)| crew);
        let here = crew.and_then(|crew| board.crews[crew].last()).map(|run| run.place);
        let next =
            *self.places.keys().min_by(|a, b| self.far(here, **a).total_cmp(&self.far(here, **b)).then(a.cmp(b)))?;
        self.places.remove(&next)
    }

    /// How far a place is from where a crew stands: nothing where it stands there or nowhere yet; beyond all others where
    /// that is not known.
    fn far(&self, here: Option<usize>, place: usize) -> f64 {
        match here {
            None => 0.0,
            Some(here) if here == place => 0.0,
            Some(here) => {
                let spot = |place: usize| self.plan.places.get(place).and_then(|place: &Place| place.spot);
                spot(here).zip(spot(place)).map_or(f64::INFINITY, |(one, other)| apart(one, other))
            }
        }
    }
}

/// The square of the distance of two spots in degrees of latitude, on the flat: enough to say which is nearer.
fn apart(one: (f64, f64), other: (f64, f64)) -> f64 {
    let north = one.0 - other.0;
    let east = (one.1 - other.1) * libm::cos(((one.0 + other.0) / 2.0).to_radians());
    let square = north * north + east * east;
    if square.is_nan() { f64::INFINITY } else { square }
}
