//! Which unknown facts decide: the site is judged at the ends of each, and what flips the verdict holds it as a fact.
//!
//! Facts whose not-knowing has a reason of its own (cut-out, loop, parking, capacity ...) are held where they are
//! checked; here are the others, and the survey field that stands behind each hold.

use super::choice::verdict_of;
use crate::design::{DemandOrigin, Facts, best_effect};
use crate::finding::{Effect, Finding};
use crate::quantity::Band;
use crate::reference::chance;
use crate::rules::Rules;
use crate::site::{ConsentStatus, Premises, Site, Verdict};

/// Best verdict that any arrangement gives for these facts; what cannot be designed here is marginal.
pub(super) fn verdict_for(facts: &Facts, rules: &Rules) -> Verdict {
    best_effect(facts, rules).map_or(Verdict::Marginal, verdict_of)
}

/// An alternative of less weight than this is not plausible.
const PLAUSIBLE: f64 = 0.05;

/// Facts outside the checks whose plausible values flip the verdict: the fields, each with a finding that holds.
/// The facts are changed so that the design shown is the one for the likely value of what has to be found out.
pub(super) fn unsettled(site: &Site, facts: &mut Facts, rules: &Rules) -> (Vec<&'static str>, Vec<Finding>) {
    let mut fields = Vec::new();
    if facts.distance_m.high > facts.distance_m.likely {
        let likely = Facts { distance_m: Band::exact(facts.distance_m.likely), ..facts.clone() };
        if verdict_for(facts, rules) > verdict_for(&likely, rules) {
            fields.push("parking_distance_m");
            *facts = likely;
        }
    }
    let demand_asked = site.load.existing_demand_a.was_asked()
        || site.load.existing_demand_kw.was_asked()
        || site.supply.recorded_peak_kva.was_asked();
    if facts.demand.origin == DemandOrigin::Assumed && demand_asked {
        let at = |amps: f64| verdict_for(&with_demand(facts, amps), rules);
        if at(facts.demand.band_a.low) != at(facts.demand.band_a.high) {
            fields.push("existing_demand_a");
        }
    }
    let homes = matches!(facts.premises, Premises::Flat | Premises::Block);
    if homes && site.parking.storeys.is_unknown() && chance("higher-risk", "storeys not known") >= PLAUSIBLE {
        fields.push("storeys");
    }
    let consent_settled =
        site.permissions.consent_status.value().is_some_and(|status| status != ConsentStatus::NotAsked);
    let tenure_open = facts.premises == Premises::House && site.identity.tenure.is_unknown() && !consent_settled;
    if tenure_open && chance("consent-needed", "tenure not known") >= PLAUSIBLE {
        fields.push("tenure");
    }
    let findings =
        fields.iter().map(|field| Finding::new("unsettled-fact").because("unsettled-fact").subject(field)).collect();
    (fields, findings)
}

/// The same facts with existing demand known to be `amps`.
pub(super) fn with_demand(facts: &Facts, amps: f64) -> Facts {
    let mut known = facts.clone();
    known.demand.band_a = Band::exact(amps);
    known.demand.against_capacity_a = Band::exact(amps);
    known.demand.origin = DemandOrigin::Measured;
    known
}

/// The survey field whose answer settles a hold on a fact.
fn field_behind(code: &str, site: &Site) -> Option<&'static str> {
    Some(match code {
        "cutout-unknown" if site.supply.cutout_rating_a.stated().is_some() => "cutout_evidence",
        "cutout-unknown" => "cutout_rating_a",
        "loop-unknown" => "looped_service",
        "phases-unknown" => "supply_phases",
        "parking-unknown" => "parking_type",
        "covered-parking-unknown" => "covered_parking",
        "capacity-unknown" => "agreed_capacity_kva",
        "demand-over-limit-unproven" => "existing_demand_a",
        "condition-report-fi" => "condition_report",
        "consent-pending" if !site.permissions.consent_status.is_stated() => "consent_status",
        _ => return None,
    })
}

/// Survey fields behind the holds among these findings, in the order of the findings, each once.
pub(super) fn fields_behind(findings: &[Finding], site: &Site) -> Vec<&'static str> {
    let mut fields = Vec::new();
    for finding in findings.iter().filter(|finding| finding.effect == Effect::Holds) {
        let field = finding.code().and_then(|code| field_behind(code, site));
        fields.extend(field.filter(|field| !fields.contains(field)));
    }
    fields
}
