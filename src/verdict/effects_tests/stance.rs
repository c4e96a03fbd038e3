//! Screen and commit: what nobody was asked holds under commit only, and a blank in a column that exists holds in both.

use super::*;

pub(super) fn cases() -> Vec<Case> {
    vec![
        case("cutout-unknown", house)
            .commit()
            .with(|s| s.supply.cutout_evidence = Reading::default())
            .without(|s| s.supply.cutout_evidence = Reading::of(CutoutEvidence::Label)),
        case("loop-unknown", block)
            .commit()
            .with(|s| s.supply.looped_service = Reading::default())
            .without(|s| s.supply.looped_service = Reading::of(false)),
    ]
}

/// A base, a question, how it is taken away and how it is blanked, the reason it gives and the field behind it.
type Question = (fn() -> Site, fn(&mut Site, bool), &'static str, &'static str);

macro_rules! question {
    ($base:ident, $room:ident.$field:ident, $code:literal) => {
        (
            $base as fn() -> Site,
            (|site: &mut Site, asked: bool| {
                site.$room.$field = if asked { Reading::unknown() } else { Reading::default() };
            }) as fn(&mut Site, bool),
            $code,
            stringify!($field),
        )
    };
}

fn questions() -> Vec<Question> {
    vec![
        question!(house, supply.cutout_rating_a, "cutout-unknown"),
        question!(house, supply.cutout_evidence, "cutout-unknown"),
        question!(house, supply.looped_service, "loop-unknown"),
        question!(block, supply.looped_service, "loop-unknown"),
        question!(block, supply.supply_phases, "phases-unknown"),
        question!(depot, supply.supply_phases, "phases-unknown"),
        question!(depot, supply.agreed_capacity_kva, "capacity-unknown"),
        question!(house, parking.parking_type, "parking-unknown"),
        question!(depot, parking.parking_type, "parking-unknown"),
        question!(block, parking.covered_parking, "covered-parking-unknown"),
        question!(flat, parking.covered_parking, "covered-parking-unknown"),
        question!(depot, parking.covered_parking, "covered-parking-unknown"),
        question!(flat, permissions.consent_status, "consent-pending"),
        question!(flat, parking.storeys, "unsettled-fact"),
        question!(block, parking.storeys, "unsettled-fact"),
    ]
}

#[test]
fn a_question_nobody_was_asked_holds_under_commit_only_and_is_to_be_confirmed_under_screen() {
    for (base, ask, code, field) in questions() {
        let mut site = base();
        ask(&mut site, false);
        let screen = screened(&site);
        assert!(!said(&screen).contains(&code), "{field}: screen says {code}");
        assert_eq!(screen.verdict, Verdict::Ready, "{field}: {:?}", decisive(&screen));
        assert!(!screen.ready_if_committed, "{field}");
        assert!(screen.confirm_first.contains(&field), "{field}: {:?}", screen.confirm_first);
        // Any cut-out and either number of phases carry this load: those doubts cannot change the verdict.
        let carried = ["cutout_rating_a", "cutout_evidence", "supply_phases"].contains(&field);
        assert!(carried || screen.odds.unwrap().ready < 0.995, "{field}: the odds carry the doubt, {:?}", screen.odds);
        let commit = judged(&site, default_rules(), Stance::Commit);
        assert_eq!(commit.verdict, Verdict::Marginal, "{field}");
        assert!(decisive(&commit).contains(&code), "{field}: {:?}", decisive(&commit));
        assert!(commit.decisive_unknowns.contains(&field), "{field}: {:?}", commit.decisive_unknowns);
    }
}

#[test]
fn a_blank_in_a_column_that_exists_holds_under_both() {
    for (base, ask, code, field) in questions() {
        let mut site = base();
        ask(&mut site, true);
        for stance in [Stance::Screen, Stance::Commit] {
            let judgement = judged(&site, default_rules(), stance);
            assert_eq!(judgement.verdict, Verdict::Marginal, "{field} {stance:?}: {:?}", said(&judgement));
            assert!(decisive(&judgement).contains(&code), "{field} {stance:?}: {:?}", decisive(&judgement));
            assert!(judgement.decisive_unknowns.contains(&field), "{field}: {:?}", judgement.decisive_unknowns);
            assert!(!judgement.remedies.is_empty(), "{field} has no way out");
        }
    }
}

#[test]
fn tenure_and_demand_that_nobody_was_asked_hold_under_commit() {
    let mut site = house();
    site.identity.tenure = Reading::default();
    site.permissions.consent_status = Reading::default();
    assert_eq!(screened(&site).verdict, Verdict::Ready);
    assert!(screened(&site).confirm_first.contains(&"tenure"));
    assert!(screened(&site).odds.unwrap().ready < 0.9);
    let commit = judged(&site, default_rules(), Stance::Commit);
    assert_eq!((commit.verdict, commit.decisive_unknowns), (Verdict::Marginal, vec!["tenure"]));
    let mut site = house();
    site.load.existing_demand_a = Reading::default();
    site.load.heating = Reading::of(Heating::Gas);
    site.load.shower_kw = Reading::of(0.0);
    let commit = judged(&site, default_rules(), Stance::Commit);
    assert!(commit.decisive_unknowns.contains(&"existing_demand_a"), "{:?}", said(&commit));
}

#[test]
fn electrical_figures_keep_their_safe_side_in_both_stances() {
    let mut site = house();
    site.supply.tails_mm2 = Reading::default();
    site.supply.main_bonding_mm2 = Reading::default();
    site.supply.ze_ohm = Reading::default();
    site.supply.fault_level_ka = Reading::default();
    for stance in [Stance::Screen, Stance::Commit] {
        let judgement = judged(&site, default_rules(), stance);
        assert_eq!(judgement.verdict, Verdict::Ready);
        assert!(said(&judgement).contains(&"tails-upgrade") && said(&judgement).contains(&"bonding-upgrade"));
    }
}

#[test]
fn a_doubtful_capacity_that_decides_is_a_fact_to_settle_and_stops_nothing() {
    let mut site = depot();
    site.supply.agreed_capacity_kva.answer = Answer::Doubtful { low: 40.0, likely: 138.0, high: 150.0 };
    let judgement = screened(&site);
    assert_eq!(judgement.verdict, Verdict::Marginal, "{:?}", decisive(&judgement));
    assert_eq!(judgement.decisive_unknowns, ["agreed_capacity_kva"]);
    assert!(judgement.odds.unwrap().ready > 0.3 && judgement.odds.unwrap().ready < 0.8, "{:?}", judgement.odds);
    // Every plausible value is enough: nothing to settle.
    site.supply.agreed_capacity_kva.answer = Answer::Doubtful { low: 120.0, likely: 138.0, high: 150.0 };
    assert_eq!(screened(&site).verdict, Verdict::Ready);
}

#[test]
fn odds_know_sure_things() {
    let mut looped = house();
    looped.supply.looped_service = Reading::of(true);
    assert_eq!(screened(&looped).odds.unwrap().ready, 0.0);
    assert_eq!(screened(&looped).odds.unwrap().blocked, 1.0);
    let mut over = house();
    over.supply.cutout_rating_a = Reading::of(60.0);
    over.load.existing_demand_a = Reading::of(90.0);
    assert_eq!(screened(&over).odds.unwrap().blocked, 1.0);
    let mut apply = house();
    apply.load.existing_demand_a = Reading::of(60.0);
    assert!(screened(&apply).odds.unwrap().marginal > 0.99);
    // A hold on a fact has a chance of proving ready, one on a consent none until it is given.
    let mut unseen = house();
    unseen.supply.looped_service = Reading::unknown();
    assert!(screened(&unseen).odds.unwrap().ready > 0.9);
    let mut asked = flat();
    asked.permissions.consent_status = Reading::of(ConsentStatus::Asked);
    assert_eq!(screened(&asked).odds.unwrap().ready, 0.0);
}

#[test]
fn the_worst_and_longest_reason_comes_first_and_so_does_what_it_waits_for() {
    let mut site = flat();
    site.supply.looped_service = Reading::unknown();
    site.parking.covered_parking = Reading::of(true);
    site.permissions.consent_status = Reading::of(ConsentStatus::Asked);
    site.load.existing_demand_a = Reading::of(60.0);
    site.permissions.asbestos_on_route = Reading::of(true);
    let judgement = screened(&site);
    // 20, 7, 4, 4 and 1 weeks; at four weeks the operator stands before the asbestos, as in the table.
    let order = ["covered-parking", "consent-pending", "demand-over-60", "asbestos-on-route", "loop-unknown"];
    assert_eq!(decisive(&judgement), order);
    use crate::finding::WaitsFor::{Consent, Fact, Operator, Works};
    assert_eq!(judgement.waits_for, [Consent, Operator, Works, Fact]);
    let weeks = judgement.weeks.unwrap();
    assert_eq!((weeks.low, weeks.likely, weeks.high), (8, 20, 36));
    // A stop comes before every hold, however short, and leaves nothing to wait for.
    site.board.board_condition = Reading::of(Condition::Unsafe);
    let judgement = screened(&site);
    assert_eq!(decisive(&judgement)[0], "board-unsafe");
    assert!(judgement.waits_for.is_empty());
    assert_eq!(judgement.verdict, Verdict::Blocked);
}

#[test]
fn an_override_counts_and_the_computed_verdict_stays() {
    let mut site = house();
    site.supply.looped_service = Reading::of(true);
    site.identity.override_verdict = Reading::of(Verdict::Ready);
    site.identity.override_by = Reading::of("engineer".into());
    site.identity.override_why = Reading::of("separated last week".into());
    let judgement = screened(&site);
    assert_eq!(judgement.verdict, Verdict::Blocked);
    assert_eq!(judgement.counted_verdict(), Verdict::Ready);
    assert_eq!(judgement.brief.override_why, "separated last week");
}
