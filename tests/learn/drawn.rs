//! Sites of a few kinds, judged once a kind, and outcomes of them that are drawn: each open fact by truths of the test,
//! the verdict by the chances that the outlook gives where the facts are so (that those are right is shown by the tests
//! of calibration).

use crate::draws::Draws;
use baywright::learn::{Case, Learned, learn};
use baywright::possible::{Look, World, open};
use baywright::quantity::Pence;
use baywright::rules::{Rules, default_rules};
use baywright::site::*;
use baywright::verdict::{Context, Judgement, judge};
use std::sync::Arc;

/// A kind of survey with its judgement.
pub struct Kind {
    pub site: Site,
    pub judgement: Judgement,
}

/// What is left open besides the loop and the cut-out.
#[derive(Clone, Copy, PartialEq, Eq)]
pub enum Leaves {
    /// Nothing.
    Nothing,
    /// Whatever else homes leave open, so that several facts explain a verdict.
    Several,
}

/// A house about which everything is known except what a test leaves open.
pub fn house(year: Option<f64>, cutout_a: f64, seen: bool, demand_a: f64, leaves: Leaves) -> Site {
    let mut site = Site { row: 2, site_id: "kind".into(), ..Site::default() };
    let identity = &mut site.identity;
    identity.premises_type = Reading::of(Premises::House);
    identity.tenure = Reading::of(Tenure::Owner);
    identity.survey_method = Reading::of(SurveyMethod::Visit);
    let supply = &mut site.supply;
    supply.cutout_rating_a = Reading::of(cutout_a);
    if seen {
        supply.cutout_evidence = Reading::of(CutoutEvidence::Fuse);
    }
    supply.supply_phases = Reading::of(1.0);
    supply.earthing_system = Reading::of(EarthingSystem::TnCS);
    supply.ze_ohm = Reading::of(0.2);
    supply.fault_level_ka = Reading::of(1.0);
    supply.electrode_position = Reading::of(true);
    supply.looped_service = Reading::unknown();
    site.load.existing_demand_a = Reading::of(demand_a);
    site.load.demand_method = Reading::of(DemandMethod::Measured);
    site.parking.parking_type = Reading::of(ParkingType::Driveway);
    site.parking.parking_distance_m = Reading::of(12.0);
    site.permissions.listed = Reading::of(false);
    if let Some(year) = year {
        site.permissions.year_built = Reading::of(year);
    }
    if leaves == Leaves::Nothing {
        supply_known(&mut site);
    }
    site
}

fn supply_known(site: &mut Site) {
    site.supply.cutout_condition = Reading::of(Condition::Sound);
    site.board.board_condition = Reading::of(Condition::Sound);
    site.permissions.asbestos_on_route = Reading::of(false);
    site.permissions.consent_status = Reading::of(ConsentStatus::Granted);
}

pub fn kind(site: Site, context: &Context<'_>) -> Kind {
    Kind { judgement: judge(&site, context), site }
}

/// Houses of three ages and of none, with cut-outs seen and not, and loads that a smaller cut-out bears or not: where it
/// is 60 A instead of 80 A, 70 A stop the site.
pub fn houses(leaves: Leaves, context: &Context<'_>) -> Vec<Kind> {
    let mut kinds = Vec::new();
    for year in [Some(1930.0), Some(1957.0), Some(1980.0), None] {
        for (cutout_a, seen) in [(60.0, true), (80.0, false), (100.0, false)] {
            for demand_a in [18.0, 70.0, 74.0] {
                kinds.push(kind(house(year, cutout_a, seen, demand_a, leaves), context));
            }
        }
    }
    kinds
}

pub fn unit(draws: &mut Draws) -> f64 {
    (draws.word() >> 11) as f64 / (1_u64 << 53) as f64
}

/// A draw of the normal distribution (Box and Muller).
pub fn normal(draws: &mut Draws) -> f64 {
    let (one, two) = (unit(draws).max(1e-300), unit(draws));
    (-2.0 * one.ln()).sqrt() * (2.0 * std::f64::consts::PI * two).cos()
}

/// An index by weights.
fn pick(draws: &mut Draws, weights: &[f64]) -> usize {
    let mut left = unit(draws) * weights.iter().sum::<f64>();
    let last = weights.iter().rposition(|weight| *weight > 0.0).unwrap();
    weights
        .iter()
        .position(|weight| {
            left -= weight;
            left < 0.0
        })
        .unwrap_or(last)
}

/// What an outcome tells.
#[derive(Clone, Copy, PartialEq, Eq)]
pub enum Tells {
    Facts,
    Verdict,
    Both,
}

/// One site and its outcome, before they are put together.
pub struct Drawn {
    pub kind: usize,
    pub site: Site,
    pub outcome: Outcome,
}

pub fn outcome(at: usize) -> Outcome {
    let cell = Cited { file: Arc::from("outcomes.csv"), row: at as u32 + 2, column: None, text: String::new() };
    Outcome { at, verdict: None, cost: None, hours: None, date: None, found: None, cell }
}

/// `sites` sites of these kinds, each drawn by chance, with facts drawn by the weights of `truth`.
pub fn outcomes(kinds: &[Kind], sites: usize, seed: u64, truth: &Rules, tells: Tells) -> Vec<Drawn> {
    let mut draws = Draws::of(0x1ea4, seed);
    (0..sites)
        .map(|at| {
            let place = draws.below(kinds.len());
            let kind = &kinds[place];
            let mut site = kind.site.clone();
            site.site_id = format!("S{at:04}");
            site.row = at as u32 + 2;
            let mut outcome = outcome(at);
            let (found, verdict) = proves(kind, &mut draws, truth);
            if tells != Tells::Verdict {
                outcome.found = Some(Box::new(found));
            }
            if tells != Tells::Facts {
                outcome.verdict = Some(verdict);
            }
            outcome.cost = Some(Pence::from_pounds(1000.0));
            Drawn { kind: place, site, outcome }
        })
        .collect()
}

/// What a site proves to be: its open facts by the truths (the year first, where it is open), then its verdict.
fn proves(kind: &Kind, draws: &mut Draws, truth: &Rules) -> (Site, Verdict) {
    let outlook = kind.judgement.outlook.as_ref().unwrap();
    let likely = baywright::design::facts(&kind.site, default_rules()).0;
    let there = open(&kind.site, &likely, truth);
    // Years by the stated shares: only the weights of facts are learned.
    let years: Vec<f64> = outlook.years().iter().map(|(_, weight)| *weight).collect();
    let year = pick(draws, &years);
    let look = Look { site: &kind.site, facts: &likely, rules: truth, year: outlook.years()[year].0 };
    let mut world = World::seen(&kind.site, &likely);
    let mut known = vec![(there.facts.len(), year as u8)];
    let mut found = Site::default();
    for (place, fact) in there.facts.iter().enumerate() {
        if fact.is_band() {
            continue;
        }
        let weights: Vec<f64> = (0..fact.count()).map(|index| fact.weight(index, index + 1, year)).collect();
        let index = pick(draws, &weights) as u8;
        fact.settle(&mut world, index, &look);
        known.push((place, index));
    }
    found.supply.looped_service = world.site.supply.looped_service.clone();
    found.supply.cutout_rating_a = world.site.supply.cutout_rating_a.clone();
    let odds = outlook.odds_where(&known);
    let verdicts = [Verdict::Ready, Verdict::Marginal, Verdict::Blocked];
    (found, verdicts[pick(draws, &[odds.ready, odds.marginal, odds.blocked])])
}

pub fn learned(kinds: &[Kind], drawn: &[Drawn], rules: &Rules) -> Learned {
    let cases: Vec<Case<'_>> = drawn
        .iter()
        .map(|one| Case { site: &one.site, judgement: &kinds[one.kind].judgement, outcome: &one.outcome })
        .collect();
    learn(&cases, rules)
}
