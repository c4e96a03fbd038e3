//! What cannot be compared is refused in a sentence that names the file, and leaves nothing behind; an older document is
//! read as far as it goes.

use crate::{baywright, compared, text};
use serde_json::{Value, json};
use std::fs;

fn document(file: &str) -> Value {
    json!({
        "baywright": "0.1.0",
        "inputs": { "portfolio": { "name": file, "sha256": "1" }, "rules": { "name": "defaults", "sha256": "1" },
            "price_book": { "name": "price-book.csv (default)", "sha256": "1" }, "with": [] },
        "summary": { "stance": "screen", "as_of": "2026-11-12" },
        "sites": [{ "site_id": "A1", "verdict": "ready", "rank": 1, "address": "3 Fennel Row, Tarnholt",
            "reasons": [], "cost_likely_gbp": 1000.0 }],
    })
}

#[test]
fn broken_and_foreign_files_get_one_sentence_and_nothing_is_written() {
    let folder = tempfile::tempdir().unwrap();
    let write = |name: &str, bytes: &[u8]| {
        let place = folder.path().join(name);
        fs::write(&place, bytes).unwrap();
        place.to_str().unwrap().to_owned()
    };
    let good = write("good.json", document("a.xlsx").to_string().as_bytes());
    let whole = document("a.xlsx").to_string();
    let cut = write("cut.json", &whole.as_bytes()[..whole.len() / 2]);
    let foreign = write("foreign.json", b"{\"type\": \"FeatureCollection\", \"features\": []}");
    let noise = write("noise.json", &[0, 159, 146, 150, 7]);
    let lonely = write("lonely.xlsx", b"PK");
    let table = write("table.csv", b"site_id,verdict\nA1,ready\n");
    let missing = folder.path().join("missing.json").to_str().unwrap().to_owned();
    let held = write("held.xlsx", b"something else");
    let cases: [(Vec<&str>, Vec<&str>); 11] = [
        (vec![&cut, &good], vec!["cut.json", "line 1", "--json"]),
        (vec![&good, &foreign], vec!["foreign.json", "baywright assess --json"]),
        (vec![&noise, &good], vec!["noise.json", "cannot be read"]),
        (vec![&lonely, &good], vec!["lonely.xlsx", "lonely.json", "--json"]),
        (vec![&good, &table], vec!["table.csv", "table.json", "--json"]),
        (vec![&missing, &good], vec!["missing.json"]),
        (vec![folder.path().to_str().unwrap(), &good], vec!["cannot read"]),
        (vec![&good, &good, "-o", &held], vec!["held.xlsx", "--force"]),
        (vec![&good, &good, "-o", &good], vec!["good.json", ".xlsx"]),
        (vec![&good, &good, "-o", "/no/such/folder/changes.xlsx"], vec!["/no/such/folder"]),
        (vec![&cut, &good, "-o", "changes.txt"], vec!["changes.txt", ".xlsx"]),
    ];
    let names = || {
        let mut names: Vec<_> = fs::read_dir(folder.path()).unwrap().map(|one| one.unwrap().file_name()).collect();
        names.sort();
        names
    };
    let there = names();
    for (arguments, words) in cases {
        let output = baywright(&[&["compare"], arguments.as_slice()].concat());
        let said = text(&output.stderr);
        assert_eq!(output.status.code(), Some(1), "{arguments:?}: {said}");
        assert!(said.starts_with("baywright: ") && output.stdout.is_empty() && said.lines().count() == 1, "{said}");
        assert!(words.iter().all(|word| said.contains(word)), "{arguments:?}: {said}");
        assert_eq!(names(), there, "{arguments:?} left something behind");
    }
    assert_eq!(fs::read(&held).unwrap(), b"something else");
    // The JSON of the changes would stand in the place of a result.
    let over = folder.path().join("good.xlsx");
    let output = baywright(&["compare", &good, &good, "-o", over.to_str().unwrap(), "--json", "--force"]);
    assert_eq!(output.status.code(), Some(1));
    assert!(text(&output.stderr).contains("never written to"), "{}", text(&output.stderr));
    for wrong in [vec!["compare"], vec!["compare", &good], vec!["compare", &good, &good, "--json"]] {
        assert_eq!(baywright(&wrong).status.code(), Some(2), "{wrong:?}");
    }
}

#[test]
fn an_older_document_says_what_it_lacks() {
    let folder = tempfile::tempdir().unwrap();
    let old = folder.path().join("old.json");
    fs::write(&old, document("a.xlsx").to_string()).unwrap();
    let mut newer = document("a.xlsx");
    newer["sites"][0]["cost_likely_gbp"] = json!(1100.0);
    let new = folder.path().join("new.json");
    fs::write(&new, newer.to_string()).unwrap();
    let (page, found) = compared(&old, &new, &folder.path().join("changes.xlsx"));
    assert!(page.contains("old.json was written by version 0.1.0 and lacks uprn"), "{page}");
    assert!(found["before"]["lacks"].as_array().unwrap().contains(&json!("bill")));
    assert_eq!(found["changed"][0]["cost_moved_by"], "not told");
    assert!(page.contains("A1: Costs £1,100, was £1,000 (+£100)."), "{page}");
}
