//! Files that ask for more than they hold, each in a process of its own: a sentence or a reading within a second and
//! within 200 MiB, whatever the file claims.
//!
//! A process of its own is needed twice over: too large a demand for memory ends a process without a word, and the
//! peak of memory can only be measured for one file at a time.

use crate::corpus::cases;
use baywright::intake::{ReadOptions, read_bytes};
use std::path::Path;
use std::process::Command;

/// Where the path of the file is handed to the process that reads it.
const FILE: &str = "BAYWRIGHT_BOMB";
/// Seconds of processor for one file. Without optimisation everything is slower, and the bound says nothing about the program.
const SECONDS: f64 = if cfg!(debug_assertions) { 10.0 } else { 1.0 };
/// Mebibytes for one file, the process itself counted.
const MEBIBYTES: u64 = 200;

/// Reads the file that the environment names, and says how it went. Does nothing in a plain run of the tests.
#[test]
fn bomb_in_a_process_of_its_own() {
    let Some(path) = std::env::var_os(FILE) else { return };
    let bytes = std::fs::read(&path).unwrap();
    let name = Path::new(&path).file_name().unwrap().to_string_lossy().into_owned();
    let before = processor_seconds();
    let outcome = match read_bytes(&bytes, &name, &ReadOptions::default()) {
        Ok(intake) => format!("read {} {}", intake.sites.len(), intake.set_aside.len()),
        Err(error) => format!("refused {}", error.to_string().replace('\n', " ")),
    };
    println!("OUTCOME|{}|{}|{outcome}", processor_seconds() - before, peak_mib().unwrap_or(0));
}

/// Seconds of processor that this process has used, as Linux counts them: what else runs on the machine does not count.
fn processor_seconds() -> f64 {
    let Ok(stat) = std::fs::read_to_string("/proc/self/stat") else { return 0.0 };
    // Behind the name in brackets: fields 14 and 15 of the whole, in hundredths of a second.
    let rest = stat.rsplit(')').next().unwrap_or_default();
    let ticks = rest.split_whitespace().skip(11).take(2).filter_map(|ticks| ticks.parse::<f64>().ok());
    ticks.sum::<f64>() / 100.0
}

/// Peak resident memory of this process, MiB, as Linux counts it; not known elsewhere.
fn peak_mib() -> Option<u64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|line| line.starts_with("VmHWM:"))?;
    line.split_whitespace().nth(1)?.parse::<u64>().ok().map(|kib| kib / 1024)
}

#[test]
fn bombs_cost_neither_time_nor_memory() {
    let (mut bad, mut count) = (Vec::new(), 0);
    for (path, expected) in cases().into_iter().filter(|(_, expected)| expected.bomb) {
        count += 1;
        let name = path.file_name().unwrap().to_string_lossy().into_owned();
        let output = Command::new(std::env::current_exe().unwrap())
            .args(["--exact", "bombs::bomb_in_a_process_of_its_own", "--nocapture", "--test-threads=1"])
            .env(FILE, &path)
            .output()
            .unwrap();
        let said = String::from_utf8_lossy(&output.stdout).into_owned();
        let mut found = Vec::new();
        let mut slow = false;
        match said.lines().find_map(|line| line.split_once("OUTCOME|")).map(|(_, rest)| rest.splitn(3, '|')) {
            None => found.push(format!("no outcome ({})", output.status)),
            Some(mut parts) => {
                let seconds: f64 = parts.next().unwrap().parse().unwrap();
                let mebibytes: u64 = parts.next().unwrap().parse().unwrap();
                let outcome = parts.next().unwrap();
                println!("{name}: {seconds:.2} s, {mebibytes} MiB, {outcome}");
                slow = seconds > SECONDS;
                if mebibytes > MEBIBYTES {
                    found.push(format!("{mebibytes} MiB"));
                }
                let mut words = outcome.split(' ');
                let refused = words.next() == Some("refused");
                let judged: usize = words.next().and_then(|word| word.parse().ok()).unwrap_or(0);
                let refusal_due = !expected.refused.is_empty();
                let unlike = |judged: usize| {
                    expected.judged.is_some_and(|wanted| wanted != judged)
                        || expected.judged_at_most.is_some_and(|most| judged > most)
                };
                let wrongly_refused = refused && expected.judged.is_some();
                if wrongly_refused || !refused && (refusal_due || unlike(judged)) {
                    found.push(outcome.to_owned());
                }
            }
        }
        match (&expected.pending, found.is_empty()) {
            (None, false) => bad.push(format!("{name}: {}", found.join(", "))),
            (None, true) if slow => bad.push(format!("{name}: more than {SECONDS} s of processor")),
            // Time says nothing of a mark: a busy machine must not make one stale, nor a quick one keep it.
            (Some(_), true) => bad.push(format!("{name} passes: its mark `pending` is stale, take it off")),
            _ => {}
        }
    }
    assert!(count >= 8, "{count} bombs");
    assert!(bad.is_empty(), "{}", bad.join("\n"));
}
