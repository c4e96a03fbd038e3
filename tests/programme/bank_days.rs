//! Bank holidays by the rules against those of a calendar library.

use baywright::programme::{BankNation, bank_holidays};
use jiff::civil::Date;
use std::path::Path;

/// `bank-days.csv` has the days of 2026 to 2040 by the PyPI library `holidays` (second-hand: it states the Act and the
/// yearly proclamations); days proclaimed once are marked, and no rule gives them.
#[test]
fn bank_holidays_are_those_of_the_library() {
    let kept = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/programme/bank-days.csv");
    let rows: Vec<csv::StringRecord> = csv::Reader::from_path(kept).unwrap().records().map(Result::unwrap).collect();
    assert!(rows.len() > 390);
    let nations = [
        ("england and wales", BankNation::EnglandAndWales),
        ("scotland", BankNation::Scotland),
        ("northern ireland", BankNation::NorthernIreland),
    ];
    for (name, nation) in nations {
        let own: Vec<Date> = (2026..=2040).flat_map(|year| bank_holidays(nation, year)).collect();
        let days = rows.iter().filter(|row| &row[0] == name && &row[2] == "no");
        let kept: Vec<Date> = days.map(|row| row[1].parse().unwrap()).collect();
        assert_eq!(own, kept, "{name}");
    }
}
