//! Where in a `Site` each survey column lives: the one list that ties the names of the contract to the model.

use crate::site::{
    Answer, BoardType, Condition, ConditionReport, ConsentStatus, CutoutEvidence, DemandMethod, DistanceFrom,
    EarthingSystem, GroundSurface, Heating, Metering, ParkingType, Premises, RcdType, Reading, Site, SurveyMethod,
    Tenure, Verdict,
};
use jiff::civil::Date;

/// The place of one field, by the kind of its value.
#[derive(Clone, Copy)]
pub(super) enum Slot {
    /// The key of the site.
    SiteId,
    /// Text.
    Text(fn(&mut Site) -> &mut Reading<String>),
    /// A number or a count.
    Number(fn(&mut Site) -> &mut Reading<f64>),
    /// Yes or no.
    YesNo(fn(&mut Site) -> &mut Reading<bool>),
    /// A day.
    Day(fn(&mut Site) -> &mut Reading<Date>),
    /// One of a list of words; takes the word as the contract spells it.
    Word(fn(&mut Site, Answer<&'static str>, u16)),
}

/// An answer with each of its values turned into another type; a value that has no counterpart is not understood.
fn turned<T>(answer: Answer<&'static str>, turn: impl Fn(&'static str) -> Option<T>) -> Answer<T> {
    use crate::site::WhyUnknown::NotUnderstood;
    match answer {
        Answer::NotAsked => Answer::NotAsked,
        Answer::Unknown(why) => Answer::Unknown(why),
        Answer::Stated(word) => turn(word).map_or(Answer::Unknown(NotUnderstood), Answer::Stated),
        Answer::Doubtful { low, likely, high } => match (turn(low), turn(likely), turn(high)) {
            (Some(low), Some(likely), Some(high)) => Answer::Doubtful { low, likely, high },
            _ => Answer::Unknown(NotUnderstood),
        },
    }
}

macro_rules! slots {
    (
        text: $($tp:ident . $t:ident),+;
        number: $($np:ident . $n:ident),+;
        yes_no: $($yp:ident . $y:ident),+;
        day: $($dp:ident . $d:ident),+;
        word: $($wp:ident . $w:ident = $kind:ident),+;
    ) => {
        /// The place of the field with this name.
        pub(super) fn slot(name: &str) -> Option<Slot> {
            Some(match name {
                "site_id" => Slot::SiteId,
                $(stringify!($t) => Slot::Text(|site| &mut site.$tp.$t),)+
                $(stringify!($n) => Slot::Number(|site| &mut site.$np.$n),)+
                $(stringify!($y) => Slot::YesNo(|site| &mut site.$yp.$y),)+
                $(stringify!($d) => Slot::Day(|site| &mut site.$dp.$d),)+
                $(stringify!($w) => Slot::Word(|site, answer, column| {
                    site.$wp.$w = Reading { answer: turned(answer, $kind::from_word), column: Some(column) };
                }),)+
                "nation" => Slot::Word(|site, answer, column| {
                    let answer = turned(answer, |word| Some(word.to_owned()));
                    site.identity.nation = Reading { answer, column: Some(column) };
                }),
                _ => return None,
            })
        }
    };
}

slots! {
    text: identity.uprn, identity.address, identity.postcode, identity.lot, identity.notes, identity.override_by,
        identity.override_why, supply.mpan, supply.distributor, supply.feeder_id, parking.inlet_position,
        parking.parking_orientation;
    number: identity.priority, identity.latitude, identity.longitude, supply.supply_phases, supply.cutout_rating_a,
        supply.tails_mm2, supply.ze_ohm, supply.fault_level_ka, supply.main_bonding_mm2, supply.agreed_capacity_kva,
        supply.recorded_peak_kva, load.existing_demand_a, load.existing_demand_kw, load.bedrooms, load.shower_kw,
        load.cooker_kw, load.water_heater_kw, load.heat_pump_kw, load.solar_kw, load.battery_kw,
        load.existing_charge_points, board.board_main_switch_a, board.earthing_conductor_mm2, board.submain_mm2,
        board.submain_device_a, board.spare_ways, board.meter_to_board_m, parking.bays, parking.parking_distance_m,
        parking.route_indoor_m, parking.route_surface_m, parking.route_buried_m, parking.walls,
        parking.insulated_length_m, parking.ambient_c, parking.grouped_circuits, parking.storeys,
        permissions.year_built, wanted.points_wanted, wanted.requested_kw, wanted.vehicles, wanted.daily_miles,
        wanted.miles_per_kwh, wanted.arrive, wanted.depart;
    yes_no: supply.supply_present, supply.unmetered, supply.looped_service, supply.isolator_present,
        supply.electrode_position, board.surge_protection, parking.covered_parking, parking.tethered,
        parking.mobile_signal, permissions.listed, permissions.asbestos_on_route;
    day: identity.survey_date, identity.override_date, board.condition_report_date;
    word: identity.premises_type = Premises, identity.tenure = Tenure, identity.survey_method = SurveyMethod,
        identity.override_verdict = Verdict, supply.metering = Metering, supply.cutout_evidence = CutoutEvidence,
        supply.cutout_condition = Condition, supply.earthing_system = EarthingSystem,
        load.demand_method = DemandMethod, load.heating = Heating, board.board_type = BoardType,
        board.board_condition = Condition, board.condition_report = ConditionReport, board.board_rcd_type = RcdType,
        parking.parking_type = ParkingType, parking.distance_from = DistanceFrom,
        parking.ground_surface = GroundSurface, permissions.consent_status = ConsentStatus,
        permissions.wayleave_status = ConsentStatus;
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::site::{FieldKind, fields};

    #[test]
    fn every_field_has_a_place_of_its_kind_and_every_word_is_one_of_the_model() {
        for field in fields() {
            let slot = slot(field.name).unwrap_or_else(|| panic!("{} has no place", field.name));
            let fits = match slot {
                Slot::SiteId => field.kind == FieldKind::Identifier,
                Slot::Text(_) => matches!(field.kind, FieldKind::Text | FieldKind::Identifier),
                Slot::Number(_) => matches!(field.kind, FieldKind::Number | FieldKind::Count | FieldKind::Time),
                Slot::YesNo(_) => field.kind == FieldKind::YesNo,
                Slot::Day(_) => field.kind == FieldKind::Date,
                Slot::Word(_) => field.kind == FieldKind::Word,
            };
            assert!(fits, "{}", field.name);
            if let Slot::Word(put) = slot {
                for word in field.words.iter().filter(|word| **word != "unknown") {
                    let mut site = Site::default();
                    put(&mut site, Answer::Stated(word), 7);
                    let shown = format!("{site:?}");
                    assert!(shown.contains("Stated("), "{}: {word} is not a word of the model", field.name);
                }
            }
        }
    }
}
