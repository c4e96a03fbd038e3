//! Several points on one supply, and metered supplies against their agreed capacity.

use super::*;

pub(super) fn cases() -> Vec<Case> {
    vec![
        // Four vans need 26.3 kWh each in 11 h: 3.5 A a phase. 152.7 A of peak and that are four fifths of 200 A.
        case("capacity-formality", depot)
            .with(|s| s.supply.recorded_peak_kva = Reading::of(0.69 * 145.0))
            .without(|s| s.supply.recorded_peak_kva = Reading::of(0.69 * 147.0)),
        case("capacity-formality", depot)
            .with(|s| s.supply.cutout_rating_a = Reading::of(100.0))
            .without(|s| s.supply.metering = Reading::of(Metering::WholeCurrent)),
        case("capacity-tight", depot)
            .with(|s| s.supply.recorded_peak_kva = Reading::of(0.69 * 147.0))
            .without(|s| s.supply.recorded_peak_kva = Reading::of(0.69 * 145.0)),
        // Over the capacity it is not tight, it is over.
        case("peak-over-capacity", depot)
            .with(|s| s.supply.recorded_peak_kva = Reading::of(138.1))
            .without(|s| s.supply.recorded_peak_kva = Reading::of(137.9))
            .also(&["demand-over-limit", "fewer-points"]),
        // 92.4 A at the high end leave no limiter that follows the load, and 7 A a phase: 53.1 kWh in 11 h, four points of
        // 12.7 kWh.
        case("fewer-points-half", block)
            .with(|s| {
                s.load.existing_demand_a = Reading::of(84.0);
                s.wanted.points_wanted = Reading::of(8.0);
                s.wanted.daily_miles = Reading::of(40.0);
            })
            .without(|s| s.wanted.points_wanted = Reading::of(3.0)),
        case("fewer-points", block)
            .with(|s| {
                s.load.existing_demand_a = Reading::of(84.0);
                s.wanted.points_wanted = Reading::of(9.0);
                s.wanted.daily_miles = Reading::of(40.0);
            })
            .without(|s| s.wanted.points_wanted = Reading::of(8.0)),
        // 23 A a phase by night and day are too little for twenty points of 12.7 kWh; what the load leaves is enough.
        case("limiter-needed", block)
            .with(|s| {
                s.load.existing_demand_a = Reading::of(70.0);
                s.wanted.points_wanted = Reading::of(20.0);
                s.wanted.daily_miles = Reading::of(40.0);
            })
            .without(|s| s.wanted.points_wanted = Reading::of(9.0)),
        // 23 A are three sessions of 6 A a phase.
        // A vehicle gets 81.0 kWh in 11 h at 32 A: enough for 57.1 kWh, not for half as much again.
        case("high-day-short", block)
            .with(|s| {
                s.wanted.points_wanted = Reading::of(2.0);
                s.wanted.daily_miles = Reading::of(180.0);
            })
            .without(|s| s.wanted.daily_miles = Reading::of(165.0)),
        case("rotation-needed", block)
            .with(|s| {
                s.load.existing_demand_a = Reading::of(70.0);
                s.wanted.points_wanted = Reading::of(10.0);
            })
            .without(|s| s.wanted.points_wanted = Reading::of(9.0)),
        case("group-control-fails-low", block)
            .with(|s| s.wanted.points_wanted = Reading::of(7.0))
            .without(|s| s.wanted.points_wanted = Reading::of(6.0)),
        // Six points of 47.6 kWh need 37.6 A a phase beside 22 A; what carries that is left, the group held to it.
        case("submain-too-small", block)
            .with(|s| {
                s.wanted.points_wanted = Reading::of(6.0);
                s.wanted.daily_miles = Reading::of(150.0);
                s.board.submain_mm2 = Reading::of(25.0);
                s.board.submain_device_a = Reading::of(59.0);
            })
            .without(|s| s.board.submain_device_a = Reading::of(60.0)),
        // No usual cable of 10 mm2 is protected by 100 A, whatever flows.
        case("submain-too-small", block)
            .with(|s| {
                s.wanted.points_wanted = Reading::of(2.0);
                s.wanted.daily_miles = Reading::of(10.0);
                s.board.submain_mm2 = Reading::of(10.0);
                s.board.submain_device_a = Reading::of(100.0);
            })
            .without(|s| s.board.submain_device_a = Reading::of(50.0)),
        // The device would carry it, the conductor does not.
        case("submain-too-small", block)
            .with(|s| {
                s.wanted.points_wanted = Reading::of(6.0);
                s.wanted.daily_miles = Reading::of(150.0);
                s.board.submain_mm2 = Reading::of(4.0);
                s.board.submain_device_a = Reading::of(80.0);
            })
            .without(|s| s.board.submain_mm2 = Reading::of(25.0)),
        case("selectivity", block).without(|s| s.wanted.points_wanted = Reading::of(1.0)),
        case("leaseholder-consultation", block)
            .with(|s| {
                s.identity.tenure = Reading::of(Tenure::Leasehold);
                s.permissions.consent_status = Reading::of(ConsentStatus::Granted);
            })
            .without(|s| s.parking.bays = Reading::of(200.0)),
        case("leaseholder-consultation", block)
            .with(|s| {
                s.identity.tenure = Reading::of(Tenure::Shared);
                s.permissions.consent_status = Reading::of(ConsentStatus::Granted);
            })
            .without(|s| s.identity.tenure = Reading::of(Tenure::SocialRent)),
    ]
}

#[test]
fn a_home_behind_a_small_submain_is_fed_from_its_intake() {
    // The whole load of a home is behind its sub-main: 22 + 16 A at the least.
    let mut site = house();
    site.board.submain_mm2 = Reading::of(16.0);
    site.board.submain_device_a = Reading::of(80.0);
    site.board.meter_to_board_m = Reading::of(12.0);
    let enough = screened(&site).chosen.unwrap();
    assert_eq!(enough.feed, crate::design::Feed::SpareWay);
    site.board.submain_device_a = Reading::of(37.0);
    let judgement = screened(&site);
    assert_eq!(judgement.verdict, Verdict::Ready, "{:?}", said(&judgement));
    let chosen = judgement.chosen.unwrap();
    assert_eq!(chosen.feed, crate::design::Feed::AddedBoard);
    // The route was measured from the board: the circuit goes there first.
    assert!((chosen.length_m() - enough.length_m() - 12.0).abs() < 1e-9);
    site.parking.distance_from = Reading::of(crate::site::DistanceFrom::Intake);
    assert!((screened(&site).chosen.unwrap().length_m() - enough.length_m()).abs() < 1e-9);
    // A spare way over it is the other arrangement, and says why it lost.
    assert!(screened(&site).runner_up.is_some());
}

#[test]
fn one_single_phase_point_loads_one_phase_of_a_metered_supply() {
    let mut site = depot();
    site.wanted.points_wanted = Reading::of(1.0);
    let one = screened(&site);
    let share = one.findings.iter().find(|finding| finding.code() == Some("capacity-formality")).unwrap();
    // 26.3 kWh in 11 h on one phase: 10.4 A beside 60 A.
    assert!((share.value.unwrap() - 70.4).abs() < 0.1, "{share:?}");
}

#[test]
fn several_points_on_an_unmeasured_electrode_have_a_design() {
    let mut site = block();
    site.supply.earthing_system = Reading::of(EarthingSystem::Tt);
    site.supply.ze_ohm = Reading::unknown();
    let judgement = screened(&site);
    assert_eq!(judgement.verdict, Verdict::Ready, "{:?}", said(&judgement));
    assert!(judgement.chosen.unwrap().submain_device.unwrap().residual.is_some());
}

#[test]
fn devices_behind_a_submain_are_proof_against_the_current_that_no_angle_exceeds() {
    let mut site = block();
    site.supply.fault_level_ka = Reading::of(25.0);
    site.parking.parking_distance_m = Reading::of(10.0);
    let chosen = screened(&site).chosen.unwrap();
    let cable = crate::reference::cable_row(chosen.runs[0].cable).unwrap();
    let (source, line) = (230.0 / 25_000.0, cable.r20_mohm_per_m * chosen.runs[0].length_m() / 1000.0);
    assert!(chosen.device.breaking_ka >= 0.230 / f64::hypot(source, line));
}
