//! Tests only: headings as people write them (`long_headings.csv`: sentences, numbers of questions, units, brackets,
//! titles of groups), each with the field it must lead to, or none; and whole sheets of them.

use super::headings::{Heading, in_words, match_headings};
use super::{Intake, ReadOptions, read_bytes};
use crate::table::Table;

fn led_to(text: &str, title: &str) -> (&'static str, String) {
    let heading = Heading { text: text.to_owned(), group: title.to_owned(), ..Heading::default() };
    let alone = match_headings(std::slice::from_ref(&heading), &[]).matches.remove(0);
    let found = alone.or_else(|| in_words(&heading));
    found.map_or(("", String::new()), |found| (found.field.name, found.how))
}

#[test]
fn headings_as_people_write_them_lead_to_their_field_or_to_none() {
    let mut wrong = Vec::new();
    let table = Table::of(include_str!("long_headings.csv"));
    for row in table.rows() {
        let (name, how) = led_to(row.text("heading"), row.text("title"));
        if name != row.text("field") {
            wrong.push(format!("{:?} under {:?}: {name} ({how})", row.text("heading"), row.text("title")));
        }
    }
    assert!(table.rows().count() > 300);
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

fn sheet(text: &str) -> Intake {
    read_bytes(text.as_bytes(), "Returns.csv", &ReadOptions::default()).unwrap()
}

fn fields_of(intake: &Intake) -> Vec<&'static str> {
    intake.columns.iter().map(|column| column.field.map_or("", |field| field.name)).collect()
}

#[test]
fn a_sheet_of_nothing_but_questions_is_read() {
    let intake = sheet(
        "What is your full address?,Do you own or rent?,What does the label on your main fuse say?,\
         Is your supply shared with next door?,Where do you normally park?,\
         Roughly how far is it from your fuse box to where the car is parked (metres)?,What do you think your maximum demand is (amps)?\n\
         1 Kiln Road,Own,80A,No,Driveway,12,35\n2 Kiln Road,Rent,60A,No,Street,20,28\n3 Kiln Road,Own,100A,Yes,Driveway,8,50\n",
    );
    assert_eq!(
        fields_of(&intake),
        [
            "address",
            "tenure",
            "cutout_rating_a",
            "looped_service",
            "parking_type",
            "parking_distance_m",
            "existing_demand_a"
        ]
    );
    assert!(intake.warnings.iter().any(|said| said.contains("which is what most of its words say")));
}

#[test]
fn words_that_the_values_do_not_bear_out_are_asked_about() {
    // A text about the way is no distance.
    let intake = sheet(
        "Address,Main fuse,Max demand,Cable run,Where do you normally park?\n1 Kiln Road,80,35,12,12\n\
         2 Kiln Road,60,28,9,9\n3 Kiln Road,60,30,8,8\n",
    );
    assert_eq!(intake.columns[4].field.map(|field| field.name), None);
    assert_eq!(intake.columns[4].could_be.map(|field| field.name), Some("parking_type"));
    assert!(intake.warnings.iter().any(|said| said.starts_with("Not read: column E")), "{:?}", intake.warnings);
}

#[test]
fn a_title_tells_what_a_bare_heading_is() {
    let intake = sheet(
        "Property,,Incoming supply,,,Consumer unit,,Parking,,\n\
         No.,Address,Fuse (A),Demand (A),Looped?,Type,Spare ways,Type,Distance (m),Surface\n\
         7,\"3 Weir Lane, Quern\",80,35,N,metal,2,drive,12,tarmac\n12,\"5 Weir Lane, Quern\",60,31,N,plastic,1,drive,9,block\n\
         31,\"7 Weir Lane, Quern\",80,35,Y,metal,0,street,15,grass\n",
    );
    assert_eq!(fields_of(&intake)[5..9], ["board_type", "spare_ways", "parking_type", "parking_distance_m"]);
    assert_eq!(intake.sites[1].site_id, "12");
}

#[test]
fn a_key_is_known_by_its_values_and_a_count_of_rows_only_where_nothing_is_better() {
    let keyed = |heads: &str, rows: [&str; 3]| {
        let rows: Vec<String> =
            rows.iter().enumerate().map(|(at, row)| format!("{row},{} Kiln Road,80,35,12", at + 1)).collect();
        let intake = sheet(&format!("{heads},Address,Main fuse,Max demand,Cable run\n{}\n", rows.join("\n")));
        intake.sites.iter().map(|site| site.site_id.clone()).collect::<Vec<_>>()
    };
    assert_eq!(keyed("No.", ["FE01", "FE02", "FE07"]), ["FE01", "FE02", "FE07"]);
    assert_eq!(keyed("No.", ["1", "2", "3"]), ["1", "2", "3"]);
    assert_eq!(keyed("Depot", ["DP1", "DP4", "DP9"]), ["DP1", "DP4", "DP9"]);
    // What stands twice, or is a name, is no key; two alike are asked about; one of the place goes before a visit's.
    assert_eq!(keyed("Depot", ["DP1", "DP1", "DP9"])[0], "row-0002");
    assert_eq!(keyed("Depot", ["Weir", "Mill", "Kiln"])[0], "row-0002");
    assert_eq!(keyed("Plot,Unit", ["P1,U4", "P2,U9", "P3,U7"])[0], "row-0002");
    assert_eq!(keyed("Visit,Plot", ["V7,P1", "V9,P2", "V2,P3"])[0], "P1");
    assert_eq!(keyed("No.,UPRN", ["1,100023456789", "2,100023456790", "3,100023456791"])[0], "row-0002");
    assert_eq!(keyed("Property ref,Job ref", ["P7,J1", "P9,J2", "P8,J3"])[0], "P7");
}

#[test]
fn places_without_a_heading_that_says_so_are_found_and_streets_take_their_numbers() {
    let intake = sheet(
        "Premises,Main fuse,Max demand,Cable run\n1 Kiln Road,80,35,12\n2 Kiln Road,60,28,9\n3 Kiln Road,60,30,8\n",
    );
    assert_eq!(intake.sites[1].identity.address.likely().map(String::as_str), Some("2 Kiln Road"));
    let intake = sheet(
        "House no,Address,Main fuse,Max demand,Cable run\n4,Kiln Road,80,35,12\n6,Kiln Road,60,28,9\n8,Kiln Road,60,30,8\n",
    );
    assert_eq!(intake.sites.len(), 3);
    assert_eq!(intake.sites[1].identity.address.likely().map(String::as_str), Some("6 Kiln Road"));
}

#[test]
fn dates_under_the_name_of_a_report_are_its_day_and_figures_with_units_are_no_count() {
    let intake = sheet(
        "Address,Main fuse,Max demand,Cable run,Last EICR,Chargers\n1 Kiln Road,80,35,12,2024-03-01,7kW\n\
         2 Kiln Road,60,28,9,2023-03-01,7kW\n3 Kiln Road,60,30,8,2022-03-01,22kW\n",
    );
    assert_eq!(fields_of(&intake)[4], "condition_report_date");
    assert!(intake.sites[0].wanted.points_wanted.likely().is_none(), "seven kilowatts are not seven points");
}
