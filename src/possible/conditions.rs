//! Every fact that may be open: when, under which condition of the table, and what it bears on.

use super::Bears::{self, Design, Place};
use super::Look;
use super::settle;
use crate::design::{fuse_policy_a, hearsay, needs_consent, shared_car_park};
use crate::site::{
    Condition, ConditionReport, ConsentStatus, CutoutEvidence, EarthingSystem, ParkingType, Premises, Reading, Site,
};

/// A survey field whose answer may be open.
pub(super) struct Fact {
    /// Survey field, as in the table.
    pub(super) field: &'static str,
    /// What it bears on.
    pub(super) bears: Bears,
    /// The condition of the table under which it is open; `None` where it is not.
    pub(super) when: fn(&Look<'_>) -> Option<&'static str>,
    /// Writes an alternative of the table into a survey.
    pub(super) settle: fn(&mut Site, &str, &Look<'_>),
}

/// The facts in the order in which they are asked about.
pub(super) const FACTS: &[Fact] = &[
    Fact { field: "cutout_rating_a", bears: Design, when: cutout, settle: settle::cutout },
    Fact { field: "supply_phases", bears: Design, when: phases, settle: settle::phases },
    Fact { field: "earthing_system", bears: Design, when: earthing, settle: settle::earthing },
    Fact { field: "ze_ohm", bears: Design, when: electrode, settle: settle::ze },
    Fact { field: "fault_level_ka", bears: Design, when: fault_level, settle: settle::fault_level },
    Fact { field: "agreed_capacity_kva", bears: Design, when: capacity, settle: settle::capacity },
    Fact { field: "electrode_position", bears: Design, when: electrode_position, settle: settle::electrode_position },
    Fact { field: "looped_service", bears: Place, when: looped, settle: settle::looped },
    Fact { field: "cutout_condition", bears: Place, when: cutout_condition, settle: settle::cutout_condition },
    Fact { field: "parking_type", bears: Place, when: parking, settle: settle::parking },
    Fact { field: "covered_parking", bears: Place, when: covered, settle: settle::covered },
    Fact { field: "consent_status", bears: Place, when: consent, settle: settle::consent },
    Fact { field: "tenure", bears: Place, when: tenure, settle: settle::tenure },
    Fact { field: "listed", bears: Place, when: listed, settle: settle::listed },
    Fact { field: "asbestos_on_route", bears: Place, when: asbestos, settle: settle::asbestos },
    Fact { field: "condition_report", bears: Place, when: condition_report, settle: settle::condition_report },
    Fact { field: "board_condition", bears: Place, when: board_condition, settle: settle::board_condition },
    Fact { field: "storeys", bears: Place, when: storeys, settle: settle::storeys },
];

/// Whether two answers of the survey, or two files, contradict each other about a field so that it has to be settled.
fn in_question(site: &Site, field: &str) -> bool {
    site.contradictions.iter().any(|found| found.decides && found.fields.contains(&field))
        || site.conflicts.iter().any(|conflict| conflict.open && conflict.field == field)
}

fn cutout(look: &Look<'_>) -> Option<&'static str> {
    let Look { site, facts, .. } = *look;
    let rating = &site.supply.cutout_rating_a;
    let Some((low, likely, high)) = rating.ends() else {
        let by_capacity = facts.ct_metered || (!facts.premises.is_home() && facts.capacity_a.is_some());
        return (!by_capacity).then_some("rating not known");
    };
    if low < high {
        return Some("one of two ratings");
    }
    if facts.ct_metered {
        return None;
    }
    let evidence = site.supply.cutout_evidence.value();
    let over_policy = facts.premises.is_home() && fuse_policy_a(site).is_some_and(|policy_a| *likely > policy_a);
    let when = match evidence {
        _ if in_question(site, "cutout_rating_a") => "answers contradict one another",
        Some(CutoutEvidence::Assumed | CutoutEvidence::Carrier) => "rating assumed or read from the carrier",
        _ if over_policy => "above the operator's policy",
        Some(CutoutEvidence::Fuse | CutoutEvidence::Label | CutoutEvidence::Operator) => return None,
        None if site.copied_down.contains(&"cutout_rating_a") => "copied down a street or sheet",
        None => "evidence not stated",
    };
    // Nothing smaller than the least size is fitted to a home or a small supply.
    (*likely > settle::LEAST_CUTOUT_A).then_some(when)
}

fn phases(look: &Look<'_>) -> Option<&'static str> {
    let Look { site, facts, rules, .. } = *look;
    if site.supply.supply_phases.is_stated() {
        return None;
    }
    match facts.premises.is_home() {
        true => Some("home"),
        // A supply over 100 A a phase has three phases.
        false if facts.cutout_a > rules.supply.ct_metering_above_a && facts.supply_phases == 3 => None,
        false => Some("phases not known"),
    }
}

fn earthing(look: &Look<'_>) -> Option<&'static str> {
    let site = look.site;
    match site.supply.earthing_system.ends() {
        Some((low, _, high)) if low != high => Some("one of two systems"),
        Some(_) if !in_question(site, "earthing_system") => None,
        _ if site.supply.ze_ohm.value().is_some_and(|ze_ohm| ze_ohm < 1.0) => Some("the supply offers an earth"),
        _ => Some("earthing not known"),
    }
}

fn electrode(look: &Look<'_>) -> Option<&'static str> {
    let supply = &look.site.supply;
    let tt = supply.earthing_system.is(EarthingSystem::Tt) && !supply.ze_ohm.is_stated();
    tt.then_some("electrode not measured")
}

fn fault_level(look: &Look<'_>) -> Option<&'static str> {
    let Look { site, facts, rules, .. } = *look;
    if site.supply.fault_level_ka.is_stated() {
        return None;
    }
    let large = facts.cutout_a > rules.supply.ct_metering_above_a;
    Some(if large { "over 100 A a phase" } else { "up to 100 A a phase" })
}

fn capacity(look: &Look<'_>) -> Option<&'static str> {
    (look.facts.ct_metered && look.facts.capacity_a.is_none()).then_some("agreed capacity not known")
}

fn electrode_position(look: &Look<'_>) -> Option<&'static str> {
    let points = &look.rules.charge_point;
    let island = points.iter().any(|point| !point.answers_open_pen || point.open_pen_method == "voltage");
    let open = island && !look.site.supply.electrode_position.is_stated();
    open.then_some("place for an electrode not known")
}

fn looped(look: &Look<'_>) -> Option<&'static str> {
    let Look { site, facts, .. } = *look;
    let reading = &site.supply.looped_service;
    if facts.ct_metered || reading.stated() == Some(&true) {
        return None;
    }
    if reading.is_doubtful() && reading.is(true) {
        return Some("yes said with doubt");
    }
    let open = !reading.is_stated() || reading.is_doubtful() || hearsay(site) || in_question(site, "looped_service");
    open.then(|| age_of_loops(look))
}

/// The age of a building, as loops go by it.
pub(super) fn age_of_building(look: &Look<'_>) -> &'static str {
    age_of_loops(look)
}

/// The age that a loop goes by: only houses share a service with their neighbours.
fn age_of_loops(look: &Look<'_>) -> &'static str {
    match look.year {
        _ if look.facts.premises != Premises::House => "not a house",
        Some(year) if year < 1945.0 => "built before 1945",
        Some(year) if year < 1970.0 => "built 1945 to 1969",
        Some(year) if year < 1990.0 => "built 1970 to 1989",
        _ => "built 1990 or later",
    }
}

fn age_of_cutouts(look: &Look<'_>) -> &'static str {
    if look.year.is_some_and(|year| year < 1965.0) { "built before 1965" } else { "any other" }
}

fn age_of_asbestos(look: &Look<'_>) -> &'static str {
    let since = look.year.is_some_and(|year| year >= look.rules.policy.asbestos_before_year);
    if since { "built since the ban" } else { "surveyed before drilling" }
}

/// What the survey says of facts that go with the age of a building: field, condition of the table for the year that is
/// taken, and alternative. Where the year is not known they speak for one age or another.
pub(super) fn told_of_age(look: &Look<'_>) -> Vec<(&'static str, &'static str, &'static str)> {
    let site = look.site;
    let word = |yes: bool| if yes { "yes" } else { "no" };
    let mut told = Vec::new();
    let loops = &site.supply.looped_service;
    if let Some(stated) = loops.stated().filter(|_| !look.facts.ct_metered && looped(look).is_none()) {
        told.push(("looped_service", age_of_loops(look), word(*stated)));
    }
    let condition = match site.supply.cutout_condition.stated() {
        Some(Condition::Sound) => Some("sound"),
        Some(Condition::Unsafe) => Some("unsafe"),
        _ => None,
    };
    told.extend(condition.map(|condition| ("cutout_condition", age_of_cutouts(look), condition)));
    let asbestos = site.permissions.asbestos_on_route.stated();
    told.extend(asbestos.map(|stated| ("asbestos_on_route", age_of_asbestos(look), word(*stated))));
    told
}

fn cutout_condition(look: &Look<'_>) -> Option<&'static str> {
    (!look.site.supply.cutout_condition.is_stated()).then(|| age_of_cutouts(look))
}

fn parking(look: &Look<'_>) -> Option<&'static str> {
    let Look { site, facts, .. } = *look;
    let off_street = |parking: &ParkingType| !matches!(parking, ParkingType::None | ParkingType::OnStreet);
    match site.parking.parking_type.ends() {
        Some((low, _, high)) => (off_street(low) != off_street(high)).then_some("on or off the street"),
        None if site.parking.parking_distance_m.is_stated() => Some("distance stated"),
        None if facts.premises == Premises::House => Some("house"),
        None => Some("any other"),
    }
}

fn covered(look: &Look<'_>) -> Option<&'static str> {
    let Look { site, facts, .. } = *look;
    let reading = &site.parking.covered_parking;
    let open = !reading.is_stated() || reading.is_doubtful();
    (open && shared_car_park(site, facts.premises)).then_some(match reading.value() {
        Some(true) => "yes said with doubt",
        Some(false) => "no said with doubt",
        None => "shared parking not known to be open",
    })
}

/// Whether the consent is settled whatever the tenure: granted, refused, asked, or declared not needed.
pub(super) fn consent_settled(site: &Site) -> bool {
    site.permissions.consent_status.value().is_some_and(|status| status != ConsentStatus::NotAsked)
}

fn consent(look: &Look<'_>) -> Option<&'static str> {
    let Look { site, facts, rules, .. } = *look;
    let reading = &site.permissions.consent_status;
    let waits = |reading: &Reading<ConsentStatus>| reading.is(ConsentStatus::Asked);
    let needed = needs_consent(site, facts.premises, rules.policy.social_rent_needs_consent);
    if waits(reading) || waits(&site.permissions.wayleave_status) {
        return Some("needed and not settled");
    }
    (needed && !consent_settled(site)).then_some(if reading.was_asked() {
        "needed and not settled"
    } else {
        "nobody was asked about it"
    })
}

fn tenure(look: &Look<'_>) -> Option<&'static str> {
    let Look { site, facts, .. } = *look;
    let open = !site.identity.tenure.is_stated() && facts.premises != Premises::Flat && !consent_settled(site);
    open.then_some("tenure not known")
}

fn listed(look: &Look<'_>) -> Option<&'static str> {
    let open = !look.site.permissions.listed.is_stated() && look.facts.premises.is_home();
    open.then_some("home")
}

fn asbestos(look: &Look<'_>) -> Option<&'static str> {
    look.facts.asbestos_survey.then(|| age_of_asbestos(look))
}

fn condition_report(look: &Look<'_>) -> Option<&'static str> {
    let open = look.site.board.condition_report.is(ConditionReport::FurtherInvestigation);
    open.then_some("further investigation open")
}

fn board_condition(look: &Look<'_>) -> Option<&'static str> {
    (!look.site.board.board_condition.is_stated()).then_some("condition not known")
}

fn storeys(look: &Look<'_>) -> Option<&'static str> {
    let homes = matches!(look.facts.premises, Premises::Flat | Premises::Block);
    (homes && !look.site.parking.storeys.is_stated()).then_some("storeys not known")
}
