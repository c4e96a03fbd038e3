//! Words by meaning: which of a field's allowed words a cell says, and in which way a value is not known.
//!
//! The spellings are data (`meanings.csv`, `unknowns.csv`); this file only matches. It knows no row and no sheet.

use super::raw::words_of;
use crate::site::{Field, FieldKind, WhyUnknown, fields};
use std::collections::{BTreeMap, HashMap};
use std::sync::OnceLock;

const MEANINGS_CSV: &str = include_str!("meanings.csv");
const UNKNOWNS_CSV: &str = include_str!("unknowns.csv");

/// The spellings of one field's words.
#[derive(Debug, Default)]
pub(super) struct Lexicon {
    whole: HashMap<String, &'static str>,
    /// Spellings sought within a longer text, longest first.
    within: Vec<(String, &'static str)>,
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
    /// Not known, and how.
    Unknown(WhyUnknown),
}

/// Words that put what stands beside them in doubt.
const DOUBTING: &[&str] = &[
    "probably",
    "prob",
    "possibly",
    "poss",
    "maybe",
    "perhaps",
    "think",
    "thought",
    "assumed",
    "likely",
    "believed",
    "presumably",
    "looks",
    "appears",
    "seems",
    "suspect",
];
/// Words that turn a spelling within a longer text round.
const NEGATING: &[&str] =
    &["not", "no", "isnt", "non", "without", "never", "neither", "nor", "former", "formerly", "was"];

impl Lexicon {
    /// The number that a text as a whole stands for ("three phase").
    pub fn number(&self, plain: &str) -> Option<f64> {
        self.whole.get(plain).and_then(|number| number.parse().ok())
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
                None => Word::Unknown(WhyUnknown::Missing),
            };
        }
        if let Some(word) = self.whole.get(plain.as_str()) {
            return if queried { Word::Doubtful { word, other: word } } else { Word::Plain { word, partly: false } };
        }
        if let Some(why) = why_unknown(&plain) {
            return Word::Unknown(why);
        }
        // "No (by eye)", "Y - with number 5": the answer stands first, a remark after it.
        if let Some((answer, remark)) = first_clause(text)
            && let Some(word) = self.whole.get(words_of(answer).as_str())
        {
            return match self.read_within(&words_of(remark), queried) {
                Word::Plain { word: other, .. } | Word::Doubtful { word: other, .. } if other != *word => {
                    Word::Doubtful { word, other }
                }
                _ if queried => Word::Doubtful { word, other: word },
                _ => Word::Plain { word, partly: true },
            };
        }
        self.read_within(&plain, queried)
    }

    fn read_within(&self, plain: &str, mut doubtful: bool) -> Word {
        if plain.len() > 300 {
            return Word::Unknown(WhyUnknown::NotUnderstood);
        }
        let mut rest = format!(" {plain} ");
        let mut found: Vec<(usize, &'static str)> = Vec::new();
        for (spelling, word) in &self.within {
            let sought = format!(" {spelling} ");
            while let Some(at) = rest.find(&sought) {
                found.push((at, word));
                // Blanked to the same length, so that places stay comparable.
                let blank = format!(" {} ", "\u{1}".repeat(spelling.len()));
                rest.replace_range(at..at + sought.len(), &blank);
            }
        }
        found.sort_unstable();
        let left: Vec<&str> =
            rest.split(' ').filter(|piece| !piece.is_empty() && !piece.starts_with('\u{1}')).collect();
        // "No 9" is a house, not a denial.
        let denies = |(at, piece): (usize, &&str)| {
            let numbered =
                *piece == "no" && left.get(at + 1).is_some_and(|next| next.starts_with(|c: char| c.is_ascii_digit()));
            NEGATING.contains(piece) && !numbered
        };
        if left.iter().enumerate().any(denies) {
            return Word::Unknown(WhyUnknown::NotUnderstood);
        }
        doubtful |= left.iter().any(|piece| DOUBTING.contains(piece));
        let mut words: Vec<&'static str> = Vec::new();
        for (_, word) in found {
            if !words.contains(&word) {
                words.push(word);
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

/// The text before the first bracket, comma or dash between blanks, and the text after it.
fn first_clause(text: &str) -> Option<(&str, &str)> {
    let at = [" -", "- ", " \u{2013}", "(", ",", ";", ":"].iter().filter_map(|mark| text.find(mark)).min()?;
    let (answer, remark) = text.split_at_checked(at)?;
    (!answer.trim().is_empty() && !remark.trim().is_empty()).then_some((answer, remark))
}

/// The lexicon of a field; empty when it takes no words.
pub(super) fn lexicon(field: &Field) -> &'static Lexicon {
    static LEXICONS: OnceLock<BTreeMap<&'static str, Lexicon>> = OnceLock::new();
    static NONE: OnceLock<Lexicon> = OnceLock::new();
    LEXICONS
        .get_or_init(|| fields().iter().filter_map(|field| Some((field.name, lexicon_of(field)?))).collect())
        .get(field.name)
        .unwrap_or_else(|| NONE.get_or_init(Lexicon::default))
}

fn lexicon_of(field: &'static Field) -> Option<Lexicon> {
    if matches!(field.kind, FieldKind::Number | FieldKind::Count) {
        return numbered(field);
    }
    let allowed: Vec<&'static str> = match field.kind {
        FieldKind::Word => field.words.iter().copied().filter(|word| *word != "unknown").collect(),
        FieldKind::YesNo => vec!["yes", "no"],
        _ => return None,
    };
    let mut lexicon = Lexicon::default();
    let mut add = |spelling: &str, word: &'static str| {
        lexicon.whole.entry(spelling.to_owned()).or_insert(word);
        // A letter or a bare "no" within a longer text says nothing by itself.
        if spelling.chars().count() >= 2 && !matches!(spelling, "no" | "na" | "so" | "la" | "ha" | "id" | "ok") {
            lexicon.within.push((spelling.to_owned(), word));
        }
    };
    for word in &allowed {
        add(&words_of(word), word);
        add(word, word);
    }
    let own = spellings(field.name);
    let shared = if field.kind == FieldKind::YesNo { spellings("*") } else { Vec::new() };
    for (spelling, word) in own.into_iter().chain(shared) {
        if let Some(word) = allowed.iter().find(|known| **known == word) {
            add(&spelling, word);
        }
    }
    // A field's own spelling is met before the shared one of the same length.
    lexicon.within.sort_by(|(a, _), (b, _)| b.len().cmp(&a.len()).then_with(|| a.cmp(b)));
    lexicon.within.dedup_by(|(a, _), (b, _)| a == b);
    Some(lexicon)
}

/// Words that stand for a number ("three phase"): matched whole, never within a longer text.
fn numbered(field: &'static Field) -> Option<Lexicon> {
    let whole: HashMap<String, &'static str> = spellings(field.name)
        .into_iter()
        // Read once and kept for the life of the program, as the table of fields is.
        .map(|(spelling, number)| (spelling, &*Box::leak(number.into_boxed_str())))
        .collect();
    (!whole.is_empty()).then(|| Lexicon { whole, within: Vec::new() })
}

fn spellings(field: &str) -> Vec<(String, String)> {
    csv::Reader::from_reader(MEANINGS_CSV.as_bytes())
        .records()
        .flatten()
        .filter(|record| record.get(0) == Some(field))
        .filter_map(|record| Some((record.get(1)?.to_owned(), record.get(2)?.to_owned())))
        .collect()
}

struct Unknowns {
    whole: HashMap<String, WhyUnknown>,
    begins: Vec<(String, WhyUnknown)>,
    within: Vec<(String, WhyUnknown)>,
}

fn unknowns() -> &'static Unknowns {
    static UNKNOWNS: OnceLock<Unknowns> = OnceLock::new();
    UNKNOWNS.get_or_init(|| {
        let mut table = Unknowns { whole: HashMap::new(), begins: Vec::new(), within: Vec::new() };
        for record in csv::Reader::from_reader(UNKNOWNS_CSV.as_bytes()).records().flatten() {
            let written = record.get(0).unwrap_or_default().to_owned();
            let why = match record.get(1) {
                Some("elsewhere") => WhyUnknown::Elsewhere,
                Some("not-seen") => WhyUnknown::NotSeen,
                // "Ditto" is not followed: sorting or filtering a sheet moves it away from what it repeats.
                Some("repeats") => WhyUnknown::NotUnderstood,
                _ => WhyUnknown::Missing,
            };
            match record.get(2) {
                Some("begins") => table.begins.push((format!("{written} "), why)),
                Some("within") => table.within.push((format!(" {written} "), why)),
                _ => {
                    table.whole.insert(written, why);
                }
            }
        }
        table
    })
}

/// Whether a text (as `words_of` leaves it) is as a whole one of the ways to write nothing.
pub(super) fn says_nothing(plain: &str) -> bool {
    plain.is_empty() || unknowns().whole.get(plain) == Some(&WhyUnknown::Missing)
}

/// In which way a text (as `words_of` leaves it) says that a value is not known; `None` when it says something else.
pub(super) fn why_unknown(plain: &str) -> Option<WhyUnknown> {
    if plain.is_empty() {
        return Some(WhyUnknown::Missing);
    }
    let table = unknowns();
    if let Some(why) = table.whole.get(plain) {
        return Some(*why);
    }
    if plain.len() < 4 {
        return None;
    }
    let padded = format!(" {plain} ");
    let begins =
        |(mark, _): &&(String, WhyUnknown)| padded.get(1..).is_some_and(|rest| rest.starts_with(mark.as_str()));
    if let Some((_, why)) = table.begins.iter().find(begins) {
        return Some(*why);
    }
    table.within.iter().find(|(mark, _)| padded.contains(mark.as_str())).map(|(_, why)| *why)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(field: &str, text: &str) -> Word {
        lexicon(fields().iter().find(|known| known.name == field).unwrap()).read(text)
    }

    fn plainly(field: &str, text: &str) -> Option<&'static str> {
        match read(field, text) {
            Word::Plain { word, .. } => Some(word),
            _ => None,
        }
    }

    #[test]
    fn words_are_read_by_meaning() {
        for (field, text, word) in [
            ("earthing_system", "PME", "TN-C-S"),
            ("earthing_system", "TNCS", "TN-C-S"),
            ("earthing_system", "TN-C-S (PME)", "TN-C-S"),
            ("earthing_system", "T.N.S", "TN-S"),
            ("earthing_system", "TN-S lead sheath", "TN-S"),
            ("earthing_system", "earth rod", "TT"),
            ("heating", "Gas combi", "gas"),
            ("heating", "ASHP", "heat-pump"),
            ("tenure", "LHA", "social rent"),
            ("parking_type", "drive", "driveway"),
            ("parking_type", "On street", "on-street"),
            ("parking_type", "no drive", "none"),
            ("cutout_evidence", "fuse seen", "fuse"),
            ("cutout_evidence", "carrier", "carrier"),
            ("premises_type", "3 bed semi", "house"),
            ("looped_service", "Y", "yes"),
            ("looped_service", "not looped", "no"),
            ("looped_service", "looped to no 9", "yes"),
            ("surge_protection", "\u{2713}", "yes"),
            ("surge_protection", "\u{2714}\u{FE0F}", "yes"),
            ("isolator_present", "0", "no"),
            ("consent_status", "N/A", "not needed"),
            ("condition_report", "C2", "C2"),
            ("nation", "ENG", "England"),
        ] {
            assert_eq!(plainly(field, text), Some(word), "{field}: {text}");
        }
    }

    #[test]
    fn doubt_and_contradiction_are_kept() {
        assert_eq!(read("earthing_system", "TN-S?"), Word::Doubtful { word: "TN-S", other: "TN-S" });
        assert_eq!(read("earthing_system", "TNCS - rod?"), Word::Doubtful { word: "TN-C-S", other: "TT" });
        assert_eq!(read("looped_service", "No (by eye)"), Word::Plain { word: "no", partly: true });
        assert_eq!(read("looped_service", "Y - with no 5"), Word::Plain { word: "yes", partly: true });
        assert_eq!(read("looped_service", "No, looped at no 9"), Word::Doubtful { word: "no", other: "yes" });
        assert_eq!(read("earthing_system", "probably PME"), Word::Doubtful { word: "TN-C-S", other: "TN-C-S" });
        for (field, text) in
            [("board_type", "not metal"), ("looped_service", "x"), ("parking_type", "yes"), ("heating", "42")]
        {
            assert_eq!(read(field, text), Word::Unknown(WhyUnknown::NotUnderstood), "{field}: {text}");
        }
    }

    #[test]
    fn the_ways_of_not_knowing_are_told_apart() {
        for text in [
            "",
            "-",
            "--",
            ".",
            "?",
            "??",
            "tbc",
            "TBA",
            "N/K",
            "NK",
            "not known",
            "unk",
            "don't know",
            "#N/A",
            "NULL",
            "0000",
            "N/A",
        ] {
            assert_eq!(why_unknown(&words_of(text)), Some(WhyUnknown::Missing), "{text}");
        }
        for text in ["see photo", "See pic.", "as per photo", "photo 3", "attached"] {
            assert_eq!(why_unknown(&words_of(text)), Some(WhyUnknown::Elsewhere), "{text}");
        }
        for text in ["no access", "NA cupboard locked", "behind boxing", "tenant refused"] {
            assert_eq!(why_unknown(&words_of(text)), Some(WhyUnknown::NotSeen), "{text}");
        }
        assert_eq!(why_unknown("60 a"), None);
    }

    #[test]
    fn every_spelling_leads_to_an_allowed_word_and_only_one() {
        let mut seen = std::collections::BTreeMap::new();
        for record in csv::Reader::from_reader(MEANINGS_CSV.as_bytes()).records().map(Result::unwrap) {
            let (field, spelling, word) = (&record[0], &record[1], &record[2]);
            let allowed: Vec<&str> = match fields().iter().find(|known| known.name == field) {
                Some(known) if known.kind == FieldKind::Word => known.words.clone(),
                Some(known) if matches!(known.kind, FieldKind::Number | FieldKind::Count) => {
                    let number: f64 = word.parse().unwrap();
                    assert!(known.min.is_none_or(|min| number >= min) && known.max.is_none_or(|max| number <= max));
                    vec![word]
                }
                Some(_) => vec!["yes", "no"],
                None => {
                    assert_eq!(field, "*");
                    vec!["yes", "no"]
                }
            };
            assert!(allowed.contains(&word), "{field}: {word}");
            assert!(words_of(spelling) == spelling || words_of(spelling).is_empty(), "{field}: {spelling}");
            let before = seen.insert((field.to_owned(), spelling.to_owned()), word.to_owned());
            assert_eq!(before, None, "{field}: {spelling}");
        }
    }
}
