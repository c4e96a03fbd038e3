//! Every row of `finding/effects.csv` against the engine: a smallest site that has the reason and a neighbour just on
//! the other side of its condition that has not. The row's words are the authority, not the code.

mod board;
mod circuit;
mod demand;
mod place;
mod shared;
mod stance;
mod supply;

use super::*;
use crate::estimate::PriceBook;
use crate::finding::{Effect, Reason, reason, reasons};
use crate::rules::{Rules, Stance, default_rules};
use crate::site::*;

/// A site that gives a reason, and a neighbour that does not.
struct Case {
    code: &'static str,
    with: Site,
    without: Site,
    rules_with: Rules,
    rules_without: Rules,
    stance: Stance,
    /// Other reasons that stop or hold the first site and cannot be had apart from this one.
    also: &'static [&'static str],
    /// The reason belongs to an arrangement that is built and not chosen.
    not_chosen: bool,
}

/// A case on a site that is ready as it stands.
fn case(code: &'static str, base: fn() -> Site) -> Case {
    Case {
        code,
        with: base(),
        without: base(),
        rules_with: default_rules().clone(),
        rules_without: default_rules().clone(),
        stance: Stance::Screen,
        also: &[],
        not_chosen: false,
    }
}

impl Case {
    /// Changes both sites: what gives the reason.
    fn with(mut self, change: fn(&mut Site)) -> Self {
        change(&mut self.with);
        change(&mut self.without);
        self
    }

    /// Changes the neighbour: what takes the reason away.
    fn without(mut self, change: fn(&mut Site)) -> Self {
        change(&mut self.without);
        self
    }

    /// Changes the rules of both.
    fn rules(mut self, change: fn(&mut Rules)) -> Self {
        change(&mut self.rules_with);
        change(&mut self.rules_without);
        self
    }

    /// Changes the rules of the neighbour.
    fn rules_without(mut self, change: fn(&mut Rules)) -> Self {
        change(&mut self.rules_without);
        self
    }

    fn commit(mut self) -> Self {
        self.stance = Stance::Commit;
        self
    }

    fn also(mut self, codes: &'static [&'static str]) -> Self {
        self.also = codes;
        self
    }

    fn not_chosen(mut self) -> Self {
        self.not_chosen = true;
        self
    }
}

fn judged(site: &Site, rules: &Rules, stance: Stance) -> Judgement {
    let as_of = jiff::civil::date(2026, 11, 25);
    judge(site, &Context { rules, prices: PriceBook::default_book(), stance, as_of, odds: true })
}

fn screened(site: &Site) -> Judgement {
    judged(site, default_rules(), Stance::Screen)
}

/// Codes of the findings, each once, in their order.
fn said(judgement: &Judgement) -> Vec<&'static str> {
    let mut codes = Vec::new();
    for code in judgement.findings.iter().filter_map(crate::finding::Finding::code) {
        if !codes.contains(&code) {
            codes.push(code);
        }
    }
    codes
}

/// Codes that stop or hold, as the judgement orders them.
fn decisive(judgement: &Judgement) -> Vec<&'static str> {
    judgement.reasons.iter().filter(|reason| reason.effect >= Effect::Holds).map(|reason| reason.code).collect()
}

fn built_codes(site: &Site, rules: &Rules) -> Vec<&'static str> {
    let facts = crate::design::facts(site, rules).0;
    let built = crate::design::arrangements(&facts, rules);
    built.iter().flat_map(|arrangement| arrangement.findings.iter().filter_map(|finding| finding.code())).collect()
}

/// Whether `remedies.csv` has a row that settles this reason at such premises.
fn has_remedy(code: &str, home: bool) -> bool {
    csv::Reader::from_reader(include_str!("../remedies.csv").as_bytes()).records().flatten().any(|row| {
        let applies = matches!((&row[11], home), ("any", _) | ("home", true) | ("site", false));
        &row[0] == code && &row[2] == "settles" && applies
    })
}

/// What is wrong with a case, in words; empty when it holds.
fn faults(case: &Case) -> Vec<String> {
    let code = case.code;
    let expected: &Reason = reason(code);
    let mut faults = Vec::new();
    let mut hold = |holds: bool, fault: String| {
        if !holds {
            faults.push(fault);
        }
    };
    hold(expected.code == code, "not in effects.csv".into());
    if case.not_chosen {
        hold(built_codes(&case.with, &case.rules_with).contains(&code), "not built".into());
        hold(!built_codes(&case.without, &case.rules_without).contains(&code), "the neighbour has it too".into());
        return faults;
    }
    let judgement = judged(&case.with, &case.rules_with, case.stance);
    let found = judgement.findings.iter().find(|finding| finding.code() == Some(code));
    hold(
        found.is_some_and(|finding| finding.effect == expected.effect),
        format!("not said with its effect, but {:?}", said(&judgement)),
    );
    let listed = judgement.reasons.iter().any(|reason| reason.code == code);
    hold(listed == (expected.effect >= Effect::Step), "reasons hold stops, holds and steps only".into());
    let decides = expected.effect >= Effect::Holds;
    let (mut deciding, mut wanted) = (decisive(&judgement), case.also.to_vec());
    wanted.extend(decides.then_some(code));
    deciding.sort_unstable();
    wanted.sort_unstable();
    hold(deciding == wanted, format!("{deciding:?} stop or hold, not {wanted:?}"));
    let worst = judgement.reasons.iter().map(|reason| reason.effect).max().unwrap_or(Effect::None);
    let verdict = choice::verdict_of(worst.max(expected.effect));
    hold(judgement.verdict == verdict, format!("{} instead of {verdict}", judgement.verdict));
    if decides {
        let weeks = judgement.weeks.unwrap_or_default();
        let long_enough = weeks.likely >= expected.weeks.likely && weeks.high >= expected.weeks.high;
        hold(long_enough, format!("{weeks:?} is shorter than its own wait"));
        let home = case.with.premises().is_home();
        hold(!judgement.remedies.is_empty() || !has_remedy(code, home), "no way out".into());
    }
    if decides && case.also.is_empty() {
        let waits: Vec<_> = expected.waits_for.into_iter().collect();
        hold(judgement.waits_for == waits, format!("waits for {:?}", judgement.waits_for));
        hold(judgement.next_step == expected.next_step, format!("next step {:?}", judgement.next_step));
    }
    let neighbour = judged(&case.without, &case.rules_without, case.stance);
    hold(!said(&neighbour).contains(&code), "the neighbour has it too".into());
    faults
}

fn every_case() -> Vec<Case> {
    let mut cases = supply::cases();
    cases.extend(demand::cases());
    cases.extend(shared::cases());
    cases.extend(board::cases());
    cases.extend(circuit::cases());
    cases.extend(place::cases());
    cases.extend(stance::cases());
    cases
}

/// Codes that a single site cannot have.
const ELSEWHERE: [(&str, &str); 2] = [
    ("cluster-early-contact", "several sites: the portfolio says it"),
    ("neighbours-over-capacity", "several sites: the portfolio says it"),
];

#[test]
fn every_code_has_a_case_and_every_case_holds() {
    let cases = every_case();
    let mut wrong = Vec::new();
    for (index, case) in cases.iter().enumerate() {
        wrong.extend(faults(case).iter().map(|fault| format!("case {index}, {}: {fault}", case.code)));
    }
    for reason in reasons() {
        let covered = cases.iter().any(|case| case.code == reason.code);
        let elsewhere = ELSEWHERE.iter().any(|(code, _)| *code == reason.code);
        if covered == elsewhere {
            wrong.push(format!("{} has no case", reason.code));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn the_sites_that_cases_start_from_are_ready_and_nothing_is_to_be_done_first() {
    for (site, steps) in
        [(house(), &[][..]), (flat(), &[]), (block(), &[]), (depot(), &["capacity-formality", "bonding-upgrade"])]
    {
        for stance in [Stance::Screen, Stance::Commit] {
            let judgement = judged(&site, default_rules(), stance);
            let codes: Vec<_> = judgement.reasons.iter().map(|reason| reason.code).collect();
            assert_eq!(codes, steps, "{}", site.premises());
            assert_eq!(judgement.verdict, Verdict::Ready);
            assert!(judgement.ready_if_committed && judgement.confirm_first.is_empty());
            assert!(judgement.decisive_unknowns.is_empty() && judgement.remedies.is_empty());
            assert!(judgement.odds.unwrap().ready > 0.99, "{}: {:?}", site.premises(), judgement.odds);
            assert_eq!(judgement.confidence, Confidence::Surveyed);
        }
    }
}

/// A fully surveyed house: 100 A fuse seen, no loop, 20 A measured, TN-C-S, 12 m to the drive.
fn house() -> Site {
    let mut site = Site { row: 2, site_id: "H1".into(), ..Site::default() };
    site.identity.premises_type = Reading::of(Premises::House);
    site.identity.tenure = Reading::of(Tenure::Owner);
    site.identity.survey_method = Reading::of(SurveyMethod::Visit);
    site.identity.survey_date = Reading::of(jiff::civil::date(2026, 6, 1));
    site.supply.metering = Reading::of(Metering::WholeCurrent);
    site.supply.supply_present = Reading::of(true);
    site.supply.unmetered = Reading::of(false);
    site.supply.supply_phases = Reading::of(1.0);
    site.supply.cutout_rating_a = Reading::of(100.0);
    site.supply.cutout_evidence = Reading::of(CutoutEvidence::Fuse);
    site.supply.cutout_condition = Reading::of(Condition::Sound);
    site.supply.looped_service = Reading::of(false);
    site.supply.tails_mm2 = Reading::of(25.0);
    site.supply.isolator_present = Reading::of(true);
    site.supply.earthing_system = Reading::of(EarthingSystem::TnCS);
    site.supply.ze_ohm = Reading::of(0.2);
    site.supply.electrode_position = Reading::of(true);
    site.supply.fault_level_ka = Reading::of(4.0);
    site.supply.main_bonding_mm2 = Reading::of(10.0);
    site.load.existing_demand_a = Reading::of(20.0);
    site.load.demand_method = Reading::of(DemandMethod::Measured);
    site.board.board_type = Reading::of(BoardType::Metal);
    site.board.board_condition = Reading::of(Condition::Sound);
    site.board.board_main_switch_a = Reading::of(100.0);
    site.board.earthing_conductor_mm2 = Reading::of(16.0);
    site.board.condition_report = Reading::of(ConditionReport::Satisfactory);
    site.board.spare_ways = Reading::of(2.0);
    site.board.board_rcd_type = Reading::of(RcdType::A);
    site.board.surge_protection = Reading::of(true);
    site.board.meter_to_board_m = Reading::of(1.5);
    site.parking.parking_type = Reading::of(ParkingType::Driveway);
    site.parking.parking_distance_m = Reading::of(12.0);
    site.parking.covered_parking = Reading::of(false);
    site.parking.storeys = Reading::of(2.0);
    site.parking.mobile_signal = Reading::of(true);
    site.permissions.listed = Reading::of(false);
    site.permissions.consent_status = Reading::of(ConsentStatus::NotNeeded);
    site.permissions.wayleave_status = Reading::of(ConsentStatus::NotNeeded);
    site.permissions.year_built = Reading::of(2004.0);
    site.permissions.asbestos_on_route = Reading::of(false);
    site.wanted.points_wanted = Reading::of(1.0);
    site.wanted.requested_kw = Reading::of(7.4);
    site
}

/// A flat with an allocated bay in the open and the freeholder's consent.
fn flat() -> Site {
    let mut site = house();
    site.identity.premises_type = Reading::of(Premises::Flat);
    site.identity.tenure = Reading::of(Tenure::Leasehold);
    site.permissions.consent_status = Reading::of(ConsentStatus::Granted);
    site.parking.parking_type = Reading::of(ParkingType::Allocated);
    site.parking.storeys = Reading::of(4.0);
    site
}

/// A landlord's supply of three phases for four points in an open car park.
fn block() -> Site {
    let mut site = house();
    site.identity.premises_type = Reading::of(Premises::Block);
    site.identity.tenure = Reading::of(Tenure::SocialRent);
    site.supply.supply_phases = Reading::of(3.0);
    site.supply.fault_level_ka = Reading::of(5.0);
    site.parking.parking_type = Reading::of(ParkingType::Communal);
    site.parking.parking_distance_m = Reading::of(40.0);
    site.parking.bays = Reading::of(20.0);
    site.parking.storeys = Reading::of(4.0);
    site.wanted.points_wanted = Reading::of(4.0);
    site
}

/// A depot metered by current transformers: 200 A a phase agreed, 60 A of it used, four points.
fn depot() -> Site {
    let mut site = block();
    site.identity.premises_type = Reading::of(Premises::Depot);
    site.identity.tenure = Reading::of(Tenure::Employer);
    site.supply.metering = Reading::of(Metering::CurrentTransformer);
    site.supply.cutout_rating_a = Reading::of(250.0);
    site.supply.agreed_capacity_kva = Reading::of(138.0);
    site.supply.recorded_peak_kva = Reading::of(41.4);
    site.load.existing_demand_a = Reading::default();
    site.load.demand_method = Reading::default();
    site
}
