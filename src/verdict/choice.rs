//! Which arrangement: best verdict first, then the highest charging current, then least whole cost; ties by order.

use super::types::RunnerUp;
use crate::design::{Arrangement, worst_effect};
use crate::finding::{Effect, Route};
use crate::quantity::Pence;
use crate::site::Verdict;

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

    fn amps(&self) -> f64 {
        self.arrangement.setting_a * f64::from(self.arrangement.phases)
    }
}

/// Candidates in the order of choice.
pub(super) fn rank(mut candidates: Vec<Candidate>) -> Vec<Candidate> {
    candidates.sort_by(|a, b| {
        (a.runner_up_only, a.verdict)
            .cmp(&(b.runner_up_only, b.verdict))
            .then_with(|| b.amps().total_cmp(&a.amps()))
            .then_with(|| a.cost.cmp(&b.cost))
    });
    candidates
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
