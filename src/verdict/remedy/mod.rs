//! Ways out: the cheapest and the quickest set of remedies that turns a site ready (`remedies.csv`), found exactly, and
//! what would have to give where there is none.
//!
//! Every reason that stops or holds is settled by a remedy of the set; a remedy that settles several is done and paid
//! once. A remedy that changes a fact (a larger fuse, measured demand) has the site judged again: what then still stops
//! or holds it is settled by the rest of the set. Load limitation and lower settings are arrangements, not remedies.

mod give;
mod search;
mod table;
#[cfg(test)]
mod tests;

pub(super) use give::would_have_to_give;

use super::choice::best;
use super::judge::site_findings;
use super::types::Remedy;
use super::unknowns::with_demand;
use crate::design::{Arrangement, Evidence, Facts, arrangements};
use crate::estimate::{Place, PriceBook, likely_cost};
use crate::finding::{Effect, Finding};
use crate::quantity::Band;
use search::Search;
use table::{Change, Row, rows};

/// What the ways out are looked for with.
pub(super) struct Situation<'a> {
    /// The survey, its facts, the rules, the stance and the date.
    pub(super) evidence: Evidence<'a>,
    /// Fields in doubt whose values flip the verdict.
    pub(super) doubtful: &'a [&'static str],
    /// What was found of consultation: it hangs on the price of the likely design.
    pub(super) consulted: &'a [Finding],
    pub(super) prices: &'a PriceBook,
    pub(super) place: &'a Place,
    /// Largest cut-out the operator's policy allows a home, amperes.
    pub(super) fuse_policy_a: Option<f64>,
}

/// A reason that has to be settled.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Open {
    code: &'static str,
    /// Of the design, which is known only once the facts are changed; not of the site.
    of_design: bool,
}

/// What remedies have made of the facts.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
struct Changed {
    /// The cut-out fitted by the operator, amperes.
    cutout_a: Option<f64>,
    /// Whether demand is measured and in the middle of its band.
    demand_likely: bool,
}

impl Changed {
    /// After one more change. A larger supply is had once, and so is a better figure of demand: `None` otherwise.
    fn and(self, change: Change) -> Option<Self> {
        match change {
            Change::Cutout(amps) | Change::Service(amps) if self.cutout_a.is_none() => {
                Some(Self { cutout_a: Some(amps), ..self })
            }
            Change::DemandLikely if !self.demand_likely => Some(Self { demand_likely: true, ..self }),
            _ => None,
        }
    }
}

impl Situation<'_> {
    /// Whether a row can be had at this site.
    fn offers(&self, row: &Row) -> bool {
        let facts = self.evidence.facts;
        let here = match row.applies_to {
            "home" => facts.premises.is_home(),
            "site" => !facts.premises.is_home(),
            _ => true,
        };
        here && match row.change {
            Change::Nothing => false,
            Change::Settles | Change::DemandLikely => true,
            Change::ThreePhases => facts.supply_phases == 1,
            Change::Cutout(amps) => amps > facts.cutout_a && self.fuse_policy_a.is_none_or(|policy_a| amps <= policy_a),
            Change::Service(amps) => amps > facts.cutout_a,
        }
    }

    /// Rows that make a reason go away as the facts then are: with a supply that was enlarged no second one.
    fn settling(&self, code: &'static str, changed: Changed) -> impl Iterator<Item = &'static Row> {
        let settles = move |row: &Row| !row.change.is_supply() || changed.cutout_a.is_none();
        rows()
            .iter()
            .filter(move |row| row.reason == code && !row.change.changes_facts() && settles(row) && self.offers(row))
    }

    fn facts_after(&self, changed: Changed) -> Facts {
        let mut facts = self.evidence.facts.clone();
        if changed.demand_likely {
            // What a logger is likely to show: the middle of the band. A paper figure is the top of its own.
            let middle = |band: Band| (band.low + band.high) / 2.0;
            let demand = facts.demand;
            facts = with_demand(&facts, middle(demand.band_a));
            facts.demand.against_capacity_a = Band::exact(middle(demand.against_capacity_a));
        }
        facts.cutout_a = changed.cutout_a.unwrap_or(facts.cutout_a);
        facts
    }

    /// What still stops or holds the site, judged again with changed facts.
    fn open_after(&self, changed: Changed) -> Vec<Open> {
        let facts = self.facts_after(changed);
        let (_, of_site) = site_findings(&Evidence { facts: &facts, ..self.evidence }, self.doubtful);
        // The operator that fits a cut-out knows its rating, and its policy has allowed it.
        let known = |finding: &&Finding| changed.cutout_a.is_none() || finding.code() != Some("cutout-unknown");
        let of_site: Vec<Finding> = of_site.iter().filter(known).chain(self.consulted).cloned().collect();
        open(&of_site, &self.of_design(&facts))
    }

    /// Findings of the design that would be chosen for these facts.
    fn of_design(&self, facts: &Facts) -> Vec<Finding> {
        let cost = |arrangement: &Arrangement| likely_cost(arrangement, self.place, self.prices);
        best(arrangements(facts, self.evidence.rules), cost).map(|best| best.findings).unwrap_or_default()
    }
}

/// The reasons that stop or hold among these findings, each once.
fn open(of_site: &[Finding], of_design: &[Finding]) -> Vec<Open> {
    let mut open: Vec<Open> = Vec::new();
    let of_site = of_site.iter().map(|finding| (finding, false));
    for (finding, of_design) in of_site.chain(of_design.iter().map(|finding| (finding, true))) {
        let Some(code) = finding.code().filter(|_| finding.effect >= Effect::Holds) else { continue };
        if !open.iter().any(|known| known.code == code) {
            open.push(Open { code, of_design });
        }
    }
    open
}

/// The cheapest and the quickest set for a site with these findings, of itself and of its design; one entry when they
/// are the same, none when some reason has no way out.
pub(super) fn ways_out(of_site: &[Finding], of_design: &[Finding], situation: &Situation<'_>) -> Vec<Remedy> {
    let open = open(of_site, of_design);
    if open.is_empty() { Vec::new() } else { Search::new(situation, open).ways_out() }
}
