//! The rows and cells of an OpenDocument sheet, out of its own text: value, what is shown, repetition and spans.

use super::raw::RawCell;
use quick_xml::events::{BytesStart, Event};
use std::io::BufRead;

/// Columns of any sheet.
const MOST_COLUMNS: u32 = 16_384;
/// Bytes of the text of one cell.
const LONGEST_TEXT: usize = 1 << 20;

/// One cell with its repetition.
#[derive(Default)]
pub(super) struct Cell {
    pub value: Option<RawCell>,
    /// What the sheet shows, where that is not the value itself.
    pub shown: String,
    pub repeated: u32,
    pub columns_spanned: u32,
    pub rows_spanned: u32,
    pub formula: bool,
}

/// One row with its repetition.
pub(super) struct Row {
    pub cells: Vec<(u32, Cell)>,
    pub repeated: u32,
    pub hidden: bool,
}

/// The document's own reader.
pub(super) type Xml<'r> = quick_xml::Reader<Box<dyn BufRead + 'r>>;

pub(super) fn read_row(xml: &mut Xml<'_>, repeated: u32, hidden: bool) -> Result<Row, String> {
    let mut row = Row { cells: Vec::new(), repeated, hidden };
    let mut column = 0_u32;
    let mut buffer = Vec::new();
    loop {
        buffer.clear();
        match xml.read_event_into(&mut buffer).map_err(|error| damaged(&error))? {
            Event::Start(element)
                if matches!(element.name().as_ref(), "table:table-cell" | "table:covered-table-cell") =>
            {
                let mut cell = Cell {
                    repeated: count(&element, "table:number-columns-repeated"),
                    columns_spanned: count(&element, "table:number-columns-spanned"),
                    rows_spanned: count(&element, "table:number-rows-spanned"),
                    formula: attribute(&element, "table:formula").is_some(),
                    ..Cell::default()
                };
                let kind = attribute(&element, "office:value-type").unwrap_or_default();
                let stated = stated_value(&element, &kind);
                let fault = attribute(&element, "calcext:value-type").as_deref() == Some("error");
                cell.shown = read_text(xml)?;
                cell.value = match stated {
                    _ if fault => Some(RawCell::Fault(fault_named(&cell.shown))),
                    Some(value) => Some(value),
                    None => (!cell.shown.trim().is_empty()).then(|| RawCell::Text(cell.shown.clone())),
                };
                let repeated = cell.repeated;
                let matters = cell.value.is_some() || cell.formula || cell.columns_spanned > 1 || cell.rows_spanned > 1;
                if matters && column < MOST_COLUMNS {
                    row.cells.push((column, cell));
                }
                column = column.saturating_add(repeated);
            }
            Event::End(element) if element.name().as_ref() == "table:table-row" => return Ok(row),
            Event::Eof => return Err(damaged(&"it ends within a row")),
            _ => {}
        }
    }
}

/// The text of a cell up to its end: paragraphs on lines of their own, without remarks pinned to it.
fn read_text(xml: &mut Xml<'_>) -> Result<String, String> {
    let mut text = String::new();
    let mut buffer = Vec::new();
    let (mut within, mut remarks, mut paragraphs) = (1_u32, 0_u32, 0_u32);
    loop {
        buffer.clear();
        match xml.read_event_into(&mut buffer).map_err(|error| damaged(&error))? {
            Event::Start(element) => match element.name().as_ref() {
                "office:annotation" => remarks += 1,
                "table:table-cell" | "table:covered-table-cell" => within += 1,
                "text:p" if remarks == 0 => {
                    paragraphs += 1;
                    if paragraphs > 1 {
                        text.push('\n');
                    }
                }
                "text:s" if remarks == 0 => {
                    let blanks = count(&element, "text:c").min(1000);
                    text.extend(std::iter::repeat_n(' ', blanks as usize));
                }
                "text:tab" if remarks == 0 => text.push('\t'),
                "text:line-break" if remarks == 0 => text.push('\n'),
                _ => {}
            },
            Event::End(element) => match element.name().as_ref() {
                "office:annotation" => remarks = remarks.saturating_sub(1),
                "table:table-cell" | "table:covered-table-cell" => {
                    within -= 1;
                    if within == 0 {
                        return Ok(text);
                    }
                }
                _ => {}
            },
            Event::Text(part) if remarks == 0 && paragraphs > 0 => text.push_str(&part.xml10_content()),
            Event::CData(part) if remarks == 0 && paragraphs > 0 => text.push_str(&part.xml10_content()),
            Event::GeneralRef(reference) if remarks == 0 && paragraphs > 0 => match reference.resolve_char_ref() {
                Ok(Some(character)) => text.push(character),
                _ => text.push_str(match reference.as_ref() {
                    "amp" => "&",
                    "lt" => "<",
                    "gt" => ">",
                    "quot" => "\"",
                    "apos" => "'",
                    _ => "\u{FFFD}",
                }),
            },
            Event::Eof => return Err(damaged(&"it ends within a cell")),
            _ => {}
        }
        if text.len() > LONGEST_TEXT {
            return Err("one of its cells holds more text than any cell can; open it and save it again".to_owned());
        }
    }
}

/// The value that a cell's attributes state.
fn stated_value(element: &BytesStart<'_>, kind: &str) -> Option<RawCell> {
    match kind {
        "float" | "currency" | "percentage" => {
            let number: f64 = attribute(element, "office:value")?.trim().parse().ok()?;
            Some(if number.is_finite() { RawCell::Number(number) } else { RawCell::Fault("not a number") })
        }
        "boolean" => Some(RawCell::Bool(attribute(element, "office:boolean-value")?.eq_ignore_ascii_case("true"))),
        "date" => {
            let written = attribute(element, "office:date-value")?;
            Some(moment(&written).map_or(RawCell::Text(written), RawCell::Moment))
        }
        "time" => {
            let written = attribute(element, "office:time-value")?;
            let span = written.parse::<jiff::Span>().ok();
            let seconds = span.and_then(|span| span.total(jiff::Unit::Second).ok());
            Some(seconds.map_or(RawCell::Text(written), |seconds| RawCell::Moment(seconds / 86_400.0)))
        }
        "string" => attribute(element, "office:string-value").filter(|text| !text.trim().is_empty()).map(RawCell::Text),
        _ => None,
    }
}

/// Days since 1899-12-30 of a written date or moment.
pub(super) fn moment(written: &str) -> Option<f64> {
    let written = written.trim().trim_end_matches('Z');
    let moment: jiff::civil::DateTime = match written.parse::<jiff::civil::DateTime>() {
        Ok(moment) => moment,
        Err(_) => written.parse::<jiff::civil::Date>().ok()?.at(0, 0, 0, 0),
    };
    let first = jiff::civil::date(1899, 12, 30).at(0, 0, 0, 0);
    let seconds = first.until((jiff::Unit::Second, moment)).ok()?.total(jiff::Unit::Second).ok()?;
    Some(seconds / 86_400.0)
}

fn fault_named(shown: &str) -> &'static str {
    let known = ["#DIV/0!", "#N/A", "#NAME?", "#NULL!", "#NUM!", "#REF!", "#VALUE!"];
    known.into_iter().find(|name| *name == shown.trim()).unwrap_or("#VALUE!")
}

pub(super) fn attribute(element: &BytesStart<'_>, name: &str) -> Option<String> {
    let found = element.attributes().flatten().find(|attribute| attribute.key.as_ref() == name)?;
    found.normalized_value(quick_xml::XmlVersion::default()).ok().map(|value| value.into_owned())
}

/// A count of at least 1.
pub(super) fn count(element: &BytesStart<'_>, name: &str) -> u32 {
    let written = attribute(element, name);
    // A count beyond what fits is as many as there are.
    written.map_or(1, |written| written.trim().parse::<u64>().map_or(1, |n| n.clamp(1, u64::from(u32::MAX)) as u32))
}

pub(super) fn is_hidden(element: &BytesStart<'_>) -> bool {
    attribute(element, "table:visibility").is_some_and(|word| word != "visible")
}

pub(super) fn damaged(error: &dyn std::fmt::Display) -> String {
    format!("its inside is damaged ({error}); open it in a spreadsheet program and save it again")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn moments_are_counted_in_days() {
        assert_eq!(moment("2026-11-25"), Some(46351.0));
        assert_eq!(moment("2026-11-25T18:00:00"), Some(46351.75));
        assert_eq!(moment("25 November"), None);
    }
}
