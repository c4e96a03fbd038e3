//! Whole files, damaged: of every format, its bytes and (where it is an archive) the insides of its parts. Whatever
//! comes of it is read or gets a sentence; nothing panics, hangs, or takes more memory than any survey may.

use crate::child::{MEBIBYTES, TASK, at, beside, peak_mib, run};
use crate::seeds::{Format, Seed, seeds};
use crate::{Draws, bounds, draws, mutation, rounds};
use baywright::intake::{ReadOptions, describe, read_bytes};
use std::time::{Duration, Instant};

/// Seconds that one damaged small file may take. The files are a few kilobytes and most take milliseconds; this says
/// "it does not hang", not "it is fast".
const SECONDS: f64 = 5.0;

fn damaged(format: Format, seed: &Seed, draws: &mut Draws) -> Vec<u8> {
    // Four times in five inside the parts: damage to the archive itself is mostly found out at once.
    if !seed.parts.is_empty() && draws.chance(80) {
        let mut parts = seed.parts.clone();
        for _ in 0..1 + draws.below(2) {
            mutation::part(draws, &mut parts);
        }
        return mutation::packed(&parts);
    }
    let mut bytes = seed.bytes.clone();
    for _ in 0..1 + draws.below(4) {
        if format == Format::Text {
            mutation::delimited(draws, &mut bytes);
        } else {
            mutation::bytes(draws, &mut bytes);
        }
    }
    bytes
}

/// The file of a round, and the name of what it was.
fn of_round(format: Format, seeds: &[Seed], round: u64) -> (String, Vec<u8>) {
    let mut draws = draws(round);
    let seed = draws.one(seeds);
    (seed.name.clone(), damaged(format, seed, &mut draws))
}

/// Whether a text would do more on a terminal than stand there.
fn holds_controls(text: &str) -> bool {
    text.chars().any(|c| c.is_control() && c != '\n')
}

/// What is wrong with what came of it; `true` beside it when it was read.
fn outcome(name: &str, bytes: &[u8]) -> (Option<String>, bool) {
    let result = std::panic::catch_unwind(|| {
        read_bytes(bytes, name, &ReadOptions::default()).map(|intake| (bounds::faults(&intake), describe(&intake)))
    });
    match result {
        Err(_) => (Some("it panics".to_owned()), false),
        Ok(Err(error)) => {
            let sentence = error.to_string();
            let sound = sentence.starts_with("cannot ") && !holds_controls(&sentence);
            ((!sound).then(|| format!("no sentence: {sentence:?}")), false)
        }
        Ok(Ok((faults, page))) => {
            let unsound = || (page.is_empty() || holds_controls(&page)).then(|| format!("no page: {page:?}"));
            let fault = faults.into_iter().next().or_else(unsound);
            (fault, true)
        }
    }
}

/// Does the task that the environment names. Does nothing in a plain run of the tests.
#[test]
fn in_a_process_of_its_own() {
    let Ok(task) = std::env::var(TASK) else { return };
    let mut words = task.split(' ');
    let format = match words.next() {
        Some("xlsx") => Format::Xlsx,
        Some("xlsb") => Format::Xlsb,
        Some("xls") => Format::Xls,
        Some("ods") => Format::Ods,
        Some("text") => Format::Text,
        _ => Format::Parquet,
    };
    let ends: Vec<u64> = words.map(|word| word.parse().unwrap()).collect();
    let seeds = seeds(format);
    let (mut read, mut slowest) = (0, (0.0, 0));
    for round in ends[0]..ends[1] {
        at(round);
        let (name, bytes) = of_round(format, &seeds, round);
        if let Some(folder) = std::env::var_os("HOSTILE_KEEP") {
            std::fs::write(std::path::Path::new(&folder).join(format!("{round}-{name}")), &bytes).unwrap();
        }
        let begun = Instant::now();
        let (fault, was_read) = outcome(&name, &bytes);
        let seconds = begun.elapsed().as_secs_f64();
        read += u64::from(was_read);
        if seconds > slowest.0 {
            slowest = (seconds, round);
        }
        if let Some(fault) = fault {
            println!("FAULT|round {round}, out of {name}: {}", fault.replace('\n', " "));
        }
    }
    println!("DONE|{read} {} {} {}", peak_mib().unwrap_or(0), slowest.0, slowest.1);
}

fn hold(name: &str, usual: u64) {
    let rounds = rounds(usual);
    let count = rounds.end - rounds.start;
    let limit = Duration::from_secs(60 + count / 10);
    let _beside = beside();
    let outcome = run("files::in_a_process_of_its_own", &format!("{name} {} {}", rounds.start, rounds.end), limit);
    let faults = outcome.faults;
    assert!(faults.is_empty(), "{} of {count} rounds:\n{}", faults.len(), faults.join("\n"));
    let done = outcome.done.unwrap_or_else(|| panic!("{}, in round {}", outcome.status, outcome.at));
    let figures: Vec<f64> = done.split(' ').map(|word| word.parse().unwrap()).collect();
    println!("{name}: {count} rounds, {} read, {} MiB, the slowest {:.2} s", figures[0], figures[1], figures[2]);
    assert!(figures[1] <= MEBIBYTES as f64, "{} MiB", figures[1]);
    assert!(figures[2] <= SECONDS, "{:.1} s in round {}", figures[2], figures[3]);
    // Damage that is always found out at the door proves nothing about the rooms behind it.
    assert!(count < 50 || figures[0] * 20.0 >= count as f64, "only {} of {count} were read", figures[0]);
}

#[test]
fn xlsx_files_damaged() {
    hold("xlsx", 1500);
}

#[test]
fn xlsb_files_damaged() {
    hold("xlsb", 1000);
}

#[test]
fn xls_files_damaged() {
    hold("xls", 1500);
}

#[test]
fn ods_files_damaged() {
    hold("ods", 1000);
}

#[test]
fn text_files_damaged() {
    hold("text", 2000);
}

#[cfg(feature = "parquet")]
#[test]
fn parquet_files_damaged() {
    hold("parquet", 400);
}
