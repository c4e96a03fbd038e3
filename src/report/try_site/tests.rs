//! Whether the formulas find what the engine found.

use super::book::{Book, formulas};
use super::data::Tried;
use super::evaluate::{Names, Value};
use super::formula::parse;
use super::lines::checks;
use crate::estimate::PriceBook;
use crate::intake::{ReadOptions, read};
use crate::portfolio::{Portfolio, rank};
use crate::rules::{Stance, default_rules};
use crate::verdict::{Context, judge};
use std::collections::BTreeMap;
use std::path::Path;

/// The sample, judged.
fn sample() -> Portfolio {
    let place = Path::new(env!("CARGO_MANIFEST_DIR")).join("sample-portfolio/portfolio.xlsx");
    let intake = read(&place, &ReadOptions::default()).expect("the sample");
    let rules = default_rules();
    let context = Context {
        rules,
        prices: PriceBook::default_book(),
        stance: Stance::Screen,
        as_of: jiff::civil::date(2026, 11, 25),
        odds: false,
    };
    rank(intake.sites.iter().map(|site| judge(site, &context)).collect(), rules)
}

fn text(value: &Value) -> String {
    match value {
        Value::Blank => String::new(),
        Value::Number(number) => number.to_string(),
        Value::Text(text) => text.to_string(),
        other => format!("{other:?}"),
    }
}

fn alike(one: &Value, other: &Value) -> bool {
    match (one, other) {
        (Value::Number(one), Value::Number(other)) => (one - other).abs() <= 1e-9 * one.abs().max(1.0),
        _ => text(one) == text(other),
    }
}

#[test]
fn every_formula_is_one_and_every_name_in_it_has_a_value() {
    let portfolio = sample();
    let sites: Vec<_> = portfolio.sites.iter().filter_map(Tried::of).collect();
    let book = Book::of(sites, default_rules()).expect("sites to try");
    let inputs = BTreeMap::from([("your_site".to_owned(), Value::from(book.sites[0].id()))]);
    let reckoned = book.reckoned(&inputs);
    let mut faults = Vec::new();
    for (name, formula) in formulas() {
        let parsed = parse(&formula).unwrap_or_else(|why| panic!("{name}: {why} in {formula}"));
        parsed.names(&mut |inner| {
            if !inner.starts_with("your_") && reckoned.value(inner) == Value::Fault {
                faults.push(format!("{name}: {inner} in {formula}"));
            }
        });
    }
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

#[test]
fn with_nothing_changed_the_formulas_find_what_the_engine_found() {
    let portfolio = sample();
    let sites: Vec<_> = portfolio.sites.iter().filter_map(Tried::of).collect();
    assert!(sites.len() > 250, "only {} sites can be tried", sites.len());
    let book = Book::of(sites, default_rules()).expect("sites to try");
    let (mut wrong, mut compared) = (Vec::new(), 0);
    for site in &book.sites {
        let inputs = BTreeMap::from([("your_site".to_owned(), Value::from(site.id()))]);
        let reckoned = book.reckoned(&inputs);
        for line in checks() {
            let found = site.found(line);
            let parts = [("value", line.value), ("limit", line.limit), ("code", line.code)];
            let said = found.iter().any(|part| *part != Value::Blank);
            for ((part, formula), found) in
                parts.into_iter().zip(&found).filter(|((_, formula), _)| !formula.is_empty())
            {
                let now = reckoned.value(&format!("{}_{part}", line.key));
                let equal = if said || part == "code" { alike(&now, found) } else { now != Value::Fault };
                let silent =
                    !said && part == "code" && reckoned.value(&format!("{}_rank", line.key)) == Value::Number(0.0);
                compared += usize::from(said);
                if !equal && !silent {
                    wrong.push(format!(
                        "{} {}_{part}: {} but found {} ({formula})",
                        site.id(),
                        line.key,
                        text(&now),
                        text(found)
                    ));
                }
            }
        }
        let (now, found) = (reckoned.value("verdict_now"), reckoned.value("verdict_found"));
        if now != found {
            wrong.push(format!("{}: {} but found {}", site.id(), text(&now), text(&found)));
        }
    }
    assert!(wrong.is_empty(), "{} of {compared}:\n{}", wrong.len(), wrong[..wrong.len().min(60)].join("\n"));
    assert!(compared > 10_000, "{compared}");
}
