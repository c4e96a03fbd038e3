//! A site from the survey columns of a case, spelt as in the contract.
//!
//! A number may be a list of low, likely and high; the word "unknown" stands for asked and not answered.

use super::case::{Inputs, number};
use baywright::site::*;

fn reading<T>(value: &toml::Value, of: impl Fn(&toml::Value) -> Option<T>) -> Result<Reading<T>, String> {
    if value.as_str() == Some("unknown") {
        return Ok(Reading::unknown());
    }
    if let toml::Value::Array(ends) = value {
        let ends: Option<Vec<T>> = ends.iter().map(of).collect();
        let [low, likely, high]: [T; 3] =
            ends.and_then(|ends| ends.try_into().ok()).ok_or("a range is low, likely, high")?;
        return Ok(Reading { answer: Answer::Doubtful { low, likely, high }, column: None });
    }
    of(value).map(Reading::of).ok_or_else(|| format!("{value} is not a value of this field"))
}

fn flag(value: &toml::Value) -> Option<bool> {
    value.as_bool()
}

/// A text field of the contract.
macro_rules! word {
    ($kind:ty) => {
        |value: &toml::Value| value.as_str().and_then(<$kind>::from_word)
    };
}

pub fn site(inputs: &Inputs<'_>) -> Result<Site, String> {
    let mut site = Site { row: 2, site_id: "case".into(), ..Site::default() };
    for name in inputs.names() {
        if let Some(value) = inputs.raw(name) {
            set(&mut site, name, value).map_err(|fault| format!("inputs: {name}: {fault}"))?;
        }
    }
    Ok(site)
}

fn set(site: &mut Site, name: &str, value: &toml::Value) -> Result<(), String> {
    let (supply, load, board) = (&mut site.supply, &mut site.load, &mut site.board);
    let (parking, wanted) = (&mut site.parking, &mut site.wanted);
    let numbers = match name {
        "supply_phases" => &mut supply.supply_phases,
        "cutout_rating_a" => &mut supply.cutout_rating_a,
        "tails_mm2" => &mut supply.tails_mm2,
        "ze_ohm" => &mut supply.ze_ohm,
        "fault_level_ka" => &mut supply.fault_level_ka,
        "main_bonding_mm2" => &mut supply.main_bonding_mm2,
        "agreed_capacity_kva" => &mut supply.agreed_capacity_kva,
        "recorded_peak_kva" => &mut supply.recorded_peak_kva,
        "existing_demand_a" => &mut load.existing_demand_a,
        "existing_demand_kw" => &mut load.existing_demand_kw,
        "earthing_conductor_mm2" => &mut board.earthing_conductor_mm2,
        "spare_ways" => &mut board.spare_ways,
        "meter_to_board_m" => &mut board.meter_to_board_m,
        "submain_mm2" => &mut board.submain_mm2,
        "submain_device_a" => &mut board.submain_device_a,
        "parking_distance_m" => &mut parking.parking_distance_m,
        "route_indoor_m" => &mut parking.route_indoor_m,
        "route_surface_m" => &mut parking.route_surface_m,
        "route_buried_m" => &mut parking.route_buried_m,
        "insulated_length_m" => &mut parking.insulated_length_m,
        "ambient_c" => &mut parking.ambient_c,
        "grouped_circuits" => &mut parking.grouped_circuits,
        "walls" => &mut parking.walls,
        "year_built" => &mut site.permissions.year_built,
        "bays" => &mut parking.bays,
        "points_wanted" => &mut wanted.points_wanted,
        "requested_kw" => &mut wanted.requested_kw,
        "vehicles" => &mut wanted.vehicles,
        "daily_miles" => &mut wanted.daily_miles,
        "miles_per_kwh" => &mut wanted.miles_per_kwh,
        "arrive" => &mut wanted.arrive,
        "depart" => &mut wanted.depart,
        _ => return set_word(site, name, value),
    };
    *numbers = reading(value, number)?;
    Ok(())
}

fn set_word(site: &mut Site, name: &str, value: &toml::Value) -> Result<(), String> {
    match name {
        "isolator_present" => site.supply.isolator_present = reading(value, flag)?,
        "electrode_position" => site.supply.electrode_position = reading(value, flag)?,
        "surge_protection" => site.board.surge_protection = reading(value, flag)?,
        "premises_type" => site.identity.premises_type = reading(value, word!(Premises))?,
        "metering" => site.supply.metering = reading(value, word!(Metering))?,
        "earthing_system" => site.supply.earthing_system = reading(value, word!(EarthingSystem))?,
        "demand_method" => site.load.demand_method = reading(value, word!(DemandMethod))?,
        "heating" => site.load.heating = reading(value, word!(Heating))?,
        "board_rcd_type" => site.board.board_rcd_type = reading(value, word!(RcdType))?,
        "parking_type" => site.parking.parking_type = reading(value, word!(ParkingType))?,
        "ground_surface" => site.parking.ground_surface = reading(value, word!(GroundSurface))?,
        _ => return Err("no case has needed this field yet: add it to survey.rs".into()),
    }
    Ok(())
}
