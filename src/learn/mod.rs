//! What outcomes tell of verdicts, costs and hours that were stated before, and which weights and task hours they would
//! move. It proposes and changes nothing: no judgement, no rule, no price. Safety is never learned.
//!
//! - `verdicts`: said against found, Brier score, calibration.
//! - `spread`: costs and hours: bias, spread, how often within the stated band.
//! - `hours`: a factor for the hours of each task, by Bayesian linear regression.
//! - `found`, `evidence`, `weights`: what the open facts of sites proved to be, seen or told by the verdict alone, and
//!   the weights of `possible.csv` that follow.
//! - `overlay`: both proposals as files that the rules and the price book read.
//!
//! The order of the sites does not matter: they are taken by `site_id`.

mod evidence;
mod found;
mod hours;
mod matrix;
mod overlay;
mod spread;
#[cfg(test)]
mod tests;
mod verdicts;
mod weights;

pub use found::{FoundFact, Proved};
pub use hours::{Hours, TaskFactor};
pub use overlay::{prices_overlay, rules_overlay};
pub use spread::{Group, Spread};
pub use verdicts::{Bin, Confusion, Share, Verdicts};
pub use weights::{LearnedWeight, Rival, Weights};

use crate::quantity::{Band, CostBand, Pence};
use crate::rules::Rules;
use crate::site::{Outcome, Premises, Site, Verdict};
use crate::verdict::Judgement;
use evidence::Told;

/// One site with what was said of it and what came of it.
#[derive(Clone, Copy, Debug)]
pub struct Case<'a> {
    /// Its survey, as it stood before the work.
    pub site: &'a Site,
    /// What was said of it.
    pub judgement: &'a Judgement,
    /// What came of it.
    pub outcome: &'a Outcome,
}

impl Case<'_> {
    /// Person-hours that were said for each task with a crew: travel in them, desk work not.
    fn tasks(&self) -> impl Iterator<Item = (&'static str, f64)> {
        let tasks = self.judgement.estimate.iter().flat_map(|estimate| &estimate.tasks);
        tasks.filter(|task| task.persons > 0).map(|task| (task.task, task.hours.likely))
    }

    /// The person-hours of the crews together, with the doubt of all hours of the site in proportion.
    fn crew_hours(&self) -> Option<Band> {
        let estimate = self.judgement.estimate.as_ref()?;
        let likely: f64 = self.tasks().map(|(_, hours)| hours).sum();
        let share = if estimate.hours.likely > 0.0 { likely / estimate.hours.likely } else { 0.0 };
        (likely > 0.0).then(|| Band::new(estimate.hours.low * share, likely, estimate.hours.high * share))
    }
}

/// What was said of a site and what was found, side by side.
#[derive(Clone, Debug)]
#[allow(missing_docs)] // the columns of the contract
pub struct SideBySide {
    pub site_id: String,
    pub address: String,
    pub lot: String,
    pub premises: Option<Premises>,
    /// File and row of the outcome.
    pub from: (String, u32),
    /// The verdict that counts (an engineer's, where there is one) and the computed one.
    pub said: Verdict,
    pub computed: Verdict,
    pub probability_ready: Option<f64>,
    pub found: Option<Verdict>,
    /// Cost that was said, where the site had an estimate.
    pub cost_said: Option<CostBand>,
    pub cost_found: Option<Pence>,
    /// Person-hours of the crews.
    pub hours_said: Option<Band>,
    pub hours_found: Option<f64>,
    /// Survey facts that were found on site.
    pub facts: Vec<FoundFact>,
    /// Why its verdict told nothing of the weights; empty where it did or was not asked to.
    pub verdict_unused: &'static str,
}

/// Everything that outcomes tell.
#[derive(Clone, Debug, Default)]
pub struct Learned {
    /// Sites with an outcome, by `site_id`.
    pub sites: Vec<SideBySide>,
    /// How verdicts did.
    pub verdicts: Verdicts,
    /// How costs did: all sites first, then by what was said of them and by premises.
    pub cost: Vec<Group>,
    /// How hours did, likewise.
    pub hours: Vec<Group>,
    /// The hours of tasks.
    pub tasks: Hours,
    /// The weights of open facts.
    pub weights: Weights,
}

/// Learns from outcomes under the rules that the judgements were made with.
pub fn learn(cases: &[Case<'_>], rules: &Rules) -> Learned {
    let mut cases = cases.to_vec();
    cases.sort_by(|a, b| {
        a.site.site_id.cmp(&b.site.site_id).then_with(|| (a.site.sheet, a.site.row).cmp(&(b.site.sheet, b.site.row)))
    });
    let (weights, told) = weights::learn(&cases, rules);
    let sites: Vec<SideBySide> = cases.iter().zip(told).map(|(case, told)| side_by_side(case, told)).collect();
    Learned {
        verdicts: Verdicts::of(&sites),
        cost: spread::costs(&sites),
        hours: spread::hours(&sites),
        tasks: hours::factors(&cases, &rules.learn),
        weights,
        sites,
    }
}

fn side_by_side(case: &Case<'_>, told: Told) -> SideBySide {
    let Case { site, judgement, outcome } = case;
    let brief = &judgement.brief;
    SideBySide {
        site_id: site.site_id.clone(),
        address: brief.address.clone(),
        lot: brief.lot.clone(),
        premises: brief.premises,
        from: (outcome.cell.file.to_string(), outcome.cell.row),
        said: judgement.counted_verdict(),
        computed: judgement.verdict,
        probability_ready: judgement.odds.map(|odds| odds.ready),
        found: outcome.verdict,
        cost_said: judgement.estimate.as_ref().map(|estimate| estimate.cost),
        cost_found: outcome.cost,
        hours_said: case.crew_hours(),
        hours_found: outcome.hours,
        facts: told.facts,
        verdict_unused: told.verdict_unused,
    }
}
