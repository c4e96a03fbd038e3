//! Which answers to chase, on sites judged by the engine.

use super::site::Unsettled;
use super::*;
use crate::portfolio::{Portfolio, rank};
use crate::rules::{Stance, default_rules};
use crate::site::*;
use crate::verdict::{Answers, Context, judge};
use std::collections::BTreeMap;

/// A house of before 1945 about which everything is stated but whether its service is looped.
fn house(name: &str) -> Site {
    let mut site = Site { row: 2, site_id: name.into(), ..Site::default() };
    site.identity.premises_type = Reading::of(Premises::House);
    site.identity.tenure = Reading::of(Tenure::Owner);
    site.identity.survey_method = Reading::of(SurveyMethod::Visit);
    site.permissions.year_built = Reading::of(1930.0);
    site.permissions.asbestos_on_route = Reading::of(false);
    site.permissions.listed = Reading::of(false);
    let supply = &mut site.supply;
    supply.supply_phases = Reading::of(1.0);
    supply.cutout_rating_a = Reading::of(100.0);
    supply.cutout_evidence = Reading::of(CutoutEvidence::Label);
    supply.cutout_condition = Reading::of(Condition::Sound);
    supply.earthing_system = Reading::of(EarthingSystem::TnCS);
    supply.fault_level_ka = Reading::of(1.2);
    supply.tails_mm2 = Reading::of(25.0);
    site.board.board_condition = Reading::of(Condition::Sound);
    site.board.spare_ways = Reading::of(2.0);
    site.parking.parking_type = Reading::of(ParkingType::Driveway);
    site.parking.parking_distance_m = Reading::of(10.0);
    site.load.existing_demand_a = Reading::of(18.0);
    site.load.demand_method = Reading::of(DemandMethod::Measured);
    site.wanted.points_wanted = Reading::of(1.0);
    site
}

/// The same house let by a landlord whom nobody has asked.
fn let_house(name: &str) -> Site {
    let mut site = house(name);
    site.identity.tenure = Reading::of(Tenure::PrivateRent);
    site
}

fn ranked(sites: &[Site]) -> Portfolio {
    let (rules, prices) = (default_rules(), PriceBook::default_book());
    let as_of = jiff::civil::date(2026, 11, 25);
    let context = Context { rules, prices, stance: Stance::Screen, as_of, odds: true };
    rank(sites.iter().map(|site| judge(site, &context)), rules)
}

fn gaps_of(portfolio: &Portfolio) -> Gaps {
    gaps(&portfolio.sites, default_rules(), PriceBook::default_book()).unwrap()
}

/// Houses, each with other facts left open, some with nothing open at all.
fn many() -> Vec<Site> {
    let open = |at: usize| {
        let mut site = if at.is_multiple_of(3) { let_house(&format!("S{at:02}")) } else { house(&format!("S{at:02}")) };
        let bit = |place: usize| (at >> place) & 1 == 1;
        if bit(0) {
            site.supply.looped_service = Reading::of(false);
        }
        if bit(1) {
            site.supply.cutout_rating_a = Reading::default();
            site.supply.cutout_evidence = Reading::default();
            site.load.existing_demand_a = Reading::of(38.0);
        }
        if bit(2) {
            site.permissions.year_built = Reading::default();
            site.supply.cutout_condition = Reading::default();
        }
        if bit(3) {
            site.parking.parking_type = Reading::default();
            site.load.demand_method = Reading::of(DemandMethod::Estimated);
        }
        if bit(4) {
            site.supply.supply_phases = Reading::default();
            site.supply.earthing_system = Reading::default();
            site.permissions.asbestos_on_route = Reading::default();
        }
        site
    };
    (0..32).map(open).collect()
}

#[test]
fn two_houses_come_to_what_they_come_to_on_paper() {
    // Loops of before 1945: no 0.80 (ready), yes 0.20 (blocked). Consent that nobody asked for: granted 0.90 (as it
    // is), refused 0.10 (blocked). Settled: 0.95.
    //   A, its loop open: ready 0.80. The photograph settles it either way: 1.
    //   B, its loop and consent open: ready 0.72. The photograph alone: a loop (0.20) blocks it; without one it is ready
    //   by 0.90 and not settled: 0.20. The consent alone: refused (0.10) blocks it, granted leaves 0.80: 0.10. Both: 1.
    // Each costs 0.6 h at 55 pounds, 33 pounds. A pound of photographs settles 1.2 / 66 sites, one of consents 0.1 / 33;
    // so photographs are first with 1.2, and consents settle 0.8 after them.
    let portfolio = ranked(&[house("A"), let_house("B")]);
    let gaps = gaps_of(&portfolio);
    assert_eq!((gaps.sites, gaps.settled), (2, 0));
    let [photograph, consent] = gaps.asks.as_slice() else { panic!("{:#?}", gaps.asks) };
    assert_eq!((photograph.asking.ask, photograph.fields.as_slice()), ("intake-photograph", &["looped_service"][..]));
    assert_eq!((consent.asking.ask, consent.fields.as_slice()), ("consent-answer", &["consent_status"][..]));
    assert_eq!((photograph.sites, photograph.cost_each, photograph.cost), (2, Pence(3300), Pence(6600)));
    assert_eq!((consent.sites, consent.cost_each, consent.cost), (1, Pence(3300), Pence(3300)));
    for (found, paper) in [(photograph.alone, 1.2), (photograph.after, 1.2), (consent.alone, 0.1), (consent.after, 0.8)]
    {
        assert!((found - paper).abs() < 1e-9, "{found} for {paper}");
    }
    assert!((gaps.settled_in_the_end() - 2.0).abs() < 1e-9);
    let of_b = gaps.of_sites.iter().find(|site| portfolio.sites[site.at].judgement.brief.site_id == "B").unwrap();
    let [first, second] = of_b.questions.as_slice() else { panic!("{of_b:#?}") };
    assert!((first.settled - 0.2).abs() < 1e-9 && (second.alone - 0.1).abs() < 1e-9);
    assert!((second.settled - 1.0).abs() < 1e-9);
    assert_eq!(first.question, "How many thick cables go into the bottom of the sealed fuse box: one, or two?");
}

#[test]
fn the_list_promises_no_more_than_there_is_and_adds_up() {
    let portfolio = ranked(&many());
    let gaps = gaps_of(&portfolio);
    assert!(gaps.asks.len() >= 4 && gaps.settled > 0 && gaps.settled < gaps.sites, "{gaps:#?}");
    let unsettled = f64::from(gaps.sites - gaps.settled);
    let after: f64 = gaps.asks.iter().map(|ask| ask.after).sum();
    assert!(after > 0.0 && after <= unsettled + 1e-9, "{after} of {unsettled}");
    for ask in &gaps.asks {
        assert!((0.0..=f64::from(ask.sites) + 1e-9).contains(&ask.alone), "{ask:#?}");
        assert!((0.0..=f64::from(ask.sites) + 1e-9).contains(&ask.after), "{ask:#?}");
        assert_eq!(ask.cost.0, ask.cost_each.0 * i64::from(ask.sites));
    }
    assert!((gaps.asks[0].after - gaps.asks[0].alone).abs() < 1e-9);
    // What the list comes to is what all of it settles, site by site.
    let order: Vec<usize> =
        gaps.asks.iter().map(|ask| askings().iter().position(|each| each == ask.asking).unwrap()).collect();
    let share = gaps.settled_share;
    let open = portfolio.sites.iter().enumerate().filter_map(|(at, site)| Unsettled::of(at, site, share));
    let all: f64 = open.map(|site| site.after(&order).settled).sum();
    assert!((all - after).abs() < 1e-6, "{all} for {after}");
}

#[test]
fn an_answer_leaves_what_knowing_its_alternatives_leaves() {
    let portfolio = ranked(&many());
    let mut looked_at = 0;
    for site in &portfolio.sites {
        let outlook = site.judgement.outlook.as_ref().unwrap();
        let answers = Answers::of(outlook);
        let all = answers.all();
        assert!((all.chance() - 1.0).abs() < 1e-9);
        let mut counts: Vec<u8> = outlook.open_facts().iter().map(|fact| fact.count()).collect();
        counts.push(if answers.tells(counts.len()) { 4 } else { 0 });
        for (place, count) in counts.into_iter().enumerate() {
            let settles = |leading: f64, whole: f64| if leading >= 0.95 * whole - 1e-9 { whole } else { 0.0 };
            let parts = answers.asked(&all, place);
            let found: f64 = parts.iter().map(|ways| settles(ways.leading(), ways.chance())).sum();
            let expected = (0..count).map(|index| {
                let odds = outlook.odds_where(&[(place, index)]);
                settles(odds.ready.max(odds.marginal).max(odds.blocked), 1.0) * outlook.chance(place, index)
            });
            if count > 0 {
                let expected: f64 = expected.sum();
                assert!((found - expected).abs() < 1e-9, "{place}: {found} for {expected}, {outlook:#?}");
                looked_at += 1;
            }
        }
    }
    assert!(looked_at > 60, "{looked_at}");
}

#[test]
fn what_cannot_change_the_verdict_settles_nothing_and_is_not_asked() {
    // Blocked by its loop whatever else it proves to be.
    let mut blocked = let_house("blocked");
    blocked.supply.looped_service = Reading::of(true);
    blocked.supply.earthing_system = Reading::default();
    // Ready whatever its board's fault level is; the loop alone decides.
    let mut quiet = house("quiet");
    quiet.supply.fault_level_ka = Reading::default();
    let gaps = gaps_of(&ranked(&[blocked, quiet]));
    assert_eq!((gaps.settled, gaps.asks.len(), gaps.of_sites.len()), (1, 1, 1), "{gaps:#?}");
    assert_eq!(gaps.asks[0].fields, ["looped_service"]);
    // An engineer's word settles a site.
    let mut told = house("told");
    told.identity.override_verdict = Reading::of(Verdict::Ready);
    let gaps = gaps_of(&ranked(&[told]));
    assert_eq!((gaps.settled, gaps.asks.len(), gaps.of_sites.len()), (1, 0, 0), "{gaps:#?}");
}

#[test]
fn other_rows_and_their_order_change_no_question_of_a_site() {
    let by_site = |sites: &[Site]| -> BTreeMap<String, Vec<SiteQuestion>> {
        let portfolio = ranked(sites);
        let name = |at: usize| portfolio.sites[at].judgement.brief.site_id.clone();
        gaps_of(&portfolio).of_sites.into_iter().map(|site| (name(site.at), site.questions)).collect()
    };
    let all = many();
    let together = by_site(&all);
    let mut turned: Vec<Site> = all.iter().rev().cloned().collect();
    for (row, site) in (2..).zip(&mut turned) {
        site.row = row;
    }
    assert_eq!(together, by_site(&turned));
    for site in &all {
        let alone = by_site(std::slice::from_ref(site));
        assert_eq!(alone.get(&site.site_id), together.get(&site.site_id), "{}", site.site_id);
    }
}

#[test]
fn nothing_is_asked_where_the_odds_were_not_asked_for() {
    let mut portfolio = ranked(&[house("A")]);
    portfolio.sites[0].judgement.odds = None;
    portfolio.sites[0].judgement.outlook = None;
    assert!(gaps(&portfolio.sites, default_rules(), PriceBook::default_book()).is_none());
    assert!(gaps(&[], default_rules(), PriceBook::default_book()).is_none());
}
