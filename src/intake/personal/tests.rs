//! Nothing that may be of a person is left after sharing, wherever it stood, and nothing else is changed by it.

use crate::intake::{Intake, ReadOptions, read_bytes, read_bytes_with, share, share_supply_numbers};

const HEAD: &str = "Ref,Address,Main fuse,Max demand,Cable run,Ward,Bin day";

fn shared(text: &str) -> Intake {
    let mut intake = read_bytes(text.as_bytes(), "a.csv", &ReadOptions::default()).unwrap();
    share(&mut intake);
    intake
}

/// Everything that is kept, as one text.
fn all_of(intake: &Intake) -> String {
    let mut plain = intake.clone();
    // What names a column is not what stands in it.
    plain.sheets.clear();
    format!("{plain:?}")
}

#[test]
fn columns_of_persons_go_and_columns_of_the_place_stay() {
    let headings = [
        ("Tenant name", "Zq Person", true),
        ("TenantSurname", "Zqperson", true),
        ("Contact tel.", "07700 900123", true),
        ("E-mail", "zq@example.org", true),
        ("Key safe", "4711", true),
        ("DoB", "1961-04-01", true),
        ("Assessed_by", "ZQ", true),
        ("Officer ref", "Q04", true),
        ("Comments", "second gate", true),
        ("", "Zq", true),
        ("Scheme", "Zq", true),
        ("Scheme year", "2026", false),
        ("Scheme week", "7700900123", true),
        ("Estate", "Abbot's Field", false),
        ("Estate office", "Mrs Zq", true),
        ("Budget year", "1961-04-01", true),
        ("Batch", "3", false),
        ("Xyzzy", "3", true),
    ];
    for (heading, cell, goes) in headings {
        let text = format!("{HEAD},{heading}\nA1,1 Mill Lane,80,35,12,North,Tue,{cell}\n");
        let intake = shared(&text);
        let left: Vec<&str> = intake.left_out.as_ref().unwrap().iter().map(|one| one.heading.as_str()).collect();
        assert_eq!(left.contains(&heading), goes, "{heading}: {left:?}");
        assert_eq!(intake.columns.iter().any(|column| column.heading == heading), !goes, "{heading}");
        assert_eq!(intake.rows[0].cells.len(), intake.columns.len());
        assert!(!left.contains(&"Ward") && !left.contains(&"Bin day"), "{left:?}");
    }
}

#[test]
fn names_in_other_cells_go_and_what_was_understood_stays() {
    let text = format!(
        "{HEAD},Notes,Looped?\n\
         A1,\"1 Mill Lane, Mrs Zqname\",80A says Zqname,35 (Zqname 07700 900123),12,North,Tue,ask Zqname,no\n\
         A2,2 Mill Lane,100,zqname knows,12,North,Tue,,Zqname says yes\n\
         Zqname total,,,,,,,,\n\
         ,Compiled by Zqname,,,,,,,\n"
    );
    let kept = read_bytes(text.as_bytes(), "a.csv", &ReadOptions::default()).unwrap();
    let intake = shared(&text);
    let all = all_of(&intake);
    assert!(!all.to_lowercase().contains("zqname"), "{all}");
    assert!(!all.contains("900123"), "{all}");
    assert_eq!(intake.sites.len(), kept.sites.len());
    assert_eq!(intake.sites[0].supply.cutout_rating_a, kept.sites[0].supply.cutout_rating_a);
    assert_eq!(intake.sites[0].identity.address.likely().map(String::as_str), Some("1 Mill Lane, [left out]"));
    assert_eq!(intake.sites[1].load.existing_demand_a, kept.sites[1].load.existing_demand_a);
    assert_eq!(intake.set_aside.len(), kept.set_aside.len());
}

#[test]
fn rows_for_one_place_and_files_laid_over_it_quote_nothing() {
    let text = format!(
        "{HEAD},UPRN,Surveyed,Notes,Tenant\n\
         A1,1 Mill Lane,80 Zqname,35,12,North,Tue,100012345678,2026-01-01,Zqname,Zqname\n\
         A1,1 Mill Lane,100 zqname,35,12,North,Tue,100012345678,2026-02-01,zqname rang,Zqname\n"
    );
    let other = "UPRN,Main fuse,Notes,Existing load,MPAN\n100012345678,60 zqname,zqname at home,Zqname 40,1112345678908\n\
                 999999999999,zqname,,,\n";
    let options = ReadOptions::default();
    let mut intake = read_bytes_with(("a.csv", text.as_bytes()), &[("b.csv", other.as_bytes())], &options).unwrap();
    assert!(format!("{intake:?}").to_lowercase().contains("zqname"));
    share(&mut intake);
    assert!(intake.sites[0].supply.mpan.is_stated(), "judging needs it");
    share_supply_numbers(&mut intake.sites);
    let all = all_of(&intake).to_lowercase();
    assert!(!all.contains("zqname"), "{}", &all[all.find("zqname").unwrap().saturating_sub(300)..]);
    assert!(!all.contains("1112345678908"), "{all}");
}

#[test]
fn what_stands_beside_or_below_the_survey_is_not_quoted() {
    // The second table reaches beyond the columns of the first: its cells stand in no row that is kept.
    let text = format!(
        "{HEAD}\nA1,1 Mill Lane,80,35,12,North,Tue\nA2,2 Mill Lane,80,35,12,North,Tue\n,,,,,,,,,\n\
         ,,,,,,,,zqcontact,zqdesk\n,,,,,,,,zqjane,zqtown\n,,,,,,,,zqjoe,zqtown\n"
    );
    let intake = shared(&text);
    let all = all_of(&intake);
    assert!(!all.to_lowercase().contains("zq"), "{all}");
    let other = format!(
        "{HEAD}\nA1,1 Mill Lane,80,35,12,North,Tue\n\n\nzqname,zqdesk,zqtel,zqmail\nzqjane,b,c,d\nzqjoe,b,c,d\n"
    );
    let kept = read_bytes(other.as_bytes(), "a.csv", &ReadOptions::default()).unwrap();
    assert!(kept.warnings.iter().any(|warning| warning.contains("zqname")), "{:?}", kept.warnings);
    let all = all_of(&shared(&other));
    assert!(!all.to_lowercase().contains("zq"), "{all}");
}

/// Headings and cells drawn from what people write: whatever the columns are, none that is personal is kept, and no
/// planted word or number comes out again.
#[test]
fn no_column_that_looks_personal_is_ever_kept() {
    let personal = [
        "Name",
        "Tenant",
        "Resident name",
        "Contact",
        "Telephone",
        "Mobile no",
        "Email address",
        "Access notes",
        "Door code",
        "Caretaker",
        "Surveyor",
        "Customer",
        "Date of birth",
        "NI number",
        "Next of kin",
        "Key location",
        "Comments",
    ];
    let decorations: [fn(&str) -> String; 6] = [
        |word| word.to_owned(),
        |word| word.to_uppercase(),
        |word| word.replace(' ', "_"),
        |word| format!("{word} (if known)"),
        |word| format!("Main {}", word.to_lowercase()),
        |word| format!("{word} 2"),
    ];
    let cells = ["Zqname", "07700 900123", "zq@example.org", "4711", "Mr Zqname", "12/03/1961", "Q04", "yes"];
    let headings: Vec<String> =
        personal.iter().flat_map(|word| decorations.iter().map(move |decorate| decorate(word))).collect();
    for cell in cells {
        let line = vec![cell; headings.len()].join(",");
        let intake = shared(&format!("{HEAD},{}\nA1,1 Mill Lane,80,35,12,North,Tue,{line}\n", headings.join(",")));
        // What is read as a survey field is shared as that field is.
        for column in intake.columns.iter().filter(|column| column.field.is_none()) {
            assert!(["Ward", "Bin day"].contains(&column.heading.as_str()), "{} with {cell} is kept", column.heading);
        }
        let left = intake.left_out.as_ref().map_or(0, Vec::len);
        assert!(left * 2 > headings.len(), "the search itself has gone blind: {left} of {}", headings.len());
    }
    // A neutral heading is no leave: what looks personal goes by its cells.
    for heading in ["Ward", "Bin day", "Batch", "Scheme year"] {
        for cell in ["07700 900123", "zq@example.org", "Mr Zqname", "7700900123"] {
            let intake = shared(&format!(
                "Ref,Address,Main fuse,Max demand,Cable run,{heading}\nA1,1 Mill Lane,80,35,12,{cell}\n"
            ));
            assert!(!all_of(&intake).contains(cell), "{heading} with {cell}");
        }
    }
}
