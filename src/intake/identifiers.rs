//! Identifiers out of cells: supply numbers, property references, postcodes, keys. Digits must not be lost or rounded,
//! so a number that a spreadsheet has rounded is not understood, never repaired.

use super::raw::RawCell;
use crate::site::mpan_check_digit_ok;

/// An identifier as understood, with a sentence where that needs one.
pub(super) type Identified = Result<(String, Option<String>), String>;

/// Whole numbers up to here are exact in a spreadsheet's cells.
const EXACT_BELOW: f64 = 9_007_199_254_740_992.0;
/// Significant digits that spreadsheet programs keep.
const KEPT_DIGITS: usize = 15;

/// The text of a key: a whole number without its decimal point, anything else as written.
pub(super) fn key(cell: &RawCell) -> String {
    match cell {
        RawCell::Text(text) => {
            let mut key = String::with_capacity(text.len());
            for word in text.split_whitespace() {
                if !key.is_empty() {
                    key.push(' ');
                }
                key.push_str(word);
            }
            key
        }
        other => other.shown(),
    }
}

/// The digits of an identifier, or why they cannot be trusted.
fn digits(cell: &RawCell) -> Result<String, String> {
    match cell {
        RawCell::Number(number) => {
            let whole = number.fract() == 0.0 && (0.0..EXACT_BELOW).contains(number);
            let text = number.to_string();
            if whole && text.len() <= KEPT_DIGITS {
                Ok(text)
            } else {
                Err("its last digits are lost, because it was kept as a number: type it again as text".to_owned())
            }
        }
        RawCell::Text(text) => {
            let upper = text.trim().to_ascii_uppercase();
            let damaged = upper.contains("E+") || upper.contains("E1");
            if damaged && upper.chars().all(|c| c.is_ascii_digit() || matches!(c, 'E' | '+' | '.' | ',')) {
                return Err(
                    "its last digits are lost, because it was kept as a number: type it again as text".to_owned()
                );
            }
            let plain = upper.strip_suffix(".0").unwrap_or(&upper);
            Ok(plain.chars().filter(|c| !c.is_whitespace() && !matches!(c, '-' | '/' | '.' | '\'' | ':')).collect())
        }
        _ => Err("it is not a row of digits".to_owned()),
    }
}

/// The 13-digit core of a supply number, out of 13 or 21 characters; an 11-digit number of Northern Ireland stands as
/// it is. A core that fails its check digit keeps its text, with a note.
pub(super) fn mpan(cell: &RawCell) -> Identified {
    let text = digits(cell)?;
    let text = text.strip_prefix('S').unwrap_or(&text);
    let all_digits = |text: &str| text.bytes().all(|byte| byte.is_ascii_digit());
    if !text.is_ascii() {
        return Err("it is not a row of digits".to_owned());
    }
    let core = match text.len() {
        13 if all_digits(text) => text,
        21 if text.get(8..).is_some_and(all_digits) && text.get(..5).is_some_and(all_digits) => {
            text.get(8..).unwrap_or_default()
        }
        11 if all_digits(text) => {
            return Ok((text.to_owned(), Some("11 digits: read as a supply number of Northern Ireland".to_owned())));
        }
        6..=10 if all_digits(text) => {
            return Err("6 to 10 digits are a gas meter point or a meter's serial number; 13 are wanted".to_owned());
        }
        length => return Err(format!("it has {length} characters; a supply number has 13 digits, or 21 in full")),
    };
    let note = if mpan_check_digit_ok(core) {
        (text.len() == 21).then(|| "the bottom line of the 21 characters was taken".to_owned())
    } else {
        Some("its check digit is wrong: a digit is mistyped or two are swapped".to_owned())
    };
    Ok((core.to_owned(), note))
}

/// The profile class that begins the 21 characters of a supply number written in full, 0 to 99.
pub(super) fn profile_class(text: &str) -> Option<u8> {
    if text.len() < 21 {
        return None;
    }
    let packed: String = text.chars().filter(char::is_ascii_alphanumeric).map(|c| c.to_ascii_uppercase()).collect();
    let packed = packed.strip_prefix('S').unwrap_or(&packed);
    (packed.len() == 21).then(|| packed.get(..2)?.parse().ok()).flatten()
}

/// A unique property reference number: 1 to 12 digits, without leading zeros.
pub(super) fn uprn(cell: &RawCell) -> Identified {
    let text = digits(cell)?;
    let plain = text.trim_start_matches('0');
    if plain.is_empty() || plain.len() > 12 || !plain.bytes().all(|byte| byte.is_ascii_digit()) {
        return Err("a property reference has 1 to 12 digits".to_owned());
    }
    Ok((plain.to_owned(), None))
}

/// A postcode in its usual form: capitals, one blank before the last three characters.
pub(super) fn postcode(text: &str) -> Identified {
    let packed: String = text.chars().filter(|c| c.is_ascii_alphanumeric()).map(|c| c.to_ascii_uppercase()).collect();
    if let Some(sound) = shaped(&packed) {
        return Ok((sound, None));
    }
    // An O for a nought or a nought for an O, at either side of the last three characters.
    let swapped = |c: char| match c {
        'O' => '0',
        '0' => 'O',
        'I' => '1',
        other => other,
    };
    // Only of a text as short as a postcode: a long one would be written out once for each of its letters.
    for at in 0..if packed.len() <= 7 { packed.len() } else { 0 } {
        let mended: String = packed.chars().enumerate().map(|(i, c)| if i == at { swapped(c) } else { c }).collect();
        if let Some(sound) = shaped(&mended) {
            let note = format!("read as {sound}: a letter for a digit, or the other way round");
            return Ok((sound, Some(note)));
        }
    }
    Err("it does not have the form of a postcode, such as QX4 7LP".to_owned())
}

/// The postcode that ends an address, if one does.
pub(super) fn postcode_at_end(address: &str) -> Option<String> {
    let words: Vec<&str> = address.split([' ', ',', '\n', '\r', ';']).filter(|word| !word.is_empty()).collect();
    let (last, before) = words.split_last()?;
    let joined = before.last().map(|word| format!("{word}{last}"));
    [joined.unwrap_or_default(), (*last).to_owned()]
        .iter()
        .find_map(|candidate| shaped(&candidate.to_ascii_uppercase()))
}

/// A postcode without its blank, if it has the published shape: one or two letters, a digit, a letter or digit or
/// nothing, then a digit and two letters.
fn shaped(packed: &str) -> Option<String> {
    if !packed.is_ascii() || !(5..=7).contains(&packed.len()) {
        return None;
    }
    let (out, inner) = packed.split_at(packed.len() - 3);
    let letter = |c: &u8| c.is_ascii_uppercase();
    let digit = |c: &u8| c.is_ascii_digit();
    let inner_fits = matches!(inner.as_bytes(), [a, b, c] if digit(a) && letter(b) && letter(c));
    let out_fits = match out.as_bytes() {
        [a, b] => letter(a) && digit(b),
        [a, b, c] => letter(a) && (digit(b) && c.is_ascii_alphanumeric() || letter(b) && digit(c)),
        [a, b, c, d] => letter(a) && letter(b) && digit(c) && d.is_ascii_alphanumeric(),
        _ => false,
    };
    (inner_fits && out_fits).then(|| format!("{out} {inner}"))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn text(text: &str) -> RawCell {
        RawCell::Text(text.to_owned())
    }

    #[test]
    fn the_core_of_a_supply_number() {
        let core = Ok(("1012345678903".to_owned(), None));
        assert_eq!(mpan(&text("1012345678903")), core);
        assert_eq!(mpan(&text(" 10 1234 5678 903 ")), core);
        assert_eq!(mpan(&text("S1012345678903")), core);
        assert_eq!(mpan(&RawCell::Number(1_012_345_678_903.0)), core);
        assert_eq!(
            mpan(&text("01 801 0AB 10 1234 5678 903")).map(|(core, _)| core),
            core.clone().map(|(core, _)| core)
        );
        let (kept, note) = mpan(&text("1012345678904")).unwrap();
        assert!(kept == "1012345678904" && note.is_some_and(|note| note.contains("check digit")));
        for damaged in [text("1.01235E+12"), RawCell::Number(1.2801111012345679e20), text("1234567"), text("photo")] {
            assert!(mpan(&damaged).is_err(), "{damaged:?}");
        }
    }

    #[test]
    fn property_references_lose_only_leading_zeros() {
        assert_eq!(uprn(&text("000000199356")), Ok(("199356".to_owned(), None)));
        assert_eq!(uprn(&RawCell::Number(100_023_336_956.0)), Ok(("100023336956".to_owned(), None)));
        assert!(uprn(&text("1.00023E+11")).is_err());
        assert!(uprn(&text("1234567890123")).is_err());
    }

    #[test]
    fn postcodes_take_their_usual_form() {
        assert_eq!(postcode("qx47lp"), Ok(("QX4 7LP".to_owned(), None)));
        assert_eq!(postcode("QX4  7LP"), Ok(("QX4 7LP".to_owned(), None)));
        assert_eq!(postcode("QX1O 7LP").map(|(code, note)| (code, note.is_some())), Ok(("QX1O 7LP".to_owned(), false)));
        assert_eq!(postcode("QX4 OLP").map(|(code, note)| (code, note.is_some())), Ok(("QX4 0LP".to_owned(), true)));
        assert!(postcode("Tarnholt").is_err());
        assert_eq!(postcode_at_end("7 Fennel Row, Tarnholt, QX4 7LP"), Some("QX4 7LP".to_owned()));
        assert_eq!(postcode_at_end("7 Fennel Row, Tarnholt"), None);
    }
}
