//! What is found of the existing demand: the method behind it, paper figures beside it, figures that disagree, and
//! charge points already there. Nothing here decides what is built.

use super::demand::{DemandOrigin, points_there_a};
use super::facts::Facts;
use super::household::{appliances_of, paper_terms_a, small_premises_of};
use super::service::Evidence;
use crate::finding::Finding;
use crate::quantity::{Band, kva_to_amps};
use crate::reference::{PremisesFactors, household_band};
use crate::site::{Premises, Site};

/// Findings on existing demand.
pub(super) fn load_findings(evidence: &Evidence<'_>, findings: &mut Vec<Finding>) {
    findings.push(method(evidence));
    findings.extend(existing_points(evidence));
    findings.extend(methods_disagree(evidence));
    findings.extend(paper(evidence.site, evidence.facts));
}

/// By which method the figure came about, with its band.
fn method(evidence: &Evidence<'_>) -> Finding {
    let Evidence { site, facts, .. } = *evidence;
    let words = match facts.demand.origin {
        DemandOrigin::Measured => "measured",
        DemandOrigin::HalfHour => "recorded half-hour peak, which hides the minute's",
        DemandOrigin::Calculated => "calculated with diversity",
        DemandOrigin::Estimated if site.load.demand_method.is_stated() => "estimated",
        DemandOrigin::Estimated => "method not stated",
        DemandOrigin::Assumed if facts.premises.is_home() => "not stated: the band of such a home",
        DemandOrigin::Assumed => "not stated: a share of the supply",
    };
    let Band { low, likely, high } = facts.demand.band_a;
    let phases = f64::from(facts.supply_phases);
    Finding::new("demand-method").subject(words).value(likely).terms(&[low, likely, high, phases])
}

/// Charge points already there, and all ratings together against the supply. Their load is part of a measured figure;
/// `demand.rs` allows for it where the figure may not hold it.
fn existing_points(evidence: &Evidence<'_>) -> Option<Finding> {
    let Evidence { site, facts, rules, .. } = *evidence;
    let existing = site.load.existing_charge_points.ends().map(|(_, _, high)| *high).filter(|count| *count >= 1.0)?;
    let wanted = &facts.wanted;
    let points = f64::from(wanted.points);
    let phases = f64::from(facts.supply_phases);
    let a_phase = |count: f64| (count / phases).ceil();
    let new_a = wanted.setting_a * if wanted.phases == 3 { points } else { a_phase(points) };
    let there_a = points_there_a(site, facts.supply_phases, rules);
    let finding = Finding::new("existing-points").because("existing-charge-point");
    Some(finding.at_most(there_a + new_a, super::supply_limit_a(facts)).terms(&[
        existing,
        rules.demand.existing_point_a,
        there_a,
        new_a,
    ]))
}

/// The figure on paper, printed beside the one that decides; only where the survey names an appliance.
fn paper(site: &Site, facts: &Facts) -> Option<Finding> {
    let load = &site.load;
    let named = [&load.shower_kw, &load.cooker_kw, &load.water_heater_kw, &load.heat_pump_kw];
    if !named.iter().any(|reading| reading.is_stated()) {
        return None;
    }
    if facts.premises.is_home() {
        let terms_a = paper_terms_a(&appliances_of(site), PremisesFactors::Home);
        return Some(Finding::new("household-paper").value(terms_a.iter().sum()).terms(&terms_a));
    }
    (facts.premises == Premises::Workplace).then(|| {
        let [_, cooker, shower, water, _, pump] = paper_terms_a(&small_premises_of(site), PremisesFactors::Small);
        let terms_a = [cooker, shower, water, pump];
        Finding::new("small-premises-paper").value(terms_a.iter().sum()).terms(&terms_a)
    })
}

/// Stated, recorded and household figures whose bands do not meet.
fn methods_disagree(evidence: &Evidence<'_>) -> Option<Finding> {
    let Evidence { site, facts, rules, .. } = *evidence;
    let is_stated = site.load.existing_demand_a.is_stated() || site.load.existing_demand_kw.is_stated();
    let stated = is_stated.then_some(facts.demand.band_a);
    let recorded = site.supply.recorded_peak_kva.value().map(|kva| {
        let peak_a = kva_to_amps(kva, facts.supply_phases);
        let [low, high] = rules.demand.half_hour;
        Band::new(peak_a * low, peak_a, peak_a * high)
    });
    let household = site.load.heating.value().filter(|_| facts.premises.is_home()).map(|heating| {
        let paper = household_band(heating.word(), site.load.shower_kw.value().map(|kw| kw > 0.0)).demand_a;
        Band { low: paper.low * rules.demand.calculated[0], ..paper }
    });
    let pairs = [
        ("stated and recorded", stated, recorded),
        ("stated and on paper for such a household", stated, household),
        ("recorded and on paper for such a household", recorded, household),
    ];
    let apart = |one: &Band, other: &Band| one.high < other.low || other.high < one.low;
    pairs.into_iter().find_map(|(subject, one, other)| {
        let (one, other) = one.zip(other).filter(|(one, other)| apart(one, other))?;
        let finding = Finding::new("demand-methods").because("demand-methods-disagree").subject(subject);
        Some(finding.value(facts.demand.band_a.likely).terms(&[one.likely, other.likely]))
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::design::facts;
    use crate::rules::{Stance, default_rules};
    use crate::site::{DemandMethod, Reading};

    fn found(site: &Site, check: &str) -> Option<Finding> {
        let rules = default_rules();
        let facts = facts(site, rules).0;
        let as_of = jiff::civil::date(2026, 11, 25);
        let mut findings = Vec::new();
        load_findings(&Evidence { site, facts: &facts, rules, stance: Stance::Screen, as_of }, &mut findings);
        findings.into_iter().find(|finding| finding.check.name == check)
    }

    fn home() -> Site {
        let mut site = Site::default();
        site.identity.premises_type = Reading::of(Premises::House);
        site.supply.cutout_rating_a = Reading::of(80.0);
        site
    }

    #[test]
    fn every_site_says_by_which_method_its_demand_is_known() {
        let mut site = home();
        let words = |site: &Site| found(site, "demand-method").unwrap().subject;
        assert_eq!(words(&site), "not stated: the band of such a home");
        site.supply.recorded_peak_kva = Reading::of(9.2);
        assert!(words(&site).starts_with("recorded half-hour peak"));
        site.load.existing_demand_a = Reading::of(40.0);
        assert_eq!(words(&site), "method not stated");
        for (method, word) in [
            (DemandMethod::Measured, "measured"),
            (DemandMethod::Calculated, "calculated with diversity"),
            (DemandMethod::Estimated, "estimated"),
        ] {
            site.load.demand_method = Reading::of(method);
            assert_eq!(words(&site), word);
        }
        let finding = found(&site, "demand-method").unwrap();
        assert_eq!(finding.terms[..4], [28.0, 40.0, 52.0, 1.0]);
    }

    #[test]
    fn a_charge_point_there_is_part_of_a_measured_figure_and_allowed_for_in_any_other() {
        let mut site = home();
        let high = |site: &Site| facts(site, default_rules()).0.demand.band_a.high;
        let before = high(&site);
        site.load.existing_charge_points = Reading::of(2.0);
        assert_eq!(high(&site), before + 64.0);
        site.load.existing_demand_a = Reading::of(40.0);
        assert_eq!(high(&site), 52.0 + 64.0);
        site.load.demand_method = Reading::of(DemandMethod::Measured);
        assert_eq!(high(&site), 44.0);
        // Three phases: one of them on the worst phase.
        site.load.demand_method = Reading::of(DemandMethod::Calculated);
        site.supply.supply_phases = Reading::of(3.0);
        assert_eq!(high(&site), 40.0 + 32.0);
        site.supply.supply_phases = Reading::of(1.0);
        site.load.demand_method = Reading::default();
        let finding = found(&site, "existing-points").unwrap();
        assert_eq!((finding.value, finding.limit), (Some(96.0), Some(80.0)));
    }

    #[test]
    fn a_workplace_that_names_appliances_has_a_paper_figure_by_its_own_factors() {
        let mut site = home();
        site.load.cooker_kw = Reading::of(11.5);
        let at_home = found(&site, "household-paper").unwrap();
        assert_eq!(at_home.terms[1], 10.0 + 0.3 * 40.0 + 5.0);
        site.identity.premises_type = Reading::of(Premises::Workplace);
        let at_work = found(&site, "small-premises-paper").unwrap();
        assert_eq!((at_work.terms[0], at_work.value), (50.0, Some(50.0)));
        assert!(found(&site, "household-paper").is_none());
        site.load.cooker_kw = Reading::default();
        assert!(found(&site, "small-premises-paper").is_none());
    }
}
