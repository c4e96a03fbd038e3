//! Tests only: the table of cell hygiene and the unit rules of the survey notes, line by line.

use super::{Intake, ReadOptions, read_bytes};
use crate::site::{Answer, Site, WhyUnknown};

/// One row with one more column, read; the needed columns stand beside it unless the column is one of them.
fn read(column: &str, cell: &str) -> Intake {
    let mut writer = csv::Writer::from_writer(Vec::new());
    let mut headings = vec!["address", column];
    let mut cells = vec!["7 Fennel Row, Tarnholt", cell];
    for (field, value) in [
        ("cutout_rating_a", "80"),
        ("existing_demand_a", "35"),
        ("parking_distance_m", "12"),
        ("premises_type", "house"),
        ("supply_phases", "1"),
        ("earthing_system", "TN-S"),
    ] {
        if field != column {
            headings.push(field);
            cells.push(value);
        }
    }
    writer.write_record(headings).unwrap();
    writer.write_record(cells).unwrap();
    read_bytes(&writer.into_inner().unwrap(), "Returns.csv", &ReadOptions::default()).unwrap()
}

fn site(column: &str, cell: &str) -> Site {
    read(column, cell).sites.remove(0)
}

fn range(low: f64, likely: f64, high: f64) -> Answer<f64> {
    Answer::Doubtful { low, likely, high }
}

#[test]
fn every_way_to_write_nothing_is_missing_and_never_nought_or_no() {
    for cell in [
        "",
        "-",
        "--",
        ".",
        "?",
        "??",
        "tbc",
        "TBA",
        "N/K",
        "NK",
        "n/k",
        "not known",
        "unk",
        "dont know",
        "#N/A",
        "NULL",
        "0000",
        "n/a",
    ] {
        assert_eq!(
            site("cutout_rating_a", cell).supply.cutout_rating_a.answer,
            Answer::Unknown(WhyUnknown::Missing),
            "{cell}"
        );
        let looped = site("looped_service", cell).supply.looped_service.answer;
        assert!(matches!(looped, Answer::Unknown(_)), "{cell}: {looped:?}");
    }
    for cell in ["none", "nil", "no"] {
        assert_eq!(site("looped_service", cell).supply.looped_service.value(), Some(false), "{cell}");
        assert!(site("cutout_rating_a", cell).supply.cutout_rating_a.is_unknown(), "{cell}");
    }
}

#[test]
fn elsewhere_and_not_seen_are_told_apart_and_keep_their_words() {
    for (cell, why) in [
        ("see photo", WhyUnknown::Elsewhere),
        ("see pic", WhyUnknown::Elsewhere),
        ("as per photo", WhyUnknown::Elsewhere),
        ("photo 3", WhyUnknown::Elsewhere),
        ("attached", WhyUnknown::Elsewhere),
        ("no access", WhyUnknown::NotSeen),
        ("NA cupboard locked", WhyUnknown::NotSeen),
        ("behind boxing", WhyUnknown::NotSeen),
        ("tenant refused", WhyUnknown::NotSeen),
    ] {
        let intake = read("cutout_rating_a", cell);
        assert_eq!(intake.sites[0].supply.cutout_rating_a.answer, Answer::Unknown(why), "{cell}");
        assert!(intake.notes.iter().any(|note| note.raw == cell), "{cell}");
        let counted = if why == WhyUnknown::Elsewhere { "file): 1;" } else { "not be seen: 1." };
        assert!(intake.warnings.iter().any(|said| said.contains(counted)), "{cell}");
    }
}

#[test]
fn ranges_doubts_and_estimates() {
    for (cell, answer) in [
        ("60/80", range(60.0, 60.0, 80.0)),
        ("60 or 80", range(60.0, 60.0, 80.0)),
        ("60-80", range(60.0, 60.0, 80.0)),
        ("80?", range(48.0, 80.0, 80.0)),
        ("100A?", range(60.0, 100.0, 100.0)),
        ("100A (sealed)", range(60.0, 100.0, 100.0)),
        ("l00A", Answer::Stated(100.0)),
        ("8O", Answer::Stated(80.0)),
        ("\u{a0}100\u{a0}A ", Answer::Stated(100.0)),
        ("100 AMP", Answer::Stated(100.0)),
    ] {
        assert_eq!(site("cutout_rating_a", cell).supply.cutout_rating_a.answer, answer, "{cell}");
    }
    for (cell, answer) in [
        ("approx 12m", range(9.0, 12.0, 15.0)),
        ("~12", range(9.0, 12.0, 15.0)),
        ("c.12", range(9.0, 12.0, 15.0)),
        ("12ish", range(9.0, 12.0, 15.0)),
        ("12m+", range(12.0, 12.0, 18.0)),
        ("10-15m", range(10.0, 12.5, 15.0)),
        ("12 mtrs", Answer::Stated(12.0)),
        ("12000mm", Answer::Stated(12.0)),
        ("40ft", Answer::Stated(12.192)),
        ("40'", Answer::Stated(12.192)),
        ("40\u{2019}", Answer::Stated(12.192)),
        ("1200 cm", Answer::Stated(12.0)),
    ] {
        assert_eq!(site("parking_distance_m", cell).parking.parking_distance_m.answer, answer, "{cell}");
    }
    let distance = |cell| site("parking_distance_m", cell).parking.parking_distance_m;
    assert_eq!(distance("12000").likely(), Some(&12.0));
    assert!(distance("12000").is_doubtful(), "a unit that was guessed leaves a doubt");
    assert_eq!(distance("350").likely(), Some(&3.5));
}

#[test]
fn unit_rules_of_power_impedance_area_and_fault_current() {
    for (cell, kw) in
        [("7", 7.0), ("7.4", 7.4), ("7kw", 7.0), ("32amp", 7.4), ("7400", 7.4), ("7400W", 7.4), ("22kw", 22.0)]
    {
        assert_eq!(site("requested_kw", cell).wanted.requested_kw.likely(), Some(&kw), "{cell}");
    }
    assert!(site("requested_kw", "0.4").wanted.requested_kw.is_unknown());
    for (cell, ohm) in [("0.35", 0.35), (".35", 0.35), ("35", 0.35), ("350m", 0.35), ("350 m\u{3a9}", 0.35)] {
        assert_eq!(site("ze_ohm", cell).supply.ze_ohm.likely(), Some(&ohm), "{cell}");
    }
    for cell in ["6mm", "6.0", "6sq", "6mm2", "6 T+E", "6mm\u{b2}"] {
        assert_eq!(site("submain_mm2", cell).board.submain_mm2.likely(), Some(&6.0), "{cell}");
    }
    for cell in ["1.6", "1600", "1.6kA", "1600A"] {
        assert_eq!(site("fault_level_ka", cell).supply.fault_level_ka.likely(), Some(&1.6), "{cell}");
    }
    assert!(site("existing_demand_a", "450").load.existing_demand_a.is_unknown(), "watts or milliamperes at a home");
    assert_eq!(site("existing_demand_a", "9.2 kVA").load.existing_demand_a.likely(), Some(&40.0));
    assert_eq!(site("existing_demand_a", "45000 mA").load.existing_demand_a.likely(), Some(&45.0));
}

#[test]
fn yes_and_dates_and_two_systems() {
    for cell in ["Y", "y", "Yes", "TRUE", "1", "\u{2713}"] {
        assert_eq!(site("isolator_present", cell).supply.isolator_present.value(), Some(true), "{cell}");
    }
    for cell in ["25/11/26", "11/25/2026", "46351"] {
        assert_eq!(
            site("survey_date", cell).identity.survey_date.likely(),
            Some(&jiff::civil::date(2026, 11, 25)),
            "{cell}"
        );
    }
    assert!(site("survey_date", "Nov-26").identity.survey_date.is_doubtful());
    assert!(site("earthing_system", "TNCS - rod?").supply.earthing_system.is_doubtful());
}

#[test]
fn a_device_that_nobody_saw_gets_the_range_of_its_evidence() {
    let with = |method: &str| {
        let text = format!(
            "address,survey_method,submain_device_a,cutout_rating_a,existing_demand_a,parking_distance_m\nWeir House,{method},100,80,35,12\n"
        );
        read_bytes(text.as_bytes(), "Returns.csv", &ReadOptions::default()).unwrap().sites.remove(0)
    };
    assert_eq!(with("phone").board.submain_device_a.answer, range(60.0, 100.0, 140.0));
    assert_eq!(with("desk").board.submain_device_a.answer, range(50.0, 100.0, 150.0));
    assert_eq!(with("visit").board.submain_device_a.answer, Answer::Stated(100.0));
    assert_eq!(with("desk").supply.cutout_rating_a.answer, Answer::Stated(80.0), "settled by what it was read from");
    assert_eq!(with("desk").load.existing_demand_a.answer, Answer::Stated(35.0), "goes by its method");
}
