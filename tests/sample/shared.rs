//! The shared car parks of the invented organisation: blocks of flats, workplaces and vehicle depots, each one row served
//! from one supply, as a careful surveyor would have found them. Knows no workbook.

use crate::draws::Draws;
use crate::meter_point::meter_point;
use crate::organisation::{PLACES, inward};
use crate::row::{Cell, Row};

const BLOCKS: &[&str] = &[
    "Alder House",
    "Ash Court",
    "Aspen House",
    "Barley Court",
    "Beacon House",
    "Birch Court",
    "Bramble House",
    "Campion Court",
    "Capstan House",
    "Cedar Court",
    "Clover House",
    "Coppice Court",
    "Cornflower House",
    "Cowslip Court",
    "Elder House",
    "Farrier Court",
    "Foxglove House",
    "Furlong Court",
    "Gorse House",
    "Granary Court",
    "Harebell House",
    "Harrow Court",
    "Hazel House",
    "Heron Court",
    "Juniper House",
    "Kestrel Court",
    "Lapwing House",
    "Larch Court",
    "Linnet House",
    "Lime Court",
    "Maltster House",
    "Maple Court",
    "Meadowsweet House",
    "Osier Court",
    "Plover House",
    "Poplar Court",
    "Quill House",
    "Reed Court",
    "Rowan House",
    "Rye Court",
    "Saddler House",
    "Sandpiper Court",
    "Sedge House",
    "Spinney Court",
    "Swift House",
    "Sycamore Court",
    "Tansy House",
    "Teasel Court",
    "Thistle House",
    "Vetch Court",
    "Wheelwright House",
    "Willow Court",
    "Woodruff House",
    "Wren Court",
    "Yarrow House",
];
const WORKPLACES: &[&str] = &[
    "Area office, Corn Street",
    "Area office, Quayside",
    "Head office, Millrace Park",
    "Contact centre, Weir Road",
    "Stores and workshop, Unit 4 Kiln Estate",
    "Training kitchen, Market Row",
    "Community hub, Fern Road",
    "Community hub, Lugger Street",
    "Extra-care scheme, Sorrel Bank",
    "Extra-care scheme, Ternfield",
    "Day centre, Abbot's Field",
    "Foyer, Station Approach",
    "Hostel, Lower Pound",
    "Nursery, Damson Court",
    "Repairs office, Cattle Market",
    "Joinery shop, Rushey Close",
    "Archive, Unit 11 Kiln Estate",
    "Sheltered scheme, Orchard Side",
    "Sheltered scheme, Wicket Green",
    "Resource centre, Bellringer Way",
    "Family centre, Nettle Hill",
    "Business units, Saltern Fields",
    "Arts workshop, Ropewalk",
    "Clinic building, Marram Drive",
    "Housing office, Chandler's Yard",
];
const DEPOTS: &[&str] = &[
    "Repairs depot, Tannery Road",
    "Grounds depot, Weir Gardens",
    "Repairs depot, Lathe Lane",
    "Cleaning team yard, Kiln Estate",
    "Gas team depot, Drovers Way",
    "Grounds depot, Hobbin Avenue",
    "Repairs depot, Quay Road",
    "Voids team yard, Capstan Way",
    "Estate services yard, Gorse Lane",
    "Repairs depot, Pound Road",
    "Grounds depot, Thresher's End",
    "Van park, Station Approach",
    "Plant yard, Peat Causeway",
    "Repairs depot, Beacon Hill",
    "Night team yard, Salter's Gate",
];

/// Blocks, workplaces and depots, in the order of the sheet.
pub fn shared() -> Vec<Row> {
    let of = |names: &[&'static str], letter: char, kind: &'static str| -> Vec<Row> {
        let row = |(position, name): (usize, &&'static str)| site(position, name, letter, kind);
        names.iter().enumerate().map(row).collect()
    };
    let mut rows = of(BLOCKS, 'B', "block");
    rows.extend(of(WORKPLACES, 'W', "workplace"));
    rows.extend(of(DEPOTS, 'D', "depot"));
    rows
}

fn site(position: usize, name: &str, letter: char, kind: &'static str) -> Row {
    let mut draws = Draws::named(name);
    let mut row = Row::default();
    let (town, sector, lot, ward, distributor) = PLACES[position % PLACES.len()];
    let series = match kind {
        "block" => 1,
        "workplace" => 2,
        _ => 3,
    };
    row.text("site_id", format!("{letter}{:03}", position + 1))
        .text("uprn", format!("99{:010}", 5_200_000 + series * 10_000 + position * 41))
        .text("address", format!("{name}, {town}"))
        .text("postcode", inward(sector, position % 19))
        .text("premises_type", kind)
        .text("lot", lot)
        .text("own:ward", ward)
        .text("mpan", meter_point(distributor, 7_400_000 + series as i64 * 100_000 + position as i64 * 977))
        .text("distributor", distributor.to_string())
        .text("feeder_id", format!("{}-S{}", sector.replace(' ', ""), position % 3 + 1))
        .put(
            "survey_date",
            Cell::Date(draws.weighted(&[(2026, 80), (2025, 20)]), draws.between(1, 10), draws.between(1, 28)),
        )
        .text("survey_method", draws.weighted(&[("visit", 78), ("photo", 12), ("desk", 10)]))
        .text("own:officer", format!("Q{:02}", draws.between(15, 22)))
        .number("own:boiler", draws.between(2, 24) as f64)
        .text("looped_service", "no")
        .text("cutout_condition", draws.weighted(&[("sound", 97), ("doubtful", 3)]))
        .text("isolator_present", "yes")
        .text("earthing_system", draws.weighted(&[("TN-C-S", 62), ("TN-S", 34), ("TT", 4)]))
        .number("main_bonding_mm2", draws.pick(&[16.0, 25.0, 35.0]))
        .number("earthing_conductor_mm2", draws.pick(&[25.0, 35.0, 50.0]))
        .text("board_type", draws.weighted(&[("metal", 95), ("plastic", 5)]))
        .text("board_condition", draws.weighted(&[("sound", 95), ("doubtful", 4), ("unsafe", 1)]))
        .number("spare_ways", draws.between(0, 6) as f64)
        .text("board_rcd_type", draws.weighted(&[("none", 60), ("A", 25), ("AC", 15)]))
        .text("surge_protection", if draws.chance(40) { "yes" } else { "no" })
        .text("condition_report", draws.weighted(&[("satisfactory", 86), ("C3", 6), ("C2", 5), ("FI", 3)]))
        .put("condition_report_date", Cell::Date(draws.between(2021, 2026), draws.between(1, 12), draws.between(1, 28)))
        .text("mobile_signal", if draws.chance(92) { "yes" } else { "no" })
        .text("listed", if draws.chance(3) { "yes" } else { "no" });
    match kind {
        "block" => block(&mut row, &mut draws),
        "workplace" => workplace(&mut row, &mut draws),
        _ => depot(&mut row, &mut draws),
    }
    row
}

/// The incoming supply of a shared car park: whole-current up to 100 A a phase, else by current transformers.
fn intake(row: &mut Row, draws: &mut Draws, metering: &'static str, capacity_kva: i64, peak_percent: i64) {
    row.text("metering", metering).number("supply_phases", 3.0);
    if metering == "whole-current" {
        let evidence = draws.weighted(&[("fuse", 55), ("label", 40), ("carrier", 5)]);
        row.number("cutout_rating_a", 100.0)
            .text("cutout_evidence", evidence)
            .number("tails_mm2", 35.0)
            .number("board_main_switch_a", 125.0);
        // A share of 100 A a phase is that many amperes.
        row.number("existing_demand_a", peak_percent as f64)
            .text("demand_method", draws.weighted(&[("measured", 55), ("estimated", 25), ("calculated", 20)]));
    } else {
        row.number("agreed_capacity_kva", capacity_kva as f64)
            .number("recorded_peak_kva", (capacity_kva * peak_percent / 100) as f64);
        let fuse_a = match capacity_kva {
            0..=110 => 200,
            111..=200 => 315,
            201..=270 => 400,
            _ => 800,
        };
        row.number("cutout_rating_a", f64::from(fuse_a))
            .text("cutout_evidence", "fuse")
            .number("tails_mm2", f64::from(if fuse_a > 315 { 240 } else { 150 }))
            .number("board_main_switch_a", f64::from(fuse_a));
    }
    if draws.chance(50) {
        row.number("fault_level_ka", draws.between(30, 140) as f64 / 10.0);
    }
}

fn route(row: &mut Row, draws: &mut Draws, near: i64, far: i64, ground: &'static str) {
    let distance = draws.between(near, far);
    let indoor = draws.between(4, 12).min(distance / 3);
    let buried = (distance - indoor) * draws.between(35, 85) / 100;
    row.number("parking_distance_m", distance as f64)
        .number("route_indoor_m", indoor as f64)
        .number("route_surface_m", (distance - indoor - buried) as f64)
        .number("route_buried_m", buried as f64)
        .text("ground_surface", ground)
        .text("distance_from", if draws.chance(70) { "board" } else { "intake" })
        .number("walls", draws.between(1, 3) as f64);
}

fn block(row: &mut Row, draws: &mut Draws) {
    let storeys = draws.weighted(&[(3, 40), (4, 30), (5, 12), (6, 8), (8, 5), (11, 3), (14, 2)]);
    let bays = draws.between(6, 44);
    let big = storeys > 5 || draws.chance(40);
    let (metering, capacity) = if big { ("CT", draws.pick(&[100, 120, 150, 180])) } else { ("whole-current", 69) };
    intake(row, draws, metering, capacity, landlord_percent(storeys));
    let tenure = draws.weighted(&[("social rent", 52), ("leasehold", 38), ("shared", 10)]);
    row.text("tenure", tenure).number("storeys", storeys as f64);
    match tenure {
        "social rent" => row.text("consent_status", "not needed"),
        _ => row.text(
            "consent_status",
            draws.weighted(&[("granted", 50), ("asked", 30), ("not asked", 16), ("refused", 4)]),
        ),
    };
    row.text("wayleave_status", draws.weighted(&[("not needed", 92), ("granted", 3), ("asked", 4), ("refused", 1)]))
        .number(
            "year_built",
            draws.pick(&[1964.0, 1968.0, 1972.0, 1979.0, 1986.0, 1993.0, 2003.0, 2009.0, 2016.0, 2021.0]),
        )
        .text("heating", draws.weighted(&[("communal", 60), ("gas", 30), ("storage", 10)]));
    let built_before_2000 = row.number_at("year_built").is_some_and(|year| year < 2000.0);
    if !built_before_2000 || draws.chance(60) {
        row.text("asbestos_on_route", if built_before_2000 && draws.chance(14) { "yes" } else { "no" });
    }
    row.text("parking_type", "communal")
        .number("bays", bays as f64)
        .text("covered_parking", draws.weighted(&[("no", 82), ("yes", 13), ("?", 5)]));
    let ground = draws.weighted(&[("tarmac", 62), ("block", 22), ("soft", 10), ("concrete", 6)]);
    route(row, draws, 14, 95, ground);
    row.number("points_wanted", (bays / 6).clamp(1, 8) as f64).number("requested_kw", 7.4);
    if draws.chance(25) {
        row.number("submain_mm2", draws.pick(&[10.0, 16.0, 25.0, 35.0]))
            .number("submain_device_a", draws.pick(&[63.0, 80.0, 100.0]))
            .number("meter_to_board_m", draws.between(4, 22) as f64);
    }
}

/// Share of the supply that the landlord's lights, lifts and pumps take already.
fn landlord_percent(storeys: i64) -> i64 {
    (18 + storeys * 4).min(75)
}

fn workplace(row: &mut Row, draws: &mut Draws) {
    let vehicles = draws.between(3, 16);
    let big = draws.chance(64);
    let (metering, capacity) = if big { ("CT", draws.pick(&[100, 150, 200, 250, 300])) } else { ("whole-current", 69) };
    let peak_percent = draws.pick(&[26, 32, 38, 45, 52, 60, 72, 86]);
    intake(row, draws, metering, capacity, peak_percent);
    row.text("tenure", draws.weighted(&[("owner", 70), ("leasehold", 30)]));
    let consent = match row.text_at("tenure") {
        Some("owner") => "not needed",
        _ => draws.weighted(&[("granted", 55), ("asked", 30), ("refused", 5), ("not asked", 10)]),
    };
    row.text("consent_status", consent)
        .text("wayleave_status", "not needed")
        .number("year_built", draws.pick(&[1936.0, 1958.0, 1971.0, 1984.0, 1995.0, 2002.0, 2007.0, 2014.0, 2020.0]))
        .text("heating", draws.weighted(&[("gas", 70), ("heat-pump", 20), ("direct", 10)]))
        .text("asbestos_on_route", draws.weighted(&[("no", 90), ("yes", 10)]))
        .text("parking_type", "communal")
        .number("bays", (vehicles * 3) as f64)
        .text("covered_parking", draws.weighted(&[("no", 92), ("yes", 8)]))
        .number("storeys", draws.between(1, 3) as f64)
        .number("vehicles", vehicles as f64)
        .number("points_wanted", ((vehicles + 2) / 3).max(2) as f64)
        .number("requested_kw", draws.weighted(&[(7.4, 68), (11.0, 20), (22.0, 12)]))
        .number("daily_miles", draws.between(18, 44) as f64)
        .text("arrive", draws.pick(&["08:30", "09:00", "07:45"]))
        .text("depart", draws.pick(&["17:00", "16:30", "17:30"]));
    let ground = draws.weighted(&[("tarmac", 70), ("block", 15), ("concrete", 15)]);
    route(row, draws, 10, 85, ground);
}

fn depot(row: &mut Row, draws: &mut Draws) {
    let vehicles = draws.between(6, 34);
    let capacity = draws.pick(&[100, 150, 200, 300, 400]);
    let metering = if capacity == 400 { "HV" } else { "CT" };
    let peak_percent = draws.pick(&[24, 30, 36, 44, 58]);
    intake(row, draws, metering, capacity, peak_percent);
    row.text("tenure", draws.weighted(&[("owner", 60), ("leasehold", 40)]));
    let consent = match row.text_at("tenure") {
        Some("owner") => "not needed",
        _ => draws.weighted(&[("granted", 60), ("asked", 30), ("not asked", 10)]),
    };
    row.text("consent_status", consent)
        .text("wayleave_status", draws.weighted(&[("not needed", 88), ("asked", 12)]))
        .number("year_built", draws.pick(&[1969.0, 1978.0, 1991.0, 2001.0, 2012.0]))
        .text("asbestos_on_route", draws.weighted(&[("no", 88), ("yes", 12)]))
        .text("parking_type", "allocated")
        .number("bays", (vehicles + 6) as f64)
        .text("covered_parking", draws.weighted(&[("no", 94), ("yes", 6)]))
        .number("storeys", 1.0)
        .number("vehicles", vehicles as f64)
        .number("points_wanted", (vehicles * 2 / 3).clamp(4, 16) as f64)
        .number("requested_kw", draws.weighted(&[(7.4, 80), (11.0, 13), (22.0, 7)]))
        .number("daily_miles", draws.between(34, 68) as f64)
        .text("arrive", draws.pick(&["17:30", "18:00", "16:45"]))
        .text("depart", draws.pick(&["06:30", "07:00", "06:45"]));
    let ground = draws.weighted(&[("concrete", 45), ("tarmac", 45), ("block", 10)]);
    route(row, draws, 12, 130, ground);
}
