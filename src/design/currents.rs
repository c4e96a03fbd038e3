//! Which charging currents are tried: settings and phases, highest first, until a lower one could only lose.

use super::charging::{Charging, Fit, at_setting, nothing_fits};
use super::facts::Facts;
use super::fit::{best_group, group_under_threshold};
use super::shared::Hold;
use crate::finding::Effect;
use crate::rules::Rules;

/// Settings to try, highest first: useful ones, then runners-up.
pub(super) fn settings(facts: &Facts, rules: &Rules, phases: u8) -> (Vec<f64>, f64) {
    // Fewer phases than asked: the power asked for is still the wish, so the highest setting is tried.
    let asked_a = if phases < facts.wanted.phases { f64::INFINITY } else { facts.wanted.setting_a };
    let largest_a = rules.charge_point(phases).map_or(asked_a, |point| point.largest_setting_a.min(asked_a));
    let useful_a = rules.charging.useful_current_a.min(asked_a);
    // A setting that anybody can turn up again counts for nothing: the point draws what it can (722.311).
    if let Some(point) = rules.charge_point(phases).filter(|point| !point.setting_locked) {
        return (vec![point.largest_setting_a], useful_a);
    }
    let mut useful: Vec<f64> =
        rules.charging.setting_steps_a.iter().copied().filter(|step| *step <= largest_a && *step >= useful_a).collect();
    if useful.is_empty() {
        useful.push(largest_a.min(32.0));
    }
    (useful, useful_a)
}

/// Phases worth trying: as asked where the supply has them, and one.
fn phase_choices(facts: &Facts) -> &'static [u8] {
    if facts.wanted.phases == 3 && facts.supply_phases == 3 { &[3, 1] } else { &[1] }
}

/// Every charging current worth building, best first. `visit` answers with the best effect of what it builds; the list
/// ends at the first current that needs nothing but steps and gives every point its day, because lower ones could only
/// lose to it. The answer is whether any useful current fits.
pub(super) fn charging_currents(facts: &Facts, rules: &Rules, mut visit: impl FnMut(&Charging) -> Effect) -> bool {
    let several = facts.wanted.points > 1;
    let mut any = false;
    for phases in phase_choices(facts) {
        let (useful, _) = settings(facts, rules, *phases);
        for setting_a in useful {
            let fitted = if several {
                groups(facts, rules, (setting_a, *phases))
            } else {
                [at_setting(facts, rules, setting_a, *phases), None, None]
            };
            for charging in fitted.into_iter().flatten() {
                any = true;
                if visit(&charging) <= Effect::Step && serves_all(&charging, facts) {
                    return true;
                }
            }
        }
    }
    if !any {
        let useful_a = rules.charging.useful_current_a.min(facts.wanted.setting_a);
        visit(&if several {
            nothing_fits(facts, rules.charging.pilot_floor_a, facts.wanted.setting_a)
        } else {
            nothing_fits(facts, useful_a, useful_a)
        });
    }
    any
}

/// The group with a fixed limit, the one of a home that stays under its operator's threshold and, where both leave points
/// without their day, the one that follows the load if it serves more of them.
fn groups(facts: &Facts, rules: &Rules, point: (f64, u8)) -> [Option<Charging>; 3] {
    let served = |charging: &Charging| match &charging.fit {
        Fit::Group(group) => group.points_served,
        _ => 0,
    };
    let serves_all = |charging: &Charging| served(charging) >= facts.wanted.points;
    let fixed = best_group(facts, rules, point, f64::INFINITY, Hold::Fixed);
    let under = fixed.as_ref().and_then(|whole| group_under_threshold(facts, rules, point, whole));
    if under.as_ref().is_some_and(serves_all) {
        return [under, None, None];
    }
    if fixed.as_ref().is_some_and(serves_all) {
        return [fixed, under, None];
    }
    let by_fixed = fixed.as_ref().map_or(0, served);
    let following = best_group(facts, rules, point, f64::INFINITY, Hold::Following);
    [fixed, under, following.filter(|other| served(other) > by_fixed)]
}

/// Whether every point gets its daily energy. Of one point the effects say all there is to say.
fn serves_all(charging: &Charging, facts: &Facts) -> bool {
    match &charging.fit {
        Fit::Group(group) => group.points_served >= facts.wanted.points,
        _ => true,
    }
}

/// What a charging current gives several points.
pub(super) struct Given {
    amps: f64,
    points_served: u32,
    energy_short_wh: u64,
}

impl Given {
    pub(super) fn of(charging: &Charging) -> Option<Self> {
        let Fit::Group(group) = &charging.fit else {
            return None;
        };
        Some(Self {
            amps: charging.setting_a * f64::from(charging.phases),
            points_served: group.points_served,
            energy_short_wh: (group.unserved_kwh * 1000.0).round() as u64,
        })
    }

    /// Whether this with `effect` at its best is worse in something than what was tried and better in nothing: it could
    /// not be chosen then and is not put together.
    pub(super) fn loses_to(&self, effect: Effect, (tried_effect, tried): &(Effect, Given)) -> bool {
        *tried_effect <= effect
            && tried.points_served >= self.points_served
            && tried.energy_short_wh <= self.energy_short_wh
            && tried.amps > self.amps
    }
}
