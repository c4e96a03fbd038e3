//! One portfolio judged twice: what other rules or other prices move. It compares figures and knows no file, no sheet
//! and not what the two were judged with.

use super::rank::points_served;
use super::{Bid, Portfolio, Ranked};
use crate::estimate::{Doubt, Estimate};
use crate::finding::Reason;
use crate::quantity::Pence;
use crate::site::Verdict;
use crate::verdict::{Judgement, SiteBrief};
use jiff::civil::Date;
use std::collections::BTreeMap;

/// In what a scenario differs from the run.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Differs {
    /// Other rules, the same price book.
    Rules,
    /// Another price book, the same rules.
    Prices,
}

impl Differs {
    /// In words, as results name it.
    pub fn word(self) -> &'static str {
        match self {
            Differs::Rules => "rules",
            Differs::Prices => "price book",
        }
    }
}

/// A portfolio in the few figures that scenarios are laid side by side with.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Figures {
    /// Sites counted ready.
    pub ready: u32,
    /// Sites counted marginal.
    pub marginal: u32,
    /// Sites counted blocked.
    pub blocked: u32,
    /// Points served at sites that are not blocked.
    pub points: u32,
    /// Likely cost of the installations at sites that are not blocked, before tax: the sum of theirs.
    pub cost: Pence,
    /// The same cost with its doubt, added as doubts add.
    pub doubt: Doubt,
    /// Person-hours that those installations likely take: the sum of theirs.
    pub hours: f64,
    /// Sites in the bid.
    pub bid_sites: u32,
    /// Price before tax of the bid, risk included; `None` where no chosen site has a price.
    pub bid_price: Option<Pence>,
}

impl Figures {
    /// The figures of a judged portfolio and of the bid for the sites chosen.
    pub fn of(portfolio: &Portfolio, bid: Option<&Bid>) -> Self {
        let summary = &portfolio.summary;
        let (ready, marginal) = (&summary.ready, &summary.marginal);
        let mut doubt = ready.doubt;
        doubt += &marginal.doubt;
        let estimates = portfolio.sites.iter().filter_map(counted_estimate);
        Self {
            ready: ready.count,
            marginal: marginal.count,
            blocked: summary.blocked.count,
            points: ready.points + marginal.points,
            cost: ready.cost.likely + marginal.cost.likely,
            doubt,
            hours: estimates.map(|estimate| estimate.hours.likely).sum(),
            bid_sites: bid.map_or(0, |bid| bid.whole.sites),
            bid_price: bid.map(|bid| bid.whole.amounts.price()),
        }
    }
}

/// The estimate of a site that is not counted blocked: of the others no installation is counted.
fn counted_estimate(site: &Ranked) -> Option<&Estimate> {
    let judgement = &site.judgement;
    judgement.estimate.as_ref().filter(|_| judgement.counted_verdict() != Verdict::Blocked)
}

/// Something of a site in the run and in a scenario.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Change<T> {
    /// In the run.
    pub before: T,
    /// In the scenario.
    pub after: T,
}

impl<T: PartialEq> Change<T> {
    /// Whether the two differ at all.
    pub fn is_change(&self) -> bool {
        self.before != self.after
    }
}

/// A site that moves.
#[derive(Clone, Debug, PartialEq)]
pub struct Moved {
    /// Its place in the ranking of the run, from 0.
    pub at: usize,
    /// The verdict that counts.
    pub verdict: Change<Verdict>,
    /// The reason that governed in the run and the one that governs now, worst first; `None` where nothing needs doing.
    pub reason: Change<Option<&'static Reason>>,
    /// Charging current of a point, amperes a phase; `None` where nothing was designed.
    pub current_a: Change<Option<f64>>,
    /// Points served; 0 where nothing was designed.
    pub points: Change<u32>,
    /// Likely cost before tax; `None` where no installation is counted: blocked, or nothing was designed.
    pub cost: Change<Option<Pence>>,
    /// Likely person-hours, likewise.
    pub hours: Change<Option<f64>>,
    /// Whether the cost changes by more than what counts as moved.
    pub cost_moved: bool,
}

/// How many sites move, and which way.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Tally {
    /// Verdicts that get better: blocked to marginal or ready, marginal to ready.
    pub better: u32,
    /// Verdicts that get worse.
    pub worse: u32,
    /// Charging currents that rise.
    pub raised: u32,
    /// Charging currents that fall.
    pub lowered: u32,
    /// Costs that rise by more than what counts as moved.
    pub dearer: u32,
    /// Costs that fall by more than that.
    pub cheaper: u32,
}

/// A run judged with other rules or prices, beside the run itself.
#[derive(Clone, Debug)]
pub struct Scenario {
    /// Name: that of the file that makes it.
    pub name: String,
    /// In what it differs from the run.
    pub differs: Differs,
    /// The date it was judged for.
    pub as_of: Date,
    /// Its figures.
    pub figures: Figures,
    /// How many sites move.
    pub tally: Tally,
    /// The sites that move: those whose verdict changes first, then in the order of the run's ranking.
    pub moved: Vec<Moved>,
}

/// Which sites move from `run` to `other`, and how many. Costs that change by `percent` of that of the run or less do
/// not count as moved (per cent, 0 or more). Both hold the same sites; one that only one of them holds is passed over.
pub fn moves(run: &Portfolio, other: &Portfolio, percent: f64) -> (Vec<Moved>, Tally) {
    let place = |site: &Ranked| (site.judgement.brief.sheet, site.judgement.brief.row);
    let others: BTreeMap<(u16, u32), &Ranked> = other.sites.iter().map(|site| (place(site), site)).collect();
    let mut tally = Tally::default();
    let mut moved = Vec::new();
    for (at, site) in run.sites.iter().enumerate() {
        let Some(other) = others.get(&place(site)) else { continue };
        let one = compared(at, site, other, percent);
        let is_moved = one.verdict.is_change() || one.current_a.is_change() || one.points.is_change() || one.cost_moved;
        if is_moved {
            tally.count(&one);
            moved.push(one);
        }
    }
    // Stable: within each half the order of the ranking stays.
    moved.sort_by_key(|one| !one.verdict.is_change());
    (moved, tally)
}

fn compared(at: usize, before: &Ranked, after: &Ranked, percent: f64) -> Moved {
    fn change<T>(before: &Ranked, after: &Ranked, of: impl Fn(&Ranked) -> T) -> Change<T> {
        Change { before: of(before), after: of(after) }
    }
    let chosen = |site: &Ranked| site.judgement.chosen.as_ref().map(|chosen| (chosen.setting_a, points_served(chosen)));
    let cost = change(before, after, |site| counted_estimate(site).map(|estimate| estimate.cost.likely));
    Moved {
        at,
        verdict: change(before, after, |site| site.judgement.counted_verdict()),
        reason: change(before, after, |site| site.judgement.reasons.first().copied()),
        current_a: change(before, after, |site| chosen(site).map(|(setting_a, _)| setting_a)),
        points: change(before, after, |site| chosen(site).map_or(0, |(_, points)| points)),
        cost_moved: match (cost.before, cost.after) {
            (Some(before), Some(after)) => {
                (after.pounds() - before.pounds()).abs() > before.pounds().abs() * percent / 100.0
            }
            (before, after) => before != after,
        },
        cost,
        hours: change(before, after, |site| counted_estimate(site).map(|estimate| estimate.hours.likely)),
    }
}

impl Tally {
    fn count(&mut self, one: &Moved) {
        let Change { before, after } = one.verdict;
        // Verdicts are ordered from the best.
        self.better += u32::from(after < before);
        self.worse += u32::from(after > before);
        if let Change { before: Some(before), after: Some(after) } = one.current_a {
            self.raised += u32::from(after > before);
            self.lowered += u32::from(after < before);
        }
        if let (Change { before: Some(before), after: Some(after) }, true) = (one.cost, one.cost_moved) {
            self.dearer += u32::from(after > before);
            self.cheaper += u32::from(after < before);
        }
    }
}

/// A judgement with nothing left but what a scenario is compared by: beside the run itself, of many thousand sites the
/// findings and bills of a scenario need not be held.
pub fn compact(judgement: Judgement) -> Judgement {
    let Judgement { brief, chosen, estimate, mut remedies, .. } = judgement;
    let brief = SiteBrief {
        address: String::new(),
        postcode: String::new(),
        uprn: String::new(),
        feeder_id: String::new(),
        override_by: String::new(),
        override_date: String::new(),
        override_why: String::new(),
        ..brief
    };
    let chosen = chosen.map(|mut chosen| {
        (chosen.runs, chosen.works, chosen.findings) = (Vec::new(), Vec::new(), Vec::new());
        chosen
    });
    let estimate = estimate.map(|mut estimate| {
        (estimate.bill, estimate.tasks, estimate.pieces) = (Vec::new(), Vec::new(), Vec::new());
        estimate
    });
    remedies.truncate(1);
    Judgement {
        brief,
        chosen,
        estimate,
        remedies,
        findings: Vec::new(),
        supply_plan: None,
        runner_up: None,
        with_application: None,
        assumed: Vec::new(),
        decisive_unknowns: Vec::new(),
        confirm_first: Vec::new(),
        next_step: String::new(),
        would_have_to_give: String::new(),
        basis: None,
        ..judgement
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::estimate::PriceBook;
    use crate::portfolio::{Choice, bid, rank};
    use crate::rules::{Rules, Stance, default_rules};
    use crate::site::{DemandMethod, ParkingType, Reading, Site};
    use crate::verdict::{Context, judge};

    /// Homes with rising demand: the first have room for a full point, the last for none.
    fn homes() -> Vec<Site> {
        (0..12_u32)
            .map(|row| {
                let mut site = Site { row, site_id: format!("H{row:02}"), ..Site::default() };
                site.supply.cutout_rating_a = Reading::of(80.0);
                site.supply.looped_service = Reading::of(false);
                site.load.existing_demand_a = Reading::of(14.0 + 5.0 * f64::from(row));
                site.load.demand_method = Reading::of(DemandMethod::Measured);
                site.parking.parking_type = Reading::of(ParkingType::Driveway);
                site.parking.parking_distance_m = Reading::of(8.0 + f64::from(row));
                site
            })
            .collect()
    }

    fn judged(rules: &Rules, prices: &PriceBook, keep: fn(Judgement) -> Judgement) -> Portfolio {
        let as_of = jiff::civil::date(2026, 11, 25);
        let context = Context { rules, prices, stance: Stance::Screen, as_of, odds: false };
        rank(homes().iter().map(|site| keep(judge(site, &context))), rules)
    }

    fn figures(portfolio: &Portfolio, rules: &Rules) -> Figures {
        let chosen = Choice::Ready.chosen(&portfolio.sites).expect("ready sites can always be chosen");
        Figures::of(portfolio, bid(&portfolio.sites, &chosen.places, rules).as_ref())
    }

    #[test]
    fn equal_rules_move_nothing_and_what_is_kept_has_the_same_figures() {
        let rules = default_rules();
        let run = judged(rules, PriceBook::default_book(), |judgement| judgement);
        let other = judged(rules, PriceBook::default_book(), compact);
        let (moved, tally) = moves(&run, &other, 0.0);
        assert!(moved.is_empty() && tally == Tally::default(), "{moved:?}");
        let own = figures(&run, rules);
        assert_eq!(own, figures(&other, rules));
        assert!(own.ready > 0 && own.hours > 0.0 && own.bid_price > Some(own.cost.percent(50.0)), "{own:?}");
        assert_eq!(own.ready + own.marginal + own.blocked, 12);
        let sum: Pence = run.sites.iter().filter_map(counted_estimate).map(|estimate| estimate.cost.likely).sum();
        assert_eq!(own.cost, sum);
    }

    #[test]
    fn a_lower_setting_lowers_every_current() {
        let rules = default_rules();
        let mut slower = rules.clone();
        slower.charging.setting_steps_a = vec![16.0];
        let run = judged(rules, PriceBook::default_book(), |judgement| judgement);
        let other = judged(&slower, PriceBook::default_book(), compact);
        let (moved, tally) = moves(&run, &other, 1.0);
        assert!(tally.lowered > 3 && tally.raised == 0, "{tally:?}");
        let faster = |site: &Ranked| site.judgement.chosen.as_ref().is_some_and(|chosen| chosen.setting_a > 16.0);
        for (at, _) in run.sites.iter().enumerate().filter(|(_, site)| faster(site)) {
            let one = moved.iter().find(|one| one.at == at).expect("it moved");
            assert_eq!(one.current_a.after, Some(16.0));
        }
        // For a home every choice of the slower rules was open to the run too: nothing can get better.
        assert_eq!(tally.better, 0);
    }

    #[test]
    fn verdicts_that_change_say_what_governs_and_stand_first() {
        let rules = default_rules();
        let mut stricter = rules.clone();
        stricter.supply.home_threshold_a = 50.0;
        let run = judged(rules, PriceBook::default_book(), |judgement| judgement);
        let other = judged(&stricter, PriceBook::default_book(), compact);
        for (one, two, forth) in [(&run, &other, true), (&other, &run, false)] {
            let (moved, tally) = moves(one, two, 1.0);
            let changed = moved.iter().filter(|one| one.verdict.is_change()).count();
            assert!(changed > 0, "{moved:?}");
            let counted = if forth { (0, changed as u32) } else { (changed as u32, 0) };
            assert_eq!((tally.better, tally.worse), counted);
            let (first, rest) = moved.split_at(changed);
            assert!(first.iter().all(|one| one.verdict.is_change()), "verdicts first");
            assert!(first.windows(2).chain(rest.windows(2)).all(|pair| pair[0].at < pair[1].at), "then by rank");
            let held = |moved: &Moved| if forth { moved.reason.after } else { moved.reason.before };
            assert!(
                first.iter().all(|one| held(one).is_some_and(|reason| reason.code == "demand-over-60")),
                "{first:?}"
            );
        }
    }

    #[test]
    fn dearer_labour_moves_costs_and_nothing_else() {
        let rules = default_rules();
        let csv = "item,low,likely,high\nrate-electrician,46.2,60.5,82.5\nrate-electrician-office,46.2,60.5,82.5\n";
        let dear = PriceBook::from_csv("dear.csv", csv.as_bytes()).expect("a price book");
        let run = judged(rules, PriceBook::default_book(), |judgement| judgement);
        let other = judged(rules, &dear, compact);
        let (moved, tally) = moves(&run, &other, 0.0);
        let priced = run.sites.iter().filter_map(counted_estimate).count();
        assert!(priced > 5);
        assert_eq!((moved.len(), tally), (priced, Tally { dearer: priced as u32, ..Tally::default() }));
        assert!(moved.iter().all(|one| !one.hours.is_change() && !one.verdict.is_change() && one.cost_moved));
        // The difference of the sums is the sum of the differences.
        let more: i64 = moved.iter().filter_map(|one| Some(one.cost.after?.0 - one.cost.before?.0)).sum();
        assert_eq!(figures(&other, rules).cost.0 - figures(&run, rules).cost.0, more);
        // Beyond any threshold nothing counts as moved, in both directions.
        assert!(moves(&run, &other, 50.0).0.is_empty());
        assert_eq!(moves(&other, &run, 0.0).1.cheaper, priced as u32);
    }
}
