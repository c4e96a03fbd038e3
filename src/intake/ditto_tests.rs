//! Tests only: what a ditto mark takes, and where it takes nothing.

use crate::intake::{Intake, ReadOptions, read_bytes};
use crate::site::{Answer, WhyUnknown};

fn csv(text: &str) -> Intake {
    read_bytes(text.as_bytes(), "Returns.csv", &ReadOptions::default()).unwrap()
}

const HEAD: &str = "address,cutout_rating_a,existing_demand_a,parking_distance_m,looped_service\n";

#[test]
fn a_mark_takes_the_cell_immediately_above_and_says_so() {
    let intake = csv(&format!(
        "{HEAD}1 Mill Lane,approx 80,30,12,no\n2 Mill Lane,ditto,31,\"\"\"\",as above\n3 Mill Lane,do.,32,14,\u{201d}\n"
    ));
    for site in &intake.sites {
        assert_eq!(site.supply.cutout_rating_a.likely(), Some(&80.0), "row {}", site.row);
        assert!(site.supply.cutout_rating_a.is_doubtful());
        assert_eq!(site.supply.looped_service.value(), Some(false));
    }
    assert_eq!(intake.sites[1].parking.parking_distance_m.value(), Some(12.0));
    assert_eq!(intake.sites[2].parking.parking_distance_m.value(), Some(14.0));
    let note = intake.notes.iter().find(|note| note.row == 3 && note.field == "cutout_rating_a").unwrap();
    assert!(note.raw == "ditto" && note.message.contains("repeats B2: approx 80"), "{note:?}");
    assert_eq!(intake.rows[1].cells[1], "ditto", "the sheet comes out as it was");
}

#[test]
fn nothing_is_taken_across_a_section_or_for_what_belongs_to_one_place() {
    let unknown = Answer::Unknown(WhyUnknown::NotUnderstood);
    let across = csv(&format!("{HEAD}1 Mill Lane,80,30,12,no\nLot 2: Weir Close,,,,\n2 Weir Close,ditto,31,12,no\n"));
    assert_eq!(across.sites[1].supply.cutout_rating_a.answer, unknown);
    let first = csv(&format!("{HEAD}1 Mill Lane,ditto,30,12,no\n"));
    assert_eq!(first.sites[0].supply.cutout_rating_a.answer, unknown);
    let number = csv(
        "address,mpan,cutout_rating_a,existing_demand_a,parking_distance_m\n1 Mill Lane,1012345678903,80,30,12\n2 Mill Lane,ditto,80,30,12\n",
    );
    assert!(!number.sites[1].supply.mpan.is_stated());
}

#[test]
fn a_street_in_its_own_column_is_repeated() {
    let intake = csv(
        "House no,Street,Town,Fuse rating,Max demand (A),Cable run\n7,Fennel Row,Tarnholt,80,35,12\n9,ditto,\"\"\"\",80,36,12\n",
    );
    assert_eq!(intake.sites[1].identity.address.likely().map(String::as_str), Some("9 Fennel Row, Tarnholt"));
}
