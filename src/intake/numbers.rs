//! A figure out of what a person wrote: a number or a range, a unit from a closed list, and how much doubt.
//!
//! It knows numbers and units, not survey fields: which units a field takes and what they convert to is for `values`.

use super::grammar::Sentence;
use super::raw::folded;
use super::scan::scan;
use super::units::{Doubt, Quantity, Unit};

/// A figure as written, in its own unit.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Figure {
    /// The value, or the lower of two.
    pub first: f64,
    /// The upper of two values, else the same.
    pub second: f64,
    /// Unit written beside it.
    pub unit: Option<Unit>,
    /// Why it is not exact.
    pub doubt: Option<Doubt>,
    /// How many of it: the 3 of "3 x 100 A".
    pub times: f64,
    /// Letters that were taken for digits (O for 0, l for 1).
    pub letters_as_digits: bool,
    /// Words beside it that say nothing to us.
    pub remark: bool,
}

impl Figure {
    /// One exact number without a unit.
    pub fn bare(number: f64) -> Self {
        Self {
            first: number,
            second: number,
            unit: None,
            doubt: None,
            times: 1.0,
            letters_as_digits: false,
            remark: false,
        }
    }
}

/// The figure in `text`, with units sought among `quantities`; `None` when there is none or more than one.
pub(super) fn figure(text: &str, quantities: &[Quantity]) -> Option<Figure> {
    /// A longer text is a note, not a figure.
    const LONGEST: usize = 200;
    if let Some(number) = plain_number(text) {
        return Some(Figure::bare(number));
    }
    let folded = folded(text);
    if folded.len() > LONGEST {
        return None;
    }
    Sentence::of(scan(&folded, quantities), quantities).read()
}

/// A number and nothing else, the usual case.
fn plain_number(text: &str) -> Option<f64> {
    let text = text.trim();
    let plain = !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit() || matches!(byte, b'.' | b'-'));
    if plain { text.parse().ok().filter(|number: &f64| number.is_finite()) } else { None }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str, quantities: &[Quantity]) -> Option<(f64, f64, Option<Doubt>)> {
        figure(text, quantities).map(|figure| {
            let factor = figure.unit.map_or(1.0, |unit| unit.factor);
            let places = |value: f64| (value * factor * 1e6).round() / 1e6;
            (places(figure.first), places(figure.second), figure.doubt)
        })
    }

    #[test]
    fn lengths_as_people_write_them() {
        let length: &[Quantity] = &["length"];
        for (text, expected) in [
            ("12", (12.0, 12.0, None)),
            ("12m", (12.0, 12.0, None)),
            ("12 mtrs", (12.0, 12.0, None)),
            ("12000mm", (12.0, 12.0, None)),
            ("1,200 cm", (12.0, 12.0, None)),
            ("40ft", (12.192, 12.192, None)),
            ("40'", (12.192, 12.192, None)),
            ("12' 6\"", (3.81, 3.81, None)),
            ("12,5 m", (12.5, 12.5, None)),
            ("approx 12m", (12.0, 12.0, Some(Doubt::Approximate))),
            ("~12", (12.0, 12.0, Some(Doubt::Approximate))),
            ("c.12", (12.0, 12.0, Some(Doubt::Approximate))),
            ("12ish", (12.0, 12.0, Some(Doubt::Approximate))),
            ("12m+", (12.0, 12.0, Some(Doubt::AtLeast))),
            ("over 12 m", (12.0, 12.0, Some(Doubt::AtLeast))),
            ("up to 12m", (12.0, 12.0, Some(Doubt::AtMost))),
            ("no more than 12m", (12.0, 12.0, Some(Doubt::AtMost))),
            ("10-15m", (10.0, 15.0, Some(Doubt::Between))),
            ("10 \u{2013} 15 m", (10.0, 15.0, Some(Doubt::Between))),
            ("between 10 and 15 m", (10.0, 15.0, Some(Doubt::Between))),
            ("Between 10m and 15m", (10.0, 15.0, Some(Doubt::Between))),
            ("10to15m", (10.0, 15.0, Some(Doubt::Between))),
            ("10m-15m", (10.0, 15.0, Some(Doubt::Between))),
            ("10/15", (10.0, 15.0, Some(Doubt::Between))),
            ("from 10 to 15m", (10.0, 15.0, Some(Doubt::Between))),
            ("15m to 10m", (10.0, 15.0, Some(Doubt::Between))),
            ("12m to garage", (12.0, 12.0, Some(Doubt::Queried))),
            ("12m + 3m rise", (15.0, 15.0, Some(Doubt::Queried))),
            ("12 to garage", (12.0, 12.0, Some(Doubt::Queried))),
            ("12 m (39 ft)", (12.0, 12.0, None)),
            ("twelve metres", (12.0, 12.0, None)),
        ] {
            assert_eq!(read(text, length), Some(expected), "{text}");
        }
        for text in [
            "12m and 30m",
            "two flights",
            "3 rooms",
            "not 12 m",
            "garage",
            "12%",
            "5 miles a week",
            "two flights",
            "12 m (99 ft)",
            "1.2.3",
            "between 10 m",
            "1S",
            "l2S m",
        ] {
            assert_eq!(read(text, length), None, "{text}");
        }
    }

    #[test]
    fn currents_as_people_write_them() {
        let current: &[Quantity] = &["current"];
        for (text, expected) in [
            ("100A", (100.0, 100.0, None)),
            ("100 AMP", (100.0, 100.0, None)),
            ("l00A", (100.0, 100.0, None)),
            ("6O", (60.0, 60.0, None)),
            ("8Oa", (80.0, 80.0, None)),
            ("60/80", (60.0, 80.0, Some(Doubt::Between))),
            ("60 or 80", (60.0, 80.0, Some(Doubt::Between))),
            ("60-80", (60.0, 80.0, Some(Doubt::Between))),
            ("80?", (80.0, 80.0, Some(Doubt::Queried))),
            ("100A?", (100.0, 100.0, Some(Doubt::Queried))),
            ("100A (sealed)", (100.0, 100.0, Some(Doubt::Queried))),
            ("100A BS1361", (100.0, 100.0, None)),
            ("BS 88 100A", (100.0, 100.0, None)),
            ("80A BS88-3", (80.0, 80.0, None)),
            ("BS EN 60269 80A", (80.0, 80.0, None)),
            ("60A 230V", (60.0, 60.0, None)),
            ("\u{FF16}\u{FF10}", (60.0, 60.0, None)),
        ] {
            assert_eq!(read(text, current), Some(expected), "{text}");
        }
        assert_eq!(figure("3 x 100A", current).map(|f| (f.times, f.first)), Some((3.0, 100.0)));
        assert!(figure("l00A", current).is_some_and(|f| f.letters_as_digits));
        assert_eq!(read("300/5", current), None);
    }

    #[test]
    fn other_units() {
        assert_eq!(read("350m", &["resistance"]), Some((0.35, 0.35, None)));
        assert_eq!(read("0.35ohm", &["resistance"]), Some((0.35, 0.35, None)));
        assert_eq!(read(".35 \u{2126}", &["resistance"]), Some((0.35, 0.35, None)));
        assert_eq!(read(".3S", &["resistance"]), None, "an S may be a 5");
        assert_eq!(read("0.3B", &["resistance"]), None, "a B may be an 8");
        assert_eq!(figure("2x9.5kW", &["power"]).map(|f| (f.times, f.first)), Some((2.0, 9.5)));
        assert_eq!(read("O.35", &["resistance"]), Some((0.35, 0.35, None)));
        assert_eq!(read("1.6kA", &["fault"]), Some((1.6, 1.6, None)));
        assert_eq!(read("1600 A", &["fault"]), Some((1.6, 1.6, None)));
        for text in ["6mm", "6.0", "6sq", "6mm2", "6 T+E", "6 mm\u{b2}", "6 sq mm", "6mm sq"] {
            assert_eq!(read(text, &["area"]), Some((6.0, 6.0, None)), "{text}");
        }
        assert_eq!(read("-1.5", &["angle"]), Some((-1.5, -1.5, None)));
        assert_eq!(read("7400W", &["power"]), Some((7.4, 7.4, None)));
        assert_eq!(read("3.8 mi/kWh", &["economy"]), Some((3.8, 3.8, None)));
        assert_eq!(read("25 miles per day", &["distance"]), Some((25.0, 25.0, None)));
    }
}
