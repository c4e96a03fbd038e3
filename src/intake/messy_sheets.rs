//! Tests only: whole sheets as people send them, from bytes to sites.

use super::{Intake, IntakeError, ReadOptions, read_bytes};
use crate::site::{Answer, EarthingSystem, WhyUnknown};
use proptest::prelude::*;

fn csv(text: &str) -> Result<Intake, IntakeError> {
    read_bytes(text.as_bytes(), "Returns.csv", &ReadOptions::default())
}

/// A sheet of the four columns and more, one row, and the intake of it.
fn with(columns: &str, cells: &str) -> Intake {
    csv(&format!(
        "address,cutout_rating_a,existing_demand_a,parking_distance_m,{columns}\n\"7 Fennel Row, Tarnholt, QX4 7LP\",80,35,12,{cells}\n"
    ))
    .unwrap()
}

#[test]
fn the_four_columns_under_a_title_with_a_total_and_a_repeated_heading() {
    let intake = csv("Fern Road programme,,,\n\
        ,,,\n\
        Site address,Main fuse (A),Max demand (A),Distance to parking (m)\n\
        \"7 Fennel Row, Tarnholt, QX4 7LP\",80A,35,12m\n\
        Site address,Main fuse (A),Max demand (A),Distance to parking (m)\n\
        \"8 Fennel Row, Tarnholt, QX4 7LP\",60/80,see photo,approx 18m\n\
        Lot 2: Mill Lane,,,\n\
        Total,,70,30\n")
    .unwrap();
    assert_eq!(intake.source.heading_row, 3);
    assert_eq!(intake.sites.len(), 2);
    assert_eq!(intake.set_aside.iter().map(|row| row.row).collect::<Vec<_>>(), [5, 7, 8]);
    assert!(intake.set_aside[0].why.contains("again"));
    assert!(intake.set_aside[1].why.contains("Nothing to judge by"));
    assert!(intake.set_aside[2].why.contains("total"));
    let site = &intake.sites[1];
    assert_eq!(site.site_id, "row-0006");
    assert!(site.site_id_made);
    assert_eq!(site.supply.cutout_rating_a.answer, Answer::Doubtful { low: 60.0, likely: 60.0, high: 80.0 });
    assert_eq!(site.load.existing_demand_a.answer, Answer::Unknown(WhyUnknown::Elsewhere));
    assert_eq!(site.parking.parking_distance_m.answer, Answer::Doubtful { low: 13.5, likely: 18.0, high: 22.5 });
    assert_eq!(site.identity.postcode.likely().map(String::as_str), Some("QX4 7LP"));
    assert!(!site.supply.looped_service.was_asked());
    let note = intake.notes.iter().find(|note| note.field == "parking_distance_m").unwrap();
    assert_eq!(note.understood, "18 m, 13.5 to 22.5");
}

#[test]
fn units_convert_at_the_edge_with_a_note() {
    let intake = with("supply_phases,fault_level_ka,shower_kw", "1,1600,9500");
    let site = &intake.sites[0];
    assert_eq!(site.supply.fault_level_ka.value(), Some(1.6));
    assert_eq!(site.load.shower_kw.value(), Some(9.5));
    assert_eq!(intake.notes.len(), 2);
    let intake = csv("address,supply_phases,cutout_rating_a,existing_demand_a,parking_distance_m\n\
        1 Mill Lane,1,100,14 kW,1200\n2 Mill Lane,3,100,69 kVA,40ft\n3 Mill Lane,1,100,0,0\n4 Mill Lane,1,100,-5,350\n")
    .unwrap();
    let demand = |at: usize| intake.sites[at].load.existing_demand_a.value();
    assert!((demand(0).unwrap() - 64.07).abs() < 0.01);
    assert!((demand(1).unwrap() - 100.0).abs() < 1e-9);
    assert_eq!((demand(2), demand(3)), (None, None));
    let distance = |at: usize| intake.sites[at].parking.parking_distance_m.value();
    assert_eq!(distance(0), Some(1.2));
    assert_eq!(distance(1), Some(12.192));
    assert_eq!(distance(2), None);
    assert_eq!(distance(3), Some(3.5), "a home: 350 without a unit is centimetres");
    assert_eq!(intake.sites[2].load.existing_demand_a.answer, Answer::Unknown(WhyUnknown::NotUnderstood));
    assert!(intake.notes.iter().any(|note| note.message.contains("14 kW at 0.95 power factor on one phase is 64.1 A")));
}

#[test]
fn the_unit_in_a_heading_holds_for_bare_numbers_and_points_to_the_right_column() {
    let intake = csv("address,Main fuse,Existing demand (kW),Cable run (ft)\n1 Mill Lane,100,9.5,40\n").unwrap();
    let site = &intake.sites[0];
    assert_eq!(site.load.existing_demand_kw.value(), Some(9.5));
    assert!(!site.load.existing_demand_a.was_asked());
    assert_eq!(site.parking.parking_distance_m.value(), Some(12.192));
}

#[test]
fn words_and_loops_and_earths() {
    let intake = with(
        "earthing_system,looped_service,ze_ohm,heating,premises_type,isolator_present,supply_phases",
        "PME,no access,35,gas combi,mid terrace,x,single",
    );
    let site = &intake.sites[0];
    assert_eq!(site.supply.earthing_system.value(), Some(EarthingSystem::TnCS));
    assert_eq!(site.supply.looped_service.answer, Answer::Unknown(WhyUnknown::NotSeen));
    assert_eq!(site.supply.ze_ohm.likely(), Some(&0.35));
    assert!(site.supply.ze_ohm.is_doubtful());
    assert_eq!(site.supply.isolator_present.answer, Answer::Unknown(WhyUnknown::NotUnderstood));
    assert_eq!(site.supply.supply_phases.value(), Some(1.0));
    let on_tt = with("earthing_system,ze_ohm", "TT,35");
    assert_eq!(on_tt.sites[0].supply.ze_ohm.value(), Some(35.0));
}

#[test]
fn a_later_survey_of_one_place_stands() {
    let intake = csv("uprn,address,cutout_rating_a,existing_demand_a,parking_distance_m,survey_date\n\
        100,1 Mill Lane,60,30,12,01/02/2026\n\
        100,\"1 Mill Lane, Tarnholt\",80,30,12,01/03/2025\n\
        200,Flat 1 Weir House,80,30,12,\n\
        200,Weir House,100,30,12,\n\
        ,3 Mill Lane,60,30,12,\n\
        ,3 Mill Lane,80,31,12,\n")
    .unwrap();
    assert_eq!(intake.rows.len(), 6);
    assert_eq!(intake.sites.len(), 4);
    assert_eq!(intake.set_aside.len(), 2);
    assert_eq!(intake.set_aside[0].row, 3);
    assert!(intake.set_aside[0].why.contains("same UPRN as row 2"), "{}", intake.set_aside[0].why);
    assert!(intake.set_aside[0].why.contains("cutout_rating_a is 80 here, 60 there"), "{}", intake.set_aside[0].why);
    assert_eq!(intake.set_aside[1].row, 6);
    assert_eq!(intake.newest_date.map(|date| date.to_string()).as_deref(), Some("2026-02-01"));
}

#[test]
fn two_places_with_one_key_get_two() {
    let intake = csv("site_id,address,cutout_rating_a,existing_demand_a,parking_distance_m\n\
        H1,1 Mill Lane,60,30,12\nH1,2 Mill Lane,60,30,12\nH1-2,3 Mill Lane,60,30,12\n,4 Mill Lane,60,30,12\n007,5 Mill Lane,60,30,12\n")
    .unwrap();
    let ids: Vec<&str> = intake.sites.iter().map(|site| site.site_id.as_str()).collect();
    assert_eq!(ids, ["H1", "H1-3", "H1-2", "row-0005", "007"]);
    assert!(intake.notes.iter().any(|note| note.field == "site_id"));
}

#[test]
fn an_address_in_parts_is_put_together() {
    let intake =
        csv("House no,Street,Town,Postcode,Fuse rating,Max demand,Cable run\n7,Fennel Row,Tarnholt,qx47lp,80,35,12\n")
            .unwrap();
    let site = &intake.sites[0];
    assert_eq!(site.identity.address.likely().map(String::as_str), Some("7 Fennel Row, Tarnholt"));
    assert_eq!(site.identity.postcode.likely().map(String::as_str), Some("QX4 7LP"));
}

#[test]
fn a_missing_column_names_the_nearest_heading() {
    let says = |text: &str| csv(text).unwrap_err().to_string();
    let sentence = says("Address,Main fuse,Max demand,Dist. to meter position\n1 Mill Lane,80,35,12\n");
    assert!(sentence.contains("cannot judge Returns.csv: no column says how far the parking is"), "{sentence}");
    assert!(sentence.contains("column D \"Dist. to meter position\" (row 1)"), "{sentence}");
    assert!(sentence.contains("rename it parking_distance_m"), "{sentence}");
    let sentence = says("Address,Main fuse,Max demand,Cable run,Run length\n1 Mill Lane,80,35,12,13\n");
    assert!(sentence.contains("could each be it"), "{sentence}");
    let sentence = says("a,b,c\n1,2,3\n");
    assert!(sentence.contains("no row of headings"), "{sentence}");
    let sentence = says("address,cutout_rating_a,existing_demand_a,parking_distance_m\n");
    assert!(sentence.contains("no row under the headings"), "{sentence}");
}

#[test]
fn a_slip_in_a_heading_is_near_enough_and_own_columns_stay() {
    let intake = csv("Adress,cut-out ratng (A),Max demand,Cable run,Bin day\n1 Mill Lane,80,35,12,Tuesday\n").unwrap();
    assert_eq!(intake.columns.iter().filter(|column| column.field.is_some()).count(), 4);
    assert!(intake.columns[1].how.starts_with("near"), "{}", intake.columns[1].how);
    assert_eq!(intake.columns[4].field.map(|field| field.name), None);
    assert_eq!(intake.rows[0].cells[4], "Tuesday");
}

#[test]
fn the_sheet_is_chosen_by_what_it_holds() {
    let mut book = rust_xlsxwriter::Workbook::new();
    let cover = book.add_worksheet();
    cover.set_name("Cover").unwrap();
    cover.write(0, 0, "Fern Road programme").unwrap();
    let survey = book.add_worksheet();
    survey.set_name("Returns").unwrap();
    for (column, heading) in ["Address", "Main fuse", "Max demand", "Cable run", "Survey date"].iter().enumerate() {
        survey.write(2, column as u16, *heading).unwrap();
    }
    survey.write(3, 0, "1 Mill Lane").unwrap();
    survey.write(3, 1, 80).unwrap();
    survey.write(3, 2, 35.5).unwrap();
    survey.write(3, 3, 12).unwrap();
    survey.write(3, 4, 46351).unwrap();
    let in_feet = rust_xlsxwriter::Format::new().set_num_format("0 \"ft\"");
    survey.write_with_format(4, 3, 40, &in_feet).unwrap();
    survey.write_with_format(3, 3, 40, &in_feet).unwrap();
    survey.write(4, 0, "2 Mill Lane").unwrap();
    survey.set_row_hidden(4).unwrap();
    let bytes = book.save_to_buffer().unwrap();
    let intake = read_bytes(&bytes, "Returns.xlsx", &ReadOptions::default()).unwrap();
    assert_eq!((intake.source.sheet.as_str(), intake.source.heading_row), ("Returns", 3));
    assert_eq!(intake.newest_date.map(|date| date.to_string()).as_deref(), Some("2026-11-25"));
    assert_eq!(intake.warnings.len(), 2, "{:?}", intake.warnings);
    assert!(intake.warnings.iter().any(|warning| warning.contains("1 row is hidden")));
    assert_eq!(intake.sites[0].parking.parking_distance_m.value(), Some(12.192));
    let wrong = ReadOptions { sheets: vec!["Survey".to_owned()], ..ReadOptions::default() };
    let sentence = read_bytes(&bytes, "Returns.xlsx", &wrong).unwrap_err().to_string();
    assert!(sentence.contains("\"Cover\", \"Returns\""), "{sentence}");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(192))]

    /// Any text in any cell of any column never panics, and nothing is lost.
    #[test]
    fn any_text_in_any_cell(cells in proptest::collection::vec(
        proptest::collection::vec(prop_oneof![
            4 => ".{0,12}",
            3 => "[~<>c.]{0,2}[0-9OlI.,/'\"?+ -]{0,8}(m|mm|A|kW|kVA|ohm|ft|ish|mm2|x|%)?[?+]?",
            1 => Just("see photo".to_owned()), 1 => Just("n/a".to_owned()), 1 => Just("Total".to_owned()),
            2 => "[0-9]{1,24}", 1 => "[0-9]{1,2}[/-][0-9]{1,2}[/-][0-9]{2,4}",
        ], 92), 1..4)) {
        let mut writer = csv::Writer::from_writer(Vec::new());
        writer.write_record(crate::site::fields().iter().map(|field| field.name)).unwrap();
        for row in &cells {
            writer.write_record(row).unwrap();
        }
        let bytes = writer.into_inner().unwrap();
        match read_bytes(&bytes, "any.csv", &ReadOptions::default()) {
            Ok(intake) => {
                prop_assert_eq!(intake.rows.len(), intake.sites.len() + intake.set_aside.len());
                let filled = cells.iter().filter(|row| row.iter().any(|cell| !cell.trim().is_empty())).count();
                prop_assert_eq!(intake.rows.len(), filled);
                for site in &intake.sites {
                    prop_assert!(!site.site_id.is_empty());
                    if let Some((low, likely, high)) = site.parking.parking_distance_m.ends() {
                        prop_assert!(low <= likely && likely <= high && *low > 0.0);
                    }
                }
                let again = read_bytes(&bytes, "any.csv", &ReadOptions::default()).unwrap();
                prop_assert_eq!(format!("{intake:?}"), format!("{again:?}"));
            }
            Err(error) => prop_assert!(error.to_string().starts_with("cannot")),
        }
    }

    /// Any bytes at all never panic.
    #[test]
    fn any_bytes(bytes in proptest::collection::vec(any::<u8>(), 0..400)) {
        let _ = read_bytes(&bytes, "any", &ReadOptions::default());
    }
}
