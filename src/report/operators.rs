//! Sheets Operator …: for each network operator the sites of which it must hear, as its schedules ask for them. Who hears
//! of what was decided before; what nobody surveyed stays blank.

use super::Run;
use super::grid::{Cell, Form, Heading, Paper, Row, Rows, Sheet, heading};
use super::stands;
use crate::operators::{Entry, KnownBy, Operator, Table};
use crate::portfolio::Ranked;
use crate::quantity::{charging_kw, round_current_a, round_to};
use crate::reference::power_quality;
use crate::site::Premises;
use crate::verdict::{Assumed, Judgement};
use std::sync::OnceLock;

/// Name of the sheet and head of its pages, for each operator that there can be.
fn titles(operator: Operator) -> &'static (String, String) {
    static TITLES: OnceLock<Vec<(String, String)>> = OnceLock::new();
    let of =
        |operator: Operator| (format!("Operator {}", short(operator)), format!("Operator {}{NOTE}", operator.name()));
    let titles = TITLES.get_or_init(|| {
        let numbered = (0..=u8::MAX).map(Operator::Distributor);
        numbered.chain([Operator::NorthernIreland, Operator::NotKnown]).map(of).collect()
    });
    let at = match operator {
        Operator::Distributor(number) => usize::from(number),
        Operator::NorthernIreland => titles.len() - 2,
        Operator::NotKnown => titles.len() - 1,
    };
    &titles[at] // one was made above for every number and for the two without
}

/// What stands at the head of every page.
const NOTE: &str = "; what is blank the applicant fills";

/// The operator in a word, as sheets and files are named.
pub(super) fn short(operator: Operator) -> String {
    match operator {
        Operator::Distributor(number) => number.to_string(),
        Operator::NorthernIreland => "NI".to_owned(),
        Operator::NotKnown => "unknown".to_owned(),
    }
}

/// The sheets, one an operator, of the first `detailed` sites by rank; an operator without any of them has none.
pub(super) fn sheets<'a>(run: &'a Run<'a>, detailed: usize) -> Vec<Sheet<'a>> {
    let tables = run.schedules.map(|schedules| schedules.tables.as_slice()).unwrap_or_default();
    let shown = tables.iter().filter(|table| table.entries.iter().any(|entry| entry.place < detailed));
    shown.map(|table| sheet(run, table, detailed)).collect()
}

/// The sheet of one operator.
pub(super) fn sheet<'a>(run: &'a Run<'a>, table: &'a Table, detailed: usize) -> Sheet<'a> {
    let (name, subject) = titles(table.operator);
    let entries = table.entries.iter().filter(move |entry| entry.place < detailed);
    let entries = entries.filter_map(|entry| Some((entry, run.portfolio.sites.get(entry.place)?)));
    Sheet {
        name,
        subject,
        headings: headings(),
        frozen: 2,
        printed: None,
        paper: Paper::A3,
        rows: Rows::of(entries, |(entry, site)| row(run, entry, site)),
    }
}

fn headings() -> Vec<Heading<'static>> {
    use Form::{Date, Free, Hundredths, Ordinal, Tenths, Text, Whole, Wrapped};
    vec![
        heading("Rank", 6.0, Ordinal),
        heading("Site", 11.0, Text),
        heading("Operator", 17.0, Wrapped),
        heading("Operator known by", 20.0, Wrapped),
        heading("Supply number", 15.0, Text),
        heading("Address", 30.0, Wrapped),
        heading("Postcode", 10.0, Text),
        heading("UPRN", 14.0, Text),
        heading("Customer contact", 11.0, Wrapped),
        heading("Premises", 14.0, Wrapped),
        heading("Phases of supply", 9.0, Whole),
        heading("Cut-out, A", 8.5, Free),
        heading("Looped", 10.0, Text),
        heading("Existing demand, A (worst phase, high end)", 12.0, Tenths),
        heading("Demand with charging, A (same)", 11.0, Tenths),
        heading("Earthing", 10.0, Text),
        heading("Device", 14.0, Wrapped),
        heading("Charge point", 16.0, Wrapped),
        heading("Make, model, listing number", 12.0, Wrapped),
        heading("Quantity", 9.0, Whole),
        heading("Current a phase, A", 9.0, Free),
        heading("Power each, kVA", 8.5, Hundredths),
        heading("Phases each", 8.0, Whole),
        heading("Harmonics and flicker", 23.0, Wrapped),
        heading("Load limitation", 14.0, Wrapped),
        heading("Limitation set at, A", 10.0, Tenths),
        heading("Route", 15.0, Wrapped),
        heading("Rules", 15.0, Wrapped),
        heading("Cluster told early", 12.0, Text),
        heading("Planned", 11.5, Date),
        heading("Installed", 11.5, Date),
        heading("Apply, ask or engage by", 11.5, Date),
        heading("Answer likely by (no bank holidays counted)", 13.0, Date),
        heading("Notify by", 11.5, Date),
        heading("Charge points there", 8.0, Free),
        heading("Heat pump there, kW", 9.0, Free),
        heading("Solar there, kW", 8.5, Free),
        heading("Battery there, kW", 8.5, Free),
        heading("Installer, accreditation, contact", 13.0, Wrapped),
        heading("Photographs", 12.0, Text),
        heading("Assumed, not stated", 24.0, Wrapped),
        heading("Missing or in doubt", 60.0, Wrapped),
    ]
}

fn row<'a>(run: &'a Run<'a>, entry: &'a Entry, site: &'a Ranked) -> Row<'a> {
    let (judgement, brief) = (&site.judgement, &site.judgement.brief);
    let (supply, device, dates) = (&entry.supply, entry.device.as_ref(), &entry.dates);
    let amps = |amps: Option<f64>| Cell::from(amps.map(round_current_a));
    let day = |day: Option<jiff::civil::Date>| day.map_or(Cell::Blank, Cell::Date);
    let cluster = entry.cluster.and_then(|at| run.portfolio.clusters.get(at));
    let standards = device.map_or("", |device| match power_quality(device.current_a) {
        Some(class) if device.declared => class.standards,
        _ => "not declared",
    });
    vec![
        site.rank.into(),
        stands::on_ranking(site),
        entry.who.operator.name().into(),
        known_by(entry).into(),
        supply.number.as_deref().unwrap_or_default().into(),
        brief.address.as_str().into(),
        brief.postcode.as_str().into(),
        brief.uprn.as_str().into(),
        Cell::Blank,
        premises(brief.premises).into(),
        supply.phases.into(),
        amps(Some(supply.cutout_a)),
        yes_or_no(supply.looped).into(),
        amps(Some(supply.existing_a)),
        amps(supply.with_charging_a),
        supply.earthing.map_or("not known", |earthing| earthing.word()).into(),
        device.map_or("", |device| if device.exports { "vehicle to grid" } else { "charge point, AC" }).into(),
        device.map_or("", |device| device.name.as_str()).into(),
        Cell::Blank,
        device.map_or(Cell::Blank, |device| device.quantity.into()),
        device.map_or(Cell::Blank, |device| device.current_a.into()),
        // Charging is taken at unity power factor: kilowatts and kilovolt-amperes are one figure.
        device.map_or(Cell::Blank, |device| round_to(charging_kw(device.current_a, device.phases), 2).into()),
        device.map_or(Cell::Blank, |device| device.phases.into()),
        standards.into(),
        device.map_or("", |device| device.limitation.word()).into(),
        amps(device.and_then(|device| device.setpoint_a)),
        entry.route.word(entry.engage_early).into(),
        entry.rules.join(", ").into(),
        cluster.map_or("", |cluster| cluster.id.as_str()).into(),
        day(dates.planned),
        Cell::Blank,
        day(dates.apply_by),
        day(dates.answer_by),
        day(dates.notify_by),
        entry.already.charge_points.into(),
        entry.already.heat_pump_kw.into(),
        entry.already.solar_kw.into(),
        entry.already.battery_kw.into(),
        Cell::Blank,
        yes_or_no(entry.photographs).into(),
        assumed(judgement).into(),
        entry.missing.join("; ").into(),
    ]
}

fn yes_or_no(answer: Option<bool>) -> &'static str {
    match answer {
        Some(true) => "yes",
        Some(false) => "no",
        None => "not known",
    }
}

/// From what the operator is known, how surely, and whose network an independent one lies within.
fn known_by(entry: &Entry) -> String {
    let may_be = entry.who.candidates().join("; ");
    let known = match entry.who.from {
        KnownBy::Mpan => "supply number",
        KnownBy::Stated => "survey, as stated",
        KnownBy::Postcode => "postcode area alone (from memory): confirm",
        KnownBy::Unknown if may_be.is_empty() => "nothing",
        KnownBy::Unknown => return format!("not known: one of {may_be}"),
    };
    match may_be.is_empty() {
        true => known.to_owned(),
        false => format!("{known}; its network lies within that of {may_be}"),
    }
}

fn premises(premises: Option<Premises>) -> &'static str {
    match premises {
        Some(Premises::House | Premises::Flat) => "home",
        Some(Premises::Block) => "communal, landlord's supply",
        Some(Premises::Workplace | Premises::Depot) => "not a home",
        None => "",
    }
}

/// Columns that may stand on an assumption: survey field and what it is called here.
const MAY_BE_ASSUMED: [(&str, &str); 7] = [
    ("premises_type", "premises"),
    ("supply_phases", "phases of supply"),
    ("cutout_rating_a", "cut-out"),
    ("existing_demand_a", "existing demand"),
    ("existing_charge_points", "charge points there"),
    ("points_wanted", "quantity"),
    ("requested_kw", "power wanted"),
];

/// The figures of the row that nobody stated, with their values.
fn assumed(judgement: &Judgement) -> String {
    let called = |assumed: &Assumed| {
        let (_, called) = MAY_BE_ASSUMED.iter().find(|(field, _)| *field == assumed.field)?;
        Some(format!("{called} {}", assumed.value))
    };
    judgement.assumed.iter().filter_map(called).collect::<Vec<_>>().join("; ")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::fixture::Fixture;

    #[test]
    fn a_row_has_a_cell_for_every_heading_and_sites_of_its_operator_alone() {
        let mut fixture = Fixture::new(24);
        fixture.with_operators();
        let run = fixture.run();
        let sheets = sheets(&run, usize::MAX);
        let named: Vec<&str> = sheets.iter().map(|sheet| sheet.name).collect();
        assert_eq!(named, ["Operator 12", "Operator 24", "Operator NI", "Operator unknown"]);
        let mut rows = 0;
        for sheet in sheets {
            assert!(sheet.subject.chars().count() <= 80, "{}", sheet.subject);
            let columns = sheet.headings.len();
            for row in sheet.rows {
                assert_eq!(row.len(), columns);
                let of = sheet.name.trim_start_matches("Operator ");
                assert!(of == "NI" || of == "unknown" || row[2].shown().starts_with(of), "{:?}", row[2]);
                rows += 1;
            }
        }
        let schedules = run.schedules.expect("schedules");
        assert_eq!(rows, schedules.tables.iter().map(|table| table.entries.len()).sum::<usize>());
        assert!(rows >= 20, "{rows}");
    }

    #[test]
    fn what_nobody_knows_stays_blank_and_who_it_may_be_is_named() {
        let mut fixture = Fixture::new(24);
        fixture.with_operators();
        let run = fixture.run();
        let column = |title: &str| headings().iter().position(|heading| heading.title == title).expect("a column");
        for sheet in sheets(&run, usize::MAX) {
            let name = sheet.name;
            for row in sheet.rows {
                let cell = |title: &str| row[column(title)].shown();
                for blank in ["Customer contact", "Make, model, listing number", "Installed"] {
                    assert_eq!(cell(blank), "");
                }
                match name {
                    "Operator unknown" => {
                        assert_eq!(cell("Operator known by"), "not known: one of 11 East Midlands; 23 Yorkshire")
                    }
                    "Operator 24" => {
                        assert!(cell("Operator known by").ends_with("its network lies within that of 12 London"));
                        assert!(cell("Rules").ends_with("R17"));
                    }
                    "Operator 12" => assert_eq!(cell("Operator known by"), "supply number"),
                    _ => assert_eq!(cell("Supply number"), ""),
                }
            }
        }
    }

    #[test]
    fn every_operator_has_a_name_that_a_sheet_may_have() {
        for operator in (0..=u8::MAX).map(Operator::Distributor).chain([Operator::NorthernIreland, Operator::NotKnown])
        {
            let (name, subject) = titles(operator);
            assert!(name.len() <= 31 && subject.ends_with(NOTE), "{name}");
        }
        assert_eq!(titles(Operator::Distributor(23)).1, "Operator 23 Yorkshire; what is blank the applicant fills");
    }
}
