//! Putting an arrangement together: current, feed, circuit, earthing, works and findings.

use super::board::{Breaking, breaking, feed, say_intake};
use super::charging::{Charging, Fit, at_setting, nothing_fits, too_slow};
use super::circuit::{Circuits, Task, curve, device_a, level_after, say_existing_submain};
use super::earthing::{path, say_open_pen_voltage};
use super::facts::Facts;
use super::findings::Findings;
use super::fit::best_group;
use super::point::{say_directions, say_point, say_residual_selectivity};
use super::{Arrangement, Control, Device, Residual, Shared, Work, worst_effect};
use crate::finding::{Effect, Route as OperatorRoute};
use crate::quantity::U0_V;
use crate::reference::{Curve, zs_limit_ohm};
use crate::rules::{ChargePoint, Rules};
use crate::site::Premises;

/// Settings to try, highest first: useful ones, then runners-up.
fn settings(facts: &Facts, rules: &Rules, phases: u8) -> (Vec<f64>, f64) {
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
/// ends at the first current that needs nothing but steps, because lower ones could only lose to it. The answer is
/// whether any useful current fits.
fn charging_currents(facts: &Facts, rules: &Rules, mut visit: impl FnMut(&Charging) -> Effect) -> bool {
    let several = facts.wanted.points > 1;
    let mut any = false;
    for phases in phase_choices(facts) {
        let (useful, _) = settings(facts, rules, *phases);
        // A group controller shares whatever the setting is: the setting asked for is kept.
        let tried = if several { 1 } else { useful.len() };
        for setting_a in useful.into_iter().take(tried) {
            let fitted = if several {
                best_group(facts, rules, setting_a, *phases)
            } else {
                at_setting(facts, rules, setting_a, *phases)
            };
            let Some(charging) = fitted else {
                continue;
            };
            any = true;
            if visit(&charging) <= Effect::Step && !several {
                return true;
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

/// Everything that could be built, and where nothing useful fits the best of what is not worth having.
pub(super) fn build_all(facts: &Facts, rules: &Rules) -> Vec<Arrangement> {
    let mut built = Vec::with_capacity(8);
    let any = charging_currents(facts, rules, |charging| {
        let before = built.len();
        build(facts, rules, charging, &mut built);
        built.iter().skip(before).map(worst_effect).min().unwrap_or(Effect::Stops)
    });
    if !any && facts.wanted.points <= 1 {
        let (_, useful_a) = settings(facts, rules, 1);
        let lower = rules.charging.runner_up_steps_a.iter().filter(|step| **step < useful_a);
        let slow = lower.filter_map(|step| too_slow(facts, rules, *step, useful_a)).next();
        if let Some(charging) = slow {
            build(facts, rules, &charging, &mut built);
        }
    }
    built
}

/// The worst effect of the best arrangement worth having, without putting any together.
pub(super) fn weigh_all(facts: &Facts, rules: &Rules) -> Effect {
    let mut best = Effect::Stops;
    charging_currents(facts, rules, |charging| {
        let effect = weigh(facts, rules, charging);
        best = best.min(effect);
        effect
    });
    best
}

/// What one arrangement is put together from.
struct Parts<'a> {
    task: Task<'a>,
    point: &'a ChargePoint,
    origin: Breaking,
}

impl<'a> Parts<'a> {
    fn of(task: Task<'a>, point: &'a ChargePoint) -> Self {
        Self { task, point, origin: breaking(task.facts, task.feed, task.rules, task.facts.fault_level_ka) }
    }

    /// What is found of the circuits.
    fn say_circuits(&self, circuits: &Circuits, out: &mut Findings<'_>) {
        let earth = self.task.earth;
        if let Some((submain, rating_a)) = &circuits.submain {
            submain.say(out);
            out.say("selectivity", "selectivity", |f| f);
            if self.submain_device(submain.zs_limit_ohm, *rating_a).residual.is_some() {
                say_residual_selectivity(out);
            }
            let (fitted_ka, level_ka) = self.board_breaking_ka(submain.last_run());
            out.show("breaking-at-board", |f| f.at_least(fitted_ka, level_ka));
        }
        let last = &circuits.last;
        last.say(out);
        say_open_pen_voltage(self.point, earth.path, last.drop_v, out);
        if last.is_jointed() {
            out.work(Work::JointBox);
        }
        let (csa_mm2, largest_mm2) = (last.last_run().cable.csa_mm2, self.point.largest_terminal_mm2);
        if csa_mm2 > largest_mm2 {
            out.say("terminal", "terminal-capacity", |f| f.at_most(csa_mm2, largest_mm2));
            out.work(Work::TerminalBox);
        }
    }

    /// What is found whatever the circuits.
    fn say_rest(&self, out: &mut Findings<'_>) {
        let Task { facts, rules, charging, earth, feed } = self.task;
        self.origin.say(out);
        say_existing_submain(facts, charging, feed, out);
        earth.say(facts, charging, self.point, rules, out);
        say_point(facts, charging, self.point, feed, rules, out);
        say_intake(facts, charging, self.point, feed, rules, out);
        if !self.point.declared_harmonics {
            out.say("device-declaration", "no-declaration", |f| f);
        }
        if self.point.exports {
            out.say("export", "export-capable", |f| f);
        }
        say_directions(facts, self.point, feed, out);
        say_capacity_share(facts, rules, charging, out);
        match charging.control {
            Control::None => {}
            Control::Local { .. } => out.work(Work::LimiterSensor),
            Control::Group { .. } => out.work(Work::GroupController),
        }
    }

    /// The arrangement with these circuits; `no_cable` is the reason, the distance and the nearest point that a cable
    /// would serve, where none serves the whole route.
    fn assemble(&self, circuits: Option<&Circuits>, no_cable: Option<(&str, f64, f64)>) -> Arrangement {
        let Task { facts, rules, charging, earth, feed } = self.task;
        let mut out = Findings::kept(rules);
        charging.say(facts, rules, &mut out);
        if let Some(circuits) = circuits {
            self.say_circuits(circuits, &mut out);
        }
        self.say_rest(&mut out);
        let formality = |f: &crate::finding::Finding| {
            f.effect == Effect::Step && f.reason.is_some_and(|reason| reason.route == OperatorRoute::Apply)
        };
        if out.any(formality) {
            out.work(Work::Application);
        }
        if facts.covered || matches!(facts.premises, Premises::Flat | Premises::Block) {
            out.work(Work::FireStopping);
        }
        if let Some((code, distance_m, nearest_m)) = no_cable {
            out.say("cable-length", code, |f| f.at_most(distance_m, nearest_m));
        }
        let (findings, works) = out.into_parts();
        let last = circuits.map(|circuits| circuits.last);
        let submain = circuits.and_then(|circuits| circuits.submain);
        let runs = submain.iter().flat_map(|(submain, _)| submain.runs()).chain(last.iter().flat_map(|l| l.runs()));
        let (drop_v, zs_ohm) = last.map_or((0.0, 0.0), |last| (last.drop_v, last.zs_ohm));
        Arrangement {
            setting_a: charging.setting_a,
            phases: charging.phases,
            supply_phases: facts.supply_phases,
            points: facts.wanted.points,
            control: charging.control,
            feed,
            device: self.device(submain.map(|(submain, _)| submain.last_run())),
            submain_device: submain.map(|(submain, rating_a)| self.submain_device(submain.zs_limit_ohm, rating_a)),
            runs: runs.collect(),
            earthing: earth.path,
            works,
            maximum_demand_a: charging.maximum_demand_a,
            current_capacity_a: last.map_or(0.0, |last| last.capacity_a()),
            voltage_drop_v: drop_v,
            voltage_drop_percent: 100.0 * drop_v / U0_V,
            zs_ohm,
            zs_limit_ohm: last.map_or(0.0, |last| last.zs_limit_ohm),
            fault_current_a: if zs_ohm > 0.0 { U0_V / zs_ohm } else { 0.0 },
            shared: shared(charging),
            findings,
        }
    }

    /// Breaking capacity of the devices behind a sub-main and the prospective current there, kiloamperes; the level at
    /// the origin where the cable is in no table.
    fn board_breaking_ka(&self, submain: super::Run) -> (f64, f64) {
        let Task { facts, rules, feed, .. } = self.task;
        let level_ka = level_after(facts, submain).unwrap_or(facts.fault_level_ka);
        (breaking(facts, feed, rules, level_ka).fitted_ka, level_ka)
    }

    /// The device of the final circuit, proof against the prospective current behind the sub-main where there is one.
    fn device(&self, submain: Option<super::Run>) -> Device {
        let Task { rules, charging, .. } = self.task;
        let fitted_ka = submain.map_or(self.origin.fitted_ka, |run| self.board_breaking_ka(run).0);
        Device {
            rating_a: device_a(rules, charging.setting_a),
            curve: curve(rules),
            poles: if charging.phases == 3 { 4 } else { 2 },
            residual: Some(if self.point.detects_direct_current { Residual::TypeA30 } else { Residual::TypeB30 }),
            breaking_ka: fitted_ka,
        }
    }

    /// The breaker alone, or with a time-delayed residual-current device where the design relies on one.
    fn submain_device(&self, zs_limit: f64, rating_a: f64) -> Device {
        // Earthing that is not known may prove to be TT: the device serves both.
        let relies_on_residual = zs_limit > zs_limit_ohm(Curve::C, rating_a) || self.task.facts.earthing_open;
        Device {
            rating_a,
            curve: Curve::C,
            poles: if self.task.facts.supply_phases == 3 { 4 } else { 2 },
            residual: relies_on_residual.then_some(Residual::Delayed100),
            breaking_ka: self.origin.fitted_ka,
        }
    }
}

fn shared(charging: &Charging) -> Option<Shared> {
    match &charging.fit {
        Fit::Group(group) => Some(group.shared),
        _ => None,
    }
}

/// Every cable option of one charging current, put together and pushed; or one arrangement that says no cable fits.
fn build(facts: &Facts, rules: &Rules, charging: &Charging, built: &mut Vec<Arrangement>) {
    let Some(point) = rules.charge_point(charging.phases) else {
        return;
    };
    let earth = path(facts, point, rules);
    let feed = feed(facts, charging, point);
    let task = Task { facts, rules, charging, earth: &earth, feed };
    let parts = Parts::of(task, point);
    let distance_m = facts.distance_m.high;
    let before = built.len();
    for option in task.options() {
        if let Some(circuits) = task.circuits(*option, distance_m) {
            built.push(parts.assemble(Some(&circuits), None));
        }
    }
    if built.len() > before {
        return;
    }
    built.push(match nearest(&task, distance_m) {
        Some((metres, circuits)) => parts.assemble(Some(&circuits), Some(("no-cable-fits", distance_m, metres))),
        None => parts.assemble(None, Some(("no-cable-fits-anywhere", distance_m, 0.0))),
    });
}

/// The distance that stands for "anywhere", metres (effects table).
pub(super) const NEAREST_M: f64 = 3.0;

fn fits_at(task: &Task<'_>, metres: f64) -> Option<Circuits> {
    task.options().iter().find_map(|option| task.circuits(*option, metres))
}

/// Where nothing fits over the whole route: how near the point would have to stand, and its circuits there.
fn nearest(task: &Task<'_>, distance_m: f64) -> Option<(f64, Circuits)> {
    let (mut low, mut high, mut best) = (NEAREST_M, distance_m, (NEAREST_M, fits_at(task, NEAREST_M)?));
    for _ in 0..12 {
        let middle = (low + high) / 2.0;
        match fits_at(task, middle) {
            Some(circuits) => (low, best) = (middle, (middle, circuits)),
            None => high = middle,
        }
    }
    Some(best)
}

/// The best effect that `build` would give one charging current.
fn weigh(facts: &Facts, rules: &Rules, charging: &Charging) -> Effect {
    let Some(point) = rules.charge_point(charging.phases) else {
        return Effect::Stops;
    };
    let earth = path(facts, point, rules);
    let feed = feed(facts, charging, point);
    let task = Task { facts, rules, charging, earth: &earth, feed };
    let parts = Parts::of(task, point);
    let mut out = Findings::weighed(rules);
    charging.say(facts, rules, &mut out);
    parts.say_rest(&mut out);
    let rest = out.worst();
    let with = |circuits: &Circuits| {
        let mut out = Findings::weighed(rules);
        parts.say_circuits(circuits, &mut out);
        out.worst().max(rest)
    };
    let distance_m = facts.distance_m.high;
    let mut best = None;
    for option in task.options() {
        if let Some(effect) = task.circuits(*option, distance_m).as_ref().map(with) {
            best = Some(best.map_or(effect, |best: Effect| best.min(effect)));
            if effect <= rest {
                // No cable is better than what the rest says.
                return effect;
            }
        }
    }
    best.unwrap_or_else(|| {
        let mut out = Findings::weighed(rules);
        match nearest(&task, distance_m) {
            Some((_, circuits)) => {
                out.say("cable-length", "no-cable-fits", |f| f);
                out.worst().max(with(&circuits))
            }
            None => {
                out.say("cable-length", "no-cable-fits-anywhere", |f| f);
                out.worst().max(rest)
            }
        }
    })
}

/// Recorded peak and the load wanted against agreed capacity, for metered supplies (R15). The load wanted is the least
/// of points x setting, the group limit set and what the daily need takes.
fn say_capacity_share(facts: &Facts, rules: &Rules, charging: &Charging, out: &mut Findings<'_>) {
    let Some(capacity_a) = facts.capacity_a.filter(|_| facts.ct_metered) else {
        return;
    };
    // One point on one phase loads that phase with its whole need.
    let points = f64::from(facts.wanted.points);
    let phases = f64::from(facts.supply_phases).min(points * f64::from(charging.phases));
    let daily_a = facts.wanted.daily_kwh * points * 1000.0 / (facts.wanted.window_h * U0_V * phases);
    let wanted_a = shared(charging).map_or(charging.setting_a, |shared| shared.group_limit_a).min(daily_a);
    let peak_a = facts.demand.against_capacity_a.likely;
    let whole_a = peak_a + wanted_a;
    if whole_a > capacity_a {
        // Over the capacity the findings on demand say what stops or holds it.
        return;
    }
    let formality = whole_a <= rules.supply.capacity_formality_share * capacity_a;
    let code = if formality { "capacity-formality" } else { "capacity-tight" };
    out.say("capacity-share", code, |f| f.at_most(whole_a, capacity_a).terms(&[peak_a, wanted_a, capacity_a]));
}
