//! Words by meaning: which of a field's allowed words a cell says, and in which way a value is not known.
//!
//! The spellings are data (`spellings`, `not_known`); this file only matches. It knows no row and no sheet.

pub(super) use super::not_known::{says_nothing, why_unknown};
use super::raw::words_of;
use super::spellings::{MENDED_FROM, Within};
pub(super) use super::spellings::{lexicon, under_heading};
use crate::site::WhyUnknown;
use crate::table::Table;
use std::borrow::Cow;
use std::collections::{BTreeMap, BTreeSet, HashMap};
use std::sync::OnceLock;

/// The spellings of one field's words.
#[derive(Debug, Default)]
pub(super) struct Lexicon {
    /// What a whole text says.
    pub whole: HashMap<&'static str, &'static str>,
    /// Spellings sought within a longer text, longest first.
    pub within: Vec<Within>,
    /// Spellings that may mean more than one word, with what they may mean.
    pub ambiguous: BTreeMap<&'static str, &'static str>,
    /// Spellings (between blanks) that make a text speak of something else, with what.
    pub foreign: Vec<(String, &'static str)>,
    /// Words long enough to be known in spite of a slip of the pen.
    pub vocabulary: BTreeSet<String>,
}

/// What a cell says in a field of words.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Word {
    /// This word. `partly` when the text says more than it.
    Plain {
        /// The allowed word.
        word: &'static str,
        /// Whether something else stands beside it.
        partly: bool,
    },
    /// This word with a doubt, perhaps the other one.
    Doubtful {
        /// The likelier (or first) word.
        word: &'static str,
        /// The other end of the doubt; the same when it is only queried.
        other: &'static str,
    },
    /// This word, if a slip of the pen is mended.
    Mended(&'static str),
    /// Not known, and how.
    Unknown(WhyUnknown),
}

/// What a word does to another of the same text.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Effect {
    /// It puts it in doubt ("probably").
    Doubts,
    /// It turns it into something else ("not", "planned").
    Denies,
    /// Nothing ("the").
    Nothing,
}

/// The words of `beside_words.csv`.
fn effect_of(piece: &str) -> Option<Effect> {
    static EFFECTS: OnceLock<BTreeMap<String, Effect>> = OnceLock::new();
    EFFECTS
        .get_or_init(|| {
            Table::of(include_str!("beside_words.csv"))
                .rows()
                .map(|row| {
                    let effect = match row.text("effect") {
                        "doubts" => Effect::Doubts,
                        "denies" => Effect::Denies,
                        _ => Effect::Nothing,
                    };
                    (row.text("written").to_owned(), effect)
                })
                .collect()
        })
        .get(piece)
        .copied()
}

impl Lexicon {
    /// The number that a text as a whole stands for ("three phase").
    pub fn number(&self, plain: &str) -> Option<f64> {
        self.said(plain).and_then(|number| number.parse().ok())
    }

    /// What a text (as `words_of` leaves it) as a whole says, its initials with or without points between them.
    fn said(&self, plain: &str) -> Option<&'static str> {
        self.whole.get(plain).or_else(|| self.whole.get(&*initials_joined(plain))).copied()
    }

    /// Why a text is not understood although its words are known: what it may mean, as a clause.
    pub fn why_not(&self, text: &str) -> Option<&'static str> {
        let plain = words_of(text);
        let padded = format!(" {plain} ");
        let foreign = self.foreign.iter().find(|(spelling, _)| padded.contains(spelling.as_str())).map(|(_, why)| *why);
        foreign
            .or_else(|| self.ambiguous.get(plain.as_str()).copied())
            .or_else(|| self.ambiguous.get(&*initials_joined(&plain)).copied())
            .or_else(|| {
                let found = self.within.iter().find(|within| within.word.is_empty() && padded.contains(&within.padded));
                self.ambiguous.get(found?.padded.trim()).copied()
            })
    }

    /// The word that a text says.
    pub fn read(&self, text: &str) -> Word {
        // The usual case is one of the allowed words as it stands.
        if let Some(word) = self.whole.get(text) {
            return Word::Plain { word, partly: false };
        }
        let queried = text.contains('?');
        let plain = words_of(text);
        if plain.is_empty() {
            let mark = text.trim().trim_end_matches('\u{FE0F}');
            return match self.whole.get(mark) {
                Some(word) => Word::Plain { word, partly: false },
                // Dashes and points stand for nothing; another mark may be a tick or a cross.
                None if mark.chars().all(|c| c.is_ascii_punctuation() || is_dash(c)) => {
                    Word::Unknown(WhyUnknown::Missing)
                }
                None => Word::Unknown(WhyUnknown::NotUnderstood),
            };
        }
        if let Some(word) = self.said(&plain) {
            return if queried { Word::Doubtful { word, other: word } } else { Word::Plain { word, partly: false } };
        }
        if self.ambiguous.contains_key(plain.as_str()) {
            return Word::Unknown(WhyUnknown::NotUnderstood);
        }
        if let Some(why) = why_unknown(&plain) {
            return Word::Unknown(why);
        }
        let joined = initials_joined(&plain);
        let padded = format!(" {joined} ");
        if self.foreign.iter().any(|(spelling, _)| padded.contains(spelling.as_str())) {
            return Word::Unknown(WhyUnknown::NotUnderstood);
        }
        // "No (by eye)", "Y - with number 5": the answer stands first, a remark after it.
        if let Some((answer, remark)) = first_clause(text)
            && let Some(word) = self.said(&words_of(answer))
        {
            return match self.read_within(&words_of(remark), queried) {
                Word::Plain { word: other, .. } | Word::Doubtful { word: other, .. } if other != word => {
                    Word::Doubtful { word, other }
                }
                _ if queried => Word::Doubtful { word, other: word },
                _ => Word::Plain { word, partly: true },
            };
        }
        match self.read_within(&plain, queried) {
            Word::Unknown(WhyUnknown::NotUnderstood) if joined != plain => self.read_within(&joined, queried),
            within @ (Word::Unknown(WhyUnknown::NotUnderstood) | Word::Doubtful { .. }) => match self.mended(&plain) {
                Word::Unknown(_) => within,
                mended => mended,
            },
            word => word,
        }
    }

    /// The word of a text with one letter wrong, missing, too many or two swapped in its long words.
    fn mended(&self, plain: &str) -> Word {
        let unknown = Word::Unknown(WhyUnknown::NotUnderstood);
        if plain.len() > 40 {
            return unknown;
        }
        let slip = |piece: &str| {
            piece.len() >= MENDED_FROM
                && piece.bytes().all(|byte| byte.is_ascii_lowercase())
                && !self.vocabulary.contains(piece)
        };
        let (mut slips, mut found): (usize, Option<&'static str>) = (0, None);
        for (at, piece) in plain.split(' ').enumerate().filter(|(_, piece)| slip(piece)) {
            slips += 1;
            for known in &self.vocabulary {
                let near = known.as_bytes().first() == piece.as_bytes().first()
                    && known.len().abs_diff(piece.len()) <= 1
                    && strsim::osa_distance(known, piece) == 1;
                if !near {
                    continue;
                }
                let pieces = plain.split(' ').enumerate().map(|(other, text)| if other == at { known } else { text });
                let Some(word) = self.said(&pieces.collect::<Vec<_>>().join(" ")) else { continue };
                if found.is_some_and(|before| before != word) {
                    return unknown;
                }
                found = Some(word);
            }
        }
        found.filter(|_| slips == 1).map_or(unknown, Word::Mended)
    }

    fn read_within(&self, plain: &str, mut doubtful: bool) -> Word {
        if plain.len() > 300 {
            return Word::Unknown(WhyUnknown::NotUnderstood);
        }
        let mut rest = format!(" {plain} ");
        let mut found: Vec<(usize, &Within)> = Vec::new();
        for within in &self.within {
            let padded = &within.padded;
            while let Some(at) = rest.find(padded) {
                found.push((at, within));
                // Blanked to the same length, so that places stay comparable.
                let blank = format!(" {} ", "\u{1}".repeat(padded.len() - 2));
                rest.replace_range(at..at + padded.len(), &blank);
            }
        }
        found.sort_unstable_by_key(|(at, _)| *at);
        let only_weak = found.iter().all(|(_, within)| within.weak);
        let strong: Vec<&'static str> =
            found.iter().filter(|(_, within)| !within.weak).map(|(_, within)| within.word).collect();
        found.retain(|(_, within)| !strong.iter().any(|word| within.yields_to(word)));
        if found.iter().any(|(_, within)| within.word.is_empty()) {
            return Word::Unknown(WhyUnknown::NotUnderstood);
        }
        let left: Vec<&str> =
            rest.split(' ').filter(|piece| !piece.is_empty() && !piece.starts_with('\u{1}')).collect();
        // "No 9" is a house, not a denial.
        let denies = |(at, piece): (usize, &&str)| {
            let numbered =
                *piece == "no" && left.get(at + 1).is_some_and(|next| next.starts_with(|c: char| c.is_ascii_digit()));
            effect_of(piece) == Some(Effect::Denies) && !numbered
        };
        if left.iter().enumerate().any(denies) {
            return Word::Unknown(WhyUnknown::NotUnderstood);
        }
        doubtful |= left.iter().any(|piece| effect_of(piece) == Some(Effect::Doubts));
        // A word that says little, beside one that is not known, may be turned into something else by it.
        let unknown = |piece: &&str| piece.bytes().all(|byte| byte.is_ascii_lowercase()) && effect_of(piece).is_none();
        if only_weak && left.iter().any(unknown) {
            return Word::Unknown(WhyUnknown::NotUnderstood);
        }
        let mut words: Vec<&'static str> = Vec::new();
        for (_, within) in found {
            if !words.contains(&within.word) {
                words.push(within.word);
            }
        }
        match words.as_slice() {
            [word] if doubtful => Word::Doubtful { word, other: word },
            [word] => Word::Plain { word, partly: !left.is_empty() },
            [word, other] => Word::Doubtful { word, other },
            _ => Word::Unknown(WhyUnknown::NotUnderstood),
        }
    }
}

/// A dash, a point or a quotation mark of any length.
fn is_dash(c: char) -> bool {
    matches!(c, '\u{2010}'..='\u{201F}' | '\u{2026}' | '\u{2212}' | '\u{2032}' | '\u{2033}' | '\u{3003}' | '\u{B7}')
        || c.is_whitespace()
        || c.is_control()
}

/// The text before the first bracket, comma or dash between blanks, and the text after it.
fn first_clause(text: &str) -> Option<(&str, &str)> {
    let at = [" -", "- ", " \u{2013}", "(", ",", ";", ":"].iter().filter_map(|mark| text.find(mark)).min()?;
    let (answer, remark) = text.split_at_checked(at)?;
    (!answer.trim().is_empty() && !remark.trim().is_empty()).then_some((answer, remark))
}

/// A text (as `words_of` leaves it) with the letters that stand alone put together: "p m e" is "pme".
fn initials_joined(plain: &str) -> Cow<'_, str> {
    let alone = |piece: &str| piece.len() == 1 && piece.bytes().all(|byte| byte.is_ascii_lowercase());
    if !plain.split(' ').zip(plain.split(' ').skip(1)).any(|(a, b)| alone(a) && alone(b)) {
        return Cow::Borrowed(plain);
    }
    let mut out = String::with_capacity(plain.len());
    let mut before = false;
    for piece in plain.split(' ') {
        let now = alone(piece);
        if !(out.is_empty() || before && now) {
            out.push(' ');
        }
        out.push_str(piece);
        before = now;
    }
    Cow::Owned(out)
}

#[cfg(test)]
#[path = "words_tests.rs"]
mod tests;
