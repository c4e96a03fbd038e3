//! The sample portfolio judged under two sets of rules, and twice under one.

use crate::mirror::{assert_mirror, assert_whole};
use crate::{assess, baywright, compared, json, text};
use calamine::{Data, Reader, Xlsx, open_workbook};
use std::fs;
use std::path::Path;

fn texts(book: &Path, sheet: &str) -> Vec<Vec<String>> {
    let mut book: Xlsx<_> = open_workbook(book).unwrap();
    let range = book.worksheet_range(sheet).unwrap();
    range.rows().map(|row| row.iter().map(Data::to_string).collect()).collect()
}

#[test]
fn other_rules_are_told_with_their_mirror_and_the_same_rules_tell_nothing() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let sample = root.join("sample-portfolio/portfolio.xlsx");
    let folder = tempfile::tempdir().unwrap();
    let at = |name: &str| folder.path().join(name);
    let before = assess(&sample, &at("before.xlsx"), &[]);
    let rules = root.join("sample-portfolio/rules-16-a.toml");
    let after = assess(&sample, &at("after.xlsx"), &["--rules", rules.to_str().unwrap()]);
    let (documents, inputs) = ([json(&before), json(&after)], [fs::read(&before).unwrap(), fs::read(&after).unwrap()]);

    // The workbook stands for the document beside it.
    let (page, there) = compared(&at("before.xlsx"), &after, &at("there.xlsx"));
    let (_, back) = compared(&after, &before, &at("back.xlsx"));
    assert_mirror(&there, &back, "the sample");
    assert_whole(&there, &documents[0], &documents[1], "the sample");
    let changed = there["changed"].as_array().unwrap();
    assert!(changed.len() > 100 && there["came"].as_array().unwrap().is_empty());
    for one in changed {
        let others = one["cause_said"].as_str().unwrap().starts_with("other sites");
        assert!(others || (one["cause"][0] == "rules" && one["cause_is_sure"] == true), "{one}");
    }
    assert!(page.contains("rules (rules-16-a.toml, was defaults)") && page.contains("before \\ after"), "{page}");
    let told = page.split_once("What matters most\n").expect("what matters most").1;
    let begun: Vec<&str> = told.lines().filter(|line| line.starts_with("  ") && !line.starts_with("   ")).collect();
    assert_eq!(begun.len(), 11, "ten changes and how many more: {told}");
    for (line, one) in begun.iter().take(10).zip(changed) {
        assert!(line.starts_with(&format!("  {}: ", one["site_id"].as_str().unwrap())), "{line}");
    }
    assert_eq!(begun[10], format!("  and {} more", changed.len() - 10));

    // The workbook says what the document says.
    let rows = texts(&at("there.xlsx"), "Changed sites");
    assert_eq!(rows.len(), changed.len() + 1);
    for (row, one) in rows[1..].iter().zip(changed) {
        assert_eq!(row[1], one["site_id"].as_str().unwrap());
        assert_eq!(row[7], one["why"].as_str().unwrap());
    }
    assert_eq!(texts(&at("there.xlsx"), "Came and went").len(), 1);
    assert!(texts(&at("there.xlsx"), "Summary")[0][0].starts_with(&changed.len().to_string()));

    // The same again has the same bytes; results stay as they were.
    let (workbook, document) = (fs::read(at("there.xlsx")).unwrap(), fs::read(at("there.json")).unwrap());
    compared(&before, &after, &at("there.xlsx"));
    assert!(fs::read(at("there.xlsx")).unwrap() == workbook, "the workbook has other bytes");
    assert!(fs::read(at("there.json")).unwrap() == document, "the document has other bytes");
    assert!([fs::read(&before).unwrap(), fs::read(&after).unwrap()] == inputs, "a result was written to");

    // A result against itself.
    let (page, same) = compared(&before, &before, &at("same.xlsx"));
    assert!(page.contains("Nothing changed"), "{page}");
    for list in ["changed", "came", "went", "respelt", "cost_parts", "reasons"] {
        assert_eq!(same[list].as_array().map(Vec::len), Some(0), "{list}");
    }
    assert_eq!(texts(&at("same.xlsx"), "Changed sites").len(), 1);
    let alone = baywright(&["compare", before.to_str().unwrap(), before.to_str().unwrap()]);
    assert_eq!(text(&alone.stdout).trim_end(), page.split("\n\n").take(2).collect::<Vec<_>>().join("\n\n").trim_end());
}
