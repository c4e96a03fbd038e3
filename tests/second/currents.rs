//! Every charging current of a site: all phases, all settings worth having, one point or several.

use super::effects::Load;
use super::groups::best_group;
use super::supply::{Sits, follows_at, served, sits};
use super::ways::{Found, Reach, one_current};
use baywright::design::Facts;
use baywright::rules::Rules;

/// Settings up to what was asked that are worth having; and the least of use.
fn settings(facts: &Facts, rules: &Rules, phases: u8) -> (Vec<f64>, f64) {
    let point = rules.charge_point(phases).unwrap();
    let asked_a = if phases < facts.wanted.phases { f64::INFINITY } else { facts.wanted.setting_a };
    let useful_a = rules.charging.useful_current_a.min(asked_a);
    if !point.setting_locked {
        return (vec![point.largest_setting_a], useful_a);
    }
    let largest_a = asked_a.min(point.largest_setting_a);
    let mut all = Vec::new();
    for step in &rules.charging.setting_steps_a {
        if *step <= largest_a && *step >= useful_a {
            all.push(*step);
        }
    }
    if all.is_empty() {
        all.push(largest_a.min(32.0));
    }
    (all, useful_a)
}

/// Every way of a site with every setting; of several points each setting is given its own largest group.
pub fn every_way(facts: &Facts, rules: &Rules, reach: Reach) -> Vec<Found> {
    let mut found = Vec::new();
    let several = facts.wanted.points > 1;
    let both = facts.wanted.phases == 3 && facts.supply_phases == 3;
    for phases in if both { vec![3, 1] } else { vec![1] } {
        let (all, _) = settings(facts, rules, phases);
        if several {
            for setting_a in all {
                let (point, mut by_fixed) = ((setting_a, phases), 0.0);
                // A home is also tried under the threshold of its operator, as far as enough points are served.
                let threshold_a = rules.supply.home_threshold_a - facts.demand.band_a.high;
                let enough = rules.shared.accept_share * f64::from(facts.wanted.points);
                if facts.premises.is_home()
                    && let Some(group_a) = best_group(facts, rules, point, threshold_a, None)
                    && served(facts, rules, point, group_a, None) >= enough
                {
                    one_current(facts, rules, reach, point, Load::Group { follows: None }, Some(group_a), &mut found);
                }
                if let Some(group_a) = best_group(facts, rules, point, f64::INFINITY, None) {
                    one_current(facts, rules, reach, point, Load::Group { follows: None }, Some(group_a), &mut found);
                    by_fixed = served(facts, rules, point, group_a, None);
                }
                // A limit that follows the load is looked at where it serves more points.
                let Some(setpoint_a) = follows_at(facts, rules) else { continue };
                let follows = Some(setpoint_a);
                if let Some(group_a) = best_group(facts, rules, point, f64::INFINITY, follows)
                    && served(facts, rules, point, group_a, follows) > by_fixed
                {
                    one_current(facts, rules, reach, point, Load::Group { follows }, Some(group_a), &mut found);
                }
            }
            continue;
        }
        for setting_a in all {
            let sits = sits(facts, rules, setting_a);
            if sits != Sits::Not {
                one_current(facts, rules, reach, (setting_a, phases), Load::One(sits), None, &mut found);
            }
        }
    }
    if found.is_empty() {
        let asked_a = facts.wanted.setting_a;
        let (setting_a, load) = if several {
            (asked_a, Load::NoSession)
        } else {
            (rules.charging.useful_current_a.min(asked_a), Load::One(Sits::Not))
        };
        one_current(facts, rules, reach, (setting_a, 1), load, None, &mut found);
    }
    found
}
