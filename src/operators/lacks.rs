//! What a row lacks to be complete, and what on it is in doubt: the usual questions of the operators' schedules asked of
//! the row before anybody sends it. A check that fails is told; nothing is put right.

use super::types::{Dates, Device, KnownBy, Operator, SupplyRow, Who};
use super::who::{is_in_northern_ireland, stated};
use super::{supply, types};
use crate::design::{DemandOrigin, Facts};
use crate::site::{Site, distributor_elsewhere, distributor_of_mpan, mpan_check_digit_ok};
use crate::verdict::Judgement;
use std::borrow::Cow;

/// Demand above this many times the cut-out is no demand that it carries (usual check of the schedules, memory).
const SANE_DEMAND_TIMES_CUTOUT: f64 = 1.5;
/// Sites of one supply number that are named; more are counted.
const NAMED_TWINS: usize = 3;

/// A row before it is known what it lacks.
pub(super) struct Row<'a> {
    pub(super) site: &'a Site,
    pub(super) facts: &'a Facts,
    pub(super) supply: &'a SupplyRow,
    pub(super) device: Option<&'a Device>,
    pub(super) who: &'a Who,
    /// Every site of its supply number, itself among them.
    pub(super) of_number: &'a [&'a str],
    pub(super) dates: &'a Dates,
    pub(super) judgement: &'a Judgement,
}

/// What is missing or in doubt, in the order of the columns.
pub(super) fn lacks(row: &Row<'_>) -> Vec<Cow<'static, str>> {
    let mut said = Vec::new();
    number(row, &mut said);
    postcode(row, &mut said);
    service(row, &mut said);
    open_questions(row.judgement, &mut said);
    device(row, &mut said);
    dates(row, &mut said);
    said
}

fn number(row: &Row<'_>, said: &mut Vec<Cow<'static, str>>) {
    let Row { site, who, of_number, .. } = *row;
    match site.supply.mpan.likely() {
        None if who.operator == Operator::NorthernIreland => said.push("number of the meter point, 11 digits".into()),
        None => said.push("supply number".into()),
        Some(number) if super::who::is_of_northern_ireland(number) => {}
        Some(number) if !mpan_check_digit_ok(number) => {
            said.push(format!("supply number: {number} fails its check digit and is left out").into());
        }
        Some(number) => match distributor_of_mpan(number) {
            None => said.push(format!("supply number: {number} begins with no distributor and is left out").into()),
            Some(distributor) => agrees(row, distributor, said),
        },
    }
    if of_number.len() > 1 {
        let others = of_number.iter().copied().filter(|other| *other != site.site_id).take(NAMED_TWINS);
        let mut named = others.collect::<Vec<_>>().join(", ");
        let more = (of_number.len() - 1).saturating_sub(NAMED_TWINS);
        if more > 0 {
            named = format!("{named} and {more} more");
        }
        said.push(format!("the same supply number stands at {named}").into());
    }
    match who.from {
        KnownBy::Postcode => said.push("operator: confirm, it is known by the postcode alone".into()),
        KnownBy::Unknown if who.may_be.is_empty() => said.push("operator".into()),
        KnownBy::Unknown => said.push(format!("operator: one of {}", who.candidates().join("; ")).into()),
        KnownBy::Mpan | KnownBy::Stated => {}
    }
}

/// Whether the distributor of a supply number is that of the postcode and of the survey.
fn agrees(row: &Row<'_>, distributor: u8, said: &mut Vec<Cow<'static, str>>) {
    let postcode = row.site.identity.postcode.likely().map(String::as_str).unwrap_or_default();
    let number = types::named(distributor);
    if distributor_elsewhere(distributor, postcode) || is_in_northern_ireland(postcode) {
        said.push(format!("supply number and postcode disagree: {number} does not serve this postcode area").into());
    }
    let stated = stated(row.site);
    if !stated.is_empty() && !stated.contains(&distributor) {
        let others = stated.into_iter().map(types::named).collect::<Vec<_>>().join("; ");
        said.push(
            format!("supply number and survey disagree: the number is of {number}, the survey names {others}").into(),
        );
    }
}

fn postcode(row: &Row<'_>, said: &mut Vec<Cow<'static, str>>) {
    let identity = &row.site.identity;
    match identity.postcode.likely() {
        None => said.push("postcode".into()),
        Some(postcode) if !has_postcode_shape(postcode) => {
            said.push(format!("postcode: {postcode} does not have the published shape").into());
        }
        Some(_) => {}
    }
    if !identity.address.is_stated() {
        said.push("address".into());
    }
    if !identity.uprn.is_stated() {
        said.push("UPRN".into());
    }
    if !identity.premises_type.is_stated() {
        said.push("type of premises".into());
    }
}

fn service(row: &Row<'_>, said: &mut Vec<Cow<'static, str>>) {
    let Row { site, facts, supply, .. } = *row;
    let has_cutout = supply::has_cutout(site, facts);
    if site.supply.supply_phases.stated().is_none() {
        said.push("phases of the supply".into());
    }
    if site.supply.cutout_rating_a.stated().is_none() {
        said.push("cut-out rating".into());
    } else if has_cutout && !supply::cutout_is_known(site) {
        said.push("how the cut-out rating is known: by the fuse, not by its carrier".into());
    }
    if has_cutout && supply.looped.is_none() {
        said.push("whether the service is looped, from somebody who has seen it".into());
    }
    if !site.supply.cutout_condition.is_stated() {
        said.push("condition of the cut-out".into());
    }
    if facts.demand.origin == DemandOrigin::Assumed {
        said.push("existing demand".into());
    } else if !site.load.demand_method.is_stated() && facts.demand.origin == DemandOrigin::Estimated {
        said.push("how the existing demand was found".into());
    }
    if supply.earthing.is_none() {
        said.push("earthing of the supply".into());
    }
    let demand_a = supply.with_charging_a.unwrap_or(supply.existing_a);
    if demand_a > SANE_DEMAND_TIMES_CUTOUT * supply.cutout_a {
        said.push("the demand is more than 1.5 times the cut-out: look at both again".into());
    }
}

/// What the judgement found open of the supply, where the cells alone do not show it.
fn open_questions(judgement: &Judgement, said: &mut Vec<Cow<'static, str>>) {
    for finding in &judgement.findings {
        let lack: Cow<'static, str> = match (finding.code(), finding.value.zip(finding.limit)) {
            (Some("cutout-unknown"), Some((stated_a, policy_a))) => format!(
                "cut-out rating: {stated_a:.0} A is above the {policy_a:.0} A of this operator's policy for homes"
            )
            .into(),
            (Some("answers-conflict"), _) => "which answer on the service holds: the survey has two".into(),
            (Some("demand-over-limit-unproven"), _) => "existing demand, measured: it decides".into(),
            (Some("capacity-unknown"), _) => "agreed capacity".into(),
            (Some("unsettled-fact"), _) if finding.subject == "agreed_capacity_kva" => {
                "agreed capacity without doubt: it decides".into()
            }
            _ => continue,
        };
        if !said.contains(&lack) {
            said.push(lack);
        }
    }
}

fn device(row: &Row<'_>, said: &mut Vec<Cow<'static, str>>) {
    let Some(device) = row.device else {
        said.push("the charge points: nothing is designed".into());
        return;
    };
    said.push("make and model of the charge point".into());
    if !device.declared {
        said.push("declared power quality of the charge point".into());
    }
    if device.setpoint_a.is_some_and(|setpoint_a| setpoint_a > row.supply.cutout_a) {
        said.push("the limitation is set above the cut-out".into());
    }
    if super::is_three_phase_home(row.facts) && device.phases == 1 {
        said.push("on which phase each point is".into());
    }
    let photographed = row.site.identity.survey_method.is(crate::site::SurveyMethod::Photo);
    said.push(match photographed {
        true => "photographs: see that cut-out, meter and tails are on those of the survey".into(),
        false => "photographs of cut-out, meter and tails".into(),
    });
}

fn dates(row: &Row<'_>, said: &mut Vec<Cow<'static, str>>) {
    if row.dates.answer_by.zip(row.dates.planned).is_some_and(|(answered, planned)| planned < answered) {
        said.push("planned before the operator is likely to have answered".into());
    }
}

/// Whether a postcode has the published shape: the letters that areas, districts and inward codes use in each place
/// (supply notes 3.3, derived from the published description).
fn has_postcode_shape(postcode: &str) -> bool {
    let code: Vec<u8> = postcode.bytes().filter(|sign| *sign != b' ').collect();
    if code == b"GIR0AA" {
        return true;
    }
    let Some((outward, inward)) = code.len().checked_sub(3).and_then(|at| code.split_at_checked(at)) else {
        return false;
    };
    let inward_letter = |sign: &u8| sign.is_ascii_uppercase() && !b"CIKMOV".contains(sign);
    let inward = matches!(inward, [a, b, c] if a.is_ascii_digit() && inward_letter(b) && inward_letter(c));
    let first = |sign: &u8| sign.is_ascii_uppercase() && !b"QVX".contains(sign);
    let second = |sign: &u8| sign.is_ascii_uppercase() && !b"IJZ".contains(sign);
    let digit = u8::is_ascii_digit;
    let outward = match outward {
        [a, b] => first(a) && digit(b),
        [a, b, c] if digit(b) => first(a) && (digit(c) || b"ABCDEFGHJKPSTUW".contains(c)),
        [a, b, c] => first(a) && second(b) && digit(c),
        [a, b, c, d] => first(a) && second(b) && digit(c) && (digit(d) || b"ABEHMNPRVWXY".contains(d)),
        _ => false,
    };
    inward && outward
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The published shape, as supply notes 3.3 has it; invented postcodes of areas that do not exist have it too.
    #[test]
    fn a_postcode_has_the_published_shape_or_is_told() {
        for sound in ["ZR1 4AE", "ZR14AE", "YD8 3QZ", "W1A 0AX", "M1 1AE", "B33 8TH", "CR2 6XH", "DN55 1PT", "EC1A 1BB"]
        {
            assert!(has_postcode_shape(sound), "{sound}");
        }
        for odd in ["", "ZR1", "ZR1 4", "QX4 7LP", "ZZ1 2QD", "ZR1 4AC", "ZR1 4AI", "1R1 4AE", "ZR1A4 4AE", "é1 2AE"] {
            assert!(!has_postcode_shape(odd), "{odd}");
        }
    }
}
