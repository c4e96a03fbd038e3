//! Job cards: the words of one against a copy that was looked at, what a card that is shared leaves out, one page a site.

use super::{baywright, root, sample, text};
use std::fs;
use std::path::{Path, PathBuf};

const PORTFOLIO: &str = "\
Ref,Address,Postcode,Type,Tenure,Main fuse,Fuse how known,Max demand,Demand how,Parking,Cable run,Trench (m),Walls,Looped?,\
Earthing,Ze,Main bonding,Tails,Isolator?,Cut-out condition,Board,Spare ways,RCD type,Consent,Year built,Asbestos?,\
Survey date,Contact,Contact tel,Key safe,Date of birth\n\
C1,14 Teasel Walk,ZR1 4AE,House,Social rent,80,fuse seen,22 A,measured,Driveway,16,6,1,no,TN-C-S,0.2,10,25,yes,sound,Metal,2,A,\
Not needed,1998,no,2026-05-04,Pat Example,07700 900123,4711,1961-04-01\n\
C2,16 Teasel Walk,ZR1 4AE,House,Owner,60,label,35,estimated,On-street,,,,yes,,,,,,,,,,,1936,,2026-05-04,,,,\n";

fn portfolio(folder: &Path) -> PathBuf {
    let path = folder.join("two-homes.csv");
    fs::write(&path, PORTFOLIO).unwrap();
    path
}

fn card(portfolio: &Path, more: &[&str]) -> String {
    let output = baywright(&[&["card", portfolio.to_str().unwrap()], more].concat());
    assert!(output.status.success(), "{}", text(&output.stderr));
    text(&output.stdout)
}

#[test]
fn the_words_of_a_card_are_those_that_were_looked_at() {
    let folder = tempfile::tempdir().unwrap();
    let said = card(&portfolio(folder.path()), &["--site", "C1", "C2"]);
    // The last lines name versions and digests.
    let said: String =
        said.lines().filter(|line| !line.contains("Spreadsheet ")).map(|line| format!("{line}\n")).collect();
    let golden = root().join("tests/whole/card.txt");
    if std::env::var("BAYWRIGHT_WRITE_CARDS").is_ok() {
        fs::write(&golden, &said).unwrap();
    }
    let wanted = fs::read_to_string(&golden).unwrap();
    for (number, (wanted, said)) in wanted.lines().zip(said.lines()).enumerate() {
        assert_eq!(wanted, said, "line {}: look at it, then BAYWRIGHT_WRITE_CARDS=1", number + 1);
    }
    assert_eq!(wanted.lines().count(), said.lines().count());
}

#[test]
fn a_crew_is_told_whom_to_call_and_how_to_get_in_and_nobody_else_is() {
    let folder = tempfile::tempdir().unwrap();
    let portfolio = portfolio(folder.path());
    let own = card(&portfolio, &["--site", "C1"]);
    let shared = card(&portfolio, &["--site", "C1", "--share"]);
    for secret in ["Pat Example", "07700 900123", "4711"] {
        assert!(own.contains(secret), "{own}");
        assert!(!shared.contains(secret), "{shared}");
    }
    // Nobody needs a birthday to lay a cable.
    assert!(!own.contains("1961") && own.contains("Holds personal data"), "{own}");
    assert!(shared.contains("left out for sharing"), "{shared}");
}

#[test]
fn cards_of_a_lot_are_a_sheet_a_site_and_what_is_blocked_has_no_job() {
    let folder = tempfile::tempdir().unwrap();
    let place = folder.path().join("cards.xlsx");
    let output = baywright(&[
        "card",
        sample().to_str().unwrap(),
        "--for",
        "lot=2 Oxlathe",
        "--site",
        "H0001",
        "-o",
        place.to_str().unwrap(),
        "--no-odds",
    ]);
    assert!(output.status.success(), "{}", text(&output.stderr));
    let mut book: calamine::Xlsx<_> = calamine::open_workbook(&place).unwrap();
    let names = calamine::Reader::sheet_names(&book);
    assert!(names.len() > 10 && names[0] == "H0001", "{names:?}");
    for (at, name) in names.iter().enumerate() {
        let range = calamine::Reader::worksheet_range(&mut book, name).unwrap();
        let cells: Vec<String> = range.used_cells().map(|(_, _, cell)| cell.to_string()).collect();
        let has = |words: &str| cells.iter().any(|cell| cell.starts_with(words));
        assert!(cells[0].starts_with(&format!("Job card  {name}")), "{}", cells[0]);
        assert_eq!(has("NO JOB"), at == 0, "{name}");
        assert_eq!(has("Bring: materials"), at != 0, "{name}");
        assert!(has("Whom to call first") && has("Stop, make safe") && has("Found and done"), "{name}");
        let told = cells.iter().any(|cell| cell.contains("tell it within 28 days"));
        assert!(!told || at != 0, "nothing is told of a job that is none");
    }
    // Nothing is written for a site that is not there, or for none.
    let nowhere = folder.path().join("none.xlsx");
    for more in [&["--site", "NOWHERE"][..], &["--for", "lot=NOWHERE"], &[]] {
        let output =
            baywright(&[&["card", sample().to_str().unwrap(), "-o", nowhere.to_str().unwrap()], more].concat());
        assert!(!output.status.success() && !nowhere.exists(), "{more:?}");
    }
}
