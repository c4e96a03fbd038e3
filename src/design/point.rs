//! What is found of the charge point and its devices: residual-current protection, devices for both directions, surge
//! and arc-fault protection, power-quality class, phases. It knows no cable.

use super::charging::Charging;
use super::facts::Facts;
use super::findings::Findings;
use super::{Feed, Work};
use crate::finding::Finding;
use crate::reference::{power_quality, protection_figure};
use crate::rules::{ChargePoint, Rules};
use crate::site::{Premises, RcdType};

/// What is found whatever the circuits.
pub(super) fn say_point(
    facts: &Facts,
    charging: &Charging,
    point: &ChargePoint,
    feed: Feed,
    rules: &Rules,
    out: &mut Findings<'_>,
) {
    let (points, poles) = (f64::from(facts.wanted.points), if charging.phases == 3 { 4.0 } else { 2.0 });
    out.show("residual-current", |f| {
        f.subject(if point.detects_direct_current {
            "30 mA type A, charge point detects 6 mA direct current"
        } else {
            "30 mA type B"
        })
        .terms(&[points, poles])
    });
    out.show("power-quality", |f| {
        let class = power_quality(charging.setting_a);
        f.value(charging.setting_a).subject(class.map_or("", |class| class.standards))
    });
    say_allocation(facts, charging, out);
    if point.is_socket() {
        say_arc_fault(facts, charging, rules, out);
    }
    say_surge(facts, feed, out);
    if feed == Feed::SpareWay && matches!(facts.board_rcd, Some(RcdType::A | RcdType::F | RcdType::B)) {
        let figure = protection_figure("final-residual");
        out.show("residual-selectivity", |f| selects(f, figure, "of the board, taken as not delayed,").noted());
    }
}

/// Whether power may flow back, and through which devices (530.3.201).
pub(super) fn say_directions(facts: &Facts, point: &ChargePoint, feed: Feed, out: &mut Findings<'_>) {
    if point.exports || facts.power_flows_back {
        out.say("export", "bidirectional-device", |f| {
            f.subject(match feed {
                Feed::SpareWay => {
                    "the point's residual-current breaker, and any residual-current device before it in the board"
                }
                Feed::AddedBoard => "the point's residual-current breaker in the added board",
                Feed::Distribution => "each point's residual-current breaker, and the device of the sub-main",
            })
        });
    }
}

/// A time-delayed residual-current device before 30 mA ones selects where its rated current is at least three times
/// theirs (536.4, memory).
pub(super) fn say_residual_selectivity(out: &mut Findings<'_>) {
    out.show("residual-selectivity", |f| selects(f, protection_figure("submain-residual"), "time-delayed"));
}

/// A residual-current device of `before_ma` before the point's own.
fn selects(finding: Finding, before_ma: f64, how: &'static str) -> Finding {
    let after_ma = protection_figure("final-residual");
    let ratio = before_ma / after_ma;
    finding.subject(how).at_least(ratio, protection_figure("residual-selectivity")).terms(&[before_ma, after_ma])
}

/// On which phase of a three-phase supply the charging stands: the tests are made on the worst phase, so any phase
/// serves, and the form to the operator states which (R16).
fn say_allocation(facts: &Facts, charging: &Charging, out: &mut Findings<'_>) {
    if facts.supply_phases != 3 {
        return;
    }
    out.show("phase-allocation", |f| {
        let words = match (charging.phases, facts.wanted.points) {
            (3, _) => "every phase alike",
            (_, 1) => "the least loaded phase, to be named on the form; reckoned as if on the most loaded",
            _ => "the points in turn over the phases; reckoned with the odd one on the most loaded",
        };
        let existing = super::governing_demand(facts);
        f.subject(words).value(charging.maximum_demand_a.high).terms(&[existing.high, charging.setting_a])
    });
}

/// Arc-fault protection of a household socket-outlet (421.1.7): a duty in higher-risk residential buildings, houses in
/// multiple occupation, students' accommodation and care homes; elsewhere recommended. The survey knows only floors.
fn say_arc_fault(facts: &Facts, charging: &Charging, rules: &Rules, out: &mut Findings<'_>) {
    if charging.phases != 1 || charging.setting_a > protection_figure("arc-fault-to") {
        return;
    }
    let homes = matches!(facts.premises, Premises::Flat | Premises::Block);
    let (storeys, most) = (facts.storeys, protection_figure("arc-fault-storeys"));
    let fill = |f: Finding| Finding { value: (storeys > 0.0).then_some(storeys), limit: Some(most), ..f };
    // Floors not known (0): taken as high.
    if homes && (storeys > most || storeys >= rules.policy.higher_risk_storeys || storeys <= 0.0) {
        out.work(Work::ArcFault);
        out.say("arc-fault", "arc-fault-required", fill);
    } else {
        out.say("arc-fault", "arc-fault-recommended", fill);
    }
}

/// Surge protection by 443.4.1 in its stricter reading, and the leads of the device.
fn say_surge(facts: &Facts, feed: Feed, out: &mut Findings<'_>) {
    if facts.surge_protection {
        out.show("surge-protection", |f| f.subject("fitted"));
    } else {
        out.work(Work::SurgeProtection);
        out.say("surge-protection", "surge-protection-added", |f| {
            f.subject(if facts.several_users {
                "points that several people use: always"
            } else {
                "the owner has not declared the loss tolerable"
            })
        });
    }
    out.show("surge-leads", |f| {
        let where_to = match feed {
            Feed::SpareWay | Feed::AddedBoard => "at the board",
            Feed::Distribution => "at the distribution board as well as the origin",
        };
        f.subject(where_to).value(facts.distance_m.likely).terms(&[
            protection_figure("surge-lead-preferred"),
            protection_figure("surge-lead-most"),
            protection_figure("surge-lead-copper"),
            protection_figure("surge-reach"),
        ])
    });
}

#[cfg(test)]
mod tests {
    use crate::design::{Arrangement, arrangements, facts};
    use crate::finding::{Finding, Outcome};
    use crate::rules::{Rules, default_rules};
    use crate::site::*;

    fn home(phases: f64) -> Site {
        let mut site = Site::default();
        site.identity.premises_type = Reading::of(Premises::House);
        site.supply.supply_phases = Reading::of(phases);
        site.supply.cutout_rating_a = Reading::of(100.0);
        site.supply.earthing_system = Reading::of(EarthingSystem::TnCS);
        site.load.existing_demand_a = Reading::of(20.0);
        site.load.demand_method = Reading::of(DemandMethod::Measured);
        site.board.spare_ways = Reading::of(2.0);
        site.board.board_rcd_type = Reading::of(RcdType::A);
        site.parking.parking_distance_m = Reading::of(12.0);
        site
    }

    fn best(site: &Site, rules: &Rules) -> Arrangement {
        arrangements(&facts(site, rules).0, rules).swap_remove(0)
    }

    fn found(arrangement: &Arrangement, check: &str) -> Option<Finding> {
        arrangement.findings.iter().find(|finding| finding.check.name == check).cloned()
    }

    #[test]
    fn one_residual_device_a_point_breaks_all_live_conductors() {
        let rules = default_rules();
        let one = found(&best(&home(1.0), rules), "residual-current").unwrap();
        assert_eq!((one.terms[0], one.terms[1]), (1.0, 2.0));
        let mut site = home(3.0);
        site.wanted.requested_kw = Reading::of(22.0);
        assert_eq!(found(&best(&site, rules), "residual-current").unwrap().terms[1], 4.0);
        let mut silent = rules.clone();
        silent.charge_point[0].detects_direct_current = false;
        assert_eq!(found(&best(&home(1.0), &silent), "residual-current").unwrap().subject, "30 mA type B");
    }

    #[test]
    fn two_undelayed_residual_devices_in_series_do_not_select_and_a_delayed_one_does() {
        let rules = default_rules();
        let board = found(&best(&home(1.0), rules), "residual-selectivity").unwrap();
        assert_eq!((board.value, board.limit, board.outcome), (Some(1.0), Some(3.0), Outcome::Noted));
        let mut site = home(3.0);
        site.identity.premises_type = Reading::of(Premises::Block);
        site.parking.parking_type = Reading::of(ParkingType::Communal);
        site.wanted.points_wanted = Reading::of(6.0);
        site.supply.earthing_system = Reading::of(EarthingSystem::Tt);
        site.supply.ze_ohm = Reading::of(60.0);
        let built = best(&site, rules);
        assert!(built.submain_device.and_then(|device| device.residual).is_some());
        let submain = found(&built, "residual-selectivity").unwrap();
        assert!(submain.value > submain.limit && submain.outcome == Outcome::Pass);
    }

    #[test]
    fn the_phase_is_stated_on_three_phases_only_and_the_class_goes_by_the_current() {
        let rules = default_rules();
        assert!(found(&best(&home(1.0), rules), "phase-allocation").is_none());
        let three = best(&home(3.0), rules);
        assert!(found(&three, "phase-allocation").unwrap().subject.starts_with("the least loaded phase"));
        assert_eq!(found(&three, "power-quality").unwrap().subject, "BS EN 61000-3-12 and BS EN 61000-3-11");
        let mut slow = home(1.0);
        slow.wanted.requested_kw = Reading::of(3.7);
        assert_eq!(found(&best(&slow, rules), "power-quality").unwrap().subject, "BS EN 61000-3-2 and BS EN 61000-3-3");
    }

    #[test]
    fn two_way_devices_are_named_by_the_way_the_circuit_is_fed() {
        let rules = default_rules();
        let mut site = home(1.0);
        assert!(found(&best(&site, rules), "export").is_none());
        site.load.solar_kw = Reading::of(4.0);
        assert!(found(&best(&site, rules), "export").unwrap().subject.ends_with("before it in the board"));
        site.board.spare_ways = Reading::of(0.0);
        assert!(found(&best(&site, rules), "export").unwrap().subject.ends_with("in the added board"));
    }

    #[test]
    fn voltage_monitoring_is_refused_on_three_phases_and_said_so() {
        let mut rules = default_rules().clone();
        rules.charge_point[0].open_pen_method = "voltage".into();
        assert!(found(&best(&home(3.0), &rules), "voltage-monitoring").is_some());
        assert!(found(&best(&home(1.0), &rules), "voltage-monitoring").is_none());
        assert!(found(&best(&home(3.0), default_rules()), "voltage-monitoring").is_none());
    }
}
