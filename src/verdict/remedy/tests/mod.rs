//! Sites with something in their way, what a changed fact leaves of it, and what is said where there is no way out.

mod exhaustive;

use super::*;
use crate::rules::{Rules, Stance, default_rules};
use crate::site::*;
use crate::splitmix::Splitmix;
use crate::verdict::unknowns::doubtful_answers;
use crate::verdict::{Context, Judgement, judge};
use jiff::civil::date;

struct Dice(Splitmix);

impl Dice {
    fn one<T: Clone>(&mut self, all: &[T]) -> T {
        all[(self.0.next() % all.len() as u64) as usize].clone()
    }

    /// One of these answers, known; or asked and not answered; or never asked.
    fn reading<T: Clone>(&mut self, all: &[T]) -> Reading<T> {
        let value = self.one(all);
        match self.0.next() % 12 {
            0 => Reading::unknown(),
            1 => Reading::default(),
            _ => Reading::of(value),
        }
    }
}

/// A site that has something in its way, more often than not.
fn drawn(trial: u64) -> Site {
    let mut dice = Dice(Splitmix(trial.wrapping_mul(0x2545_f491_4f6c_dd1d) ^ 0x3e3ed1e5));
    let mut site = Site { row: 2, site_id: format!("drawn-{trial}"), ..Site::default() };
    let premises = dice.one(&[Premises::House, Premises::House, Premises::Flat, Premises::Block, Premises::Workplace]);
    let home = premises.is_home();
    site.identity.premises_type = Reading::of(premises);
    site.identity.tenure = dice.reading(&[Tenure::Owner, Tenure::Owner, Tenure::SocialRent, Tenure::PrivateRent]);
    site.identity.survey_method = dice.reading(&[SurveyMethod::Visit, SurveyMethod::Visit, SurveyMethod::Phone]);
    let supply = &mut site.supply;
    supply.supply_phases = dice.reading(if home { &[1.0, 1.0, 1.0, 3.0] } else { &[3.0, 3.0, 1.0] });
    supply.cutout_rating_a = dice.reading(if home { &[60.0, 80.0, 100.0] } else { &[80.0, 100.0, 200.0] });
    supply.cutout_evidence = dice.reading(&[CutoutEvidence::Fuse, CutoutEvidence::Fuse, CutoutEvidence::Carrier]);
    supply.cutout_condition =
        dice.reading(&[Condition::Sound, Condition::Sound, Condition::Doubtful, Condition::Unsafe]);
    supply.looped_service = dice.reading(&[false, false, false, true]);
    supply.earthing_system = dice.reading(&[EarthingSystem::TnCS, EarthingSystem::TnS, EarthingSystem::Tt]);
    supply.ze_ohm = dice.reading(&[0.3, 0.3, 0.9, 90.0, 400.0]);
    supply.distributor = dice.reading(&["14".to_owned(), "10".to_owned()]);
    supply.supply_present = dice.reading(&[true, true, true, true, false]);
    if !home {
        supply.agreed_capacity_kva = dice.reading(&[40.0, 69.0, 138.0]);
        supply.recorded_peak_kva = dice.reading(&[20.0, 50.0, 90.0]);
        supply.metering = dice.reading(&[Metering::WholeCurrent]);
    }
    site.board.board_condition = dice.reading(&[Condition::Sound, Condition::Sound, Condition::Unsafe]);
    site.board.condition_report =
        dice.reading(&[ConditionReport::Satisfactory, ConditionReport::C2, ConditionReport::FurtherInvestigation]);
    site.parking.parking_type =
        dice.reading(&[ParkingType::Driveway, ParkingType::Driveway, ParkingType::Allocated, ParkingType::None]);
    site.parking.covered_parking = dice.reading(&[false, false, true]);
    site.parking.storeys = dice.reading(&[2.0, 4.0, 9.0]);
    site.permissions.asbestos_on_route = dice.reading(&[false, false, true]);
    site.permissions.listed = dice.reading(&[false, false, true]);
    site.permissions.consent_status =
        dice.reading(&[ConsentStatus::Granted, ConsentStatus::NotNeeded, ConsentStatus::Asked, ConsentStatus::Refused]);
    site.load.existing_demand_a = dice.reading(&[18.0, 31.0, 42.0, 52.0, 66.0, 75.0, 90.0, 130.0, 190.0]);
    site.load.demand_method =
        dice.reading(&[DemandMethod::Measured, DemandMethod::Calculated, DemandMethod::Estimated]);
    site.parking.parking_distance_m = Reading::of(dice.one(&[6.0, 14.0, 40.0, 420.0]));
    site.wanted.points_wanted = Reading::of(if home { 1.0 } else { dice.one(&[1.0, 3.0, 8.0]) });
    // Most of what is drawn is put right again, so that few things stand in the way of one site.
    let sound = dice.0.next();
    let heals: [fn(&mut Site); 10] = [
        |site| site.supply.looped_service = Reading::of(false),
        |site| site.board.board_condition = Reading::of(Condition::Sound),
        |site| site.board.condition_report = Reading::of(ConditionReport::Satisfactory),
        |site| site.parking.parking_type = Reading::of(ParkingType::Driveway),
        |site| site.permissions.listed = Reading::of(false),
        |site| site.permissions.consent_status = Reading::of(ConsentStatus::NotNeeded),
        |site| site.supply.supply_present = Reading::of(true),
        |site| site.permissions.asbestos_on_route = Reading::of(false),
        |site| site.supply.cutout_condition = Reading::of(Condition::Sound),
        |site| site.parking.covered_parking = Reading::of(false),
    ];
    for (place, heal) in heals.iter().enumerate() {
        if (sound >> (2 * place)) & 3 != 0 {
            heal(&mut site);
        }
    }
    site
}

fn judged(site: &Site, rules: &Rules) -> Judgement {
    let prices = PriceBook::default_book();
    judge(site, &Context { rules, prices, stance: Stance::Screen, as_of: date(2026, 11, 25), odds: false })
}

/// What the site is looked at with, as `judge` does it.
fn in_situation<T>(site: &Site, judgement: &Judgement, look: impl FnOnce(&Situation<'_>) -> T) -> T {
    let (rules, prices) = (default_rules(), PriceBook::default_book());
    let mut facts = crate::design::facts(site, rules).0;
    let doubtful = doubtful_answers(site, &mut facts, rules);
    let place = Place::of(site, &facts, rules, prices);
    let consulted: Vec<Finding> =
        judgement.findings.iter().filter(|finding| finding.check.name == "consultation").cloned().collect();
    let evidence = Evidence { site, facts: &facts, rules, stance: Stance::Screen, as_of: date(2026, 11, 25) };
    look(&Situation {
        evidence,
        doubtful: &doubtful,
        consulted: &consulted,
        prices,
        place: &place,
        fuse_policy_a: crate::design::fuse_policy_a(site),
    })
}

#[test]
fn a_fuse_from_the_operator_leaves_what_a_seen_fuse_of_that_rating_leaves() {
    let mut tried = 0;
    for trial in 0..if cfg!(debug_assertions) { 500 } else { 4000 } {
        let site = drawn(trial);
        let judgement = judged(&site, default_rules());
        let known = site.load.existing_demand_a.is_stated() && site.premises().is_home();
        in_situation(&site, &judgement, |situation| {
            let facts = situation.evidence.facts;
            for amps in [80.0, 100.0].into_iter().filter(|amps| known && *amps > facts.cutout_a && !facts.ct_metered) {
                tried += 1;
                let mut seen = site.clone();
                seen.supply.cutout_rating_a = Reading::of(amps);
                seen.supply.cutout_evidence = Reading::of(CutoutEvidence::Fuse);
                let of_seen = judged(&seen, default_rules());
                let mut of_seen: Vec<&str> = of_seen
                    .findings
                    .iter()
                    .filter(|finding| finding.effect >= Effect::Holds)
                    .filter_map(Finding::code)
                    // A rating above the operator's policy is doubted in a survey, and not where the operator laid it.
                    .filter(|code| *code != "cutout-unknown")
                    .collect();
                let after = situation.open_after(Changed { cutout_a: Some(amps), demand_likely: false });
                let mut after: Vec<&str> = after.iter().map(|open| open.code).collect();
                of_seen.sort_unstable();
                of_seen.dedup();
                after.sort_unstable();
                assert_eq!(after, of_seen, "trial {trial}, {amps} A");
            }
        });
    }
    assert!(tried > 60, "{tried}");
}

#[test]
fn rows_with_the_same_words_are_one_remedy() {
    let mut ids: Vec<usize> = rows().iter().map(|row| row.id).collect();
    ids.sort_unstable();
    ids.dedup();
    assert!(ids.len() <= 128, "{} remedies: the portfolio counts as many as a set has bits for", ids.len());
    for row in rows() {
        for other in rows().iter().filter(|other| other.id == row.id) {
            let together = row.applies_to == "any" || other.applies_to == "any" || row.applies_to == other.applies_to;
            if together {
                let of = |row: &Row| (row.change, row.payer, row.items, row.weeks);
                assert_eq!(of(row), of(other), "{}", row.remedy);
            }
        }
    }
}

/// A house with three phases of 100 A and this demand measured on each.
fn three_phases(demand_a: f64) -> Site {
    let mut site = Site { row: 2, site_id: "H3".into(), ..Site::default() };
    site.identity.premises_type = Reading::of(Premises::House);
    site.identity.tenure = Reading::of(Tenure::Owner);
    site.supply.supply_phases = Reading::of(3.0);
    site.supply.cutout_rating_a = Reading::of(100.0);
    site.supply.cutout_evidence = Reading::of(CutoutEvidence::Fuse);
    site.supply.looped_service = Reading::of(false);
    site.load.existing_demand_a = Reading::of(demand_a);
    site.load.demand_method = Reading::of(DemandMethod::Measured);
    site.parking.parking_type = Reading::of(ParkingType::Driveway);
    site.parking.parking_distance_m = Reading::of(12.0);
    site
}

#[test]
fn what_would_have_to_give_is_told_to_the_step() {
    let site = three_phases(150.0);
    let judgement = judged(&site, default_rules());
    assert!(judgement.remedies.is_empty());
    let told = &judgement.would_have_to_give;
    assert!(told.starts_with("No remedy on file settles: demand over the supply. Before it goes, demand"), "{told}");
    let number = |before: &str| {
        let rest = told.split_once(before).unwrap_or_else(|| panic!("{told}")).1;
        rest.split_once(' ').unwrap().0.parse::<f64>().unwrap()
    };
    let (demand, supply) = (number("measured at "), number("carry "));
    assert!(!told.contains("route"), "{told}");
    in_situation(&site, &judgement, |situation| {
        let facts = situation.evidence.facts;
        let all_settled = |facts: &Facts| {
            let of_design = situation.of_design(facts);
            open(&[], &of_design).iter().all(|open| {
                rows()
                    .iter()
                    .any(|row| row.reason == open.code && row.change == Change::Settles && situation.offers(row))
            })
        };
        assert!(all_settled(&with_demand(facts, demand)) && !all_settled(&with_demand(facts, demand + 0.1)), "{told}");
        let carrying = |amps: f64| Facts { cutout_a: amps, ..facts.clone() };
        assert!(all_settled(&carrying(supply)) && !all_settled(&carrying(supply - 1.0)), "{told}");
    });
}

#[test]
fn what_the_rules_alone_hold_for_is_told_with_its_next_step() {
    let mut rules = default_rules().clone();
    let mut site = three_phases(10.0);
    site.identity.survey_date = Reading::of(date(2019, 1, 1));
    assert_eq!(judged(&site, &rules).verdict, Verdict::Ready);
    rules.effects.insert("survey-stale".into(), "holds".into());
    let judgement = judged(&site, &rules);
    assert_eq!(judgement.verdict, Verdict::Marginal);
    let told = &judgement.would_have_to_give;
    assert!(told.starts_with("No remedy on file settles: ") && !told.contains("Before"), "{told}");
}

#[test]
fn what_answers_two_questions_is_paid_once() {
    let mut site = three_phases(10.0);
    site.supply.cutout_evidence = Reading::of(CutoutEvidence::Assumed);
    site.supply.looped_service = Reading::unknown();
    let one = |site: &Site| judged(site, default_rules()).remedies.remove(0);
    let both = one(&site);
    site.supply.looped_service = Reading::of(false);
    let cutout = one(&site);
    assert_eq!((&both.set, both.cost, both.weeks), (&cutout.set, cutout.cost, cutout.weeks));
    assert_eq!(both.set, ["operator's record of the supply"]);
    // It has to show both: the chances of two facts are multiplied.
    assert!((both.chance - cutout.chance * 0.88).abs() < 1e-9, "{both:?} {cutout:?}");
}
