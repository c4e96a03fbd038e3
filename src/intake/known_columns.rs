//! Tests only: which column is which field, by heading, by values and by the user's word, on whole sheets.

use super::mapping::{mapping_of, settled};
use super::{Intake, IntakeError, ReadOptions, read_bytes, read_mapping, save_mapping};
use crate::site::{Answer, WhyUnknown, fields};
use proptest::prelude::*;

fn csv(text: &str) -> Result<Intake, IntakeError> {
    mapped(text, &[])
}

fn mapped(text: &str, mapping: &[(&str, &str)]) -> Result<Intake, IntakeError> {
    let mapping = mapping.iter().map(|(heading, name)| ((*heading).to_owned(), (*name).to_owned())).collect();
    read_bytes(text.as_bytes(), "Returns.csv", &ReadOptions { mapping, ..ReadOptions::default() })
}

/// The field that a column (by its place, from 0) is read as.
fn field(intake: &Intake, column: u16) -> Option<&'static str> {
    intake.columns.iter().find(|one| one.index == column)?.field.map(|field| field.name)
}

fn warned(intake: &Intake, part: &str) -> bool {
    intake.warnings.iter().any(|warning| warning.contains(part))
}

const CORE: &str = "address,cutout_rating_a,existing_demand_a,parking_distance_m";

/// A sheet of the four columns and one more with this heading, a row a value.
fn one_more(heading: &str, values: &[&str]) -> String {
    let mut text = format!("{CORE},{heading}\n");
    for (at, value) in values.iter().enumerate() {
        text.push_str(&format!("{} Mill Lane,80,35,12,{value}\n", at + 1));
    }
    text
}

const MPANS: [&str; 4] = ["1012345678903", "1112345678908", "1212345678902", "1312345678907"];

#[test]
fn every_known_heading_leads_to_its_field_as_people_write_it() {
    for field in fields() {
        for heading in &field.headings {
            for written in [(*heading).to_owned(), heading.to_uppercase(), format!(" {} ", heading.replace(' ', "_"))] {
                let found = super::headings::match_headings(
                    &[super::headings::Heading { text: written.clone(), ..Default::default() }],
                    &[],
                );
                let name = found.matches[0].as_ref().map(|found| found.field.name);
                assert_eq!(name, Some(field.name), "{written:?}");
            }
        }
    }
}

#[test]
fn a_unit_in_the_heading_rules_the_column() {
    let name = |text: &str| {
        let heading = super::headings::Heading { text: text.to_owned(), ..Default::default() };
        let found = super::headings::match_headings(&[heading], &[]).matches.remove(0);
        found.map(|found| (found.field.name, found.unit.map(|unit| unit.factor)))
    };
    assert_eq!(name("Distance (ft)"), Some(("parking_distance_m", Some(0.3048))));
    assert_eq!(name("Cable run [mm]"), Some(("parking_distance_m", Some(0.001))));
    assert_eq!(name("MD kVA").map(|found| found.0), Some("recorded_peak_kva"));
    assert_eq!(name("Max demand (kW)").map(|found| found.0), Some("existing_demand_kw"));
    assert_eq!(name("Shower (W)"), Some(("shower_kw", Some(0.001))));
    assert_eq!(name("Demand (kWh)"), None, "energy is no demand");
    for amperes in ["Supply capacity (A)", "Supply capacity A", "Supply capacity amps", "Total supply capacity A"] {
        assert_eq!(name(amperes), None, "{amperes}: read as kilovolt-amperes it would be four times the supply");
    }
    assert_eq!(
        (name("Spare way size (A)"), name("Isolator rating (A)")),
        (None, None),
        "neither a count nor an answer"
    );
    assert_eq!(name("Charger rating (A)").map(|found| found.0), Some("requested_kw"), "a field that takes both");
    assert_eq!(name("Total cable length ft"), Some(("parking_distance_m", Some(0.3048))));
}

#[test]
fn a_near_spelling_is_read_with_its_score_and_said() {
    let intake = csv("Adress of site,Cut out fuze ratng,Max demand,Cable run\n1 Mill Lane,80,35,12\n").unwrap();
    assert_eq!(field(&intake, 1), Some("cutout_rating_a"));
    let column = &intake.columns[1];
    assert!(column.how.starts_with("near \"cut out fuse rating\" 0.89"), "{}", column.how);
    assert!(column.score >= 0.85 && column.score < 1.0, "{}", column.score);
    assert!(csv("Address,Cot-oot fooz,Max demand,Cable run\n1 Mill Lane,80,35,12\n").is_err());
}

#[test]
fn values_name_a_column_whatever_its_heading_says() {
    for (heading, values, name) in [
        ("Elec no. 2", MPANS.as_slice(), "mpan"),
        ("", MPANS.as_slice(), "mpan"),
        ("Terminal", &["PME", "TN-S", "TT", "tbc", "PME"], "earthing_system"),
        ("Area", &["QX4 7LP", "QX4 7LQ", "QX41AB"], "postcode"),
        ("Service", &["looped to no 5", "no", "not looped", "No", "Looped"], "looped_service"),
        ("Column9", &["100023456789", "100023456790", "100023456791"], "uprn"),
        ("H", &["gas combi", "storage heaters", "ASHP"], "heating"),
        ("F", &["social rent", "owner occupied", "leasehold"], "tenure"),
        ("Data 3", &["UKPN", "ENW", "UKPN"], "distributor"),
    ] {
        let intake = csv(&one_more(heading, values)).unwrap();
        assert_eq!(field(&intake, 4), Some(name), "{heading}");
        let column = &intake.columns[4];
        assert!(column.score < 0.9 && !column.evidence.is_empty(), "{heading}: {} {}", column.score, column.evidence);
        assert!(warned(&intake, &format!("is read as {name} by its values")), "{heading}: {:?}", intake.warnings);
    }
    let intake = csv(&one_more("", &MPANS)).unwrap();
    assert_eq!(intake.sites[2].supply.mpan.likely().map(String::as_str), Some("1212345678902"));
}

#[test]
fn what_the_values_cannot_prove_is_not_read() {
    for (heading, values) in [
        // The supply of something else, digits that fail their check, too few values.
        ("Export meter", MPANS.as_slice()),
        ("Landlord's postal area", &["QX4 7LP", "QX4 7LQ", "QX41AB"]),
        ("Elec no. 2", &["1012345678904", "1112345678909", "1212345678903"]),
        ("Elec no. 2", &["1012345678903", "1112345678908"]),
        ("Stopcock", &["yes", "no", "yes"]),
        ("Boiler make", &["gas combi", "storage heaters", "ASHP"]),
        ("Bin day", &["25/11/2026", "24/11/2026", "23/11/2026"]),
    ] {
        let intake = csv(&one_more(heading, values)).unwrap();
        assert_eq!(field(&intake, 4), None, "{heading}");
    }
    // A field that has its column already takes no other.
    let text = format!(
        "{CORE},MPAN,Elec no. 2\n1 Mill Lane,80,35,12,,1012345678903\n2 Mill Lane,80,35,12,,1112345678908\n3 Mill Lane,80,35,12,,1212345678902\n"
    );
    assert_eq!(field(&csv(&text).unwrap(), 5), None);
}

#[test]
fn an_address_that_ends_in_half_a_postcode_is_one_and_parts_of_an_address_go_before_it() {
    let text = "Column1,Main fuse,Max demand,Cable run\n\"1 Mill Lane, Tarnholt, QX4\",80,35,12\n\
        \"2 Mill Lane, Tarnholt, QX4\",80,35,12\n\"3 Mill Lane, Quernholt, QX41\",80,35,12\n";
    assert_eq!(field(&csv(text).unwrap(), 0), Some("address"));
    let text = "House no,Street,Held by,Main fuse,Max demand,Cable run\n1,Mill Lane,\"9 Weir Road, QX4 7LP\",80,35,12\n\
        2,Mill Lane,\"9 Weir Road, QX4 7LP\",80,35,12\n3,Mill Lane,\"9 Weir Road, QX4 7LP\",80,35,12\n";
    let intake = csv(text).unwrap();
    assert_eq!(intake.sites[1].identity.address.likely().map(String::as_str), Some("2 Mill Lane"));
}

#[test]
fn two_columns_of_distributors_are_told_apart_by_names_and_numbers() {
    let text = format!(
        "{CORE},DNO,Network operator\n1 Mill Lane,80,35,12,yes,12\n2 Mill Lane,80,35,12,yes,UKPN\n3 Mill Lane,80,35,12,no,16\n"
    );
    assert_eq!(field(&csv(&text).unwrap(), 5), Some("distributor"));
}

#[test]
fn faint_evidence_is_asked_about_and_named_where_the_column_is_needed() {
    let intake = csv(&one_more("Column 5", &["25/11/2026", "24/11/2026", "23/11/2026"])).unwrap();
    assert_eq!(field(&intake, 4), None);
    assert_eq!(intake.columns[4].could_be.map(|field| field.name), Some("survey_date"));
    assert!(warned(&intake, "write \"Column 5\" = \"survey_date\" in a mapping"), "{:?}", intake.warnings);
    let text = "address,,existing_demand_a,parking_distance_m\n1 Mill Lane,80A,35,12\n2 Mill Lane,60A,35,12\n3 Mill Lane,100 A,35,12\n";
    let sentence = csv(text).unwrap_err().to_string();
    assert!(sentence.contains("column B (row 1), which holds ratings of fuses in amperes"), "{sentence}");
    let intake = mapped(text, &[("column B", "cutout_rating_a")]).unwrap();
    assert_eq!(intake.sites[1].supply.cutout_rating_a.value(), Some(60.0));
}

#[test]
fn values_that_contradict_a_heading_veto_it_and_another_column_takes_the_field() {
    // "Cut-out rating" shares more words with the field, but holds yes and no.
    let text = "Address,Cut-out rating,Main fuse,Max demand,Cable run\n\
        1 Mill Lane,Y,80,35,12\n2 Mill Lane,N,60,35,12\n3 Mill Lane,Y,100,35,12\n";
    let intake = csv(text).unwrap();
    assert_eq!((field(&intake, 1), field(&intake, 2)), (None, Some("cutout_rating_a")));
    assert_eq!(intake.sites[1].supply.cutout_rating_a.value(), Some(60.0));
    assert!(warned(&intake, "column B \"Cut-out rating\" is headed like cutout_rating_a but holds yes and no"));
    // An address that is a date is no address.
    let text = "Site,Ref,Main fuse,Max demand,Cable run\n25/11/2026,A1,80,35,12\n24/11/2026,A2,80,35,12\n23/11/2026,A3,80,35,12\n";
    let intake = csv(text).unwrap();
    assert_eq!(field(&intake, 0), None);
    assert_eq!(intake.sites.len(), 3, "their keys say which places they are");
}

#[test]
fn a_contradicted_question_stays_one_that_was_asked() {
    let intake = csv(&one_more("Looped", &["25/11/2026", "24/11/2026", "23/11/2026"])).unwrap();
    assert_eq!(intake.sites[0].supply.looped_service.answer, Answer::Unknown(WhyUnknown::NotUnderstood));
    assert!(warned(&intake, "\"Looped\" is headed like looped_service but holds dates: it is taken as asked"));
    assert!(intake.columns[4].score < 0.5);
}

#[test]
fn two_candidates_are_settled_by_values_or_asked_about_and_never_by_order() {
    let sheet = |first: [&str; 3], second: [&str; 3]| {
        let mut text = "Address,Main fuse,Fuse size,Max demand,Cable run\n".to_owned();
        for (at, (a, b)) in first.iter().zip(second).enumerate() {
            text.push_str(&format!("{at} Mill Lane,{a},{b},35,12\n"));
        }
        text
    };
    let (ratings, standards) = (["80", "60A", "100"], ["1361", "1361", "88"]);
    for (text, column) in [(sheet(ratings, standards), 1), (sheet(standards, ratings), 2)] {
        let intake = csv(&text).unwrap();
        assert_eq!(field(&intake, column), Some("cutout_rating_a"));
        assert_eq!(intake.sites[1].supply.cutout_rating_a.value(), Some(60.0));
        assert!(warned(&intake, "because its values fit"), "{:?}", intake.warnings);
    }
    let both = sheet(ratings, ["60", "60", "80"]);
    let sentence = csv(&both).unwrap_err().to_string();
    assert!(sentence.contains("column B \"Main fuse\" (row 1) and column C \"Fuse size\" (row 1)"), "{sentence}");
    let intake = mapped(&both, &[("Fuse size", "cutout_rating_a")]).unwrap();
    assert_eq!(intake.sites[0].supply.cutout_rating_a.value(), Some(60.0));
    assert_eq!(field(&intake, 1), None);
    // Where the sheet can do without the field, both are named with what to write.
    let text = format!("{CORE},Beds,Bdrms\n1 Mill Lane,80,35,12,1,2\n");
    let intake = csv(&text).unwrap();
    assert_eq!((field(&intake, 4), field(&intake, 5)), (None, None));
    assert!(warned(&intake, "column E \"Beds\" and column F \"Bdrms\" each could be bedrooms"));
    assert!(warned(&intake, "\"column E\" = \"bedrooms\""), "{:?}", intake.warnings);
}

#[test]
fn values_that_do_not_read_lower_the_score() {
    let sure = csv(&one_more("Shower", &["9.5", "8.5", "0", "10.5"])).unwrap().columns[4].score;
    let less = csv(&one_more("Shower", &["9.5", "Mira", "Triton", "Aqua"])).unwrap();
    assert_eq!(field(&less, 4), Some("shower_kw"));
    assert!(sure > 0.9 && less.columns[4].score < 0.7, "{sure} {}", less.columns[4].score);
    assert_eq!(less.columns[4].evidence, "1 of the first 4 values read as it");
}

#[test]
fn a_saved_mapping_read_back_gives_the_same_sites() {
    let text = "Ref,Site address,Mian fuse rating,Max demand,Cable run (ft),\"Bin \"\"day\"\" \\ x\",Terminal,,Beds,Bdrms,Note,Note\n\
        1,1 Mill Lane,80,35,40,Tue,PME,1012345678903,1,2,a,b\n2,2 Mill Lane,60,35,40,Tue,TN-S,1112345678908,1,2,a,b\n\
        3,3 Mill Lane,60,35,40,Tue,TT,1212345678902,1,2,a,b\n";
    let first = csv(text).unwrap();
    let saved = save_mapping(&first);
    let mapping = mapping_of(saved.as_bytes(), "map.toml").unwrap();
    assert_eq!(mapping.sha256.len(), 64);
    assert!(saved.contains("\"column H\" = \"mpan\"  # 0.80 by its values"), "{saved}");
    assert!(saved.contains("# \"Beds\" = \"bedrooms\""), "{saved}");
    let options = ReadOptions { mapping: mapping.columns, ..ReadOptions::default() };
    let second = read_bytes(text.as_bytes(), "Returns.csv", &options).unwrap();
    assert_eq!(format!("{:?}", first.sites), format!("{:?}", second.sites));
    let read = |intake: &Intake| intake.columns.iter().map(|column| column.field.map(|f| f.name)).collect::<Vec<_>>();
    assert_eq!(read(&first), read(&second));
    assert!(second.columns.iter().filter(|c| c.field.is_some()).all(|c| c.how == "as you said" && c.score == 1.0));
}

#[test]
fn the_users_word_goes_before_heading_and_values() {
    let text = one_more("MPAN", &MPANS);
    let intake = mapped(&text, &[("mpan", "notes")]).unwrap();
    assert_eq!(field(&intake, 4), Some("notes"));
    let intake = mapped(&text, &[("MPAN", "")]).unwrap();
    assert_eq!(field(&intake, 4), None, "kept as the user's own, values or no values");
    let intake = mapped(&text, &[("MPAN", "existing_demand_kw")]).unwrap();
    assert!(warned(&intake, "You said that column E \"MPAN\" is existing_demand_kw, although it holds supply numbers"));
    let heading = super::headings::Heading { index: 27, ..Default::default() };
    assert_eq!(settled(&heading, &[("column AB".to_owned(), "notes".to_owned())]), Some("notes"));
}

#[test]
fn a_wrong_mapping_is_refused_with_the_nearest_right_name() {
    let says = |text: &str| mapping_of(text.as_bytes(), "map.toml").unwrap_err().to_string();
    for (text, part) in [
        ("[columns]\n\"Fuse\" = \"cutout_rating\"\n", "no survey column; the nearest is cutout_rating_a"),
        ("[columns]\n\"Fuse\" = \"mpan\"\n\"Cut\" = \"mpan\"\n", "both given to mpan"),
        ("[columns]\n\"Fuse\" = \"mpan\"\n\"Fuse\" = \"uprn\"\n", "line 3"),
        ("[columns]\n\"Fuse\" = \"mpan\"\n\" FUSE \" = \"uprn\"\n", "the same heading"),
        ("[columns]\n\"Fuse\" = 3\n", "\"Fuse\" is not given the name"),
        ("[colums]\n\"Fuse\" = \"mpan\"\n", "colums is not known"),
        ("Fuse: mpan\n", "line 1"),
        ("", "it has no columns"),
    ] {
        let sentence = says(text);
        assert!(sentence.starts_with("cannot use the mapping map.toml: ") && sentence.contains(part), "{sentence}");
        assert_eq!(sentence.lines().count(), 1, "{sentence}");
    }
    assert!(mapping_of(&[0xFF, 0xFE, 0], "map.toml").is_err());
    assert!(read_mapping(std::path::Path::new("none/map.toml")).unwrap_err().to_string().contains("map.toml"));
    let several = "[columns]\n\"Street\" = \"address\"\n\"Town\" = \"address\"\n";
    assert_eq!(mapping_of(several.as_bytes(), "map.toml").unwrap().columns.len(), 2);

    let text = one_more("Shower rating", &["9.5"]);
    let sentence = mapped(&text, &[("Shower ratng", "shower_kw")]).unwrap_err().to_string();
    assert!(sentence.contains("that the sheet does not have; the nearest is column E \"Shower rating\""), "{sentence}");
    let sentence = mapped(&text, &[("column Q", "shower_kw")]).unwrap_err().to_string();
    assert!(sentence.contains("column Q, and there is nothing in it"), "{sentence}");
    let twice = format!("{CORE},Note,Note\n1 Mill Lane,80,35,12,a,b\n");
    let sentence = mapped(&twice, &[("Note", "notes")]).unwrap_err().to_string();
    assert!(sentence.contains("heads two columns, E and F; write \"column E\""), "{sentence}");
    let intake = mapped(&twice, &[("column F", "notes")]).unwrap();
    assert_eq!(intake.sites[0].identity.notes.likely().map(String::as_str), Some("b"));
}

#[test]
fn a_street_and_a_town_that_are_both_settled_make_the_address() {
    let text = "Where,Place,Main fuse,Max demand,Cable run\nFennel Row 7,Tarnholt,80,35,12\n";
    let intake = mapped(text, &[("Where", "address"), ("Place", "address")]).unwrap();
    assert_eq!(intake.sites[0].identity.address.likely().map(String::as_str), Some("Fennel Row 7, Tarnholt"));
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 32, ..ProptestConfig::default() })]

    /// One way of writing each column, in any order, typed in any manner: every heading finds its field.
    #[test]
    fn any_way_of_writing_in_any_order(picks in proptest::collection::vec((any::<u16>(), 0..5_u8, any::<u32>()), fields().len())) {
        let mut order: Vec<usize> = (0..picks.len()).collect();
        order.sort_by_key(|at| picks[*at].2);
        let written = |at: &usize| {
            let field = &fields()[*at];
            let heading = field.headings[usize::from(picks[*at].0) % field.headings.len()];
            match picks[*at].1 {
                0 => heading.to_uppercase(),
                1 => heading.replace(' ', "_"),
                2 => format!("{heading}?"),
                3 if !field.unit.is_empty() => format!("{heading} ({})", field.unit),
                _ => format!("\u{a0}{}", heading.replace(' ', "  ")),
            }
        };
        let headings: Vec<super::headings::Heading> = order
            .iter()
            .enumerate()
            .map(|(index, at)| super::headings::Heading { index: index as u16, text: written(at), ..Default::default() })
            .collect();
        let found = super::headings::match_headings(&headings, &[]);
        prop_assert!(found.contested.is_empty());
        for (at, (heading, found)) in order.iter().zip(headings.iter().zip(&found.matches)) {
            let name = found.as_ref().map(|found| found.field.name);
            prop_assert_eq!(name, Some(fields()[*at].name), "{}", &heading.text);
        }
    }

    /// Any heading over any values, with any mapping of it, is read, refused with a sentence, or left alone.
    #[test]
    fn any_heading_over_any_values(
        heading in "[a-zA-Z0-9 ()/?\u{b2}-]{0,24}",
        values in proptest::collection::vec("(10123456789|QX4 7LP|PME|yes|loop|80A|[0-9]{1,13}|.{0,6})", 0..8),
        to in prop_oneof![Just(""), Just("mpan"), Just("shower_kw"), Just("address")],
    ) {
        let quoted: Vec<String> = values.iter().map(|value| format!("\"{}\"", value.replace('"', "\"\""))).collect();
        let values: Vec<&str> = quoted.iter().map(String::as_str).chain(["x"]).collect();
        let text = one_more(&heading, &values);
        for mapping in [vec![], vec![(heading.as_str(), to)], vec![("column E", to)]] {
            match mapped(&text, &mapping) {
                Ok(intake) => {
                    prop_assert_eq!(intake.rows.len(), values.len());
                    for column in &intake.columns {
                        prop_assert!((0.0..=1.0).contains(&column.score));
                        prop_assert_eq!(column.field.is_some(), column.score > 0.0);
                    }
                    prop_assert!(mapping_of(save_mapping(&intake).as_bytes(), "map.toml").is_ok());
                }
                Err(error) => prop_assert!(error.to_string().starts_with("cannot")),
            }
        }
    }
}

#[test]
fn a_unit_in_the_words_of_a_heading_is_never_lost() {
    for (heading, metres) in [
        ("Yards, meter to car", Some(27.43)),
        ("How many feet from fuse board to car", Some(9.14)),
        ("Feet from board to bay", Some(9.14)),
        ("Distance in yards to parking", Some(27.43)),
        ("Distance to parking, yards", Some(27.43)),
        ("Distance to parking in feet (approx)", Some(9.14)),
        ("No of metres to parking", Some(30.0)),
    ] {
        let text = format!(
            "Address,\"{heading}\",Main fuse (A),Max demand (A),Parking distance m\n1 Fennel Row,30,80,35,\n2 Fennel Row,30,80,35,\n3 Fennel Row,30,80,35,\n4 Fennel Row,30,80,35,\n"
        );
        let text = text.replace(",Parking distance m", "").replace(",35,\n", ",35\n");
        let found = crate::intake::read_bytes(text.as_bytes(), "a.csv", &crate::intake::ReadOptions::default());
        let read = found.ok().and_then(|intake| intake.sites[0].parking.parking_distance_m.likely().copied());
        // Not read is no fault; read in another unit is.
        if let (Some(read), Some(metres)) = (read, metres) {
            assert!((read - metres).abs() < 0.01, "{heading}: {read}");
        }
        println!("{heading}: {read:?}");
    }
}
