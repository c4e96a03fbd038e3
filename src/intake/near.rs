//! Headings that are spelt nearly like a known one: how alike two spellings are, and from where on that counts.
//!
//! It compares texts that `words_of` has made plain. A near spelling is the weakest claim that a heading can make, so
//! words that turn a meaning round (import and export, minimum and maximum) must never pass for slips of the pen.

use super::head_words::of_kind;
use super::raw::words_of;
use crate::site::{Field, fields};

/// Near spellings count from this similarity on (1 is the same): about one slip in seven letters.
pub(super) const NEAR: f64 = 0.85;
/// No other field may come nearer than this below the best.
const MARGIN: f64 = 0.05;
/// Two words that stand for each other are at least this similar: one slip in four letters.
const WORDS_ALIKE: f64 = 0.74;
/// Shorter headings are too easily near to another.
const SHORTEST: usize = 6;
/// What the same words in another order are worth.
const OTHER_ORDER: f64 = 0.97;
/// The field whose name or known heading is spelt nearly like `base`, how alike, and that spelling.
pub(super) fn near_field(base: &str) -> Option<(&'static Field, f64, String)> {
    if base.len() < SHORTEST {
        return None;
    }
    let mut best: Option<(f64, &'static Field, String)> = None;
    let mut second = 0.0_f64;
    for field in fields() {
        let name = words_of(field.name);
        let mut own = (0.0, "");
        for spelling in std::iter::once(name.as_str()).chain(field.headings.iter().copied()) {
            let score = likeness(spelling, base);
            if score > own.0 {
                own = (score, spelling);
            }
        }
        match &best {
            Some((top, _, _)) if own.0 <= *top => second = second.max(own.0),
            _ => {
                second = best.as_ref().map_or(0.0, |(top, _, _)| *top);
                best = Some((own.0, field, own.1.to_owned()));
            }
        }
    }
    let (score, field, spelling) = best?;
    (score >= NEAR && score - second >= MARGIN).then_some((field, score, spelling))
}

/// How alike two headings are when one may be a misspelling of the other, 0 to 1; 0 when they cannot be.
fn likeness(spelling: &str, base: &str) -> f64 {
    let longer = spelling.len().max(base.len());
    let allowed = (longer as f64 * (1.0 - NEAR)).floor() as usize;
    if spelling.len() < SHORTEST || letters_apart(spelling, base) > allowed.max(2) {
        return 0.0;
    }
    let (mut own, mut written): (Vec<&str>, Vec<&str>) = (spelling.split(' ').collect(), base.split(' ').collect());
    if digits(spelling) != digits(base)
        || of_kind("turning").iter().any(|word| own.contains(&word.as_str()) != written.contains(&word.as_str()))
    {
        return 0.0;
    }
    if own.len() != written.len() {
        // "Spareways", "cut outfuse": a blank too many or too few.
        let score = strsim::normalized_damerau_levenshtein(&own.concat(), &written.concat());
        return if score >= 1.0 { OTHER_ORDER } else { score };
    }
    if own.iter().zip(&written).all(|(a, b)| words_alike(a, b)) {
        return strsim::normalized_damerau_levenshtein(spelling, base);
    }
    own.sort_unstable();
    written.sort_unstable();
    if own.iter().zip(&written).all(|(a, b)| words_alike(a, b)) {
        return OTHER_ORDER * strsim::normalized_damerau_levenshtein(&own.join(" "), &written.join(" "));
    }
    0.0
}

/// Whether a word is another with a slip of the pen: one letter in four, no other beginning.
pub(super) fn is_slip_of(written: &str, word: &str) -> bool {
    written != word
        && written.chars().next() == word.chars().next()
        && !of_kind("turning").contains(word)
        && words_alike(written, word)
}

fn words_alike(a: &str, b: &str) -> bool {
    // "Metered" is no slip for "unmetered".
    a == b
        || a.len().min(b.len()) >= 4
            && !a.ends_with(b)
            && !b.ends_with(a)
            && strsim::normalized_damerau_levenshtein(a, b) >= WORDS_ALIKE
}

fn digits(text: &str) -> String {
    text.chars().filter(char::is_ascii_digit).collect()
}

/// Letters that one text has and the other lacks, whichever is more: no fewer edits lead from one to the other. It
/// spares most comparisons their cost.
fn letters_apart(a: &str, b: &str) -> usize {
    let mut counts = [0_i32; 256];
    a.bytes().for_each(|byte| counts[usize::from(byte)] += 1);
    b.bytes().for_each(|byte| counts[usize::from(byte)] -= 1);
    let more: i32 = counts.iter().filter(|count| **count > 0).sum();
    let fewer: i32 = counts.iter().filter(|count| **count < 0).sum();
    more.max(-fewer).unsigned_abs() as usize
}

/// How near a heading comes to a field, and to which of its spellings: for a hint, not for a match.
pub(super) fn nearest_spelling(field: &Field, base: &str) -> (f64, String) {
    let mut best = (0.0, String::new());
    let name = words_of(field.name);
    for spelling in std::iter::once(name.as_str()).chain(field.headings.iter().copied()) {
        let longer = spelling.len().max(base.len());
        if spelling.len() < SHORTEST || spelling.len().abs_diff(base.len()) * 2 > longer {
            continue;
        }
        let score = strsim::normalized_damerau_levenshtein(spelling, base);
        if score > best.0 {
            best = (score, spelling.to_owned());
        }
    }
    best
}

/// The name among `names` that comes nearest to what was written, when one comes near at all.
pub(super) fn nearest_name<'a>(written: &str, names: impl Iterator<Item = &'a str>) -> Option<&'a str> {
    /// Less alike than this is not worth naming.
    const WORTH_NAMING: f64 = 0.5;
    let plain = words_of(written);
    let mut best: (f64, Option<&str>) = (WORTH_NAMING, None);
    for name in names {
        let other = words_of(name);
        let within = !plain.is_empty() && (other.contains(&plain) || plain.contains(&other) && !other.is_empty());
        let spelt = strsim::normalized_damerau_levenshtein(&plain, &other);
        let score = if within { spelt.max(WORTH_NAMING + spelt / 2.0) } else { spelt };
        if score > best.0 {
            best = (score, Some(name));
        }
    }
    best.1
}

#[cfg(test)]
mod tests {
    use super::*;

    fn found(base: &str) -> Option<&'static str> {
        near_field(base).map(|(field, _, _)| field.name)
    }

    #[test]
    fn slips_of_the_pen_are_near_with_their_score() {
        for (written, field) in [
            ("cut out fuze ratng", "cutout_rating_a"),
            ("mian fuse rating", "cutout_rating_a"),
            ("exisitng maximum demand", "existing_demand_a"),
            ("earthing arrangment", "earthing_system"),
            ("distance to parkingspace", "parking_distance_m"),
            ("loopedservice", "looped_service"),
            ("rating fuse main", "cutout_rating_a"),
        ] {
            assert_eq!(found(written), Some(field), "{written}");
        }
        let (_, score, spelling) = near_field("earthing arrangment").unwrap();
        assert_eq!(spelling, "earthing arrangement");
        assert!((score - 0.95).abs() < 1e-9, "{score}");
    }

    #[test]
    fn what_turns_the_meaning_round_is_no_slip() {
        for written in [
            "export capacity kva",
            "min demand",
            "minimum demand",
            "maximum demand after",
            "outdoor route",
            "gas meter point number",
            "meter point number gas",
            "bin collection day",
            "12 month peak kw 2",
            "fuse",
            "neighbour address",
        ] {
            assert_eq!(found(written), None, "{written}");
        }
    }

    #[test]
    fn a_hint_names_what_is_nearest() {
        let names = || fields().iter().map(|field| field.name);
        assert_eq!(nearest_name("cutout_rating", names()), Some("cutout_rating_a"));
        assert_eq!(nearest_name("parking distance", names()), Some("parking_distance_m"));
        assert_eq!(nearest_name("zzz", names()), None);
    }
}
