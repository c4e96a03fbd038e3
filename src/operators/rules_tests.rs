//! Every rule of the operators' common process, R1 to R17: a smallest portfolio whose schedule gives the rule, and a
//! neighbour just on the other side whose schedule does not. The words of `operator_rules.csv` are the authority.

use super::route::{Means, grounds};
use super::*;
use crate::estimate::PriceBook;
use crate::finding::{Route as JudgedRoute, checks, reasons};
use crate::reference::operator_rules;
use crate::rules::{Stance, default_rules};
use crate::site::*;
use crate::verdict::{Context, judge};

/// A house of which everything is known that installing and notifying needs.
pub(super) fn house() -> Site {
    let mut site = Site { row: 2, site_id: "S".into(), ..Site::default() };
    site.identity.address = Reading::of("1 Fennel Row, Quernholt".into());
    site.identity.postcode = Reading::of("ZR1 4AE".into());
    site.identity.uprn = Reading::of("990004100037".into());
    site.identity.premises_type = Reading::of(Premises::House);
    site.identity.tenure = Reading::of(Tenure::Owner);
    site.identity.survey_method = Reading::of(SurveyMethod::Visit);
    site.supply.mpan = Reading::of("2300031706133".into());
    site.supply.supply_phases = Reading::of(1.0);
    site.supply.cutout_rating_a = Reading::of(100.0);
    site.supply.cutout_evidence = Reading::of(CutoutEvidence::Label);
    site.supply.cutout_condition = Reading::of(Condition::Sound);
    site.supply.looped_service = Reading::of(false);
    site.supply.earthing_system = Reading::of(EarthingSystem::TnS);
    site.supply.tails_mm2 = Reading::of(25.0);
    site.supply.isolator_present = Reading::of(true);
    site.permissions.year_built = Reading::of(2012.0);
    site.board.spare_ways = Reading::of(2.0);
    site.parking.parking_type = Reading::of(ParkingType::Driveway);
    site.parking.parking_distance_m = Reading::of(10.0);
    site.load.existing_demand_a = Reading::of(18.0);
    site.load.demand_method = Reading::of(DemandMethod::Measured);
    site.load.heating = Reading::of(Heating::Gas);
    site
}

/// A workplace on a three-phase supply with its own fuses.
fn workplace() -> Site {
    let mut site = house();
    site.identity.premises_type = Reading::of(Premises::Workplace);
    site.identity.tenure = Reading::of(Tenure::Owner);
    site.parking.parking_type = Reading::of(ParkingType::Communal);
    site.parking.covered_parking = Reading::of(false);
    site.supply.supply_phases = Reading::of(3.0);
    site.wanted.points_wanted = Reading::of(1.0);
    site
}

/// The portfolio of these sites, judged under these rules.
pub(super) fn portfolio(sites: &[Site], rules: &Rules) -> Portfolio {
    let as_of = AS_OF;
    let context = Context { rules, prices: PriceBook::default_book(), stance: Stance::Screen, as_of, odds: false };
    let judgements = sites.iter().map(|site| judge(site, &context));
    crate::portfolio::together(crate::portfolio::rank(judgements, rules), &[], rules)
}

/// A Wednesday.
pub(super) const AS_OF: Date = jiff::civil::date(2026, 11, 25);

/// The schedule of these sites, and the judgements that it was made from.
fn of_sites(sites: &[Site], rules: &Rules) -> (Portfolio, Schedules) {
    let portfolio = portfolio(sites, rules);
    let schedules = schedules(&portfolio, sites, rules, AS_OF, &|_| None);
    (portfolio, schedules)
}

/// One site alone: its row.
pub(super) fn entry(site: &Site) -> Entry {
    entry_under(site, default_rules())
}

fn entry_under(site: &Site, rules: &Rules) -> Entry {
    let (portfolio, schedules) = of_sites(std::slice::from_ref(site), rules);
    let judgement = &portfolio.sites[0].judgement;
    let entry = schedules.of(0);
    let entry = entry.unwrap_or_else(|| panic!("{} {:?}", judgement.verdict, judgement.reasons)).clone();
    let lax = judgement.operator_route == JudgedRoute::Apply && entry.route != Route::Apply;
    assert!(!lax, "judged apply, but {:?} {:?}", entry.route, entry.rules);
    entry
}

/// What a rule is tried with: the site that has it, the neighbour that has not, the route that it makes.
type Case = (&'static str, fn() -> Site, fn(&mut Site), fn(&mut Site), Route);

const CASES: &[Case] = &[
    ("R1", house, |_| {}, |s| s.supply.looped_service = Reading::unknown(), Route::Notify),
    ("R1", workplace, |_| {}, |s| s.supply.metering = Reading::of(Metering::CurrentTransformer), Route::Notify),
    // 25 A measured is 27.5 A at its high end: with the least useful setting of 32 A, 59.5 A.
    (
        "R2",
        house,
        |s| {
            s.load.existing_demand_a = Reading::of(45.0);
            s.supply.cutout_rating_a = Reading::of(100.0);
        },
        |s| s.load.existing_demand_a = Reading::of(25.0),
        Route::Apply,
    ),
    (
        "R3",
        house,
        |s| {
            s.supply.cutout_rating_a = Reading::of(60.0);
            s.load.existing_demand_a = Reading::of(46.0);
        },
        |s| s.load.existing_demand_a = Reading::of(18.0),
        Route::Apply,
    ),
    (
        "R4",
        house,
        |s| s.supply.cutout_rating_a = Reading::unknown(),
        |s| s.supply.cutout_rating_a = Reading::of(80.0),
        Route::AskFirst,
    ),
    (
        "R4",
        house,
        |s| s.supply.cutout_rating_a = Reading::default(),
        |s| s.supply.cutout_rating_a = Reading::of(80.0),
        Route::AskFirst,
    ),
    // Nobody was asked how it is known, or only the carrier was read.
    (
        "R4",
        house,
        |s| s.supply.cutout_evidence = Reading::default(),
        |s| s.supply.cutout_evidence = Reading::of(CutoutEvidence::Fuse),
        Route::AskFirst,
    ),
    (
        "R4",
        house,
        |s| s.supply.cutout_evidence = Reading::of(CutoutEvidence::Carrier),
        |s| s.supply.cutout_evidence = Reading::of(CutoutEvidence::Operator),
        Route::AskFirst,
    ),
    (
        "R5",
        house,
        |s| s.supply.looped_service = Reading::of(true),
        |s| s.supply.looped_service = Reading::of(false),
        Route::Apply,
    ),
    (
        "R5",
        house,
        |s| s.supply.looped_service = Reading::unknown(),
        |s| s.supply.looped_service = Reading::of(false),
        Route::AskFirst,
    ),
    (
        "R5",
        house,
        |s| s.supply.looped_service = Reading::default(),
        |s| s.supply.looped_service = Reading::of(false),
        Route::AskFirst,
    ),
    (
        "R5",
        house,
        |s| s.identity.survey_method = Reading::of(SurveyMethod::Phone),
        |s| s.identity.survey_method = Reading::of(SurveyMethod::Photo),
        Route::AskFirst,
    ),
    (
        "R6",
        house,
        |s| s.supply.cutout_condition = Reading::of(Condition::Unsafe),
        |s| s.supply.cutout_condition = Reading::of(Condition::Sound),
        Route::Apply,
    ),
    (
        "R6",
        house,
        |s| s.supply.cutout_condition = Reading::of(Condition::Doubtful),
        |s| s.supply.cutout_condition = Reading::default(),
        Route::Apply,
    ),
    ("R6", house, |s| s.supply.ze_ohm = Reading::of(0.9), |s| s.supply.ze_ohm = Reading::of(0.5), Route::Apply),
    (
        "R7",
        house,
        |s| s.supply.unmetered = Reading::of(true),
        |s| s.supply.unmetered = Reading::of(false),
        Route::Apply,
    ),
    (
        "R8",
        house,
        |s| {
            s.supply.cutout_rating_a = Reading::of(60.0);
            s.load.existing_demand_a = Reading::of(90.0);
        },
        |s| s.load.existing_demand_a = Reading::of(46.0),
        Route::Apply,
    ),
    (
        "R12",
        house,
        |s| s.supply.supply_present = Reading::of(false),
        |s| s.supply.supply_present = Reading::of(true),
        Route::Apply,
    ),
    (
        "R14",
        house,
        |s| s.wanted.requested_kw = Reading::of(50.0),
        |s| s.wanted.requested_kw = Reading::of(7.4),
        Route::Apply,
    ),
    (
        "R15",
        workplace,
        |s| s.supply.metering = Reading::of(Metering::CurrentTransformer),
        |s| s.supply.metering = Reading::of(Metering::WholeCurrent),
        Route::Apply,
    ),
    (
        "R15",
        workplace,
        |s| {
            s.supply.metering = Reading::of(Metering::CurrentTransformer);
            s.supply.agreed_capacity_kva = Reading::unknown();
        },
        |s| s.supply.metering = Reading::of(Metering::WholeCurrent),
        Route::Apply,
    ),
    (
        "R16",
        house,
        |s| s.supply.supply_phases = Reading::of(3.0),
        |s| s.supply.supply_phases = Reading::of(1.0),
        Route::Notify,
    ),
    (
        "R17",
        house,
        |s| s.supply.mpan = Reading::of("2412345678904".into()),
        |s| s.supply.mpan = Reading::of("2312345678900".into()),
        Route::Notify,
    ),
];

#[test]
fn each_rule_of_a_single_site_has_its_case_and_its_neighbour() {
    let mut wrong = Vec::new();
    for (index, (rule, base, with, without, route)) in CASES.iter().enumerate() {
        let (mut has, mut has_not) = (base(), base());
        with(&mut has);
        with(&mut has_not);
        without(&mut has_not);
        let (has, has_not) = (entry(&has), entry(&has_not));
        if !has.rules.contains(rule) || has.route != *route {
            wrong.push(format!("case {index}, {rule}: {:?} {:?}", has.route, has.rules));
        }
        if has_not.rules.contains(rule) {
            wrong.push(format!("case {index}, {rule}: the neighbour has it too, {:?}", has_not.rules));
        }
        for entry in [has, has_not] {
            if entry.rules.contains(&"R1") != (entry.route == Route::Notify) {
                wrong.push(format!("case {index}: R1 is notice and nothing else, {:?} {:?}", entry.route, entry.rules));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn rules_of_the_charge_point_and_of_several_have_their_cases() {
    let under = |change: fn(&mut Rules)| {
        let mut rules = default_rules().clone();
        change(&mut rules);
        entry_under(&house(), &rules)
    };
    let undeclared = under(|rules| rules.charge_point.iter_mut().for_each(|point| point.declared_harmonics = false));
    assert_eq!((undeclared.route, undeclared.rules), (Route::Apply, vec!["R9"]));
    assert!(undeclared.missing.iter().any(|lack| lack.contains("power quality")));
    let exporting = under(|rules| rules.charge_point.iter_mut().for_each(|point| point.exports = true));
    assert_eq!((exporting.route, exporting.rules), (Route::Apply, vec!["R13"]));
    // R11: several points at one site, or several sites on one table; one point at one site stands alone.
    let mut several = workplace();
    several.wanted.points_wanted = Reading::of(2.0);
    assert!(entry(&several).rules.contains(&"R11") && !entry(&workplace()).rules.contains(&"R11"));
    let other = Site { row: 3, site_id: "T".into(), ..house() };
    let (_, two) = of_sites(&[house(), other.clone()], default_rules());
    assert!(two.tables[0].entries.iter().all(|entry| entry.rules == ["R1", "R11"]), "{:?}", two.tables);
    // Two operators: each hears of one.
    let elsewhere = with_number(&other, "2012345678906");
    let (_, apart) = of_sites(&[house(), elsewhere], default_rules());
    assert_eq!(apart.tables.len(), 2);
    assert!(apart.tables.iter().all(|table| table.entries.len() == 1 && table.entries[0].rules == ["R1"]));
}

fn with_number(site: &Site, number: &str) -> Site {
    let mut site = site.clone();
    site.supply.mpan = Reading::of(number.into());
    site
}

/// R10: three in one postcode unit are told early, two are not (supply notes 10).
#[test]
fn several_close_together_are_engaged_first_and_name_their_cluster() {
    let homes = |count: u32| -> Vec<Site> {
        (0..count).map(|at| Site { row: 2 + at, site_id: format!("S{at}"), ..house() }).collect()
    };
    let (portfolio, three) = of_sites(&homes(3), default_rules());
    for entry in &three.tables[0].entries {
        assert_eq!((entry.route, entry.engage_early), (Route::Notify, true));
        assert_eq!(entry.rules, ["R1", "R10", "R11"]);
        assert_eq!(portfolio.clusters[entry.cluster.expect("a cluster")].id, "ZR1 4AE");
        assert_eq!(entry.route.word(entry.engage_early), "engage first, then notify");
        assert!(entry.dates.apply_by.is_some() && entry.dates.answer_by.is_some() && entry.dates.notify_by.is_some());
    }
    let (_, two) = of_sites(&homes(2), default_rules());
    assert!(two.tables[0].entries.iter().all(|entry| !entry.engage_early && !entry.rules.contains(&"R10")));
    // What is applied for stays applied for.
    let mut looped = homes(3);
    looped[1].supply.cutout_condition = Reading::of(Condition::Doubtful);
    let (_, tables) = of_sites(&looped, default_rules());
    let words: Vec<_> = tables.tables[0].entries.iter().map(|entry| entry.route.word(entry.engage_early)).collect();
    assert_eq!(words, ["engage first, then apply", "engage first, then notify", "engage first, then notify"]);
}

/// A home with several points is notified only within the threshold of homes, whatever its judgement says.
#[test]
fn the_homes_threshold_holds_for_several_points_too() {
    let mut site = house();
    site.wanted.points_wanted = Reading::of(2.0);
    let entry = entry(&site);
    let demand_a = entry.supply.with_charging_a.expect("a design");
    assert_eq!(entry.rules.contains(&"R2"), demand_a > default_rules().supply.home_threshold_a, "{demand_a} A");
}

/// Rules that loosen a reason for the verdict do not loosen it for the operator.
#[test]
fn loosened_effects_do_not_loosen_the_route() {
    let mut site = house();
    site.load.existing_demand_a = Reading::of(45.0);
    let mut rules = default_rules().clone();
    rules.effects.insert("demand-over-60".into(), "note".into());
    let loosened = entry_under(&site, &rules);
    assert!(loosened.route == Route::Apply && loosened.rules.contains(&"R2"), "{:?}", loosened.rules);
}

#[test]
fn every_rule_has_a_case_and_every_ground_is_a_rule_and_a_reason() {
    let elsewhere = ["R9", "R10", "R11", "R13"];
    for rule in operator_rules() {
        let case = CASES.iter().any(|case| case.0 == rule.rule) || elsewhere.contains(&rule.rule);
        assert!(case, "{} has no case", rule.rule);
    }
    for ground in grounds() {
        assert!(operator_rules().iter().any(|rule| rule.rule == ground.rule), "{}", ground.rule);
        assert!(reasons().iter().any(|reason| reason.code == ground.reason), "{}", ground.reason);
    }
    for row in crate::table::Table::of(include_str!("grounds.csv")).rows() {
        assert!(!row.text("status").is_empty() && !row.text("source").is_empty(), "{}", row.text("reason"));
        assert!(["apply", "ask", "early", "beside"].contains(&row.text("route")), "{}", row.text("route"));
    }
}

/// What the judgement has the operator asked for is asked for here, by the number of a rule.
#[test]
fn every_reason_that_applies_has_a_ground_that_does() {
    for reason in reasons().into_iter().filter(|reason| reason.route == JudgedRoute::Apply) {
        let mut own = grounds().iter().filter(|ground| ground.reason == reason.code);
        let early = reason.code == "neighbours-over-capacity";
        assert!(own.any(|ground| ground.means == Means::Apply || early), "{}", reason.code);
    }
}

/// Each rule of the table names the check that asks it.
#[test]
fn every_rule_names_a_check() {
    for rule in operator_rules() {
        assert!(checks().iter().any(|check| check.name == rule.check), "{} {}", rule.rule, rule.check);
    }
}
