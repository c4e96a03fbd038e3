//! A heading taken apart: its words, the unit and the remarks in its brackets, and what a unit makes of the field.
//!
//! It knows units and fields, no known headings.

use super::head_words::{all_of, of_kind, without_number};
use super::legend::without_legend;
use super::raw::words_of;
use super::units::{QUANTITIES, Unit, unit_named};
use crate::site::{Field, fields};
use std::borrow::Cow;

/// Units in a heading that make it something else than any field of ours.
const OTHER_UNITS: &[&str] =
    &["kwh", "mwh", "%", "£", "gbp", "kwh/year", "kwh pa", "kwh p.a.", "kwh/yr", "min", "mins"];
/// A heading without the unit in its brackets, and the unit.
pub(super) struct Cut {
    /// All its words, brackets included.
    pub whole: String,
    /// Its words outside brackets.
    pub base: String,
    /// The texts in brackets that are no unit.
    pub remarks: Vec<String>,
    /// The unit in brackets.
    pub unit: Option<String>,
}

impl Cut {
    /// The unit in brackets, else the last word where `known` does not end in it: in "supply capacity total A" it may
    /// be the unit, though it passes for a filler or a slip.
    pub fn unit_beside(&self, known: &str) -> Option<&str> {
        let ends_so = |last: &&str| *last == "in" || known.rsplit(' ').next() == Some(*last);
        let last = || self.base.rsplit(' ').next().filter(|last| !ends_so(last));
        self.unit.as_deref().or_else(last)
    }
}

/// A heading with blanks between words that are told apart by their capitals alone: "MaxDemandAmps", "MPANCore". Units
/// such as kVA and short forms such as EVCPs stay whole.
pub(super) fn spaced(text: &str) -> Cow<'_, str> {
    /// Small letters that make a word of what a capital begins.
    const WORD: usize = 2;
    let letters: Vec<char> = text.chars().collect();
    let small = |at: usize| letters.get(at).is_some_and(|c| c.is_lowercase());
    let capital = |at: usize| letters.get(at).is_some_and(|c| c.is_uppercase());
    let word_from = |at: usize| capital(at) && (1..=WORD).all(|on| small(at + on));
    // "IsLooped".
    let word_before = |at: usize| {
        at >= WORD && (1..=WORD).all(|back| small(at - back)) || at == WORD && capital(0) && small(1) && word_from(at)
    };
    let parts = |at: usize| {
        at > 0 && capital(at) && (word_before(at) || at > 1 && capital(at - 1) && capital(at - 2) && word_from(at))
    };
    if !(0..letters.len()).any(parts) {
        return Cow::Borrowed(text);
    }
    let mut out = String::with_capacity(text.len() + WORD);
    for (at, letter) in letters.iter().enumerate() {
        if parts(at) {
            out.push(' ');
        }
        out.push(*letter);
    }
    Cow::Owned(out)
}

/// Takes a heading apart.
pub(super) fn cut(text: &str) -> Cut {
    let folded = without_number(&without_legend(&spaced(text)));
    let mut base = String::new();
    let mut inners: Vec<&str> = Vec::new();
    let mut rest = folded.as_str();
    while let Some(open) = rest.find(['(', '[']) {
        base.push_str(rest.get(..open).unwrap_or_default());
        base.push(' ');
        let after = rest.get(open + 1..).unwrap_or_default();
        let close = after.find([')', ']']).unwrap_or(after.len());
        inners.push(after.get(..close).unwrap_or_default().trim());
        rest = after.get(close..).unwrap_or_default().trim_start_matches([')', ']']);
    }
    base.push_str(rest);
    let is_unit =
        |inner: &&&str| OTHER_UNITS.contains(*inner) || unit_named(&inner.replace(' ', ""), QUANTITIES).is_some();
    let unit = inners.iter().find(is_unit).map(|unit| (*unit).to_owned());
    let remarks = inners.iter().filter(|inner| !is_unit(inner)).map(|inner| words_of(inner)).collect();
    let mut base = without_suffix(words_of(&base));
    let mut unit = unit;
    // "Yards, meter to car".
    if unit.is_none()
        && let Some((first, rest)) = base.split_once(' ')
        && LENGTHS.contains(&first)
    {
        unit = Some(first.to_owned());
        base = rest.to_owned();
    }
    Cut { whole: words_of(&folded), base, remarks, unit }
}

/// Units of length that mean nothing else where a heading begins with them; "meters" may be those of the supply.
const LENGTHS: &[&str] = &["yards", "yds", "feet", "ft", "metres", "mtrs", "millimetres", "mm", "centimetres", "cm"];

/// Kinds of words that say too little without the suffix.
const PLAIN: &[&str] = &["key-of-place", "neutral", "generic", "place", "key", "key-of-visit"];

/// Words without what a database ends the name of a column with: "tenure_cd", "bedroom_cnt".
fn without_suffix(words: String) -> String {
    match words.rsplit_once(' ') {
        // "Site cd" is a key, no site.
        Some((rest, last)) if of_kind("suffix").contains(last) && (rest.contains(' ') || !all_of(rest, PLAIN)) => {
            rest.to_owned()
        }
        _ => words,
    }
}

/// The sibling field that a unit points to: demand in kilowatts is another column than demand in amperes.
pub(super) fn by_unit(field: &'static Field, unit: Option<&str>) -> Option<(&'static Field, Option<Unit>)> {
    let Some(written) = unit else { return Some((field, None)) };
    if OTHER_UNITS.contains(&written) {
        return None;
    }
    let packed: String = written.chars().filter(|c| *c != ' ').collect();
    let sibling = |name: &str| fields().iter().find(|other| other.name == name);
    let field = match (field.name, packed.as_str()) {
        ("existing_demand_a", "kw" | "w") => sibling("existing_demand_kw")?,
        ("existing_demand_kw", "a" | "amps" | "amp") => sibling("existing_demand_a")?,
        _ => field,
    };
    let taken = super::figures::quantities(field);
    let unit = unit_named(&packed, taken);
    // Amperes are no capacity in kilovolt-amperes: a unit that the field does not take makes it another column.
    // So does any unit over a count, an answer, a day or a name.
    // The n of "y/n" is no degree north.
    if unit.is_none() && packed != "n" && unit_named(&packed, QUANTITIES).is_some() {
        return None;
    }
    Some((field, unit))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn capitals_part_words_and_no_units() {
        for (written, said) in [
            ("MaxDemandAmps", "Max Demand Amps"),
            ("MPANCore", "MPAN Core"),
            ("ChargerKW", "Charger KW"),
            ("kVA", "kVA"),
            ("Solar kWp", "Solar kWp"),
            ("EVCPs", "EVCPs"),
            ("TNCS", "TNCS"),
            ("Main fuse", "Main fuse"),
            ("IsLooped", "Is Looped"),
        ] {
            assert_eq!(spaced(written), said);
        }
        assert_eq!(cut("TenureCd").base, "tenure");
        assert_eq!(cut("Peak kVA").base, "peak kva");
    }
}
