//! The words of headings as data (`head_words.csv`): which say nothing, which say the same, which turn a meaning round,
//! which head a part of an address or a key. It knows that table and nothing of fields or cells.

use super::raw::folded;
use crate::table::Table;
use std::collections::{BTreeMap, BTreeSet, HashMap};
use std::sync::OnceLock;

/// Longest run of words that stands for another.
const LONGEST_PHRASE: usize = 4;

#[derive(Default)]
struct Words {
    kinds: BTreeMap<String, BTreeSet<String>>,
    same: HashMap<String, String>,
    asks: Vec<(String, String)>,
    /// By kind and word: what it stands for.
    stands: HashMap<(String, String), String>,
}

fn table() -> &'static Words {
    static WORDS: OnceLock<Words> = OnceLock::new();
    WORDS.get_or_init(|| {
        let mut words = Words::default();
        for row in Table::of(include_str!("head_words.csv")).rows() {
            let (written, stands_for) = (row.text("written").to_owned(), row.text("stands_for").to_owned());
            match row.text("kind") {
                "same" => {
                    words.same.insert(written, stands_for);
                }
                "asks" => words.asks.push((written, stands_for)),
                kind => {
                    if !stands_for.is_empty() {
                        words.stands.insert((kind.to_owned(), written.clone()), stands_for);
                    }
                    words.kinds.entry(kind.to_owned()).or_default().insert(written);
                }
            }
        }
        words
    })
}

/// Every word (or phrase) of the table.
pub(super) fn all_words() -> impl Iterator<Item = &'static str> {
    let table = table();
    let asks = table.asks.iter().map(|(written, _)| written.as_str());
    table.kinds.values().flatten().map(String::as_str).chain(table.same.keys().map(String::as_str)).chain(asks)
}

/// The words (or phrases) of one kind.
pub(super) fn of_kind(kind: &str) -> &'static BTreeSet<String> {
    static NONE: BTreeSet<String> = BTreeSet::new();
    table().kinds.get(kind).unwrap_or(&NONE)
}

/// What a word (or phrase) of a kind stands for: the field of a half of a heading, the end a route is measured from.
pub(super) fn stands_for(kind: &str, written: &str) -> Option<&'static str> {
    table().stands.get(&(kind.to_owned(), written.to_owned())).map(String::as_str)
}

/// What kind of answer a heading asks for as a question: `count`, `day`, `nobody`. Nothing where it does not say.
pub(super) fn asked_for(base: &str) -> Option<&'static str> {
    let begins = |phrase: &str| base.strip_prefix(phrase).is_some_and(|rest| rest.is_empty() || rest.starts_with(' '));
    let (_, kind) = table().asks.iter().find(|(phrase, _)| begins(phrase))?;
    Some(kind.as_str())
}

/// The words that carry the meaning of a heading (plain already), each in one form: phrases that say the same are one
/// word, words that say nothing are gone, of plurals the singular stands.
pub(super) fn content(base: &str) -> Vec<String> {
    let words: Vec<&str> = base.split(' ').filter(|word| !word.is_empty()).collect();
    let (function, asking) = (of_kind("function"), of_kind("asking"));
    let mut out = Vec::new();
    let mut at = 0;
    while at < words.len() {
        let longest = LONGEST_PHRASE.min(words.len() - at);
        let phrase = (1..=longest).rev().find_map(|length| {
            let run = words.get(at..at + length)?.join(" ");
            table().same.get(&run).map(|stands_for| (length, stands_for))
        });
        if let Some((length, stands_for)) = phrase {
            if !stands_for.is_empty() {
                out.push(stands_for.clone());
            }
            at += length;
            continue;
        }
        // "Where do you park" asks for a place; "from the board to where you park" does not.
        let idle = |word: &str| function.contains(word) || at > 0 && asking.contains(word);
        if let Some(word) = words.get(at).filter(|word| !idle(word)) {
            out.push(singular(word).to_owned());
        }
        at += 1;
    }
    out
}

fn singular(word: &str) -> &str {
    match word.strip_suffix('s') {
        Some(stem) if stem.len() > 3 && !stem.ends_with(['s', 'u', 'i']) => stem,
        _ => word,
    }
}

/// Whether every word of a text is of one of these kinds. An empty text is.
pub(super) fn all_of(base: &str, kinds: &[&str]) -> bool {
    base.split(' ').all(|word| word.is_empty() || kinds.iter().any(|kind| of_kind(kind).contains(word)))
}

/// A heading without the number of its question: "4.2 Main fuse", "Q7: Main fuse", "3) Main fuse", "B2. Main fuse".
/// "3 phase" and "12 month peak" keep theirs.
pub(super) fn without_number(text: &str) -> String {
    let folded = folded(text);
    let rest = folded.trim_start_matches(['(', '[', '#']);
    let opened = rest.len() < folded.len();
    let (asked, rest) = ["question ", "question", "q.", "q"]
        .iter()
        .find_map(|mark| rest.strip_prefix(mark).map(|rest| (true, rest)))
        .filter(|(_, rest)| rest.starts_with(|c: char| c.is_ascii_digit()))
        .unwrap_or((false, rest));
    let letter = rest.strip_prefix(|c: char| c.is_ascii_lowercase());
    let numbered = letter.filter(|rest| rest.starts_with(|c: char| c.is_ascii_digit())).unwrap_or(rest);
    let after = numbered.trim_start_matches(|c: char| c.is_ascii_digit() || c == '.');
    let number = numbered.get(..numbered.len() - after.len()).unwrap_or_default();
    if !number.starts_with(|c: char| c.is_ascii_digit()) {
        return folded;
    }
    // "3a)", "2b."
    let after = match after.strip_prefix(|c: char| c.is_ascii_lowercase()) {
        Some(next) if next.is_empty() || next.starts_with([')', '.', ':', ']', '-']) => next,
        _ => after,
    };
    let marked = number.contains('.') || after.starts_with([')', ':', ']', '.']) || after.starts_with(" -");
    let bare = after.trim_start_matches([')', ':', ']', '.', ' ', '-']);
    let parted = after.is_empty() || after.len() > bare.len();
    // "1.5 mm tails" is no question.
    if parted && !bare.is_empty() && (marked || asked || opened && after.starts_with([')', ']'])) {
        return bare.to_owned();
    }
    folded
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::intake::raw::words_of;

    #[test]
    fn numbers_of_questions_go_and_figures_stay() {
        for (written, left) in [
            ("4.2 Main fuse (A)", "main fuse (a)"),
            ("Q7: Main fuse", "main fuse"),
            ("Q12 Main fuse", "main fuse"),
            ("3) Main fuse", "main fuse"),
            ("(3) Main fuse", "main fuse"),
            ("3a) Main fuse", "main fuse"),
            ("B2. Main fuse", "main fuse"),
            ("1. Address", "address"),
            ("Question 4 - Main fuse", "main fuse"),
            ("7 - Main fuse", "main fuse"),
            ("3 phase", "3 phase"),
            ("12 month peak kVA", "12 month peak kva"),
            ("4G signal", "4g signal"),
            ("1 or 3 phase", "1 or 3 phase"),
            ("Qty chargers", "qty chargers"),
            ("4.2", "4.2"),
            ("", ""),
        ] {
            assert_eq!(without_number(written), left, "{written}");
        }
    }

    #[test]
    fn what_says_the_same_is_one_word_and_what_says_nothing_is_gone() {
        let plain = |text: &str| content(&words_of(text)).join(" ");
        assert_eq!(plain("What does it say on your main fuse?"), "main fuse");
        assert_eq!(plain("How far is it from your fuse board to where you park?"), "distance from board parking");
        assert_eq!(plain("How many charge points are there already?"), "charger already");
        assert_eq!(plain("Cut-out rating"), "cutout rating");
        assert_eq!(asked_for("how many walls"), Some("count"));
        assert_eq!(asked_for("whole supply"), None);
    }

    #[test]
    fn every_word_has_its_kind_source_and_status() {
        for row in Table::of(include_str!("head_words.csv")).rows() {
            let written = row.text("written");
            assert!(!row.text("kind").is_empty() && !row.text("status").is_empty(), "{written}");
            assert!(!row.text("source").is_empty() && words_of(written) == written, "{written}");
        }
        for kind in ["filler", "person", "turning", "another", "function", "address-part", "generic", "neutral", "key"]
        {
            assert!(of_kind(kind).len() >= 8, "{kind}");
        }
    }
}
