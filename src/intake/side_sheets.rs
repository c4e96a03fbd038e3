//! Sheets beside the survey that are small tables of their own, a line a vehicle group or a feeder: which row heads
//! them, which column is what, and what each line says. It joins nothing and assumes nothing.

use super::dates::{Dated, dated};
use super::heading_units::cut;
use super::identifiers;
use super::numbers::figure;
use super::raw::{RawCell, RawRow, number_shown, words_of};
use super::times::hours;
use super::units::{QUANTITIES, Quantity, Unit, unit_named};
use super::words::{Word, lexicon, why_unknown};
use crate::site::fields;
use crate::table::{Row, Table};
use std::ops::ControlFlow;
use std::sync::OnceLock;

pub(super) const SIDE_SHEETS_CSV: &str = include_str!("side_sheets.csv");

/// What a column holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Kind {
    Key,
    Text,
    Count,
    Number,
    Time,
    /// Pounds, with or without their sign.
    Money,
    Date,
    /// Ready, marginal or blocked.
    Verdict,
}

/// A column that such a sheet may have.
#[derive(Debug)]
pub(super) struct Known {
    pub sheet: &'static str,
    pub name: &'static str,
    kind: Kind,
    quantity: Option<Quantity>,
    low: f64,
    high: f64,
    /// Of two values the lower is the careful one.
    lower_is_careful: bool,
    pub needed: bool,
    /// What it takes, for people.
    pub meaning: &'static str,
    headings: Vec<&'static str>,
}

/// The columns of all such sheets.
pub(super) fn known() -> &'static [Known] {
    static KNOWN: OnceLock<Vec<Known>> = OnceLock::new();
    KNOWN.get_or_init(|| {
        let one = |row: Row<'_>| Known {
            sheet: row.kept("sheet"),
            name: row.kept("column"),
            kind: match row.text("kind") {
                "key" => Kind::Key,
                "count" => Kind::Count,
                "number" => Kind::Number,
                "time" => Kind::Time,
                "money" => Kind::Money,
                "date" => Kind::Date,
                "verdict" => Kind::Verdict,
                _ => Kind::Text,
            },
            quantity: QUANTITIES.iter().copied().find(|quantity| *quantity == row.text("quantity")),
            low: row.number("low").unwrap_or(f64::NEG_INFINITY),
            high: row.number("high").unwrap_or(f64::INFINITY),
            lower_is_careful: row.text("careful") == "low",
            needed: row.text("needed") == "yes",
            meaning: row.kept("meaning"),
            headings: row.kept("headings").split('|').collect(),
        };
        Table::of(SIDE_SHEETS_CSV).rows().map(one).collect()
    })
}

/// A cell that says nothing that could be used.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct NotUsed {
    pub row: u32,
    pub column: u16,
    pub field: &'static str,
    pub text: String,
    pub why: String,
}

/// What a line says, by the names of the columns.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Line {
    pub row: u32,
    /// Texts and keys.
    texts: Vec<(&'static str, String)>,
    /// Figures and hours.
    figures: Vec<(&'static str, f64)>,
    /// Needed columns that it leaves open.
    pub lacks: Vec<&'static str>,
}

impl Line {
    pub fn text(&self, name: &str) -> Option<&str> {
        self.texts.iter().find(|(own, _)| *own == name).map(|(_, text)| text.as_str())
    }
    pub fn figure(&self, name: &str) -> Option<f64> {
        self.figures.iter().find(|(own, _)| *own == name).map(|(_, figure)| *figure)
    }
    /// Whether nothing stands in it.
    pub fn is_blank(&self) -> bool {
        self.texts.is_empty() && self.figures.is_empty()
    }
    /// Whether it says anything besides these keys.
    pub fn says_more_than(&self, keys: &[&str]) -> bool {
        !self.figures.is_empty() || self.texts.iter().any(|(name, _)| !keys.contains(name))
    }
    pub fn count(&self, name: &str) -> Option<u32> {
        self.figure(name).map(|figure| figure.max(0.0).ceil() as u32)
    }
}

/// Everything read from such a sheet.
#[derive(Clone, Debug, Default)]
pub(super) struct Read {
    pub heading_row: u32,
    /// Columns read: their name and heading.
    pub columns: Vec<(&'static str, String)>,
    /// Headings of columns that mean nothing to us.
    pub others: Vec<String>,
    /// Needed columns that the sheet does not have.
    pub lacks: Vec<&'static str>,
    pub lines: Vec<Line>,
    pub not_used: Vec<NotUsed>,
}

/// A column of the sheet at hand.
struct Column {
    at: u16,
    known: &'static Known,
    unit: Option<Unit>,
}

/// Reads lines as they come.
pub(super) struct Reader {
    columns: Vec<Column>,
    read: Read,
}

/// The known column that a heading names, and the unit in its brackets.
fn meant(sheet: &str, heading: &str) -> Option<(&'static Known, Option<Unit>)> {
    let cut = cut(heading);
    let fits =
        |known: &&Known| known.headings.contains(&cut.base.as_str()) || known.headings.contains(&cut.whole.as_str());
    let known = known().iter().filter(|known| known.sheet == sheet).find(fits)?;
    let unit = cut.unit.as_deref().map(|unit| unit.replace(' ', ""));
    Some((known, unit.and_then(|unit| unit_named(&unit, known.quantity.as_slice()))))
}

impl Reader {
    /// For a sheet known as `sheet`; the row with most known headings heads it, the first of those with equally many.
    pub fn of(sheet: &'static str, beginning: &[RawRow]) -> Self {
        let headed = |row: &RawRow| {
            let (mut columns, mut titles, mut others) = (Vec::<Column>::new(), Vec::new(), Vec::new());
            for (at, cell) in &row.cells {
                let RawCell::Text(text) = cell else { continue };
                match meant(sheet, text) {
                    Some((known, unit)) if columns.iter().all(|column| column.known.name != known.name) => {
                        columns.push(Column { at: *at, known, unit });
                        titles.push((known.name, text.trim().to_owned()));
                    }
                    _ => others.push(text.trim().to_owned()),
                }
            }
            (columns, titles, others)
        };
        let mut best: Option<(usize, &RawRow)> = None;
        for row in beginning {
            let found = headed(row).0.len();
            if found > best.map_or(0, |(most, _)| most) {
                best = Some((found, row));
            }
        }
        let Some((_, row)) = best else {
            let lacks = known().iter().filter(|known| known.sheet == sheet && known.needed).map(|known| known.name);
            return Self { columns: Vec::new(), read: Read { lacks: lacks.collect(), ..Read::default() } };
        };
        let (columns, titles, others) = headed(row);
        let has = |known: &&Known| columns.iter().all(|column| column.known.name != known.name);
        let needed = known().iter().filter(|known| known.sheet == sheet && known.needed);
        let lacks = needed.filter(has).map(|known| known.name).collect();
        let read = Read { heading_row: row.row, columns: titles, others, lacks, ..Read::default() };
        Self { columns, read }
    }

    /// What its headings told.
    pub fn so_far(&self) -> &Read {
        &self.read
    }

    /// What was read.
    pub fn done(self) -> Read {
        self.read
    }

    /// Takes one row of the sheet.
    pub fn take(&mut self, row: RawRow) -> ControlFlow<()> {
        if row.row <= self.read.heading_row {
            return ControlFlow::Continue(());
        }
        let mut line = Line { row: row.row, ..Line::default() };
        for column in &self.columns {
            let (at, name) = (column.at, column.known.name);
            let Some(cell) = row.cell(at) else { continue };
            match said(column, cell) {
                Ok(Said::Text(text)) => line.texts.push((name, text)),
                Ok(Said::Figure(figure)) => line.figures.push((name, figure)),
                Ok(Said::Nothing) => {}
                Err(why) => {
                    let text = cell.shown();
                    self.read.not_used.push(NotUsed { row: row.row, column: at, field: name, text, why });
                }
            }
        }
        let stated = |name: &str| line.text(name).is_some() || line.figure(name).is_some();
        let needed = self.columns.iter().filter(|column| column.known.needed).map(|column| column.known.name);
        line.lacks = needed.chain(self.read.lacks.iter().copied()).filter(|name| !stated(name)).collect();
        self.read.lines.push(line);
        ControlFlow::Continue(())
    }
}

enum Said {
    Text(String),
    Figure(f64),
    Nothing,
}

/// What a cell says in its column; of a range or a doubtful figure the careful end.
fn said(column: &Column, cell: &RawCell) -> Result<Said, String> {
    let known = column.known;
    if let RawCell::Fault(code) = cell {
        return Err(format!("The cell holds an error ({code})."));
    }
    if why_unknown(&words_of(&cell.shown())).is_some() {
        return Ok(Said::Nothing);
    }
    let figure = match known.kind {
        Kind::Key | Kind::Text => {
            let text = identifiers::key(cell);
            return Ok(if text.is_empty() { Said::Nothing } else { Said::Text(text) });
        }
        Kind::Date => {
            return match dated(cell) {
                Some(Dated::Day(day) | Dated::OtherOrder(day) | Dated::Month(_, day)) => {
                    Ok(Said::Text(day.to_string()))
                }
                None => Err("It is not a date: write it as 2026-11-25.".to_owned()),
            };
        }
        Kind::Verdict => return verdict(&cell.shown()).map(|word| Said::Text(word.to_owned())),
        Kind::Time => hours(cell).ok_or("It is not a time of day.")?,
        Kind::Count | Kind::Number | Kind::Money => {
            let found = match cell {
                RawCell::Number(number) => super::numbers::Figure::bare(*number),
                RawCell::Text(text) if known.kind == Kind::Money => {
                    figure(&without_pounds(text), &[]).ok_or("It is not an amount in pounds.")?
                }
                RawCell::Text(text) => figure(text, known.quantity.as_slice()).ok_or("It is not a number.")?,
                _ => return Err("It is not a number.".to_owned()),
            };
            let factor = found.unit.or(column.unit).map_or(1.0, |unit| unit.factor);
            let end =
                if known.lower_is_careful { found.first.min(found.second) } else { found.first.max(found.second) };
            end * found.times * factor
        }
    };
    if !(known.low..=known.high).contains(&figure) {
        let (low, high) = (number_shown(known.low), number_shown(known.high));
        return Err(format!("It is not believed: {low} to {high} is."));
    }
    if known.kind == Kind::Count && figure.fract() != 0.0 {
        return Err("It is not a whole number.".to_owned());
    }
    Ok(Said::Figure(figure))
}

/// The verdict that a text says plainly; half a word beside it ("ready once unlooped") makes it none.
fn verdict(text: &str) -> Result<&'static str, String> {
    let field = fields().iter().find(|field| field.name == "override_verdict");
    match field.map(|field| lexicon(field).read(text)) {
        Some(Word::Plain { word, partly: false }) => Ok(word),
        _ => Err("It is no verdict: write ready, marginal or blocked.".to_owned()),
    }
}

/// An amount without the signs of pounds round it.
fn without_pounds(text: &str) -> String {
    let text = text.trim();
    let text = text.strip_prefix('£').or_else(|| text.strip_prefix("GBP")).unwrap_or(text).trim_start();
    text.strip_suffix("GBP").or_else(|| text.strip_suffix('£')).unwrap_or(text).trim_end().to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn rows(text: &str) -> Vec<RawRow> {
        let cell = |text: &str| text.parse().map_or_else(|_| RawCell::Text(text.to_owned()), RawCell::Number);
        let cells = |line: &str| -> Vec<(u16, RawCell)> {
            (0..).zip(line.split(',')).filter(|(_, text)| !text.is_empty()).map(|(at, text)| (at, cell(text))).collect()
        };
        (1..).zip(text.lines()).map(|(row, line)| RawRow { row, cells: cells(line) }).collect()
    }

    fn read(sheet: &'static str, text: &str) -> Read {
        let rows = rows(text);
        let mut reader = Reader::of(sheet, &rows);
        for row in rows {
            let _ = reader.take(row);
        }
        reader.done()
    }

    #[test]
    fn every_column_of_the_table_is_headed_by_its_own_name() {
        for one in known() {
            let (meant, _) = meant(one.sheet, one.name).unwrap();
            assert_eq!(meant.name, one.name, "{}", one.name);
            let twice = known().iter().filter(|other| other.sheet == one.sheet);
            for heading in &one.headings {
                assert_eq!(twice.clone().filter(|other| other.headings.contains(heading)).count(), 1, "{heading}");
            }
        }
    }

    #[test]
    fn a_line_of_vehicles_is_read_with_its_units_and_its_careful_ends() {
        let text = "Our vans,,,,,\nSite,Type,Qty,Daily mileage (km),Back at,mi/kWh,Max AC current\n\
            D1,Panel van,12,160.9344,17:30,2.0-2.4,16 A\nD1,Car,three,40,soon,3.4,200";
        let read = read("fleet", text);
        assert_eq!((read.heading_row, read.lacks.len(), read.lines.len()), (2, 0, 2));
        let van = &read.lines[0];
        assert_eq!((van.text("site_id"), van.count("count")), (Some("D1"), Some(12)));
        assert!((van.figure("daily_miles_mean").unwrap() - 100.0).abs() < 1e-3);
        assert_eq!(
            (van.figure("arrive"), van.figure("miles_per_kwh"), van.figure("max_ac_a")),
            (Some(17.5), Some(2.0), Some(16.0))
        );
        // "three" is no figure here, "soon" no time and 200 A no charging current: each is told, none is guessed.
        let why: Vec<&str> = read.not_used.iter().map(|cell| cell.field).collect();
        assert!(why.contains(&"arrive") && why.contains(&"max_ac_a"), "{why:?}");
        assert!(read.lines[1].figure("max_ac_a").is_none());
    }

    #[test]
    fn an_outcome_is_read_and_what_is_none_is_told() {
        let text = "Job ref,Verdict on site,Final cost (£),Hours,Date done\n\
            H1,Ready,\"£1\",6.5,25/11/2026\nH2,good to go,-4,0,soon\nH3,ready once unlooped,n/k,plenty,\nH4,blocked,1200.50,8-10,\n";
        let read = read("outcomes", text);
        assert_eq!(read.columns.len(), 5, "{:?} {:?}", read.columns, read.others);
        let first = &read.lines[0];
        assert_eq!((first.text("verdict_on_site"), first.text("date")), (Some("ready"), Some("2026-11-25")));
        assert_eq!(read.lines[1].text("verdict_on_site"), Some("ready"));
        let told: Vec<(u32, &str)> = read.not_used.iter().map(|cell| (cell.row, cell.field)).collect();
        let all = [(3, "installed_cost_gbp"), (3, "hours"), (3, "date"), (4, "verdict_on_site"), (4, "hours")];
        assert_eq!(told, all);
        assert_eq!(
            (read.lines[3].figure("installed_cost_gbp"), read.lines[3].figure("hours")),
            (Some(1200.5), Some(10.0))
        );
        assert!(without_pounds(" £1,250.00 ") == "1,250.00" && figure("1,250.00", &[]).unwrap().first == 1250.0);
    }

    #[test]
    fn a_sheet_without_a_needed_column_lacks_it_in_every_line() {
        let read = read("feeders", "capacity_kva,customers\n200,60");
        assert_eq!((read.lacks.clone(), read.lines[0].lacks.clone()), (vec!["feeder_id"], vec!["feeder_id"]));
    }
}
