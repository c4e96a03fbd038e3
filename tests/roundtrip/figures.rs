//! Figures as people write them: bare or with a unit of their own, exact or in doubt. The factors and shares here are
//! written out a second time on purpose: they share nothing with the reader's tables.

use crate::draws::Draws;
use crate::values::{Cell, Truth, Written, spelt, stated, text};
use baywright::site::{Field, FieldKind};

/// A unit beside a number: how it is written, and what one of it is in the field's own.
type Unit = (&'static str, f64);

const METRES: &[Unit] = &[
    ("m", 1.0),
    (" m", 1.0),
    ("M", 1.0),
    (" metres", 1.0),
    (" mtrs", 1.0),
    (" meters", 1.0),
    ("mm", 0.001),
    (" mm", 0.001),
    (" cm", 0.01),
    ("ft", 0.3048),
    (" ft", 0.3048),
    (" feet", 0.3048),
    ("'", 0.3048),
    (" yds", 0.9144),
    (" yards", 0.9144),
];
const AMPERES: &[Unit] = &[
    ("A", 1.0),
    ("a", 1.0),
    (" A", 1.0),
    (" amp", 1.0),
    ("amp", 1.0),
    (" Amps", 1.0),
    (" AMPS", 1.0),
    (" amperes", 1.0),
];
const KILOWATTS: &[Unit] = &[("kW", 1.0), (" kW", 1.0), ("kw", 1.0), (" KW", 1.0), ("W", 0.001), (" watts", 0.001)];
const KILOVOLTAMPERES: &[Unit] = &[("kVA", 1.0), (" kVA", 1.0), (" KVA", 1.0), ("kva", 1.0)];
const OHMS: &[Unit] =
    &[("\u{2126}", 1.0), (" \u{3a9}", 1.0), (" ohm", 1.0), (" ohms", 1.0), ("ohm", 1.0), (" mohm", 0.001)];
const KILOAMPERES: &[Unit] = &[("kA", 1.0), (" kA", 1.0), (" ka", 1.0), (" A", 0.001)];
const AREAS: &[Unit] =
    &[("mm2", 1.0), (" mm2", 1.0), ("mm\u{b2}", 1.0), (" sq mm", 1.0), ("mm", 1.0), (" mm\u{b2}", 1.0)];
const DEGREES: &[Unit] = &[("C", 1.0), (" C", 1.0), ("\u{b0}C", 1.0), (" deg C", 1.0)];
const MILES: &[Unit] = &[(" miles", 1.0), (" mi", 1.0), (" km", 0.621_371)];
const ECONOMY: &[Unit] = &[(" mi/kWh", 1.0), (" miles/kWh", 1.0)];

/// The units in which a field is written beside its own.
fn units(field: &Field) -> &'static [Unit] {
    match field.unit {
        "A" => AMPERES,
        "kW" => KILOWATTS,
        "kVA" => KILOVOLTAMPERES,
        "ohm" => OHMS,
        "kA" => KILOAMPERES,
        "m" => METRES,
        "mm2" => AREAS,
        "degC" => DEGREES,
        "miles" => MILES,
        "miles/kWh" => ECONOMY,
        _ => &[],
    }
}

/// Units in a heading, and what one of each is in the field's own. Apparent power and power of existing demand depend
/// on the row's phases and are reckoned where the figure is.
pub fn heading_unit(draws: &mut Draws, field: &Field) -> Option<&'static str> {
    let among: &[&'static str] = match (field.unit, field.name) {
        ("A", "existing_demand_a") => &["kVA"],
        ("kW", name) if name != "requested_kw" => &["W", "watts"],
        ("m", _) => &["ft", "mm", "feet", "cm", "yds"],
        ("ohm", _) => &["mohm"],
        ("miles", _) => &["km"],
        _ => return None,
    };
    draws.chance(20).then(|| *draws.one(among))
}

fn factor_of(unit: &str, phases: f64) -> f64 {
    match unit {
        "W" | "watts" | "mm" | "mohm" => 0.001,
        "cm" => 0.01,
        "ft" | "feet" => 0.3048,
        "yds" => 0.9144,
        "km" => 0.621_371,
        // Amperes a phase at the nominal 230 V.
        "kVA" => 1000.0 / (230.0 * phases),
        other => unreachable!("{other}"),
    }
}

/// A usual figure of a field, in its own unit.
fn usual(draws: &mut Draws, name: &str) -> f64 {
    let mut between = |low: f64, high: f64, step: f64| {
        let steps = ((high - low) / step) as usize + 1;
        let value = low + step * draws.below(steps) as f64;
        (value * 1e4).round() / 1e4
    };
    match name {
        "priority" => between(1.0, 20.0, 1.0),
        "latitude" => between(50.1, 58.9, 0.000_1),
        "longitude" => between(-5.9, 1.6, 0.000_1),
        "supply_phases" => between(1.0, 3.0, 2.0),
        "cutout_rating_a" | "board_main_switch_a" => between(60.0, 100.0, 20.0),
        "tails_mm2" => between(16.0, 25.0, 9.0),
        "main_bonding_mm2" | "earthing_conductor_mm2" => between(10.0, 16.0, 6.0),
        "ze_ohm" => between(0.08, 0.8, 0.01),
        "fault_level_ka" => between(0.6, 16.0, 0.1),
        "agreed_capacity_kva" => between(23.0, 80.0, 1.0),
        "recorded_peak_kva" => between(4.0, 20.0, 0.5),
        "existing_demand_a" => between(24.0, 110.0, 1.0),
        "existing_demand_kw" => between(2.0, 15.0, 0.5),
        "bedrooms" | "existing_charge_points" | "spare_ways" | "walls" => between(0.0, 5.0, 1.0),
        "shower_kw" => between(7.5, 10.5, 1.0),
        "cooker_kw" | "water_heater_kw" | "heat_pump_kw" | "solar_kw" | "battery_kw" => between(0.0, 12.0, 0.5),
        "submain_mm2" => between(10.0, 16.0, 6.0),
        "submain_device_a" => between(40.0, 80.0, 20.0),
        "parking_distance_m" => between(1.0, 60.0, 0.5),
        "route_indoor_m" | "route_surface_m" | "route_buried_m" | "meter_to_board_m" | "insulated_length_m" => {
            between(0.0, 40.0, 0.5)
        }
        "ambient_c" => between(15.0, 45.0, 1.0),
        "year_built" => between(1850.0, 2020.0, 1.0),
        "requested_kw" => [3.6, 7.0, 7.4, 11.0, 22.0][draws.below(5)],
        "daily_miles" => between(5.0, 120.0, 1.0),
        "miles_per_kwh" => between(2.5, 4.5, 0.1),
        _ => between(1.0, 9.0, 1.0),
    }
}

/// Fields of which the smaller of two stated values is the likely one.
const CAREFUL: &[&str] = &[
    "cutout_rating_a",
    "tails_mm2",
    "main_bonding_mm2",
    "agreed_capacity_kva",
    "board_main_switch_a",
    "earthing_conductor_mm2",
    "submain_mm2",
    "submain_device_a",
    "spare_ways",
];
/// Fields that nobody writes with a doubt.
const PLAIN: &[&str] = &["latitude", "longitude", "priority", "supply_phases", "year_built"];

/// At most four decimals, as people write.
fn written(value: f64) -> String {
    format!("{}", (value * 1e4).round() / 1e4)
}

/// A figure with the sign of its doubt, and its range.
fn doubted(draws: &mut Draws, field: &Field, number: f64, factor: f64, unit: &str) -> Cell {
    let own = number * factor;
    let shown = format!("{}{unit}", written(number));
    let cutout = field.name == "cutout_rating_a";
    let (written, low, likely, high) = match draws.below(5) {
        0 => {
            // "c. 28" of degrees is a case of the corpus.
            let most = if field.unit == "degC" { 5 } else { 6 };
            let sign = draws.one::<&str>(&["approx ", "~", "about ", "approx. ", "est ", "c. "][..most]);
            let (low, high) = if cutout { (0.6, 1.0) } else { (0.75, 1.25) };
            (format!("{sign}{shown}"), low * own, own, high * own)
        }
        1 => {
            let (low, high) = if cutout { (0.6, 1.0) } else { (0.75, 1.25) };
            (format!("{shown}?"), low * own, own, high * own)
        }
        2 => (format!("{}{shown}", draws.one::<&str>(&["over ", "at least ", ">"])), own, own, 1.5 * own),
        3 => (format!("{}{shown}", draws.one::<&str>(&["up to ", "no more than ", "<"])), 0.5 * own, own, own),
        _ => {
            let second = (number * 1.5).ceil();
            let between = draws.one::<&str>(&["-", " to ", " - ", "/", " or ", "\u{2013}"]);
            let likely = if CAREFUL.contains(&field.name) { own } else { (own + second * factor) / 2.0 };
            (format!("{}{between}{}{unit}", written(number), written(second)), own, likely, second * factor)
        }
    };
    let whole = |value: f64| if field.kind == FieldKind::Count { value.floor() } else { value };
    let (min, max) = (field.min.unwrap_or(f64::MIN), field.max.unwrap_or(f64::MAX));
    let likely = whole(likely);
    (text(written), Truth::Range([whole(low).clamp(min, likely), likely, whole(high).clamp(likely, max)]))
}

/// A figure of a field, written in some unit.
pub fn figure(draws: &mut Draws, field: &Field, unit: Option<&str>, phases: f64) -> Cell {
    let own = usual(draws, field.name);
    if field.name == "supply_phases" && draws.chance(50) {
        return (text(spelt(draws, field, &format!("{own}"))), stated(format!("{own}")));
    }
    if field.name == "year_built" && draws.chance(10) {
        let decade = (own / 10.0).floor() * 10.0;
        // "1900s" is read as the century.
        let years = if decade % 100.0 == 0.0 && decade < 2000.0 { 99.0 } else { 9.0 };
        return (text(format!("{decade}s")), Truth::Range([decade, decade + ((years + 1.0) / 2.0), decade + years]));
    }
    // In the unit of the heading, in one of its own, or bare.
    let beside = units(field);
    let (suffix, factor) = match unit {
        Some(unit) if draws.chance(80) || beside.is_empty() => ("", factor_of(unit, phases)),
        Some(_) => *draws.one(beside),
        None if draws.chance(45) && !beside.is_empty() => *draws.one(beside),
        None => ("", 1.0),
    };
    // A figure in small units is written whole.
    let places = if factor < 0.1 {
        1.0
    } else if factor == 1.0 {
        1e4
    } else {
        10.0
    };
    let number = (own / factor * places).round() / places;
    if draws.chance(15) && number > 1.0 && !PLAIN.contains(&field.name) {
        return doubted(draws, field, number, factor, suffix);
    }
    let value = number * factor;
    let cell = match suffix {
        "" if draws.chance(60) => Written::Number(number),
        _ => text(format!("{}{suffix}", written(number))),
    };
    (cell, stated(format!("{}", (value * 1e6).round() / 1e6)))
}
