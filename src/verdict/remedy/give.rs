//! What would have to give where no set of remedies makes a site ready: the reasons that nothing on file settles, and
//! how far demand, supply or route would have to be from what they are before these reasons go.

use super::{Changed, Open, Situation, open};
use crate::design::{Facts, supply_limit_a};
use crate::finding::{Finding, reason};
use crate::quantity::Band;
use crate::verdict::unknowns::with_demand;

/// Steps in which demand (amperes), supply (amperes) and route (metres) are told.
const STEPS: [f64; 3] = [0.1, 1.0, 0.1];

/// The sentence for a site with these findings that has no way out.
pub(in crate::verdict) fn would_have_to_give(
    of_site: &[Finding],
    of_design: &[Finding],
    situation: &Situation<'_>,
) -> String {
    let mut open = open(of_site, of_design);
    open.retain(|open| !settled(open, situation));
    if open.is_empty() {
        return String::new();
    }
    let titles: Vec<&str> = open.iter().map(|open| titled(open.code)).collect();
    let mut text = format!("No remedy on file settles: {}.", titles.join(", "));
    // Of the site itself there is nothing to measure: what comes next stands with the reason.
    for next in open.iter().filter(|open| !open.of_design).map(|open| reason(open.code).next_step) {
        if !next.is_empty() {
            text.push_str(&format!(" {next}"));
        }
    }
    if open.iter().any(|open| open.of_design) {
        let ways = levers(situation);
        text.push_str(&match ways.is_empty() {
            false => format!(" Before it goes, {}.", ways.join(", or ")),
            true => " Neither less demand nor a larger supply nor a nearer position would by itself make it go.".into(),
        });
    }
    text
}

fn titled(code: &'static str) -> &'static str {
    let reason = reason(code);
    if reason.title.is_empty() { reason.code } else { reason.title }
}

fn settled(open: &Open, situation: &Situation<'_>) -> bool {
    situation.settling(open.code, Changed::default()).next().is_some()
}

/// Whether every reason of the design that would be chosen for these facts has a remedy.
fn has_a_way(facts: &Facts, situation: &Situation<'_>) -> bool {
    open(&[], &situation.of_design(facts)).iter().all(|open| settled(open, situation))
}

/// What each fact would have to be, alone, in words; nothing of those that alone do not do.
fn levers(situation: &Situation<'_>) -> Vec<String> {
    let facts = situation.evidence.facts;
    let [demand_step, supply_step, route_step] = STEPS;
    let mut ways = Vec::new();
    let demand = facts.demand.band_a;
    let serves = |amps: f64| has_a_way(&with_demand(facts, amps), situation);
    if let Some(amps) = farthest(0.0, demand.high, demand_step, serves) {
        let taken = match demand.low < demand.high {
            true => format!("{:.1} to {:.1} A", demand.low, demand.high),
            false => format!("{:.1} A", demand.high),
        };
        ways.push(format!("demand would have to be measured at {amps:.1} A a phase or less (taken as {taken})"));
    }
    let now = supply_limit_a(facts);
    let serves = |amps: f64| has_a_way(&with_supply(facts, amps), situation);
    // Twice what is drawn and what is carried together: room for any point beside any demand.
    if let Some(amps) = farthest(2.0 * (now + demand.high), now, supply_step, serves) {
        ways.push(format!("the supply would have to carry {amps:.0} A a phase or more ({now:.0} A now)"));
    }
    let length_m = facts.distance_m.high.max(facts.route.length_m());
    let serves = |metres: f64| {
        let nearer = Facts { route: facts.route.scaled_to(metres), distance_m: Band::exact(metres), ..facts.clone() };
        has_a_way(&nearer, situation)
    };
    if let Some(metres) = farthest(route_step, length_m, route_step, serves) {
        ways.push(format!("the route would have to be {metres:.1} m or less ({length_m:.1} m now)"));
    }
    ways
}

fn with_supply(facts: &Facts, amps: f64) -> Facts {
    let capacity_a = facts.capacity_a.map(|capacity_a| capacity_a.max(amps));
    Facts { cutout_a: facts.cutout_a.max(amps), capacity_a, ..facts.clone() }
}

/// From a value that serves towards one that does not: the last that serves, in whole steps, by halving. `None` where
/// the first does not serve or the other does too.
fn farthest(serving: f64, failing: f64, step: f64, serves: impl Fn(f64) -> bool) -> Option<f64> {
    let steps = ((failing - serving).abs() / step).ceil();
    if !steps.is_finite() || !serves(serving) || serves(failing) {
        return None;
    }
    let at = |count: u32| {
        // To the step as it is told, so that the sentence holds to the letter.
        let value = serving + (failing - serving).signum() * f64::from(count) * step;
        (value / step).round() * step
    };
    let (mut low, mut high) = (0_u32, steps as u32);
    while high > low.saturating_add(1) {
        let middle = low + (high - low) / 2;
        if serves(at(middle)) { low = middle } else { high = middle }
    }
    // The first was tried before it was brought to the step.
    Some(at(low)).filter(|value| low > 0 || serves(*value))
}
