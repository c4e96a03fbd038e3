//! Fitting a group of points to its cables: a controller may be set below what the supply has room for.

use super::assemble::{NEAREST_M, circuits, option_list};
use super::earthing;
use super::facts::Facts;
use super::shared::{Group, group, is_worth_it, largest_device_a};
use crate::rules::Rules;

/// The group to build: as much as supply and cables allow, or no more than an existing sub-main carries where that
/// already serves every point, so that it need not be replaced.
pub(super) fn best_group(facts: &Facts, rules: &Rules, setting_a: f64, phases: u8) -> Option<Group> {
    let (whole, _) = cabled_group(facts, rules, setting_a, phases, f64::INFINITY)?;
    let (_, device_a) = match facts.submain {
        Some(submain) if submain.1 < whole.group_a => submain,
        _ => return Some(whole),
    };
    match cabled_group(facts, rules, setting_a, phases, device_a) {
        Some((held, true)) if held.shared.points_served == facts.wanted.points => Some(held),
        _ => Some(whole),
    }
}

/// The group that the supply has room for within `most_a` or, where no cable carries that over the route, the largest
/// that one does, and whether one does: a controller may be set lower, and more supply must never be worth less.
///
/// Where only a group that serves too few points could be cabled, the largest that a nearer position would allow is
/// given instead, so that the answer is to come nearer.
fn cabled_group(facts: &Facts, rules: &Rules, setting_a: f64, phases: u8, most_a: f64) -> Option<(Group, bool)> {
    let whole = group(facts, rules, setting_a, phases, most_a)?;
    let (distance_m, worth) = (facts.distance_m.high, |group: &Group| is_worth_it(group, facts, rules));
    let here = largest_over(distance_m, facts, rules, &whole);
    match here {
        Some(group) if worth(&group) || !worth(&whole) => return Some((group, true)),
        _ => {}
    }
    match largest_over(NEAREST_M, facts, rules, &whole) {
        Some(nearer) if worth(&nearer) => Some((nearer, false)),
        _ => Some(here.map_or((whole, false), |group| (group, true))),
    }
}

/// The largest group, no larger than `whole`, that a cable carries over `metres`.
fn largest_over(metres: f64, facts: &Facts, rules: &Rules, whole: &Group) -> Option<Group> {
    /// Sub-mains side by side that are still looked at.
    const MOST_SUBMAINS: f64 = 32.0;
    let (setting_a, phases) = (whole.charging.setting_a, whole.charging.phases);
    let earth = earthing::path(facts, rules.charge_point(phases)?, rules);
    let held_at = |limit_a: f64| {
        let group = group(facts, rules, setting_a, phases, limit_a)?;
        let charging = &group.charging;
        option_list(facts, charging, Some(&group))
            .iter()
            .any(|option| circuits(facts, rules, charging, Some(&group), *option, &earth, metres).is_some())
            .then_some(group)
    };
    if let Some(group) = held_at(whole.group_a) {
        return Some(group);
    }
    let largest_a = largest_device_a();
    let mut submains = (whole.group_a / largest_a).ceil().min(MOST_SUBMAINS);
    while submains >= 1.0 {
        // With one number of sub-mains a smaller group is always easier: the largest whole limit by halving.
        let mut low_a = ((submains - 1.0) * largest_a + 1.0).max(rules.charging.pilot_floor_a);
        let mut high_a = (submains * largest_a).min(whole.group_a).floor();
        let mut largest = None;
        while low_a <= high_a {
            let middle_a = ((low_a + high_a) / 2.0).floor();
            match held_at(middle_a) {
                Some(group) => (largest, low_a) = (Some(group), middle_a + 1.0),
                None => high_a = middle_a - 1.0,
            }
        }
        if largest.is_some() {
            return largest;
        }
        submains -= 1.0;
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::design::facts;
    use crate::rules::default_rules;
    use crate::site::{Premises, Reading, Site};

    /// A car park of twelve points, 180 m from a three-phase 100 A supply that is otherwise idle.
    fn car_park() -> Facts {
        let mut site = Site::default();
        site.identity.premises_type = Reading::of(Premises::Block);
        site.supply.supply_phases = Reading::of(3.0);
        site.supply.cutout_rating_a = Reading::of(100.0);
        site.supply.ze_ohm = Reading::of(0.2);
        site.load.existing_demand_a = Reading::of(10.0);
        site.wanted.points_wanted = Reading::of(12.0);
        site.parking.route_surface_m = Reading::of(180.0);
        facts(&site, default_rules()).0
    }

    #[test]
    fn a_group_that_no_cable_carries_is_held_lower() {
        let rules = default_rules();
        let facts = car_park();
        let whole = group(&facts, rules, 32.0, 1, f64::INFINITY).unwrap();
        let held = best_group(&facts, rules, 32.0, 1).unwrap();
        assert!(held.group_a < whole.group_a, "{} of {}", held.group_a, whole.group_a);
        assert_eq!(held.shared.points_served, 12);
    }

    #[test]
    fn an_existing_submain_that_serves_everybody_is_not_outgrown() {
        let rules = default_rules();
        let mut facts = car_park();
        facts.route = facts.route.scaled_to(20.0);
        facts.distance_m = crate::quantity::Band::exact(20.0);
        assert!(best_group(&facts, rules, 32.0, 1).unwrap().group_a > 63.0);
        facts.submain = Some((16.0, 63.0));
        assert_eq!(best_group(&facts, rules, 32.0, 1).unwrap().group_a, 63.0);
        // One that serves too few is outgrown, and a finding asks for a larger one.
        facts.submain = Some((2.5, 10.0));
        assert!(best_group(&facts, rules, 32.0, 1).unwrap().group_a > 63.0);
    }
}
