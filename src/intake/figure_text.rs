//! What stands around a figure in its cell and is no part of it: phases ("1ph 80A"), cores ("4c 95mm"), the rating beside
//! a count ("2 x 7kW"); and what makes it the figure of something else: a unit of another kind, money, an average
//! where the most is wanted (`figure_words.csv`). It knows texts and what a field takes, not what a number means in it.

use super::figures::quantities;
use super::raw::{folded, words_of};
use super::scan::{Token, scan};
use super::units::{QUANTITIES, Quantity, unit_named};
use crate::site::{Field, FieldKind};
use crate::table::Table;
use std::collections::BTreeMap;
use std::sync::OnceLock;

const FIGURE_WORDS_CSV: &str = include_str!("figure_words.csv");

/// A figure's text without what is no part of it.
#[derive(Debug, PartialEq)]
pub(super) struct Bared {
    /// What is left.
    pub text: String,
    /// Phases that were written beside it.
    pub phases: Option<u8>,
    /// Whether it is called the most, as a carrier's mark is.
    pub most: bool,
}

/// Units of nothing that a field takes: volts, energy, frequency.
const OF_NO_FIELD: &[&str] = &[
    "v", "kv", "volt", "volts", "hz", "wh", "kwh", "kwhs", "mwh", "kvarh", "kvar", "kwh/day", "kwh/yr", "kwh/year", "k",
];
/// Spellings of units that are also words or letters of something else.
const ALSO_WORDS: &[&str] = &["in", "r", "c", "n", "e", "sq", "te", "swa", "csa", "deg", "va", "ms", "mi"];
/// Phases as they stand beside a current, longest first.
const PHASES: &[(&str, u8)] = &[
    ("single phase", 1),
    ("single-phase", 1),
    ("three phase", 3),
    ("three-phase", 3),
    ("1 phase", 1),
    ("1-phase", 1),
    ("3 phase", 3),
    ("3-phase", 3),
    ("1phase", 1),
    ("3phase", 3),
    ("sp&n", 1),
    ("sp+n", 1),
    ("sp/n", 1),
    ("sp & n", 1),
    ("tp&n", 3),
    ("tp+n", 3),
    ("tp/n", 3),
    ("tp & n", 3),
    ("1-ph", 1),
    ("3-ph", 3),
    ("1 ph", 1),
    ("3 ph", 3),
    ("1ph", 1),
    ("3ph", 3),
    ("spn", 1),
    ("tpn", 3),
    ("1\u{3c6}", 1),
    ("3\u{3c6}", 3),
    ("1\u{f8}", 1),
    ("3\u{f8}", 3),
    ("sp", 1),
    ("tp", 3),
];
/// Cores of a cable beside its size.
const CORES: &[&str] = &["core", "cores", "c"];

/// The text of a figure made bare, or a clause that says why it is no figure of this column.
pub(super) fn bared(field: &Field, text: &str) -> Result<Bared, String> {
    let mut bared = Bared { text: text.to_owned(), phases: None, most: false };
    // The usual case: digits, a sign, a point, and nothing around them.
    if text.bytes().all(|byte| byte.is_ascii_digit() || matches!(byte, b'.' | b'-' | b' ')) {
        return Ok(bared);
    }
    let plain = format!(" {} ", words_of(text));
    if let Some((_, why)) = turns(field.name).iter().find(|(written, _)| plain.contains(written.as_str())) {
        return Err((*why).to_owned());
    }
    bared.most = plain.contains(" max ") || plain.contains(" maximum ");
    if text.contains(['\u{a3}', '$', '\u{20ac}']) {
        return Err("it is money".to_owned());
    }
    let mut folded = folded(text);
    if matches!(field.unit, "A" | "kW" | "kVA" | "kA") {
        (folded, bared.phases) = without_phases(&folded)?;
    }
    // "c20" is about twenty; beside a current it is the curve of a breaker.
    if matches!(field.unit, "m" | "miles" | "")
        && folded.strip_prefix('c').is_some_and(|rest| rest.starts_with(|c: char| c.is_ascii_digit()))
    {
        folded.insert(1, ' ');
    }
    if field.unit == "mm2" {
        folded = without_cores(&folded);
    }
    if field.kind == FieldKind::Count && field.unit.is_empty() {
        folded = without_rating(&folded);
    }
    if let Some(unit) = other_unit(field, &folded) {
        let wanted = match field.unit {
            "" | "year" => "a plain number",
            unit => unit,
        };
        return Err(format!("it is in {unit} and {wanted} is wanted"));
    }
    bared.text = folded;
    Ok(bared)
}

/// The words that make a number of a field something else, between blanks, with the clause that says so.
fn turns(field: &str) -> &'static [(String, &'static str)] {
    static TURNS: OnceLock<BTreeMap<&'static str, Vec<(String, &'static str)>>> = OnceLock::new();
    TURNS
        .get_or_init(|| {
            let mut turns: BTreeMap<&'static str, Vec<(String, &'static str)>> = BTreeMap::new();
            for row in Table::of(FIGURE_WORDS_CSV).rows() {
                for field in row.kept("fields").split('|') {
                    turns.entry(field).or_default().push((format!(" {} ", row.text("written")), row.kept("why")));
                }
            }
            turns
        })
        .get(field)
        .map_or(&[], Vec::as_slice)
}

/// Where `word` stands in a text with nothing of a word or number before or after it.
fn standing(text: &str, word: &str) -> Option<usize> {
    let apart = |c: Option<char>| c.is_none_or(|c| !c.is_alphanumeric() && c != '.');
    text.match_indices(word)
        .map(|(at, _)| at)
        .find(|at| apart(text[..*at].chars().next_back()) && apart(text[at + word.len()..].chars().next()))
}

/// The text without its phases, and how many they are.
fn without_phases(text: &str) -> Result<(String, Option<u8>), String> {
    let (mut text, mut found) = (text.to_owned(), None);
    for (word, phases) in PHASES {
        while let Some(at) = standing(&text, word) {
            if found.is_some_and(|before| before != *phases) {
                return Err("it speaks of one phase and of three".to_owned());
            }
            found = Some(*phases);
            text.replace_range(at..at + word.len(), " ");
        }
    }
    if found.is_some() {
        text = text.trim_matches([' ', '/', ',', '-', ':', ';', '&']).replace("( )", "").replace("()", "");
    }
    Ok((text, found))
}

/// The text without the number of cores before a size ("4c 95mm", "95 4 core swa").
fn without_cores(text: &str) -> String {
    for cores in ["2", "3", "4", "5"] {
        for word in CORES {
            for joint in ["", " ", "-"] {
                let written = format!("{cores}{joint}{word}");
                if let Some(at) = standing(text, &written)
                    && text
                        .bytes()
                        .enumerate()
                        .any(|(other, byte)| byte.is_ascii_digit() && !(at..at + written.len()).contains(&other))
                {
                    return format!("{} {}", &text[..at], &text[at + written.len()..]).trim().to_owned();
                }
            }
        }
    }
    text.to_owned()
}

/// A count without the one rating that stands after it: "2 x 7kW", "1 (7.4 kW)", "2 no. 22kW".
fn without_rating(text: &str) -> String {
    const RATINGS: &[Quantity] = &["power", "current", "apparent"];
    let tokens = scan(text, RATINGS);
    let numbers = tokens.iter().filter(|token| matches!(token, Token::Number { .. })).count();
    let first_is_bare =
        matches!(tokens.first(), Some(Token::Number { .. })) && !matches!(tokens.get(1), Some(Token::Unit(_)));
    let rated = tokens.iter().zip(tokens.iter().skip(1)).any(|pair| {
        matches!(pair, (Token::Number { .. }, Token::Unit(unit)) if unit.quantity != "current" || unit.factor == 1.0)
    });
    if numbers != 2 || !first_is_bare || !rated {
        return text.to_owned();
    }
    let end = text.find(|c: char| !(c.is_ascii_digit() || c == ' ')).unwrap_or(text.len());
    text[..end].trim().to_owned()
}

/// The unit that stands beside the first number, where the field does not take it.
fn other_unit(field: &Field, text: &str) -> Option<String> {
    let from = text.find(|c: char| c.is_ascii_digit())?;
    let after = &text[from..];
    let end = after.find(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | ','))).unwrap_or(after.len());
    let rest = &after[end..];
    let (apart, rest) = rest.strip_prefix(' ').map_or((false, rest), |rest| (true, rest));
    let end = rest.find(|c: char| !(c.is_alphabetic() || c == '/')).unwrap_or(rest.len());
    let (word, beyond) = (rest[..end].trim_end_matches('/'), &rest[end..]);
    let beyond_is_word = beyond.starts_with(|c: char| c.is_alphanumeric());
    if word.is_empty() || beyond_is_word || unit_named(word, quantities(field)).is_some() {
        return None;
    }
    // "m²", "mm2": the mark or digit after it is part of the unit, which `unit_named` was not shown.
    if word.starts_with("kwh/") || OF_NO_FIELD.contains(&word) && !(word == "k" && apart) {
        return Some(word.to_owned());
    }
    let short = word.chars().count() == 1;
    let alone = beyond.trim_matches([' ', '.', ')']).is_empty();
    if ALSO_WORDS.contains(&word) || short && apart && !(alone && matches!(word, "a" | "m" | "w")) {
        return None;
    }
    const LETTERS_OF: &[&str] = &["a", "m", "w"];
    if short && !LETTERS_OF.contains(&word) {
        return None;
    }
    let own = quantities(field).first().copied().unwrap_or_default();
    // A length written in the unit of an area, or the other way, is the writer's shorthand and no other kind of thing.
    let unit = unit_named(word, QUANTITIES).filter(|unit| unit.quantity != own)?;
    (unit.quantity != "angle" && unit.quantity != "temperature").then(|| word.to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::site::fields;

    fn field(name: &str) -> Option<&'static Field> {
        fields().iter().find(|field| field.name == name)
    }

    fn text_of(name: &str, text: &str) -> Result<(String, Option<u8>), String> {
        bared(field(name).unwrap(), text).map(|bared| (bared.text, bared.phases))
    }

    #[test]
    fn what_is_no_part_of_a_figure_goes() {
        for (field, written, bare, phases) in [
            ("cutout_rating_a", "1ph 80A", "80a", Some(1)),
            ("cutout_rating_a", "1ph/80", "80", Some(1)),
            ("cutout_rating_a", "3ph 100A?", "100a?", Some(3)),
            ("cutout_rating_a", "100A TP&N", "100a", Some(3)),
            ("cutout_rating_a", "single phase 60A", "60a", Some(1)),
            ("cutout_rating_a", "3 x 100A", "3 x 100a", None),
            ("requested_kw", "32A 3ph", "32a", Some(3)),
            ("submain_mm2", "4c 95mm SWA", "95mm swa", None),
            ("submain_mm2", "95 4 core", "95", None),
            ("points_wanted", "2 x 7kW", "2", None),
            ("existing_charge_points", "1 (7.4 kW)", "1", None),
            ("parking_distance_m", "12 m", "12 m", None),
        ] {
            assert_eq!(text_of(field, written), Ok((bare.to_owned(), phases)), "{field} {written}");
        }
    }

    #[test]
    fn what_is_a_figure_of_something_else_is_none() {
        for (field, written) in [
            ("points_wanted", "7kW"),
            ("points_wanted", "22 kW"),
            ("bedrooms", "3A"),
            ("bedrooms", "2 m"),
            ("cutout_rating_a", "18kW"),
            ("cutout_rating_a", "100V"),
            ("cutout_rating_a", "\u{a3}80"),
            ("cutout_rating_a", "60 (upgradeable)"),
            ("shower_kw", "40A"),
            ("existing_demand_a", "45 kWh"),
            ("existing_demand_a", "10A average"),
            ("battery_kw", "9.5kWh"),
            ("heat_pump_kw", "8kW output"),
            ("solar_kw", "10 panels"),
            ("daily_miles", "250 pw"),
            ("daily_miles", "20 each way"),
            ("points_wanted", "1 per bay"),
            ("parking_distance_m", "1 storey"),
            ("cutout_rating_a", "1ph 60A, 3ph 80A"),
        ] {
            assert!(bared(super::tests::field(field).unwrap(), written).is_err(), "{field} {written}");
        }
    }

    #[test]
    fn every_row_names_fields_of_numbers() {
        for row in Table::of(FIGURE_WORDS_CSV).rows() {
            for name in row.kept("fields").split('|') {
                let field = field(name).unwrap_or_else(|| panic!("{name} is no field"));
                assert!(matches!(field.kind, FieldKind::Number | FieldKind::Count), "{name}");
            }
            assert_eq!(row.text("written"), words_of(row.text("written")));
            assert!(!row.text("why").is_empty());
        }
    }
}
