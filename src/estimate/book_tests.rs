//! The price book held against the code and tables that name its items, and against faulty files.

use super::known::{CODES, FLAT_SIZES, SIZES, STEMS};
use super::*;
use crate::finding::{Effect, reason, reasons};
use crate::quantity::Band;
use crate::rules::default_rules;
use std::collections::BTreeSet;

const REMEDIES: &str = include_str!("../verdict/remedies.csv");

fn book() -> &'static PriceBook {
    PriceBook::default_book()
}

fn remedies() -> Vec<csv::StringRecord> {
    csv::Reader::from_reader(REMEDIES.as_bytes()).records().map(|record| record.unwrap()).collect()
}

#[test]
fn every_line_of_the_default_book_says_where_it_comes_from() {
    for item in book().items() {
        assert!(!item.description.is_empty() && !item.basis.is_empty() && !item.source.is_empty(), "{}", item.code);
        assert_eq!(item.kind == ItemKind::Task, item.labour_rate.is_some(), "{}", item.code);
        assert_eq!(item.kind == ItemKind::Task, item.unit.starts_with("h a "), "{}", item.code);
        assert!(item.year == 2026 && !item.own, "{}", item.code);
    }
    assert_eq!(book().sha256.len(), 64);
}

#[test]
fn every_item_named_in_code_rules_and_remedies_is_in_the_book() {
    for code in CODES {
        assert!(book().by_code(code).is_some(), "{code}");
    }
    for point in &default_rules().charge_point {
        assert!(book().by_code(&point.item).is_some(), "{}", point.item);
    }
    for record in remedies() {
        assert!(book().parse_items(&record[4]).is_ok(), "{record:?}");
    }
}

#[test]
fn every_cable_and_size_has_a_line_and_more_copper_costs_more() {
    for stem in STEMS {
        let sizes = if stem == STEMS[0] { FLAT_SIZES } else { SIZES };
        let prices: Vec<Band> =
            sizes.iter().map(|size| book().by_code(&format!("{stem}-{size}")).unwrap().figure).collect();
        for pair in prices.windows(2) {
            assert!(pair[0].low < pair[1].low && pair[0].likely < pair[1].likely && pair[0].high < pair[1].high);
        }
    }
    for size in SIZES {
        let by_cores: Vec<f64> =
            STEMS[1..5].iter().map(|stem| book().by_code(&format!("{stem}-{size}")).unwrap().figure.likely).collect();
        assert!(by_cores.windows(2).all(|pair| pair[0] < pair[1]), "{size}: {by_cores:?}");
    }
}

#[test]
fn every_reason_that_stops_or_holds_has_a_way_out() {
    let held: BTreeSet<String> = remedies().iter().map(|record| record[0].to_owned()).collect();
    for reason in reasons() {
        let needs = matches!(reason.effect, Effect::Stops | Effect::Holds);
        assert_eq!(needs, held.contains(reason.code), "{}", reason.code);
    }
}

#[test]
fn remedies_are_well_formed() {
    for record in remedies() {
        assert_eq!(reason(&record[0]).code, &record[0], "{record:?}");
        assert!(!record[1].is_empty() && !record[9].is_empty() && !record[10].is_empty(), "{record:?}");
        assert!(
            ["settles", "none", "cutout=80", "cutout=100", "service=100", "phases=3", "demand=likely"]
                .contains(&&record[2]),
            "{record:?}"
        );
        assert!(["programme", "operator", "landlord", "resident", "nobody"].contains(&&record[3]), "{record:?}");
        let weeks: Vec<u16> = (5..8).map(|column| record[column].parse().unwrap()).collect();
        assert!(weeks[0] <= weeks[1] && weeks[1] <= weeks[2], "{record:?}");
        let chance: f64 = record[8].parse().unwrap();
        assert!((0.0..=1.0).contains(&chance), "{record:?}");
        assert!(["any", "home", "site"].contains(&&record[11]), "{record:?}");
    }
}

#[test]
fn words_for_reasons_are_short_and_name_a_payer() {
    for reason in reasons() {
        assert!((2..=5).contains(&reason.title.split_whitespace().count()), "{}: {}", reason.code, reason.title);
        assert!(reason.sentence.ends_with('.'), "{}", reason.code);
        assert!(["programme", "operator", "landlord", "resident", "nobody"].contains(&reason.payer), "{}", reason.code);
    }
}

#[test]
fn a_users_book_is_laid_over_the_default() {
    let own = "\u{feff}Item,low,likely,high,notes\nrate-electrician,60,70,80,our framework\n\n earth-rod , 1,2,3,\n";
    let prices = PriceBook::from_csv("own.csv", own.as_bytes()).unwrap();
    assert_eq!(prices.name, "own.csv");
    assert_ne!(prices.sha256, book().sha256);
    let rod = prices.by_code("earth-rod").unwrap();
    assert_eq!((rod.figure, rod.own, rod.basis), (Band::new(1.0, 2.0, 3.0), true, "stated in the user's price book"));
    assert_eq!(rod.description, book().by_code("earth-rod").unwrap().description);
    // A rate reaches every task that uses it, and all else keeps its price and its place.
    assert_eq!(prices.by_code("drive-rod").unwrap().unit_cost.likely, 0.75 * 70.0);
    assert_eq!(prices.by_code("duct"), book().by_code("duct"));
    assert_eq!(prices.index("duct"), book().index("duct"));
}

#[test]
fn a_task_of_the_users_own_needs_a_labour_rate() {
    let head = "item,kind,unit,low,likely,high,labour_rate,year\n";
    let own = format!(
        "{head}paint-wall,task,h a wall,1,2,3,rate-painter,2026\nrate-painter,rate,\"GBP a person-hour, crew of 1\",20,30,40,,2026\n"
    );
    let prices = PriceBook::from_csv("own.csv", own.as_bytes()).unwrap();
    assert_eq!(prices.by_code("paint-wall").unwrap().unit_cost.likely, 60.0);
    for rate in ["", "duct", "no-such-rate", "cable-waste"] {
        let own = format!("{head}paint-wall,task,h a wall,1,2,3,{rate},2026\n");
        let fault = PriceBook::from_csv("own.csv", own.as_bytes()).unwrap_err().to_string();
        assert!(fault.contains("line 2") && fault.contains("labour_rate"), "{fault}");
    }
}

#[test]
fn a_faulty_line_is_named_with_file_line_column_found_and_expected() {
    for (text, names) in [
        ("item,low,likely\n", vec!["own.csv", "line 1", "\"high\""]),
        ("item,low,likely,high,colour\n", vec!["colour"]),
        ("item,low,likely,high,low\n", vec!["twice"]),
        ("", vec!["\"item\""]),
        ("item,low,likely,high\nduct,1,2,£3\n", vec!["own.csv", "line 2", "column high", "£3", "plain number"]),
        ("item,low,likely,high\n\nduct,1,2\n", vec!["line 3", "column high"]),
        ("item,low,likely,high\nduct,3,2,4\n", vec!["column low", "at most the likely"]),
        ("item,low,likely,high\nduct,1,2,1\n", vec!["column high", "at least the likely"]),
        ("item,low,likely,high\nduct,-1,2,3\n", vec!["column low", "-1"]),
        ("item,low,likely,high\nduct,1,NaN,3\n", vec!["column likely", "NaN"]),
        ("item,low,likely,high\nduct,1,2,1e300\n", vec!["column high"]),
        ("item,low,likely,high\n,1,2,3\n", vec!["column item"]),
        ("item,low,likely,high\nDuct 50,1,2,3\n", vec!["column item", "Duct 50"]),
        ("item,low,likely,high\nduct,1,2,3\nduct,1,2,3\n", vec!["line 3", "each item once"]),
        ("item,low,likely,high\nnew-thing,1,2,3\n", vec!["column kind", "material, service, task or rate"]),
        ("item,low,likely,high,kind\nnew-thing,1,2,3,material\n", vec!["column unit"]),
        ("item,low,likely,high,kind,unit\nnew-thing,1,2,3,material,m\n", vec!["column year"]),
        ("item,low,likely,high,unit\nduct,1,2,3,each\n", vec!["column unit", "expected m."]),
        ("item,low,likely,high,kind\nduct,1,2,3,service\n", vec!["column kind", "expected material."]),
    ] {
        let fault = PriceBook::from_csv("own.csv", text.as_bytes()).unwrap_err().to_string();
        for name in names {
            assert!(fault.contains(name), "{text:?} gave {fault:?}, which lacks {name:?}");
        }
    }
    let bytes = b"item,low,likely,high\nd\xffct,1,2,3\n";
    let fault = PriceBook::from_csv("own.csv", bytes).unwrap_err().to_string();
    assert!(fault.contains("line 2") && fault.contains("UTF-8"), "{fault}");
    let fault = PriceBook::load(std::path::Path::new("no-such-book.csv")).unwrap_err().to_string();
    assert!(fault.contains("no-such-book.csv"), "{fault}");
}
