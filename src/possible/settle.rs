//! How a survey looks once a fact is settled: the words of the table as answers.

use super::Look;
use crate::quantity::U0_V;
use crate::site::{
    Answer, Condition, ConditionReport, ConsentStatus, CutoutEvidence, EarthingSystem, ParkingType, Reading, Site,
    Tenure,
};

/// The least cut-out that is taken to stand behind a larger number, amperes.
pub(super) const LEAST_CUTOUT_A: f64 = 60.0;

fn state<T>(reading: &mut Reading<T>, value: T) {
    reading.answer = Answer::Stated(value);
}

/// States the end of a doubtful reading, or leaves the likely value as stated.
fn end<T: Clone>(reading: &mut Reading<T>, word: &str) {
    let value = reading.ends().map(|(low, likely, high)| match word {
        "low end" => low.clone(),
        "high end" => high.clone(),
        _ => likely.clone(),
    });
    if let Some(value) = value {
        state(reading, value);
    }
}

pub(super) fn cutout(site: &mut Site, word: &str, _: &Look<'_>) {
    let supply = &mut site.supply;
    if let Ok(amps) = word.parse() {
        state(&mut supply.cutout_rating_a, amps);
    } else {
        end(&mut supply.cutout_rating_a, word);
    }
    if word == "a size less" {
        // Sizes of domestic cut-outs: 60, 80 and 100 A (BS 88-3 and BS 1361 fuses; common practice).
        let stated_a = supply.cutout_rating_a.value().unwrap_or(LEAST_CUTOUT_A);
        state(&mut supply.cutout_rating_a, if stated_a > 80.0 { 80.0 } else { LEAST_CUTOUT_A.min(stated_a) });
    }
    state(&mut supply.cutout_evidence, CutoutEvidence::Fuse);
}

pub(super) fn phases(site: &mut Site, word: &str, _: &Look<'_>) {
    state(&mut site.supply.supply_phases, word.parse().unwrap_or(1.0));
}

pub(super) fn earthing(site: &mut Site, word: &str, _: &Look<'_>) {
    // "TT of 100 ohm": the system, and its electrode where it has one.
    let (system, electrode) = word.split_once(" of ").unwrap_or((word, ""));
    match EarthingSystem::from_word(system) {
        Some(system) => state(&mut site.supply.earthing_system, system),
        None => end(&mut site.supply.earthing_system, word),
    }
    if let Some(ohm) = electrode.split(' ').next().and_then(|ohm| ohm.parse().ok()) {
        state(&mut site.supply.ze_ohm, ohm);
    }
}

pub(super) fn ze(site: &mut Site, word: &str, _: &Look<'_>) {
    if let Ok(ohm) = word.parse() {
        state(&mut site.supply.ze_ohm, ohm);
    }
}

pub(super) fn fault_level(site: &mut Site, word: &str, _: &Look<'_>) {
    if let Ok(ka) = word.parse() {
        state(&mut site.supply.fault_level_ka, ka);
    }
}

pub(super) fn capacity(site: &mut Site, word: &str, look: &Look<'_>) {
    let Some(times) = word.split(' ').next().and_then(|times| times.parse::<f64>().ok()) else {
        return;
    };
    let demand_kva = look.facts.demand.band_a.likely * U0_V * f64::from(look.facts.supply_phases) / 1000.0;
    state(&mut site.supply.agreed_capacity_kva, times * demand_kva);
}

pub(super) fn electrode_position(site: &mut Site, word: &str, _: &Look<'_>) {
    state(&mut site.supply.electrode_position, word == "yes");
}

pub(super) fn looped(site: &mut Site, word: &str, _: &Look<'_>) {
    state(&mut site.supply.looped_service, word == "yes");
}

pub(super) fn cutout_condition(site: &mut Site, word: &str, _: &Look<'_>) {
    state(&mut site.supply.cutout_condition, Condition::from_word(word).unwrap_or(Condition::Unsafe));
}

pub(super) fn parking(site: &mut Site, word: &str, look: &Look<'_>) {
    let off_street = |parking: &ParkingType| !matches!(parking, ParkingType::None | ParkingType::OnStreet);
    let kind = match (word, site.parking.parking_type.ends()) {
        ("none", _) => ParkingType::None,
        (_, Some((low, _, high))) => *[low, high].into_iter().find(|end| off_street(end)).unwrap_or(low),
        (_, None) => look.facts.parking,
    };
    state(&mut site.parking.parking_type, kind);
}

pub(super) fn covered(site: &mut Site, word: &str, _: &Look<'_>) {
    state(&mut site.parking.covered_parking, word == "yes");
}

pub(super) fn consent(site: &mut Site, word: &str, _: &Look<'_>) {
    let permissions = &mut site.permissions;
    match word {
        "as stated" if permissions.consent_status.is_stated() => {}
        "as stated" => state(&mut permissions.consent_status, ConsentStatus::NotAsked),
        word => {
            let status = ConsentStatus::from_word(word).unwrap_or(ConsentStatus::Refused);
            state(&mut permissions.consent_status, status);
        }
    }
}

pub(super) fn tenure(site: &mut Site, word: &str, _: &Look<'_>) {
    let tenure = Tenure::from_word(word).unwrap_or(Tenure::PrivateRent);
    state(&mut site.identity.tenure, tenure);
    // A landlord who was never asked is still to be asked.
    if tenure != Tenure::Owner && !site.permissions.consent_status.is_stated() {
        state(&mut site.permissions.consent_status, ConsentStatus::NotAsked);
    }
}

pub(super) fn listed(site: &mut Site, word: &str, _: &Look<'_>) {
    state(&mut site.permissions.listed, word == "yes");
}

pub(super) fn asbestos(site: &mut Site, word: &str, _: &Look<'_>) {
    state(&mut site.permissions.asbestos_on_route, word == "yes");
}

pub(super) fn condition_report(site: &mut Site, word: &str, _: &Look<'_>) {
    state(&mut site.board.condition_report, ConditionReport::from_word(word).unwrap_or(ConditionReport::C2));
}

pub(super) fn board_condition(site: &mut Site, word: &str, _: &Look<'_>) {
    state(&mut site.board.board_condition, Condition::from_word(word).unwrap_or(Condition::Unsafe));
}

pub(super) fn storeys(site: &mut Site, word: &str, _: &Look<'_>) {
    state(&mut site.parking.storeys, word.parse().unwrap_or_default());
}
