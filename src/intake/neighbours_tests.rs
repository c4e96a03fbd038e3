//! Tests only: rows that contradict each other.

use crate::intake::{Intake, ReadOptions, read_bytes};

fn csv(text: &str) -> Intake {
    read_bytes(text.as_bytes(), "Returns.csv", &ReadOptions::default()).unwrap()
}

#[test]
fn a_neighbour_who_denies_a_loop_is_in_doubt() {
    let intake = csv("address,cutout_rating_a,existing_demand_a,parking_distance_m,looped_service\n\
        7 Fennel Row,60,30,12,Y - with no 9\n9 Fennel Row,60,31,13,no\n11 Fennel Row,60,32,14,no\n9 Mill Lane,60,33,15,no\n");
    let doubtful: Vec<bool> = intake.sites.iter().map(|site| site.supply.looped_service.is_doubtful()).collect();
    assert_eq!(doubtful, [false, true, false, false]);
    assert!(intake.sites[1].contradictions.iter().any(|found| found.rule == "neighbours-differ"));
    assert!(
        intake.notes.iter().any(|note| note.row == 3 && note.message.contains("E2 says that its service is looped"))
    );
}

#[test]
fn one_supply_number_at_several_places_is_told_on_each() {
    let intake = csv("address,mpan,cutout_rating_a,existing_demand_a,parking_distance_m\n\
        1 Mill Lane,1012345678903,60,30,12\n2 Mill Lane,1012345678903,60,31,13\n3 Mill Lane,1112345678908,60,32,14\n");
    let told: Vec<usize> = intake.sites.iter().map(|site| site.contradictions.len()).collect();
    assert_eq!(told, [1, 1, 0]);
}

#[test]
fn two_surveys_that_disagree_hold_the_site_only_where_no_date_tells() {
    let rows = |dates: [&str; 2]| {
        csv(&format!(
            "uprn,address,cutout_rating_a,existing_demand_a,parking_distance_m,survey_date\n\
             100,1 Mill Lane,60,30,12,{}\n100,1 Mill Lane,80,30,12,{}\n",
            dates[0], dates[1]
        ))
    };
    let dated = rows(["01/02/2026", "01/03/2025"]);
    assert_eq!(dated.sites[0].supply.cutout_rating_a.value(), Some(60.0), "the newer stands");
    assert!(!dated.sites[0].contradictions[0].decides);
    assert!(dated.notes.iter().any(|note| note.raw == "60" && note.message.contains("says 80")));
    let undated = rows(["", ""]);
    assert!(undated.sites[0].contradictions[0].decides);
}
