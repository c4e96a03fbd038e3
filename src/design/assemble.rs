//! Putting an arrangement together: current, feed, circuit, earthing, works and findings. What is tried is the business
//! of `search`.

use super::board::{Breaking, breaking, say_intake};
use super::charging::{Charging, Fit};
use super::circuit::{Circuits, Task, curve, device_a, level_after};
use super::circuit_findings::say_selectivity;
use super::earthing::say_open_pen_voltage;
use super::existing::{say_before, say_existing_submain};
use super::facts::Facts;
use super::fault::say_prospective;
use super::findings::Findings;
use super::point::{say_directions, say_point, say_residual_selectivity};
use super::{Arrangement, Control, Device, Residual, Shared, Work};
use crate::finding::{Effect, Route as OperatorRoute};
use crate::quantity::U0_V;
use crate::reference::{Curve, zs_limit_ohm};
use crate::rules::{ChargePoint, Rules};
use crate::site::Premises;

/// What one arrangement is put together from.
pub(super) struct Parts<'a> {
    task: Task<'a>,
    point: &'a ChargePoint,
    origin: Breaking,
}

impl<'a> Parts<'a> {
    pub(super) fn of(task: Task<'a>, point: &'a ChargePoint) -> Self {
        Self { task, point, origin: breaking(task.facts, task.feed, task.rules, task.facts.fault_level_ka) }
    }

    /// What is found of the circuits.
    pub(super) fn say_circuits(&self, circuits: &Circuits, out: &mut Findings<'_>) {
        let earth = self.task.earth;
        say_before(&circuits.before, self.task.charging.maximum_demand_a.high, out);
        if let Some((submain, rating_a)) = &circuits.submain {
            submain.say(out);
            if self.submain_device(submain.zs_limit_ohm, *rating_a).residual.is_some() {
                say_residual_selectivity(out);
            }
            let (fitted_ka, level_ka) = self.board_breaking_ka(submain.last_run());
            say_selectivity(*rating_a, &circuits.last, level_ka, out);
            out.show("breaking-at-board", |f| f.at_least(fitted_ka, level_ka));
        }
        self.say_final_breaking(circuits, out);
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

    /// Devices with a residual-current part are made up to a breaking capacity of their own: beyond it the level is
    /// measured or limited first.
    pub(super) fn say_final_breaking(&self, circuits: &Circuits, out: &mut Findings<'_>) {
        let (fitted_ka, level_ka) = match &circuits.submain {
            Some((submain, _)) => self.board_breaking_ka(submain.last_run()),
            None => (self.origin.fitted_ka, self.task.facts.fault_level_ka),
        };
        let most_ka = self.task.rules.circuit.residual_device_breaking_ka;
        if fitted_ka > most_ka {
            // A level that somebody stated has to be answered first; a declared maximum is measured on the day, and a fuse
            // before the board limits it where it proves true.
            let code = if self.task.facts.fault_level_stated { "fault-duty-unmet" } else { "fault-duty" };
            out.say("breaking-final", code, |f| f.at_most(level_ka, most_ka));
        }
    }

    /// What is found whatever the circuits.
    pub(super) fn say_rest(&self, out: &mut Findings<'_>) {
        let Task { facts, rules, charging, earth, feed } = self.task;
        say_prospective(facts, out);
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
            Control::Group { setpoint_a, .. } => {
                out.work(Work::GroupController);
                if setpoint_a.is_some() {
                    out.work(Work::LimiterSensor);
                }
            }
        }
    }

    /// The arrangement with these circuits; `no_cable` is the reason, the distance and the nearest point that a cable
    /// would serve, where none serves the whole route; `shared` is what several points come to at this current.
    pub(super) fn assemble(
        &self,
        circuits: Option<&Circuits>,
        no_cable: Option<(&str, f64, f64)>,
        shared: Option<Shared>,
    ) -> Arrangement {
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
            shared,
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

fn group_limit_a(charging: &Charging) -> Option<f64> {
    match &charging.fit {
        Fit::Group(group) => Some(group.group_a),
        _ => None,
    }
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
    let wanted_a = group_limit_a(charging).unwrap_or(charging.setting_a).min(daily_a);
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
