//! Tests only: every pattern that real surveys keep in their cells, as written and as it must be read.

use crate::intake::{Intake, ReadOptions, read_bytes};
use crate::site::{Answer, CutoutEvidence, EarthingSystem, Heating, Site, WhyUnknown};

/// A sheet of homes with one further column (or several) and a row for each of `rows`.
fn sheet(heading: &str, rows: &[&str]) -> Intake {
    let mut text = format!("address\tpremises_type\texisting_demand_kw\t{heading}\n");
    for (at, row) in rows.iter().enumerate() {
        text.push_str(&format!("{} Mill Lane\thouse\t5\t{row}\n", at + 1));
    }
    let options = ReadOptions { whatever_it_lacks: true, ..ReadOptions::default() };
    read_bytes(text.as_bytes(), "Returns.tsv", &options).unwrap()
}

fn one(heading: &str, cell: &str) -> (Site, bool) {
    let intake = sheet(heading, &[cell]);
    let field = heading.split('\t').next().unwrap_or_default();
    let noted = intake.notes.iter().any(|note| note.field == field);
    (intake.sites.into_iter().next().unwrap(), noted)
}

fn rounded(answer: &Answer<f64>) -> Answer<f64> {
    let places = |value: &f64| (value * 1000.0).round() / 1000.0;
    match answer {
        Answer::Stated(value) => Answer::Stated(places(value)),
        Answer::Doubtful { low, likely, high } => {
            Answer::Doubtful { low: places(low), likely: places(likely), high: places(high) }
        }
        other => other.clone(),
    }
}

const MISSING: WhyUnknown = WhyUnknown::Missing;
const NOT_UNDERSTOOD: WhyUnknown = WhyUnknown::NotUnderstood;

fn between<T>(low: T, likely: T, high: T) -> Answer<T> {
    Answer::Doubtful { low, likely, high }
}

#[test]
fn what_says_nothing_is_a_blank_and_never_nought_or_no() {
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
    ] {
        for heading in ["cutout_rating_a", "solar_kw"] {
            let (site, _) = one(heading, cell);
            let answers = [&site.supply.cutout_rating_a.answer, &site.load.solar_kw.answer];
            assert!(answers.contains(&&Answer::Unknown(MISSING)), "{heading}: {cell}: {answers:?}");
        }
        let (site, _) = one("looped_service", cell);
        assert_eq!(site.supply.looped_service.answer, Answer::Unknown(MISSING), "{cell}");
        let (site, _) = one("earthing_system", cell);
        assert_eq!(site.supply.earthing_system.answer, Answer::Unknown(MISSING), "{cell}");
    }
}

#[test]
fn none_is_an_answer_where_there_can_be_none_and_else_a_blank_with_a_note() {
    for cell in ["none", "nil", "no", "None"] {
        assert_eq!(one("surge_protection", cell).0.board.surge_protection.answer, Answer::Stated(false), "{cell}");
        assert_eq!(one("solar_kw", cell).0.load.solar_kw.answer, Answer::Stated(0.0), "{cell}");
        let (site, noted) = one("cutout_rating_a", cell);
        assert_eq!((site.supply.cutout_rating_a.answer, noted), (Answer::Unknown(MISSING), true), "{cell}");
    }
    for cell in ["n/a", "NA", "N/A"] {
        let (site, noted) = one("looped_service", cell);
        assert_eq!((site.supply.looped_service.answer, noted), (Answer::Unknown(MISSING), true), "{cell}");
        let (site, noted) = one("cutout_rating_a", cell);
        assert_eq!((site.supply.cutout_rating_a.answer, noted), (Answer::Unknown(MISSING), true), "{cell}");
    }
}

#[test]
fn what_stands_elsewhere_or_was_not_seen_is_told_apart() {
    for (cells, why) in [
        (["see photo", "see pic", "as per photo", "photo 3", "attached"], WhyUnknown::Elsewhere),
        (["no access", "NA cupboard locked", "behind boxing", "tenant refused", "locked"], WhyUnknown::NotSeen),
    ] {
        for cell in cells {
            for heading in ["cutout_rating_a", "ze_ohm", "looped_service", "earthing_system", "survey_date"] {
                let (site, noted) = one(heading, cell);
                let found = match heading {
                    "cutout_rating_a" => site.supply.cutout_rating_a.answer == Answer::Unknown(why),
                    "ze_ohm" => site.supply.ze_ohm.answer == Answer::Unknown(why),
                    "looped_service" => site.supply.looped_service.answer == Answer::Unknown(why),
                    "survey_date" => site.identity.survey_date.answer == Answer::Unknown(why),
                    _ => site.supply.earthing_system.answer == Answer::Unknown(why),
                };
                assert!(found && noted, "{heading}: {cell}");
            }
        }
    }
}

#[test]
fn ratings() {
    for (cell, expected) in [
        ("60/80", between(60.0, 60.0, 80.0)),
        ("60 or 80", between(60.0, 60.0, 80.0)),
        ("60-80", between(60.0, 60.0, 80.0)),
        ("80?", between(48.0, 80.0, 80.0)),
        ("100A?", between(60.0, 100.0, 100.0)),
        ("100A (sealed)", between(60.0, 100.0, 100.0)),
        ("100A", Answer::Stated(100.0)),
        ("100 amps", Answer::Stated(100.0)),
        ("100 AMP", Answer::Stated(100.0)),
        ("l00A", Answer::Stated(100.0)),
        ("1OO", Answer::Stated(100.0)),
        ("\u{a0}80 A\u{a0}", Answer::Stated(80.0)),
        ("3 x 100A", Answer::Stated(100.0)),
        ("7400", Answer::Unknown(NOT_UNDERSTOOD)),
        ("1361", Answer::Unknown(NOT_UNDERSTOOD)),
        ("300/5", Answer::Unknown(NOT_UNDERSTOOD)),
        ("BS 88", Answer::Unknown(NOT_UNDERSTOOD)),
        ("88", Answer::Unknown(NOT_UNDERSTOOD)),
        ("80A BS 1361", Answer::Stated(80.0)),
        ("8S", Answer::Unknown(NOT_UNDERSTOOD)),
    ] {
        let (site, _) = one("cutout_rating_a", cell);
        assert_eq!(rounded(&site.supply.cutout_rating_a.answer), expected, "{cell}");
    }
}

#[test]
fn lengths() {
    for (cell, expected) in [
        ("12", Answer::Stated(12.0)),
        ("12m", Answer::Stated(12.0)),
        ("12 mtrs", Answer::Stated(12.0)),
        ("12000mm", Answer::Stated(12.0)),
        ("40ft", Answer::Stated(12.192)),
        ("40'", Answer::Stated(12.192)),
        ("12,5", Answer::Stated(12.5)),
        ("approx 12m", between(9.0, 12.0, 15.0)),
        ("~12", between(9.0, 12.0, 15.0)),
        ("c.12", between(9.0, 12.0, 15.0)),
        ("12ish", between(9.0, 12.0, 15.0)),
        ("12m+", between(12.0, 12.0, 18.0)),
        ("10-15m", between(10.0, 12.5, 15.0)),
        ("between 10 and 15 m", between(10.0, 12.5, 15.0)),
        ("12000", between(9.0, 12.0, 15.0)),
        ("two flights", Answer::Unknown(NOT_UNDERSTOOD)),
    ] {
        let (site, _) = one("parking_distance_m", cell);
        assert_eq!(rounded(&site.parking.parking_distance_m.answer), expected, "{cell}");
    }
}

#[test]
fn other_figures_by_their_units() {
    for cell in ["7", "7kw", "7.0", "7 kW"] {
        assert_eq!(one("requested_kw", cell).0.wanted.requested_kw.answer, Answer::Stated(7.0), "{cell}");
    }
    for cell in ["7.4", "32amp", "32 A", "7400", "7400W"] {
        assert_eq!(one("requested_kw", cell).0.wanted.requested_kw.answer, Answer::Stated(7.4), "{cell}");
    }
    let (low, noted) = one("requested_kw", "0.007");
    assert!(low.wanted.requested_kw.is_unknown() && noted, "less than half a kilowatt is no charge point");
    for (cell, expected) in [
        ("0.35", Answer::Stated(0.35)),
        (".35", Answer::Stated(0.35)),
        ("35", between(0.262, 0.35, 0.438)),
        ("350m", Answer::Stated(0.35)),
        (".3S", Answer::Unknown(NOT_UNDERSTOOD)),
    ] {
        let (site, _) = one("ze_ohm\tearthing_system", &format!("{cell}\tPME"));
        assert_eq!(rounded(&site.supply.ze_ohm.answer), expected, "{cell}");
    }
    for cell in ["25", "25mm", "25.0", "25sq", "25mm2", "25 mm\u{b2}"] {
        assert_eq!(one("tails_mm2", cell).0.supply.tails_mm2.answer, Answer::Stated(25.0), "{cell}");
    }
    for cell in ["1.6", "1600", "1.6kA", "1600 A"] {
        assert_eq!(one("fault_level_ka", cell).0.supply.fault_level_ka.answer, Answer::Stated(1.6), "{cell}");
    }
}

#[test]
fn words_with_their_doubts() {
    let (tncs, tns, tt) = (EarthingSystem::TnCS, EarthingSystem::TnS, EarthingSystem::Tt);
    for (cell, expected) in [
        ("TNCS", Answer::Stated(tncs)),
        ("TN-C-S (PME)", Answer::Stated(tncs)),
        ("P.M.E.", Answer::Stated(tncs)),
        ("T.N.S", Answer::Stated(tns)),
        ("TN-S?", between(tns, tns, tns)),
        ("lead sheath", Answer::Stated(tns)),
        ("earth rod", Answer::Stated(tt)),
        ("TNCS - rod?", between(tncs, tncs, tt)),
    ] {
        assert_eq!(one("earthing_system", cell).0.supply.earthing_system.answer, expected, "{cell}");
    }
    assert_eq!(one("heating", "ELEC STORAGE").0.load.heating.answer, Answer::Stated(Heating::Storage));
    assert_eq!(one("cutout_evidence", "carr").0.supply.cutout_evidence.answer, Answer::Stated(CutoutEvidence::Carrier));
    for cell in ["Y", "y", "Yes", "TRUE", "1", "\u{2713}", "\u{2714}", "\u{221a}"] {
        assert_eq!(one("isolator_present", cell).0.supply.isolator_present.answer, Answer::Stated(true), "{cell}");
    }
    let (site, noted) = one("isolator_present", "x");
    assert!(site.supply.isolator_present.answer == Answer::Unknown(NOT_UNDERSTOOD) && noted);
}

#[test]
fn dates() {
    let day = Answer::Stated(jiff::civil::date(2026, 11, 25));
    for cell in ["25/11/26", "11/25/2026", "46351", "2026-11-25T09:12:00Z", "25 Nov 2026"] {
        assert_eq!(one("survey_date", cell).0.identity.survey_date.answer, day, "{cell}");
    }
    let (first, last) = (jiff::civil::date(2026, 11, 1), jiff::civil::date(2026, 11, 30));
    assert_eq!(one("survey_date", "Nov-26").0.identity.survey_date.answer, between(first, first, last));
}

#[test]
fn a_bare_length_of_hundreds_goes_by_its_neighbours() {
    let read = |cells: &[&str]| -> Vec<Answer<f64>> {
        let intake = sheet("parking_distance_m", cells);
        intake.sites.iter().map(|site| rounded(&site.parking.parking_distance_m.answer)).collect()
    };
    assert_eq!(read(&["12", "8", "850"])[2], between(6.375, 8.5, 10.625), "centimetres among metres");
    assert_eq!(read(&["12000", "8000", "850"])[2], Answer::Unknown(NOT_UNDERSTOOD), "among millimetres");
    assert_eq!(read(&["12000", "8000", "9500", "12"])[3], Answer::Unknown(NOT_UNDERSTOOD), "metres, or 12 mm");
}
