//! Cells planted by hand: contradictions, refusals, doubts and faults that a real survey holds and chance alone might not
//! bring. Each line names the place, the column and what stands there. Knows no workbook.

use crate::row::{Cell, Row};

/// What is planted.
#[derive(Clone, Copy)]
pub enum Plant {
    /// Text as typed.
    T(&'static str),
    /// A number.
    N(f64),
    /// Nothing.
    Blank,
    /// The error value of a failed look-up.
    NotAvailable,
}
use Plant::{Blank, N, NotAvailable, T};

/// Start of the address, survey column, cell.
const PLANTED: &[(&str, &str, Plant)] = &[
    // Contradictions inside one row.
    ("3 Lower Pound", "earthing_system", T("TT")),
    ("3 Lower Pound", "ze_ohm", N(0.3)),
    ("5 Marram Drive", "cutout_rating_a", T("100A")),
    ("5 Marram Drive", "tails_mm2", N(16.0)),
    ("5 Marram Drive", "existing_demand_a", N(24.0)),
    ("5 Marram Drive", "demand_method", T("Measured")),
    ("9 Starling View", "requested_kw", T("22kw")),
    ("9 Starling View", "supply_phases", N(1.0)),
    ("11 Saltern Fields", "requested_kw", N(11.0)),
    ("3 Mill Lane", "survey_method", T("Phone")),
    ("3 Mill Lane", "looped_service", T("No")),
    ("7 Mill Lane", "survey_method", T("Phone")),
    ("7 Mill Lane", "looped_service", T("no")),
    ("7 Mill Lane", "notes", T("Tenant says not looped")),
    ("5 Larder Lane", "looped_service", T("Yes")),
    ("7 Larder Lane", "looped_service", T("No")),
    ("7 Larder Lane", "notes", T("Photo 2 shows two cables at the cut-out")),
    ("9 Mill Lane", "parking_type", T("Driveway")),
    ("9 Mill Lane", "notes", T("Terraced, no drive, parks on street")),
    ("13 Fern Road", "earthing_system", T("TN-C-S")),
    ("13 Fern Road", "ze_ohm", N(0.52)),
    ("9 Cooper's Piece", "earthing_system", T("TN-S")),
    ("9 Cooper's Piece", "ze_ohm", N(1.4)),
    ("7 Hobbin Avenue", "cutout_rating_a", N(100.0)),
    ("1 Bellringer Way", "cutout_rating_a", T("100 amps")),
    ("15 Ternfield", "distributor", T("16")),
    ("19 Old Tannery Close", "existing_demand_a", N(96.0)),
    ("19 Old Tannery Close", "cutout_rating_a", N(60.0)),
    ("19 Old Tannery Close", "demand_method", T("Measured")),
    ("17 Sorrel Bank", "shower_kw", N(10.5)),
    ("17 Sorrel Bank", "cooker_kw", N(10.5)),
    ("17 Sorrel Bank", "existing_demand_a", N(11.0)),
    ("17 Sorrel Bank", "demand_method", T("Estimated")),
    // Earth electrodes.
    ("5 Lower Pound", "ze_ohm", N(420.0)),
    ("5 Lower Pound", "earthing_system", T("TT")),
    ("7 Orchard Side", "ze_ohm", N(2100.0)),
    ("7 Orchard Side", "earthing_system", T("TT")),
    ("9 Orchard Side", "ze_ohm", T(">200")),
    ("9 Orchard Side", "earthing_system", T("TT - rod?")),
    ("11 Orchard Side", "ze_ohm", Blank),
    // Doubts and what could not be seen.
    ("1 Fennel Row", "cutout_rating_a", T("see photo")),
    ("9 Larder Lane", "cutout_rating_a", T("see photo")),
    ("21 Weir Gardens", "cutout_rating_a", T("see pic 3")),
    ("5 Nettle Hill", "cutout_rating_a", T("see photo")),
    ("3 Fennel Row", "cutout_rating_a", T("60/80")),
    ("13 Larder Lane", "cutout_rating_a", T("60 or 80")),
    ("9 Marram Drive", "cutout_rating_a", T("80/100")),
    ("15 Marram Drive", "cutout_rating_a", T("80?")),
    ("5 Wicket Green", "cutout_rating_a", T("100A?")),
    ("7 Ternfield", "cutout_rating_a", T("100A (sealed)")),
    ("11 Cooper's Piece", "cutout_rating_a", T("6O")),
    ("17 Larder Lane", "looped_service", T("no access")),
    ("13 Sorrel Bank", "looped_service", T("NA cupboard locked")),
    ("7 Nettle Hill", "looped_service", T("?")),
    ("11 Fern Road", "looped_service", T("No?")),
    ("19 Sorrel Bank", "tails_mm2", T("16/25")),
    ("9 Weir Gardens", "existing_demand_a", T("38-44")),
    ("3 Weir Gardens", "existing_demand_a", T("5.5kW")),
    ("13 Bellringer Way", "existing_demand_a", T("approx 30A")),
    ("19 Starling View", "existing_demand_a", T("see logger file")),
    ("3 Bellringer Way", "shower_kw", T("power shower")),
    ("5 Bellringer Way", "shower_kw", T("9500W")),
    ("5 Groyne Walk", "heat_pump_kw", T("8.5 thermal")),
    ("9 Fern Road", "earthing_system", T("TN-S?")),
    ("3 Cooper's Piece", "earthing_system", T("behind boxing")),
    ("5 Cooper's Piece", "survey_method", T("Visit")),
    ("5 Cooper's Piece", "cutout_rating_a", T("no access")),
    ("5 Cooper's Piece", "notes", T("Called twice, no answer")),
    // Distances in every unit.
    ("17 Weir Gardens", "parking_distance_m", T("64m")),
    ("5 Weir Gardens", "parking_distance_m", T("40ft")),
    ("7 Weir Gardens", "parking_distance_m", T("40'")),
    ("11 Weir Gardens", "parking_distance_m", T("12000mm")),
    ("13 Weir Gardens", "parking_distance_m", N(1150.0)),
    ("15 Weir Gardens", "parking_distance_m", T("10-15m")),
    ("19 Weir Gardens", "parking_distance_m", T("12m+")),
    ("23 Weir Gardens", "parking_distance_m", T("14ish")),
    ("13 Thresher's End", "parking_distance_m", N(118.0)),
    ("15 Thresher's End", "parking_distance_m", T("320 m")),
    ("7 Fern Road", "parking_distance_m", T("12mtrs")),
    ("15 Fern Road", "parking_distance_m", T("as above")),
    // Identifiers.
    ("1 Larder Lane", "mpan", T("2300003171921")),
    ("11 Sorrel Bank", "mpan", T("1600017654321")),
    ("3 Nettle Hill", "mpan", T("4419228604")),
    ("5 Starling View", "mpan", T("1.3E+12")),
    ("7 Starling View", "mpan", N(1.3e12)),
    ("3 Marram Drive", "uprn", T("9.9E+10")),
    ("7 Saltern Fields", "postcode", T("YDI 3AO")),
    ("9 Saltern Fields", "postcode", NotAvailable),
    ("13 Starling View", "feeder_id", NotAvailable),
    ("15 Starling View", "year_built", NotAvailable),
    // Faults at the supply and the board.
    ("11 Fennel Row", "cutout_condition", T("unsafe")),
    ("11 Fennel Row", "notes", T("Compound leaking, hot to touch: reported to DNO")),
    ("13 Kiln Steps", "cutout_condition", T("Unsafe")),
    ("15 Larder Lane", "cutout_condition", T("doubtful")),
    ("13 Cooper's Piece", "cutout_condition", T("doubtful")),
    ("17 Fern Road", "board_condition", T("Unsafe")),
    ("19 Fern Road", "condition_report", T("C2")),
    ("11 Nettle Hill", "condition_report", T("C1")),
    ("9 Nettle Hill", "condition_report", T("FI")),
    ("1 Sorrel Bank", "spare_ways", N(0.0)),
    ("1 Sorrel Bank", "board_type", T("Rewireable")),
    ("3 Sorrel Bank", "spare_ways", T("none")),
    ("5 Sorrel Bank", "asbestos_on_route", T("Yes")),
    ("7 Sorrel Bank", "asbestos_on_route", T("Yes - meter panel")),
    ("1 Wicket Green", "existing_charge_points", N(1.0)),
    ("3 Wicket Green", "mobile_signal", T("No")),
    ("1 Lugger Street", "listed", T("Yes")),
    ("1 Lugger Street", "parking_type", T("Driveway")),
    ("1 Lugger Street", "looped_service", T("No")),
    ("1 Lugger Street", "parking_distance_m", N(9.0)),
    ("1 Lugger Street", "consent_status", T("asked")),
    ("3 Shieling Road", "cutout_rating_a", N(40.0)),
    ("5 Shieling Road", "unmetered", T("No")),
    ("5 Saltern Fields", "supply_phases", N(3.0)),
    ("5 Saltern Fields", "requested_kw", N(22.0)),
    ("5 Saltern Fields", "existing_demand_a", N(18.0)),
    ("5 Saltern Fields", "demand_method", T("Measured")),
    ("3 Saltern Fields", "supply_phases", N(3.0)),
    ("3 Saltern Fields", "requested_kw", T("11kW")),
    ("1 Thresher's End", "wayleave_status", T("Refused")),
    ("1 Thresher's End", "notes", T("Only route crosses the neighbour's strip")),
    ("3 Thresher's End", "wayleave_status", T("asked")),
    ("5 Thresher's End", "consent_status", T("Refused")),
    ("9 Groyne Walk", "consent_status", Blank),
    ("9 Groyne Walk", "tenure", T("Shared ownership")),
    // Shared car parks.
    ("Reed Court", "unmetered", T("Yes")),
    ("Reed Court", "notes", T("Proposed feed is the lighting column circuit")),
    ("Community hub, Fern Road", "unmetered", T("Y")),
    ("Spinney Court", "supply_present", T("No")),
    ("Voids team yard", "supply_present", T("No")),
    ("Voids team yard", "notes", T("Open yard, no electricity on site")),
    ("Harrow Court", "metering", T("CT")),
    ("Harrow Court", "agreed_capacity_kva", T("?")),
    ("Harrow Court", "recorded_peak_kva", Blank),
    ("Clinic building", "metering", T("CT")),
    ("Clinic building", "agreed_capacity_kva", T("300/5")),
    ("Repairs depot, Beacon Hill", "agreed_capacity_kva", T("on bill?")),
    ("Repairs depot, Beacon Hill", "recorded_peak_kva", Blank),
    ("Repairs depot, Quay Road", "agreed_capacity_kva", N(150.0)),
    ("Repairs depot, Quay Road", "recorded_peak_kva", N(162.0)),
    ("Contact centre", "metering", T("CT")),
    ("Contact centre", "agreed_capacity_kva", T("100 kVA")),
    ("Contact centre", "recorded_peak_kva", T("108 kVA")),
    ("Grounds depot, Weir Gardens", "agreed_capacity_kva", N(30.0)),
    ("Grounds depot, Weir Gardens", "recorded_peak_kva", N(17.0)),
    ("Repairs depot, Tannery Road", "agreed_capacity_kva", N(100.0)),
    ("Repairs depot, Tannery Road", "recorded_peak_kva", N(82.0)),
    ("Repairs depot, Tannery Road", "points_wanted", N(14.0)),
    ("Repairs depot, Tannery Road", "vehicles", N(28.0)),
    ("Repairs depot, Tannery Road", "daily_miles", N(78.0)),
    ("Repairs depot, Lathe Lane", "requested_kw", T("50kW rapid")),
    ("Head office", "requested_kw", N(50.0)),
    ("Day centre", "supply_phases", N(1.0)),
    ("Day centre", "requested_kw", N(22.0)),
    ("Nursery", "supply_phases", N(1.0)),
    ("Nursery", "requested_kw", N(11.0)),
    ("Archive", "supply_phases", T("?")),
    ("Lapwing House", "supply_phases", T("tbc")),
    ("Aspen House", "parking_distance_m", N(185.0)),
    ("Aspen House", "route_buried_m", N(150.0)),
    ("Plant yard", "parking_distance_m", N(640.0)),
    ("Plant yard", "route_buried_m", N(600.0)),
    ("Larch Court", "submain_mm2", N(6.0)),
    ("Larch Court", "submain_device_a", N(32.0)),
    ("Larch Court", "points_wanted", N(6.0)),
    ("Beacon House", "covered_parking", T("Yes - undercroft")),
    ("Capstan House", "storeys", N(11.0)),
    ("Elder House", "consent_status", T("Refused")),
    ("Gorse House", "asbestos_on_route", T("Yes")),
    ("Hazel House", "mpan", T("2300007404885")),
    ("Heron Court", "mpan", T("2300007404885")),
    ("Willow Court", "wayleave_status", T("Refused")),
    ("Maple Court", "condition_report", T("C2")),
    ("Business units", "ground_surface", T("footway")),
    ("Family centre", "agreed_capacity_kva", N(55.0)),
    ("Family centre", "metering", T("CT")),
    ("Family centre", "recorded_peak_kva", N(31.0)),
    // What an engineer has decided, in the contract's own columns.
    ("11 Larder Lane", "override_verdict", T("ready")),
    ("11 Larder Lane", "override_by", T("Design engineer, lot 1")),
    ("11 Larder Lane", "override_date", T("2026-11-02")),
    ("11 Larder Lane", "override_why", T("Operator confirmed by letter: 80 A fuse, service not looped")),
    ("Alder House", "override_verdict", T("blocked")),
    ("Alder House", "override_by", T("Electrical compliance lead")),
    ("Alder House", "override_date", T("2026-10-19")),
    ("Alder House", "override_why", T("Car park to be rebuilt in 2027, no work before")),
    ("9 Ternfield", "override_verdict", T("marginal")),
    ("9 Ternfield", "override_by", T("Design engineer, lot 3")),
    ("9 Ternfield", "override_date", T("2026-11-09")),
    ("9 Ternfield", "override_why", T("Retaining wall on the route to be looked at first")),
];

/// Plants every line; a line that finds no row is a mistake in the list.
pub fn plant(rows: &mut [Row]) {
    for (place, key, planted) in PLANTED {
        let found = rows.iter_mut().find(|row| {
            let address = row.text_at("address").unwrap_or_default().replace('\u{a0}', " ").to_lowercase();
            address.starts_with(&place.to_lowercase())
        });
        let row = found.unwrap_or_else(|| panic!("planted row {place} is not in the sample"));
        match planted {
            T(text) => row.text(key, *text),
            N(number) => row.number(key, *number),
            Blank => row.blank(key),
            NotAvailable => row.put(key, Cell::NotAvailable),
        };
    }
    copied_down(rows);
}

/// One street was never surveyed house by house: the first answers were copied down.
fn copied_down(rows: &mut [Row]) {
    for row in rows.iter_mut() {
        let address = row.text_at("address").unwrap_or_default().to_lowercase();
        if address.contains("shieling road") && !address.starts_with("3 ") {
            row.number("cutout_rating_a", 100.0).number("parking_distance_m", 12.0).text("survey_method", "Desk");
        }
    }
}
