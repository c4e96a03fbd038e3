//! Checks on the incoming supply itself: what the operators' common process asks before anything is installed (R1-R17).

use super::facts::Facts;
use super::loads::load_findings;
use crate::finding::Finding;
use crate::reference::operator;
use crate::rules::{Rules, Stance};
use crate::site::{
    Condition, CutoutEvidence, Reading, Site, SurveyMethod, distributor_of_mpan, distributors_named,
    mpan_check_digit_ok,
};
use jiff::civil::Date;

/// Distributor numbers from here on are independent operators (published description of the supply number).
const FIRST_INDEPENDENT: u8 = 24;

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
    pub(crate) fn missing<T>(&self, reading: &Reading<T>) -> bool {
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
    let phases = &site.supply.supply_phases;
    if !facts.premises.is_home() && (evidence.missing(phases) || phases.is_doubtful()) {
        say(Finding::new("supply-phases").because("phases-unknown"));
    }
    if facts.wanted.beyond {
        say(Finding::new("charging-current").because("over-32-a-a-phase"));
    }
    if facts.ct_metered && facts.capacity_a.is_none() && evidence.missing(&site.supply.agreed_capacity_kva) {
        say(Finding::new("agreed-capacity").because("capacity-unknown"));
    }
    let (peak, capacity) = (site.supply.recorded_peak_kva.value(), site.supply.agreed_capacity_kva.value());
    if let Some((peak, capacity)) = peak.zip(capacity).filter(|(peak, capacity)| peak > capacity) {
        say(Finding::new("agreed-capacity").because("peak-over-capacity").at_most(peak, capacity));
    }
    let elsewhere = site.contradictions.iter().any(|found| found.rule == "distributor-and-postcode");
    if elsewhere || site.supply.mpan.likely().is_some_and(|core| !mpan_check_digit_ok(core)) {
        say(Finding::new("supply-number").because("mpan-invalid"));
    }
    if distributor(site).is_some_and(|distributor| distributor >= FIRST_INDEPENDENT) {
        say(Finding::new("supply-number").because("independent-distributor"));
    }
    for found in &site.contradictions {
        // A contradiction that decides nothing is told as a figure to know, without a reason.
        let finding = Finding::new("answers").subject(found.fields[0]);
        say(if found.decides { finding.because("answers-conflict") } else { finding });
    }
    if facts.wanted.points > 1 {
        say(Finding::new("operator-form").because("multiple-form"));
    }
    if let Some(date) = site.identity.survey_date.value() {
        let (months, limit) = (months_between(date, as_of), f64::from(rules.supply.stale_survey_months));
        if months > limit {
            say(Finding::new("survey-age").because("survey-stale").at_most(months, limit));
        }
    }
    // One finding however many disagree: the list of all stands with the joined files.
    if site.conflicts.iter().any(|conflict| conflict.open) {
        say(Finding::new("joined-answers").because("answers-conflict"));
    }
    load_findings(evidence, &mut findings);
    findings
}

/// Months from one day to another, the days of a begun month as a thirtieth each.
pub(super) fn months_between(from: Date, to: Date) -> f64 {
    let months = i32::from(to.year() - from.year()) * 12 + i32::from(to.month()) - i32::from(from.month());
    f64::from(months) + f64::from(to.day() - from.day()) / 30.0
}

/// Cut-out rating: known, and on what evidence (R4). A current-transformer supply has no domestic cut-out and is held
/// for its agreed capacity instead; but a rating stated for its incoming device limits it, and must not be a guess.
fn cutout(evidence: &Evidence<'_>) -> Option<Finding> {
    let Evidence { site, facts, .. } = *evidence;
    let finding = || Finding::new("cutout-rating").because("cutout-unknown");
    let (rating, basis) = (&site.supply.cutout_rating_a, &site.supply.cutout_evidence);
    if !facts.ct_metered && (evidence.missing(rating) || evidence.missing(basis)) {
        return Some(finding());
    }
    let guessed = basis.is(CutoutEvidence::Assumed) || basis.is(CutoutEvidence::Carrier);
    if rating.is_doubtful() || (rating.is_stated() && guessed) {
        return Some(finding().value(facts.cutout_a));
    }
    let policy_a = fuse_policy_a(site)?;
    (facts.premises.is_home() && facts.cutout_a > policy_a).then(|| finding().at_most(facts.cutout_a, policy_a))
}

/// Largest cut-out that the site's operator gives a home by its dated policy, amperes; `None` where none is known. Where
/// the survey's word leaves several areas, the least of their policies, if all of them have one.
pub fn fuse_policy_a(site: &Site) -> Option<f64> {
    distributors(site)
        .into_iter()
        .map(|number| operator(number).and_then(|operator| operator.fuse_policy_a))
        .reduce(|a, b| a.zip(b).map(|(a, b)| a.min(b)))?
}

/// Distributors that may be a site's: as stated, by number or in words, else from the supply number, which also settles
/// a name of several areas.
fn distributors(site: &Site) -> Vec<u8> {
    let stated = site.supply.distributor.likely().map(|text| distributors_named(text)).unwrap_or_default();
    let core = site.supply.mpan.likely().and_then(|core| distributor_of_mpan(core));
    match (stated.as_slice(), core) {
        ([], Some(core)) => vec![core],
        ([_, _, ..], Some(core)) if stated.contains(&core) => vec![core],
        _ => stated,
    }
}

/// The site's distributor, where there is no doubt which.
fn distributor(site: &Site) -> Option<u8> {
    match distributors(site).as_slice() {
        [one] => Some(*one),
        _ => None,
    }
}

/// Looped service (R5): a "no" counts from a visit, a photograph or the operator; an answer in doubt is none. A
/// current-transformer supply cannot be looped through a domestic cut-out.
fn looped(evidence: &Evidence<'_>) -> Option<Finding> {
    let Evidence { site, facts, .. } = *evidence;
    let reading = &site.supply.looped_service;
    let finding = Finding::new("service-loop");
    if reading.stated() == Some(&true) {
        return Some(finding.because("loop-yes"));
    }
    if facts.ct_metered {
        return None;
    }
    let open = evidence.missing(reading) || reading.is_doubtful() || (reading.is(false) && hearsay(site));
    open.then(|| finding.because("loop-unknown"))
}

/// Whether the answers come from somebody who has not seen the service.
pub(crate) fn hearsay(site: &Site) -> bool {
    matches!(site.identity.survey_method.value(), Some(SurveyMethod::Phone | SurveyMethod::Desk))
}
