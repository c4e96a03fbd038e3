//! Checks on the incoming supply itself: what the operators' common process asks before anything is installed (R1-R17).

use super::facts::Facts;
use super::household::{appliances_of, household_paper_terms_a};
use crate::finding::Finding;
use crate::quantity::{existing_kw_to_amps, kva_to_amps};
use crate::reference::{household_band, operator};
use crate::rules::{Rules, Stance};
use crate::site::{
    Condition, CutoutEvidence, Premises, Reading, Site, SurveyMethod, distributor_of_mpan, mpan_check_digit_ok,
};
use jiff::civil::Date;

/// What a site's own findings are judged with, beside its facts.
#[derive(Clone, Copy, Debug)]
pub struct Evidence<'a> {
    /// The survey.
    pub site: &'a Site,
    /// Its most likely facts.
    pub facts: &'a Facts,
    /// The policy.
    pub rules: &'a Rules,
    /// How unasked facts are treated.
    pub stance: Stance,
    /// Date of the run.
    pub as_of: Date,
}

impl Evidence<'_> {
    /// Whether a fact counts as not known: asked and not answered, or under commit never asked.
    pub(super) fn missing<T>(&self, reading: &Reading<T>) -> bool {
        reading.is_unknown() || (self.stance == Stance::Commit && !reading.was_asked())
    }
}

/// Findings on the supply, in the order of the operators' process.
pub fn service_findings(evidence: &Evidence<'_>) -> Vec<Finding> {
    let Evidence { site, facts, rules, as_of, .. } = *evidence;
    let mut findings = Vec::with_capacity(8);
    let mut say = |finding: Finding| findings.push(finding);
    if site.supply.supply_present.is(false) {
        say(Finding::new("supply-present").because("new-connection"));
    }
    if site.supply.unmetered.is(true) {
        say(Finding::new("metered-supply").because("unmetered-supply"));
    }
    if let Some(finding) = cutout(evidence) {
        say(finding);
    }
    if let Some(finding) = looped(evidence) {
        say(finding);
    }
    match &site.supply.cutout_condition {
        reading if reading.is(Condition::Unsafe) => say(Finding::new("cutout-condition").because("cutout-unsafe")),
        reading if reading.is(Condition::Doubtful) => say(Finding::new("cutout-condition").because("cutout-doubtful")),
        reading if reading.is_unknown() => say(Finding::new("cutout-condition").because("cutout-condition-blank")),
        _ => {}
    }
    if !facts.premises.is_home() && evidence.missing(&site.supply.supply_phases) {
        say(Finding::new("supply-phases").because("phases-unknown"));
    }
    if facts.wanted.beyond {
        say(Finding::new("charging-current").because("over-32-a-a-phase"));
    }
    if facts.ct_metered && facts.capacity_a.is_none() && evidence.missing(&site.supply.agreed_capacity_kva) {
        say(Finding::new("agreed-capacity").because("capacity-unknown"));
    }
    if let (Some(peak), Some(capacity)) = (site.supply.recorded_peak_kva.ends(), site.supply.agreed_capacity_kva.ends())
    {
        if peak.1 > capacity.1 {
            say(Finding::new("agreed-capacity").because("peak-over-capacity").at_most(*peak.1, *capacity.1));
        }
    }
    if let Some(core) = site.supply.mpan.likely() {
        if !mpan_check_digit_ok(core) {
            say(Finding::new("supply-number").because("mpan-invalid"));
        } else if distributor_of_mpan(core).is_some_and(|distributor| distributor >= 24) {
            say(Finding::new("supply-number").because("independent-distributor"));
        }
    }
    if let Some(existing) = site.load.existing_charge_points.value().filter(|count| *count >= 1.0) {
        say(Finding::new("existing-points").because("existing-charge-point").value(existing));
    }
    if facts.wanted.points > 1 {
        say(Finding::new("operator-form").because("multiple-form"));
    }
    if let Some(date) = site.identity.survey_date.value() {
        let months = i32::from(as_of.year() - date.year()) * 12 + i32::from(as_of.month()) - i32::from(date.month());
        if months > rules.supply.stale_survey_months as i32 {
            let limit = f64::from(rules.supply.stale_survey_months);
            say(Finding::new("survey-age").because("survey-stale").at_most(f64::from(months), limit));
        }
    }
    if let Some(finding) = methods_disagree(site, facts) {
        say(finding);
    }
    if let Some(finding) = household_paper(site, facts) {
        say(finding);
    }
    findings
}

/// Cut-out rating: known, and on what evidence (R4). Current-transformer supplies have no domestic cut-out.
fn cutout(evidence: &Evidence<'_>) -> Option<Finding> {
    let Evidence { site, facts, .. } = *evidence;
    let finding = || Finding::new("cutout-rating").because("cutout-unknown");
    if facts.ct_metered
        || (!facts.premises.is_home() && facts.capacity_a.is_some() && !site.supply.cutout_rating_a.was_asked())
    {
        return None;
    }
    let (rating, basis) = (&site.supply.cutout_rating_a, &site.supply.cutout_evidence);
    if evidence.missing(rating) || rating.is_doubtful() || evidence.missing(basis) {
        return Some(finding());
    }
    if basis.is(CutoutEvidence::Assumed) || basis.is(CutoutEvidence::Carrier) {
        return Some(finding().value(facts.cutout_a));
    }
    let policy_a = fuse_policy_a(site)?;
    (facts.premises.is_home() && facts.cutout_a > policy_a).then(|| finding().at_most(facts.cutout_a, policy_a))
}

/// Largest cut-out that the site's operator gives a home by its dated policy, amperes; `None` where none is known.
pub fn fuse_policy_a(site: &Site) -> Option<f64> {
    distributor(site).and_then(operator).and_then(|operator| operator.fuse_policy_a)
}

/// Distributor of a site: as stated (its number, or a text that begins with it), else from the supply number.
fn distributor(site: &Site) -> Option<u8> {
    let stated = site.supply.distributor.likely().and_then(|text| {
        let digits: String = text.trim().chars().take_while(char::is_ascii_digit).collect();
        digits.parse::<u8>().ok()
    });
    stated.or_else(|| site.supply.mpan.likely().and_then(|core| distributor_of_mpan(core)))
}

/// Looped service (R5): a "no" counts from a visit, a photograph or the operator.
fn looped(evidence: &Evidence<'_>) -> Option<Finding> {
    let Evidence { site, facts, .. } = *evidence;
    let reading = &site.supply.looped_service;
    let finding = Finding::new("service-loop");
    if reading.is(true) {
        return Some(finding.because("loop-yes"));
    }
    if facts.ct_metered || (!facts.premises.is_home() && !reading.was_asked()) {
        return None;
    }
    let hearsay = matches!(site.identity.survey_method.value(), Some(SurveyMethod::Phone | SurveyMethod::Desk));
    (evidence.missing(reading) || (reading.is(false) && hearsay)).then(|| finding.because("loop-unknown"))
}

/// The household figure on paper, printed beside the one that decides; only where the survey names an appliance.
fn household_paper(site: &Site, facts: &Facts) -> Option<Finding> {
    let load = &site.load;
    let named = [&load.shower_kw, &load.cooker_kw, &load.water_heater_kw, &load.heat_pump_kw];
    if !facts.premises.is_home() || !named.iter().any(|reading| reading.is_stated()) {
        return None;
    }
    let terms_a = household_paper_terms_a(&appliances_of(site));
    Some(Finding::new("household-paper").value(terms_a.iter().sum()).terms(&terms_a))
}

/// Stated, recorded and household figures that differ by more than their bands.
fn methods_disagree(site: &Site, facts: &Facts) -> Option<Finding> {
    let stated = site
        .load
        .existing_demand_a
        .value()
        .or_else(|| site.load.existing_demand_kw.value().map(|kw| existing_kw_to_amps(kw, facts.supply_phases)))?;
    let band = facts.demand.band_a;
    let outside = |other: f64| other < band.low || other > band.high;
    let recorded = site.supply.recorded_peak_kva.value().map(|kva| kva_to_amps(kva, facts.supply_phases));
    let household = (facts.premises != Premises::Block && facts.premises.is_home() && site.load.heating.is_stated())
        .then(|| {
            household_band(
                site.load.heating.value().map_or("unknown", |h| h.word()),
                site.load.shower_kw.value().map(|kw| kw > 0.0),
            )
        })
        .map(|line| line.demand_a);
    let disagrees = recorded.is_some_and(outside)
        || household.is_some_and(|paper| paper.high < band.low || paper.low * 0.6 > band.high);
    disagrees.then(|| {
        Finding::new("demand-methods").because("demand-methods-disagree").value(stated).terms(&[
            stated,
            recorded.unwrap_or(0.0),
            household.map_or(0.0, |paper| paper.likely),
        ])
    })
}
