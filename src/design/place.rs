//! Checks on the place: parking, permissions, building, board condition. They do not depend on the arrangement.

use super::facts::asbestos_survey;
use super::lead::lead_reach;
use super::service::{Evidence, months_between};
use crate::finding::Finding;
use crate::rules::Rules;
use crate::site::{BoardType, Condition, ConditionReport, ConsentStatus, ParkingType, Premises, Reading, Site, Tenure};

/// Findings on the place, in the order a surveyor meets them.
pub fn place_findings(evidence: &Evidence<'_>) -> Vec<Finding> {
    let Evidence { site, facts, rules, .. } = *evidence;
    let mut findings = Vec::with_capacity(6);
    let mut say = |check: &str, code: &str| findings.push(Finding::new(check).because(code));
    let off_street = |parking: &ParkingType| !matches!(parking, ParkingType::None | ParkingType::OnStreet);
    match site.parking.parking_type.value() {
        // "Drive or on the street" is an answer to another question: it is not known whether there is a place.
        _ if site.parking.parking_type.ends().is_some_and(|(low, _, high)| off_street(low) != off_street(high)) => {
            say("parking", "parking-unknown");
        }
        Some(ParkingType::None | ParkingType::OnStreet) => say("parking", "no-parking"),
        None if evidence.missing(&site.parking.parking_type) => say("parking", "parking-unknown"),
        _ => {}
    }
    if shared_car_park(site, facts.premises) {
        if site.parking.covered_parking.is(true) {
            say("covered-parking", "covered-parking");
        } else if evidence.missing(&site.parking.covered_parking) {
            say("covered-parking", "covered-parking-unknown");
        }
        let homes = matches!(facts.premises, Premises::Flat | Premises::Block);
        if homes && site.parking.parking_type.is(ParkingType::Allocated) {
            say("bay-tenure", "bay-tenure");
        }
        if facts.wanted.points > 1 {
            say("accessible-bay", "accessible-bay");
            if homes {
                say("sub-metering", "sub-metering");
            }
        }
    }
    findings.extend(provision(site, facts.wanted.points, rules));
    let mut say = |check: &str, code: &str| findings.push(Finding::new(check).because(code));
    consent(evidence, &mut say);
    if site.permissions.listed.is(true) && !site.permissions.consent_status.is(ConsentStatus::Granted) {
        say("listed", "listed-building");
    }
    let homes = matches!(facts.premises, Premises::Flat | Premises::Block);
    if homes && facts.storeys >= rules.policy.higher_risk_storeys {
        say("building-height", "higher-risk-building");
    }
    if site.permissions.asbestos_on_route.is(true) {
        say("asbestos", "asbestos-on-route");
    } else if asbestos_survey(site, rules) {
        say("asbestos", "asbestos-unrecorded");
    }
    findings.extend(report_age(evidence));
    let mut say = |check: &str, code: &str| findings.push(Finding::new(check).because(code));
    match site.board.condition_report.value() {
        Some(ConditionReport::C1 | ConditionReport::C2) => say("condition-report", "condition-report-c2"),
        Some(ConditionReport::FurtherInvestigation) => say("condition-report", "condition-report-fi"),
        _ => {}
    }
    if site.board.board_condition.is(Condition::Unsafe) {
        say("board-condition", "board-unsafe");
    }
    if site.board.board_type.is(BoardType::Plastic) {
        say("board-condition", "plastic-board");
    }
    if facts.no_signal {
        say("signal", "no-signal");
    }
    findings.extend(lead_reach(evidence));
    findings
}

/// Parking that several households or users share. A drive or garage of one home is not; an allocated bay of a flat is,
/// and of a house only where the survey says that it is covered.
pub(crate) fn shared_car_park(site: &Site, premises: Premises) -> bool {
    match (premises, site.parking.parking_type.value()) {
        (Premises::Block | Premises::Workplace | Premises::Depot, _) | (_, Some(ParkingType::Communal)) => true,
        (_, Some(ParkingType::Driveway | ParkingType::Garage | ParkingType::OnStreet | ParkingType::None)) => false,
        (Premises::House, Some(ParkingType::Allocated) | None) => site.parking.covered_parking.is(true),
        (Premises::Flat, Some(ParkingType::Allocated) | None) => true,
    }
}

/// What a new or renovated building with so many bays would have to provide; an existing one has no such duty.
fn provision(site: &Site, points: u32, rules: &Rules) -> Option<Finding> {
    let bays = site.parking.bays.value().filter(|bays| points > 1 && *bays > rules.policy.provision_above_bays)?;
    let finding = Finding::new("provision-duty").because("provision-duty");
    Some(finding.at_most(bays, rules.policy.provision_above_bays))
}

/// Whether anybody's consent is needed: an owner's house needs none, a flat does; social rent as the rules say.
pub(crate) fn needs_consent(site: &Site, premises: Premises, social_rent: bool) -> bool {
    match site.identity.tenure.value() {
        Some(Tenure::Leasehold | Tenure::Shared | Tenure::PrivateRent) => true,
        Some(Tenure::SocialRent) => social_rent,
        Some(Tenure::Owner) => premises == Premises::Flat,
        Some(Tenure::Employer) => false,
        None => premises == Premises::Flat,
    }
}

fn consent(evidence: &Evidence<'_>, say: &mut dyn FnMut(&str, &str)) {
    let Evidence { site, facts, rules, .. } = *evidence;
    let statuses = [&site.permissions.consent_status, &site.permissions.wayleave_status];
    let any = |status: ConsentStatus| statuses.iter().any(|reading| reading.is(status));
    let needed = needs_consent(site, facts.premises, rules.policy.social_rent_needs_consent);
    if any(ConsentStatus::Refused) {
        say("consent", "consent-refused");
    } else if any(ConsentStatus::Asked) || (needed && open(evidence, statuses[0])) {
        say("consent", "consent-pending");
    }
}

/// A needed consent that is neither granted nor declared not needed.
fn open(evidence: &Evidence<'_>, status: &Reading<ConsentStatus>) -> bool {
    status.is(ConsentStatus::NotAsked) || evidence.missing(status)
}

/// A condition report that is older than the rules allow for the tenure: rented homes are reported on more often.
fn report_age(evidence: &Evidence<'_>) -> Option<Finding> {
    let Evidence { site, rules, as_of, .. } = *evidence;
    let date = site.board.condition_report_date.value()?;
    let rented = matches!(site.identity.tenure.value(), Some(Tenure::SocialRent | Tenure::PrivateRent));
    let limit = if rented { rules.policy.report_years_rented } else { rules.policy.report_years_owner };
    let years = months_between(date, as_of) / 12.0;
    (years > limit).then(|| Finding::new("condition-report-age").because("condition-report-old").at_most(years, limit))
}
