//! The chance of each verdict once the unknowns are settled.
//!
//! What the design depends on (cut-out and demand) is enumerated together; the other unknowns are independent and
//! each can only make the verdict worse, so chances multiply. Priors are those of `reference/tables/priors.csv`.

use super::choice::verdict_of;
use super::types::Odds;
use super::unknowns::{consent_settled, verdict_for, with_demand};
use crate::design::{Evidence, Facts, fuse_policy_a, hearsay, needs_consent, shared_car_park};
use crate::finding::{Effect, Finding, WaitsFor};
use crate::quantity::Band;
use crate::reference::chance;
use crate::site::{Answer, ConditionReport, CutoutEvidence, Premises, Site, Verdict};

/// A chance of each verdict from one source of doubt.
#[derive(Clone, Copy, Debug)]
struct Doubt {
    ready: f64,
    marginal: f64,
}

impl Doubt {
    const NONE: Doubt = Doubt { ready: 1.0, marginal: 0.0 };

    fn certain(verdict: Verdict) -> Self {
        match verdict {
            Verdict::Ready => Self::NONE,
            Verdict::Marginal => Doubt { ready: 0.0, marginal: 1.0 },
            Verdict::Blocked => Doubt { ready: 0.0, marginal: 0.0 },
        }
    }

    fn stops(chance: f64) -> Self {
        Doubt { ready: 1.0 - chance, marginal: 0.0 }
    }

    fn holds(chance: f64) -> Self {
        Doubt { ready: 1.0 - chance, marginal: chance }
    }

    /// One, or with this chance the other.
    fn mixed(self, other: Doubt, chance: f64) -> Self {
        let of = |one: f64, other: f64| one * (1.0 - chance) + other * chance;
        Doubt { ready: of(self.ready, other.ready), marginal: of(self.marginal, other.marginal) }
    }

    /// Both doubts at once: the worse verdict rules.
    fn and(self, other: Doubt) -> Self {
        let ready = self.ready * other.ready;
        let not_blocked = (self.ready + self.marginal) * (other.ready + other.marginal);
        Doubt { ready, marginal: not_blocked - ready }
    }
}

/// Open facts whose doubt is counted by a chance or a band of its own.
const COUNTED_ELSEWHERE: [&str; 4] = ["parking_distance_m", "existing_demand_a", "storeys", "tenure"];

/// Odds of a site. `site_findings` are those that do not depend on the arrangement; `unsettled` are the facts outside
/// the checks that are still open. The facts of the evidence are those before anything in doubt was settled, `likely`
/// those after: a doubtful answer that decides is as likely to prove the one as the other.
pub(super) fn odds(
    evidence: &Evidence<'_>,
    likely: &Facts,
    site_findings: &[Finding],
    unsettled: &[&'static str],
) -> Odds {
    let facts = evidence.facts;
    // What is known: stops and holds that wait for no fact stay as they are.
    let known = site_findings
        .iter()
        .filter(|finding| finding.reason.is_none_or(|reason| reason.waits_for != Some(WaitsFor::Fact)))
        .map(|finding| finding.effect)
        .max()
        .unwrap_or(Effect::None);
    let mut doubt = Doubt::certain(verdict_of(known));
    let mut designed = design_doubt(&Evidence { facts: likely, ..*evidence });
    if let Some(one_phase) = one_phase(evidence) {
        let chance = chance("one-phase", "phases not known");
        designed = designed.mixed(design_doubt(&Evidence { facts: &one_phase, ..*evidence }), chance);
    }
    let in_doubt = unsettled.iter().any(|field| !COUNTED_ELSEWHERE.contains(field));
    doubt = doubt.and(if in_doubt { designed.mixed(design_doubt(evidence), 0.5) } else { designed });
    if let Some(wide) = copied(evidence.site, likely) {
        let wrong = chance("copied-wrong", "demand or distance copied down");
        let wide = Evidence { facts: &wide, ..*evidence };
        doubt = doubt.and(Doubt::NONE.mixed(design_doubt(&wide), wrong));
        doubt = doubt.and(Doubt::NONE.mixed(distance_doubt(&wide), wrong));
    }
    if unsettled.contains(&"parking_distance_m") {
        doubt = doubt.and(distance_doubt(evidence));
    }
    for other in place_doubts(evidence, unsettled) {
        doubt = doubt.and(other);
    }
    if facts.wanted.beyond {
        doubt = doubt.and(Doubt::certain(Verdict::Marginal));
    }
    let ready = doubt.ready.clamp(0.0, 1.0);
    let marginal = doubt.marginal.clamp(0.0, 1.0 - ready);
    Odds { ready, marginal, blocked: (1.0 - ready - marginal).max(0.0) }
}

/// The facts of a supply that is taken to have three phases and may prove to have one.
fn one_phase(evidence: &Evidence<'_>) -> Option<Facts> {
    let Evidence { site, facts, rules, .. } = *evidence;
    if site.supply.supply_phases.stated().is_some() || facts.supply_phases == 1 || facts.premises.is_home() {
        return None;
    }
    let mut one = site.clone();
    one.supply.supply_phases.answer = Answer::Stated(1.0);
    Some(crate::design::facts(&one, rules).0)
}

/// The facts with the band of copied answers round a demand or a distance that was copied down, where one was.
fn copied(site: &Site, likely: &Facts) -> Option<Facts> {
    let share = chance("copied-band", "demand or distance copied down");
    let wider = |band: Band| {
        let (low, high) = (band.likely * (1.0 - share), band.likely * (1.0 + share));
        Band::new(band.low.min(low), band.likely, band.high.max(high))
    };
    let demand = site.copied_down.iter().any(|field| field.starts_with("existing_demand"));
    let distance = site.copied_down.contains(&"parking_distance_m");
    let mut facts = likely.clone();
    if demand {
        facts.demand.band_a = wider(facts.demand.band_a);
    }
    if distance {
        facts.distance_m = wider(facts.distance_m);
    }
    (demand || distance).then_some(facts)
}

/// Cut-out ratings the supply may prove to have, with weights.
fn cutouts(site: &Site, facts: &Facts) -> Vec<(f64, f64)> {
    let stated = &site.supply.cutout_rating_a;
    if facts.ct_metered {
        return vec![(facts.cutout_a, 1.0)];
    }
    let lower_a = |rating_a: f64| if rating_a > 80.0 { 80.0 } else { 60.0_f64.min(rating_a) };
    match stated.ends() {
        None if !facts.premises.is_home() && facts.capacity_a.is_some() => vec![(facts.cutout_a, 1.0)],
        None => [60.0, 80.0, 100.0]
            .iter()
            .zip(["cutout-60", "cutout-80", "cutout-100"])
            .map(|(rating_a, fact)| (*rating_a, chance(fact, "rating not known")))
            .collect(),
        Some((low, _, high)) if low < high => vec![(*low, 0.5), (*high, 0.5)],
        Some((rating_a, _, _)) => {
            let over_policy = fuse_policy_a(site).is_some_and(|policy_a| *rating_a > policy_a);
            let doubtful = match site.supply.cutout_evidence.value() {
                Some(CutoutEvidence::Assumed | CutoutEvidence::Carrier) => {
                    chance("cutout-lower", "rating assumed or read from the carrier")
                }
                _ if facts.premises.is_home() && over_policy => chance("cutout-lower", "above the operator's policy"),
                Some(CutoutEvidence::Fuse | CutoutEvidence::Label | CutoutEvidence::Operator) => 0.0,
                None if site.copied_down.contains(&"cutout_rating_a") => {
                    chance("cutout-lower", "copied down a street or sheet")
                }
                None => chance("cutout-lower", "evidence not asked"),
            };
            let lower_a = lower_a(*rating_a);
            if lower_a < *rating_a {
                vec![(*rating_a, 1.0 - doubtful), (lower_a, doubtful)]
            } else {
                vec![(*rating_a, 1.0)]
            }
        }
    }
}

/// Verdict of the design over cut-out and demand. Demand is taken at five equally likely points of its band (the band's
/// ends are its 5 and 95 % points, so a straight line between low, likely and high serves).
fn design_doubt(evidence: &Evidence<'_>) -> Doubt {
    let Evidence { site, facts, rules, .. } = *evidence;
    let demand = facts.demand.band_a;
    let capacity_demand = facts.demand.against_capacity_a;
    let mut sum = Doubt { ready: 0.0, marginal: 0.0 };
    let mut add = |verdict: Verdict, weight: f64| match verdict {
        Verdict::Ready => sum.ready += weight,
        Verdict::Marginal => sum.marginal += weight,
        Verdict::Blocked => {}
    };
    for (cutout_a, weight) in cutouts(site, facts) {
        if weight <= 0.0 {
            continue;
        }
        let mut known = facts.clone();
        known.cutout_a = cutout_a;
        known.distance_m = Band::exact(facts.distance_m.likely);
        let at = |share: f64| {
            let mut settled = with_demand(&known, at_share(demand, share));
            settled.demand.against_capacity_a = Band::exact(at_share(capacity_demand, share));
            verdict_for(&settled, rules)
        };
        let (best, worst) = (at(0.0), at(1.0));
        if best == worst {
            add(best, weight);
        } else {
            for share in SHARES {
                add(at(share), weight * SHARE_WEIGHT);
            }
        }
    }
    sum
}

/// Verdict of the design over the length of the route, everything else at its harsh end as it is designed.
fn distance_doubt(evidence: &Evidence<'_>) -> Doubt {
    let Evidence { facts, rules, .. } = *evidence;
    let mut sum = Doubt { ready: 0.0, marginal: 0.0 };
    let near = verdict_for(&Facts { distance_m: Band::exact(facts.distance_m.low), ..facts.clone() }, rules);
    for share in SHARES {
        let distance_m = Band::exact(at_share(facts.distance_m, share));
        // Only what the length adds: what the design waits for anyway is counted with the demand.
        match verdict_for(&Facts { distance_m, ..facts.clone() }, rules) {
            verdict if verdict <= near => sum.ready += SHARE_WEIGHT,
            Verdict::Blocked => {}
            _ => sum.marginal += SHARE_WEIGHT,
        }
    }
    sum
}

/// Five equally likely points of a band.
const SHARES: [f64; 5] = [0.1, 0.3, 0.5, 0.7, 0.9];
/// The weight of each.
const SHARE_WEIGHT: f64 = 0.2;

/// The value of a band at a share of its probability, straight between low (0), likely (0.5) and high (1).
fn at_share(band: Band, share: f64) -> f64 {
    if share <= 0.5 {
        band.low + (band.likely - band.low) * share * 2.0
    } else {
        band.likely + (band.high - band.likely) * (share - 0.5) * 2.0
    }
}

/// Doubts about the place and the service that the design does not depend on.
fn place_doubts(evidence: &Evidence<'_>, unsettled: &[&'static str]) -> Vec<Doubt> {
    let Evidence { site, facts, rules, .. } = *evidence;
    let mut doubts = Vec::with_capacity(12);
    let looped = &site.supply.looped_service;
    if facts.ct_metered || looped.stated() == Some(&true) {
        // Settled either way.
    } else if looped.is_doubtful() && looped.is(true) {
        doubts.push(Doubt::stops(chance("looped", "said with doubt")));
    } else if !looped.is_stated() || looped.is_doubtful() || hearsay(site) {
        doubts.push(Doubt::stops(chance("looped", era(site, facts.premises))));
    }
    if !site.supply.cutout_condition.is_stated() {
        let old = site.permissions.year_built.value().is_some_and(|year| year < 1965.0);
        doubts.push(Doubt::stops(chance("cutout-unsafe", if old { "built before 1965" } else { "any other" })));
    }
    if !site.parking.parking_type.is_stated() {
        let when = match facts.premises {
            _ if site.parking.parking_distance_m.is_stated() => "distance stated",
            Premises::House => "house",
            _ => "any other",
        };
        doubts.push(Doubt::stops(chance("no-parking", when)));
    }
    if shared_car_park(site, facts.premises) && !site.parking.covered_parking.is_stated() {
        doubts.push(Doubt::holds(chance("covered", "shared parking not known to be open")));
    }
    if facts.ct_metered && facts.capacity_a.is_none() {
        doubts.push(Doubt::stops(chance("capacity-short", "agreed capacity not known")));
    }
    if facts.asbestos_survey {
        doubts.push(Doubt::holds(chance("asbestos-found", "surveyed before drilling")));
    }
    if site.board.condition_report.is(ConditionReport::FurtherInvestigation) {
        doubts.push(Doubt::holds(chance("dangerous-items", "further investigation open")));
    }
    let homes = matches!(facts.premises, Premises::Flat | Premises::Block);
    if homes && (unsettled.contains(&"storeys") || !site.parking.storeys.was_asked()) {
        doubts.push(Doubt::holds(chance("higher-risk", "storeys not known")));
    }
    let tenure = &site.identity.tenure;
    if needs_consent(site, facts.premises, rules.policy.social_rent_needs_consent) {
        if !consent_settled(site) {
            doubts.push(Doubt::stops(chance("consent-refused", "needed and not settled")));
        }
    } else if unsettled.contains(&"tenure") || (!tenure.was_asked() && !consent_settled(site)) {
        doubts.push(Doubt::holds(chance("consent-needed", "tenure not known")));
    }
    doubts
}

fn era(site: &Site, premises: Premises) -> &'static str {
    if premises != Premises::House {
        return "not a house";
    }
    match site.permissions.year_built.value() {
        Some(year) if year < 1945.0 => "built before 1945",
        Some(year) if year < 1970.0 => "built 1945 to 1969",
        Some(year) if year < 1990.0 => "built 1970 to 1989",
        Some(_) => "built 1990 or later",
        None => "year not known",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn doubts_multiply_and_the_worse_verdict_rules() {
        let both = Doubt::stops(0.1).and(Doubt::holds(0.2));
        assert!((both.ready - 0.72).abs() < 1e-12);
        assert!((both.marginal - 0.18).abs() < 1e-12);
        let blocked = Doubt::certain(Verdict::Blocked).and(Doubt::NONE);
        assert_eq!(blocked.ready + blocked.marginal, 0.0);
    }

    #[test]
    fn a_cutout_that_was_copied_down_is_likelier_to_be_lower() {
        let mut site = Site::default();
        site.supply.cutout_rating_a = crate::site::Reading::of(80.0);
        let facts = crate::design::facts(&site, crate::rules::default_rules()).0;
        let lower = |site: &Site| cutouts(site, &facts).last().copied();
        assert_eq!(lower(&site), Some((60.0, chance("cutout-lower", "evidence not asked"))));
        site.copied_down.push("cutout_rating_a");
        assert_eq!(lower(&site), Some((60.0, chance("cutout-lower", "copied down a street or sheet"))));
    }

    #[test]
    fn shares_run_through_the_likely_value() {
        let band = Band::new(10.0, 20.0, 50.0);
        assert_eq!(at_share(band, 0.0), 10.0);
        assert_eq!(at_share(band, 0.5), 20.0);
        assert_eq!(at_share(band, 1.0), 50.0);
    }
}
