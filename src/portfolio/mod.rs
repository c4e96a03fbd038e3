//! Sites against each other: rank, counts and what would move most. It only adds; it rewrites no judgement.
//!
//! It knows judgements and rules; it knows no file and no sheet.

mod bid;
mod choice;
mod clusters;
mod cost_curve;
mod gaps;
mod nearby;
mod rank;
mod scenario;
mod streets;
mod summary;
mod tender;
mod unlock;

pub use bid::{Amounts, Bid, BidLot, BidSite, CauseShare, bid};
pub use choice::{Choice, Chosen, NoSuch, ids_of_list};
pub use clusters::{After, Base, Capacity, Cluster, Early, Flag, Grouped, Taken, over_capacity, together};
pub use cost_curve::{CostStep, cost_curve};
pub use gaps::{AskSum, AskedField, Asking, Gaps, SiteQuestion, SiteQuestions, askings, gaps};
pub use rank::{points_served, rank};
pub use scenario::{Change, Differs, Figures, Moved, Scenario, Tally, compact, moves};
pub use streets::{LikelyReady, Visit, visits};
pub use tender::{Exclusion, GrantSum, Question, exclusions, grants, questions};
pub use unlock::Unlock;

use crate::estimate::{Doubt, RestsOn};
use crate::finding::{Reason, WaitsFor};
use crate::quantity::{CostBand, Pence};
use crate::site::Verdict;
use crate::verdict::Judgement;

/// The parts of a site's score, each 0 to 1 before its weight; the score is their weighted sum.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct ScoreParts {
    /// Chance that it proves ready.
    pub odds: f64,
    /// Cheap for a charging point: 1 for nothing, 0.5 at the rules' typical cost.
    pub cost: f64,
    /// Soon: 1 for no wait.
    pub wait: f64,
    /// The user's own priority.
    pub priority: f64,
    /// Points served.
    pub points: f64,
    /// Weighted sum.
    pub score: f64,
}

/// One site in its place.
#[derive(Clone, Debug)]
pub struct Ranked {
    /// 1 for the best.
    pub rank: u32,
    /// Why it stands there.
    pub score: ScoreParts,
    /// Cluster of neighbours, when there is one.
    pub cluster_id: Option<String>,
    /// Verdict once the sites of its cluster that are ranked before it are served; `None` without neighbours.
    pub with_neighbours: Option<Verdict>,
    /// Whether they leave too little of the capacity for it.
    pub over_capacity: bool,
    /// For a home without a space of its own: a shared car park that could serve it.
    pub shared_with: Option<SharedPlace>,
    /// What was found for the site alone.
    pub judgement: Box<Judgement>,
}

impl Ranked {
    /// A site with its score, before it has a rank or neighbours.
    pub fn new(score: ScoreParts, judgement: impl Into<Box<Judgement>>) -> Self {
        Self {
            rank: 0,
            score,
            cluster_id: None,
            with_neighbours: None,
            over_capacity: false,
            shared_with: None,
            judgement: judgement.into(),
        }
    }
}

impl Ranked {
    /// Likely cost of a point served, pounds; `None` where the site has no price.
    pub fn cost_a_point_gbp(&self) -> Option<f64> {
        rank::cost_a_point_gbp(&self.judgement)
    }
}

/// A shared car park of the portfolio for a home without a space of its own.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SharedPlace {
    /// Place of the car park's site in the ranking, from 0.
    pub place: usize,
    /// How far it is as the crow flies, metres; `None` where it is only known to be in the same postcode unit.
    pub distance_m: Option<f64>,
    /// Points of it that are left once this home and those ranked before it have one.
    pub points_left: u32,
}

/// Count and cost of the sites with one verdict.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Group {
    /// Sites.
    pub count: u32,
    /// Sum of their costs point by point: of the installation for ready and marginal sites, of the cheapest way out for
    /// blocked ones. Its low and high are the naive sums, which have everything go wrong (or right) at once.
    pub cost: CostBand,
    /// The costs of installations with their doubt, added as doubts add.
    pub doubt: Doubt,
    /// The likely cost of installations by what its lines rest on; none for blocked sites.
    pub rests_on: RestsOn,
    /// Days of crews on site, likely, added; none for blocked sites.
    pub crew_days: f64,
    /// Value-added tax on the likely cost, by the premises of each site.
    pub vat: Pence,
    /// Points they serve.
    pub points: u32,
}

/// One step that would move sites, and how many.
#[derive(Clone, Debug, PartialEq)]
pub struct Move {
    /// The reason it settles.
    pub reason: &'static Reason,
    /// Sites that have the reason and are not ready.
    pub sites: u32,
    /// Sites that nothing else stops or holds: settled, they become ready.
    pub readies: u32,
}

/// The portfolio in figures.
#[derive(Clone, Debug, Default)]
pub struct Summary {
    /// Ready, marginal, blocked (the counted verdict, overrides included).
    pub ready: Group,
    /// Sites that wait for one thing.
    pub marginal: Group,
    /// Sites that something stops.
    pub blocked: Group,
    /// Marginal sites by what they wait for first, in the order of the contract.
    pub waiting: Vec<(WaitsFor, u32)>,
    /// Reasons that stop or hold, commonest first, with the number of sites.
    pub reasons: Vec<(&'static Reason, u32)>,
    /// For blocked sites: their first reason, commonest first.
    pub blocked_by: Vec<(&'static Reason, u32)>,
    /// What would move most, best first.
    pub moves: Vec<Move>,
    /// Remedies of the cheapest ways out, in the order that unlocks most sites for least.
    pub unlocks: Vec<Unlock>,
    /// Sites ready if everything that nobody asked is held.
    pub ready_if_committed: u32,
    /// Sites whose verdict an engineer has overridden.
    pub overridden: u32,
    /// How many of all sites will prove ready; `None` where the odds were not asked for.
    pub likely_ready: Option<LikelyReady>,
    /// By lot: name, ready, marginal, blocked, likely cost of the sites not blocked.
    pub lots: Vec<Lot>,
}

/// One lot in figures.
#[derive(Clone, Debug, Default, PartialEq)]
#[allow(missing_docs)]
pub struct Lot {
    pub name: String,
    pub ready: u32,
    pub marginal: u32,
    pub blocked: u32,
    pub cost: CostBand,
    pub doubt: Doubt,
    pub likely_ready: Option<LikelyReady>,
    pub crew_days: f64,
}

/// A judged portfolio, in rank order.
#[derive(Clone, Debug, Default)]
pub struct Portfolio {
    /// Sites, best first.
    pub sites: Vec<Ranked>,
    /// In figures.
    pub summary: Summary,
    /// Sites that hang together, greatest load first; empty before `together`.
    pub clusters: Vec<Cluster>,
}
