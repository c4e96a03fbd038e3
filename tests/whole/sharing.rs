//! What is to be shared holds nothing of a person: a portfolio with a secret in each place where one may stand, and every
//! file that comes of it, unpacked and searched.

use super::{baywright, names_in, text};
use serde_json::Value;
use std::fs;
use std::io::Read;
use std::path::{Path, PathBuf};

/// Each secret begins so; nothing else does.
const MARK: &str = "zq";

/// A portfolio, and a file to be laid over it.
fn planted(folder: &Path) -> (PathBuf, PathBuf) {
    let head = "Ref,Address,Postcode,Type,UPRN,MPAN,Lot,Main fuse,Fuse how known,Max demand,Cable run,Looped?,Tails,Heating,\
                Lat,Long,Ward,Notes,override_verdict,override_by,override_date,override_why,Survey date,Tenant,Phone,\
                Mail,Key safe,Surveyor,Asked,,Access";
    let mut rows = vec![head.to_owned()];
    let mut row = |number: usize, cells: &str| rows.push(cells.replace('#', &number.to_string()));
    row(
        1,
        "A1,\"1 Mill Lane, Mr Zqa#\",ZR1 4AE,House,990004100037,2300031706133,1 North,80,seen,25,12,no,25,gas,53.1,1.9,\
            North,ring Zqb#,,,,,2026-03-01,Zqc#,07700 900123,zqd#@example.org,Zqe# 4711,Zqf#,Zqg#,Zqh#,zqi# at the back",
    );
    row(
        2,
        "A2,2 Mill Lane,ZR1 4AE,House,,,1 North,100 Zqa# says,zqj#,Zqk#,12,Zql# says no,zqm#,Zqn#,53.1,1.9,North,zqb#,\
            ready,Zqo#,2026-03-02,Zqp# told me,2026-03-01,Zqc#,07700900123,zqd#@example.org,zqe#,,,,",
    );
    row(
        3,
        "A3,3 Mill Lane,ZR1 4AE,House,990004100111,,2 South,60 zqq#,label,20,9,no,25,gas,53.1,1.9,North,Zqb#,,,,,\
            2026-01-01,Zqc#,,,,,,,",
    );
    row(
        4,
        "A3,3 Mill Lane,ZR1 4AE,House,990004100111,,2 South,80 Zqr#,label,zqs# 20,9,no,25,gas,53.1,1.9,North,Zqb#,,,,,\
            2026-02-01,Zqc#,,,,,,,",
    );
    row(
        5,
        "zqt#@example.org,5 Mill Lane,ZR1 4AE,House,,,2 South,80,seen,25,12,yes,25,gas,53.1,1.9,North,,,,,,\
            2026-02-01,,,,,,,,",
    );
    row(6, ",Sub-total Zqu#,,,,,,,,188,,,,,,,,,,,,,,,,,,,,,");
    row(7, ",Compiled by Zqv#,,,,,,,,,,,,,,,,,,,,,,,,,,,,,");
    // Another table under the survey: of whom to call.
    rows.extend(
        ["", "zqhead one,Zqhead two,zqhead three", "zqjane of zqtown,07700 900123,zq4711", "Zqjoe,07700 900123,zq"]
            .map(str::to_owned),
    );
    let portfolio = folder.join("homes.csv");
    fs::write(&portfolio, rows.join("\n") + "\n").unwrap();
    let answers = folder.join("answers.csv");
    let lines = "UPRN,Address,Main fuse,Notes,Looped?,MPAN\n990004100037,1 Mill Lane,60 zqw1,Zqx1 rang,yes said zqy1,\n\
                 ,Zqz1 House,60,,,1112345678908\n";
    fs::write(&answers, lines).unwrap();
    (portfolio, answers)
}

/// Every file of a folder as text in small letters, packages unpacked.
fn contents(folder: &Path, but: &[&PathBuf]) -> Vec<(String, String)> {
    let mut found = Vec::new();
    for name in names_in(folder) {
        let path = folder.join(&name);
        if but.contains(&&path) {
            continue;
        }
        let bytes = fs::read(&path).unwrap();
        #[cfg(feature = "parquet")]
        if name.ends_with(".parquet") {
            found.push((name, texts_of_table(bytes).to_lowercase()));
            continue;
        }
        if !name.ends_with(".xlsx") {
            found.push((name, text(&bytes).to_lowercase()));
            continue;
        }
        let mut archive = zip::ZipArchive::new(std::io::Cursor::new(bytes)).unwrap();
        for at in 0..archive.len() {
            let mut part = archive.by_index(at).unwrap();
            let mut bytes = Vec::new();
            part.read_to_end(&mut bytes).unwrap();
            found.push((format!("{name}/part {at}"), text(&bytes).to_lowercase()));
        }
    }
    found
}

/// Every text of a Parquet table, a line each.
#[cfg(feature = "parquet")]
fn texts_of_table(bytes: Vec<u8>) -> String {
    use polars::prelude::{ParquetReader, SerReader};
    let table = ParquetReader::new(std::io::Cursor::new(bytes)).finish().unwrap();
    let names: Vec<String> = table.get_column_names().iter().map(|name| name.to_string()).collect();
    let mut all = String::new();
    for name in names {
        let Ok(texts) = table.column(&name).unwrap().str() else { continue };
        texts.iter().flatten().for_each(|text| all.extend([text, "\n"]));
    }
    assert!(all.contains("Mill Lane"), "the table is read: {all}");
    all
}

fn assess(folder: &Path, more: &[&str]) -> (Value, String) {
    let (portfolio, answers) = planted(folder);
    let mut arguments = vec!["assess", portfolio.to_str().unwrap(), "--with", answers.to_str().unwrap()];
    arguments.extend(["--json", "--csv", "--geojson", "--visits", "2"].iter().chain(more));
    if cfg!(feature = "parquet") {
        arguments.push("--parquet");
    }
    let output = baywright(&arguments);
    assert!(output.status.success(), "{}", text(&output.stderr));
    let document = fs::read(folder.join("homes-assessed.json")).unwrap();
    // Names of folders are drawn and may hold anything.
    let said = text(&output.stdout).replace(folder.to_str().unwrap(), "").to_lowercase();
    (serde_json::from_slice(&document).unwrap(), said)
}

#[test]
fn no_planted_secret_leaves_by_any_door_and_no_verdict_changes() {
    let (open, shared) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
    let (all, _) = assess(open.path(), &[]);
    let (left, said) = assess(shared.path(), &["--share"]);
    let secrets = ["900123", "4711", "2300031706133", MARK];
    // The search itself sees: without sharing the secrets are there.
    let (portfolio, answers) = planted(open.path());
    let kept: String = contents(open.path(), &[&portfolio, &answers]).into_iter().map(|(_, text)| text).collect();
    for secret in secrets {
        assert!(kept.contains(secret), "{secret} never came out");
    }
    let (portfolio, answers) = planted(shared.path());
    let files = contents(shared.path(), &[&portfolio, &answers]);
    assert!(files.len() > 20, "{}", files.len());
    for (name, text) in files.into_iter().chain([("the terminal".to_owned(), said.clone())]) {
        for secret in secrets {
            // Digests are hexadecimal and hold no secret.
            let at = text.match_indices(secret).map(|(at, _)| at).find(|at| {
                let around = text.get(at.saturating_sub(20)..(at + 20).min(text.len())).unwrap_or_default();
                !around.chars().all(|character| character.is_ascii_hexdigit())
            });
            let around = at.map(|at| text.chars().skip(at.saturating_sub(120)).take(240).collect::<String>());
            assert!(around.is_none(), "{name} holds {secret}: {around:?}");
        }
    }
    assert!(said.contains("left out for sharing"), "{said}");
    for (one, other) in all["sites"].as_array().unwrap().iter().zip(left["sites"].as_array().unwrap()) {
        for name in ["row", "verdict", "rank", "reasons", "cost_likely_gbp", "override_verdict", "odds", "next_step"] {
            assert_eq!(one[name], other[name], "{name}");
        }
    }
    let without = left["shared_without"].as_array().unwrap();
    let column = |heading: &str| without.iter().find(|one| one["column"] == heading);
    for heading in
        ["Tenant", "Phone", "Mail", "Key safe", "Surveyor", "Asked", "Access", "Notes", "override_by", "MPAN"]
    {
        assert!(column(heading).is_some_and(|one| one["cells"].is_null()), "{heading}: {without:?}");
    }
    assert!(column("Ward").is_none() && column("Main fuse").is_some_and(|one| one["cells"].is_number()));
    assert!(all.get("shared_without").is_none());
}
