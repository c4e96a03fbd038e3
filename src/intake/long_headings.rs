//! Tests only.

use super::headings::{Heading, in_words, match_headings};

fn found(text: &str, group: &str) -> (Option<&'static str>, String) {
    let heading = Heading { text: text.to_owned(), group: group.to_owned(), index: 0 };
    let alone = match_headings(std::slice::from_ref(&heading), &[]).matches.remove(0);
    let found = alone.or_else(|| in_words(&heading));
    (found.as_ref().map(|found| found.field.name), found.map(|found| found.how).unwrap_or_default())
}

#[test]
fn show() {
    for line in std::fs::read_to_string("/tmp/battery.txt").unwrap().lines() {
        let Some((want, rest)) = line.split_once('|') else { continue };
        let (text, group) = rest.split_once('@').unwrap_or((rest, ""));
        let (name, how) = found(text, group);
        let name = name.unwrap_or("-");
        println!("{} {want:<22} {name:<22} {text}@{group}   [{how}]", if name == want { "  " } else { "##" });
    }
}

#[test]
fn sheets() {
    let mut names: Vec<_> = std::fs::read_dir("/tmp/sheets").unwrap().map(|e| e.unwrap().path()).collect();
    names.sort();
    for path in names {
        println!("=== {}", path.display());
        match super::read(&path, &super::ReadOptions::default()) {
            Ok(intake) => {
                for w in &intake.warnings {
                    println!("  ! {w}");
                }
                for c in &intake.columns {
                    println!("  {:<60} {:<22} {:.2} {} | {}", c.heading, c.field.map_or("-", |f| f.name), c.score, c.how, c.evidence);
                }
            }
            Err(e) => println!("  ERR {e}"),
        }
    }
}
