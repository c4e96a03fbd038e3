//! Fitting a group of points to its cables: a controller may be set below what the supply has room for.

use super::Feed;
use super::charging::{Charging, Fit};
use super::circuit::Task;
use super::earthing;
use super::existing::submain_carries_a;
use super::facts::Facts;
use super::search::NEAREST_M;
use super::shared::{Group, Hold, group, largest_device_a};
use crate::rules::Rules;

/// The group to build within `most_a` (infinity for what the supply has room for): as much as supply and cables allow, or
/// no more than an existing sub-main carries where that already serves every point, so that it need not be replaced.
pub(super) fn best_group(facts: &Facts, rules: &Rules, point: (f64, u8), most_a: f64, hold: Hold) -> Option<Charging> {
    let (whole, _) = cabled_group(facts, rules, point, most_a, hold)?;
    let Some((mm2, device_a)) = facts.submain else {
        return Some(whole);
    };
    // The existing load may all stand behind it.
    let existing_a = super::governing_demand(facts).high;
    let carries_a = submain_carries_a(mm2, device_a, facts.supply_phases) - existing_a;
    if carries_a >= group_of(&whole)?.group_a {
        return Some(whole);
    }
    match cabled_group(facts, rules, point, carries_a, hold) {
        Some((held, true)) if group_of(&held)?.points_served == facts.wanted.points => Some(held),
        _ => Some(whole),
    }
}

/// The group of a home that is held under the threshold above which its operator wants an application, where that leaves
/// enough of the points their day and `whole`, for which the supply has room, would be over it; `None` elsewhere.
pub(super) fn group_under_threshold(
    facts: &Facts,
    rules: &Rules,
    point: (f64, u8),
    whole: &Charging,
) -> Option<Charging> {
    let room_a = rules.supply.home_threshold_a - facts.demand.band_a.high;
    if !facts.premises.is_home() || group_of(whole)?.group_a <= room_a {
        return None;
    }
    let held = best_group(facts, rules, point, room_a, Hold::Fixed)?;
    group_of(&held)?.is_worth_it(facts, rules).then_some(held)
}

fn group_of(charging: &Charging) -> Option<&Group> {
    match &charging.fit {
        Fit::Group(group) => Some(group),
        _ => None,
    }
}

/// The group that the supply has room for within `most_a` or, where no cable carries that over the route, the largest
/// that one does, and whether one does: a controller may be set lower, and more supply must never be worth less.
///
/// Where only a group that serves too few points could be cabled, the largest that a nearer position would allow is
/// given instead, so that the answer is to come nearer.
fn cabled_group(facts: &Facts, rules: &Rules, point: (f64, u8), most_a: f64, hold: Hold) -> Option<(Charging, bool)> {
    let whole = group(facts, rules, point, most_a, hold)?;
    let worth = |charging: &Charging| group_of(charging).is_some_and(|group| group.is_worth_it(facts, rules));
    let here = largest_over(facts.distance_m.high, facts, rules, &whole, hold);
    match here {
        Some(group) if worth(&group) || !worth(&whole) => return Some((group, true)),
        _ => {}
    }
    match largest_over(NEAREST_M, facts, rules, &whole, hold) {
        Some(nearer) if worth(&nearer) => Some((nearer, false)),
        _ => Some(here.map_or((whole, false), |group| (group, true))),
    }
}

/// The largest group, no larger than `whole`, that a cable carries over `metres`.
fn largest_over(metres: f64, facts: &Facts, rules: &Rules, whole: &Charging, hold: Hold) -> Option<Charging> {
    /// Sub-mains side by side that are still looked at.
    const MOST_SUBMAINS: f64 = 32.0;
    let (setting_a, phases) = (whole.setting_a, whole.phases);
    let whole_a = group_of(whole)?.group_a;
    let earth = earthing::paths(facts, rules.charge_point(phases)?, rules).next()?;
    let held_at = |limit_a: f64| {
        let charging = group(facts, rules, (setting_a, phases), limit_a, hold)?;
        let task = Task { facts, rules, charging: &charging, earth: &earth, feed: Feed::Distribution };
        let fits = task.cables().any(|cables| task.circuits(cables, metres).next().is_some());
        fits.then_some(charging)
    };
    if let Some(group) = held_at(whole_a) {
        return Some(group);
    }
    let largest_a = largest_device_a();
    let mut submains = (whole_a / largest_a).ceil().min(MOST_SUBMAINS);
    while submains >= 1.0 {
        // With one number of sub-mains a smaller group is always easier: the largest whole limit by halving.
        let mut low_a = ((submains - 1.0) * largest_a + 1.0).max(rules.charging.pilot_floor_a);
        let mut high_a = (submains * largest_a).min(whole_a).floor();
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
        let whole = group(&facts, rules, (32.0, 1), f64::INFINITY, Hold::Fixed).unwrap();
        let held = best_group(&facts, rules, (32.0, 1), f64::INFINITY, Hold::Fixed).unwrap();
        let (held, whole) = (group_of(&held).unwrap(), group_of(&whole).unwrap());
        assert!(held.group_a < whole.group_a, "{} of {}", held.group_a, whole.group_a);
        assert_eq!(held.points_served, 12);
    }

    #[test]
    fn two_points_of_a_home_may_be_held_under_the_threshold_of_its_operator() {
        let rules = default_rules();
        let home = |demand_a: f64| {
            let mut site = Site::default();
            site.identity.premises_type = Reading::of(Premises::House);
            site.supply.cutout_rating_a = Reading::of(100.0);
            site.supply.ze_ohm = Reading::of(0.2);
            site.load.existing_demand_a = Reading::of(demand_a);
            site.wanted.points_wanted = Reading::of(2.0);
            site.parking.route_surface_m = Reading::of(12.0);
            facts(&site, rules).0
        };
        let under = |demand_a: f64| {
            let facts = home(demand_a);
            let whole = best_group(&facts, rules, (32.0, 1), f64::INFINITY, Hold::Fixed).unwrap();
            let whole_a = group_of(&whole).unwrap().group_a + facts.demand.band_a.high;
            let held = group_under_threshold(&facts, rules, (32.0, 1), &whole);
            (whole_a, held.map(|held| group_of(&held).unwrap().group_a + facts.demand.band_a.high))
        };
        let (whole_a, held_a) = under(30.0);
        assert!(whole_a > 60.0 && held_a.is_some_and(|held_a| held_a <= 60.0 && held_a > 59.0), "{held_a:?} A");
        let (whole_a, held_a) = under(56.0);
        assert!(whole_a > 60.0 && held_a.is_none(), "nothing is left under it: {held_a:?} A");
    }

    #[test]
    fn submains_without_a_controller_carry_all_their_points_at_once() {
        let rules = default_rules();
        let mut supply = Site::default();
        supply.identity.premises_type = Reading::of(Premises::Block);
        supply.supply.supply_phases = Reading::of(3.0);
        supply.supply.cutout_rating_a = Reading::of(400.0);
        supply.load.existing_demand_a = Reading::of(10.0);
        supply.wanted.points_wanted = Reading::of(14.0);
        let mut roomy = facts(&supply, rules).0;
        // Five points on the worst phase, three of them behind one of two sub-mains.
        let free = group(&roomy, rules, (32.0, 1), f64::INFINITY, Hold::Fixed).unwrap();
        assert_eq!(group_of(&free).unwrap().submains(), (2.0, 96.0));
        // Held by a controller, each carries its share.
        let held = group(&roomy, rules, (32.0, 1), 150.0, Hold::Fixed).unwrap();
        assert_eq!(group_of(&held).unwrap().submains(), (2.0, 75.0));
        // No sub-main is ever asked for more than its largest device.
        for points in 1..200 {
            roomy.wanted.points = points;
            let charging = group(&roomy, rules, (32.0, 1), f64::INFINITY, Hold::Fixed).unwrap();
            assert!(group_of(&charging).unwrap().submains().1 <= largest_device_a(), "{points}");
        }
    }

    #[test]
    fn an_existing_submain_that_serves_everybody_is_not_outgrown() {
        let rules = default_rules();
        let mut facts = car_park();
        facts.route = facts.route.scaled_to(20.0);
        facts.distance_m = crate::quantity::Band::exact(20.0);
        let best_a = |facts: &Facts| {
            group_of(&best_group(facts, rules, (32.0, 1), f64::INFINITY, Hold::Fixed).unwrap()).unwrap().group_a
        };
        assert!(best_a(&facts) > 63.0);
        // All of the existing load may stand behind it.
        facts.submain = Some((25.0, 63.0));
        let existing_a = crate::design::governing_demand(&facts).high;
        assert!(existing_a > 0.0);
        assert_eq!(best_a(&facts), (63.0 - existing_a).floor());
        // One that serves too few is outgrown, and a finding asks for a larger one.
        facts.submain = Some((2.5, 10.0));
        assert!(best_a(&facts) > 63.0);
    }
}
