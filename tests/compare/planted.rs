//! Changes planted in a small portfolio, each of which must be told with its cause: an answer, a price, a site that
//! went, one that came, an address spelt otherwise.

use crate::mirror::assert_whole;
use crate::{assess, compared, json};
use serde_json::Value;
use std::fs;
use std::path::{Path, PathBuf};

const HEADINGS: &str = "site_id,address,postcode,premises_type,tenure,cutout_rating_a,cutout_evidence,looped_service,\
    survey_method,existing_demand_a,parking_type,parking_distance_m\n";

/// Six homes; a row has a key, its address, its fuse, the evidence for it and its demand.
fn homes(rows: &[[&str; 5]]) -> String {
    let mut text = HEADINGS.to_owned();
    for [key, address, fuse, evidence, demand] in rows {
        text += &format!("{key},{address},QX4 7LP,house,owner,{fuse},{evidence},no,visit,{demand},driveway,12\n");
    }
    text
}

const BEFORE: [[&str; 5]; 6] = [
    ["A1", "\"3 Fennel Row, Tarnholt\"", "80", "fuse", "20"],
    ["A2", "\"5 Fennel Row, Tarnholt\"", "", "", "20"],
    ["A3", "\"7 Fennel Row, Tarnholt\"", "100", "fuse", "21"],
    ["A4", "\"9 Fennel Row, Tarnholt\"", "100", "fuse", "22"],
    ["A5", "\"11 Fennel Row, Tarnholt\"", "80", "fuse", "18"],
    ["A6", "\"13 Fennel Row, Tarnholt\"", "80", "fuse", "19"],
];

struct Two {
    folder: tempfile::TempDir,
    before: PathBuf,
    was: Value,
}

impl Two {
    fn new() -> Self {
        let folder = tempfile::tempdir().unwrap();
        let place = folder.path().join("homes.csv");
        fs::write(&place, homes(&BEFORE)).unwrap();
        let before = assess(&place, &folder.path().join("before.xlsx"), &["--as-of", "2026-11-25"]);
        let was = json(&before);
        Self { folder, before, was }
    }

    fn at(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    /// What changes when these are the homes, judged with further options.
    fn changes(&self, rows: &[[&str; 5]], more: &[&str]) -> (String, Value) {
        let place = self.at("homes.csv");
        fs::write(&place, homes(rows)).unwrap();
        let options = [&["--as-of", "2026-11-25", "--force"], more].concat();
        let after = assess(&place, &self.at("after.xlsx"), &options);
        let (page, found) = compared(&self.before, &after, &self.at("changes.xlsx"));
        assert_whole(&found, &self.was, &json(&after), "planted");
        (page, found)
    }
}

fn changed<'a>(found: &'a Value, id: &str) -> &'a Value {
    let list = found["changed"].as_array().unwrap();
    list.iter().find(|one| one["site_id"] == id).unwrap_or_else(|| panic!("{id} is not among {list:#?}"))
}

fn ids(list: &Value) -> Vec<&str> {
    list.as_array().unwrap().iter().map(|one| one["site_id"].as_str().unwrap()).collect()
}

#[test]
fn a_fuse_that_was_answered_is_the_cause() {
    let two = Two::new();
    let mut rows = BEFORE;
    rows[1] = ["A2", "\"5 Fennel Row, Tarnholt\"", "80", "fuse", "20"];
    let (page, found) = two.changes(&rows, &[]);
    let one = changed(&found, "A2");
    assert_eq!((one["verdict_before"].as_str(), one["verdict_after"].as_str()), (Some("marginal"), Some("ready")));
    assert_eq!(one["reasons_went"][0], "cutout-unknown");
    assert_eq!((&one["cause"][0], &one["cause_is_sure"]), (&"portfolio".into(), &true.into()));
    let facts: Vec<&str> = one["facts"].as_array().unwrap().iter().map(|fact| fact["said"].as_str().unwrap()).collect();
    assert!(facts.iter().any(|said| said.contains("cutout rating")), "{facts:?}");
    assert!(page.contains("A2: Ready, was marginal.") && page.contains("cut-out rating unknown"), "{page}");
    // Nobody else has anything of its own that is other.
    let own = found["changed"].as_array().unwrap().iter().filter(|one| !one["cause"].as_array().unwrap().is_empty());
    assert_eq!(own.count(), 1);
}

/// A price book in which one item costs a tenth more.
fn dearer(place: &Path, item: &str) {
    let book = Path::new(env!("CARGO_MANIFEST_DIR")).join("sample-portfolio/price-book.csv");
    let mut reader = csv::Reader::from_path(book).unwrap();
    let headings = reader.headers().unwrap().clone();
    let mut writer = csv::Writer::from_path(place).unwrap();
    writer.write_record(&headings).unwrap();
    let mut found = 0;
    for record in reader.records().map(Result::unwrap).filter(|record| &record[0] == item) {
        let raised = record.iter().zip(&headings).map(|(cell, heading)| match heading {
            "low" | "likely" | "high" => format!("{:.4}", cell.parse::<f64>().unwrap() * 1.1),
            _ => cell.to_owned(),
        });
        writer.write_record(raised).unwrap();
        found += 1;
    }
    writer.flush().unwrap();
    assert_eq!(found, 1, "no price of {item}");
}

#[test]
fn a_price_a_tenth_higher_is_told_as_a_price_and_by_its_item() {
    let two = Two::new();
    let item = "charge-point-1ph";
    let prices = two.at("prices.csv");
    dearer(&prices, item);
    let (page, found) = two.changes(&BEFORE, &["--prices", prices.to_str().unwrap()]);
    let sites = two.was["sites"].as_array().unwrap();
    let mut priced = 0;
    for site in sites.iter().filter(|site| site["cost_likely_gbp"].is_number()) {
        priced += 1;
        let line = site["bill"].as_array().unwrap().iter().find(|line| line["item"] == item).expect("a charge point");
        let one = changed(&found, site["site_id"].as_str().unwrap());
        assert_eq!((&one["cost_moved_by"], &one["items"][0]["item"]), (&"prices".into(), &item.into()), "{one}");
        let (more, was) = (one["cost_more_gbp"].as_f64().unwrap(), line["cost_likely_gbp"].as_f64().unwrap());
        assert!((more - was * 0.1).abs() <= 0.011, "a tenth of {was} is not {more}");
        assert_eq!((&one["cause"][0], &one["cause_is_sure"]), (&"price book".into(), &true.into()));
        assert_eq!(one["verdict_before"], one["verdict_after"]);
    }
    assert!(priced >= 5 && found["cost_parts"].as_array().unwrap().len() == 1);
    assert!(page.contains("price book (prices.csv, was price-book.csv (default))"), "{page}");
}

#[test]
fn who_came_who_went_and_who_is_spelt_otherwise() {
    let two = Two::new();
    let mut rows: Vec<[&str; 5]> = BEFORE.to_vec();
    rows.remove(3);
    rows[0] = ["N1", "\"3 Fennell Row, Tarnholt\"", "80", "fuse", "20"];
    rows.push(["A9", "\"15 Fennel Row, Tarnholt\"", "80", "fuse", "17"]);
    let (page, found) = two.changes(&rows, &[]);
    assert_eq!((ids(&found["came"]), ids(&found["went"])), (vec!["A9"], vec!["A4"]));
    let [respelt] = found["respelt"].as_array().unwrap().as_slice() else { panic!("{found}") };
    assert_eq!((respelt["site_id_before"].as_str(), respelt["site_id_after"].as_str()), (Some("A1"), Some("N1")));
    assert_eq!(respelt["found_by"], "address, spelt otherwise");
    assert!(respelt["likeness"].as_f64().unwrap() > 0.9);
    assert!(page.contains("4 by site_id; 1 by address, spelt otherwise"), "{page}");
    assert!(page.contains("1 came, 1 went"), "{page}");
    assert_eq!(found["sites_in_both"], 5);
}

#[test]
fn answers_and_prices_at_once_are_told_apart() {
    let two = Two::new();
    let mut rows = BEFORE;
    rows[1] = ["A2", "\"5 Fennel Row, Tarnholt\"", "80", "fuse", "20"];
    let prices = two.at("prices.csv");
    dearer(&prices, "charge-point-1ph");
    let (_, found) = two.changes(&rows, &["--prices", prices.to_str().unwrap()]);
    let answered = changed(&found, "A2");
    assert_eq!(answered["cause"], serde_json::json!(["portfolio", "price book"]));
    let other = changed(&found, "A3");
    assert_eq!((&other["cause"], &other["cause_is_sure"]), (&serde_json::json!(["price book"]), &true.into()));
}
