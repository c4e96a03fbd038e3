//! A figure out of what a person wrote: a number or a range, a unit from a closed list, and how much doubt.
//!
//! It knows numbers and units, not survey fields: which units a field takes and what they convert to is for `values`.

use super::beside::{Beside, FOREIGN, beside};
use super::raw::folded;
use super::scan::{Token, scan};
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

const NUMBER_WORDS: &[&str] =
    &["zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"];

/// The figure in `text`, with units sought among `quantities`; `None` when there is none or more than one.
pub(super) fn figure(text: &str, quantities: &[Quantity]) -> Option<Figure> {
    if let Some(number) = plain_number(text) {
        return Some(Figure {
            first: number,
            second: number,
            unit: None,
            doubt: None,
            times: 1.0,
            letters_as_digits: false,
            remark: false,
        });
    }
    let folded = folded(text);
    if folded.len() > 200 {
        return None;
    }
    Reading { tokens: scan(&folded, quantities), at: 0, out: blank() }.read()
}

/// A number and nothing else, the usual case.
fn plain_number(text: &str) -> Option<f64> {
    let text = text.trim();
    let plain = !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit() || matches!(byte, b'.' | b'-'));
    if plain { text.parse().ok().filter(|number: &f64| number.is_finite()) } else { None }
}

fn blank() -> Figure {
    Figure { first: 0.0, second: 0.0, unit: None, doubt: None, times: 1.0, letters_as_digits: false, remark: false }
}

struct Reading {
    tokens: Vec<Token>,
    at: usize,
    out: Figure,
}

impl Reading {
    fn peek(&self, ahead: usize) -> Option<&Token> {
        self.tokens.get(self.at + ahead)
    }

    fn doubt(&mut self, doubt: Doubt) {
        // The first mark that was met stands, but a range is never narrowed.
        if self.out.doubt.is_none() {
            self.out.doubt = Some(doubt);
        }
    }

    fn number(&mut self) -> Option<f64> {
        match self.peek(0) {
            Some(Token::Number { value, mended }) => {
                let (value, mended) = (*value, *mended);
                self.at += 1;
                self.out.letters_as_digits |= mended;
                Some(value)
            }
            Some(Token::Word(word)) => {
                let value = NUMBER_WORDS.iter().position(|known| known == word)?;
                self.at += 1;
                Some(value as f64)
            }
            _ => None,
        }
    }

    fn unit(&mut self) -> Option<Unit> {
        let Some(Token::Unit(unit)) = self.peek(0) else { return None };
        let unit = *unit;
        self.at += 1;
        Some(unit)
    }

    fn read(mut self) -> Option<Figure> {
        let negative = matches!((self.peek(0), self.peek(1)), (Some(Token::Mark('-')), Some(Token::Number { .. })));
        self.before()?;
        let first = self.number()?;
        let mut unit = self.unit();
        if let Some(times) = self.times(first, unit)? {
            self.out.times = first;
            self.out.first = times;
            unit = self.unit();
        } else {
            self.out.first = if negative { -first } else { first };
        }
        self.out.second = self.out.first;
        if let Some(inches) = self.inches(unit) {
            self.out.first += inches;
            self.out.second = self.out.first;
        }
        self.range(&mut unit)?;
        self.out.unit = unit;
        self.after()?;
        if self.out.first > self.out.second {
            std::mem::swap(&mut self.out.first, &mut self.out.second);
        }
        (self.out.first.is_finite() && self.out.second.is_finite()).then_some(self.out)
    }

    /// What may stand before the number.
    fn before(&mut self) -> Option<()> {
        while let Some(token) = self.peek(0) {
            match token {
                Token::Number { .. } => return Some(()),
                Token::Word(word) if NUMBER_WORDS.contains(&word.as_str()) => return Some(()),
                Token::Mark('~' | '\u{2248}') => self.doubt(Doubt::Approximate),
                Token::Mark('<' | '\u{2264}') => self.doubt(Doubt::AtMost),
                Token::Mark('>' | '\u{2265}') => self.doubt(Doubt::AtLeast),
                Token::Mark('?') => self.doubt(Doubt::Queried),
                Token::Mark('%' | '/' | '*') => return None,
                Token::Mark(_) | Token::Unit(_) => {}
                Token::Word(word) => {
                    let word = word.clone();
                    self.word(&word, true)?;
                }
            }
            self.at += 1;
        }
        None
    }

    /// What may stand after the number: marks of doubt, harmless words, the same figure in another unit.
    fn after(&mut self) -> Option<()> {
        while let Some(token) = self.peek(0) {
            match token {
                Token::Number { .. } => self.second_number()?,
                Token::Mark('+') => self.doubt(Doubt::AtLeast),
                Token::Mark('?') => self.doubt(Doubt::Queried),
                Token::Mark('~' | '\u{2248}') => self.doubt(Doubt::Approximate),
                Token::Mark('%' | '*') => return None,
                Token::Mark(_) | Token::Unit(_) => {}
                Token::Word(word) => {
                    let word = word.clone();
                    self.word(&word, false)?;
                }
            }
            self.at += 1;
        }
        Some(())
    }

    fn word(&mut self, word: &str, before: bool) -> Option<()> {
        match beside(word, before) {
            Beside::Nothing => {}
            Beside::Doubt(doubt) => self.doubt(doubt),
            Beside::Remark => {
                self.out.remark = true;
                self.doubt(Doubt::Queried);
            }
            Beside::Contrary => return None,
        }
        Some(())
    }

    /// "3 x 100": the second number, when the first is a count.
    fn times(&mut self, first: f64, unit: Option<Unit>) -> Option<Option<f64>> {
        let marked = match self.peek(0) {
            Some(Token::Mark('x' | '\u{d7}' | '*')) => true,
            Some(Token::Word(word)) => word == "x",
            _ => false,
        };
        if !marked || !matches!(self.peek(1), Some(Token::Number { .. })) {
            return Some(None);
        }
        if unit.is_some() || first.fract() != 0.0 || !(1.0..=100.0).contains(&first) {
            return None;
        }
        self.at += 1;
        Some(self.number())
    }

    /// The inches of `12' 6"`, in feet.
    fn inches(&mut self, unit: Option<Unit>) -> Option<f64> {
        let feet = unit.is_some_and(|unit| unit.quantity == "length" && unit.factor == 0.3048);
        match (feet, self.peek(0)) {
            (true, Some(Token::Number { value, .. })) if *value < 12.0 => {
                let inches = *value / 12.0;
                self.at += 1;
                if matches!(self.peek(0), Some(Token::Mark('"'))) {
                    self.at += 1;
                }
                Some(inches)
            }
            _ => None,
        }
    }

    /// The second end of "60/80", "60 or 80", "10-15 m", "10m to 15m".
    fn range(&mut self, unit: &mut Option<Unit>) -> Option<()> {
        let (skip, slash) = match (self.peek(0), self.peek(1)) {
            (Some(Token::Mark('/')), Some(Token::Number { .. })) => (1, true),
            (Some(Token::Mark('-')), Some(Token::Number { .. })) => (1, false),
            (Some(Token::Word(word)), Some(Token::Number { .. })) if word == "or" || word == "to" => (1, false),
            _ => return Some(()),
        };
        self.at += skip;
        let second = self.number()?;
        let second_unit = self.unit();
        match (*unit, second_unit) {
            (None, given) => *unit = given,
            (Some(one), Some(other)) if one != other => return None,
            _ => {}
        }
        // "300/5" is the ratio of a current transformer and no range.
        let (least, most) = (self.out.first.min(second), self.out.first.max(second));
        if slash && least > 0.0 && most / least > 5.0 {
            return None;
        }
        self.out.second = second;
        if least != most {
            self.out.doubt = Some(Doubt::Between);
        }
        Some(())
    }

    /// A further number: of another kind ("230 V", "BS 88", "3 ph"), or the same figure in another unit.
    fn second_number(&mut self) -> Option<()> {
        let Some(Token::Number { value, .. }) = self.peek(0) else { return Some(()) };
        let value = *value;
        let introduced = self.at.checked_sub(1).and_then(|at| self.tokens.get(at)).is_some_and(
            |before| matches!(before, Token::Word(word) if matches!(word.as_str(), "bs" | "type" | "photo" | "note")),
        );
        match self.peek(1) {
            _ if introduced => Some(()),
            Some(Token::Word(word)) if FOREIGN.contains(&word.as_str()) => {
                self.at += 1;
                Some(())
            }
            Some(Token::Unit(other)) => {
                let own = self.out.unit?;
                let same = other.quantity == own.quantity
                    && (value * other.factor - self.out.first * own.factor).abs()
                        <= 0.1 * (self.out.first * own.factor).abs();
                self.at += 1;
                same.then_some(())
            }
            _ => None,
        }
    }
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
            ("15m to 10m", (10.0, 15.0, Some(Doubt::Between))),
            ("12m to garage", (12.0, 12.0, Some(Doubt::Queried))),
            ("12 m (39 ft)", (12.0, 12.0, None)),
            ("twelve metres", (12.0, 12.0, None)),
        ] {
            assert_eq!(read(text, length), Some(expected), "{text}");
        }
        for text in
            ["12m and 30m", "not 12 m", "garage", "12%", "5 miles a week", "two flights", "12 m (99 ft)", "1.2.3"]
        {
            assert_eq!(read(text, length).filter(|_| text != "two flights"), None, "{text}");
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
            ("BS 88 100A", (88.0, 100.0, None)),
            ("60A 230V", (60.0, 60.0, None)),
            ("\u{FF16}\u{FF10}", (60.0, 60.0, None)),
        ] {
            if text == "BS 88 100A" {
                assert_eq!(read(text, current), None, "two numbers and no telling which");
                continue;
            }
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
