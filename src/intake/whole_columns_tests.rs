//! Tests only: an x among other marks, and demands without a unit.

use crate::intake::{Intake, ReadOptions, read_bytes};
use crate::site::{Answer, Reading, WhyUnknown};

fn column(heading: &str, cells: &[&str]) -> Intake {
    let mut text = format!("address,cutout_rating_a,parking_distance_m,existing_demand_kw,{heading}\n");
    for (at, cell) in cells.iter().enumerate() {
        text.push_str(&format!("{} Mill Lane,80,{},5,{cell}\n", at + 1, at + 10));
    }
    read_bytes(text.as_bytes(), "Returns.csv", &ReadOptions::default()).unwrap()
}

fn isolator(cells: &[&str]) -> Vec<Reading<bool>> {
    column("isolator_present", cells).sites.into_iter().map(|site| site.supply.isolator_present).collect()
}

#[test]
fn an_x_is_what_the_rest_of_its_column_leaves_it() {
    let doubt = |likely| Answer::Doubtful { low: false, likely, high: true };
    assert_eq!(isolator(&["\u{2713}", "x"])[1].answer, Answer::Stated(false));
    assert_eq!(isolator(&["Y", "Y", "x"])[2].answer, doubt(false));
    assert_eq!(isolator(&["N", "N", "X"])[2].answer, doubt(true));
    assert_eq!(isolator(&["Y", "N", "N", "x"])[3].answer, doubt(false));
    assert_eq!(isolator(&["x", "", "x"])[0].answer, doubt(true), "an x among blanks marks a yes");
    assert_eq!(isolator(&["x", "", "x"])[1].answer, Answer::Unknown(WhyUnknown::Missing), "and a blank stays one");
    assert_eq!(isolator(&["x", "x"])[0].answer, Answer::Unknown(WhyUnknown::NotUnderstood), "nothing but x");
    assert_eq!(isolator(&["Y", "N", "x"])[2].answer, Answer::Unknown(WhyUnknown::NotUnderstood), "no majority");
    assert_eq!(isolator(&["\u{2713}", "\u{d7}"])[1].answer, Answer::Stated(false));
    let intake = column("isolator_present", &["Y", "Y", "x"]);
    let note = intake.notes.iter().find(|note| note.row == 4).unwrap();
    assert!(note.raw == "x" && note.message.contains("yes is written 2 times"), "{note:?}");
}

#[test]
fn a_demand_without_a_unit_is_amperes_where_the_column_shows_it_and_else_in_doubt() {
    let read = |heading: &str, cells: &[&str]| {
        let text = cells
            .iter()
            .enumerate()
            .fold(format!("address,cutout_rating_a,parking_distance_m,{heading}\n"), |text, (at, cell)| {
                text + &format!("{} Mill Lane,80,{},{cell}\n", at + 1, at + 10)
            });
        let intake = read_bytes(text.as_bytes(), "Returns.csv", &ReadOptions::default()).unwrap();
        intake.sites.into_iter().map(|site| site.load.existing_demand_a.answer).collect::<Vec<_>>()
    };
    assert_eq!(read("Max demand", &["40", "35", "18"])[2], Answer::Stated(18.0));
    assert_eq!(read("Max demand (A)", &["18", "12"])[0], Answer::Stated(18.0));
    assert_eq!(read("Max demand", &["18A", "12A"])[0], Answer::Stated(18.0));
    let small = read("Max demand", &["6", "21", "30"]);
    assert_eq!(small[0], Answer::Doubtful { low: 6.0, likely: 26.1, high: 26.1 });
    assert_eq!(small[1], Answer::Unknown(WhyUnknown::NotUnderstood));
    assert_eq!(small[2], Answer::Stated(30.0));
}
