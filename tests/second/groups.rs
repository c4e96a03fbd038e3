//! How large a group of several points is, by trying every whole ampere from the top: no halving, nothing pruned.
//!
//! Conventions of the engine that are quoted: a group is as large as the supply has room for, or the largest that some
//! cable carries over the whole route; where that serves too few and a nearer position would serve enough, the group of
//! the nearer position, so that the answer is to come nearer; an existing sub-main that carries enough for every point
//! is not outgrown.

use super::supply::{governing, group_room_a, points_a_phase, served};
use super::ways::{any_group, existing_carries_a};
use baywright::design::Facts;
use baywright::rules::Rules;

/// Group limit of a setting and phases within `most_a`, amperes a phase; `None` where not one session fits. `follows` is
/// the setpoint where the limit follows the load.
pub fn best_group(facts: &Facts, rules: &Rules, current: (f64, u8), most_a: f64, follows: Option<f64>) -> Option<f64> {
    let (whole_a, _) = cabled(facts, rules, current, most_a, follows)?;
    let Some(carries_a) = existing_carries_a(facts, rules, current) else { return Some(whole_a) };
    let left_a = carries_a - governing(facts).1.high;
    if left_a < whole_a
        && let Some((held_a, true)) = cabled(facts, rules, current, left_a, follows)
        && served(facts, rules, current, held_a, follows) >= f64::from(facts.wanted.points)
    {
        return Some(held_a);
    }
    Some(whole_a)
}

/// The group within a limit, and whether it is cabled over the whole route.
fn cabled(facts: &Facts, rules: &Rules, current: (f64, u8), most_a: f64, follows: Option<f64>) -> Option<(f64, bool)> {
    let room_a = group_room_a(facts, follows).min(most_a).floor();
    if room_a < rules.charging.pilot_floor_a {
        return None;
    }
    let whole_a = room_a.min(points_a_phase(facts, current.1) * current.0);
    let enough = |group_a: f64| {
        served(facts, rules, current, group_a, follows) >= rules.shared.accept_share * f64::from(facts.wanted.points)
    };
    let here_a = largest(facts, rules, current, (whole_a, follows), facts.distance_m.high);
    if let Some(here_a) = here_a
        && (enough(here_a) || !enough(whole_a))
    {
        return Some((here_a, true));
    }
    let nearer_a = largest(facts, rules, current, (whole_a, follows), 3.0).filter(|nearer_a| enough(*nearer_a));
    Some(match (nearer_a, here_a) {
        (Some(nearer_a), _) => (nearer_a, false),
        (None, Some(here_a)) => (here_a, true),
        (None, None) => (whole_a, false),
    })
}

/// The largest group that some cable carries over these metres.
fn largest(
    facts: &Facts,
    rules: &Rules,
    current: (f64, u8),
    (whole_a, follows): (f64, Option<f64>),
    metres: f64,
) -> Option<f64> {
    let mut group_a = whole_a;
    while group_a >= rules.charging.pilot_floor_a {
        if any_group(facts, rules, current, (group_a, follows), metres) {
            return Some(group_a);
        }
        group_a = (group_a - 1.0).ceil();
    }
    None
}
