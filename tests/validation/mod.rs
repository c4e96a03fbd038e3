//! Published and derived cases, one folder each: `case.toml` says what is called and what must come out, `README.md`
//! where the figures come from. A new case needs a folder and no code.
//!
//! A folder fails when it has no README, when its README names no source, when its topic is unknown, when an input is
//! not used, or when an expected figure is not computed: a case that checks nothing cannot pass.

mod case;
mod circuit;
mod formula;
mod survey;
mod take_off;

use case::Case;
use std::path::{Path, PathBuf};

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/validation")
}

fn case_folders() -> Vec<PathBuf> {
    let mut folders: Vec<PathBuf> = std::fs::read_dir(folder())
        .expect("tests/validation")
        .map(|entry| entry.expect("a readable entry").path())
        .filter(|path| path.is_dir())
        .collect();
    folders.sort();
    folders
}

/// What a README must say: one of these words after "Source:".
const ORIGINS: [&str; 4] = ["published", "derived", "common practice", "from memory"];

fn read_me_faults(text: Option<String>) -> Vec<String> {
    let Some(text) = text else {
        return vec!["has no README.md".into()];
    };
    let source = text.split("Source:").nth(1);
    match source {
        None => vec!["README.md has no sentence that begins with \"Source:\"".into()],
        Some(source) if !ORIGINS.iter().any(|word| source.contains(word)) => {
            vec![format!("README.md: the source is none of {ORIGINS:?}")]
        }
        Some(_) if text.split_whitespace().count() < 20 => {
            vec!["README.md says too little: what does the case check?".into()]
        }
        Some(_) => Vec::new(),
    }
}

/// Faults of one folder, empty when everything holds.
fn faults(folder: &Path) -> Vec<String> {
    let read = |name: &str| std::fs::read_to_string(folder.join(name)).ok();
    let mut faults = read_me_faults(read("README.md"));
    let Some(text) = read("case.toml") else {
        faults.push("has no case.toml".into());
        return faults;
    };
    match Case::read(&text).and_then(|case| case.run()) {
        Ok(found) => faults.extend(found),
        Err(fault) => faults.push(fault),
    }
    faults
}

#[test]
fn every_case_holds() {
    let folders = case_folders();
    let mut report = String::new();
    for folder in &folders {
        for fault in faults(folder) {
            let name = folder.file_name().unwrap_or_default().to_string_lossy();
            report.push_str(&format!("{name}: {fault}\n"));
        }
    }
    assert!(report.is_empty(), "\n{report}");
    assert!(folders.len() >= 175, "only {} cases", folders.len());
}

#[test]
fn enough_cases_are_whole_circuits() {
    let circuits = case_folders()
        .iter()
        .filter(|folder| {
            std::fs::read_to_string(folder.join("case.toml")).is_ok_and(|text| text.contains("topic = \"circuit\""))
        })
        .count();
    assert!(circuits >= 70, "only {circuits} cases of whole circuits");
}

#[test]
fn enough_cases_are_whole_take_offs() {
    let is_take_off = |folder: &PathBuf| {
        std::fs::read_to_string(folder.join("case.toml")).is_ok_and(|text| text.contains("topic = \"take-off"))
    };
    let cases = case_folders().iter().filter(|folder| is_take_off(folder)).count();
    assert!(cases >= 20, "only {cases} cases of whole take-offs");
}

#[test]
fn a_case_that_proves_nothing_fails() {
    let fault = |text: &str| match Case::read(text).and_then(|case| case.run()) {
        Ok(faults) => faults.join(" | "),
        Err(fault) => fault,
    };
    let head = "topic = \"drop\"\ncalls = \"design::drop_v\"\n";
    let inputs = "[inputs]\nmv_per_a_m = 7.3\ncurrent_a = 32\nlength_m = 20\n";
    let right = "[[expect]]\nfigure = \"drop_v\"\nvalue = 4.672\nwithin = 0.001\n";
    assert_eq!(fault(&format!("{head}{inputs}{right}")), "");
    for (text, says) in [
        (format!("topic = \"weather\"\ncalls = \"x\"\n{inputs}{right}"), "no such topic"),
        (format!("{head}{inputs}"), "expects nothing"),
        (format!("{head}{inputs}{}", right.replace("4.672", "4.70")), "expected 4.7"),
        (format!("{head}{inputs}{}", right.replace("drop_v", "drop_ohm")), "is not computed"),
        (format!("{head}{inputs}colour = 3\n{right}"), "colour is not used"),
        (format!("{head}{inputs}{}never = [4.67]\n", right.replace("0.001", "0.01")), "slip"),
        (format!("{head}{inputs}[[expect]]\nfigure = \"drop_v\"\nvalue = 4.672\n"), "no tolerance"),
        (format!("{head}{inputs}[[expect]]\nfigure = \"drop_v\"\n"), "no value"),
        (format!("{head}{inputs}[[expect]]\nfigure = \"drop_v\"\nat_least = 4.68\n"), "bounds"),
        (format!("{head}{inputs}[[expect]]\nfigure = \"drop_v\"\nat_most = 4.67\n"), "bounds"),
    ] {
        assert!(fault(&text).contains(says), "{says}: {}", fault(&text));
    }
    let whole = std::fs::read_to_string(folder().join("take-off-home-on-a-spare-way/case.toml")).expect("the case");
    assert_eq!(fault(&whole), "");
    for (line, other, says) in [
        ("clips-small = 16", "clips-small = 16.001", "bill: clips-small is"),
        ("\ndrill-wall = 1\n", "\n", "tasks: drill-wall is one too many"),
        ("\nlabels = 2\n", "\nlabels = 2\nbarrier = 1\n", "bill: barrier is missing"),
        ("lost-visit = [0.05, 0.1, 0.2]", "lost-visit = [0.05, 0.1, 0.21]", "tasks: lost-visit is"),
        ("hours = 6.233", "hours = 6", "hours are"),
        ("crew_days = 0.529125", "crew_days = 0.53", "crew-days are"),
        ("points = 1", "points = 1\ncolour = 3", "colour"),
        ("topic = \"take-off\"", "topic = \"drop\"", "belong to the topics"),
    ] {
        assert!(whole.contains(line), "{line}");
        let changed = whole.replacen(line, other, 1);
        assert!(fault(&changed).contains(says), "{says}: {}", fault(&changed));
    }
    assert_eq!(read_me_faults(None).len(), 1);
    assert_eq!(read_me_faults(Some("A case. Source: hearsay.".into())).len(), 1);
}
