//! From the bytes of a price book to items: every fault is named by file, line and column. It knows no design.

use super::backing::Backing;
use super::cause::Cause;
use super::price_book::{Item, ItemIndex, ItemKind};
use crate::quantity::Band;
use std::collections::{BTreeMap, BTreeSet};

/// Headings of a price book; the first `NEEDED` stand in every file, the others are needed for items of the user's own.
const HEADINGS: [&str; 13] = [
    "item",
    "low",
    "likely",
    "high",
    "description",
    "kind",
    "unit",
    "labour_rate",
    "cause",
    "year",
    "basis",
    "source",
    "notes",
];
const NEEDED: usize = 4;
/// Greatest figure taken for a price or an hour, pounds or hours: beyond it a slip of the keyboard is assumed.
const GREATEST_FIGURE: f64 = 100_000_000.0;

/// Why a price book cannot be used. Each names the file and what to do.
#[derive(Debug, thiserror::Error)]
pub enum PriceBookError {
    /// The file cannot be read.
    #[error("cannot read the price book {file}: {why}.")]
    Unreadable {
        /// File as given.
        file: String,
        /// The system's reason.
        why: String,
    },
    /// A heading is missing, unknown or there twice.
    #[error("price book {file}, line 1: {why} Headings are {}.", HEADINGS.join(", "))]
    Headings {
        /// File.
        file: String,
        /// What is wrong, as a sentence.
        why: String,
    },
    /// A line is malformed.
    #[error(
        "price book {file}, line {line}, column {column}: found \"{found}\", expected {expected}. \
         Correct the line, or leave it out: an item that is not in the file keeps its default."
    )]
    Line {
        /// File.
        file: String,
        /// Line, counted from 1.
        line: u64,
        /// Heading of the column.
        column: &'static str,
        /// What was found.
        found: String,
        /// What was expected.
        expected: String,
    },
    /// A line of the user's own that no estimate would use.
    #[error(
        "price book {file}: nothing uses an item \"{item}\". Take its name from sample-portfolio/price-book.csv, or name \
         it as the item of a charge point in the rules."
    )]
    UnusedItem {
        /// File.
        file: String,
        /// Its code.
        item: String,
    },
    /// Something names an item that the book does not hold.
    #[error("{named_in}: the price book has no item \"{item}\". Add it to the price book, or name one that it holds.")]
    NoSuchItem {
        /// Who names it.
        named_in: String,
        /// Its code.
        item: String,
    },
}

fn leak(text: &str) -> &'static str {
    // A book is read once a run; its words are then shared by every result.
    Box::leak(text.to_owned().into_boxed_str())
}

/// Lays the lines of one file over the items read so far: a known code is replaced, a new one is added.
pub(super) fn lay_over(
    items: &mut Vec<Item>,
    by_code: &mut BTreeMap<&'static str, ItemIndex>,
    file: &str,
    bytes: &[u8],
    own: bool,
) -> Result<(), PriceBookError> {
    let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    let mut reader = csv::ReaderBuilder::new().flexible(true).trim(csv::Trim::All).from_reader(bytes);
    let headings = match reader.headers() {
        Ok(headings) => headings.clone(),
        Err(fault) => return Err(headings_fault(file, format!("{fault}."))),
    };
    let columns = columns(file, &headings)?;
    let mut rates = Vec::new();
    let mut seen = BTreeSet::new();
    for record in reader.records() {
        let record = record.map_err(|fault| PriceBookError::Line {
            file: file.to_owned(),
            line: fault.position().map_or(0, csv::Position::line),
            column: "item",
            found: String::new(),
            expected: format!("a line of text in UTF-8 ({fault})"),
        })?;
        let line = Line { file, columns: &columns, record: &record, number: line_number(bytes, &record) };
        let code = line.cell("item");
        if code.is_empty() && record.iter().all(str::is_empty) {
            continue;
        }
        if code.is_empty() || !code.chars().all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || "-.".contains(c)) {
            return Err(line.fault("item", "a code of small letters, digits, points and hyphens"));
        }
        if !seen.insert(code.to_owned()) {
            return Err(line.fault("item", "each item once"));
        }
        let before = by_code.get(code).and_then(|index| items.get(index.0));
        let item = line.item(code, before, own)?;
        let index = match by_code.get(code) {
            Some(index) => *index,
            None => {
                let index = ItemIndex(items.len());
                by_code.insert(item.code, index);
                items.push(item.clone());
                index
            }
        };
        let rate = line.cell("labour_rate");
        if item.kind == ItemKind::Task && (item.labour_rate.is_none() || !rate.is_empty()) {
            rates.push((
                index,
                rate.to_owned(),
                line.fault("labour_rate", "the code of a rate in pounds a person-hour"),
            ));
        }
        if let Some(slot) = items.get_mut(index.0) {
            *slot = item;
        }
    }
    // Rates may stand below the tasks that use them.
    for (index, rate, fault) in rates {
        let Some(found) = by_code.get(rate.as_str()).copied() else { return Err(fault) };
        if !items.get(found.0).is_some_and(|item| item.kind == ItemKind::Rate && item.unit.contains("person-hour")) {
            return Err(fault);
        }
        if let Some(task) = items.get_mut(index.0) {
            task.labour_rate = Some(found);
        }
    }
    Ok(())
}

fn headings_fault(file: &str, why: String) -> PriceBookError {
    PriceBookError::Headings { file: file.to_owned(), why }
}

/// Position of each heading in the file.
fn columns(file: &str, headings: &csv::StringRecord) -> Result<[Option<usize>; HEADINGS.len()], PriceBookError> {
    let mut columns = [None; HEADINGS.len()];
    for (position, heading) in headings.iter().enumerate().filter(|(_, heading)| !heading.is_empty()) {
        let Some(place) = HEADINGS.iter().position(|known| known.eq_ignore_ascii_case(heading)) else {
            return Err(headings_fault(file, format!("\"{heading}\" is not a heading of a price book.")));
        };
        match columns.get_mut(place) {
            Some(slot @ None) => *slot = Some(position),
            _ => return Err(headings_fault(file, format!("\"{heading}\" is there twice."))),
        }
    }
    match HEADINGS.iter().zip(&columns).take(NEEDED).find(|(_, position)| position.is_none()) {
        Some((missing, _)) => Err(headings_fault(file, format!("there is no heading \"{missing}\"."))),
        None => Ok(columns),
    }
}

/// One line with what is needed to name a fault in it.
struct Line<'a> {
    file: &'a str,
    columns: &'a [Option<usize>; HEADINGS.len()],
    record: &'a csv::StringRecord,
    number: u64,
}

/// Line of a record, counted from 1. The reader's own position is where the record before ended: empty lines between
/// the two are counted here.
fn line_number(bytes: &[u8], record: &csv::StringRecord) -> u64 {
    let Some(position) = record.position() else { return 0 };
    let start = usize::try_from(position.byte()).unwrap_or(usize::MAX);
    let between = bytes.iter().skip(start).take_while(|byte| matches!(byte, b'\r' | b'\n'));
    position.line() + between.filter(|byte| **byte == b'\n').count() as u64
}

impl Line<'_> {
    fn cell(&self, heading: &str) -> &str {
        let place = HEADINGS.iter().position(|known| *known == heading);
        let position = place.and_then(|place| self.columns.get(place).copied().flatten());
        position.and_then(|position| self.record.get(position)).unwrap_or_default()
    }

    fn fault(&self, column: &'static str, expected: &str) -> PriceBookError {
        PriceBookError::Line {
            file: self.file.to_owned(),
            line: self.number,
            column,
            found: self.cell(column).to_owned(),
            expected: expected.to_owned(),
        }
    }

    fn number(&self, column: &'static str) -> Result<f64, PriceBookError> {
        let value: Option<f64> = self.cell(column).parse().ok();
        value
            .filter(|value| value.is_finite() && (0.0..=GREATEST_FIGURE).contains(value))
            .ok_or_else(|| self.fault(column, "a plain number of at least 0, without currency sign or commas"))
    }

    /// The text of a cell, else what stood there before.
    fn text(&self, column: &'static str, before: Option<&'static str>) -> &'static str {
        match (self.cell(column), before) {
            ("", before) => before.unwrap_or_default(),
            (text, _) => leak(text),
        }
    }

    fn item(&self, code: &str, before: Option<&Item>, own: bool) -> Result<Item, PriceBookError> {
        let (low, likely, high) = (self.number("low")?, self.number("likely")?, self.number("high")?);
        if low > likely {
            return Err(self.fault("low", "at most the likely figure"));
        }
        if high < likely {
            return Err(self.fault("high", "at least the likely figure"));
        }
        let kind = match (self.cell("kind"), before) {
            ("", Some(before)) => before.kind,
            (word, _) => ItemKind::ALL
                .into_iter()
                .find(|kind| kind.word() == word)
                .ok_or_else(|| self.fault("kind", "material, service, task or rate"))?,
        };
        let unit = self.text("unit", before.map(|item| item.unit));
        if unit.is_empty() {
            return Err(self.fault("unit", "the unit of a quantity"));
        }
        if let Some(before) = before {
            // A price for another unit would be multiplied by the wrong quantity without a word.
            if before.kind != kind {
                return Err(self.fault("kind", before.kind.word()));
            }
            if before.unit != unit {
                return Err(self.fault("unit", before.unit));
            }
        }
        let cause = match (self.cell("cause"), before) {
            ("", Some(before)) => before.cause,
            ("", None) => kind.usual_cause(),
            (word, _) => {
                let found = Cause::ALL.into_iter().find(|cause| cause.word() == word);
                found.ok_or_else(|| {
                    let words: Vec<&str> = Cause::ALL.iter().map(|cause| cause.word()).collect();
                    self.fault("cause", &format!("nothing, or one of {}", words.join(", ")))
                })?
            }
        };
        let year = match (self.cell("year"), before) {
            ("", Some(before)) => before.year,
            (text, _) => text
                .parse()
                .ok()
                .filter(|year| (1990..=2100).contains(year))
                .ok_or_else(|| self.fault("year", "the price year, such as 2026"))?,
        };
        Ok(Item {
            code: before.map_or_else(|| leak(code), |item| item.code),
            description: self.text("description", before.map(|item| item.description)),
            kind,
            unit,
            figure: Band { low, likely, high },
            labour_rate: before.and_then(|item| item.labour_rate),
            cause,
            year,
            // A figure of the user's own does not inherit where the default's came from.
            basis: if own {
                self.text("basis", Some("stated in the user's price book"))
            } else {
                self.text("basis", None)
            },
            source: self.text("source", own.then_some("the user's price book")),
            notes: self.text("notes", None),
            own,
            backing: Backing::default(),
            unit_cost: Band::default(),
            crew: 0,
        })
    }
}
