//! A heading taken apart: its words, the unit and the remarks in its brackets, and what a unit makes of the field.
//!
//! It knows units and fields, no known headings.

use super::head_words::{of_kind, without_number};
use super::legend::without_legend;
use super::raw::words_of;
use super::units::{QUANTITIES, Unit, unit_named};
use crate::site::{Field, fields};

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

/// Takes a heading apart.
pub(super) fn cut(text: &str) -> Cut {
    let folded = without_number(&without_legend(text));
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
    Cut { whole: words_of(&folded), base: without_suffix(words_of(&base)), remarks, unit }
}

/// Words without what a database ends the name of a column with: "tenure_cd", "bedroom_cnt".
fn without_suffix(words: String) -> String {
    match words.rsplit_once(' ') {
        Some((rest, last)) if of_kind("suffix").contains(last) => rest.to_owned(),
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
