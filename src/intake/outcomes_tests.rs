//! Sheets of outcomes as people send them back, read beside a portfolio.

use super::{OutcomesRead, ReadOptions, outcomes_of_bytes, read_bytes};
use crate::site::{EarthingSystem, Verdict};

const MAIN: &str = "Site ID,UPRN,Address,Postcode,Main fuse (A),Max demand (A),Cable run (m)\n\
    H1,100001,7 Fennel Row,QX4 7LP,80,20,12\n\
    H2,100002,9 Fennel Row,QX4 7LP,60,20,14\n\
    H3,,11 Fennel Row,QX4 7LP,60,20,14\n";

fn read(files: &[(&str, &str)]) -> Result<OutcomesRead, String> {
    let sites = read_bytes(MAIN.as_bytes(), "Main.csv", &ReadOptions::default()).unwrap().sites;
    let files: Vec<(&str, &[u8])> = files.iter().map(|(name, text)| (*name, text.as_bytes())).collect();
    outcomes_of_bytes(&files, &sites).map_err(|why| why.to_string())
}

fn told(read: &OutcomesRead) -> Vec<(u32, &str, &str)> {
    read.not_used.iter().map(|one| (one.row, one.field, one.found.as_str())).collect()
}

#[test]
fn outcomes_and_facts_found_go_to_their_sites_and_the_rest_is_told() {
    let text = "Site,Verdict on site,Installed cost,Hours,Date,Looped service,Main fuse (A),Earthing,Mood\n\
        h1,ready,\"£1,250\",6.5,2026-10-02,no,60,TN-S,fine\n\
        H9,ready,900,5,,,,,\n\
        H2,perhaps,free,4,,yes,a lot,TN-C-S,\n\
        ,ready,900,5,,,,,\n\
        H3,,,,,,,,\n";
    let read = read(&[("back.csv", text)]).unwrap();
    assert_eq!((read.rows_read, read.outcomes.len()), (5, 3), "{:#?}", read.not_used);
    let first = &read.outcomes[0];
    assert_eq!((first.at, first.verdict, first.hours), (0, Some(Verdict::Ready), Some(6.5)));
    assert_eq!(first.cost.unwrap().pounds(), 1250.0);
    let found = first.found.as_ref().unwrap();
    assert_eq!(found.supply.looped_service.stated(), Some(&false));
    assert_eq!(found.supply.cutout_rating_a.value(), Some(60.0));
    assert_eq!(found.supply.earthing_system.value(), Some(EarthingSystem::TnS));
    let second = &read.outcomes[1];
    assert_eq!((second.at, second.verdict, second.cost), (1, None, None));
    assert_eq!(second.found.as_ref().unwrap().supply.looped_service.stated(), Some(&true));
    let told = told(&read);
    for one in [
        (0, "", "Mood"),
        (3, "site_id", "H9"),
        (4, "verdict_on_site", "perhaps"),
        (4, "installed_cost_gbp", "free"),
        (4, "cutout_rating_a", "a lot"),
        (5, "site_id", ""),
    ] {
        assert!(told.contains(&one), "{one:?} in {told:?}");
    }
    assert!(read.fields.contains(&"looped_service") && read.fields.contains(&"cutout_rating_a"));
}

#[test]
fn a_site_named_twice_counts_once_by_its_later_day() {
    let one = "site_id,verdict_on_site,date\nH1,blocked,2026-09-01\nH2,ready,\n";
    let two = "UPRN,verdict_on_site,date\n100001,ready,2026-10-01\n100002,blocked,\n";
    let read = read(&[("one.csv", one), ("two.csv", two)]).unwrap();
    let verdicts: Vec<_> = read.outcomes.iter().map(|outcome| outcome.verdict).collect();
    assert_eq!(verdicts, [Some(Verdict::Ready), Some(Verdict::Ready)]);
    assert_eq!(read.not_used.len(), 2);
    assert!(read.not_used[0].file == "one.csv" && read.not_used[0].why.contains("later day"), "{:?}", read.not_used);
    assert!(read.not_used[1].file == "two.csv" && read.not_used[1].why.contains("came first"), "{:?}", read.not_used);
}

#[test]
fn facts_alone_are_outcomes_and_what_is_none_is_refused() {
    let facts = read(&[("facts.csv", "site_id,looped_service\nH1,yes\n")]).unwrap();
    assert_eq!(facts.outcomes.len(), 1, "{:#?}", facts.not_used);
    assert!(facts.outcomes[0].found.as_ref().unwrap().supply.looped_service.is(true));
    for text in ["a,b\n1,2\n", "", "verdict_on_site\nready\n", "site_id\nH1\n", "\u{0}\u{1}\u{2}"] {
        let said = read(&[("none.csv", text)]).unwrap_err();
        assert!(said.contains("none.csv"), "{said}");
    }
}
