//! The intake end: tails, isolator, bonding, board, devices.

use super::*;

pub(super) fn cases() -> Vec<Case> {
    vec![
        case("no-isolator", house)
            .with(|s| s.supply.isolator_present = Reading::of(false))
            .without(|s| s.supply.isolator_present = Reading::of(true)),
        case("isolator-first", house)
            .with(|s| {
                s.supply.isolator_present = Reading::of(false);
                s.board.spare_ways = Reading::of(0.0);
            })
            .without(|s| s.board.spare_ways = Reading::of(1.0)),
        case("isolator-first", block)
            .with(|s| s.supply.isolator_present = Reading::unknown())
            .without(|s| s.supply.isolator_present = Reading::of(true)),
        // Behind an existing sub-main the tails are left alone.
        case("isolator-first", block).with(|s| s.supply.isolator_present = Reading::of(false)).without(|s| {
            s.board.submain_mm2 = Reading::of(25.0);
            s.board.submain_device_a = Reading::of(80.0);
        }),
        case("tails-upgrade", house)
            .with(|s| s.supply.tails_mm2 = Reading::of(16.0))
            .without(|s| s.supply.cutout_rating_a = Reading::of(80.0)),
        case("tails-upgrade", house)
            .with(|s| s.supply.tails_mm2 = Reading::unknown())
            .without(|s| s.supply.tails_mm2 = Reading::of(25.0)),
        // Over 3 m before the first isolation.
        case("tails-upgrade", house)
            .with(|s| {
                s.supply.isolator_present = Reading::of(false);
                s.board.meter_to_board_m = Reading::of(3.1);
            })
            .without(|s| s.board.meter_to_board_m = Reading::of(3.0)),
        case("tails-upgrade", house)
            .with(|s| {
                s.supply.isolator_present = Reading::of(false);
                s.board.meter_to_board_m = Reading::of(9.0);
            })
            .without(|s| s.supply.isolator_present = Reading::of(true)),
        case("bonding-upgrade", house)
            .with(|s| s.supply.main_bonding_mm2 = Reading::of(6.0))
            .without(|s| s.supply.main_bonding_mm2 = Reading::of(10.0)),
        case("bonding-upgrade", house)
            .with(|s| s.board.earthing_conductor_mm2 = Reading::default())
            .without(|s| s.board.earthing_conductor_mm2 = Reading::of(16.0)),
        case("bonding-upgrade", house).with(|s| s.supply.main_bonding_mm2 = Reading::of(6.0)).without(|s| {
            s.supply.earthing_system = Reading::of(EarthingSystem::Tt);
            s.supply.ze_ohm = Reading::of(60.0);
        }),
        case("added-board", house)
            .with(|s| s.board.spare_ways = Reading::of(0.0))
            .without(|s| s.board.spare_ways = Reading::of(1.0)),
        case("added-board", house)
            .with(|s| s.board.board_type = Reading::of(BoardType::Rewireable))
            .without(|s| s.board.board_type = Reading::of(BoardType::Metal)),
        // 22 A and 32 A through the main switch.
        case("added-board", house)
            .with(|s| s.board.board_main_switch_a = Reading::of(53.0))
            .without(|s| s.board.board_main_switch_a = Reading::of(54.0)),
        case("plastic-board", house)
            .with(|s| s.board.board_type = Reading::of(BoardType::Plastic))
            .without(|s| s.board.board_type = Reading::unknown()),
        case("board-unsafe", house)
            .with(|s| s.board.board_condition = Reading::of(Condition::Unsafe))
            .without(|s| s.board.board_condition = Reading::of(Condition::Doubtful)),
        case("condition-report-c2", house)
            .with(|s| s.board.condition_report = Reading::of(ConditionReport::C2))
            .without(|s| s.board.condition_report = Reading::of(ConditionReport::C3)),
        case("condition-report-c2", house)
            .with(|s| s.board.condition_report = Reading::of(ConditionReport::C1))
            .without(|s| s.board.condition_report = Reading::of(ConditionReport::None)),
        case("condition-report-fi", house)
            .with(|s| s.board.condition_report = Reading::of(ConditionReport::FurtherInvestigation))
            .without(|s| s.board.condition_report = Reading::of(ConditionReport::Satisfactory)),
        case("rcd-type-upstream", house)
            .with(|s| s.board.board_rcd_type = Reading::of(RcdType::Ac))
            .without(|s| s.board.board_rcd_type = Reading::of(RcdType::F)),
        // A type B device does not stand behind a type A one.
        case("rcd-type-upstream", house)
            .rules(|r| r.charge_point[0].detects_direct_current = false)
            .without(|s| s.board.board_rcd_type = Reading::of(RcdType::B)),
        // A single-phase unit behind 100 A carries 16 kA, anything else its devices' 6 kA.
        case("fault-duty-unmet", house)
            .with(|s| s.supply.fault_level_ka = Reading::of(16.1))
            .without(|s| s.supply.fault_level_ka = Reading::of(16.0)),
        case("fault-duty", house)
            .with(|s| {
                s.supply.fault_level_ka = Reading::of(6.1);
                s.supply.supply_phases = Reading::of(3.0);
            })
            .without(|s| s.supply.fault_level_ka = Reading::of(6.0)),
        case("fault-duty", block)
            .with(|s| {
                s.supply.fault_level_ka = Reading::of(9.0);
                s.supply.supply_phases = Reading::of(1.0);
            })
            .without(|s| s.wanted.points_wanted = Reading::of(1.0)),
        // Three phases, or a fuse over 100 A, are outside the conditional rating of a small added board.
        case("added-board-backup", house)
            .with(|s| {
                s.board.spare_ways = Reading::of(0.0);
                s.supply.supply_phases = Reading::of(3.0);
            })
            .without(|s| s.supply.supply_phases = Reading::of(1.0)),
        case("board-replacement", house)
            .with(|s| {
                s.board.spare_ways = Reading::of(0.0);
                s.board.board_type = Reading::of(BoardType::Plastic);
            })
            .without(|s| s.board.spare_ways = Reading::of(1.0)),
        case("board-replacement", house)
            .with(|s| s.board.board_type = Reading::of(BoardType::Rewireable))
            .without(|s| s.board.board_type = Reading::of(BoardType::Metal)),
        case("board-replacement", house)
            .with(|s| {
                s.board.spare_ways = Reading::of(0.0);
                s.board.board_condition = Reading::of(Condition::Doubtful);
            })
            .without(|s| s.board.board_condition = Reading::of(Condition::Sound)),
        case("tt-metal-board", house)
            .with(|s| {
                s.supply.earthing_system = Reading::of(EarthingSystem::Tt);
                s.supply.ze_ohm = Reading::of(60.0);
            })
            .without(|s| s.board.board_type = Reading::of(BoardType::Plastic)),
        case("tt-metal-board", house)
            .with(|s| {
                s.supply.earthing_system = Reading::of(EarthingSystem::Tt);
                s.supply.ze_ohm = Reading::of(60.0);
                s.board.board_type = Reading::of(BoardType::Plastic);
                s.board.spare_ways = Reading::of(0.0);
            })
            .without(|s| s.board.spare_ways = Reading::of(1.0)),
        // A household socket-outlet: seven storeys are over six, and a height not known may be.
        case("arc-fault-required", flat)
            .rules(socket)
            .also(&["higher-risk-building"])
            .with(|s| s.parking.storeys = Reading::of(7.0))
            .without(|s| s.parking.storeys = Reading::of(6.0)),
        case("arc-fault-required", flat)
            .rules(socket)
            .with(|s| s.parking.storeys = Reading::default())
            .without(|s| s.parking.storeys = Reading::of(4.0)),
        case("arc-fault-recommended", house).rules(socket).rules_without(|r| {
            r.charge_point[0].outlet = "vehicle connector".into();
        }),
        case("condition-report-old", house)
            .with(|s| s.board.condition_report_date = Reading::of(jiff::civil::date(2016, 11, 24)))
            .without(|s| s.board.condition_report_date = Reading::of(jiff::civil::date(2016, 11, 25))),
        case("condition-report-old", house)
            .with(|s| {
                s.identity.tenure = Reading::of(Tenure::SocialRent);
                s.board.condition_report_date = Reading::of(jiff::civil::date(2021, 11, 24));
            })
            .without(|s| s.identity.tenure = Reading::of(Tenure::Owner)),
        case("surge-protection-added", house)
            .with(|s| s.board.surge_protection = Reading::of(false))
            .without(|s| s.board.surge_protection = Reading::of(true)),
        case("surge-protection-added", house)
            .with(|s| s.board.surge_protection = Reading::unknown())
            .without(|s| s.board.surge_protection = Reading::of(true)),
    ]
}

/// A charge point with a household socket-outlet of 13 A.
fn socket(rules: &mut Rules) {
    rules.charge_point[0].outlet = "BS 1363 socket".into();
    rules.charge_point[0].largest_setting_a = 13.0;
}

#[test]
fn an_arc_fault_device_is_priced_where_it_is_a_duty_and_only_there() {
    use crate::design::Work;
    let mut rules = default_rules().clone();
    socket(&mut rules);
    let fitted = |site: &Site| {
        let judgement = judged(site, &rules, Stance::Screen);
        let (chosen, estimate) = (judgement.chosen.unwrap(), judgement.estimate.unwrap());
        let priced = estimate.bill.iter().any(|line| line.item == "arc-fault-device");
        let hours = estimate.tasks.iter().any(|line| line.task == "fit-arc-fault-device");
        (chosen.works.contains(&Work::ArcFault), priced, hours)
    };
    let mut tall = flat();
    tall.parking.storeys = Reading::of(9.0);
    assert_eq!(fitted(&tall), (true, true, true));
    assert_eq!(fitted(&flat()), (false, false, false));
}

#[test]
fn the_advice_on_an_old_board_says_which_and_why() {
    let advice = |board: BoardType, condition: Condition| {
        let mut site = house();
        site.board.spare_ways = Reading::of(0.0);
        site.board.board_type = Reading::of(board);
        site.board.board_condition = Reading::of(condition);
        let judgement = screened(&site);
        judgement.findings.iter().find(|finding| finding.check.name == "board-choice").map(|finding| finding.subject)
    };
    assert!(advice(BoardType::Rewireable, Condition::Sound).unwrap().starts_with("replace it"));
    assert!(advice(BoardType::Plastic, Condition::Doubtful).unwrap().starts_with("replace it"));
    assert!(advice(BoardType::Plastic, Condition::Sound).unwrap().starts_with("add the small board"));
    assert_eq!(advice(BoardType::Metal, Condition::Sound), None);
}

#[test]
fn tails_that_are_too_small_are_replaced_over_their_whole_length_and_long_ones_up_to_the_first_isolation() {
    use crate::design::Work;
    let length = |site: &Site| {
        screened(site).chosen.unwrap().works.iter().find_map(|work| match work {
            Work::TailsUpgrade { length_m } => Some(*length_m),
            _ => None,
        })
    };
    let mut site = house();
    site.board.meter_to_board_m = Reading::of(9.0);
    site.supply.tails_mm2 = Reading::of(16.0);
    assert_eq!(length(&site), Some(9.0));
    site.supply.tails_mm2 = Reading::of(25.0);
    site.supply.isolator_present = Reading::of(false);
    assert_eq!(length(&site), Some(3.0));
    site.supply.isolator_present = Reading::of(true);
    assert_eq!(length(&site), None);
}

#[test]
fn a_supply_over_100_a_a_phase_does_not_prove_its_bonding_by_the_sizes_of_a_home() {
    let mut site = depot();
    assert!(said(&screened(&site)).contains(&"bonding-upgrade"));
    site.supply.cutout_rating_a = Reading::of(100.0);
    assert!(!said(&screened(&site)).contains(&"bonding-upgrade"));
}
