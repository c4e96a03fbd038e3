//! Tests only: spellings of words, codes, what is not known and what is not certain.

use super::super::spellings::{CAREFUL_CSV, CODES_CSV, HEADINGS_CSV, MEANINGS_CSV};
use super::*;
use crate::site::{FieldKind, fields};

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
        ("parking_type", "no parking", "none"),
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
fn codes_and_short_forms_are_read() {
    for (field, text, word) in [
        ("earthing_system", "P.M.E.", "TN-C-S"),
        ("earthing_system", "T.N.C.-S", "TN-C-S"),
        ("earthing_system", "T T", "TT"),
        ("heating", "A.S.H.P.", "heat-pump"),
        ("heating", "ELEC STORAGE", "storage"),
        ("heating", "electric (storage heaters)", "storage"),
        ("heating", "N.S.H.", "storage"),
        ("heating", "Elec panel htrs", "direct"),
        ("heating", "electric wall heaters", "direct"),
        ("board_type", "MET", "metal"),
        ("board_type", "PLAS", "plastic"),
        ("board_type", "REWIRE", "rewireable"),
        ("ground_surface", "TMAC", "tarmac"),
        ("ground_surface", "BLK PAV", "block"),
        ("parking_type", "DWAY", "driveway"),
        ("parking_type", "D/way", "driveway"),
        ("parking_type", "GGE", "garage"),
        ("parking_type", "ON ST", "on-street"),
        ("parking_type", "ALLOC", "allocated"),
        ("parking_type", "off-street garage", "garage"),
        ("tenure", "SOC RENT", "social rent"),
        ("tenure", "SR", "social rent"),
        ("tenure", "O/O", "owner"),
        ("tenure", "PR", "private rent"),
        ("tenure", "private tenant", "private rent"),
        ("demand_method", "MEAS", "measured"),
        ("premises_type", "BUNG", "house"),
        ("premises_type", "MAIS", "flat"),
    ] {
        assert_eq!(plainly(field, text), Some(word), "{field}: {text}");
    }
    assert_eq!(
        lexicon(fields().iter().find(|known| known.name == "supply_phases").unwrap()).number("t p n"),
        Some(3.0)
    );
}

#[test]
fn what_may_mean_two_things_is_not_understood_and_says_what() {
    let unknown = Word::Unknown(WhyUnknown::NotUnderstood);
    for (field, text) in [
        ("tenure", "Private"),
        ("tenure", "Tenant"),
        ("premises_type", "D"),
        ("parking_type", "O/S"),
        ("consent_status", "N/R"),
        ("consent_status", "No"),
        ("condition_report", "Unsatisfactory"),
        ("heating", "boiler"),
        ("board_rcd_type", "Type B MCBs"),
        ("listed", "locally listed"),
        ("looped_service", "Y/N"),
    ] {
        assert_eq!(read(field, text), unknown, "{field}: {text}");
        let lexicon = lexicon(fields().iter().find(|known| known.name == field).unwrap());
        assert!(lexicon.why_not(text).is_some(), "{field}: {text}");
    }
}

#[test]
fn one_slip_of_the_pen_in_a_long_word_is_mended_with_a_doubt() {
    for (field, text, word) in [
        ("parking_type", "Allocatde bay", "allocated"),
        ("parking_type", "Drivweay", "driveway"),
        ("parking_type", "unalocated bay", "communal"),
        ("heating", "stroage heaters", "storage"),
        ("ground_surface", "concrtee", "concrete"),
    ] {
        assert_eq!(read(field, text), Word::Mended(word), "{field}: {text}");
    }
    for (field, text) in [("parking_type", "on drive or stret"), ("heating", "42"), ("ground_surface", "oncrete")] {
        assert!(!matches!(read(field, text), Word::Mended(_)), "{field}: {text}");
    }
}

#[test]
fn every_word_that_people_choose_has_a_dozen_spellings_or_more() {
    let mut few = Vec::new();
    for field in fields().iter().filter(|field| field.kind == FieldKind::Word) {
        let lexicon = lexicon(field);
        for word in field.words.iter().filter(|word| **word != "unknown") {
            let spellings = lexicon.whole.values().filter(|known| known == &word).count();
            if spellings < 12 && field.name != "nation" {
                few.push(format!("{}: {word} has {spellings}", field.name));
            }
        }
    }
    assert!(few.is_empty(), "{few:?}");
}

#[test]
fn every_spelling_leads_to_an_allowed_word_and_only_one() {
    let mut seen = std::collections::BTreeMap::new();
    let tables = [MEANINGS_CSV, CODES_CSV].map(|text| csv::Reader::from_reader(text.as_bytes()));
    for record in tables.into_iter().flat_map(csv::Reader::into_records).map(Result::unwrap) {
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

#[test]
fn careful_words_and_words_under_headings_are_of_known_fields() {
    let named = |name: &str| fields().iter().find(|field| field.name == name);
    for record in csv::Reader::from_reader(CAREFUL_CSV.as_bytes()).records().map(Result::unwrap) {
        let (field, spelling, effect) = (&record[0], &record[1], &record[2]);
        assert!(field == "*" || named(field).is_some(), "{field}");
        assert!(words_of(spelling) == spelling && !record[3].is_empty(), "{field}: {spelling}");
        let known = named(field).is_some_and(|field| lexicon(field).whole.contains_key(spelling));
        match effect {
            "weak" => assert!(known, "{field}: {spelling} is weak but no word"),
            "ambiguous" => assert!(!known, "{field}: {spelling} is ambiguous and a word"),
            other => assert_eq!(other, "foreign", "{field}: {spelling}"),
        }
    }
    for record in csv::Reader::from_reader(HEADINGS_CSV.as_bytes()).records().map(Result::unwrap) {
        assert!(named(&record[0]).is_some_and(|field| record[3].is_empty() || field.words.contains(&&record[3])));
    }
    assert_eq!(under_heading("consent_status", "consent needed").first(), Some(&("yes", "not asked")));
    assert!(under_heading("consent_status", "consent").is_empty());
}

#[test]
fn a_word_beside_another_can_turn_it_and_a_weak_one_says_little() {
    let unknown = Word::Unknown(WhyUnknown::NotUnderstood);
    for (field, text) in [
        ("heating", "heat pump planned"),
        ("heating", "gas + elec"),
        ("heating", "Electric"),
        ("earthing_system", "PME available"),
        ("consent_status", "granted 2019, lapsed"),
        ("consent_status", "to be considered"),
        ("board_type", "being changed to metal"),
        ("earthing_system", "TNS converted to PME"),
        ("board_rcd_type", "mixed A/AC"),
        ("premises_type", "detached garage"),
        ("ground_surface", "brick wall"),
        ("consent_status", "consent not yet given"),
        ("asbestos_on_route", "none known"),
    ] {
        assert_eq!(read(field, text), unknown, "{field}: {text}");
    }
    assert_eq!(read("heating", "gas + panel heaters"), Word::Doubtful { word: "gas", other: "direct" });
    assert_eq!(plainly("consent_status", "to be obtained"), Some("not asked"));
    assert_eq!(
        read("consent_status", "approved subject to conditions"),
        Word::Doubtful { word: "granted", other: "granted" }
    );
    assert_eq!(plainly("tenure", "LA owned"), Some("social rent"));
    assert_eq!(plainly("parking_type", "Communal bay"), Some("communal"));
    for record in csv::Reader::from_reader(include_str!("beside_words.csv").as_bytes()).records().map(Result::unwrap) {
        assert!(matches!(&record[1], "doubts" | "denies" | "nothing"), "{record:?}");
    }
}
