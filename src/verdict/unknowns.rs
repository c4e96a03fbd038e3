//! Which unknown facts decide: the site is judged at the ends of each, and what flips the verdict holds it as a fact.
//!
//! Facts whose not-knowing has a reason of its own (cut-out, loop, parking, capacity ...) are held where they are
//! checked; here are the others, and the survey field that stands behind each hold.

use super::choice::verdict_of;
use crate::design::{DemandOrigin, Evidence, Facts, best_effect};
use crate::finding::{Effect, Finding};
use crate::quantity::Band;
use crate::reference::{Holding, PLAUSIBLE, STOREYS, TENURE};
use crate::rules::Rules;
use crate::site::{Answer, ConsentStatus, Premises, Reading, Site, Verdict};

/// Best verdict that any arrangement gives for these facts; what cannot be designed here is marginal.
pub(super) fn verdict_for(facts: &Facts, rules: &Rules) -> Verdict {
    best_effect(facts, rules).map_or(Verdict::Marginal, verdict_of)
}

/// Whether an alternative of the table is plausible under these rules.
fn plausible(rules: &Rules, (field, when, value): Holding) -> bool {
    let weight = rules.alternatives.of(field, when).and_then(|entry| entry.weight_of(value));
    weight.is_some_and(|weight| weight >= PLAUSIBLE)
}

/// A doubtful reading outside the demand and the cut-out, which have their own bands and reasons: its field, its ends
/// where it is doubtful, and how it is settled.
struct Doubtful {
    field: &'static str,
    reading: fn(&Site) -> &Reading<f64>,
    settle: fn(&mut Site, f64),
}

macro_rules! doubtful {
    ($($room:ident.$field:ident),+ $(,)?) => {
        const DOUBTFUL: &[Doubtful] = &[$(Doubtful {
            field: stringify!($field),
            reading: |site| &site.$room.$field,
            settle: |site, value| site.$room.$field.answer = Answer::Stated(value),
        }),+];
    };
}

doubtful!(
    supply.supply_phases,
    supply.agreed_capacity_kva,
    supply.ze_ohm,
    supply.fault_level_ka,
    board.submain_mm2,
    board.submain_device_a,
    board.board_main_switch_a,
    board.meter_to_board_m,
    parking.route_indoor_m,
    parking.route_surface_m,
    parking.route_buried_m,
    parking.insulated_length_m,
    parking.ambient_c,
    parking.grouped_circuits,
    wanted.daily_miles,
    wanted.miles_per_kwh,
);

/// Doubtful answers whose plausible values flip the verdict. The facts are changed so that the design shown is the one
/// for the likely value of what has to be found out, or for the better end where the likely value would be stopped.
pub(super) fn doubtful_answers(site: &Site, facts: &mut Facts, rules: &Rules) -> Vec<&'static str> {
    let mut fields = Vec::new();
    let mut known: Option<Site> = None;
    for doubt in DOUBTFUL {
        let (Answer::Doubtful { low, likely, high }, false) = (&(doubt.reading)(site).answer, facts.wanted.beyond)
        else {
            continue;
        };
        let with = |value: f64| {
            let mut settled = known.clone().unwrap_or_else(|| site.clone());
            (doubt.settle)(&mut settled, value);
            let facts = crate::design::facts(&settled, rules).0;
            (verdict_for(&facts, rules), facts, settled)
        };
        let (now, low, likely, high) = (verdict_for(facts, rules), with(*low), with(*likely), with(*high));
        let best = if low.0 <= high.0 { low } else { high };
        if now.max(likely.0) > best.0.min(likely.0) {
            fields.push(doubt.field);
            let shown = if likely.0 == Verdict::Blocked { best } else { likely };
            *facts = shown.1;
            known = Some(shown.2);
        }
    }
    if facts.distance_m.high > facts.distance_m.likely {
        let likely = Facts { distance_m: Band::exact(facts.distance_m.likely), ..facts.clone() };
        if verdict_for(facts, rules) > verdict_for(&likely, rules) {
            fields.push("parking_distance_m");
            *facts = likely;
        }
    }
    fields
}

/// Questions without an answer, outside the checks that have a reason of their own, whose plausible values flip the
/// verdict: asked and not answered, and under commit never asked.
pub(super) fn unanswered(evidence: &Evidence<'_>) -> Vec<&'static str> {
    let Evidence { site, facts, rules, .. } = *evidence;
    let mut fields = Vec::new();
    let load = &site.load;
    let demand_missing = evidence.missing(&load.existing_demand_a)
        || evidence.missing(&load.existing_demand_kw)
        || evidence.missing(&site.supply.recorded_peak_kva);
    if facts.demand.origin == DemandOrigin::Assumed && demand_missing {
        let at = |amps: f64| verdict_for(&with_demand(facts, amps), rules);
        if at(facts.demand.band_a.low) != at(facts.demand.band_a.high) {
            fields.push("existing_demand_a");
        }
    }
    let island = rules.charge_point.iter().any(|point| !point.answers_open_pen || point.open_pen_method == "voltage");
    if island && evidence.missing(&site.supply.electrode_position) {
        let none = Facts { electrode_position: Some(false), ..facts.clone() };
        if verdict_for(&none, rules) > verdict_for(facts, rules) {
            fields.push("electrode_position");
        }
    }
    let homes = matches!(facts.premises, Premises::Flat | Premises::Block);
    let storeys = &site.parking.storeys;
    let tall = rules.policy.higher_risk_storeys;
    let straddles =
        storeys.is_doubtful() && storeys.ends().is_some_and(|(_, likely, high)| *likely < tall && *high >= tall);
    let unknown = evidence.missing(storeys) && plausible(rules, STOREYS);
    if homes && (straddles || unknown) {
        fields.push("storeys");
    }
    // A flat needs consent whatever its tenure, and is held for that.
    let tenure_open =
        facts.premises != Premises::Flat && evidence.missing(&site.identity.tenure) && !consent_settled(site);
    if tenure_open && plausible(rules, TENURE) {
        fields.push("tenure");
    }
    fields
}

/// Whether the consent is settled whatever the tenure: granted, refused, asked, or declared not needed.
pub(super) fn consent_settled(site: &Site) -> bool {
    site.permissions.consent_status.value().is_some_and(|status| status != ConsentStatus::NotAsked)
}

/// The findings that hold a site for these fields.
pub(super) fn unsettled(fields: &[&'static str]) -> Vec<Finding> {
    fields.iter().map(|field| Finding::new("unsettled-fact").because("unsettled-fact").subject(field)).collect()
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
        "fault-duty-unmet" => "fault_level_ka",
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
