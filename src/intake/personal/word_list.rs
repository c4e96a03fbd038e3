//! Words by what they say of a person or a place (`words.csv`), and the words of the trade: those that stand in the
//! tables from which headings and values are understood. A word that is in neither may be a name. It reads no sheet.

use crate::intake::raw::words_of;
use crate::intake::{head_words, side_sheets, spellings, units};
use crate::site::fields;
use crate::table::Table;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::OnceLock;

/// Least letters of a word that is known although it is written together with others ("tenantname").
const KNOWN_WITHIN: usize = 5;

struct Words {
    /// What a word of a heading speaks of, by word.
    kinds: BTreeMap<String, &'static str>,
    titles: BTreeSet<String>,
    opens: Vec<Vec<String>>,
    street: Vec<Vec<String>>,
    trade: BTreeSet<String>,
    plain: BTreeSet<String>,
}

fn table() -> &'static Words {
    static WORDS: OnceLock<Words> = OnceLock::new();
    WORDS.get_or_init(|| {
        let mut words = Words {
            kinds: BTreeMap::new(),
            titles: BTreeSet::new(),
            opens: Vec::new(),
            street: Vec::new(),
            trade: trade_words(),
            plain: BTreeSet::new(),
        };
        for row in Table::of(include_str!("words.csv")).rows() {
            let written = row.text("written").to_owned();
            match row.text("kind") {
                "plain" => drop(words.plain.insert(written)),
                "title" => drop(words.titles.insert(written)),
                "opens" => words.opens.push(phrase(&written)),
                "street" => words.street.push(phrase(&written)),
                _ => drop(words.kinds.insert(written, row.kept("kind"))),
            }
        }
        words
    })
}

fn phrase(written: &str) -> Vec<String> {
    words_of(written).split(' ').map(str::to_owned).collect()
}

/// Every word of the tables by which sheets are understood.
fn trade_words() -> BTreeSet<String> {
    let mut known = BTreeSet::new();
    let mut take = |text: &str| known.extend(words_of(text).split(' ').flat_map(letters).map(str::to_owned));
    for csv in [
        spellings::MEANINGS_CSV,
        spellings::CODES_CSV,
        spellings::CAREFUL_CSV,
        spellings::HEADINGS_CSV,
        units::UNITS_CSV,
        include_str!("../beside_words.csv"),
        include_str!("../figure_words.csv"),
        include_str!("../unknowns.csv"),
    ] {
        let table = Table::of(csv);
        for row in table.rows() {
            take(row.text("written"));
            take(row.text("word"));
        }
    }
    for row in Table::of(side_sheets::SIDE_SHEETS_CSV).rows() {
        take(row.text("headings"));
    }
    head_words::all_words().for_each(&mut take);
    for field in fields() {
        take(field.name);
        field.words.iter().chain(&field.headings).for_each(|text| take(text));
    }
    known
}

/// The runs of letters in a word: "80a" has "a".
fn letters(word: &str) -> impl Iterator<Item = &str> {
    word.split(|character: char| !character.is_alphabetic()).filter(|run| !run.is_empty())
}

/// What the words of a heading say of a person (`name`, `telephone`, `access`, ...); `None` where they say nothing of one.
/// Such a word counts within a longer one too.
pub(super) fn of_a_person(heading: &str) -> Option<&'static str> {
    let words = &table().kinds;
    let personal = |kind: &str| !matches!(kind, "area" | "place");
    words_of(heading).split(' ').find_map(|word| {
        let bare: String = letters(word).collect();
        let whole = words.get(word).or_else(|| words.get(bare.as_str())).copied().filter(|kind| personal(kind));
        whole.or_else(|| {
            let within = |known: &str| known.len() >= KNOWN_WITHIN && bare.contains(known);
            words.iter().find(|(known, kind)| within(known) && personal(kind)).map(|(_, kind)| *kind)
        })
    })
}

/// Whether a heading names an area, whose names are not those of persons.
pub(super) fn names_an_area(heading: &str) -> bool {
    words_of(heading).split(' ').any(|word| table().kinds.get(word) == Some(&"area"))
}

/// Whether every word of a text is one of the trade or of places, so that none can be a name. Figures and single
/// letters are nobody's.
pub(super) fn all_known(text: &str) -> bool {
    let words = table();
    let of_place = |word: &str| matches!(words.kinds.get(word), Some(&("area" | "place")));
    words_of(text).split(' ').flat_map(letters).all(|word| {
        let one = word.chars().count() == 1 && word.is_ascii();
        one || words.trade.contains(word) || of_place(word)
    })
}

/// Whether a word (in small letters) stands before a name.
pub(super) fn is_title(word: &str) -> bool {
    table().titles.contains(word)
}

/// Phrases after which whatever follows is of a person, each as its words.
pub(super) fn opening_phrases() -> &'static [Vec<String>] {
    &table().opens
}

/// Phrases that begin like those and are parts of addresses or words of the trade.
pub(super) fn street_phrases() -> &'static [Vec<String>] {
    &table().street
}

/// Whether a word is an ordinary one of sentences or one of the trade.
pub(super) fn is_ordinary(word: &str) -> bool {
    table().plain.contains(&words_of(word)) || all_known(word)
}
