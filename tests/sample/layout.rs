//! Puts the rows of the sample in the order of the organisation's sheet: lots with subtotals, a gap, a second list pasted
//! below its own headings, and rows surveyed twice. Knows no file format.

use crate::row::{Cell, Row};
use crate::workbook::{self, Line};
use crate::{ground, homes, mess, planted, shared, side};

/// Notes on the second sheet of the workbook.
const REMARKS: &[&str] = &[
    "Everything in this workbook is invented: organisation, county, places, numbers. Postcode areas ZR and YD do not exist.",
    "Latitudes and longitudes are invented too: the county lies in the open sea on purpose, east of 1.7 E. Some are missing.",
    "Meter point numbers are made up; most pass their check digit on purpose and a few fail on purpose.",
    "Lots 1 to 4 are homes, then blocks of flats, workplaces and depots. Some addresses were surveyed twice.",
    "Fleet: vehicles by site. Profiles: half-hours of car parks by kind of day, in kW. Feeders: as the operator answered.",
    "Written by the program under tests/sample with fixed draws: change the program, not this file.",
];

/// Addresses surveyed a second time: start of the address, then what was found on the later visit.
const AGAIN: &[(&str, &[(&str, &str)])] = &[
    ("7 Fennel Row", &[("cutout_rating_a", "80A"), ("notes", "Resurvey: fuse changed by operator")]),
    ("3 Larder Lane", &[("looped_service", "No"), ("notes", "Resurvey: single cable, photographed")]),
    ("11 Starling View", &[("existing_demand_a", "27"), ("demand_method", "Measured")]),
    ("13 Marram Drive", &[("parking_distance_m", "9m"), ("notes", "Resurvey: nearer position agreed")]),
    ("Campion Court", &[("recorded_peak_kva", "41 kVA"), ("notes", "Bill obtained")]),
    ("7 Wicket Green", &[]),
];

/// The survey workbook.
pub fn portfolio() -> Result<Vec<u8>, Box<dyn std::error::Error>> {
    let mut rows = homes::homes();
    rows.extend(shared::shared());
    let places = ground::places(&rows);
    let lay = |rows: &mut [Row]| rows.iter_mut().zip(&places).for_each(|(row, place)| place.put(row));
    let mut surveyed = rows.clone();
    lay(&mut surveyed);
    let sides = side::sides(&surveyed);
    rows.iter_mut().for_each(mess::type_in);
    lay(&mut rows);
    planted::plant(&mut rows);
    Ok(workbook::portfolio(&lines(rows), &sides, REMARKS)?)
}

fn lines(rows: Vec<Row>) -> Vec<Line> {
    let again: Vec<Row> = AGAIN.iter().map(|(place, changes)| surveyed_again(&rows, place, changes)).collect();
    let mut lines = Vec::new();
    let mut group = String::new();
    for row in rows {
        let reference = row.text_at("site_id").unwrap_or_default();
        let next = match reference.as_bytes().first() {
            Some(b'H') => format!("Lot {}", row.text_at("lot").unwrap_or_default()),
            Some(b'B') => "Blocks".to_owned(),
            Some(b'W') => "Workplaces".to_owned(),
            _ => "Depots".to_owned(),
        };
        if next != group {
            if !group.is_empty() {
                lines.push(Line::Subtotal(format!("Sub-total {group}")));
            }
            match next.as_str() {
                "Lot 2 Oxlathe" => lines.push(Line::Remark("Rows below come from the second contractor's tablets")),
                "Lot 3 Coast" => lines.extend([Line::Empty, Line::Empty]),
                "Blocks" => lines.extend([Line::Empty, Line::Headings]),
                _ => {}
            }
            group = next;
        }
        lines.push(Line::Site(Box::new(row)));
    }
    lines.push(Line::Subtotal(format!("Sub-total {group}")));
    lines.push(Line::Empty);
    lines.push(Line::Remark("Revisits"));
    lines.extend(again.into_iter().map(|row| Line::Site(Box::new(row))));
    lines
}

/// The same address, surveyed again in November 2026.
fn surveyed_again(rows: &[Row], place: &str, changes: &[(&'static str, &'static str)]) -> Row {
    let found = rows.iter().find(|row| {
        let address = row.text_at("address").unwrap_or_default().replace('\u{a0}', " ").to_lowercase();
        address.starts_with(&place.to_lowercase())
    });
    let mut row = found.unwrap_or_else(|| panic!("{place} is not in the sample")).clone();
    row.put("survey_date", Cell::Date(2026, 11, 12)).text("survey_method", "Visit");
    for (key, text) in changes {
        row.text(key, *text);
    }
    row
}
