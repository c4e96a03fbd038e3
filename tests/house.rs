//! The walls of the house: which room may know which, which room may name which crate, how files begin and how long
//! they are. A change that breaks one of these is a change of design: change DEVELOPERS.md with it.

use std::fs;
use std::path::{Path, PathBuf};

/// Rooms in reading order: each may know those before it.
const ROOMS: [&str; 18] = [
    "quantity",
    "finding",
    "reference",
    "energy",
    "rules",
    "site",
    "intake",
    "design",
    "estimate",
    "possible",
    "verdict",
    "portfolio",
    "order",
    "programme",
    "operators",
    "learn",
    "compare",
    "report",
];

/// Rooms that a room must not know although they stand before it.
const MUST_NOT_KNOW: &[(&str, &str)] = &[
    ("reference", "finding"),
    ("energy", "finding"),
    ("site", "finding"),
    ("site", "rules"),
    ("site", "reference"),
    ("intake", "finding"),
    ("intake", "rules"),
    ("intake", "reference"),
    ("design", "intake"),
    ("estimate", "intake"),
    ("possible", "intake"),
    ("possible", "finding"),
    ("possible", "estimate"),
    ("verdict", "intake"),
    ("portfolio", "intake"),
    ("order", "intake"),
    ("programme", "intake"),
    ("programme", "order"),
    ("operators", "intake"),
    ("operators", "order"),
    ("operators", "programme"),
    ("learn", "intake"),
    ("learn", "order"),
    ("learn", "programme"),
    ("compare", "finding"),
    ("compare", "reference"),
    ("compare", "energy"),
    ("compare", "rules"),
    ("compare", "intake"),
    ("compare", "design"),
    ("compare", "estimate"),
    ("compare", "possible"),
    ("compare", "verdict"),
    ("compare", "portfolio"),
    ("compare", "order"),
    ("compare", "programme"),
    ("compare", "operators"),
    ("compare", "learn"),
];

/// Crates that only some rooms (or shell files) may name.
const CRATES: &[(&str, &[&str])] = &[
    ("clap", &["cli.rs"]),
    ("polars", &["report/parquet.rs", "intake/parquet.rs"]),
    ("calamine", &["intake"]),
    ("rust_xlsxwriter", &["intake", "report"]),
    ("indicatif", &["progress.rs"]),
    ("rayon", &["run.rs", "intake/gather.rs", "intake/door.rs", "report/workbook.rs", "report/atomic.rs"]),
    ("ctrlc", &["main.rs"]),
    ("toml", &["rules", "intake/mapping.rs", "programme/asked.rs"]),
    ("zip", &["intake"]),
    ("encoding_rs", &["intake"]),
    ("strsim", &["intake", "rules", "compare"]),
    ("tempfile", &["report"]),
    ("schemars", &["report"]),
    ("good_lp", &["energy"]),
    ("pathfinding", &["energy"]),
    ("rand_chacha", &["energy"]),
    ("rand_distr", &["energy"]),
    ("rustc_hash", &["table.rs"]),
];

const LONGEST_FILE: usize = 400;

/// Every file under a folder whose name ends so, in order.
fn sources(folder: &Path, kind: &str, found: &mut Vec<PathBuf>) {
    let mut entries: Vec<_> = fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    entries.sort();
    for path in entries {
        if path.is_dir() {
            sources(&path, kind, found);
        } else if path.extension().is_some_and(|ending| ending == kind) {
            found.push(path);
        }
    }
}

/// Every source file under src/ with its path from there and its text.
fn files() -> Vec<(String, String)> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut found = Vec::new();
    sources(&root, "rs", &mut found);
    found
        .into_iter()
        .map(|path| {
            let name = path.strip_prefix(&root).unwrap().to_string_lossy().replace('\\', "/");
            (name, fs::read_to_string(&path).unwrap())
        })
        .collect()
}

/// The lines of a file that are code of the room itself: no comments, nothing after the tests begin.
fn code(text: &str) -> impl Iterator<Item = &str> {
    text.split("#[cfg(test)]\nmod tests {")
        .next()
        .unwrap_or_default()
        .lines()
        .filter(|line| !line.trim_start().starts_with("//"))
}

#[test]
fn every_file_begins_with_what_it_is_for_and_can_be_read_in_one_sitting() {
    for (name, text) in files() {
        assert!(text.starts_with("//! "), "{name} does not begin with //!");
        let lines = text.lines().count();
        assert!(lines <= LONGEST_FILE, "{name} has {lines} lines, at most {LONGEST_FILE}");
    }
}

#[test]
fn rooms_know_only_rooms_before_them() {
    for (name, text) in files() {
        let Some(room) = name.split('/').next().filter(|room| ROOMS.contains(room)) else { continue };
        let place = ROOMS.iter().position(|other| *other == room).unwrap();
        for line in code(&text) {
            for (other_place, other) in ROOMS.iter().enumerate() {
                if other == &room || !line.contains(&format!("crate::{other}")) {
                    continue;
                }
                assert!(other_place < place, "{name} knows the later room {other}: {line}");
                let wall = MUST_NOT_KNOW.contains(&(room, *other));
                assert!(!wall, "{name} must not know {other}: {line}");
            }
        }
    }
}

#[test]
fn crates_stay_behind_their_walls() {
    for (name, text) in files() {
        for line in code(&text) {
            for (krate, allowed) in CRATES {
                let named = line.contains(&format!("{krate}::")) || line.trim() == format!("use {krate};");
                if named && !allowed.iter().any(|place| name.starts_with(place)) {
                    panic!("{name} names {krate}: {line}");
                }
            }
        }
    }
}

#[test]
fn pure_rooms_touch_no_file_clock_thread_or_terminal() {
    let pure = [
        "quantity/",
        "finding/",
        "reference/",
        "energy/",
        "site/",
        "design/",
        "verdict/",
        "portfolio/",
        "order/",
        "operators/",
        "learn/",
        "compare/",
    ];
    let worldly =
        ["std::fs", "std::time", "SystemTime", "Instant::now", "std::thread", "println!", "eprintln!", "HashMap"];
    for (name, text) in files().into_iter().filter(|(name, _)| pure.iter().any(|room| name.starts_with(room))) {
        for line in code(&text) {
            for word in worldly {
                assert!(!line.contains(word), "{name} uses {word}: {line}");
            }
        }
    }
}

/// A row with a comma too many is left out when a table is read, and nobody would miss it.
#[test]
fn every_row_of_every_embedded_table_has_its_columns() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut tables = Vec::new();
    sources(&root, "csv", &mut tables);
    assert!(tables.len() > 50, "{} tables", tables.len());
    for table in tables {
        let mut reader = csv::Reader::from_path(&table).unwrap();
        for row in reader.records() {
            assert!(row.is_ok(), "{}: {}", table.display(), row.unwrap_err());
        }
    }
}

/// The first column of an embedded table.
fn first_column(path: &str) -> Vec<String> {
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("src").join(path);
    let mut reader = csv::Reader::from_path(file).unwrap();
    reader.records().map(|record| record.unwrap().get(0).unwrap().to_owned()).collect()
}

/// The literal words that follow each call of `call` in a text, as many as stand in a row.
fn words_after<'a>(text: &'a str, call: &str) -> Vec<Vec<&'a str>> {
    let mut found = Vec::new();
    for rest in text.split(call).skip(1) {
        let (mut words, mut rest) = (Vec::new(), rest.trim_start());
        while let Some((word, tail)) = rest.strip_prefix('"').and_then(|rest| rest.split_once('"')) {
            words.push(word);
            let tail = tail.trim_start();
            rest = tail.strip_prefix(',').unwrap_or(tail).trim_start();
        }
        if !words.is_empty() {
            found.push(words);
        }
    }
    found
}

#[test]
fn every_check_and_reason_named_in_the_code_stands_in_its_table() {
    let (checks, codes) = (first_column("finding/checks.csv"), first_column("finding/effects.csv"));
    let (mut named, mut given) = (0, 0);
    for (name, text) in files() {
        let own = name.starts_with("design/") || name.starts_with("verdict/") || name.starts_with("estimate/");
        if !own || name.contains("tests") {
            continue;
        }
        let source: String = code(&text).map(|line| format!("{line}\n")).collect();
        for call in ["Finding::new(", "out.show(", "out.say(", "say("] {
            for words in words_after(&source, call) {
                named += 1;
                assert!(checks.iter().any(|check| check == words[0]), "{name}: no check {:?}", words[0]);
                if let (true, Some(code)) = (call.ends_with("say("), words.get(1)) {
                    given += 1;
                    assert!(codes.iter().any(|known| known == code), "{name}: no reason {code:?}");
                }
            }
        }
        for words in words_after(&source, ".because(") {
            given += 1;
            assert!(codes.iter().any(|known| known == words[0]), "{name}: no reason {:?}", words[0]);
        }
    }
    assert!(named > 50 && given > 40, "the search itself has gone blind: {named} checks, {given} reasons");
}
