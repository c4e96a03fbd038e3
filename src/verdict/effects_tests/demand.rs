//! The decision table of demand: what fits, what a limiter saves, what only a measurement can tell.

use super::*;

fn measured(s: &mut Site, cutout_a: f64, demand_a: f64) {
    s.supply.cutout_rating_a = Reading::of(cutout_a);
    s.load.existing_demand_a = Reading::of(demand_a);
}

pub(super) fn cases() -> Vec<Case> {
    vec![
        // High end of a measured demand: + 10 %. 40 A: 44 + 16 = 60 A.
        case("supply-fits", house).with(|s| measured(s, 100.0, 40.0)).without(|s| measured(s, 100.0, 40.1)),
        case("demand-over-60", house).with(|s| measured(s, 100.0, 40.1)).without(|s| measured(s, 100.0, 40.0)),
        // The threshold is for homes.
        case("demand-over-60", house)
            .with(|s| measured(s, 100.0, 40.1))
            .without(|s| s.identity.premises_type = Reading::of(Premises::Workplace)),
        // Two points are held under it together: 49 A leave 6.1 A, which is a session; 49.2 A leave 5.9 A, which is none.
        case("demand-over-60", house)
            .with(|s| {
                measured(s, 100.0, 49.2);
                s.wanted.points_wanted = Reading::of(2.0);
            })
            .without(|s| measured(s, 100.0, 49.0)),
        case("limiter-needed", house).with(|s| measured(s, 60.0, 40.1)).without(|s| measured(s, 60.0, 40.0)),
        // 49 A: 53.9 A of 54 A; 50 A: 55 A.
        case("limiter-needed", house).with(|s| measured(s, 60.0, 49.0)).without(|s| measured(s, 60.0, 50.0)),
        // 32 A at a setpoint of 54 A: 80.96 kWh in 11 h; 254 miles need 80.6, 256 miles 81.3.
        case("limiter-energy-short", house)
            .with(|s| {
                measured(s, 60.0, 48.0);
                s.wanted.daily_miles = Reading::of(256.0);
            })
            .without(|s| s.wanted.daily_miles = Reading::of(254.0)),
        case("demand-near-limit", house).with(|s| measured(s, 60.0, 50.0)).without(|s| measured(s, 60.0, 49.0)),
        case("demand-near-limit", house).with(|s| measured(s, 60.0, 66.0)).without(|s| measured(s, 60.0, 67.0)),
        case("demand-over-limit", house).with(|s| measured(s, 60.0, 67.0)).without(|s| measured(s, 60.0, 66.0)),
        // A calculated demand never stops.
        case("demand-over-limit", house)
            .with(|s| measured(s, 60.0, 150.0))
            .without(|s| s.load.demand_method = Reading::of(DemandMethod::Calculated)),
        // Estimated, or no method given: 70 to 130 %.
        case("demand-over-limit", house)
            .with(|s| {
                measured(s, 60.0, 86.0);
                s.load.demand_method = Reading::of(DemandMethod::Estimated);
            })
            .without(|s| measured(s, 60.0, 85.0)),
        case("demand-over-limit", house)
            .with(|s| {
                measured(s, 60.0, 86.0);
                s.load.demand_method = Reading::unknown();
            })
            .without(|s| measured(s, 60.0, 85.0)),
        case("demand-over-limit-unproven", house)
            .with(|s| {
                measured(s, 60.0, 85.0);
                s.load.demand_method = Reading::of(DemandMethod::Estimated);
            })
            .without(|s| measured(s, 60.0, 86.0)),
        case("demand-over-limit-unproven", house)
            .with(|s| {
                measured(s, 60.0, 54.1);
                s.load.demand_method = Reading::of(DemandMethod::Calculated);
            })
            .without(|s| measured(s, 60.0, 54.0)),
        // Each phase for itself: 11 kW asked of three phases of 60 A.
        case("demand-near-limit", house)
            .with(|s| {
                measured(s, 60.0, 50.0);
                s.supply.supply_phases = Reading::of(3.0);
                s.supply.fault_level_ka = Reading::of(5.0);
                s.wanted.requested_kw = Reading::of(11.0);
            })
            .without(|s| measured(s, 60.0, 40.0)),
        // Against the agreed capacity: 46 kVA on one phase is 200 A, of a cut-out of 250 A.
        case("demand-over-limit", depot)
            .with(|s| {
                one_phase_capacity(s);
                s.load.existing_demand_a = Reading::of(223.0);
            })
            .without(|s| s.load.existing_demand_a = Reading::of(222.0)),
        case("demand-near-limit", depot)
            .with(|s| {
                one_phase_capacity(s);
                s.load.existing_demand_a = Reading::of(222.0);
            })
            .without(|s| s.load.existing_demand_a = Reading::of(160.0)),
        case("demand-over-90-percent", house).with(|s| measured(s, 60.0, 20.1)).without(|s| measured(s, 60.0, 20.0)),
        case("demand-over-90-percent", block)
            .with(|s| {
                measured(s, 100.0, 50.0);
                s.wanted.points_wanted = Reading::of(12.0);
            })
            .without(|s| s.wanted.points_wanted = Reading::of(3.0)),
        case("low-current", house)
            .with(|s| measured(s, 60.0, 43.0))
            .without(|s| measured(s, 60.0, 46.0))
            .rules(|r| r.supply.allow_limiter = false)
            .not_chosen(),
        case("less-than-asked", house).with(|s| measured(s, 100.0, 30.0)).without(|s| measured(s, 100.0, 25.0)),
        case("less-than-asked", house)
            .with(|s| s.wanted.requested_kw = Reading::of(22.0))
            .without(|s| s.wanted.requested_kw = Reading::of(7.4)),
        // Gas without a shower: 35 to 45 A on paper, 21 A at its low end.
        case("demand-methods-disagree", house)
            .with(|s| {
                s.load.heating = Reading::of(Heating::Gas);
                s.load.shower_kw = Reading::of(0.0);
                s.load.existing_demand_a = Reading::of(19.0);
            })
            .without(|s| s.load.existing_demand_a = Reading::of(19.2)),
        // A recorded 10 kVA is 41.3 to 52.2 A: a measured 47 A reaches from 42.3 A, 58.1 A from 52.3 A.
        case("demand-methods-disagree", house)
            .with(|s| {
                s.supply.recorded_peak_kva = Reading::of(10.0);
                s.load.existing_demand_a = Reading::of(37.0);
            })
            .without(|s| s.load.existing_demand_a = Reading::of(38.0)),
        // Asked and not answered: 21 to 110 A are plausible.
        case("unsettled-fact", house)
            .with(|s| {
                s.load.existing_demand_a = Reading::unknown();
                s.load.demand_method = Reading::unknown();
                s.load.heating = Reading::of(Heating::Gas);
                s.load.shower_kw = Reading::of(0.0);
            })
            .without(|s| s.load.existing_demand_a = Reading::of(20.0))
            .also(&["demand-over-60"]),
    ]
}

fn one_phase_capacity(s: &mut Site) {
    s.supply.supply_phases = Reading::of(1.0);
    s.supply.agreed_capacity_kva = Reading::of(46.0);
    s.supply.recorded_peak_kva = Reading::default();
    s.load.demand_method = Reading::of(DemandMethod::Measured);
    s.wanted.points_wanted = Reading::of(1.0);
}

#[test]
fn a_slow_point_is_shown_beside_the_choice_and_decides_nothing() {
    let mut site = house();
    measured(&mut site, 60.0, 43.0);
    let mut rules = default_rules().clone();
    rules.supply.allow_limiter = false;
    let judgement = judged(&site, &rules, Stance::Screen);
    assert_eq!(decisive(&judgement), ["demand-near-limit"]);
    let runner_up = judgement.runner_up.unwrap();
    assert_eq!(runner_up.setting_a, 10.0);
    assert!(runner_up.why_lost.contains("resident"), "{}", runner_up.why_lost);
}

#[test]
fn a_limiter_holds_the_least_limit_though_the_cut_out_leaves_less_room() {
    let mut site = depot();
    one_phase_capacity(&mut site);
    site.supply.cutout_rating_a = Reading::of(210.0);
    // Peak 170 A recorded: 204 A at the fuse's high end, 170 A against 200 A agreed; 0.9 x 210 = 189 A.
    site.load.demand_method = Reading::default();
    site.supply.recorded_peak_kva = Reading::of(0.23 * 155.0);
    let judgement = screened(&site);
    let setpoint = judgement.chosen.unwrap().control;
    assert_eq!(setpoint, crate::design::Control::Local { setpoint_a: 180.0 });
}

#[test]
fn a_larger_service_is_a_way_out_only_where_100_a_are_enough() {
    let mut site = house();
    measured(&mut site, 60.0, 70.0);
    site.supply.distributor = Reading::of("14".into());
    assert_eq!(decisive(&screened(&site)), ["demand-over-limit"]);
    // The operator fits no fuse over 80 A on old services; 77 A and 16 A need a new one.
    assert!(screened(&site).remedies[0].set[0].contains("service"), "{:?}", screened(&site).remedies);
    measured(&mut site, 60.0, 150.0);
    assert_eq!(screened(&site).remedies[0].set, ["three-phase service from the operator"]);
    site.supply.supply_phases = Reading::of(3.0);
    assert!(screened(&site).remedies.is_empty());
}

#[test]
fn a_logger_is_likely_to_show_the_middle_of_a_paper_figure() {
    let mut site = house();
    measured(&mut site, 60.0, 58.0);
    site.load.demand_method = Reading::of(DemandMethod::Calculated);
    let judgement = screened(&site);
    assert_eq!(decisive(&judgement), ["demand-over-limit-unproven"]);
    let sets: Vec<_> = judgement.remedies.iter().flat_map(|remedy| remedy.set.clone()).collect();
    // 35 to 58 A, 46.4 A in the middle: a limiter would then serve.
    assert!(sets.iter().any(|remedy| remedy.contains("half-hourly") || remedy.contains("logged")), "{sets:?}");
}

#[test]
fn after_a_new_service_an_estimate_may_still_have_to_be_measured() {
    let mut site = house();
    measured(&mut site, 60.0, 90.0);
    site.load.demand_method = Reading::of(DemandMethod::Estimated);
    site.supply.distributor = Reading::of("14".into());
    let judgement = screened(&site);
    assert_eq!(decisive(&judgement), ["demand-over-limit"]);
    // 90 A on a new service of 100 A is just within reach of a limiter, once it is measured.
    let set = &judgement.remedies[0].set;
    let of = |word: &str| set.iter().position(|step| step.contains(word)).unwrap_or_else(|| panic!("{set:?}"));
    assert!(of("service") < of("half-hourly") && of("half-hourly") < of("limiter"), "{set:?}");
}
