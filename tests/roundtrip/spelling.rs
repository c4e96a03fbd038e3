//! How people head their columns: one of the ways in the reader's own data, in another case, with other marks, with a
//! unit in brackets.

use crate::draws::Draws;
use baywright::site::Field;

/// Words of a heading that say a unit, or could be taken for one.
const UNITS: &[&str] = &[
    "a",
    "amp",
    "amps",
    "ampere",
    "amperes",
    "kw",
    "kilowatts",
    "w",
    "watts",
    "kva",
    "m",
    "metre",
    "metres",
    "meters",
    "mm",
    "cm",
    "ft",
    "feet",
    "yards",
    "yds",
    "yd",
    "foot",
    "ohm",
    "ohms",
    "ka",
    "mm2",
    "sqmm",
    "sq",
    "c",
    "deg",
    "miles",
    "km",
    "kwh",
    "mtrs",
    "mi",
];

/// Whether a heading says a unit by itself.
pub fn says_unit(heading: &str) -> bool {
    heading.split([' ', '_']).any(|word| UNITS.contains(&word))
}

fn title(text: &str) -> String {
    let mut out = String::new();
    for (at, word) in text.split(' ').enumerate() {
        if at > 0 {
            out.push(' ');
        }
        let mut letters = word.chars();
        out.extend(letters.next().map(|first| first.to_ascii_uppercase()));
        out.extend(letters);
    }
    out
}

/// A heading for a field. `unit` is what its bare numbers are in, where that is not the field's own.
pub fn heading(draws: &mut Draws, field: &Field, unit: Option<&str>) -> String {
    // What says a unit already says another where the numbers are in another.
    // A "demand" in kVA is another column's: the recorded peak.
    let other = |known: &&str| unit == Some("kVA") && !known.contains("load");
    let plain: Vec<&str> = field.headings.iter().copied().filter(|known| !says_unit(known) && !other(known)).collect();
    let base = if draws.chance(12) && !says_unit(field.name) && unit.is_none() || plain.is_empty() {
        field.name
    } else {
        draws.one::<&str>(&plain)
    };
    let mut text = match draws.below(5) {
        0 => base.to_ascii_uppercase(),
        1 | 2 => title(base),
        3 => {
            let mut letters = base.chars();
            letters.next().map(|first| first.to_ascii_uppercase()).into_iter().chain(letters).collect()
        }
        _ => base.to_owned(),
    };
    let between = draws.one::<&str>(&[" ", " ", " ", " ", "_", "-", "  ", "\u{a0}", "\n", " / "]);
    if *between != " " {
        text = text.replace(' ', between);
    }
    let unit = match unit {
        Some(unit) => Some(unit),
        None if matches!(field.unit, "A" | "kW" | "kVA" | "m" | "mm2" | "ohm") && draws.chance(25) => Some(field.unit),
        None => None,
    };
    if let Some(unit) = unit {
        let (open, close) =
            draws.one::<(&str, &str)>(&[(" (", ")"), ("(", ")"), (" [", "]"), (" ( ", " )"), ("\n(", ")")]);
        text = format!("{text}{open}{unit}{close}");
    }
    match draws.below(8) {
        0 => text.push(':'),
        1 => text.push('?'),
        2 => text.push_str(" *"),
        3 => text = format!(" {text} "),
        _ => {}
    }
    text
}
