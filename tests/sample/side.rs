//! The three sheets beside the survey: the organisation's vehicles by site, half-hours of its car parks by kind of day,
//! and what the network operator said of some feeders. Knows the rows as surveyed and no workbook.

use crate::draws::Draws;
use crate::row::{Cell, Row};

/// A small sheet.
pub struct Side {
    pub name: &'static str,
    pub headings: Vec<String>,
    pub rows: Vec<Vec<Option<Cell>>>,
}

fn text(text: impl Into<String>) -> Option<Cell> {
    Some(Cell::Text(text.into()))
}

fn number(number: f64) -> Option<Cell> {
    Some(Cell::Number(number))
}

/// The sheets, from the rows before anybody typed them in.
pub fn sides(rows: &[Row]) -> Vec<Side> {
    vec![fleet(rows), profiles(rows), feeders(rows)]
}

fn id(row: &Row) -> &str {
    row.text_at("site_id").unwrap_or_default()
}

/// What a vehicle is like: name, miles a kilowatt-hour, miles on a mean and on a high day, amperes and phases it takes.
type Kind = (&'static str, f64, (i64, i64), (i64, i64), f64, f64);

const DEPOT_KINDS: &[Kind] = &[
    ("Small van", 2.8, (28, 55), (60, 95), 32.0, 1.0),
    ("Panel van", 2.2, (35, 68), (75, 120), 16.0, 3.0),
    ("Tipper", 1.8, (22, 48), (55, 90), 32.0, 3.0),
];
const WORKPLACE_KINDS: &[Kind] =
    &[("Staff car", 3.4, (18, 34), (45, 90), 32.0, 1.0), ("Pool car", 3.5, (24, 52), (70, 130), 16.0, 3.0)];

/// Vehicles of every depot and of every other workplace, in two or three groups; a few answers were left open.
fn fleet(rows: &[Row]) -> Side {
    let headings = [
        "Site ref",
        "Vehicle type",
        "No of vehicles",
        "Daily miles mean",
        "Daily miles high",
        "mi/kWh",
        "Arrive",
        "Depart",
        "Max AC (A)",
        "Phases",
        "Days a week",
    ];
    let mut lines = Vec::new();
    for row in rows {
        let (kinds, share) = match id(row).as_bytes() {
            [b'D', ..] => (DEPOT_KINDS, 100),
            [b'W', ..] => (WORKPLACE_KINDS, 50),
            _ => continue,
        };
        let mut draws = Draws::named(&format!("fleet {}", id(row)));
        if !draws.chance(share) {
            continue;
        }
        let mut left = row.number_at("vehicles").unwrap_or(6.0) as i64;
        for (place, (name, economy, mean, high, amps, phases)) in kinds.iter().enumerate() {
            let last = place + 1 == kinds.len();
            let count = if last { left } else { (left * draws.between(25, 60) / 100).max(1) };
            left -= count;
            if count <= 0 {
                continue;
            }
            let depot = kinds.len() == DEPOT_KINDS.len();
            let arrive = if depot { draws.pick(&["16:45", "17:30", "18:00"]) } else { draws.pick(&["08:00", "08:30"]) };
            let depart = if depot { draws.pick(&["06:00", "06:30", "07:00"]) } else { draws.pick(&["16:30", "17:00"]) };
            lines.push(vec![
                text(id(row)),
                text(*name),
                number(count as f64),
                number(draws.between(mean.0, mean.1) as f64),
                if draws.chance(75) { number(draws.between(high.0, high.1) as f64) } else { None },
                if draws.chance(85) { number(*economy) } else { text("not known") },
                text(arrive),
                text(depart),
                number(*amps),
                number(*phases),
                number(draws.pick(&[5.0, 5.0, 6.0])),
            ]);
        }
    }
    // A line that names no site of the portfolio, and one that forgot how many.
    lines.push(vec![text("D099"), text("Small van"), number(2.0), number(40.0)]);
    lines.push(vec![text("D003"), text("Trailer"), None, number(0.0)]);
    Side { name: "Fleet", headings: headings.map(str::to_owned).to_vec(), rows: lines }
}

/// Kinds of day, with the share of the highest day that each reaches at homes, workplaces and depots, percent.
const DAYS: &[(&str, [i64; 3])] =
    &[("Weekday", [92, 88, 90]), ("Saturday", [90, 40, 55]), ("Sunday", [94, 30, 35]), ("Winter", [100, 100, 100])];

/// Load by hour from midnight as a share of the highest, percent: landlord's supply, workplace, depot.
const RUNS: [[i64; 24]; 3] = [
    [62, 56, 52, 50, 50, 52, 64, 78, 72, 66, 64, 66, 70, 68, 68, 72, 84, 96, 100, 98, 96, 90, 82, 72],
    [22, 20, 20, 20, 21, 26, 40, 64, 88, 97, 100, 98, 96, 97, 96, 92, 84, 66, 46, 36, 30, 27, 25, 23],
    [40, 38, 36, 36, 42, 58, 80, 96, 100, 94, 88, 86, 86, 84, 86, 88, 92, 90, 80, 66, 56, 50, 46, 42],
];

/// Half-hours in kilowatts of two car parks in three, by kind of day.
fn profiles(rows: &[Row]) -> Side {
    let mut headings = vec!["Site ref".to_owned(), "Day type".to_owned(), "Unit".to_owned()];
    headings.extend((0..48).map(|half_hour| format!("{:02}:{:02}", half_hour / 2, half_hour % 2 * 30)));
    let mut lines = Vec::new();
    for row in rows {
        let place = match id(row).as_bytes() {
            [b'B', ..] => 0,
            [b'W', ..] => 1,
            [b'D', ..] => 2,
            _ => continue,
        };
        let mut draws = Draws::named(&format!("half-hours {}", id(row)));
        if !draws.chance(66) {
            continue;
        }
        // Kilowatts at a power factor of 0.95; a demand in amperes is of each of three phases.
        let by_amps = row.number_at("existing_demand_a").map(|amps| amps * 0.23 * 3.0);
        let Some(peak_kw) = row.number_at("recorded_peak_kva").or(by_amps).map(|kva| kva * 0.95) else { continue };
        for (day, shares) in DAYS {
            let highest = peak_kw * shares[place] as f64 / 100.0;
            let mut line = vec![text(id(row)), text(*day), text("kW")];
            let at_peak = draws.between(0, 1);
            for half_hour in 0..48_i64 {
                let hour = (half_hour / 2) as usize;
                let (this, next) = (RUNS[place][hour], RUNS[place][(hour + 1) % 24]);
                let share = if half_hour % 2 == 0 { this } else { (this + next) / 2 };
                let wobble = if share == 100 && half_hour % 2 <= at_peak { 100 } else { draws.between(88, 99) };
                line.push(number((highest * (share * wobble) as f64 / 1000.0).round() / 10.0));
            }
            lines.push(line);
        }
    }
    Side { name: "Profiles", headings, rows: lines }
}

/// What the operator said of every other feeder that a car park hangs on.
fn feeders(rows: &[Row]) -> Side {
    let headings = ["Feeder", "Capacity (kVA)", "Recorded peak (kVA)", "Customers"];
    let mut names: Vec<&str> = rows.iter().filter_map(|row| row.text_at("feeder_id")).collect();
    names.sort_unstable();
    names.dedup();
    let mut lines = Vec::new();
    for name in names {
        let mut draws = Draws::named(&format!("feeder {name}"));
        if !draws.chance(45) {
            continue;
        }
        let capacity = draws.pick(&[100.0, 200.0, 200.0, 315.0, 500.0]);
        let peak =
            if draws.chance(80) { number((capacity * draws.between(35, 92) as f64 / 100.0).round()) } else { None };
        let customers = if draws.chance(70) { number(draws.between(18, 96) as f64) } else { text("unknown") };
        lines.push(vec![text(name), number(capacity), peak, customers]);
    }
    Side { name: "Feeders", headings: headings.map(str::to_owned).to_vec(), rows: lines }
}
