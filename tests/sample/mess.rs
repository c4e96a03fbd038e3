//! What people do to spreadsheets: every surveyor has habits (units typed into cells, own words for yes, dates as text),
//! and some answers are not known, in as many spellings as there are surveyors. Knows no workbook.

use crate::draws::Draws;
use crate::row::{Cell, Row};

/// How often, in percent, a surveyor did not know an answer that could have been known.
const NOT_KNOWN: &[(&str, u32)] = &[
    ("cutout_rating_a", 3),
    ("cutout_evidence", 2),
    ("cutout_condition", 5),
    ("looped_service", 3),
    ("tails_mm2", 10),
    ("isolator_present", 7),
    ("earthing_system", 5),
    ("electrode_position", 10),
    ("main_bonding_mm2", 10),
    ("existing_demand_a", 1),
    ("heating", 3),
    ("shower_kw", 9),
    ("cooker_kw", 10),
    ("board_type", 4),
    ("board_condition", 4),
    ("board_main_switch_a", 10),
    ("earthing_conductor_mm2", 12),
    ("condition_report", 6),
    ("spare_ways", 7),
    ("board_rcd_type", 9),
    ("surge_protection", 8),
    ("parking_type", 1),
    ("parking_distance_m", 2),
    ("mobile_signal", 8),
    ("asbestos_on_route", 6),
    ("year_built", 3),
    ("mpan", 3),
];

/// Writes every cell of a row the way its surveyor would. Rows of one officer share their habits.
pub fn type_in(row: &mut Row) {
    let officer = row.text_at("own:officer").unwrap_or("Q01").to_owned();
    let hand = Draws::named(&officer).between(0, 4);
    let mut draws = Draws::named(&format!("typing {}", row.text_at("site_id").unwrap_or_default()));
    for column in crate::row::COLUMNS {
        let Some(cell) = row.get(column.key).cloned() else { continue };
        let share = NOT_KNOWN.iter().find(|(key, _)| *key == column.key).map_or(0, |(_, share)| *share);
        if draws.chance(share) {
            match not_known(hand, &mut draws) {
                "" => row.blank(column.key),
                text => row.text(column.key, text),
            };
            continue;
        }
        row.put(column.key, typed(column.key, cell, hand, &mut draws));
    }
}

/// "Not known", as this hand spells it today.
fn not_known(hand: i64, draws: &mut Draws) -> &'static str {
    match hand {
        0 => draws.pick(&["", "", "?"]),
        1 => draws.pick(&["N/K", "n/k", ""]),
        2 => draws.pick(&["unknown", "Unknown", "dont know"]),
        3 => draws.pick(&["tbc", "TBC", "-"]),
        _ => draws.pick(&["not known", "??", ""]),
    }
}

fn typed(key: &'static str, cell: Cell, hand: i64, draws: &mut Draws) -> Cell {
    match cell {
        Cell::Number(number) => number_typed(key, number, hand, draws),
        // A meter point number typed as a number keeps its 13 digits, though the sheet may show it with an exponent.
        Cell::Text(text) if key == "mpan" && hand == 3 => text.parse().map_or(Cell::Text(text), Cell::Number),
        Cell::Text(text) => Cell::Text(words_typed(key, &text, hand, draws)),
        Cell::Date(year, month, day) => match hand {
            2 => Cell::Text(format!("{day:02}/{month:02}/{:02}", year % 100)),
            3 if draws.chance(50) => Cell::Text(format!("{day}.{month}.{year}")),
            _ => Cell::Date(year, month, day),
        },
        Cell::NotAvailable => cell,
    }
}

fn number_typed(key: &str, number: f64, hand: i64, draws: &mut Draws) -> Cell {
    let text = match key {
        "cutout_rating_a" | "existing_demand_a" | "submain_device_a" | "board_main_switch_a" => match hand {
            1 => format!("{number}A"),
            2 => format!("{number} amp"),
            3 if draws.chance(50) => format!("{number} A"),
            _ => return Cell::Number(number),
        },
        "tails_mm2" | "main_bonding_mm2" | "earthing_conductor_mm2" | "submain_mm2" => match hand {
            1 => format!("{number}mm2"),
            2 => format!("{number}mm"),
            3 if draws.chance(40) => format!("{number} mm\u{b2}"),
            _ => return Cell::Number(number),
        },
        "parking_distance_m" => match hand {
            1 => format!("{number}m"),
            2 if draws.chance(70) => format!("{number} mtrs"),
            3 => draws.pick(&["approx ", "c. ", "~", ""]).to_owned() + &format!("{number}m"),
            4 if draws.chance(8) => format!("{}ft", (number * 3.281).round()),
            _ => return Cell::Number(number),
        },
        "route_indoor_m" | "route_surface_m" | "route_buried_m" | "meter_to_board_m" if hand == 1 => {
            format!("{number}m")
        }
        "requested_kw" => match hand {
            1 => format!("{number}kw"),
            2 => format!("{number} kW"),
            _ => return Cell::Number(number),
        },
        "shower_kw" if number == 0.0 => match hand {
            1 => "none".to_owned(),
            2 => "no".to_owned(),
            _ => return Cell::Number(number),
        },
        "shower_kw" | "cooker_kw" if hand == 2 => format!("{number}kW"),
        "agreed_capacity_kva" | "recorded_peak_kva" if hand == 2 => format!("{number} kVA"),
        "supply_phases" if hand == 3 => if number == 1.0 { "single" } else { "three phase" }.to_owned(),
        "ze_ohm" if hand == 1 => format!("{number} ohm"),
        _ => return Cell::Number(number),
    };
    Cell::Text(text)
}

fn words_typed(key: &str, text: &str, hand: i64, draws: &mut Draws) -> String {
    let hands: [&str; 5] = match (key, text) {
        ("mpan", core) if core.len() == 13 => {
            return match hand {
                1 => format!("{} {} {} {}", &core[..2], &core[2..6], &core[6..10], &core[10..]),
                _ => core.to_owned(),
            };
        }
        ("postcode", code) => {
            return match hand {
                2 => code.to_lowercase(),
                4 => code.replace(' ', ""),
                _ => code.to_owned(),
            };
        }
        ("address", place) => {
            return match draws.between(0, 19) {
                0 => format!("{place} "),
                1 => place.replace(", ", ",\u{a0}"),
                2 => place.to_uppercase(),
                _ => place.to_owned(),
            };
        }
        ("premises_type", "house") => ["House", "house", "House", "HOUSE", "House"],
        ("premises_type", "flat") => ["Flat", "flat", "Flat", "FLAT", "Flat"],
        ("premises_type", "block") => ["Block", "block", "Block of flats", "Block", "Block"],
        ("premises_type", "workplace") => ["Workplace", "workplace", "Office", "Workplace", "Workplace"],
        ("premises_type", "depot") => ["Depot", "depot", "Depot", "Depot", "Depot"],
        ("tenure", "social rent") => {
            ["Social rent", "social rent", "Social Rent", "Social rent", "Gen needs - social rent"]
        }
        ("tenure", "shared") => ["Shared", "Shared ownership", "shared", "Shared ownership", "S/O"],
        ("survey_method", "visit") => ["Visit", "visit", "Site visit", "Visit", "Visit"],
        ("survey_method", "photo") => ["Photo", "photos", "Photo", "Photo", "Photo"],
        ("survey_method", "phone") => ["Phone", "phone", "Telephone", "Phone", "phone call"],
        ("survey_method", "desk") => ["Desk", "desk", "Desk", "Desktop", "Desk"],
        ("cutout_evidence", "fuse") => ["Fuse seen", "fuse", "fuse seen", "Fuse", "Fuse seen"],
        ("cutout_evidence", "label") => ["Label", "label", "label", "Label", "Label on cut-out"],
        ("cutout_evidence", "carrier") => ["Carrier", "carrier", "carrier only", "Carrier", "Carrier"],
        ("cutout_evidence", "operator") => ["DNO record", "operator", "DNO record", "Operator", "Operator"],
        ("cutout_condition" | "board_condition", "sound") => ["Sound", "sound", "good", "Sound", "OK"],
        ("metering", "whole-current") => ["Whole current", "whole-current", "WC", "Whole current", "Whole current"],
        ("earthing_system", "TN-C-S") => ["TN-C-S", "PME", "TNCS", "TN-C-S (PME)", "TN-C-S"],
        ("earthing_system", "TN-S") => ["TN-S", "TNS", "TN-S", "TN-S", "lead sheath"],
        ("earthing_system", "TT") => ["TT", "TT", "earth rod", "TT", "TT"],
        ("demand_method", "measured") => ["Measured", "measured", "Logged", "Measured", "clamp meter"],
        ("demand_method", "calculated") => ["Calculated", "calc", "calculated", "Calculated", "Calculated"],
        ("demand_method", "estimated") => ["Estimated", "est", "estimate", "Estimated", "Estimated"],
        ("heating", "gas") => ["Gas", "gas", "Gas combi", "Gas", "GCH"],
        ("heating", "storage") => ["Storage", "storage htrs", "Storage heaters", "Storage", "Night storage"],
        ("heating", "direct") => ["Direct", "Panel heaters", "Electric panel", "Direct electric", "Direct"],
        ("heating", "heat-pump") => ["Heat pump", "ASHP", "heat pump", "Heat pump", "ASHP"],
        ("board_type", "plastic") => ["Plastic", "plastic", "plastic", "Plastic", "Plastic"],
        ("board_type", "rewireable") => {
            ["Rewireable", "rewirable fuses", "rewireable", "Rewireable", "Old fusebox (rewireable)"]
        }
        ("condition_report", "satisfactory") => ["Satisfactory", "satis", "Sat", "Satisfactory", "Satisfactory"],
        ("parking_type", "driveway") => ["Driveway", "drive", "Drive", "Driveway", "Driveway"],
        ("parking_type", "on-street") => ["On-street", "on street", "On street", "On-street", "Street"],
        ("parking_type", "communal") => ["Communal", "communal", "Shared car park", "Communal", "Car park"],
        ("parking_type", "allocated") => ["Allocated", "allocated bay", "Allocated bay", "Allocated", "Allocated"],
        ("consent_status", "not needed") => ["Not needed", "not needed", "Not req'd", "Not needed", "n/a"],
        ("wayleave_status", "not needed") => ["Not needed", "not needed", "Not req'd", "Not needed", "Not needed"],
        (_, "yes") => ["Yes", "Y", "yes", "Y", "Yes"],
        (_, "no") => ["No", "N", "no", "N", "No"],
        ("tenure" | "consent_status" | "wayleave_status", other) => return sentence_case(other, hand),
        ("board_type" | "parking_type" | "ground_surface" | "cutout_condition" | "board_condition", other) => {
            return sentence_case(other, hand);
        }
        (_, other) => return other.to_owned(),
    };
    hands[hand as usize].to_owned()
}

/// The word with a capital where this hand writes one.
fn sentence_case(word: &str, hand: i64) -> String {
    match (hand, word.chars().next()) {
        (0 | 3, Some(first)) => first.to_uppercase().collect::<String>() + &word[first.len_utf8()..],
        _ => word.to_owned(),
    }
}
