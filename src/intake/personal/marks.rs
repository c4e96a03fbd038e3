//! What gives a person away within a text, whatever its column: mail addresses, telephone and supply numbers, titles
//! before a name, and words after which only what is personal follows. It knows texts, no columns.

use super::word_list::{is_title, opening_phrases, street_phrases};
use crate::intake::raw::words_of;
use std::borrow::Cow;

/// What stands in the place of what is left out.
pub(super) const LEFT_OUT: &str = "[left out]";
/// Fewest digits of a telephone number that is written with its area.
const TELEPHONE_DIGITS: std::ops::RangeInclusive<usize> = 9..=15;
/// Digits of a supply number: its core, and with the line above it.
const SUPPLY_DIGITS: [usize; 2] = [13, 21];

/// Most words of a phrase.
const LONGEST_PHRASE: usize = 3;

/// A word of a text with the place it takes there.
#[derive(Clone, Copy)]
struct Piece<'a> {
    from: usize,
    to: usize,
    text: &'a str,
}

/// The pieces of a text between blanks.
fn pieces(text: &str) -> Vec<Piece<'_>> {
    let mut found = Vec::new();
    let mut from = None;
    for (at, character) in text.char_indices().chain(std::iter::once((text.len(), ' '))) {
        match (character.is_whitespace(), from) {
            (false, None) => from = Some(at),
            (true, Some(start)) => {
                found.extend(text.get(start..at).map(|text| Piece { from: start, to: at, text }));
                from = None;
            }
            _ => {}
        }
    }
    found
}

/// The text without what gives a person away; the same text where nothing does.
pub(super) fn without_marks(text: &str) -> Cow<'_, str> {
    let pieces = pieces(text);
    let mut cuts = numbers(text);
    for (at, piece) in pieces.iter().enumerate() {
        if is_mail(piece.text) {
            cuts.push((piece.from, piece.to));
        } else if let Some(end) = after_title(&pieces, at) {
            cuts.push((piece.from, end));
        } else if opens(&pieces, at) {
            cuts.push((piece.from, text.trim_end().len()));
        }
    }
    cut(text, cuts)
}

/// The text with what was left out in the place of the cuts.
fn cut(text: &str, mut cuts: Vec<(usize, usize)>) -> Cow<'_, str> {
    if cuts.is_empty() {
        return Cow::Borrowed(text);
    }
    cuts.sort_unstable();
    let mut out = String::with_capacity(text.len());
    let mut done = 0;
    for (from, to) in cuts {
        if to <= done {
            continue;
        }
        // Cuts that overlap are one.
        if from >= done {
            out.push_str(text.get(done..from).unwrap_or_default());
            out.push_str(LEFT_OUT);
        }
        done = to;
    }
    out.push_str(text.get(done..).unwrap_or_default());
    Cow::Owned(out)
}

/// A heading without numbers and addresses of persons; its words name the column and stay.
pub(super) fn heading_without_marks(heading: &str) -> String {
    let mail = |word: &str| if is_mail(word) { LEFT_OUT.to_owned() } else { word.to_owned() };
    let words: Vec<String> = heading.split_whitespace().map(mail).collect();
    let heading = words.join(" ");
    cut(&heading, numbers(&heading)).into_owned()
}

/// Whether a text holds any such mark.
pub(super) fn is_marked(text: &str) -> bool {
    matches!(without_marks(text), Cow::Owned(_))
}

/// A mail address, or a name as networks of people write it.
fn is_mail(piece: &str) -> bool {
    let (before, after) = piece.split_once(['@', '\u{FF20}']).unwrap_or_default();
    let any = |text: &str| text.chars().any(char::is_alphanumeric);
    let link = piece.contains("://") || piece.starts_with("www.") || piece.starts_with("mailto:");
    link || (any(after) && (any(before) || before.is_empty()))
}

/// Runs of digits, with what stands between the digits of one number, that are telephone or supply numbers.
fn numbers(text: &str) -> Vec<(usize, usize)> {
    let mut found = Vec::new();
    let mut run: Option<(usize, usize, String, bool)> = None; // from, to, digits, joined by blanks
    let characters = text.char_indices().chain(std::iter::once((text.len(), 'x')));
    for (at, character) in characters {
        let between = character.is_whitespace() || matches!(character, '-' | '.' | '(' | ')' | '\u{2010}'..='\u{2015}');
        match (&mut run, character.to_digit(10), character) {
            (Some((_, to, digits, _)), Some(_), _) => {
                digits.push(character);
                *to = at + character.len_utf8();
            }
            (None, Some(_), _) => run = Some((at, at + character.len_utf8(), character.to_string(), false)),
            (None, None, '+') => run = Some((at, at + 1, "+".to_owned(), false)),
            (Some((_, _, _, parted)), None, _) if between => *parted = true,
            (_, None, _) => {
                if let Some((from, to, digits, parted)) = run.take()
                    && is_number_of_a_person(&digits, parted)
                {
                    found.push((from, to));
                }
                run = (character == '+').then(|| (at, at + 1, "+".to_owned(), false));
            }
        }
    }
    found
}

/// A telephone number begins with a plus, a nought or the country's number; one that a spreadsheet has turned into a
/// figure has lost its nought. Keys of properties are written in one and begin otherwise.
fn is_number_of_a_person(digits: &str, parted: bool) -> bool {
    if let Some(digits) = digits.strip_prefix('+') {
        return TELEPHONE_DIGITS.contains(&digits.len());
    }
    if SUPPLY_DIGITS.contains(&digits.len()) {
        return true;
    }
    let telephone = TELEPHONE_DIGITS.contains(&digits.len());
    match digits.len() {
        // One number of eleven or ten digits, as telephones are written without blanks.
        10 | 11 if !parted && digits.starts_with('0') => true,
        10 if !parted => digits.starts_with('7') || digits.starts_with('1') || digits.starts_with('2'),
        12 if digits.starts_with("447") || digits.starts_with("441") || digits.starts_with("442") => true,
        _ => parted && telephone && (digits.starts_with('0') || digits.starts_with("44")),
    }
}

/// Where a title stands with a word after it, the end of the name: that of the text or its next comma.
fn after_title(pieces: &[Piece<'_>], at: usize) -> Option<usize> {
    let piece = pieces.get(at)?;
    let word = words_of(piece.text);
    if !is_title(&word) || piece.text.ends_with(',') || pieces.get(at + 1).is_none() {
        return None;
    }
    // "Fern Dr 12" is a drive: a name begins with a letter.
    pieces.get(at + 1).filter(|next| next.text.starts_with(char::is_alphabetic) || next.text == "&")?;
    let last = pieces.iter().skip(at + 1).find(|piece| piece.text.ends_with([',', ';']));
    match last {
        Some(piece) => Some(piece.to - 1),
        None => pieces.last().map(|piece| piece.to),
    }
}

/// Whether one of the phrases begins here after which only what is personal follows.
fn opens(pieces: &[Piece<'_>], at: usize) -> bool {
    let words: Vec<String> =
        pieces.iter().skip(at).take(LONGEST_PHRASE + 1).map(|piece| words_of(piece.text)).collect();
    // A piece such as "c/o" is two words.
    let words: Vec<&str> = words.iter().flat_map(|words| words.split(' ')).filter(|word| !word.is_empty()).collect();
    let begins = |phrase: &Vec<String>| {
        phrase.len() <= words.len() && phrase.iter().zip(&words).all(|(wanted, word)| wanted == word)
    };
    let of_a_street = street_phrases().iter().any(begins);
    // At the end of a text nothing follows.
    !of_a_street && opening_phrases().iter().any(|phrase| begins(phrase) && phrase.len() < words.len())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn mail_telephones_supply_numbers_and_named_persons_are_found_in_any_text() {
        let found = [
            ("ring j.smith@example.org first", "[left out]"),
            ("see x@y", "see [left out]"),
            ("1 Mill Lane 07700 900123", "1 Mill Lane [left out]"),
            ("07700900123", "[left out]"),
            ("7700900123", "[left out]"),
            ("+44 (0)20 7946 0018 works", "[left out] works"),
            ("020-7946-0018", "[left out]"),
            ("1112345678908", "[left out]"),
            ("Mrs A Quill, 3 Mill Lane", "[left out], 3 Mill Lane"),
            ("3 Mill Lane (Mr Quill)", "3 Mill Lane [left out]"),
            ("3 Mill Lane c/o the Quills", "3 Mill Lane [left out]"),
            ("3 Mill Lane, key safe 4711", "3 Mill Lane, [left out]"),
        ];
        for (text, kept) in found {
            assert_eq!(without_marks(text), kept, "{text}");
        }
    }

    #[test]
    fn addresses_keys_and_figures_stay() {
        for text in [
            "3 Mill Lane, Quernholt",
            "14 Fern Dr",
            "14 Fern Dr, Quernholt",
            "100012345678",
            "H0004",
            "ZR1 4AE",
            "60/80",
            "2026-11-25",
            "approx 5m",
            "0.35",
            "12 Key Street",
            "Code",
            "18/09/2026 10:30",
            "10000123456",
            "Contact",
            "Contact centre, Weir Road",
            "2 Ring Road",
        ] {
            assert_eq!(without_marks(text), text, "{text}");
        }
    }
}
