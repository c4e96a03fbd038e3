//! Supply numbers through the whole program: a portfolio of them, and each site on the schedule of its operator.

use super::{assessed, text};
use std::collections::BTreeMap;
use std::fs;

/// Cores made by putting each distributor before 1234567890 and working out the thirteenth digit by the published rule
/// (supply notes 3.1, derived). 18 is the case of residue 10, 10 the worked example.
const CORES: [&str; 15] = [
    "1012345678903",
    "1112345678908",
    "1212345678902",
    "1312345678907",
    "1412345678901",
    "1512345678906",
    "1612345678900",
    "1712345678905",
    "1812345678900",
    "1912345678904",
    "2012345678906",
    "2112345678900",
    "2212345678905",
    "2312345678900",
    "2412345678904",
];

/// The ways in which one number is written: as it is, with blanks, with hyphens, with its S, and in full.
fn written(core: &str) -> [String; 5] {
    let (a, b, c, d) = (&core[..2], &core[2..6], &core[6..10], &core[10..]);
    [
        core.to_owned(),
        format!("{a} {b} {c} {d}"),
        format!("{a}-{b}-{c}-{d}"),
        format!("S {core}"),
        format!("S01 801 0AB {a} {b} {c} {d}"),
    ]
}

#[test]
fn every_supply_number_finds_its_operator_and_a_wrong_digit_is_told() {
    let mut sheet = "site_id,address,mpan,cutout_rating_a,existing_demand_a,parking_distance_m\n".to_owned();
    let mut expected: BTreeMap<String, Option<u64>> = BTreeMap::new();
    for (at, core) in CORES.iter().enumerate() {
        for (way, number) in written(core).iter().enumerate() {
            let id = format!("R{at}{way}");
            sheet.push_str(&format!("{id},\"{way} Example Row, Town {at}\",{number},100,20,10\n"));
            expected.insert(id, Some(core[..2].parse().unwrap()));
        }
        // The last digit one higher, and one lower: never taken for the distributor's number.
        for step in [1, 9] {
            let digit = (core[12..].parse::<u8>().unwrap() + step) % 10;
            let id = format!("W{at}{step}");
            sheet.push_str(&format!("{id},\"{step} Wrong Row, Town {at}\",{}{digit},100,20,10\n", &core[..12]));
            expected.insert(id, None);
        }
    }
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("numbers.csv");
    fs::write(&file, sheet).unwrap();
    let (results, document) = assessed(&file, &["--csv"]);
    let sites = document["sites"].as_array().unwrap();
    assert_eq!(sites.len(), expected.len());
    for site in sites {
        let (id, told) = (site["site_id"].as_str().unwrap(), &site["operator_schedule"]);
        assert_eq!(told["distributor"].as_u64(), expected[id], "{id}: {told}");
        let from = if expected[id].is_some() { "mpan" } else { "unknown" };
        assert_eq!(told["distributor_from"], from, "{id}");
        let wrong = told["schedule_missing"].as_array().unwrap().iter();
        let wrong = wrong.filter(|lack| lack.as_str().unwrap().contains("fails its check digit")).count();
        assert_eq!(wrong == 1, expected[id].is_none(), "{id}: {told}");
    }
    // The tables beside the workbook: a file an operator, and in it the thirteen digits as text, or nothing.
    let table = |operator: &str| {
        let place = results.path().join(format!("numbers-assessed-operator-{operator}.csv"));
        let bytes = fs::read(&place).unwrap_or_else(|fault| panic!("{}: {fault}", place.display()));
        let text = text(&bytes);
        let mut reader = csv::Reader::from_reader(text.trim_start_matches('\u{feff}').as_bytes());
        let at = reader.headers().unwrap().iter().position(|heading| heading == "Supply number").unwrap();
        reader.records().map(|row| row.unwrap()[at].to_owned()).collect::<Vec<_>>()
    };
    for core in CORES {
        assert_eq!(table(&core[..2]), [core; 5], "{core}");
    }
    assert_eq!(table("unknown"), vec![""; 2 * CORES.len()]);
}

#[test]
fn a_schedule_of_an_earlier_run_is_told_and_left() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("homes.csv");
    let run = |core: &str| {
        let sheet = "site_id,address,mpan,cutout_rating_a,existing_demand_a,parking_distance_m";
        fs::write(&file, format!("{sheet}\nA1,1 Example Row,{core},100,20,10\n")).unwrap();
        let output = super::baywright(&["assess", file.to_str().unwrap(), "--csv", "--force"]);
        assert!(output.status.success(), "{}", text(&output.stderr));
        text(&output.stdout)
    };
    let of_an_earlier = "homes-assessed-operator-10.csv is of an earlier run";
    assert!(!run(CORES[0]).contains("earlier run"));
    let before = fs::read(folder.path().join("homes-assessed-operator-10.csv")).unwrap();
    let said = run(CORES[13]);
    assert!(said.contains(of_an_earlier) && !said.contains("operator-23.csv is of"), "{said}");
    assert_eq!(fs::read(folder.path().join("homes-assessed-operator-10.csv")).unwrap(), before);
}
