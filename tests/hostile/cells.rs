//! Hostile cells: noise of digits, units, marks and letters, and damaged valid values, in every field. No panic, no row
//! lost, no reading outside what its field can have, and no figure out of a text that holds no digit.

use crate::bounds;
use crate::said::{Said, said};
use crate::{Draws, draws, rounds};
use baywright::intake::{Intake, ReadOptions, read_bytes};
use baywright::site::{Field, FieldKind, fields};
use std::time::Instant;

/// What noise is made of.
const PIECES: &[&str] = &[
    "0",
    "1",
    "2",
    "3",
    "5",
    "6",
    "8",
    "9",
    "12",
    "16",
    "60",
    "80",
    "100",
    "230",
    "1961",
    "2026",
    "00",
    "007",
    "1e5",
    "1e308",
    "9999999999999999999",
    ".",
    ",",
    "-",
    "+",
    "/",
    "*",
    "x",
    "\u{d7}",
    "~",
    "<",
    ">",
    "\u{2264}",
    "?",
    "!",
    "%",
    "(",
    ")",
    "[",
    "]",
    "'",
    "\"",
    ":",
    ";",
    "=",
    "#",
    "@",
    "&",
    "\u{a3}",
    "\u{20ac}",
    "\u{bd}",
    "\u{b2}",
    "\u{b0}",
    "\u{3a9}",
    "\u{2126}",
    "\u{ff16}\u{ff10}",
    "\u{661}",
    "\u{2460}",
    "\u{2013}",
    "\u{2019}",
    "\u{200b}",
    "\u{feff}",
    "\u{202e}",
    "\u{301}",
    "\u{1f600}",
    "\u{fffd}",
    "\0",
    "\t",
    "\n",
    "\r",
    " ",
    "  ",
    "\u{a0}",
    "A",
    "a",
    "amp",
    "kW",
    "W",
    "kVA",
    "m",
    "mm",
    "mm2",
    "ft",
    "ohm",
    "kA",
    "to",
    "or",
    "approx",
    "ish",
    "type",
    "BS",
    "see",
    "photo",
    "n/a",
    "O",
    "l",
    "ph",
    "am",
];
/// Values that are right in some field.
const SOUND: &[&str] = &[
    "80",
    "80 A",
    "60/80",
    "approx 12 m",
    "12' 6\"",
    "10-15m",
    "0.35 ohm",
    "16 mm2",
    "7.4 kW",
    "32A",
    "3 x 100A",
    "100 kVA",
    "three phase",
    "TN-C-S",
    "PME",
    "yes",
    "no",
    "tick",
    "25/11/2026",
    "Nov 2026",
    "2026-11-25",
    "18:30",
    "6.30 pm",
    "QX4 7LP",
    "2000052134565",
    "1930s",
    "pre 1965",
    "see photo 3",
    "TBC",
    "no access",
    "asked",
    "driveway",
    "1,200 cm",
    "twelve metres",
    "80 (sealed)",
    "40 ft + 3 m rise",
    "-1.5",
    "3.8 mi/kWh",
    "15 degC",
    "dry run",
];

/// Words that stand for a number although they hold no digit (the reader's own, by field, and those for none).
fn is_number_word(field: &Field, text: &str) -> bool {
    // Marks without width stand between no letters.
    let seen = text.to_lowercase().replace(['\u{200b}', '\u{feff}', '\u{202e}'], "");
    let plain: String = seen.chars().map(|c| if c.is_alphanumeric() { c } else { ' ' }).collect();
    let words: Vec<&str> = plain.split_whitespace().collect();
    const NUMBERS: [&str; 20] = [
        "zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve",
        "none", "nil", "no", "n", "not", "noon", "midnight",
    ];
    let known = include_str!("../../src/intake/meanings.csv").lines().filter_map(|line| {
        let mut cells = line.split(',');
        (cells.next() == Some(field.name)).then(|| cells.next()).flatten()
    });
    let whole = words.join(" ");
    words.iter().any(|word| NUMBERS.contains(word) || *word == "midday") || known.into_iter().any(|w| w == whole)
}

fn hostile(draws: &mut Draws) -> String {
    let mut text = String::new();
    if draws.chance(50) {
        for _ in 0..1 + draws.below(7) {
            text.push_str(draws.one::<&str>(PIECES));
            if draws.chance(30) {
                text.push(' ');
            }
        }
        return text;
    }
    text.push_str(draws.one::<&str>(SOUND));
    for _ in 0..1 + draws.below(3) {
        let mut letters: Vec<char> = text.chars().collect();
        let at = draws.below(letters.len() + 1);
        match draws.below(5) {
            0 if at < letters.len() => {
                letters.remove(at);
            }
            1 => letters.splice(at..at, draws.one::<&str>(PIECES).chars()).for_each(drop),
            2 if at < letters.len() => letters.insert(at, letters[at]),
            3 => letters.truncate(at),
            _ => letters.extend(draws.one::<&str>(SOUND).chars()),
        }
        text = letters.into_iter().collect();
    }
    text
}

/// A sheet of the four columns that every sheet needs and one of the field, one row a text.
fn sheet(field: &Field, texts: &[String]) -> Vec<u8> {
    let mut writer = csv::WriterBuilder::new().quote_style(csv::QuoteStyle::Always).from_writer(Vec::new());
    let needed = ["address", "cutout_rating_a", "existing_demand_a", "parking_distance_m"];
    let needed: Vec<&str> = needed.into_iter().filter(|name| *name != field.name).collect();
    writer.write_record(needed.iter().copied().chain([field.name])).unwrap();
    for (at, text) in texts.iter().enumerate() {
        let sound = |name: &str| match name {
            "address" => format!("{} Fennel Row, Tarnholt, QX4 7LP", at + 1),
            "cutout_rating_a" => ["60", "80", "100"][at % 3].to_owned(),
            _ => format!("{}", 11 + at % 37),
        };
        writer.write_record(needed.iter().map(|name| sound(name)).chain([text.clone()])).unwrap();
    }
    writer.into_inner().unwrap()
}

fn read(field: &Field, texts: &[String]) -> Result<Intake, String> {
    read_bytes(&sheet(field, texts), "Returns.csv", &ReadOptions::default()).map_err(|error| error.to_string())
}

#[test]
fn hostile_cells_never_panic_and_never_leave_their_field() {
    let _beside = crate::child::beside();
    const ROWS: usize = 200;
    let mut bad = Vec::new();
    let (mut stated, mut unknown) = (0_u64, 0_u64);
    for round in rounds(4) {
        for (at, field) in fields().iter().enumerate() {
            let mut draws = draws(round * 1000 + at as u64);
            let texts: Vec<String> = (0..ROWS).map(|_| hostile(&mut draws)).collect();
            let intake = match read(field, &texts) {
                Ok(intake) => intake,
                // Noise without end may make a column that nothing says is this field: a sentence, and that is that.
                Err(sentence) => {
                    assert!(sentence.starts_with("cannot "), "{sentence}");
                    continue;
                }
            };
            bad.extend(bounds::faults(&intake));
            if field.name == "site_id" || field.name == "address" {
                continue;
            }
            let place = intake.columns.iter().position(|column| column.field.is_some_and(|f| f.name == field.name));
            let Some(place) = place else { continue };
            for site in &intake.sites {
                let cells = intake.rows.iter().find(|row| row.row == site.row).map(|row| &row.cells);
                let text = cells.and_then(|cells| cells.get(place)).cloned().unwrap_or_default();
                let found = said(site, field.name);
                match found {
                    Said::Stated(_) | Said::Doubtful { .. } => stated += 1,
                    _ => unknown += 1,
                }
                let figure = matches!(field.kind, FieldKind::Number | FieldKind::Count | FieldKind::Date);
                let repeats = text.chars().all(|c| !c.is_alphanumeric());
                let bare = !text.chars().any(char::is_numeric) && !repeats;
                if figure && bare && found.likely().is_some() && !is_number_word(field, &text) {
                    bad.push(format!("{} out of {text:?}: {found}", field.name));
                }
            }
        }
    }
    println!("{stated} cells read, {unknown} not known");
    bad.truncate(20);
    assert!(bad.is_empty(), "{}", bad.join("\n"));
    assert!(stated * 20 > unknown && unknown * 20 > stated, "noise that is all read or all refused proves little");
}

/// The least of several times, so that a busy machine does not count.
fn seconds(field: &Field, texts: &[String]) -> f64 {
    let once = || {
        let begun = Instant::now();
        let _ = read(field, texts);
        begun.elapsed().as_secs_f64()
    };
    (0..5).map(|_| once()).fold(f64::INFINITY, f64::min)
}

#[test]
fn long_cells_take_time_by_their_length_and_not_its_square() {
    let _beside = crate::child::beside();
    for piece in ["12 m + ", "(((", "approx ", "60/80 ", "x", "1", "Fennel ", "\u{ff16}", "not ", "?", "type a or "] {
        for name in ["parking_distance_m", "earthing_system", "notes", "survey_date", "postcode", "looped_service"] {
            let field = fields().iter().find(|field| field.name == name).unwrap();
            let texts = |length: usize| vec![piece.repeat(length / piece.len()); 60];
            let (short, long) = (seconds(field, &texts(2_000)), seconds(field, &texts(16_000)));
            // Eightfold by length, sixty-fourfold by its square; what a short run costs in any case is let off.
            assert!(long <= 30.0 * short + 0.02, "{name} of {piece:?}: {short} s, {long} s for eight times the length");
        }
    }
}
