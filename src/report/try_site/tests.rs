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
    rank(intake.sites.iter().map(|site| judge(site, &context)), rules)
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

/// Counts, unit conversions and the guards of formulas; everything else has a name.
const PLAIN: [f64; 9] = [0.0, 1.0, 2.0, 3.0, 4.0, 9.0, 10.0, 100.0, 1000.0];

#[test]
fn no_figure_of_a_table_or_of_the_rules_is_typed_into_a_formula() {
    for (name, text) in formulas() {
        parse(&text).expect("a formula").numbers(&mut |number| {
            assert!(PLAIN.contains(&number), "{name} holds {number}: {text}");
        });
    }
}

#[test]
fn an_array_stands_only_where_every_program_reckons_with_one() {
    use super::formula::{Formula, Function};
    // Some programs look at a single cell of a range that is compared inside another function within the sum: only a
    // choice between texts stands there.
    fn look(formula: &Formula, summed: bool, name: &str) {
        match formula {
            Formula::Call(function, arguments) => {
                assert!(!summed || *function == Function::If, "{name} has a function inside a sum of products");
                let summed = summed || *function == Function::Sumproduct;
                arguments.iter().for_each(|argument| look(argument, summed, name));
            }
            Formula::Binary(_, left, right) => [left, right].into_iter().for_each(|side| look(side, summed, name)),
            Formula::Number(_) | Formula::Text(_) | Formula::Name(_) => {}
        }
    }
    for (name, text) in formulas() {
        look(&parse(&text).expect("a formula"), false, &name);
    }
}

#[test]
fn every_name_stands_once_and_is_none_of_a_cell() {
    let mut names: Vec<String> = formulas().into_iter().map(|(name, _)| name).collect();
    names.extend(super::data::columns().into_iter().map(|(name, _)| name));
    names.extend(
        super::tables::tables(default_rules())
            .iter()
            .flat_map(|block| block.grids().map(|(name, _)| name.to_owned()).collect::<Vec<_>>()),
    );
    names.extend(super::figures::figures(default_rules()).iter().map(|figure| figure.name.to_owned()));
    let count = names.len();
    names.sort();
    names.dedup();
    assert_eq!(names.len(), count);
    for name in &names {
        let letters = name.trim_end_matches(|character: char| character.is_ascii_digit());
        let like_a_cell = letters.len() <= 3 && letters.len() < name.len() && !letters.contains('_');
        assert!(!like_a_cell && !matches!(name.as_str(), "r" | "c"), "{name}");
        assert!(name.chars().all(|character| character.is_ascii_alphanumeric() || character == '_'), "{name}");
    }
}

#[test]
fn lines_of_factors_and_devices_rise_as_the_formulas_need() {
    for block in super::tables::tables(default_rules()) {
        let grids: BTreeMap<_, _> = block.grids().collect();
        for (words, bounds) in [("factor_words", "factor_values"), ("earth_words", "earth_up_tos")] {
            let (Some(words), Some(bounds)) = (grids.get(words), grids.get(bounds)) else { continue };
            let lines: Vec<_> =
                words.cells.iter().map(text).zip(bounds.cells.iter().map(|cell| cell.number())).collect();
            for pair in lines.windows(2) {
                assert!(pair[0].0 != pair[1].0 || pair[0].1 < pair[1].1, "{pair:?}");
            }
            let mut kinds: Vec<_> = lines.iter().map(|line| &line.0).collect();
            kinds.dedup();
            let together = kinds.len();
            kinds.sort();
            kinds.dedup();
            assert_eq!(kinds.len(), together, "lines of one kind stand together");
        }
        if let Some(kas) = grids.get("let_through_kas") {
            // Every device of a characteristic is listed to the same highest fault, its lines together and rising.
            let [curves, ratings] = ["let_through_curves", "let_through_ratings"].map(|name| &grids[name].cells);
            let lines: Vec<_> = curves
                .iter()
                .zip(ratings)
                .zip(&kas.cells)
                .map(|((curve, rating), ka)| {
                    (text(curve), rating.number().expect("a rating"), ka.number().expect("a fault"))
                })
                .collect();
            assert!(
                lines.windows(2).all(|pair| pair[0].partial_cmp(&pair[1]) == Some(std::cmp::Ordering::Less)),
                "{lines:?}"
            );
            let ends = lines.windows(2).filter(|pair| (&pair[0].0, pair[0].1) != (&pair[1].0, pair[1].1));
            assert!(ends.chain(lines.last().map(std::slice::from_ref)).all(|end| end[0].2 == 10.0), "{lines:?}");
        }
        if let Some(grid) = grids.get("device_ratings") {
            let figures: Vec<_> = grid.cells.iter().filter_map(Value::number).collect();
            assert!(figures.windows(2).all(|pair| pair[0] < pair[1]), "{figures:?}");
        }
    }
}

#[test]
fn a_change_is_followed_and_told() {
    let portfolio = sample();
    let sites: Vec<_> = portfolio.sites.iter().filter_map(Tried::of).collect();
    let book = Book::of(sites, default_rules()).expect("sites to try");
    let of = |changes: &[(&str, Value)]| {
        let mut inputs = BTreeMap::from([("your_site".to_owned(), Value::from(book.sites[0].id()))]);
        inputs.extend(changes.iter().map(|(name, value)| ((*name).to_owned(), value.clone())));
        let reckoned = book.reckoned(&inputs);
        ["verdict_now", "cable_outcome", "demand_code", "changed_facts"].map(|name| text(&reckoned.value(name)))
    };
    assert_eq!(of(&[]), ["ready", "pass", "supply-fits", "0"]);
    assert_eq!(of(&[("your_route_m", 400.0.into())])[1], "fail");
    let small =
        of(&[("your_fuse_a", 20.0.into()), ("your_demand_a", 60.0.into()), ("your_demand_method", "measured".into())]);
    assert_eq!(small, ["blocked", "pass", "demand-over-limit", "3"]);
    // A cable that stands in no table is no cable.
    let none = of(&[("your_cable", "twin-and-earth".into()), ("your_size_mm2", 95.0.into())]);
    assert_eq!((none[0].as_str(), none[1].as_str()), ("marginal", "fail"));
}

#[test]
fn a_site_that_a_spreadsheet_would_take_for_another_cannot_be_tried() {
    assert!(super::is_found("H0214/b") && super::is_found("1001"));
    for id in ["H?1", "H*", "H~1", &"H".repeat(256)] {
        assert!(!super::is_found(id), "{id}");
    }
}
