//! The grammar of a figure: what may stand before a number, between two, and after them. It knows tokens, not fields.

use super::beside::{Beside, FOREIGN, beside};
use super::number_words::number_word;
use super::numbers::Figure;
use super::scan::Token;
use super::units::{Doubt, Quantity, Unit};
use crate::quantity::U0_V;

/// Words that lead on to a place: "12 to garage" is twelve of the field's own unit.
const PLACES: &[&str] = &[
    "to",
    "from",
    "via",
    "along",
    "inside",
    "on",
    "around",
    "across",
    "through",
    "outside",
    "past",
    "by",
    "under",
    "front",
    "rear",
    "side",
    "behind",
    "with",
    "incl",
    "including",
];
/// Takes out the numbers of types and ways ("type 2", "mode 3"), which are no figures of anything.
fn without_types(tokens: &mut Vec<Token>) {
    let typed = |pair: &[Token]| matches!(pair, [Token::Word(word), Token::Number { .. }] if matches!(word.as_str(), "type" | "mode" | "note"));
    while let Some(from) = tokens.windows(2).position(typed) {
        tokens.drain(from..from + 2);
    }
}

/// Takes out the numbers of standards ("BS 88-3", "BS EN 60269"), which are no figures of anything.
fn without_standards(tokens: &mut Vec<Token>) {
    let is_standard = |token: &Token| matches!(token, Token::Word(word) if word.starts_with("bs"));
    let Some(from) = tokens.iter().position(is_standard) else { return };
    let mut end = from + 1;
    if matches!(tokens.get(end), Some(Token::Word(word)) if word == "en") {
        end += 1;
    }
    if matches!(tokens.get(from), Some(Token::Word(word)) if word == "bs")
        && matches!(tokens.get(end), Some(Token::Number { .. }))
    {
        end += 1;
    }
    if matches!((tokens.get(end), tokens.get(end + 1)), (Some(Token::Mark('-')), Some(Token::Number { .. }))) {
        end += 2;
    }
    tokens.drain(from..end.min(tokens.len()));
}

/// The tokens of one text and how far they are read.
pub(super) struct Sentence<'a> {
    tokens: Vec<Token>,
    at: usize,
    quantities: &'a [Quantity],
    /// Whether "between" stands before: then "and" parts the two ends.
    between: bool,
    out: Figure,
}

impl<'a> Sentence<'a> {
    /// Tokens in which the units are those of `quantities`.
    pub fn of(mut tokens: Vec<Token>, quantities: &'a [Quantity]) -> Self {
        without_standards(&mut tokens);
        without_types(&mut tokens);
        Self { tokens, at: 0, quantities, between: false, out: Figure::bare(0.0) }
    }

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
                let mut value = number_word(word)?;
                self.at += 1;
                // "Twenty five", "one hundred".
                if (20.0..100.0).contains(&value)
                    && let Some(Token::Word(word)) = self.peek(0)
                    && let Some(ones) = number_word(word).filter(|ones| (1.0..10.0).contains(ones))
                {
                    value += ones;
                    self.at += 1;
                }
                if matches!(self.peek(0), Some(Token::Word(word)) if word == "hundred") {
                    value *= 100.0;
                    self.at += 1;
                }
                Some(value)
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

    /// The one figure that the tokens say, if they say one.
    pub fn read(mut self) -> Option<Figure> {
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
        self.so_many(unit);
        if let Some(inches) = self.inches(unit) {
            self.out.first += inches;
            self.out.second = self.out.first;
        }
        self.range(&mut unit)?;
        // "Between 10" and no other end.
        if self.between {
            return None;
        }
        // "2 flights", "three rooms": a length counted in something that is no unit.
        let counted = matches!(self.peek(0), Some(Token::Word(word)) if beside(word, false) == Beside::Remark
            && !PLACES.contains(&word.as_str()));
        if unit.is_none() && counted && self.quantities == ["length"] {
            return None;
        }
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
                Token::Word(word) if number_word(word).is_some() => return Some(()),
                Token::Mark('~' | '\u{2248}' | '\u{b1}') => self.doubt(Doubt::Approximate),
                Token::Mark('<' | '\u{2264}') => self.doubt(Doubt::AtMost),
                Token::Mark('>' | '\u{2265}') => self.doubt(Doubt::AtLeast),
                Token::Mark('?') => self.doubt(Doubt::Queried),
                Token::Mark('%' | '/' | '*') => return None,
                Token::Mark(_) | Token::Unit(_) => {}
                Token::Word(word) if word == "between" || word == "btw" || word == "betw" => self.between = true,
                Token::Word(word) | Token::Grown(word) => {
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
                // "One hundred and five", "five plus two": a second number in words.
                Token::Word(word) if number_word(word).is_some() && word != "one" => return None,
                // Letters grown onto the digits may be digits themselves: "3S" is 35, 38 or a slip.
                Token::Grown(word) if beside(word, false) == Beside::Remark => return None,
                Token::Word(word) | Token::Grown(word) => {
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
        // "80 A x 3" says how many afterwards.
        if unit.is_some() {
            return Some(None);
        }
        if first.fract() != 0.0 || !(1.0..=100.0).contains(&first) {
            return None;
        }
        self.at += 1;
        Some(self.number())
    }

    /// "9.5 kW x 2": how many, after the figure of one; without a unit it is not plain which is which.
    fn so_many(&mut self, unit: Option<Unit>) {
        let marked = match self.peek(0) {
            Some(Token::Mark('x' | '\u{d7}' | '*')) => true,
            Some(Token::Word(word)) => word == "x",
            _ => false,
        };
        let Some(Token::Number { value, .. }) = self.peek(1) else { return };
        let value = *value;
        if marked
            && unit.is_some()
            && self.out.times == 1.0
            && self.peek(2).is_none()
            && value.fract() == 0.0
            && (1.0..=20.0).contains(&value)
        {
            self.out.times = value;
            self.at += 2;
        }
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
            (Some(Token::Word(word)), Some(Token::Number { .. })) if self.between && word == "and" => (1, false),
            (Some(Token::Mark('+')), Some(Token::Number { .. })) => return self.added(unit),
            _ => return Some(()),
        };
        self.at += skip;
        let second = self.number()?;
        let second_unit = self.unit();
        match (*unit, second_unit) {
            (None, given) => *unit = given,
            (Some(one), Some(other)) if one != other => {
                // "15 m / 50 ft" is the same length twice.
                let (here, there) = (self.out.first * one.factor, second * other.factor);
                let same = one.quantity == other.quantity && (here - there).abs() <= 0.1 * here.abs();
                self.between = false;
                return same.then_some(());
            }
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
        self.between = false;
        Some(())
    }

    /// "12 m + 3 m": two parts of one figure.
    fn added(&mut self, unit: &mut Option<Unit>) -> Option<()> {
        self.at += 1;
        let second = self.number()?;
        match (*unit, self.unit()) {
            (None, given) => *unit = given,
            (Some(one), Some(other)) if one != other => return None,
            _ => {}
        }
        self.out.first += second;
        self.out.second = self.out.first;
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
            Some(Token::Word(word) | Token::Grown(word)) if FOREIGN.contains(&word.as_str()) => {
                self.at += 1;
                Some(())
            }
            // "10.5 kW (40 A)": what it draws, beside what it takes.
            Some(Token::Word(word) | Token::Grown(word))
                if matches!(word.as_str(), "a" | "amp" | "amps")
                    && self.out.unit.is_some_and(|unit| unit.quantity == "power") =>
            {
                self.at += 1;
                Some(())
            }
            Some(Token::Unit(other)) => {
                let (first, value_in_unit) = (self.out.first, value * other.factor);
                // "7.4 kW (32 A)", "40 A (9 kW)": one draw in both, on one phase or on three.
                let kw_of = |kw: f64, amps: f64| {
                    [1.0, 3.0].iter().any(|phases| (kw - amps * phases * U0_V / 1000.0).abs() <= 0.12 * kw.abs())
                };
                let own = self.out.unit.map_or(("", 1.0), |unit| (unit.quantity, unit.factor));
                let drawn = match (own.0, other.quantity) {
                    ("power" | "", "current") => kw_of(first * own.1, value_in_unit),
                    ("current", "power") => kw_of(value_in_unit, first * own.1),
                    _ => false,
                };
                if drawn && self.quantities.contains(&"power") {
                    self.at += 1;
                    return Some(());
                }
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
