//! Two results compared, and results on a map: the program on the sample and on planted changes, and what must hold for
//! any two documents.

mod drawn;
#[path = "../draws.rs"]
mod draws;
mod map;
mod mirror;
mod planted;
mod refused;
mod sample;
#[path = "../splitmix.rs"]
mod splitmix;

use serde_json::Value;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

fn baywright(arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_baywright")).args(arguments).output().expect("the program starts")
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8_lossy(bytes).into_owned()
}

fn json(path: &Path) -> Value {
    serde_json::from_slice(&fs::read(path).unwrap()).unwrap()
}

/// Assesses a portfolio into `result` (a workbook) with its JSON beside it, whose path is returned.
fn assess(portfolio: &Path, result: &Path, more: &[&str]) -> PathBuf {
    let mut arguments = vec!["assess", portfolio.to_str().unwrap(), "-o", result.to_str().unwrap(), "--json"];
    arguments.extend(more);
    let output = baywright(&arguments);
    assert!(output.status.success(), "{}", text(&output.stderr));
    result.with_extension("json")
}

/// What the program says and writes of two results: the page and the JSON document.
fn compared(before: &Path, after: &Path, changes: &Path) -> (String, Value) {
    let places = [before, after, changes].map(|path| path.to_str().unwrap());
    let output = baywright(&["compare", places[0], places[1], "-o", places[2], "--json", "--force"]);
    assert!(output.status.success(), "{}", text(&output.stderr));
    (text(&output.stdout), json(&changes.with_extension("json")))
}
