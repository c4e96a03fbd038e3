//! Cuts folded text into numbers, units, words and marks. It knows spelling, not meaning.

use super::units::{Quantity, Unit, unit_named};

/// One piece of a cell's text.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Token {
    /// A number; `mended` when letters had to be taken for digits.
    Number {
        /// Its value, never negative.
        value: f64,
        /// Whether an O or an l stood for a digit.
        mended: bool,
    },
    /// A unit of one of the quantities asked for.
    Unit(Unit),
    /// Any other word.
    Word(String),
    /// A word without a blank between it and the number before it.
    Grown(String),
    /// Any other character that is not a blank or a bracket.
    Mark(char),
}

/// Most characters of a unit, and most pieces it may be written in ("sq mm", "miles per day").
const LONGEST_UNIT: usize = 14;

/// Spellings with marks in them that would otherwise be read as marks.
const SPELT_OTHERWISE: &[(&str, &str)] = &[
    ("t+e", "te"),
    ("t&e", "te"),
    ("t & e", "te"),
    ("t/e", "te"),
    ("no more than", "under"),
    ("no less than", "over"),
    ("after diversity", "diversity"),
    ("double insulated", "insulated"),
];

/// The pieces of `text` (already folded), in order.
pub(super) fn scan(text: &str, quantities: &[Quantity]) -> Vec<Token> {
    let spelt;
    let text = if text.contains(['+', '&', '/']) || ["than", "after", "double"].iter().any(|word| text.contains(word)) {
        spelt = SPELT_OTHERWISE.iter().fold(text.to_owned(), |text, (written, read)| text.replace(written, read));
        spelt.as_str()
    } else {
        text
    };
    let characters: Vec<char> = text.chars().collect();
    let mut tokens = Vec::new();
    let mut at = 0;
    while let Some(&here) = characters.get(at) {
        if here == ' ' || matches!(here, '(' | ')' | '[' | ']' | ',' | ';' | ':' | '=') {
            at += 1;
            continue;
        }
        if let Some((value, end, mended)) = number_at(&characters, at, quantities) {
            tokens.push(Token::Number { value, mended });
            at = end;
            continue;
        }
        if here.is_ascii_digit() {
            // Digits that are no number ("1.2.3"): the mark tells the reader that nothing is understood.
            tokens.push(Token::Mark('*'));
            at = run_end(&characters, at, |c| c.is_ascii_digit() || matches!(c, '.' | ','));
            continue;
        }
        if let Some((unit, end)) = unit_at(&characters, at, quantities) {
            tokens.push(Token::Unit(unit));
            at = end;
            continue;
        }
        if here.is_alphanumeric() {
            let after_number = matches!(tokens.last(), Some(Token::Number { .. } | Token::Unit(_)));
            let joint = if after_number { joint(&characters, at) } else { None };
            let end = joint.unwrap_or_else(|| run_end(&characters, at, |c| c.is_alphanumeric()));
            let word = slice(&characters, at, end);
            let grown = joint.is_none()
                && matches!(tokens.last(), Some(Token::Number { .. }))
                && at.checked_sub(1).and_then(|before| characters.get(before)).is_some_and(char::is_ascii_digit);
            tokens.push(if grown { Token::Grown(word) } else { Token::Word(word) });
            at = end;
            // The point of an abbreviation ("c.", "approx.") belongs to its word.
            if characters.get(at) == Some(&'.') {
                at += 1;
            }
            continue;
        }
        if here != '.' && here != '\'' {
            tokens.push(Token::Mark(here));
        }
        at += 1;
    }
    tokens
}

fn slice(characters: &[char], from: usize, to: usize) -> String {
    characters.get(from..to).unwrap_or_default().iter().collect()
}

fn run_end(characters: &[char], from: usize, belongs: impl Fn(char) -> bool) -> usize {
    characters.iter().skip(from).position(|c| !belongs(*c)).map_or(characters.len(), |length| from + length)
}

/// Where a joint between two numbers ends that begins here: the "to" of "10to15m", the "x" of "2x9.5".
fn joint(characters: &[char], from: usize) -> Option<usize> {
    let end = run_end(characters, from, |c| c.is_alphabetic());
    let number = |at: usize| characters.get(at).is_some_and(|c| c.is_ascii_digit() || *c == '.');
    let word = slice(characters, from, end);
    (matches!(word.as_str(), "to" | "or" | "x") && number(end)).then_some(end)
}

/// The unit that begins here: the longest spelling that ends at the end of a word. Blanks within are passed over.
fn unit_at(characters: &[char], from: usize, quantities: &[Quantity]) -> Option<(Unit, usize)> {
    let mut written = String::new();
    let mut best = None;
    let mut at = from;
    while let Some(&c) = characters.get(at) {
        at += 1;
        if c == ' ' {
            continue;
        }
        if !(c.is_alphanumeric() || matches!(c, '\'' | '/' | '^' | '\u{b0}')) || written.chars().count() >= LONGEST_UNIT
        {
            break;
        }
        written.push(c);
        let word_goes_on = c.is_alphanumeric() && characters.get(at).is_some_and(|next| next.is_alphabetic());
        let digit_follows = c.is_alphabetic() && characters.get(at).is_some_and(char::is_ascii_digit);
        if word_goes_on || (digit_follows && c != '\'') {
            continue;
        }
        if let Some(unit) = unit_named(&written, quantities) {
            best = Some((unit, at));
        }
    }
    best
}

/// The number that begins here, where it ends, and whether letters were taken for digits.
fn number_at(characters: &[char], from: usize, quantities: &[Quantity]) -> Option<(f64, usize, bool)> {
    let first = *characters.get(from)?;
    let after_letter = from.checked_sub(1).and_then(|at| characters.get(at)).is_some_and(|c| c.is_alphabetic());
    let starts_plain =
        first.is_ascii_digit() || (first == '.' && characters.get(from + 1).is_some_and(char::is_ascii_digit));
    if starts_plain {
        let end = run_end(characters, from, |c| c.is_ascii_digit() || matches!(c, '.' | ','));
        let mended_end = run_end(characters, from, |c| c.is_ascii_digit() || matches!(c, '.' | ',' | 'o' | 'l'));
        let rest_is_unit = unit_at(characters, end, quantities).is_some();
        if mended_end > end && !rest_is_unit {
            let ends_word = !characters.get(mended_end).is_some_and(|c| c.is_alphanumeric());
            if ends_word || unit_at(characters, mended_end, quantities).is_some() {
                let text = slice(characters, from, mended_end).replace('o', "0").replace('l', "1");
                return read_digits(&text).map(|value| (value, mended_end, true));
            }
        }
        return trimmed(characters, from, end);
    }
    // "l00a", "o.35": a letter for the first digit, digits after it.
    if matches!(first, 'l' | 'o' | 'i') && !after_letter {
        let end = run_end(characters, from, |c| c.is_ascii_digit() || matches!(c, '.' | 'o' | 'l' | 'i'));
        let text = slice(characters, from, end);
        let ends_word = !characters.get(end).is_some_and(|c| c.is_alphanumeric());
        if text.bytes().any(|byte| byte.is_ascii_digit())
            && (ends_word || unit_at(characters, end, quantities).is_some())
        {
            let text = text.replace('o', "0").replace(['l', 'i'], "1");
            return read_digits(&text).map(|value| (value, end, true));
        }
    }
    None
}

/// A run of digits, points and commas, without a comma or point that ends a sentence.
fn trimmed(characters: &[char], from: usize, mut end: usize) -> Option<(f64, usize, bool)> {
    while end > from && matches!(characters.get(end - 1), Some('.' | ',')) {
        end -= 1;
    }
    read_digits(&slice(characters, from, end)).map(|value| (value, end, false))
}

/// "1,200" is twelve hundred, "12,5" is twelve and a half; anything else with two kinds of mark is no number.
fn read_digits(text: &str) -> Option<f64> {
    let commas = text.matches(',').count();
    let plain = match commas {
        0 => text.to_owned(),
        1 => {
            let (whole, rest) = text.split_once(',')?;
            let thousands = rest.split('.').next().is_some_and(|group| group.len() == 3) && !whole.is_empty();
            match (thousands, rest.contains('.')) {
                (true, _) if whole != "0" => format!("{whole}{rest}"),
                (_, false) => format!("{whole}.{rest}"),
                _ => return None,
            }
        }
        _ => {
            let whole = text.split('.').next().unwrap_or_default();
            if whole.split(',').skip(1).any(|group| group.len() != 3) {
                return None;
            }
            text.replace(',', "")
        }
    };
    plain.parse::<f64>().ok().filter(|value| value.is_finite())
}
