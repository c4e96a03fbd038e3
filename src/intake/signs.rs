//! What the values of a column are like: signs that can be seen without its heading, counted over the first rows.
//!
//! It knows cells and survey fields, no headings; what follows from a sign is for `evidence`.

use super::dates::{dated, hours};
use super::figures::quantities;
use super::identifiers::{key, mpan, postcode, postcode_at_end, uprn};
use super::numbers::figure;
use super::raw::{RawCell, RawRow, words_of};
use super::words::{Word, lexicon, why_unknown};
use crate::site::{Field, FieldKind, fields, mpan_check_digit_ok};
use crate::table::Table;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::OnceLock;

/// Filled cells of a column that are looked at.
pub(super) const SAMPLED: usize = 200;
/// Cells after which a column that shows a sign in less than half of them is given up.
const GIVEN_UP_AFTER: usize = 20;

/// A sign that values carry whatever their heading says.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Sign {
    /// 13 digits (or the 21) with the right check digit.
    SupplyNumber,
    /// A postcode and nothing else.
    Postcode,
    /// A text that ends in a postcode, or after a comma in the first half of one.
    Address,
    /// A long property reference: 11 or 12 digits that begin with 1.
    PropertyReference,
    /// A name of a distributor.
    Distributor,
    /// A usual rating of a cut-out fuse with its unit beside it.
    FuseRating,
    /// Yes or no, or a word of loops; loops in a third of them.
    Loops,
    /// Yes or no.
    YesNo,
    /// A calendar date that was written as one.
    Date,
    /// A bare number.
    Number,
    /// A power or a current with its unit beside it.
    Measured,
    /// A text like the first line of an address: a number and a name.
    PlaceLine,
    /// A word of this field.
    WordOf(&'static str),
}

/// The words of `signs.csv` under one sign.
pub(super) fn words_under(sign: &str) -> &'static BTreeSet<String> {
    static SIGNS: OnceLock<BTreeMap<String, BTreeSet<String>>> = OnceLock::new();
    static NONE: BTreeSet<String> = BTreeSet::new();
    SIGNS
        .get_or_init(|| {
            let mut signs: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
            for row in Table::of(include_str!("signs.csv")).rows() {
                signs.entry(row.text("sign").to_owned()).or_default().insert(row.text("written").to_owned());
            }
            signs
        })
        .get(sign)
        .unwrap_or(&NONE)
}

impl Sign {
    /// What the values are called.
    pub fn said(self) -> String {
        match self {
            Sign::SupplyNumber => "supply numbers with a right check digit".to_owned(),
            Sign::Postcode => "postcodes".to_owned(),
            Sign::Address => "addresses with a postcode".to_owned(),
            Sign::PropertyReference => "property references".to_owned(),
            Sign::Distributor => "names of distributors".to_owned(),
            Sign::FuseRating => "ratings of fuses in amperes".to_owned(),
            Sign::Loops => "words of looped services".to_owned(),
            Sign::YesNo => "yes and no".to_owned(),
            Sign::Date => "dates".to_owned(),
            Sign::Number => "numbers".to_owned(),
            Sign::Measured => "powers or currents".to_owned(),
            Sign::PlaceLine => "lines of addresses".to_owned(),
            Sign::WordOf(field) => format!("words of {field}"),
        }
    }

    /// Whether a cell carries it.
    pub fn is_on(self, cell: &RawCell) -> bool {
        let text = || match cell {
            RawCell::Text(text) => Some(text.trim()),
            _ => None,
        };
        match self {
            Sign::SupplyNumber => mpan(cell).is_ok_and(|(core, _)| mpan_check_digit_ok(&core)),
            Sign::Postcode => text().is_some_and(|text| text.len() <= 9 && postcode(text).is_ok()),
            Sign::Address => text()
                .is_some_and(|text| text.len() > 9 && (postcode_at_end(text).is_some() || half_postcode_at_end(text))),
            Sign::PropertyReference => {
                uprn(cell).is_ok_and(|(digits, _)| matches!(digits.len(), 11 | 12) && digits.starts_with('1'))
            }
            Sign::Distributor => text().is_some_and(|text| words_under("distributor").contains(&words_of(text))),
            Sign::FuseRating => text()
                .and_then(|text| figure(text, &["current"]))
                .is_some_and(|figure| figure.unit.is_some() && is_fuse_rating(figure.first)),
            Sign::Loops => Sign::YesNo.is_on(cell) || mentions_a_loop(cell),
            Sign::YesNo => match cell {
                RawCell::Bool(_) => true,
                RawCell::Text(text) => {
                    matches!(words_of(text).as_str(), "yes" | "no" | "y" | "n" | "true" | "false")
                }
                _ => false,
            },
            Sign::Date => match cell {
                RawCell::Moment(serial) => *serial >= 1.0,
                RawCell::Text(text) => text.trim().len() >= 6 && !is_number(text) && dated(cell).is_some(),
                _ => false,
            },
            Sign::Number => match cell {
                RawCell::Number(_) => true,
                RawCell::Text(text) => is_number(text),
                _ => false,
            },
            Sign::Measured => text()
                .and_then(|text| figure(text, &["power", "apparent", "current"]))
                .is_some_and(|figure| figure.unit.is_some()),
            Sign::PlaceLine => text().is_some_and(|text| {
                let plain = words_of(text);
                let named =
                    plain.split(' ').filter(|word| word.len() > 2 && word.bytes().all(|b| b.is_ascii_alphabetic()));
                named.count() >= 2 && plain.bytes().any(|byte| byte.is_ascii_digit()) && !Sign::Measured.is_on(cell)
            }),
            Sign::WordOf(name) => text().is_some_and(|text| {
                fields().iter().find(|field| field.name == name).is_some_and(|field| {
                    matches!(lexicon(field).read(text), Word::Plain { partly: false, .. } | Word::Doubtful { .. })
                })
            }),
        }
    }
}

/// Whether a cell speaks of a loop, or of its absence.
pub(super) fn mentions_a_loop(cell: &RawCell) -> bool {
    let RawCell::Text(text) = cell else { return false };
    words_of(text).split(' ').any(|word| ["loop", "unloop", "deloop"].iter().any(|begin| word.starts_with(begin)))
}

/// Whether a text ends, after a comma, in the first half of a postcode: one or two letters, a digit, perhaps another
/// sign.
fn half_postcode_at_end(text: &str) -> bool {
    let Some((before, last)) = text.rsplit_once(',') else { return false };
    let last = last.split_whitespace().next_back().unwrap_or_default().as_bytes();
    let letters = last.iter().take_while(|byte| byte.is_ascii_alphabetic()).count();
    let rest = last.get(letters..).unwrap_or_default();
    before.bytes().any(|byte| byte.is_ascii_alphabetic())
        && matches!(letters, 1 | 2)
        && matches!(rest.len(), 1 | 2)
        && rest.first().is_some_and(u8::is_ascii_digit)
        && rest.iter().all(u8::is_ascii_alphanumeric)
}

fn is_number(text: &str) -> bool {
    text.trim().parse::<f64>().is_ok_and(f64::is_finite)
}

/// Whether a current is a usual rating of a cut-out fuse.
pub(super) fn is_fuse_rating(current_a: f64) -> bool {
    words_under("fuse-rating").contains(&super::raw::number_shown(current_a))
}

/// Whether a cell says something in a field, in its usual unit or with one beside it.
pub(super) fn reads_as(field: &Field, cell: &RawCell) -> bool {
    match (field.kind, field.name) {
        (_, "mpan") => mpan(cell).is_ok(),
        (_, "uprn") => uprn(cell).is_ok(),
        (_, "postcode") => postcode(&key(cell)).is_ok(),
        (FieldKind::Text | FieldKind::Identifier, _) => true,
        (FieldKind::Date, _) => dated(cell).is_some(),
        (FieldKind::Time, _) => hours(cell).is_some(),
        (FieldKind::YesNo | FieldKind::Word, _) => !matches!(lexicon(field).read(&cell.shown()), Word::Unknown(_)),
        (FieldKind::Number | FieldKind::Count, _) => {
            let plausible = |number: f64| {
                field.min.is_none_or(|min| number >= min || number == 0.0) && field.max.is_none_or(|max| number <= max)
            };
            match cell {
                RawCell::Text(_) if quantities(field).is_empty() && Sign::Measured.is_on(cell) => false,
                RawCell::Number(number) => plausible(*number),
                RawCell::Text(text) => {
                    lexicon(field).number(&words_of(text)).is_some()
                        || figure(text, quantities(field))
                            .is_some_and(|figure| figure.unit.is_some() || plausible(figure.first))
                }
                _ => false,
            }
        }
    }
}

/// The first cells of every column that say something; blanks, errors and "tbc" say nothing.
pub(super) fn sampled(rows: &[RawRow], heading_row: u32) -> BTreeMap<u16, Vec<&RawCell>> {
    let mut columns: BTreeMap<u16, Vec<&RawCell>> = BTreeMap::new();
    for row in rows.iter().filter(|row| row.row > heading_row) {
        for (column, cell) in &row.cells {
            let says = match cell {
                RawCell::Fault(_) => false,
                RawCell::Text(text) => why_unknown(&words_of(text)).is_none(),
                _ => true,
            };
            if says {
                let cells = columns.entry(*column).or_default();
                if cells.len() < SAMPLED {
                    cells.push(cell);
                }
            }
        }
    }
    columns
}

/// How many of the cells satisfy `test`; a column that plainly does not is given up early, with none.
pub(super) fn count(cells: &[&RawCell], test: impl Fn(&RawCell) -> bool) -> usize {
    let mut hits = 0;
    for (at, cell) in cells.iter().enumerate() {
        hits += usize::from(test(cell));
        if at + 1 == GIVEN_UP_AFTER && hits * 2 < GIVEN_UP_AFTER {
            return 0;
        }
    }
    hits
}

#[cfg(test)]
mod tests {
    use super::*;

    fn on(sign: Sign, text: &str) -> bool {
        sign.is_on(&RawCell::Text(text.to_owned()))
    }

    #[test]
    fn signs_are_told_apart() {
        assert!(on(Sign::SupplyNumber, "1012345678903") && !on(Sign::SupplyNumber, "1012345678904"));
        assert!(Sign::SupplyNumber.is_on(&RawCell::Number(1_012_345_678_903.0)));
        assert!(on(Sign::Postcode, "qx4 7lp") && !on(Sign::Postcode, "7 Fennel Row, QX4 7LP"));
        assert!(on(Sign::Address, "7 Fennel Row, QX4 7LP") && !on(Sign::Address, "QX4 7LP"));
        assert!(on(Sign::Address, "7 Fennel Row, Tarnholt, QX4") && !on(Sign::Address, "7 Fennel Row, Tarnholt"));
        assert!(on(Sign::Loops, "looped to no 5") && on(Sign::Loops, "No") && !on(Sign::Loops, "PME"));
        assert!(on(Sign::PropertyReference, "100023456789") && !on(Sign::PropertyReference, "07700900123"));
        assert!(on(Sign::Distributor, "UKPN") && !on(Sign::Distributor, "Fennel Row"));
        assert!(on(Sign::FuseRating, "80A") && !on(Sign::FuseRating, "80") && !on(Sign::FuseRating, "75 A"));
        assert!(on(Sign::Date, "25/11/2026") && !on(Sign::Date, "46351") && !on(Sign::Date, "12"));
        assert!(on(Sign::WordOf("earthing_system"), "PME") && !on(Sign::WordOf("earthing_system"), "gas"));
        assert!(on(Sign::YesNo, "Y") && !on(Sign::YesNo, "maybe"));
    }

    #[test]
    fn every_sign_has_its_words_with_source_and_status() {
        for row in Table::of(include_str!("signs.csv")).rows() {
            assert!(!row.text("status").is_empty() && !row.text("source").is_empty(), "{}", row.text("written"));
            assert_eq!(words_of(row.text("written")), row.text("written"));
        }
        for sign in ["fuse-rating", "distributor", "foreign", "idle"] {
            assert!(words_under(sign).len() >= 6, "{sign}");
        }
    }
}
