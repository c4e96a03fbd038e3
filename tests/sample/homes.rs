//! The homes of the invented organisation: for every street its houses or flats, as a careful surveyor would have found
//! them. What people then do to a spreadsheet is added elsewhere. Knows no workbook.

use crate::draws::Draws;
use crate::meter_point::meter_point;
use crate::organisation::{Form, STREETS, Street, inward};
use crate::row::{Cell, Row};

/// All homes, street by street. References run on from H0001.
pub fn homes() -> Vec<Row> {
    let mut rows = Vec::new();
    for street in STREETS {
        let mut draws = Draws::named(street.name);
        let looped = loops(street, &mut draws);
        for (position, looped) in looped.into_iter().take(usize::from(street.homes)).enumerate() {
            let reference = rows.len() + 1;
            rows.push(home(street, position, reference, looped, &mut draws));
        }
    }
    rows
}

/// Which homes share a looped service: neighbours in pairs, both looped or neither.
fn loops(street: &Street, draws: &mut Draws) -> Vec<bool> {
    let mut looped = Vec::new();
    while looped.len() < usize::from(street.homes) {
        let pair = draws.chance(street.loops);
        looped.extend([pair, pair]);
    }
    looped
}

fn home(street: &Street, position: usize, reference: usize, looped: bool, draws: &mut Draws) -> Row {
    let mut row = Row::default();
    let flat = street.form == Form::Flats;
    let number = match street.form {
        Form::Flats => position + 1,
        // Terraces and semis are numbered on one side of the street.
        _ => position * 2 + 1,
    };
    let address = if flat {
        format!("Flat {number}, {}, {}", street.name, street.town)
    } else {
        format!("{number} {}, {}", street.name, street.town)
    };
    row.text("site_id", format!("H{reference:04}"))
        .text("uprn", format!("99{:010}", 4_100_000 + reference * 37))
        .text("address", address)
        .text("postcode", inward(street.sector, position / 6))
        .text("premises_type", if flat { "flat" } else { "house" })
        .text("lot", street.lot)
        .text("own:ward", street.ward)
        .number("own:boiler", draws.between(1, 19) as f64)
        .text("mpan", meter_point(street.distributor, 3_170_000 + reference as i64 * 613))
        .text("distributor", street.distributor.to_string())
        .number("supply_phases", 1.0)
        .text("feeder_id", format!("{}-{}", street.sector.replace(' ', ""), position / 8 + 1))
        .number("year_built", f64::from(street.year))
        .number("points_wanted", 1.0);
    if street.heating == "heat-pump" || street.heating == "storage" {
        row.blank("own:boiler");
    }
    tenure(street, &mut row, draws);
    let method = draws.weighted(&[("visit", 65), ("photo", 24), ("phone", 6), ("desk", 5)]);
    survey(method, &mut row, draws);
    supply(street, method, looped, &mut row, draws);
    load(street, method, &mut row, draws);
    board(street, &mut row, draws);
    parking(street, &mut row, draws);
    row
}

fn tenure(street: &Street, row: &mut Row, draws: &mut Draws) {
    let tenure = match street.form {
        Form::Flats => draws.weighted(&[("social rent", 72), ("leasehold", 20), ("shared", 8)]),
        _ if street.year > 2000 => draws.weighted(&[("social rent", 66), ("shared", 28), ("owner", 6)]),
        _ => draws.weighted(&[("social rent", 90), ("owner", 7), ("private rent", 3)]),
    };
    row.text("tenure", tenure);
    let consent = match tenure {
        "social rent" | "owner" => "not needed",
        _ => draws.weighted(&[("granted", 55), ("asked", 25), ("", 15), ("not asked", 5)]),
    };
    if !consent.is_empty() {
        row.text("consent_status", consent);
    }
    if tenure != "social rent" {
        row.text("wayleave_status", "not needed");
    }
    if draws.chance(12) {
        row.number("priority", draws.between(1, 3) as f64);
    }
}

fn survey(method: &str, row: &mut Row, draws: &mut Draws) {
    let (year, month) = match draws.weighted(&[(0, 76), (1, 20), (2, 4)]) {
        0 => (2026, draws.between(2, 10)),
        1 => (2025, draws.between(1, 12)),
        _ => (2024, draws.between(1, 9)),
    };
    row.put("survey_date", Cell::Date(year, month, draws.between(1, 28)))
        .text("survey_method", method)
        .text("own:officer", format!("Q{:02}", draws.between(1, 14)));
}

fn supply(street: &Street, method: &str, looped: bool, row: &mut Row, draws: &mut Draws) {
    let mut fuse = draws.weighted(street.fuses);
    if looped {
        fuse = 60;
    }
    let evidence = match method {
        "visit" => draws.weighted(&[("fuse", 64), ("label", 33), ("carrier", 3)]),
        "photo" => draws.weighted(&[("fuse", 53), ("label", 40), ("carrier", 7)]),
        _ => draws.weighted(&[("operator", 55), ("assumed", 45)]),
    };
    row.number("cutout_rating_a", fuse as f64).text("cutout_evidence", evidence);
    let (doubtful, unsafe_) = if street.year < 1965 { (5, 2) } else { (1, 0) };
    if method == "visit" || method == "photo" {
        let sound = 100 - doubtful - unsafe_;
        row.text("cutout_condition", draws.weighted(&[("sound", sound), ("doubtful", doubtful), ("unsafe", unsafe_)]));
    }
    row.text("looped_service", if looped { "yes" } else { "no" })
        .number("tails_mm2", f64::from(if fuse > 60 && !draws.chance(14) { 25 } else { 16 }))
        .text("isolator_present", if draws.chance(45) { "yes" } else { "no" });
    let earthing = match draws.chance(6) {
        true => "TN-C-S",
        false => street.earthing,
    };
    row.text("earthing_system", earthing);
    if method == "visit" && draws.chance(55) {
        match earthing {
            "TT" => row.number("ze_ohm", draws.pick(&[18.0, 34.0, 62.0, 95.0, 140.0, 176.0])),
            "TN-S" => row.number("ze_ohm", draws.between(18, 66) as f64 / 100.0),
            _ => row.number("ze_ohm", draws.between(9, 31) as f64 / 100.0),
        };
        if earthing != "TT" {
            row.number("fault_level_ka", draws.between(7, 26) as f64 / 10.0);
        }
    }
    if draws.chance(50) {
        row.text("electrode_position", if draws.chance(75) { "yes" } else { "no" });
    }
    let bonding = if street.year < 1985 { draws.weighted(&[(6, 25), (10, 60), (0, 15)]) } else { 10 };
    if bonding > 0 {
        row.number("main_bonding_mm2", f64::from(bonding))
            .number("earthing_conductor_mm2", f64::from(if bonding == 6 { 10 } else { 16 }));
    }
}

fn load(street: &Street, method: &str, row: &mut Row, draws: &mut Draws) {
    let bedrooms = match street.form {
        Form::Flats => draws.weighted(&[(1, 55), (2, 45)]),
        Form::Bungalow => draws.weighted(&[(1, 45), (2, 55)]),
        Form::Detached => draws.weighted(&[(3, 45), (4, 55)]),
        Form::Terrace => draws.weighted(&[(2, 60), (3, 40)]),
        Form::Semi => draws.weighted(&[(2, 30), (3, 60), (4, 10)]),
    };
    let heating = if draws.chance(8) { "heat-pump" } else { street.heating };
    let shower = match draws.chance(if street.heating == "gas" { 20 } else { 45 }) {
        true => draws.pick(&[7.5, 8.5, 8.5, 9.5, 10.5]),
        false => 0.0,
    };
    row.number("bedrooms", f64::from(bedrooms)).text("heating", heating).number("shower_kw", shower);
    if draws.chance(55) {
        row.number("cooker_kw", draws.pick(&[0.0, 6.0, 7.2, 9.0, 10.5]));
    }
    if heating == "heat-pump" {
        row.number("heat_pump_kw", draws.pick(&[2.4, 3.1, 3.6, 4.5]));
    }
    if draws.chance(if street.year > 2010 { 40 } else { 7 }) {
        row.number("solar_kw", draws.pick(&[2.4, 3.2, 3.6, 4.0]));
    }
    row.number("existing_charge_points", f64::from(u8::from(draws.chance(2))));
    let heat_a = match heating {
        "storage" => draws.between(24, 40),
        "direct" => draws.between(12, 22),
        "heat-pump" => draws.between(8, 13),
        _ => 0,
    };
    let base_a = 9 + 3 * i64::from(bedrooms) + draws.between(0, 6) + heat_a;
    let found = match method {
        "visit" => draws.weighted(&[("measured", 45), ("calculated", 40), ("estimated", 12), ("", 3)]),
        "photo" => draws.weighted(&[("measured", 14), ("calculated", 52), ("estimated", 30), ("", 4)]),
        _ => draws.weighted(&[("estimated", 70), ("", 30)]),
    };
    let demand_a = match found {
        "measured" => base_a + if shower > 0.0 { 9 } else { 0 },
        "calculated" => base_a * 9 / 8 + (shower * 3.0) as i64,
        // Desk figures come in fives.
        _ => (base_a + if shower > 0.0 { 15 } else { 2 }) / 5 * 5,
    };
    if !found.is_empty() {
        row.number("existing_demand_a", demand_a as f64).text("demand_method", found);
    }
}

fn board(street: &Street, row: &mut Row, draws: &mut Draws) {
    let board = match street.year {
        0..=1965 => draws.weighted(&[("metal", 45), ("plastic", 45), ("rewireable", 10)]),
        1966..=2000 => draws.weighted(&[("metal", 40), ("plastic", 56), ("rewireable", 4)]),
        2001..=2015 => draws.weighted(&[("metal", 30), ("plastic", 70)]),
        _ => "metal",
    };
    row.text("board_type", board)
        .text("board_condition", draws.weighted(&[("sound", 96), ("doubtful", 3), ("unsafe", 1)]))
        .number("board_main_switch_a", f64::from(if draws.chance(90) { 100 } else { 80 }))
        .number("spare_ways", draws.weighted(&[(0, 22), (1, 34), (2, 28), (3, 12), (5, 4)]) as f64)
        .text("condition_report", draws.weighted(&[("satisfactory", 89), ("C3", 8), ("C2", 2), ("FI", 1)]))
        .put("condition_report_date", Cell::Date(draws.between(2021, 2026), draws.between(1, 12), draws.between(1, 28)))
        .text("board_rcd_type", draws.weighted(&[("A", 48), ("AC", 40), ("none", 12)]))
        .text("surge_protection", if draws.chance(if street.year > 2018 { 90 } else { 22 }) { "yes" } else { "no" });
    if draws.chance(70) {
        row.number("meter_to_board_m", draws.weighted(&[(1.0, 55), (1.5, 20), (2.5, 18), (4.0, 7)]));
    }
}

fn parking(street: &Street, row: &mut Row, draws: &mut Draws) {
    if street.form == Form::Flats {
        let spaces = draws.chance(street.spaces);
        row.text("parking_type", if spaces { "allocated" } else { "none" }).number("storeys", 3.0);
        if spaces {
            let buried = draws.between(6, 34);
            let (indoor, surface) = (draws.between(3, 9), draws.between(2, 10));
            row.number("bays", 1.0)
                .number("parking_distance_m", (buried + indoor + surface) as f64)
                .number("route_indoor_m", indoor as f64)
                .number("route_surface_m", surface as f64)
                .number("route_buried_m", buried as f64)
                .text("ground_surface", draws.pick(&["tarmac", "block", "soft"]))
                .text("covered_parking", "no")
                .number("walls", draws.between(1, 3) as f64);
        }
    } else if draws.chance(street.spaces) {
        let garage = draws.chance(if street.year > 1965 { 20 } else { 5 });
        let distance = match street.form {
            Form::Terrace => draws.between(5, 16),
            Form::Detached => draws.between(6, 24),
            _ => draws.between(4, 19),
        };
        row.text("parking_type", if garage { "garage" } else { "driveway" })
            .number("bays", 1.0)
            .number("parking_distance_m", distance as f64)
            .text("covered_parking", "no")
            .number("walls", draws.weighted(&[(1, 75), (2, 25)]) as f64);
        if draws.chance(35) {
            let buried = if draws.chance(25) { distance / 2 } else { 0 };
            let indoor = (distance - buried) / 3;
            row.number("route_indoor_m", indoor as f64)
                .number("route_surface_m", (distance - buried - indoor) as f64)
                .number("route_buried_m", buried as f64);
            if buried > 0 {
                row.text("ground_surface", draws.pick(&["soft", "block", "concrete"]));
            }
        }
    } else {
        row.text("parking_type", if draws.chance(80) { "on-street" } else { "none" });
        if draws.chance(60) {
            row.number("parking_distance_m", draws.between(6, 14) as f64);
        }
    }
    row.text("distance_from", if draws.chance(80) { "board" } else { "intake" })
        .text("mobile_signal", if draws.chance(94) { "yes" } else { "no" })
        .text("listed", if street.year < 1910 && draws.chance(25) { "yes" } else { "no" })
        .number("requested_kw", draws.weighted(&[(7.4, 86), (7.0, 6), (3.7, 4), (7.2, 4)]));
    let asbestos = match street.year {
        0..=1999 => draws.weighted(&[("no", 70), ("yes", 3), ("", 27)]),
        _ => "no",
    };
    if !asbestos.is_empty() {
        row.text("asbestos_on_route", asbestos);
    }
}
