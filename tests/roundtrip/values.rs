//! What a site says in a field, and how somebody wrote it down.

use crate::draws::Draws;
use crate::figures::figure;
use baywright::site::{Field, FieldKind, WhyUnknown, mpan_check_digit_ok};

/// A cell as it goes into a sheet.
#[derive(Clone, Debug, PartialEq)]
pub enum Written {
    Nothing,
    Text(String),
    Number(f64),
    Truth(bool),
    /// A day, counted from 1899-12-30.
    Day(f64),
    /// A part of a day.
    Time(f64),
}

/// What must be read of it.
#[derive(Clone, Debug, PartialEq)]
pub enum Truth {
    /// Asked, not known.
    Unknown(WhyUnknown),
    /// This value.
    Stated(String),
    /// This range.
    Range([f64; 3]),
    /// This word, in doubt.
    Queried(String),
}

pub type Cell = (Written, Truth);

pub fn text(text: impl Into<String>) -> Written {
    Written::Text(text.into())
}

pub fn stated(text: impl Into<String>) -> Truth {
    Truth::Stated(text.into())
}

/// The spellings of one word of a field, out of the reader's own data.
fn spellings(field: &Field, word: &str) -> Vec<String> {
    let mut reader = csv::Reader::from_reader(include_str!("../../src/intake/meanings.csv").as_bytes());
    let known = reader.records().flatten();
    let of = |record: csv::StringRecord| {
        let any = record[0] == *"*" && field.kind == FieldKind::YesNo;
        (any || record[0] == *field.name).then(|| (record[1].to_owned(), record[2].to_owned()))
    };
    // What a word means under one heading and not under another is no spelling of its own.
    let mut reader = csv::Reader::from_reader(include_str!("../../src/intake/heading_words.csv").as_bytes());
    let hangs: Vec<String> = reader
        .records()
        .flatten()
        .filter(|record| record[0] == *field.name)
        .map(|record| record[2].to_owned())
        .collect();
    known
        .filter_map(of)
        .filter(|(written, means)| means == word && !hangs.contains(written))
        .map(|(written, _)| written)
        .collect()
}

/// Spellings of `word`, and those that stand for a number.
pub fn spelt(draws: &mut Draws, field: &Field, word: &str) -> String {
    let mut among = spellings(field, word);
    among.push(word.to_owned());
    let text = draws.one(&among).clone();
    match draws.below(4) {
        0 => text.to_uppercase(),
        1 => format!(" {text}"),
        _ => text,
    }
}

/// A value that is not known, in one of many ways.
fn unknown(draws: &mut Draws, field: &Field) -> Cell {
    use WhyUnknown::{Elsewhere, Missing, NotSeen};
    let free = matches!(field.kind, FieldKind::Text | FieldKind::Identifier);
    if free || draws.chance(50) {
        return (Written::Nothing, Truth::Unknown(Missing));
    }
    let (written, why) = draws.one::<(&str, WhyUnknown)>(&[
        ("TBC", Missing),
        ("tbc", Missing),
        ("n/k", Missing),
        ("N/K", Missing),
        ("not known", Missing),
        ("dont know", Missing),
        ("to be confirmed", Missing),
        ("see photo", Elsewhere),
        ("See photos", Elsewhere),
        ("no access", NotSeen),
        ("could not see", NotSeen),
    ]);
    (text(*written), Truth::Unknown(*why))
}

fn day(draws: &mut Draws) -> Cell {
    let first = jiff::civil::date(1999, 1, 1);
    let date = first.checked_add(jiff::Span::new().days(draws.below(10_180) as i64)).unwrap();
    let serial = (date - jiff::civil::date(1899, 12, 30)).get_days();
    let months = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];
    let month = months[usize::from(date.month().unsigned_abs()) - 1];
    let (y, m, d) = (date.year(), date.month(), date.day());
    let written = match draws.below(8) {
        0 | 1 => Written::Day(f64::from(serial)),
        2 => text(format!("{d:02}/{m:02}/{y}")),
        3 => text(format!("{d}.{m}.{y}")),
        4 => text(format!("{y}-{m:02}-{d:02}")),
        5 => text(format!("{d} {month} {y}")),
        6 => text(format!("{d}-{month}-{:02}", y % 100)),
        _ => text(format!("{d:02}-{m:02}-{:02}", y % 100)),
    };
    (written, stated(date.to_string()))
}

fn time(draws: &mut Draws) -> Cell {
    let (hour, minute) = (draws.below(24), *draws.one(&[0, 15, 30, 45]));
    let hours = hour as f64 + f64::from(minute) / 60.0;
    let written = match draws.below(5) {
        0 | 1 => Written::Time(hours / 24.0),
        2 => text(format!("{hour:02}:{minute:02}")),
        // A quarter past midnight without a mark is a case of the corpus.
        3 if hour > 0 => text(format!("{hour:02}{minute:02}")),
        _ => {
            let half = if hour < 12 { "am" } else { "pm" };
            text(format!("{}.{minute:02}{half}", if hour % 12 == 0 { 12 } else { hour % 12 }))
        }
    };
    (written, stated(format!("{}", (hours * 1000.0).round() / 1000.0)))
}

fn identifier(draws: &mut Draws, field: &Field, site: usize) -> Cell {
    match field.name {
        "uprn" => {
            let key = format!("{}", 100_000_000 + site * 37 + draws.below(9) * 1_000_000_000);
            let written = if draws.chance(40) { Written::Number(key.parse().unwrap()) } else { text(key.clone()) };
            (written, stated(key))
        }
        "mpan" => {
            let body = format!("{:02}{:010}", 10 + draws.below(13), 1_000_000 + site * 1_000_003 + draws.below(900));
            let key = (0..10).map(|digit| format!("{body}{digit}")).find(|key| mpan_check_digit_ok(key));
            // A remainder of ten has no digit of its own in some series: then another number is taken.
            let Some(key) = key else { return identifier(draws, field, site + 1000) };
            let parts = format!("{} {} {} {}", &key[..2], &key[2..6], &key[6..10], &key[10..]);
            (text(if draws.chance(40) { parts } else { key.clone() }), stated(key))
        }
        "postcode" => {
            let letter = |draws: &mut Draws| char::from(b'A' + draws.below(8) as u8);
            let (a, b) = (letter(draws), letter(draws));
            let (out, inner) = (format!("QX{}", 1 + draws.below(9)), format!("{}{a}{b}", draws.below(10)));
            let written = match draws.below(4) {
                0 => format!("{out}{inner}"),
                1 => format!("{out} {inner}").to_lowercase(),
                2 => format!("{out}  {inner} "),
                _ => format!("{out} {inner}"),
            };
            (text(written), stated(format!("{out} {inner}")))
        }
        "feeder_id" => {
            let key = format!("F{}", 1 + draws.below(30));
            (text(key.clone()), stated(key))
        }
        _ => {
            let key = format!("H-{:04}", site + 1);
            (text(key.clone()), stated(key))
        }
    }
}

fn free(draws: &mut Draws, field: &Field, site: usize) -> Cell {
    let written = match field.name {
        "address" => {
            let street = draws.one(&["Fennel Row", "Heron's Ladder", "Weir Lane", "Tansy Close"]);
            format!("{} {street}, Tarnholt", site + 1)
        }
        "lot" => format!("Lot {}", 1 + draws.below(5)),
        "distributor" => draws.one(&["Northern Powergrid", "UKPN", "SSEN", "Electricity North West"]).to_string(),
        "notes" => {
            let remarks = [
                "dog at the gate",
                "ring first; \"Mrs Pell\" answers",
                "gate, then steps\nmind the rail",
                "caf\u{e9} opposite",
            ];
            draws.one(&remarks).to_string()
        }
        "inlet_position" => draws.one(&["front left", "rear right", "nose"]).to_string(),
        "parking_orientation" => draws.one(&["nose in", "tail in", "along the kerb"]).to_string(),
        "override_by" => "R. Pell".to_owned(),
        _ => "agreed on the doorstep".to_owned(),
    };
    // Lines of a text are read as one.
    (text(written.clone()), stated(written.replace('\n', " ")))
}

fn word(draws: &mut Draws, field: &Field) -> Cell {
    let words: Vec<&str> = if field.kind == FieldKind::YesNo { vec!["yes", "no"] } else { field.words.clone() };
    let word = *draws.one(&words);
    if field.kind == FieldKind::YesNo && draws.chance(20) {
        return (Written::Truth(word == "yes"), stated(word));
    }
    let written = spelt(draws, field, word);
    if word == "unknown" {
        // The contract's word for it: whoever writes it was asked and does not know.
        return (text(written), Truth::Unknown(WhyUnknown::Missing));
    }
    if draws.chance(6) && written.chars().all(|c| c.is_alphanumeric() || matches!(c, ' ' | '-')) && written.len() > 3 {
        return (text(format!("{written}?")), Truth::Queried(word.to_owned()));
    }
    (text(written), stated(word))
}

/// What must be known for a row to be a site, and to be this one.
const ALWAYS: [&str; 3] = ["address", "parking_distance_m", "site_id"];

/// A value of a field for a site. `unit` is the unit that the heading gives to bare numbers, `phases` what the row says.
pub fn value(draws: &mut Draws, field: &Field, site: usize, unit: Option<&str>, phases: f64) -> Cell {
    if !ALWAYS.contains(&field.name) && draws.chance(15) {
        return unknown(draws, field);
    }
    match field.kind {
        FieldKind::Identifier => identifier(draws, field, site),
        FieldKind::Text => free(draws, field, site),
        FieldKind::Date => day(draws),
        FieldKind::Time => time(draws),
        FieldKind::Word | FieldKind::YesNo => word(draws, field),
        FieldKind::Number | FieldKind::Count => figure(draws, field, unit, phases),
    }
}
