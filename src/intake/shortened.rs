//! Headings written short ("Sp. ways", "Cut-out evid.", "Pkg") or by ear ("Lode at present", "Bilding"): every word that
//! no known heading uses is spelt out in all the ways it could be, and what the heading says then is heard.
//!
//! It is the weakest thing a heading can say: one field alone must come of it, its values must bear it out, and where a
//! word may as well turn the meaning round ("exp." for export) nothing comes of it.

use super::head_words::{all_words, of_kind};
use super::heading_units::cut;
use super::headings::{Heading, Match, alone, in_words};
use super::near::is_slip_of;
use super::raw::words_of;
use super::units::{QUANTITIES, unit_named};
use crate::site::fields;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::OnceLock;

/// How sure such a match is.
const SURE_AT_BEST: f64 = 0.75;
/// Words that one short word may stand for, and ways to spell a heading out that are tried.
const MOST_WORDS: usize = 14;
const MOST_WAYS: usize = 400;
/// Longest heading, in words.
const LONGEST: usize = 8;
/// Shortest beginning of a word that stands for it, alone and beside others.
const SHORTEST_ALONE: usize = 3;
const SHORTEST: usize = 2;
/// A word written by its consonants has at least a third of the letters.
const THINNEST: usize = 3;

/// Every word that known headings use, in the order of the letters.
fn vocabulary() -> &'static BTreeSet<String> {
    static WORDS: OnceLock<BTreeSet<String>> = OnceLock::new();
    WORDS.get_or_init(|| {
        let mut words = BTreeSet::new();
        for field in fields() {
            let name = words_of(field.name);
            for spelling in std::iter::once(name.as_str()).chain(field.headings.iter().copied()) {
                words.extend(spelling.split(' ').map(str::to_owned));
            }
        }
        words.extend(all_words().flat_map(|phrase| phrase.split(' ')).map(str::to_owned));
        words
    })
}

/// Whether a word turns the meaning of those beside it round or makes it another's.
fn turns(word: &str) -> bool {
    ["turning", "another", "wish", "person"].iter().any(|kind| of_kind(kind).contains(word))
}

/// What a word sounds like: its consonants, those alike in one form, no letter twice.
fn sound(word: &str) -> String {
    let word = word.replace("ph", "f").replace("ck", "k").replace("gh", "");
    let mut out = String::new();
    for letter in word.chars() {
        let plain = match letter {
            'a' | 'e' | 'i' | 'o' | 'u' | 'y' | 'h' | 'w' => continue,
            'c' | 'q' => 'k',
            'z' => 's',
            other => other,
        };
        if !out.ends_with(plain) {
            out.push(plain);
        }
    }
    out
}

/// Whether a word may be written so: by its beginning, its consonants, with a slip, or by ear.
fn may_be(written: &str, full: &str, alone: bool) -> bool {
    let shortest = if alone { SHORTEST_ALONE } else { SHORTEST };
    if written.len() < shortest || full.len() <= SHORTEST || !written.bytes().all(|byte| byte.is_ascii_alphabetic()) {
        return false;
    }
    let begins = full.starts_with(written) && full.len() > written.len();
    let (first, last) = (written.chars().next(), written.chars().next_back());
    let same_first = first == full.chars().next();
    let bare = written.len() >= SHORTEST_ALONE
        && same_first
        && last == full.chars().next_back()
        && written.len() * THINNEST >= full.len()
        && (written.len() * 2 > full.len() || !written.chars().skip(1).any(|letter| "aeiou".contains(letter)))
        && is_within(written, full);
    let heard = || {
        !alone
            && same_first
            && written.len() >= 4
            && full.len() >= 4
            && written.len().abs_diff(full.len()) <= 2
            && sound(written) == sound(full)
    };
    begins || bare || is_slip_of(written, full) || heard()
}

/// Whether the letters of one word stand in another in their order.
fn is_within(written: &str, full: &str) -> bool {
    let mut letters = full.chars();
    written.chars().all(|letter| letters.any(|other| other == letter))
}

/// The fields that a heading may speak of once its words are spelt out, each with the way that says it best.
pub(super) fn spelt_out(heading: &Heading) -> Vec<Match> {
    let taken_apart = cut(heading.said());
    let words: Vec<&str> = taken_apart.base.split(' ').filter(|word| !word.is_empty()).collect();
    if words.is_empty() || words.len() > LONGEST {
        return Vec::new();
    }
    let single = words.len() == 1;
    let known = |word: &str| {
        vocabulary().contains(word)
            || word.bytes().any(|byte| byte.is_ascii_digit())
            || unit_named(word, QUANTITIES).is_some()
    };
    let mut ways: Vec<Vec<&str>> = Vec::new();
    let mut strange = 0;
    for word in &words {
        if known(word) {
            ways.push(vec![word]);
            continue;
        }
        strange += 1;
        let full: Vec<&str> = vocabulary()
            .iter()
            .map(String::as_str)
            .filter(|full| may_be(word, full, single))
            .take(MOST_WORDS + 1)
            .collect();
        // Where a word lacks a letter only, it is not taken for a long one that turns the meaning round.
        let nearly = |full: &&str| full.len() <= word.len() + 1 && !turns(full);
        let near = full.iter().any(nearly);
        let full: Vec<&str> = full.into_iter().filter(|full| !near || !turns(full)).collect();
        // A word that could be anything says nothing.
        ways.push(if full.is_empty() || full.len() > MOST_WORDS { vec![word] } else { full });
    }
    let count = ways.iter().map(Vec::len).product::<usize>();
    if strange == 0 || count > MOST_WAYS || strange == words.len() && words.len() > 2 {
        return Vec::new();
    }
    let unit = taken_apart.unit.as_deref().map(|unit| format!(" ({unit})")).unwrap_or_default();
    let said = |words: &[&str]| {
        let text = format!("{}{unit}", words.join(" "));
        let spelt = Heading { index: heading.index, text, group: heading.group.clone(), ..Heading::default() };
        alone(&spelt, &[]).or_else(|| in_words(&spelt))
    };
    let mut found: BTreeMap<&'static str, Match> = BTreeMap::new();
    for way in 0..count {
        let mut left = way;
        let text: Vec<&str> = ways
            .iter()
            .filter_map(|words| {
                let word = words.get(left % words.len());
                left /= words.len();
                word.copied()
            })
            .collect();
        if text == words {
            continue;
        }
        let turned = |at: usize| text.get(at) != words.get(at) && text.get(at).is_some_and(|word| turns(word));
        if (0..text.len()).any(turned) {
            let rest: Vec<&str> =
                text.iter().enumerate().filter(|(at, _)| !turned(*at)).map(|(_, word)| *word).collect();
            if !rest.is_empty() && said(&rest).is_some() || single {
                return Vec::new();
            }
            continue;
        }
        let Some(says) = said(&text) else { continue };
        let how = format!("short for \"{}\"", text.join(" "));
        let score = SURE_AT_BEST * says.score;
        let better = found.get(says.field.name).is_none_or(|other| score > other.score);
        if better {
            found.insert(says.field.name, Match { how, score, strength: 0, ..says });
        }
    }
    found.into_values().collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn fields_of(text: &str) -> Vec<&'static str> {
        let heading = Heading { text: text.to_owned(), ..Heading::default() };
        spelt_out(&heading).iter().map(|found| found.field.name).collect()
    }

    #[test]
    fn words_cut_short_written_thin_or_by_ear() {
        for (written, full) in [
            ("evid", "evidence"),
            ("surf", "surface"),
            ("pkg", "parking"),
            ("bldg", "building"),
            ("rmks", "remarks"),
            ("fuze", "fuse"),
            ("eletric", "electric"),
        ] {
            assert!(may_be(written, full, true), "{written} {full}");
        }
        assert!(may_be("lode", "load", false) && !may_be("lode", "load", true));
        for (written, full) in
            [("ze", "size"), ("bed", "board"), ("import", "export"), ("max", "main"), ("pkg", "package")]
        {
            assert!(!may_be(written, full, true), "{written} {full}");
        }
    }

    #[test]
    fn a_heading_cut_short_says_what_its_full_words_say() {
        for (text, field) in [
            ("Cut-out evid.", "cutout_evidence"),
            ("Sp. ways", "spare_ways"),
            ("Maxm dmnd (A)", "existing_demand_a"),
            ("Rmks", "notes"),
            ("Heating typ", "heating"),
        ] {
            assert_eq!(fields_of(text), [field], "{text}");
        }
        for text in ["Exp. cap. kVA", "Prev. load (A)", "Mgr", "Rep"] {
            assert!(fields_of(text).is_empty(), "{text}: {:?}", fields_of(text));
        }
    }
}
