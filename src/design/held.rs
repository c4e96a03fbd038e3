//! An arrangement held as it stands while facts change under it: the same findings, reckoned by the same checks, with
//! nothing chosen again. It knows one point; what several share is chosen with them.

use super::assemble::Parts;
use super::cable_option::CableOption;
use super::charging;
use super::circuit::Task;
use super::earthing;
use super::facts::Facts;
use super::{Arrangement, Control, Feed, RunRole};
use crate::finding::{Finding, reason};
use crate::reference::CableFamily;
use crate::rules::Rules;

/// An arrangement under other facts.
#[derive(Clone, Debug, PartialEq)]
pub struct Held {
    /// The arrangement with what is then found of it.
    pub arrangement: Arrangement,
    /// Whether its cable carries, drops, disconnects and survives a fault over the whole route as it must.
    pub cable_serves: bool,
}

/// The arrangement of one point under these facts: its current and phases, whether it has a limiter, its feed, earthing
/// path and cable are kept, every figure follows from the facts. On a TT supply the earthing path is its electrode; an open PEN that
/// nothing then answers is told.
///
/// `None` for several points, for an arrangement without a cable and for a cable of a size that is in no table.
pub fn held(facts: &Facts, rules: &Rules, arrangement: &Arrangement) -> Option<Held> {
    if facts.wanted.points > 1 || arrangement.feed == Feed::Distribution {
        return None;
    }
    let (option, csa_mm2) = cable_of(arrangement)?;
    let point = rules.charge_point(arrangement.phases)?;
    let limiter = matches!(arrangement.control, Control::Local { .. });
    let charging = charging::held(facts, rules, arrangement.setting_a, arrangement.phases, limiter);
    let earth = earthing::held(arrangement.earthing, facts, point, rules);
    let task = Task { facts, rules, charging: &charging, earth: &earth, feed: arrangement.feed };
    let circuits = task.held(option, csa_mm2)?;
    let mut arrangement = Parts::of(task, point).assemble(Some(&circuits), None, None);
    let through_switch = facts.main_switch_a.filter(|_| arrangement.feed == Feed::SpareWay);
    if through_switch.is_some_and(|switch_a| arrangement.maximum_demand_a.high > switch_a) {
        // A switch that does not carry the demand is gone round.
        let mut finding = Finding::new("board").because("added-board");
        finding.effect = rules.effect_of(reason("added-board"));
        arrangement.findings.push(finding);
    }
    // Armour is bonded at the supply end: an electrode that earths the point apart from it takes a core.
    let core_serves = !earth.island || option.has_protective_core();
    Some(Held { arrangement, cable_serves: circuits.last.serves() && core_serves })
}

/// The cable of an arrangement's one circuit, and its size.
fn cable_of(arrangement: &Arrangement) -> Option<(CableOption, f64)> {
    let cables = arrangement.runs.iter().filter(|run| run.role == RunRole::Final).map(|run| run.cable);
    let cables: Vec<_> = cables.collect();
    match cables.as_slice() {
        [one] => Some((CableOption::Throughout(one.family, one.cores), one.csa_mm2)),
        [one, other] if one.family == CableFamily::TwinAndEarth => {
            Some((CableOption::Split(other.family, other.cores), other.csa_mm2))
        }
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::design::{arrangements, facts};
    use crate::rules::default_rules;
    use crate::site::{EarthingSystem, Reading, Site};

    fn home() -> Site {
        let mut site = Site::default();
        site.supply.cutout_rating_a = Reading::of(80.0);
        site.supply.earthing_system = Reading::of(EarthingSystem::TnCS);
        site.load.existing_demand_a = Reading::of(30.0);
        site.parking.route_indoor_m = Reading::of(6.0);
        site.parking.route_surface_m = Reading::of(9.0);
        site
    }

    #[test]
    fn an_arrangement_held_under_its_own_facts_is_itself() {
        let rules = default_rules();
        for demand_a in [5.0, 30.0, 55.0] {
            let mut site = home();
            site.load.existing_demand_a = Reading::of(demand_a);
            let facts = facts(&site, rules).0;
            let built = arrangements(&facts, rules);
            assert!(!built.is_empty());
            for arrangement in built {
                let held = held(&facts, rules, &arrangement).expect("one point with a cable");
                assert_eq!((held.arrangement, held.cable_serves), (arrangement, true));
            }
        }
    }

    #[test]
    fn what_no_longer_serves_is_told_and_not_exchanged() {
        let rules = default_rules();
        let chosen = arrangements(&facts(&home(), rules).0, rules).remove(0);
        let mut site = home();
        site.parking.route_surface_m = Reading::of(140.0);
        site.supply.cutout_rating_a = Reading::of(40.0);
        let held = held(&facts(&site, rules).0, rules, &chosen).expect("one point with a cable");
        assert!(!held.cable_serves);
        assert_eq!(held.arrangement.runs[0].cable, chosen.runs[0].cable);
        assert!(held.arrangement.voltage_drop_percent > 5.0);
        let codes: Vec<_> = held.arrangement.findings.iter().filter_map(|finding| finding.code()).collect();
        assert!(codes.iter().any(|code| code.starts_with("demand-over-limit")), "{codes:?}");
    }
}
