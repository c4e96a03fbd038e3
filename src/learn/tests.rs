//! What facts found on site say of open ones, and what a verdict says where the survey was wrong.

use super::found::FIELDS;
use super::{Case, Learned, Proved, learn, prices_overlay, rules_overlay};
use crate::estimate::PriceBook;
use crate::rules::{Stance, default_rules};
use crate::site::*;
use crate::verdict::{Context, judge};
use std::sync::Arc;

/// A house of which little is known.
fn survey() -> Site {
    let mut site = Site { row: 2, site_id: "H1".into(), ..Site::default() };
    site.identity.premises_type = Reading::of(Premises::House);
    site.identity.tenure = Reading::of(Tenure::SocialRent);
    site.permissions.year_built = Reading::of(1930.0);
    site.supply.cutout_rating_a = Reading::of(100.0);
    site.load.existing_demand_a = Reading::of(20.0);
    site.parking.parking_distance_m = Reading::of(12.0);
    site
}

fn outcome(verdict: Option<Verdict>, found: Option<Site>) -> Outcome {
    let cell = Cited { file: Arc::from("o.csv"), row: 2, column: None, text: String::new() };
    Outcome { at: 0, verdict, cost: None, hours: None, date: None, found: found.map(Box::new), cell }
}

fn learned(site: &Site, outcome: &Outcome) -> Learned {
    let as_of = jiff::civil::date(2026, 11, 25);
    let prices = PriceBook::default_book();
    let judgement = judge(site, &Context { rules: default_rules(), prices, stance: Stance::Screen, as_of, odds: true });
    learn(&[Case { site, judgement: &judgement, outcome }], default_rules())
}

fn proved(site: &Site, found: impl Fn(&mut Site)) -> Proved {
    let mut there = Site::default();
    found(&mut there);
    let learned = learned(site, &outcome(None, Some(there)));
    assert_eq!(learned.sites[0].facts.len(), 1);
    learned.sites[0].facts[0].proved.clone()
}

#[test]
fn a_value_found_is_the_alternative_that_it_equals_or_none() {
    let site = survey();
    let cutout = |a: f64| proved(&site, |there| there.supply.cutout_rating_a = Reading::of(a));
    assert_eq!(cutout(100.0), Proved::Alternative("evidence not stated", "as stated"));
    assert_eq!(cutout(80.0), Proved::Alternative("evidence not stated", "a size less"));
    assert_eq!(cutout(40.0), Proved::None("evidence not stated"));
    let looped = proved(&site, |there| there.supply.looped_service = Reading::of(true));
    assert_eq!(looped, Proved::Alternative("built before 1945", "yes"));
    let earth = |system| proved(&site, |there| there.supply.earthing_system = Reading::of(system));
    assert_eq!(earth(EarthingSystem::TnS), Proved::Alternative("earthing not known", "TN-S"));
    assert_eq!(earth(EarthingSystem::Tt), Proved::Alternative("earthing not known", "TT of 100 ohm"));
    let parking = |kind| proved(&site, |there| there.parking.parking_type = Reading::of(kind));
    assert_eq!(parking(ParkingType::Communal), Proved::Alternative("distance stated", "off the street"));
    assert_eq!(parking(ParkingType::OnStreet), Proved::Alternative("distance stated", "none"));
    let condition = |word| proved(&site, |there| there.supply.cutout_condition = Reading::of(word));
    assert_eq!(condition(Condition::Unsafe), Proved::Alternative("built before 1965", "unsafe"));
    assert_eq!(condition(Condition::Doubtful), Proved::None("built before 1965"));
    // What the survey states is no weight's to tell.
    let tenure = |word| proved(&site, |there| there.identity.tenure = Reading::of(word));
    assert_eq!(tenure(Tenure::SocialRent), Proved::AsSurveyed);
    assert_eq!(tenure(Tenure::Owner), Proved::Otherwise("social rent".into()));
}

#[test]
fn a_fact_seen_counts_one_and_without_a_year_it_counts_by_the_years() {
    let mut site = survey();
    let mut there = Site::default();
    there.supply.looped_service = Reading::of(true);
    let of = |site: &Site, there: &Site| learned(site, &outcome(None, Some(there.clone()))).weights.all;
    let known = of(&site, &there);
    assert!(known.len() == 1 && (known[0].seen - 1.0).abs() < 1e-12, "{known:?}");
    site.permissions.year_built = Reading::unknown();
    let years = of(&site, &there);
    let seen: f64 = years.iter().map(|weight| weight.seen).sum();
    assert!(years.len() == 4 && (seen - 1.0).abs() < 1e-9, "{years:?}");
    // A loop speaks for an old house: by shares of years and weights of loops, 0.36 * 0.20 of 0.1208.
    let old = years.iter().find(|weight| weight.when == "built before 1945").unwrap();
    let whole = 0.36 * 0.20 + 0.24 * 0.15 + 0.22 * 0.05 + 0.18 * 0.01;
    assert!((old.seen - 0.072 / whole).abs() < 0.05, "{old:?}");
    // Somebody who saw the year as well leaves no doubt.
    there.permissions.year_built = Reading::of(1950.0);
    let year = of(&site, &there);
    assert!(year.len() == 1 && year[0].when == "built 1945 to 1969", "{year:?}");
}

#[test]
fn a_verdict_teaches_nothing_where_the_survey_was_wrong_or_nothing_explains_it() {
    let site = survey();
    let mut there = Site::default();
    there.identity.tenure = Reading::of(Tenure::Owner);
    let wrong = learned(&site, &outcome(Some(Verdict::Blocked), Some(there)));
    assert_eq!((wrong.weights.otherwise, wrong.weights.all.len()), (1, 0), "{:?}", wrong.weights);
    // A loop alone never blocks, and everything else is as good as it can be.
    let mut sure = site.clone();
    sure.supply.looped_service = Reading::of(true);
    let unexplained = learned(&sure, &outcome(Some(Verdict::Ready), None));
    assert_eq!(unexplained.weights.unexplained, 1, "{:?}", unexplained.weights);
    let nothing = Learned::default();
    assert!(
        rules_overlay(&nothing, "x").is_none() && prices_overlay(&nothing, PriceBook::default_book(), "x").is_none()
    );
}

#[test]
fn every_field_that_is_learned_may_be_open() {
    let open = crate::possible::fields();
    assert!(FIELDS.iter().all(|field| open.contains(field)));
    let own = ["year_built", "copied_demand", "copied_distance", "existing_demand_a", "parking_distance_m"];
    let learned = |field: &&str| FIELDS.contains(field) || own.contains(field);
    // Everything else is a figure said with doubt, which has the weights of all such figures.
    let table = crate::reference::possible();
    let left: Vec<_> = open.iter().filter(|field| !learned(field) && table.contains_key(**field)).collect();
    assert!(left.is_empty(), "{left:?}");
}
