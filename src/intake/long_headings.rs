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
#[test]
fn headings_that_explain_themselves_join_facts_or_point_at_others() {
    let intake = sheet(
        "B1,B2,B3,B4,B5,B6\nAddress,Main fuse (A),\"Evidence for B2 (F = fuse, O = operator record)\",\
         \"Earthing (1 = TN-S, 2 = TN-C-S, 3 = TT)\",Existing demand (A),From consumer unit to bay (m)\n\
         1 Kiln Road,80,F,1,35,12\n2 Kiln Road,60,O,2,28,9\n3 Kiln Road,60,F,3,30,\n4 Kiln Road,100,X,4,44,8\n",
    );
    assert_eq!(fields_of(&intake)[2..4], ["cutout_evidence", "earthing_system"]);
    let earthing: Vec<String> =
        intake.sites.iter().map(|site| format!("{:?}", site.supply.earthing_system.stated())).collect();
    assert_eq!(earthing, ["Some(TnS)", "Some(TnCS)", "Some(Tt)", "None"]);
    assert!(intake.sites[3].supply.cutout_evidence.stated().is_none(), "X is no code of the legend");
    assert!(intake.notes.iter().any(|note| note.row == 6 && note.field == "earthing_system"));
    // From where it was measured, in the rows that say how far.
    let from: Vec<bool> = intake.sites.iter().map(|site| site.parking.distance_from.stated().is_some()).collect();
    assert_eq!(from, [true, true, false, true]);
}

#[test]
fn two_facts_in_a_column_are_parted_or_reported() {
    let intake = sheet(
        "Address,Phases / fuse,Earthing and Ze,Load now (A or kW),Cable run\n1 Kiln Road,1ph 80A,TNS 0.4,35A,12\n\
         2 Kiln Road,100/3ph,PME,8.7kW,9\n3 Kiln Road,1/60,TT 116,41 amps,8\n4 Kiln Road,60,TN-C-S 0.2,22,8\n\
         5 Kiln Road,3/3,?,dont know,8\n6 Kiln Road,TP&N 100A,TT,6 kW,8\n",
    );
    let supply = |at: usize| {
        let supply = &intake.sites[at].supply;
        (supply.supply_phases.likely().copied(), supply.cutout_rating_a.likely().copied())
    };
    assert_eq!(supply(0), (Some(1.0), Some(80.0)));
    assert_eq!(supply(1), (Some(3.0), Some(100.0)));
    assert_eq!(supply(2), (Some(1.0), Some(60.0)));
    assert_eq!(supply(3), (None, Some(60.0)));
    assert_eq!(supply(4), (None, None));
    assert_eq!(supply(5), (Some(3.0), Some(100.0)));
    assert_eq!(intake.notes.iter().filter(|note| note.row == 6 && note.column == 1).count(), 2);
    let ze = |at: usize| intake.sites[at].supply.ze_ohm.likely().copied();
    assert_eq!([ze(0), ze(1), ze(2), ze(3), ze(4)], [Some(0.4), None, Some(116.0), Some(0.2), None]);
    // What was saved reads the same again.
    let saved = super::mapping::mapping_of(super::save_mapping(&intake).as_bytes(), "map.toml").unwrap();
    assert!(!saved.columns.iter().any(|(_, name)| name == "supply_phases"));
    assert_eq!(intake.columns[1].also.len(), 1);
    let load = |at: usize| {
        let load = &intake.sites[at].load;
        (load.existing_demand_a.likely().copied(), load.existing_demand_kw.likely().copied())
    };
    assert_eq!([load(0), load(1), load(2)], [(Some(35.0), None), (None, Some(8.7)), (Some(41.0), None)]);
    assert_eq!([load(3), load(4)], [(None, None), (None, None)], "no unit says which");
}

#[test]
fn the_worst_of_three_phases_is_the_demand() {
    let intake = sheet(
        "Property,,Maximum demand (A),,,Route,\nAddress,Main fuse (A),L1,L2,L3,Distance (m),Phases\n\
         1 Kiln Road,100,41,52,38,12,3\n2 Kiln Road,100,61,58,,9,3\n3 Kiln Road,100,33,,,9,1\n4 Kiln Road,100,,,,9,\n",
    );
    let demand = |at: usize| intake.sites[at].load.existing_demand_a.likely().copied();
    assert_eq!([demand(0), demand(1), demand(2), demand(3)], [Some(52.0), None, Some(33.0), None]);
    assert!(intake.notes.iter().any(|note| note.row == 4 && note.field == "existing_demand_a"));
}

#[test]
fn places_in_several_columns_are_one_address_and_short_headings_are_spelt_out() {
    let intake = sheet(
        "Flat,Bilding,Prop,Main fuze amps,Lode at present (A),Distence to parking (m),Sp. ways,Surf.,Cut-out evid.\n\
         Flat 1,Linnet Court,flat,80,35,12,2,tarmac,label\nFlat 2,Linnet Court,flat,60,28,9,1,block,label\n\
         Flat 1,Siskin Court,flat,60,30,8,0,grass,operator\n",
    );
    assert_eq!(intake.sites[2].identity.address.likely().map(String::as_str), Some("Flat 1, Siskin Court"));
    assert_eq!(
        fields_of(&intake)[2..],
        [
            "premises_type",
            "cutout_rating_a",
            "existing_demand_a",
            "parking_distance_m",
            "spare_ways",
            "ground_surface",
            "cutout_evidence"
        ]
    );
}
