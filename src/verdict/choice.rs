//! Which arrangement: best verdict first, then of several points the most that get their daily energy and the least
//! energy short, then the highest charging current, then least whole cost; ties by order.

use super::types::RunnerUp;
use crate::design::{Arrangement, worst_effect};
use crate::finding::{Effect, Route};
use crate::quantity::Pence;
use crate::site::Verdict;
use std::cmp::Ordering;

/// The verdict that an effect gives.
pub(super) fn verdict_of(effect: Effect) -> Verdict {
    match effect {
        Effect::Stops => Verdict::Blocked,
        Effect::Holds => Verdict::Marginal,
        Effect::Step | Effect::Note | Effect::None => Verdict::Ready,
    }
}

/// An arrangement with what the choice looks at.
pub(super) struct Candidate {
    pub(super) arrangement: Arrangement,
    pub(super) verdict: Verdict,
    pub(super) cost: Pence,
    /// Shown beside the choice, never chosen: too slow to be worth having.
    pub(super) runner_up_only: bool,
}

impl Candidate {
    pub(super) fn new(arrangement: Arrangement, cost: Pence) -> Self {
        let verdict = verdict_of(worst_effect(&arrangement));
        let runner_up_only = arrangement.findings.iter().any(|finding| finding.code() == Some("low-current"));
        Self { arrangement, verdict, cost, runner_up_only }
    }

    /// Points that get their daily energy; of one point the verdict says all there is to say.
    fn points_served(&self) -> u32 {
        self.arrangement.shared.map_or(0, |shared| shared.points_served)
    }

    /// Energy that the points need a day and do not get, in whole watt-hours: what rounding leaves decides nothing.
    fn energy_short_wh(&self) -> u64 {
        self.arrangement.shared.map_or(0, |shared| (shared.energy_unserved_kwh * 1000.0).round() as u64)
    }

    fn amps(&self) -> f64 {
        self.arrangement.setting_a * f64::from(self.arrangement.phases)
    }
}

/// The order of choice before cost.
fn before_cost(a: &Candidate, b: &Candidate) -> Ordering {
    (a.runner_up_only, a.verdict)
        .cmp(&(b.runner_up_only, b.verdict))
        .then_with(|| b.points_served().cmp(&a.points_served()))
        .then_with(|| a.energy_short_wh().cmp(&b.energy_short_wh()))
        .then_with(|| b.amps().total_cmp(&a.amps()))
}

/// Candidates in the order of choice.
pub(super) fn rank(mut candidates: Vec<Candidate>) -> Vec<Candidate> {
    candidates.sort_by(|a, b| before_cost(a, b).then_with(|| a.cost.cmp(&b.cost)));
    candidates
}

/// The first that `rank` would give, priced only where nothing before cost decides.
pub(super) fn best(arrangements: Vec<Arrangement>, cost: impl Fn(&Arrangement) -> Pence) -> Option<Arrangement> {
    let unpriced = |arrangement| Candidate::new(arrangement, Pence(0));
    let mut alike: Vec<Candidate> = Vec::with_capacity(arrangements.len());
    for candidate in arrangements.into_iter().map(unpriced) {
        match alike.first().map_or(Ordering::Equal, |first| before_cost(&candidate, first)) {
            Ordering::Less => alike = vec![candidate],
            Ordering::Equal => alike.push(candidate),
            Ordering::Greater => {}
        }
    }
    if alike.len() > 1 {
        alike.iter_mut().for_each(|candidate| candidate.cost = cost(&candidate.arrangement));
    }
    rank(alike).into_iter().next().map(|candidate| candidate.arrangement)
}

/// The candidate that lost most narrowly, and why.
pub(super) fn runner_up(ranked: &[Candidate]) -> Option<RunnerUp> {
    let chosen = ranked.first()?;
    // A slow point that is no worse than the choice says more than the same answer over another cable.
    let slow = ranked.iter().skip(1).find(|other| other.runner_up_only && other.verdict <= chosen.verdict);
    let other = slow.or(ranked.get(1))?;
    let why_lost = if other.runner_up_only && other.verdict <= chosen.verdict {
        "too slow to be worth having, but worth a word with the resident".to_owned()
    } else if other.verdict != chosen.verdict {
        let because = worst_reason(&other.arrangement).unwrap_or("a worse finding");
        format!("would be {}: {because}", other.verdict)
    } else if other.points_served() < chosen.points_served() {
        format!(
            "gives {} of the points their day, {} fewer",
            other.points_served(),
            chosen.points_served() - other.points_served()
        )
    } else if other.energy_short_wh() > chosen.energy_short_wh() {
        "gives the points less energy".to_owned()
    } else if other.amps() < chosen.amps() {
        "charges more slowly".to_owned()
    } else {
        let more = Pence(other.cost.0.saturating_sub(chosen.cost.0).max(0));
        if more == Pence(0) { "costs the same".to_owned() } else { format!("costs {} more", more.whole_pounds()) }
    };
    Some(shown(&other.arrangement, &chosen.arrangement, why_lost))
}

/// The best arrangement that charges faster than the chosen one and that only an application stands before.
pub(super) fn with_application(ranked: &[Candidate]) -> Option<RunnerUp> {
    let chosen = ranked.first()?;
    let better = ranked.iter().skip(1).filter(|other| other.amps() > chosen.amps()).find(|other| {
        other.arrangement.findings.iter().filter(|finding| finding.effect >= Effect::Holds).all(|finding| {
            finding.effect == Effect::Holds && finding.reason.is_some_and(|reason| reason.route == Route::Apply)
        })
    })?;
    let because = worst_reason(&better.arrangement).unwrap_or("the operator's answer");
    Some(shown(&better.arrangement, &chosen.arrangement, format!("needs an application first: {because}")))
}

fn worst_reason(arrangement: &Arrangement) -> Option<&'static str> {
    let worst = worst_effect(arrangement);
    arrangement
        .findings
        .iter()
        .find(|finding| finding.effect == worst)
        .and_then(|finding| finding.reason)
        .map(|r| r.title)
}

/// An arrangement beside the chosen one: its cable, and feed and earthing where they differ.
fn shown(arrangement: &Arrangement, chosen: &Arrangement, why_lost: String) -> RunnerUp {
    let mut cable = arrangement.final_run().map_or_else(String::new, |run| run.cable.words());
    if arrangement.feed != chosen.feed {
        cable.push_str(&format!(" from a {}", arrangement.feed.word()));
    }
    if arrangement.earthing != chosen.earthing {
        cable.push_str(&format!(", earthed by {}", arrangement.earthing.word()));
    }
    RunnerUp {
        setting_a: arrangement.setting_a,
        phases: arrangement.phases,
        control: arrangement.control,
        cable,
        why_lost,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::design::{arrangements, facts};
    use crate::rules::default_rules;
    use crate::site::{Premises, Reading, Site};

    /// Designs of a car park of six points that is held by its demand.
    fn designs() -> Vec<Arrangement> {
        let mut site = Site::default();
        site.identity.premises_type = Reading::of(Premises::Block);
        site.supply.supply_phases = Reading::of(3.0);
        site.supply.cutout_rating_a = Reading::of(100.0);
        site.wanted.points_wanted = Reading::of(6.0);
        site.parking.parking_distance_m = Reading::of(30.0);
        arrangements(&facts(&site, default_rules()).0, default_rules())
    }

    #[test]
    fn more_points_served_count_before_more_current_and_current_before_cost() {
        let one = designs().remove(0);
        let candidate = |points_served, setting_a, cost| {
            let mut arrangement = Arrangement { setting_a, ..one.clone() };
            arrangement.shared.as_mut().unwrap().points_served = points_served;
            Candidate::new(arrangement, Pence(cost))
        };
        let ranked = rank(vec![candidate(4, 32.0, 1), candidate(5, 16.0, 2), candidate(5, 20.0, 9)]);
        let settings: Vec<f64> = ranked.iter().map(|candidate| candidate.arrangement.setting_a).collect();
        assert_eq!(settings, [20.0, 16.0, 32.0]);
    }

    #[test]
    fn the_best_is_the_first_of_the_ranked() {
        let mut all = designs();
        // Prices that put the last of what is alike first.
        let cost =
            |arrangement: &Arrangement| Pence(-arrangement.runs.first().map_or(0, |run| run.cable.csa_mm2 as i64));
        for _ in 0..all.len() {
            let candidates = all.iter().map(|a| Candidate::new(a.clone(), cost(a))).collect();
            let first = rank(candidates).remove(0).arrangement;
            assert_eq!(best(all.clone(), cost).unwrap().runs, first.runs);
            all.rotate_left(1);
        }
    }
}
