//! Factors, household figures, electrodes, operators and chances.

use super::table;
use baywright::finding::checks;
use baywright::reference::{
    Grouping, HouseholdLoad, PremisesFactors, ambient_air, ambient_ground, diversity, diversity_in,
    earthing_alternatives, household_band, insulation, open_pen_loadings, operator, operator_rules, possible,
    rods_in_line_lambda,
};
use baywright::site::Heating;

#[test]
fn factors_are_shares_and_fall_as_things_get_worse() {
    for row in table("correction_factors.csv") {
        let factor = row.number("factor");
        assert!(factor > 0.0 && factor < 2.0, "{factor}");
        if matches!(row.text("table"), "4C1" | "4C2" | "4C3" | "52.2") {
            assert!(factor <= 1.0, "{} {factor}", row.text("table"));
        }
    }
    let ladders = |lookup: &dyn Fn(f64) -> Option<f64>, from: i32, to: i32, step: f64| {
        let mut before = f64::INFINITY;
        for index in from..=to {
            let factor = lookup(f64::from(index) * step).expect("within the table");
            assert!(factor <= before && factor <= 1.0 && factor > 0.0);
            before = factor;
        }
    };
    ladders(&ambient_air, 0, 60, 1.0);
    ladders(&ambient_ground, 0, 60, 1.0);
    ladders(&|circuits| Grouping::Bunched.factor(circuits), 1, 20, 1.0);
    ladders(&|circuits| Grouping::Buried.factor(circuits), 1, 6, 1.0);
    ladders(&|metres| Some(insulation(metres)), 0, 100, 0.01);
}

#[test]
fn beyond_a_table_there_is_no_answer() {
    for absent in [
        ambient_air(60.1),
        ambient_ground(60.1),
        Grouping::Bunched.factor(20.5),
        Grouping::Buried.factor(6.5),
        ambient_air(f64::NAN),
        Grouping::Bunched.factor(f64::INFINITY),
    ] {
        assert_eq!(absent, None);
    }
    // Total surrounding is not a table's end: half a metre and more is 0.50.
    assert_eq!(insulation(50.0), 0.50);
}

#[test]
fn figures_seen_in_print_are_answered() {
    assert_eq!(ambient_air(35.0), Some(0.94));
    assert_eq!(ambient_air(40.0), Some(0.87));
    assert_eq!(Grouping::Bunched.factor(2.0), Some(0.80));
    assert_eq!(Grouping::Bunched.factor(4.0), Some(0.65));
    assert_eq!(insulation(0.1), 0.78);
    assert_eq!(insulation(0.5), 0.50);
}

#[test]
fn every_heating_word_has_its_bands_and_a_shower_adds() {
    let words = Heating::ALL.iter().map(|heating| heating.word());
    for word in words.chain(["unknown"]) {
        let [without, with, unknown] = [Some(false), Some(true), None].map(|shower| household_band(word, shower));
        for line in [without, with, unknown] {
            assert_eq!(line.heating, word, "{word} has no line of its own");
            let band = line.demand_a;
            assert!(band.low > 0.0 && band.low <= band.likely && band.likely <= band.high);
        }
        assert!(without.demand_a.likely < with.demand_a.likely, "{word}");
        // Not knowing spans both.
        assert!(unknown.demand_a.low <= without.demand_a.low, "{word}");
        assert!(unknown.demand_a.high >= with.demand_a.high, "{word}");
    }
}

#[test]
fn household_factors_are_shares() {
    let all = HouseholdLoad::ALL.map(|load| [diversity(load), diversity_in(PremisesFactors::Small, load)]);
    for factors in all.into_iter().flatten() {
        let [largest, second, other] = factors.shares;
        assert!(largest <= 1.0 && second <= largest && other <= second && other > 0.0);
        assert!(factors.taken_whole_a >= 0.0 && factors.socket_a >= 0.0);
    }
    assert_eq!(table("diversity.csv").len(), 2 * HouseholdLoad::ALL.len());
}

#[test]
fn more_rods_crowd_each_other() {
    for rods in 2..10 {
        assert!(rods_in_line_lambda(rods) <= rods_in_line_lambda(rods + 1));
    }
}

#[test]
fn the_fourteen_areas_are_there_once_each() {
    for distributor in 10..=23 {
        let found = operator(distributor).expect("an area");
        assert!(!found.area.is_empty() && !found.source.is_empty());
        if let Some(fuse_a) = found.fuse_policy_a {
            assert!((60.0..=100.0).contains(&fuse_a) && !found.policy_date.is_empty());
        }
    }
    assert!(operator(24).is_none() && operator(9).is_none());
}

#[test]
fn alternatives_of_one_fact_under_one_condition_are_chances_that_add_to_one() {
    let mut rows = 0;
    for entry in possible().values().flat_map(|conditions| conditions.values()) {
        let sum: f64 = entry.of.iter().map(|alternative| alternative.weight).sum();
        assert!((sum - 1.0).abs() < 1e-9, "{} {}: {sum}", entry.field, entry.when);
        assert!(entry.of.len() >= 2 && entry.of.iter().all(|alternative| (0.0..=1.0).contains(&alternative.weight)));
        rows += entry.of.len();
    }
    assert_eq!(rows, table("possible.csv").len());
    for row in table("possible.csv") {
        assert!(["best first", "any"].contains(&row.text("order")), "{}", row.text("order"));
    }
}

#[test]
fn every_rule_of_the_operators_names_the_check_that_asks_it_and_that_check_names_the_rule() {
    let rules = operator_rules();
    assert_eq!(rules.len(), 17);
    for (number, rule) in (1..).zip(rules) {
        assert_eq!(rule.rule, format!("R{number}"));
        let check = checks().into_iter().find(|check| check.name == rule.check);
        let source = check.unwrap_or_else(|| panic!("{}: no check {}", rule.rule, rule.check)).source;
        let words: Vec<&str> = source.split(|c: char| !c.is_ascii_alphanumeric()).collect();
        assert!(words.contains(&rule.rule), "{}: {} says {source:?}", rule.rule, rule.check);
    }
}

#[test]
fn earthing_alternatives_keep_their_numbers_in_order() {
    for alternative in earthing_alternatives() {
        if let Some((low, high)) = alternative.low_v.zip(alternative.high_v) {
            assert!(low < 216.2 && high >= 253.0, "the statutory range 216.2 to 253 V lies within, but for the drop");
        }
        if let Some((brief, within)) = alternative.brief_s.zip(alternative.act_within_s) {
            assert!(brief < within);
        }
    }
    let loadings = open_pen_loadings();
    assert!(loadings.iter().all(|loading| loading.existing.iter().all(|share| (0.0..=1.0).contains(share))));
    assert!(loadings.iter().any(|loading| loading.one_phase) && loadings.iter().any(|loading| !loading.one_phase));
}
