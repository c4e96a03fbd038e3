//! The result fields as the columns of a plain table: what the CSV and the Parquet file hold. Lists are text there.

use super::Run;
use super::figures::plain;
use super::record::{SiteRecord, records};
use crate::quantity::round_to;
use std::borrow::Cow;
use std::fmt::{self, Write as _};
use std::io::{self, Write};

/// What a column holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ColumnKind {
    /// Text.
    Text,
    /// A number in the unit of the column's name.
    Number,
    /// A whole number.
    Whole,
    /// Yes or no.
    YesNo,
}

/// One value.
#[derive(Clone, Debug, PartialEq)]
pub enum Plain<'r> {
    /// Not computed, not stated.
    Blank,
    /// Text.
    Text(Cow<'r, str>),
    /// A number.
    Number(f64),
    /// A whole number.
    Whole(i64),
    /// Yes or no.
    YesNo(bool),
}

/// One column of the plain table.
pub struct Column {
    /// Name, as in the JSON document.
    pub name: &'static str,
    /// What it holds.
    pub kind: ColumnKind,
    /// Takes its value from a record.
    pub value: for<'r> fn(&'r SiteRecord<'_>) -> Plain<'r>,
}

/// How a field of a record becomes a plain value.
trait Flat {
    const KIND: ColumnKind;
    fn flat(&self) -> Plain<'_>;
}

impl Flat for &str {
    const KIND: ColumnKind = ColumnKind::Text;
    fn flat(&self) -> Plain<'_> {
        Plain::Text(Cow::Borrowed(self))
    }
}

impl Flat for String {
    const KIND: ColumnKind = ColumnKind::Text;
    fn flat(&self) -> Plain<'_> {
        Plain::Text(Cow::Borrowed(self))
    }
}

impl Flat for f64 {
    const KIND: ColumnKind = ColumnKind::Number;
    fn flat(&self) -> Plain<'_> {
        Plain::Number(*self)
    }
}

impl Flat for bool {
    const KIND: ColumnKind = ColumnKind::YesNo;
    fn flat(&self) -> Plain<'_> {
        Plain::YesNo(*self)
    }
}

macro_rules! whole {
    ($($kind:ty),+) => {
        $(impl Flat for $kind {
            const KIND: ColumnKind = ColumnKind::Whole;
            fn flat(&self) -> Plain<'_> {
                Plain::Whole(i64::from(*self))
            }
        })+
    };
}
whole!(u8, u16, u32);

impl<T: Flat> Flat for Option<T> {
    const KIND: ColumnKind = T::KIND;
    fn flat(&self) -> Plain<'_> {
        self.as_ref().map_or(Plain::Blank, Flat::flat)
    }
}

impl Flat for &[&'static str] {
    const KIND: ColumnKind = ColumnKind::Text;
    fn flat(&self) -> Plain<'_> {
        written(*self, |text, word| text.write_str(word))
    }
}

impl Flat for Vec<&'static str> {
    const KIND: ColumnKind = ColumnKind::Text;
    fn flat(&self) -> Plain<'_> {
        written(self, |text, word| text.write_str(word))
    }
}

/// A figure within a text, to three places; a mark where there is none.
struct Figure(Option<f64>);

impl fmt::Display for Figure {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.0 {
            None => f.write_str("?"),
            Some(number) if number.is_finite() => write!(f, "{}", round_to(number, 3)),
            Some(number) => f.write_str(&plain(number, 3)),
        }
    }
}

fn number(value: Option<f64>) -> Figure {
    Figure(value)
}

/// A list as text, its entries joined by "; ", each written by a function: a table has tens of entries a site, and none
/// is made by itself.
fn written<'r, T: 'r>(
    entries: impl IntoIterator<Item = &'r T>,
    write: impl Fn(&mut String, &T) -> fmt::Result,
) -> Plain<'r> {
    let mut text = String::new();
    for entry in entries {
        if !text.is_empty() {
            text.push_str("; ");
        }
        // Writing to a text does not fail.
        let _ = write(&mut text, entry);
    }
    if text.is_empty() { Plain::Blank } else { Plain::Text(Cow::Owned(text)) }
}

/// A column that is a field of the record.
macro_rules! field {
    ($name:ident: $kind:ty) => {
        Column { name: stringify!($name), kind: <$kind as Flat>::KIND, value: |record| record.$name.flat() }
    };
}

/// A column that is a list of parts, each written as a text with its figures.
macro_rules! parts {
    ($name:ident, $part:ident => $($words:tt)+) => {
        Column {
            name: stringify!($name),
            kind: ColumnKind::Text,
            value: |record| written(&record.$name, |text, $part| write!(text, $($words)+)),
        }
    };
}

/// Every column, in the order of the JSON document.
pub fn columns() -> Vec<Column> {
    type Words = Vec<&'static str>;
    type Number = Option<f64>;
    type Word = Option<&'static str>;
    vec![
        field!(site_id: &str),
        field!(row: u32),
        field!(sheet: Word),
        field!(verdict: &str),
        field!(rank: u32),
        field!(probability_ready: Number),
        field!(confidence: &str),
        field!(waits_for: Words),
        field!(weeks_low: Option<u16>),
        field!(weeks_likely: Option<u16>),
        field!(weeks_high: Option<u16>),
        field!(verdict_with_neighbours: Word),
        field!(cluster_id: Word),
        field!(reasons: Words),
        field!(override_verdict: Word),
        field!(override_by: Word),
        field!(override_date: Word),
        field!(override_why: Word),
        field!(next_step: Word),
        field!(operator_route: &str),
        field!(charging_current_a: Number),
        field!(point_phases: Option<u8>),
        field!(control: Word),
        field!(load_limit_setpoint_a: Number),
        field!(existing_demand_a: Number),
        field!(maximum_demand_a: Number),
        field!(supply_limit_a: Number),
        field!(device_rating_a: Number),
        field!(device_curve: Word),
        field!(cable_type: Word),
        field!(cable_csa_mm2: Number),
        field!(installation_method: Word),
        field!(cable_length_m: Number),
        field!(current_capacity_a: Number),
        field!(voltage_drop_v: Number),
        field!(voltage_drop_percent: Number),
        field!(zs_ohm: Number),
        field!(zs_limit_ohm: Number),
        field!(fault_current_a: Number),
        field!(earthing_path: Word),
        field!(points: Option<u32>),
        field!(cost_low_gbp: Number),
        field!(cost_likely_gbp: Number),
        field!(cost_high_gbp: Number),
        field!(labour_hours_low: Number),
        field!(labour_hours_likely: Number),
        field!(labour_hours_high: Number),
        field!(labour_band: Word),
        field!(decisive_unknowns: Words),
        parts!(remedies, remedy =>
            "{}: {}, £{:.2}, {} weeks, {} pays",
            remedy.kind,
            remedy.set.join(" then "),
            remedy.cost_likely_gbp,
            remedy.weeks_likely,
            if remedy.payer.is_empty() { "nobody" } else { remedy.payer }
        ),
        parts!(findings, finding =>
            "{} {} ({} of {} {})",
            finding.check,
            finding.outcome,
            number(finding.value),
            number(finding.limit),
            finding.unit
        ),
        parts!(assumed, assumed => "{} = {} ({})", assumed.field, assumed.value, assumed.source),
        parts!(bill, line =>
            "{} {} {} £{:.2}",
            line.item,
            number(line.quantity),
            line.unit,
            line.cost_likely_gbp
        ),
        parts!(tasks, line => "{} {} h", line.task, number(line.hours_likely)),
        Column {
            name: "odds",
            kind: ColumnKind::Text,
            value: |record| {
                let odds = &record.odds;
                Plain::Text(Cow::Owned(format!(
                    "ready {}; marginal {}; blocked {}",
                    number(odds.ready),
                    number(odds.marginal),
                    number(odds.blocked)
                )))
            },
        },
        field!(group_limit_a: Number),
        field!(points_at_once: Option<u32>),
        field!(points_served: Option<u32>),
        field!(energy_needed_kwh_mean: Number),
        field!(energy_needed_kwh_high: Number),
        field!(energy_unserved_kwh_mean: Number),
        field!(energy_unserved_kwh_high: Number),
        field!(least_group_limit_a: Number),
        field!(supply_full_year: Option<u16>),
        field!(address: Word),
        field!(postcode: Word),
        field!(lot: Word),
        field!(why: String),
        field!(confirm_first: Words),
        field!(ready_if_committed: bool),
        field!(score: Number),
        field!(cost_p50_gbp: Number),
        field!(cost_p80_gbp: Number),
        field!(illustrative_share: Number),
        field!(crew_days_low: Number),
        field!(crew_days_likely: Number),
        field!(crew_days_high: Number),
        parts!(crews, crew => "{} of {}: {} days", crew.crew, crew.persons, number(crew.days_likely)),
        field!(would_have_to_give: Word),
        parts!(shared_supply, supply =>
            "peak {} kW uncontrolled, {} at a night tariff, {} controlled, of {}",
            number(Some(supply.peak_uncontrolled_kw)),
            number(Some(supply.peak_night_tariff_kw)),
            number(Some(supply.peak_controlled_kw)),
            number(Some(supply.supply_kw))
        ),
        field!(neighbours_reason: Word),
        parts!(shared_with, shared =>
            "{}, {}, {} left",
            shared.site_id,
            shared.distance_m.map_or_else(|| "same postcode".to_owned(), |metres| format!("{metres} m")),
            shared.points_left
        ),
        field!(uprn: Word),
        parts!(operator_schedule, schedule => "{}", schedule.text()),
    ]
}

/// The columns of a run: the sheet of a row is one of them only where several sheets are read together.
pub fn columns_of(run: &Run<'_>) -> Vec<Column> {
    let several = run.intake.sheets.len() > 1;
    columns().into_iter().filter(|column| several || column.name != "sheet").collect()
}

/// Text that a spreadsheet program would take for a formula, kept text by a leading apostrophe.
pub(super) fn guarded(text: &str) -> Cow<'_, str> {
    if text.starts_with(['=', '+', '-', '@', '\t', '\r', '\0']) {
        Cow::Owned(format!("'{text}"))
    } else {
        Cow::Borrowed(text)
    }
}

/// Writes the plain table of `run` as comma-separated text in UTF-8, with the mark by which spreadsheet programs know
/// the encoding.
///
/// # Errors
/// When the writer fails.
pub fn write_csv(run: &Run<'_>, mut writer: impl Write) -> io::Result<()> {
    writer.write_all("\u{feff}".as_bytes())?;
    let columns = columns_of(run);
    let mut csv = csv::Writer::from_writer(writer);
    csv.write_record(columns.iter().map(|column| column.name))?;
    for record in records(run) {
        for column in &columns {
            match (column.value)(&record) {
                Plain::Blank => csv.write_field("")?,
                Plain::Text(text) => csv.write_field(guarded(&text).as_bytes())?,
                Plain::Number(number) => csv.write_field(number.to_string())?,
                Plain::Whole(number) => csv.write_field(number.to_string())?,
                Plain::YesNo(yes) => csv.write_field(if yes { "true" } else { "false" })?,
            }
        }
        csv.write_record(None::<&[u8]>)?;
    }
    csv.flush()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::fixture::Fixture;

    #[test]
    fn columns_are_the_fields_of_the_json_document() {
        let fixture = Fixture::new(4);
        let run = fixture.run();
        let record = records(&run).next().expect("a site");
        let value = serde_json::to_value(&record).expect("JSON");
        let fields: Vec<_> = value.as_object().expect("an object").keys().map(String::as_str).collect();
        let names: Vec<_> = columns_of(&run).iter().map(|column| column.name).collect();
        assert_eq!(names, fields);
    }

    #[test]
    fn values_are_of_the_kind_their_column_says() {
        let fixture = Fixture::new(24);
        let run = fixture.run();
        for record in records(&run) {
            for column in columns() {
                let kind = match (column.value)(&record) {
                    Plain::Blank => continue,
                    Plain::Text(_) => ColumnKind::Text,
                    Plain::Number(_) => ColumnKind::Number,
                    Plain::Whole(_) => ColumnKind::Whole,
                    Plain::YesNo(_) => ColumnKind::YesNo,
                };
                assert_eq!(kind, column.kind, "{}", column.name);
            }
        }
    }

    #[test]
    fn a_table_has_a_row_a_site_and_runs_no_formula() {
        let mut fixture = Fixture::new(12);
        fixture.portfolio.sites[0].judgement.brief.address = "=cmd|' /C calc'!A0".into();
        let run = fixture.run();
        let mut bytes = Vec::new();
        write_csv(&run, &mut bytes).expect("a table");
        assert!(bytes.starts_with("\u{feff}site_id,row,verdict,rank".as_bytes()));
        let text = String::from_utf8(bytes).expect("UTF-8");
        let mut reader = csv::Reader::from_reader(text.trim_start_matches('\u{feff}').as_bytes());
        let address = reader.headers().expect("headings").iter().position(|name| name == "address").expect("a column");
        let rows: Vec<_> = reader.records().map(|row| row.expect("a row")).collect();
        assert_eq!(rows.len(), 12);
        assert_eq!(&rows[0][address], "'=cmd|' /C calc'!A0");
    }
}
