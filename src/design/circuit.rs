//! The circuits from the origin to a point: tails or existing sub-main, new sub-main, final circuit.
//!
//! It sets each its task and has it sized; what is said of them is the business of `circuit_findings`.

use super::cable_option::{CableOption, Wanted, options};
use super::charging::{Charging, Fit};
use super::earthing::Earthing;
use super::existing::{Upstream, upstream};
use super::facts::Facts;
use super::installation::{above_ground, in_ground};
use super::route::Route;
use super::shared::Group;
use super::sizing::{self, Duty, Sized, size};
use super::{Feed, Run, RunRole};
use crate::quantity::U0_V;
use crate::reference::{CableFamily, Curve, Loaded, cable_row, device_ratings};
use crate::rules::Rules;
use crate::site::{DistanceFrom, GroundSurface};

/// What the circuits of one charging current are sized for.
#[derive(Clone, Copy)]
pub(super) struct Task<'a> {
    pub(super) facts: &'a Facts,
    pub(super) rules: &'a Rules,
    pub(super) charging: &'a Charging,
    pub(super) earth: &'a Earthing,
    pub(super) feed: Feed,
}

/// The cables of the circuits from the origin to the point.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Cables {
    /// Of the final circuit.
    pub(super) last: CableOption,
    /// Of the sub-main, where several points are fed.
    pub(super) submain: Option<CableOption>,
}

/// Sized circuits from the origin to the point.
#[derive(Clone, Copy, Debug)]
pub(super) struct Circuits {
    /// What lies before them.
    pub(super) before: Upstream,
    /// The sub-main and its device, amperes.
    pub(super) submain: Option<(Sized, f64)>,
    pub(super) last: Sized,
}

/// A sub-main that serves, where one is wanted, and the final circuit behind it, if any serves.
struct Tried {
    submain: Option<(Sized, f64)>,
    last: Option<Sized>,
}

impl Task<'_> {
    fn group(&self) -> Option<&Group> {
        match &self.charging.fit {
            Fit::Group(group) => Some(group),
            _ => None,
        }
    }

    /// The cables worth trying: for the final circuit, and for several points with each cable of the sub-main.
    pub(super) fn cables(&self) -> impl Iterator<Item = Cables> + '_ {
        let heavy_duty = self.group().is_some();
        // Fed from the intake a route that was measured from the board begins indoors: a joint may then pay.
        let route = self.route(self.facts.distance_m.high);
        let wanted = Wanted { route, phases: self.charging.phases, core_needed: self.earth.island, heavy_duty };
        let submain = Wanted { phases: self.facts.supply_phases, core_needed: false, ..wanted };
        // A sub-main is armoured, earthed by its armour or by a core.
        let armoured = |option: &CableOption| !matches!(option, CableOption::Throughout(CableFamily::Singles, _));
        let submains = move || options(submain, self.rules).filter(armoured).map(Some).filter(move |_| heavy_duty);
        let none = move || std::iter::once(None).filter(move |_| !heavy_duty);
        options(wanted, self.rules)
            .flat_map(move |last| none().chain(submains()).map(move |submain| Cables { last, submain }))
    }

    /// The route of a circuit fed so, this long; fed from the intake it first goes to the board that it was measured from.
    fn route(&self, distance_m: f64) -> Route {
        let Task { facts, feed, .. } = *self;
        let route = facts.route.scaled_to(distance_m);
        let from_board = facts.submain.is_some() && facts.distance_from != Some(DistanceFrom::Intake);
        if feed == Feed::AddedBoard && from_board {
            Route { indoor_m: route.indoor_m + facts.tails_m, ..route }
        } else {
            route
        }
    }

    /// The circuits with these cables over a route of this length, the smallest sizes first; empty when no size serves.
    ///
    /// Of one circuit each size that serves. Of a sub-main with final circuits behind it the smallest, then each larger
    /// one that lets smaller final circuits serve (there are many of those, and together they may cost less) or that its
    /// breaker alone disconnects.
    pub(super) fn circuits(&self, cables: Cables, distance_m: f64) -> impl Iterator<Item = Circuits> {
        let needed_a = self.group().map_or(self.charging.setting_a, |group| group.group_a);
        // A spare way is fed over the existing sub-main, an added board stands at the intake, and a distribution board
        // is fed over the existing sub-main where that carries the group, else from the origin.
        let at_board = self.feed != Feed::AddedBoard;
        let before = upstream(self.facts, needed_a, at_board, self.rules.supply.tails_longest_m);
        let duty = self.duty(&before);
        let (mut above_mm2, mut final_mm2, mut residual) = (0.0, f64::INFINITY, true);
        std::iter::from_fn(move || {
            loop {
                let Tried { submain, last } =
                    self.next_circuits(cables, distance_m, &before, Duty { above_mm2, ..duty })?;
                let Some((sized, _)) = submain else {
                    let last = last?;
                    above_mm2 = last.size_mm2();
                    return Some(Circuits { before, submain, last });
                };
                above_mm2 = sized.size_mm2();
                let spared = residual && !sized.relies_on_residual();
                if let Some(last) = last.filter(|last| spared || last.size_mm2() < final_mm2) {
                    (final_mm2, residual) = (last.size_mm2(), sized.relies_on_residual());
                    return Some(Circuits { before, submain, last });
                }
            }
        })
    }

    /// One circuit with this cable of this size, whether it serves or not; `None` for a size that is in no table.
    pub(super) fn held(&self, last: CableOption, csa_mm2: f64) -> Option<Circuits> {
        let (facts, rules) = (self.facts, self.rules);
        let at_board = self.feed != Feed::AddedBoard;
        let before = upstream(facts, self.charging.setting_a, at_board, rules.supply.tails_longest_m);
        let route = self.route(facts.distance_m.high);
        let last = sizing::held(last, csa_mm2, &self.duty(&before), &route, rules)?;
        Some(Circuits { before, submain: None, last })
    }

    /// What a final circuit has to do that starts behind `before`.
    fn duty(&self, before: &Upstream) -> Duty {
        let Task { facts, rules, charging, earth, .. } = *self;
        let electrode_ohm = earth.electrode_ohm.unwrap_or(rules.circuit.electrode_limit_ohm);
        let duty = Duty {
            role: RunRole::Final,
            design_current_a: charging.setting_a,
            device_a: device_a(rules, charging.setting_a),
            curve: curve(rules),
            loaded: if charging.phases == 3 { Loaded::Three } else { Loaded::One },
            upstream_m: before.length_m,
            upstream_drop_v: before.drop_v_per_a * charging.maximum_demand_a.high.min(before.most_a),
            drop_limit_v: rules.circuit.drop_limit_percent / 100.0 * U0_V,
            upstream_zs_ohm: electrode_ohm,
            upstream_cold_ohm: electrode_ohm,
            earth_words: match (earth.electrode_ohm, facts.electrode_ohm) {
                (Some(_), Some(ohm)) if ohm > electrode_ohm => "electrode as it must first be made",
                (Some(_), _) => "electrode as measured",
                (None, _) => "electrode not measured, at its limit",
            },
            let_through_ka: facts.let_through_ka,
            rcd_limit_ohm: residual_limit(rules, earth.tt, rules.circuit.electrode_greatest_ohm),
            tt: true,
            farthest_m: 0.0,
            count: 1,
            above_mm2: 0.0,
        };
        if earth.tt { duty } else { self.earthed_by_supply(duty, before) }
    }

    /// The same circuit on the supply's own earth.
    fn earthed_by_supply(&self, duty: Duty, before: &Upstream) -> Duty {
        Duty {
            tt: false,
            upstream_zs_ohm: self.facts.ze_ohm + before.loop_ohm,
            upstream_cold_ohm: self.facts.ze_ohm + before.cold_ohm,
            earth_words: "Ze and what lies before",
            ..duty
        }
    }

    /// The smallest circuit above the size of the duty; or the smallest sub-main above it and the smallest final circuit
    /// behind that. `None` where no further sub-main serves.
    fn next_circuits(&self, cables: Cables, distance_m: f64, before: &Upstream, mut duty: Duty) -> Option<Tried> {
        let (Some(group), Some(submain)) = (self.group(), cables.submain) else {
            return Some(Tried { submain: None, last: size(cables.last, &duty, &self.route(distance_m), self.rules) });
        };
        // The sub-main to an electrode's board is earthed at the supply end; the electrode earths only what it feeds.
        let first = if self.earth.island { self.earthed_by_supply(duty, before) } else { duty };
        let submain = self.submain(group, submain, &first, distance_m)?;
        duty.above_mm2 = 0.0;
        duty.upstream_drop_v = submain.0.drop_v;
        duty.upstream_m += submain.0.stretch_m();
        if !self.earth.island {
            duty.upstream_zs_ohm = submain.0.zs_ohm;
            duty.upstream_cold_ohm = submain.0.cold_ohm;
        }
        duty.count = self.facts.wanted.points;
        let route = self.final_route(group, &mut duty);
        Some(Tried { submain: Some(submain), last: size(cables.last, &duty, &route, self.rules) })
    }

    /// The sub-mains: one for each 125 A a phase, of like size.
    fn submain(&self, group: &Group, option: CableOption, duty: &Duty, distance_m: f64) -> Option<(Sized, f64)> {
        /// Share of the allowed drop left to the final circuits (design rule).
        const FINAL_CIRCUIT_SHARE: f64 = 0.4;
        let (count, current_a) = group.submains();
        let device_a = device_ratings().iter().copied().find(|rating| *rating >= current_a)?;
        let three = self.facts.supply_phases == 3;
        let duty = Duty {
            role: RunRole::SubMain,
            design_current_a: current_a,
            device_a,
            // A C curve, so that it does not trip before a B-curve final circuit.
            curve: Curve::C,
            loaded: if three { Loaded::Three } else { Loaded::One },
            drop_limit_v: duty.drop_limit_v * (1.0 - FINAL_CIRCUIT_SHARE),
            // A time-delayed 100 mA device: 50 V / 0.1 A (Table 41.5).
            rcd_limit_ohm: residual_limit(self.rules, duty.tt, 50.0 / 0.1),
            count: count as u32,
            ..*duty
        };
        // Several sub-mains lie side by side.
        let route = self.facts.route.scaled_to(distance_m);
        let route = Route { grouped: route.grouped.max(count), ..route };
        Some((size(option, &duty, &route, self.rules)?, device_a))
    }

    /// The route of the mean final circuit from the distribution board; the farthest one drops and adds impedance.
    fn final_route(&self, group: &Group, duty: &mut Duty) -> Route {
        let Task { facts, rules, charging, .. } = *self;
        let points = f64::from(facts.wanted.points);
        let side_m = rules.route.bay_pitch_m * (points - 1.0) / 2.0;
        let mean_m = rules.shared.distribution_spacing_m + side_m / 2.0;
        let ends_m = 2.0 * (rules.route.rise_m + rules.route.ends_m);
        duty.farthest_m = rules.shared.distribution_spacing_m + side_m + ends_m;
        let buried = facts.route.buried_m > 0.0;
        // As many circuits side by side as can draw their full setting at once on one side of the board. No trench, layer
        // or bundle takes more than the table of grouped circuits goes to: further circuits lie in another.
        let ducted = facts.ground_surface != GroundSurface::Soft;
        let grouping = if buried { in_ground(ducted) } else { above_ground(CableFamily::ArmouredXlpe, rules).1 };
        let whole_a = group.group_a * f64::from(facts.supply_phases);
        let full_at_once = (whole_a / (charging.setting_a * f64::from(charging.phases))).ceil().min(points);
        Route {
            indoor_m: 0.0,
            surface_m: if buried { 0.0 } else { mean_m },
            buried_m: if buried { mean_m } else { 0.0 },
            insulated_m: 0.0,
            grouped: (full_at_once / 2.0).ceil().max(1.0).max(facts.route.grouped).min(grouping.most()),
            // Under a hard surface each runs in a duct of its own; in soft ground they are laid bare.
            ducted,
            ..facts.route
        }
    }
}

/// The limit of impedance of a residual-current device, where one may disconnect.
fn residual_limit(rules: &Rules, tt: bool, limit_ohm: f64) -> Option<f64> {
    (tt || rules.circuit.rcd_as_fault_protection).then_some(limit_ohm)
}

/// Tripping characteristic of final circuits.
pub(super) fn curve(rules: &Rules) -> Curve {
    match rules.circuit.curve.as_str() {
        "C" => Curve::C,
        "D" => Curve::D,
        _ => Curve::B,
    }
}

/// Device for a setting: the rules' line, else the next preferred rating at or above it.
pub(super) fn device_a(rules: &Rules, setting_a: f64) -> f64 {
    rules
        .circuit
        .device_for_setting
        .iter()
        .find(|[setting, _]| *setting == setting_a)
        .map(|[_, rating]| *rating)
        .or_else(|| device_ratings().iter().copied().find(|rating| *rating >= setting_a))
        .unwrap_or(setting_a)
}

/// Prospective current at the end of a sub-main, kiloamperes: U0 over the source and the cold line (three phases) or
/// line and neutral (one phase). The source is taken as reactance and the cable as resistance, at right angles: any
/// other angle between them makes the impedance larger and the current smaller.
pub(super) fn level_after(facts: &Facts, run: Run) -> Option<f64> {
    let source_ohm = U0_V / (facts.fault_level_ka.max(0.1) * 1000.0);
    let conductors = if facts.supply_phases == 3 { 1.0 } else { 2.0 };
    let line_ohm = cable_row(run.cable)?.r20_mohm_per_m * conductors * run.length_m() / 1000.0;
    Some(U0_V / source_ohm.hypot(line_ohm) / 1000.0)
}

/// Whether any run is twin-and-earth outdoors: never, by construction; a property test holds it.
pub fn twin_and_earth_stays_indoors(runs: &[Run]) -> bool {
    runs.iter()
        .all(|run| run.cable.family != CableFamily::TwinAndEarth || (run.surface_m == 0.0 && run.buried_m == 0.0))
}
