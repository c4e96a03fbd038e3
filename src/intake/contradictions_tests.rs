//! Tests only: a row a rule that contradicts itself, its neighbour that does not, and what stays in doubt.

use super::*;
use crate::intake::{Intake, ReadOptions, read_bytes};

fn read(columns: &str, cells: &str) -> Intake {
    let text = format!("address,site_id,{columns}\n\"7 Fennel Row, Tarnholt\",H1,{cells}\n");
    read_bytes(text.as_bytes(), "Returns.csv", &ReadOptions::default()).unwrap()
}

/// Rule, columns, cells that contradict, cells that do not. The four needed columns come with each.
const CASES: &[(&str, &str, &str, &str)] = &[
    ("fuse-over-tails", "tails_mm2", "16", "25"),
    ("fuses-and-phases", "supply_phases,Main fuse", "1,3 x 100A", "3,3 x 100A"),
    ("profile-in-a-house", "premises_type,mpan", "house,058010AB1012345678903", "house,018010AB1012345678903"),
    ("electrode-too-good", "earthing_system,ze_ohm", "TT,0.4", "TT,40"),
    ("ze-over-tn-c-s", "earthing_system,ze_ohm", "PME,0.5", "PME,0.35"),
    ("ze-over-tn-s", "earthing_system,ze_ohm", "TN-S,0.9", "TN-S,0.8"),
    ("probably-tn-c-s", "earthing_system,ze_ohm", "N/K,0.15", "N/K,0.3"),
    ("demand-over-fuse", "existing_demand_a", "170", "120"),
    ("demand-over-fuse-kw", "existing_demand_kw,supply_phases", "40,1", "20,1"),
    ("loop-seen", "looped_service,notes", "no,supply looped to number 9", "no,not looped to number 9"),
    ("loop-in-the-condition", "looped_service,cutout_condition", "no,good - 2 service cables", "no,good"),
    ("three-phase-power", "requested_kw,supply_phases", "22,1", "7.4,1"),
    ("parts-and-distance", "route_indoor_m,route_surface_m,route_buried_m", "10,20,30", "4,4,4"),
    ("capacity-over-fuse", "agreed_capacity_kva,supply_phases", "69,1", "20,1"),
    ("whole-current-too-large", "metering,agreed_capacity_kva", "whole-current,100", "CT,100"),
    ("high-voltage-house", "metering,premises_type", "HV,house", "whole-current,house"),
    ("distributor-and-number", "distributor,mpan", "11,1012345678903", "10,1012345678903"),
    ("distributor-and-postcode", "mpan,postcode", "1012345678903,PL4 8AA", "1012345678903,QX4 7LP"),
    ("covered-on-street", "covered_parking,parking_type", "yes,on-street", "yes,garage"),
    ("listed-no-consent", "consent_status,listed", "not needed,yes", "granted,yes"),
    (
        "drive-and-none",
        "parking_type,premises_type",
        "driveway,terraced house no drive on street",
        "driveway,terraced house",
    ),
    ("none-with-distance", "parking_type", "none", "driveway"),
    ("survey-before-build", "survey_date,year_built", "01/02/2019,2022", "01/02/2024,2022"),
    ("report-before-build", "condition_report_date,year_built", "01/02/2019,2022", "01/02/2024,2022"),
    ("no-supply-with-cutout", "supply_present", "no", "yes"),
    ("unmetered-with-number", "unmetered,metering", "yes,CT", "no,CT"),
    ("points-over-bays", "points_wanted,bays", "6,4", "4,4"),
    ("heat-pump-and-heating", "heating,heat_pump_kw", "heat-pump,0", "heat-pump,3"),
    ("loop-and-metering", "looped_service,metering", "yes,CT", "no,CT"),
];

fn intake(columns: &str, cells: &str) -> Intake {
    let mut columns = columns.to_owned();
    let mut cells = cells.to_owned();
    for (field, heading, value) in [
        ("cutout_rating_a", "Main fuse", "100"),
        ("existing_demand_a", "existing_demand_kw", "35"),
        ("parking_distance_m", "parking_distance_m", "12"),
    ] {
        if !columns.contains(field) && !columns.contains(heading) {
            columns.push_str(&format!(",{field}"));
            cells.push_str(&format!(",{value}"));
        }
    }
    read(&columns, &cells)
}

#[test]
fn every_rule_finds_its_contradiction_and_leaves_its_neighbour_alone() {
    for (rule, columns, wrong, right) in CASES {
        let found = |cells: &str| {
            let intake = intake(columns, cells);
            let site = &intake.sites[0];
            let rules: Vec<_> = site.contradictions.iter().map(|found| found.rule).collect();
            let noted = intake.notes.iter().filter(|note| note.understood == "contradicted").count();
            assert_eq!(noted, rules.len(), "{rule}: one note each");
            rules.contains(rule)
        };
        assert!(found(wrong), "{rule}: {wrong}");
        assert!(!found(right), "{rule}: {right}");
    }
}

#[test]
fn table_and_comparisons_are_the_same_list_and_every_rule_has_a_case() {
    let table: Vec<String> =
        Table::of(include_str!("contradictions.csv")).rows().map(|row| row.text("rule").to_owned()).collect();
    let known: Vec<&str> = RULES.iter().map(|(name, _)| *name).collect();
    assert_eq!(table, known);
    assert_eq!(CASES.iter().map(|case| case.0).collect::<Vec<_>>(), known);
    assert_eq!(rules().len(), known.len(), "a field of the table is no survey field");
}

#[test]
fn what_is_in_doubt_is_marked_so_and_the_note_names_both_cells() {
    let electrode = intake("earthing_system,ze_ohm", "TT,0.4");
    assert!(electrode.sites[0].supply.earthing_system.is_doubtful());
    assert_eq!(electrode.sites[0].supply.ze_ohm.value(), Some(0.4), "the figure stands");
    let note = electrode.notes.iter().find(|note| note.field == "earthing_system").unwrap();
    assert!(note.raw == "TT" && note.message.contains("0.4 in D2"), "{note:?}");
    let looped = intake("looped_service,notes", "no,supply looped to number 9");
    assert!(looped.sites[0].supply.looped_service.is_doubtful());
    let parking = intake("parking_type,premises_type", "driveway,terraced house no drive on street");
    assert!(parking.sites[0].parking.parking_type.is_doubtful());
}
