//! How alike two addresses are, for sites that share no key. Different numbers or postcodes are different places.

use super::document::SiteRead;

/// Addresses are one place from this likeness (1 is the same), when no other comes within the margin.
pub(super) const ALIKE: f64 = 0.85;
/// How far the next best must stand back.
pub(super) const MARGIN: f64 = 0.05;
/// Likeness of two addresses of which one holds all words of the other.
const HELD: f64 = 0.95;
/// Words that an address must have beside its numbers to be compared at all.
const FEWEST_WORDS: usize = 2;

/// What a site says about where it is, as it is compared.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Place {
    /// Unique property reference number, without leading zeros; empty for none.
    pub uprn: String,
    /// The key as it is written.
    pub id: String,
    /// The key, case and blanks aside.
    pub key: String,
    /// Whether that key was made from a row: it says where the row stood, and nothing about the place.
    pub key_is_made: bool,
    /// Postcode without blanks; empty for none.
    pub postcode: String,
    /// Words of the address without its postcode.
    pub words: Vec<String>,
    /// Those words of it that have a digit, in order.
    pub numbers: Vec<String>,
}

fn words_of(text: &str) -> Vec<String> {
    // An apostrophe is within a word, whether somebody writes it or not.
    let plain: String = text.chars().filter(|letter| !matches!(letter, '\'' | '’')).collect();
    plain
        .split(|letter: char| !letter.is_alphanumeric())
        .filter(|word| !word.is_empty())
        .map(str::to_lowercase)
        .collect()
}

fn has_digit(word: &str) -> bool {
    word.bytes().any(|byte| byte.is_ascii_digit())
}

/// Keys that the reader of spreadsheets makes where a row has none: "row-0012", "sheet-2-row-0012".
fn made(key: &str) -> bool {
    let digits = |text: &str| !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit());
    let row = match key.strip_prefix("sheet-").and_then(|rest| rest.split_once('-')) {
        Some((sheet, row)) if digits(sheet) => row,
        _ => key,
    };
    row.strip_prefix("row-").is_some_and(digits)
}

impl Place {
    /// The marks of a site.
    pub fn of(site: &SiteRead) -> Self {
        let postcode_words = words_of(site.postcode.text());
        let postcode = postcode_words.concat();
        let mut words = words_of(site.address.text());
        // An address may end in its postcode, in one word or in two.
        for end in [postcode_words.as_slice(), std::slice::from_ref(&postcode)] {
            if !postcode.is_empty() && words.ends_with(end) {
                words.truncate(words.len() - end.len());
            }
        }
        let numbers = words.iter().filter(|word| has_digit(word)).cloned().collect();
        let key = site.site_id.split_whitespace().collect::<Vec<_>>().join(" ").to_lowercase();
        Self {
            uprn: site.uprn.text().trim().trim_start_matches('0').to_owned(),
            id: site.site_id.clone(),
            key_is_made: made(&key),
            key,
            postcode,
            words,
            numbers,
        }
    }

    /// Whether both have a property number and these differ.
    pub fn other_property(&self, other: &Place) -> bool {
        differ(&self.uprn, &other.uprn)
    }

    /// Whether number or postcode say that these are two places.
    pub fn elsewhere(&self, other: &Place) -> bool {
        let numbers = !self.numbers.is_empty() && !other.numbers.is_empty() && self.numbers != other.numbers;
        numbers || differ(&self.postcode, &other.postcode)
    }

    /// How alike two addresses are, 0 to 1. Words may be spelt differently only where both postcodes are given and the
    /// same, and a number stands in both.
    pub fn likeness(&self, other: &Place) -> f64 {
        let plain = |place: &Place| place.words.iter().filter(|word| !has_digit(word)).count();
        let fewest = plain(self).min(plain(other)) < FEWEST_WORDS;
        if differ(&self.postcode, &other.postcode) || self.numbers != other.numbers || fewest {
            return 0.0;
        }
        if self.words == other.words {
            return 1.0;
        }
        let held = |one: &Place, two: &Place| one.words.iter().all(|word| two.words.contains(word));
        if held(self, other) || held(other, self) {
            return HELD;
        }
        if self.postcode.is_empty() || self.postcode != other.postcode || self.numbers.is_empty() {
            return 0.0;
        }
        strsim::normalized_damerau_levenshtein(&self.words.join(" "), &other.words.join(" "))
    }
}

/// Whether both are given and differ.
fn differ(one: &str, two: &str) -> bool {
    !one.is_empty() && !two.is_empty() && one != two
}
