//! Hostile headings: noise, damaged spellings and known headings beside the four that every sheet needs. No panic, no
//! field in two columns, no column lost, and the field's own name is never set aside for a slip of the pen.

use crate::bounds;
use crate::{Draws, draws, rounds};
use baywright::intake::{ReadOptions, read_bytes};
use baywright::site::fields;

const NEEDED: [&str; 4] = ["address", "cutout_rating_a", "existing_demand_a", "parking_distance_m"];
const LETTERS: &[&str] = &[
    "a", "e", "i", "k", "q", "x", "z", "m", "A", "W", "0", "7", " ", "  ", "_", "-", "(", ")", "[", "]", "?", "/",
    "\"", "\n", "\u{e9}", "\u{2019}", "\u{200b}", "\u{202e}", "kW", "(A)",
];

fn hostile(draws: &mut Draws) -> String {
    let mut text = String::new();
    if draws.chance(25) {
        for _ in 0..1 + draws.below(14) {
            text.push_str(draws.one::<&str>(LETTERS));
        }
        return text;
    }
    let field = draws.one(fields());
    text.push_str(if draws.chance(30) { field.name } else { draws.one::<&str>(&field.headings) });
    for _ in 0..draws.below(5) {
        let mut letters: Vec<char> = text.chars().collect();
        let at = draws.below(letters.len() + 1);
        match draws.below(5) {
            0 if at < letters.len() => {
                letters.remove(at);
            }
            1 => letters.splice(at..at, draws.one::<&str>(LETTERS).chars()).for_each(drop),
            2 if at + 1 < letters.len() => letters.swap(at, at + 1),
            3 => letters.extend(" ".chars().chain(another(draws).chars())),
            _ => letters.splice(0..0, ["new ", "total ", "is the ", "not ", "1. "][at % 5].chars()).for_each(drop),
        }
        text = letters.into_iter().collect();
    }
    text
}

/// A known heading of some field.
fn another(draws: &mut Draws) -> &'static str {
    let field = draws.one(fields());
    draws.one::<&str>(&field.headings)
}

#[test]
fn hostile_headings_take_no_field_twice_and_lose_no_column() {
    let _beside = crate::child::beside();
    let mut bad = Vec::new();
    let mut matched = 0_u64;
    for round in rounds(500) {
        let mut draws = draws(round);
        let mut headings: Vec<String> = (0..1 + draws.below(30)).map(|_| hostile(&mut draws)).collect();
        // A blank heading is no column, and one that is an own name again is asked about.
        headings
            .retain(|heading| !NEEDED.iter().any(|name| words(name) == words(heading)) && !words(heading).is_empty());
        for name in NEEDED {
            let at = draws.below(headings.len() + 1);
            headings.insert(at, name.to_owned());
        }
        let mut writer = csv::WriterBuilder::new().quote_style(csv::QuoteStyle::Always).from_writer(Vec::new());
        writer.write_record(&headings).unwrap();
        for row in 1..=4 {
            let cell = |name: &String| match name.as_str() {
                "address" => format!("{row} Fennel Row, Tarnholt, QX4 7LP"),
                "cutout_rating_a" => "80".to_owned(),
                "existing_demand_a" => "35".to_owned(),
                "parking_distance_m" => "12".to_owned(),
                _ => format!("own {row}"),
            };
            writer.write_record(headings.iter().map(cell)).unwrap();
        }
        let bytes = writer.into_inner().unwrap();
        let intake = match read_bytes(&bytes, "Returns.csv", &ReadOptions::default()) {
            Ok(intake) => intake,
            Err(error) => {
                bad.push(format!("round {round}: {error}"));
                continue;
            }
        };
        bad.extend(bounds::faults(&intake).into_iter().map(|fault| format!("round {round}: {fault}")));
        if intake.columns.len() != headings.len() {
            bad.push(format!("round {round}: {} columns of {}", intake.columns.len(), headings.len()));
            continue;
        }
        for (column, heading) in intake.columns.iter().zip(&headings) {
            let field = column.field.map(|field| field.name);
            if NEEDED.contains(&heading.as_str()) && field != Some(heading.as_str()) {
                bad.push(format!("round {round}: {heading} is read as {field:?}"));
            }
            matched += u64::from(field.is_some());
        }
    }
    println!("{matched} columns matched");
    bad.truncate(20);
    assert!(bad.is_empty(), "{}", bad.join("\n"));
}

/// Small letters and digits with single blanks.
fn words(heading: &str) -> String {
    let plain: String = heading.to_lowercase().chars().map(|c| if c.is_alphanumeric() { c } else { ' ' }).collect();
    plain.split_whitespace().collect::<Vec<_>>().join(" ")
}
