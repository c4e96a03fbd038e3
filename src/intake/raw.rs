//! What a file holds before anybody asks what it means: rows of cells with a position and a kind.
//!
//! Every reader (workbook, delimited text) yields these; nothing here knows a survey field.

use unicode_normalization::{IsNormalized, UnicodeNormalization, is_nfkc_quick};

/// One filled cell.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum RawCell {
    /// Text, as stored.
    Text(String),
    /// A finite number.
    Number(f64),
    /// A truth value.
    Bool(bool),
    /// A number shown as a date or a time: days since `1899-12-30` (1904-based files are already shifted).
    Moment(f64),
    /// An error value such as `#N/A`, or a formula that has no stored result.
    Fault(&'static str),
}

/// One row with at least one filled cell; cells ascend by column.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct RawRow {
    /// Row in the file, counted from 1 as spreadsheet programs show it.
    pub row: u32,
    /// Column (from 0) and cell.
    pub cells: Vec<(u16, RawCell)>,
}

impl RawRow {
    /// The cell in a column, if it is filled.
    pub fn cell(&self, column: u16) -> Option<&RawCell> {
        self.cells.binary_search_by_key(&column, |(at, _)| *at).ok().and_then(|at| self.cells.get(at)).map(|(_, c)| c)
    }
}

/// Bytes of the texts of a row.
pub(super) fn text_bytes(cells: &[(u16, RawCell)]) -> u64 {
    cells.iter().map(|(_, cell)| if let RawCell::Text(text) = cell { text.len() as u64 } else { 0 }).sum()
}

/// Bytes of texts that a workbook of this size may show: one text can stand in a million cells for a few bytes each.
/// Written tables show a few times their packed size (design rule).
pub(super) fn texts_borne(size: usize) -> u64 {
    const AT_LEAST: u64 = 16 << 20;
    const A_BYTE: u64 = 32;
    AT_LEAST.max((size as u64).saturating_mul(A_BYTE))
}

/// Why a sheet is given up that shows more.
pub(super) fn too_much_text(row: u32) -> String {
    format!(
        "up to row {row} it shows far more text than its size could hold, as no survey does; open it and save it again"
    )
}

impl RawCell {
    /// The cell as a person would see it.
    pub fn shown(&self) -> String {
        match self {
            RawCell::Text(text) => text.trim().to_owned(),
            RawCell::Number(number) => number_shown(*number),
            RawCell::Bool(true) => "TRUE".to_owned(),
            RawCell::Bool(false) => "FALSE".to_owned(),
            RawCell::Moment(serial) => moment_shown(*serial),
            RawCell::Fault(code) => (*code).to_owned(),
        }
    }
}

/// A number to 15 significant digits at most, as spreadsheet programs keep them.
pub(crate) fn number_shown(number: f64) -> String {
    let text = number.to_string();
    if text.len() <= 16 || number.abs() >= 1e15 {
        return text;
    }
    format!("{number:.14e}").parse::<f64>().map_or(text, |rounded| rounded.to_string())
}

/// The calendar date of a spreadsheet serial number, for serials of 1 March 1900 (before it the count of days is
/// ambiguous) to the year 9999.
pub(crate) fn serial_date(serial: f64) -> Option<jiff::civil::Date> {
    if !(61.0..2_958_466.0).contains(&serial) {
        return None;
    }
    // The range above fits both the integer and the calendar.
    jiff::civil::date(1899, 12, 30).checked_add(jiff::Span::new().days(serial.floor() as i64)).ok()
}

fn moment_shown(serial: f64) -> String {
    let minutes = (serial.rem_euclid(1.0) * 1440.0).round() as u32 % 1440;
    let clock = format!("{:02}:{:02}", minutes / 60, minutes % 60);
    match serial_date(serial) {
        Some(date) if minutes == 0 => date.to_string(),
        Some(date) => format!("{date} {clock}"),
        None if (0.0..1.0).contains(&serial) => clock,
        None => number_shown(serial),
    }
}

/// Text in one typography: compatibility forms resolved, curly quotes and long dashes plain, no-break blanks blank,
/// controls and zero-width marks gone, runs of blanks single, ends trimmed, lower case.
pub(crate) fn folded(text: &str) -> String {
    if text.is_ascii() {
        return fold_characters(text.chars(), text.len());
    }
    match is_nfkc_quick(text.chars()) {
        IsNormalized::Yes => fold_characters(text.chars(), text.len()),
        _ => fold_characters(text.nfkc(), text.len()),
    }
}

fn fold_characters(characters: impl Iterator<Item = char>, length: usize) -> String {
    let mut out = String::with_capacity(length);
    for character in characters {
        let plain = match character {
            '\u{2018}' | '\u{2019}' | '\u{201B}' | '\u{2032}' | '`' | '\u{00B4}' => '\'',
            '\u{201C}' | '\u{201D}' | '\u{2033}' => '"',
            '\u{2010}'..='\u{2015}' | '\u{2212}' => '-',
            '\u{200B}'..='\u{200F}' | '\u{FEFF}' | '\u{00AD}' => continue,
            c if c.is_whitespace() || c.is_control() => ' ',
            c => c,
        };
        if plain == ' ' && (out.is_empty() || out.ends_with(' ')) {
            continue;
        }
        if plain.is_ascii() {
            out.push(plain.to_ascii_lowercase());
        } else {
            out.extend(plain.to_lowercase());
        }
    }
    out.truncate(out.trim_end().len());
    out
}

/// Folded text with everything but letters and digits turned to single blanks: for comparing words and headings.
pub(crate) fn words_of(text: &str) -> String {
    let folded = folded(text);
    let mut out = String::with_capacity(folded.len());
    for character in folded.chars() {
        match character {
            '\'' => {}
            c if c.is_alphanumeric() => out.push(c),
            _ if out.is_empty() || out.ends_with(' ') => {}
            _ => out.push(' '),
        }
    }
    out.truncate(out.trim_end().len());
    out
}

/// A column as spreadsheet programs letter it: 0 is A, 26 is AA.
pub(crate) fn column_letters(column: u16) -> String {
    let mut left = u32::from(column) + 1;
    let mut letters = Vec::new();
    while left > 0 {
        left -= 1;
        letters.push(char::from(b'A' + (left % 26) as u8));
        left /= 26;
    }
    letters.iter().rev().collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn typography_is_made_plain() {
        assert_eq!(folded("\u{00A0}６０\u{2013}80\u{00A0} A "), "60-80 a");
        assert_eq!(words_of("Cut-out  rating (A)"), "cut out rating a");
        assert_eq!(words_of("don\u{2019}t know"), "dont know");
    }

    #[test]
    fn numbers_and_moments_read_like_a_person_would_see_them() {
        assert_eq!(number_shown(0.1 + 0.2), "0.3");
        assert_eq!(number_shown(60.0), "60");
        assert_eq!(RawCell::Moment(46351.0).shown(), "2026-11-25");
        assert_eq!(RawCell::Moment(0.75).shown(), "18:00");
        assert_eq!(RawCell::Moment(-3.0).shown(), "-3");
    }

    #[test]
    fn columns_are_lettered() {
        assert_eq!(column_letters(0), "A");
        assert_eq!(column_letters(27), "AB");
        assert_eq!(column_letters(16_383), "XFD");
    }
}
