//! What is found of the charge point and its devices: residual-current protection, devices for both directions, surge
//! and arc-fault protection, power-quality class, phases. It knows no cable.

use super::charging::Charging;
use super::facts::Facts;
use super::findings::Findings;
use super::{Feed, Work};
use crate::reference::{power_quality, protection_figure};
use crate::rules::{ChargePoint, Rules};
use crate::site::Premises;

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
    out.show("residual-selectivity", |f| {
        let (before_ma, after_ma) = (protection_figure("submain-residual"), protection_figure("final-residual"));
        f.at_least(before_ma / after_ma, protection_figure("residual-selectivity")).terms(&[before_ma, after_ma])
    });
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
        let existing = facts.demand.band_a;
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
    // Floors not known (0): taken as high.
    if homes && (storeys > most || storeys >= rules.policy.higher_risk_storeys || storeys <= 0.0) {
        out.work(Work::ArcFault);
        out.say("arc-fault", "arc-fault-required", |f| match storeys {
            known if known > 0.0 => f.at_most(known, most),
            _ => f,
        });
    } else {
        out.say("arc-fault", "arc-fault-recommended", |f| f);
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
