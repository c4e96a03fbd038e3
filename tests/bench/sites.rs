//! Makes a survey workbook of any length for the benchmark: canonical headings, a plausible mix, the same on every run.
//! Knows the survey's headings, nothing of the engine.

use crate::draws::Draws;
use crate::meter_point::meter_point;
use rust_xlsxwriter::{DocProperties, ExcelDateTime, Format, Workbook, Worksheet, XlsxError};
use std::path::Path;

/// Headings, in the order in which `home` and `shared` fill them.
pub const HEADINGS: [&str; 36] = [
    "site_id",
    "address",
    "postcode",
    "premises_type",
    "tenure",
    "lot",
    "survey_date",
    "survey_method",
    "mpan",
    "metering",
    "supply_phases",
    "cutout_rating_a",
    "cutout_evidence",
    "cutout_condition",
    "looped_service",
    "tails_mm2",
    "isolator_present",
    "earthing_system",
    "agreed_capacity_kva",
    "recorded_peak_kva",
    "existing_demand_a",
    "demand_method",
    "bedrooms",
    "heating",
    "shower_kw",
    "board_type",
    "spare_ways",
    "board_rcd_type",
    "parking_type",
    "covered_parking",
    "parking_distance_m",
    "consent_status",
    "year_built",
    "asbestos_on_route",
    "points_wanted",
    "requested_kw",
];
const DISTRIBUTORS: [u8; 6] = [10, 13, 14, 16, 20, 23];

/// Writes `sites` sites to `path`.
pub fn write(path: &Path, sites: u32) -> Result<(), XlsxError> {
    let mut workbook = Workbook::new();
    let created = ExcelDateTime::from_ymd(2026, 11, 25)?;
    workbook.set_properties(&DocProperties::new().set_creation_datetime(&created));
    let date = Format::new().set_num_format("yyyy-mm-dd");
    let sheet = workbook.add_worksheet_with_constant_memory()?.set_name("Survey")?;
    for (column, heading) in (0..).zip(HEADINGS) {
        sheet.write(0, column, heading)?;
    }
    for number in 1..=sites {
        let mut line = Line { sheet: &mut *sheet, row: number, column: 0, date: &date };
        // One site in ten is a shared car park.
        match number % 10 {
            0 => shared(&mut line, number)?,
            _ => home(&mut line, number)?,
        }
    }
    workbook.save(path)
}

/// One row being written from left to right.
struct Line<'a> {
    sheet: &'a mut Worksheet,
    row: u32,
    column: u16,
    date: &'a Format,
}

impl Line<'_> {
    fn text(&mut self, text: &str) -> Result<&mut Self, XlsxError> {
        if !text.is_empty() {
            self.sheet.write(self.row, self.column, text)?;
        }
        self.column += 1;
        Ok(self)
    }

    fn number(&mut self, number: i64) -> Result<&mut Self, XlsxError> {
        self.sheet.write(self.row, self.column, number as f64)?;
        self.column += 1;
        Ok(self)
    }

    fn tenths(&mut self, tenths: i64) -> Result<&mut Self, XlsxError> {
        self.sheet.write(self.row, self.column, tenths as f64 / 10.0)?;
        self.column += 1;
        Ok(self)
    }

    fn day(&mut self, year: i64, month: i64, day: i64) -> Result<&mut Self, XlsxError> {
        let date = ExcelDateTime::from_ymd(year as u16, month as u8, day as u8)?;
        self.sheet.write_with_format(self.row, self.column, &date, self.date)?;
        self.column += 1;
        Ok(self)
    }

    fn skip(&mut self, columns: u16) -> &mut Self {
        self.column += columns;
        self
    }
}

/// Identity, the same for every kind of site.
fn identity(line: &mut Line<'_>, number: u32, kind: &str, tenure: &str, draws: &mut Draws) -> Result<(), XlsxError> {
    let street = number / 24;
    line.text(&format!("S{number:06}"))?
        .text(&format!("{} Street {street}, Quernholt", number % 24 + 1))?
        .text(&format!("ZR{} {}AB", street % 20 + 1, street % 9 + 1))?
        .text(kind)?
        .text(tenure)?
        .text(&format!("lot {}", number / 2500 + 1))?
        .day(2026, draws.between(1, 11), draws.between(1, 28))?
        .text(draws.weighted(&[("visit", 60), ("photo", 25), ("phone", 10), ("desk", 5)]))?
        .text(&meter_point(draws.pick(&DISTRIBUTORS), i64::from(number)))?;
    Ok(())
}

fn home(line: &mut Line<'_>, number: u32) -> Result<(), XlsxError> {
    let mut draws = Draws::named(&format!("home {number}"));
    let flat = draws.chance(15);
    let tenure = draws.weighted(&[("social rent", 80), ("shared", 10), ("owner", 10)]);
    identity(line, number, if flat { "flat" } else { "house" }, tenure, &mut draws)?;
    let fuse = draws.weighted(&[(60, 35), (80, 30), (100, 30), (0, 5)]);
    line.skip(1).number(1)?;
    match fuse {
        0 => line.text(draws.pick(&["?", "see photo", "60/80"]))?,
        _ => line.number(fuse)?,
    };
    let demand = draws.weighted(&[("measured", 35), ("calculated", 35), ("estimated", 25), ("", 5)]);
    line.text(draws.weighted(&[("fuse", 60), ("label", 30), ("assumed", 10)]))?
        .text(draws.weighted(&[("sound", 95), ("doubtful", 4), ("unsafe", 1)]))?
        .text(draws.weighted(&[("no", 84), ("yes", 9), ("unknown", 7)]))?
        .number(draws.weighted(&[(25, 70), (16, 30)]))?
        .text(draws.weighted(&[("yes", 50), ("no", 50)]))?
        .text(draws.weighted(&[("TN-C-S", 65), ("TN-S", 30), ("TT", 5)]))?
        .skip(2);
    match demand {
        "" => line.skip(1),
        _ => line.number(draws.between(16, 52))?,
    };
    line.text(demand)?
        .number(draws.between(1, 4))?
        .text(draws.weighted(&[("gas", 75), ("storage", 10), ("heat-pump", 10), ("direct", 5)]))?
        .tenths(draws.weighted(&[(0, 65), (85, 20), (95, 15)]))?
        .text(draws.weighted(&[("metal", 50), ("plastic", 45), ("rewireable", 5)]))?
        .number(draws.between(0, 4))?
        .text(draws.weighted(&[("A", 45), ("AC", 40), ("none", 15)]))?
        .text(draws.weighted(&[("driveway", 65), ("garage", 10), ("allocated", 13), ("on-street", 12)]))?
        .text("no")?
        .text(&format!("{}{}", draws.between(4, 38), draws.pick(&["", "", " m", "m"])))?
        .text(if tenure == "shared" { draws.pick(&["granted", "asked"]) } else { "not needed" })?
        .number(draws.between(1900, 2024))?
        .text(draws.weighted(&[("no", 90), ("yes", 3), ("", 7)]))?
        .number(1)?
        .tenths(74)?;
    Ok(())
}

fn shared(line: &mut Line<'_>, number: u32) -> Result<(), XlsxError> {
    let mut draws = Draws::named(&format!("shared {number}"));
    let kind = draws.weighted(&[("block", 60), ("workplace", 28), ("depot", 12)]);
    let tenure = draws.weighted(&[("social rent", 50), ("leasehold", 30), ("owner", 20)]);
    identity(line, number, kind, tenure, &mut draws)?;
    let capacity = draws.pick(&[0, 0, 100, 150, 200, 300]);
    line.text(if capacity > 0 { "CT" } else { "whole-current" })?
        .number(3)?
        .number(if capacity > 0 { 400 } else { 100 })?
        .text("fuse")?
        .text("sound")?
        .text("no")?
        .number(if capacity > 0 { 240 } else { 35 })?
        .text("yes")?
        .text(draws.weighted(&[("TN-C-S", 60), ("TN-S", 40)]))?;
    match capacity {
        0 => line.skip(2).number(draws.between(12, 60))?.text("measured")?,
        _ => line.number(capacity)?.number(capacity * draws.between(25, 90) / 100)?.skip(2),
    };
    line.skip(1)
        .text(draws.pick(&["communal", "gas"]))?
        .skip(1)
        .text("metal")?
        .number(draws.between(0, 6))?
        .text("none")?
        .text("communal")?
        .text(draws.weighted(&[("no", 85), ("yes", 10), ("unknown", 5)]))?
        .number(draws.between(12, 110))?
        .text(draws.weighted(&[("not needed", 60), ("granted", 25), ("asked", 15)]))?
        .number(draws.between(1950, 2024))?
        .text(draws.weighted(&[("no", 90), ("yes", 10)]))?
        .number(draws.between(1, 10))?
        .tenths(draws.weighted(&[(74, 85), (110, 15)]))?;
    Ok(())
}
