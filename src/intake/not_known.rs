//! The ways to write that a value is not known (`unknowns.csv`): nothing, to be found elsewhere, not seen.
//!
//! It only matches texts; which cell they stand in, and what follows, it does not know.

use crate::site::WhyUnknown;
use std::collections::HashMap;
use std::sync::OnceLock;

const UNKNOWNS_CSV: &str = include_str!("unknowns.csv");

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
