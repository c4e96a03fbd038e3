//! What the supply should say of an arrangement: demand, limiter, group, agreed capacity.

use super::expected::Reckoned;
use super::supply::*;
use baywright::design::{Arrangement, Control, Facts, Shared};
use baywright::rules::Rules;

/// What the supply says of the charging current; answers with the maximum demand, high end.
pub fn demand(facts: &Facts, rules: &Rules, arrangement: &Arrangement, out: &mut Reckoned) -> f64 {
    let (setting_a, phases) = (arrangement.setting_a, arrangement.phases);
    let (limit_a, existing) = governing(facts);
    let wanted = &facts.wanted;
    let near = |added_a: f64, out: &mut Reckoned| {
        let (new_a, near_a) = (facts.demand.band_a.high + added_a, rules.supply.near_cutout_share * facts.cutout_a);
        if new_a > near_a {
            out.say("near-cutout", "demand-over-90-percent", new_a, near_a);
        }
    };
    let mut comparable = true;
    let high_a;
    if let Some(shared) = arrangement.shared {
        let group_a = shared.group_limit_a;
        let follows = if let Control::Group { setpoint_a, .. } = arrangement.control { setpoint_a } else { None };
        high_a = match follows {
            Some(setpoint_a) => demand_with(facts, Sits::Limiter { setpoint_a }, group_a).high,
            None => existing.high + group_a,
        };
        group(facts, rules, arrangement, (&shared, follows), out);
        if follows.is_none() {
            let at_cutout_a = facts.demand.band_a.high + group_a;
            if facts.premises.is_home() && at_cutout_a > rules.supply.home_threshold_a {
                out.say("home-threshold", "demand-over-60", at_cutout_a, rules.supply.home_threshold_a);
            }
            near(group_a, out);
        }
    } else {
        let asked_a = if phases < wanted.phases { f64::INFINITY } else { wanted.setting_a };
        let useful_a = rules.charging.useful_current_a.min(asked_a);
        let sits = if arrangement.control != Control::None || wanted.points == 1 {
            sits(facts, rules, setting_a)
        } else {
            Sits::Not
        };
        // Where not even one session of several points fits, the pilot floor is what is held against the supply.
        let least_a = if wanted.points > 1 { rules.charging.pilot_floor_a } else { setting_a };
        high_a = demand_with(facts, sits, least_a).high;
        match sits {
            Sits::Alone => {
                let at_cutout_a = facts.demand.band_a.high + setting_a;
                if facts.premises.is_home() && at_cutout_a > rules.supply.home_threshold_a {
                    out.say("home-threshold", "demand-over-60", at_cutout_a, rules.supply.home_threshold_a);
                } else {
                    out.say("demand-limit", "supply-fits", existing.high + setting_a, limit_a);
                }
                out.must(existing.high + setting_a <= limit_a + 1e-9, "demand over the limit");
                near(setting_a, out);
                if setting_a < useful_a {
                    out.say("charging-current", "low-current", setting_a, useful_a);
                    comparable = false;
                }
            }
            Sits::Limiter { setpoint_a } => {
                let (_, least) = least_limit(facts);
                let (_, kwh) = limiter_energy(facts, rules, setting_a, phases, setpoint_a);
                let need = wanted.daily_kwh;
                let code = if kwh >= need { "limiter-needed" } else { "limiter-energy-short" };
                out.say("limiter-setpoint", code, least.high, setpoint_a);
                out.show("limiter-energy", kwh, need);
                out.must(least.high <= setpoint_a, "existing demand over the set point");
                let Control::Local { setpoint_a: set } = arrangement.control else {
                    out.fails.push("a limiter is needed and none is there".into());
                    return high_a;
                };
                out.same("set point", set, setpoint_a);
            }
            Sits::Not => {
                comparable = false;
                let code = why_nothing(facts);
                let figure = if code == "demand-over-limit" { existing.low } else { existing.high };
                out.say("demand-limit", code, figure + least_a, limit_a);
                out.fails.push("nothing fits the supply".into());
                if wanted.points > 1 {
                    let phases = wanted.phases.min(facts.supply_phases);
                    let code = why_fewer(facts, rules, setting_a, phases, 0.0);
                    out.say("points-served", code, 0.0, f64::from(wanted.points));
                }
            }
        }
    }
    let (given_a, asked_a) = (setting_a * f64::from(phases), wanted.setting_a * f64::from(wanted.phases));
    if comparable && (given_a < asked_a || phases < wanted.phases) {
        out.say("charging-current", "less-than-asked", given_a, asked_a);
    }
    out.same("maximum demand", arrangement.maximum_demand_a.high, high_a);
    capacity(facts, rules, arrangement, out);
    high_a
}

fn group(
    facts: &Facts,
    rules: &Rules,
    arrangement: &Arrangement,
    (shared, follows): (&Shared, Option<f64>),
    out: &mut Reckoned,
) {
    let (limit_a, existing) = governing(facts);
    let (setting_a, phases, group_a) = (arrangement.setting_a, arrangement.phases, shared.group_limit_a);
    let points = f64::from(facts.wanted.points);
    let all_a = points_a_phase(facts, phases) * setting_a;
    let floor_a = rules.charging.pilot_floor_a;
    out.must(group_a <= group_room_a(facts, follows).floor().min(all_a), "group limit over the room of the supply");
    out.must(group_a == all_a || group_a == group_a.floor(), "group limit not in whole amperes");
    out.must(group_a >= floor_a.min(all_a), "group limit below one session");
    match follows {
        Some(setpoint_a) => {
            out.must(limiter_may(facts, rules), "a limit that follows the load where none may be relied on");
            out.say("group-follows", "limiter-needed", least_limit(facts).1.high, setpoint_a);
        }
        None => out.say("group-limit", "supply-fits", existing.high + group_a, limit_a),
    }
    let point = (setting_a, phases);
    let served_now = served(facts, rules, point, group_a, follows);
    if served_now >= points {
        out.show("points-served", served_now, points);
    } else {
        let code = why_fewer(facts, rules, setting_a, phases, served_now);
        out.say("points-served", code, served_now, points);
        out.fails.push("not every point is served".into());
    }
    let (needed_high, short_high) = high_day_kwh(facts, rules, point, group_a, follows);
    out.same("energy needed on a high day", shared.energy_needed_high_kwh, needed_high);
    out.same("energy unserved on a high day", shared.energy_unserved_high_kwh, short_high);
    if short_high > 0.0 {
        out.say("high-day", "high-day-short", needed_high - short_high, needed_high);
    }
    let sessions = (group_a / floor_a).floor() * if phases == 3 { 1.0 } else { f64::from(facts.supply_phases) };
    let at_once = sessions.min(points);
    if at_once < points {
        out.say("rotation", "rotation-needed", at_once, points);
    }
    let need = facts.wanted.daily_kwh * points;
    out.same("points at once", f64::from(shared.points_at_once), at_once);
    out.same("points served", f64::from(shared.points_served), served_now);
    out.same("energy needed", shared.energy_needed_kwh, need);
    out.same("energy unserved", shared.energy_unserved_kwh, short_kwh(facts, rules, point, group_a, follows));
    let least_a = least_limit_a(facts, rules, point, follows);
    out.same("least group limit", shared.least_group_limit_a.unwrap_or(0.0), least_a.unwrap_or(0.0));
    let held = if let Control::Group { limit_a, .. } = arrangement.control { limit_a } else { f64::INFINITY };
    out.same("controller", held.min(all_a), group_a);
    let holds = arrangement.control == Control::None || follows.is_some() || group_a < all_a;
    out.must(holds, "a controller that holds nothing");
}

fn capacity(facts: &Facts, rules: &Rules, arrangement: &Arrangement, out: &mut Reckoned) {
    let Some(capacity_a) = facts.capacity_a else { return };
    if !facts.ct_metered {
        return;
    }
    let points = f64::from(facts.wanted.points);
    let phases = f64::from(facts.supply_phases).min(points * f64::from(arrangement.phases));
    let daily_a = facts.wanted.daily_kwh * points * 1000.0 / (facts.wanted.window_h * 230.0 * phases);
    let taken_a = arrangement.shared.map_or(arrangement.setting_a, |shared| shared.group_limit_a);
    let whole_a = facts.demand.against_capacity_a.likely + taken_a.min(daily_a);
    if whole_a > capacity_a {
        return;
    }
    let formality = whole_a <= rules.supply.capacity_formality_share * capacity_a;
    out.say("capacity-share", if formality { "capacity-formality" } else { "capacity-tight" }, whole_a, capacity_a);
}
