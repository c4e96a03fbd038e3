//! The circuits from the origin to a point: tails or existing sub-main, new sub-main, final circuit; and what is said of
//! them.

use super::charging::{Charging, Fit};
use super::earthing::Earthing;
use super::facts::Facts;
use super::findings::Findings;
use super::route::Route;
use super::shared::Group;
use super::sizing::{CableOption, Duty, Sized, size};
use super::{Feed, Run, RunRole};
use crate::quantity::U0_V;
use crate::reference::{
    Cable, CableFamily, CableRow, Curve, Loaded, Method, ProtectiveKind, armoured, cable_row, conductor_r20_mohm_per_m,
    device_ratings, let_through_a2s,
};
use crate::rules::Rules;
use crate::site::GroundSurface;

/// What the circuits of one charging current are sized for.
#[derive(Clone, Copy)]
pub(super) struct Task<'a> {
    pub(super) facts: &'a Facts,
    pub(super) rules: &'a Rules,
    pub(super) charging: &'a Charging,
    pub(super) earth: &'a Earthing,
    pub(super) feed: Feed,
}

/// Sized circuits from the origin to the point.
#[derive(Clone, Copy, Debug)]
pub(super) struct Circuits {
    /// The sub-main and its device, amperes.
    pub(super) submain: Option<(Sized, f64)>,
    pub(super) last: Sized,
}

impl Task<'_> {
    fn group(&self) -> Option<&Group> {
        match &self.charging.fit {
            Fit::Group(group) => Some(group),
            _ => None,
        }
    }

    /// The cables worth trying for the final circuit.
    pub(super) fn options(&self) -> &'static [CableOption] {
        let all: &'static [CableOption] = match self.group() {
            Some(_) if self.charging.phases == 3 => &[CableOption::Armoured(5), CableOption::Armoured(4)],
            Some(_) => &[CableOption::Armoured(3), CableOption::Armoured(2)],
            None => options(&self.facts.route, self.charging.phases),
        };
        // Armour is bonded at the supply end: where an electrode earths the point apart from it, the protective
        // conductor is a core. Those options stand first in every list.
        let with_core = all.iter().take_while(|option| option.has_protective_core()).count();
        if self.earth.island { all.split_at(with_core).0 } else { all }
    }

    /// The circuits with one cable over a route of this length; `None` when no size serves.
    pub(super) fn circuits(&self, option: CableOption, distance_m: f64) -> Option<Circuits> {
        let Task { facts, rules, charging, earth, feed } = *self;
        // A spare way is fed over the existing sub-main, an added board stands at the intake, and a distribution board
        // is fed over the existing sub-main where that carries the group, else from the origin.
        let needed_a = self.group().map_or(charging.setting_a, |group| group.group_a);
        let upstream = upstream(facts, needed_a, feed != Feed::AddedBoard, rules.supply.tails_longest_m);
        let mut duty = Duty {
            role: RunRole::Final,
            design_current_a: charging.setting_a,
            device_a: device_a(rules, charging.setting_a),
            curve: curve(rules),
            loaded: if charging.phases == 3 { Loaded::Three } else { Loaded::One },
            upstream_drop_v: upstream.drop_v_per_a * charging.maximum_demand_a.high.min(upstream.most_a),
            drop_limit_v: rules.circuit.drop_limit_percent / 100.0 * U0_V,
            upstream_zs_ohm: if earth.tt {
                earth.electrode_ohm.unwrap_or(rules.circuit.electrode_limit_ohm)
            } else {
                facts.ze_ohm + upstream.loop_ohm
            },
            let_through_ka: facts.let_through_ka,
            rcd_limit_ohm: residual_limit(rules, earth.tt, rules.circuit.electrode_greatest_ohm),
            tt: earth.tt,
            farthest_m: 0.0,
            count: 1,
        };
        let Some(group) = self.group() else {
            let last = size(option, &duty, &facts.route.scaled_to(distance_m), rules)?;
            return Some(Circuits { submain: None, last });
        };
        let before = if earth.island {
            // The sub-main is earthed at the supply end; the electrode earths only what it feeds.
            Duty { tt: false, upstream_zs_ohm: facts.ze_ohm + upstream.loop_ohm, ..duty }
        } else {
            duty
        };
        let submain = self.submain(group, &before, distance_m)?;
        duty.upstream_drop_v = submain.0.drop_v;
        if !earth.island {
            duty.upstream_zs_ohm = submain.0.zs_ohm;
        }
        duty.count = facts.wanted.points;
        let route = self.final_route(group, &mut duty);
        Some(Circuits { submain: Some(submain), last: size(option, &duty, &route, rules)? })
    }

    /// The sub-mains: one for each 125 A a phase, of like size, armour as protective conductor.
    fn submain(&self, group: &Group, duty: &Duty, distance_m: f64) -> Option<(Sized, f64)> {
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
        let option = CableOption::Armoured(if three { 4 } else { 2 });
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
        // As many circuits side by side as can draw their full setting at once on one side of the board; a trench
        // takes no more than six, where the table of grouped circuits ends.
        let whole_a = group.group_a * f64::from(facts.supply_phases);
        let full_at_once = (whole_a / (charging.setting_a * f64::from(charging.phases))).ceil().min(points);
        Route {
            indoor_m: 0.0,
            surface_m: if buried { 0.0 } else { mean_m },
            buried_m: if buried { mean_m } else { 0.0 },
            insulated_m: 0.0,
            grouped: (full_at_once / 2.0).ceil().clamp(1.0, 6.0).max(facts.route.grouped.min(6.0)),
            // Under a hard surface each runs in a duct of its own; in soft ground they are laid bare.
            ducted: facts.ground_surface != GroundSurface::Soft,
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

impl Sized {
    /// What was found of it.
    pub(super) fn say(&self, out: &mut Findings<'_>) {
        match self.duty.role {
            RunRole::Final => self.say_final(out),
            RunRole::SubMain => self.say_submain(out),
        }
    }

    fn say_final(&self, out: &mut Findings<'_>) {
        let (duty, row) = (&self.duty, self.last().row);
        let (design_a, device_a) = (duty.design_current_a, duty.device_a);
        out.show("device-rating", |f| f.at_most(design_a, device_a).terms(&[design_a]));
        out.show("current-capacity", |f| {
            f.at_least(self.rating.capacity_a, device_a)
                .terms(&[self.rating.table_a, self.rating.factor])
                .subject(row.rating_source)
        });
        out.show("voltage-drop", |f| {
            let stretch_m = self.first.stretch_m + self.second.map_or(0.0, |part| part.stretch_m);
            // Of two jointed cables the mean over their lengths, so that the sum can be followed.
            let mean_mv = 1000.0 * (self.drop_v - duty.upstream_drop_v) / (design_a * stretch_m).max(1e-9);
            f.at_most(self.drop_v, duty.drop_limit_v)
                .terms(&[
                    if self.is_jointed() { mean_mv } else { row.drop_mv_per_a_m(Loaded::One) },
                    design_a,
                    stretch_m,
                    duty.upstream_drop_v,
                    100.0 * self.drop_v / U0_V,
                ])
                .subject(row.drop_source)
        });
        let terms =
            [duty.upstream_zs_ohm, self.zs_ohm - duty.upstream_zs_ohm, self.breaker_limit_ohm, 0.8 * self.zs_limit_ohm];
        if self.relies_on_residual() {
            out.say("disconnection-by-rcd", "rcd-disconnects", |f| {
                f.at_most(self.zs_ohm, self.zs_limit_ohm).terms(&terms)
            });
        } else {
            let check = if duty.tt { "disconnection-by-rcd" } else { "disconnection" };
            out.show(check, |f| f.at_most(self.zs_ohm, self.zs_limit_ohm).terms(&terms));
        }
        say_protective(row, duty, out);
        if self.is_jointed() {
            out.say("cable-family", "joint-between-families", |f| f);
        }
    }

    fn say_submain(&self, out: &mut Findings<'_>) {
        let (duty, last) = (&self.duty, self.last());
        out.show("submain-capacity", |f| {
            f.at_least(self.rating.capacity_a, duty.device_a)
                .terms(&[self.rating.table_a, self.rating.factor, duty.design_current_a])
                .subject(last.row.rating_source)
        });
        out.show("submain-drop", |f| {
            f.value(self.drop_v).terms(&[
                last.row.drop_mv_per_a_m(Loaded::One),
                duty.design_current_a,
                last.run.length_m(),
                duty.upstream_drop_v,
            ])
        });
        let terms = [duty.upstream_zs_ohm, self.zs_ohm - duty.upstream_zs_ohm];
        if self.relies_on_residual() {
            out.say("submain-disconnection", "rcd-disconnects", |f| {
                f.at_most(self.zs_ohm, self.zs_limit_ohm).terms(&terms)
            });
        } else {
            out.show("submain-disconnection", |f| f.at_most(self.zs_ohm, self.zs_limit_ohm).terms(&terms));
        }
    }
}

fn say_protective(row: &CableRow, duty: &Duty, out: &mut Findings<'_>) {
    let conductor = &row.protective;
    let subject = match conductor.kind {
        ProtectiveKind::Bare => "bare protective conductor",
        ProtectiveKind::Core => "core as protective conductor",
        ProtectiveKind::Armour => "steel armour as protective conductor",
    };
    if duty.tt {
        // A TT fault current is a few amperes: no size is asked of the conductor for heat.
        out.show("protective-conductor-by-table", |f| {
            f.value(conductor.csa_mm2).terms(&[row.cable.csa_mm2, conductor.least_csa_mm2]).subject(subject)
        });
    } else if conductor.csa_mm2 + 1e-9 >= conductor.least_csa_mm2 {
        out.show("protective-conductor-by-table", |f| {
            f.at_least(conductor.csa_mm2, conductor.least_csa_mm2)
                .terms(&[row.cable.csa_mm2, conductor.least_csa_mm2])
                .subject(subject)
        });
    } else {
        out.show("protective-conductor-by-energy", |f| {
            let energy = let_through_a2s(duty.curve, duty.device_a, duty.let_through_ka).unwrap_or(f64::MAX);
            f.at_least((conductor.k * conductor.csa_mm2).powi(2), energy)
                .terms(&[conductor.k, conductor.csa_mm2, duty.let_through_ka])
                .subject(subject)
        });
    }
}

/// The options for a final circuit, by what its route allows and what the earthing asks of the armour.
pub(super) fn options(route: &Route, phases: u8) -> &'static [CableOption] {
    let outdoors = route.surface_m > 0.0 || route.buried_m > 0.0;
    match (phases, outdoors, route.indoor_m > 0.0) {
        (3, _, _) => &[CableOption::Armoured(5), CableOption::Armoured(4)],
        (_, false, _) => &[CableOption::TwinAndEarth, CableOption::Armoured(3), CableOption::Armoured(2)],
        (_, true, true) => &[CableOption::Armoured(3), CableOption::Armoured(2), CableOption::Split],
        (_, true, false) => &[CableOption::Armoured(3), CableOption::Armoured(2)],
    }
}

/// What an existing sub-main carries, amperes: its device, or its conductor where that is less (clipped or buried,
/// whichever is harsher; sizes beyond the tables are taken to be protected by their device).
pub(super) fn submain_carries_a(mm2: f64, device_a: f64, supply_phases: u8) -> f64 {
    let (cores, loaded) = if supply_phases == 3 { (4, Loaded::Three) } else { (2, Loaded::One) };
    let row = armoured(cores).iter().find(|row| (row.cable.csa_mm2 - mm2).abs() < 1e-9);
    let conductor_a = row.and_then(|row| {
        let (clipped_a, buried_a) = (row.capacity_a(Method::C, loaded)?, row.capacity_a(Method::D, loaded)?);
        Some(clipped_a.min(buried_a))
    });
    conductor_a.map_or(device_a, |conductor_a| conductor_a.min(device_a))
}

/// A stated sub-main must carry the group; and at a home, whose whole load is behind it, the maximum demand of a point
/// fed from its board.
pub(super) fn say_existing_submain(facts: &Facts, charging: &Charging, feed: Feed, out: &mut Findings<'_>) {
    let Some((mm2, device_a)) = facts.submain else {
        return;
    };
    let needed_a = match &charging.fit {
        Fit::Group(group) => group.group_a,
        Fit::Nothing { .. } => return,
        _ if feed != Feed::SpareWay => return,
        _ if facts.premises.is_home() => charging.maximum_demand_a.high,
        _ => charging.setting_a,
    };
    let carries_a = submain_carries_a(mm2, device_a, facts.supply_phases);
    if carries_a < needed_a {
        out.say("existing-submain", "submain-too-small", |f| f.at_least(carries_a, needed_a));
    }
}

/// Resistance and drop of the tails and what lies between origin and the board that feeds the circuit.
pub(super) struct Upstream {
    /// Volts per ampere a phase.
    pub(super) drop_v_per_a: f64,
    /// Most current a phase that can flow there for long, amperes.
    pub(super) most_a: f64,
    /// Ohms, line and protective conductor, hot.
    pub(super) loop_ohm: f64,
}

/// What lies before a circuit of `needed_a`: the stated sub-main where the circuit starts at its board and its device
/// carries it (a smaller one is replaced or left, and a finding says so), else the tails.
pub(super) fn upstream(facts: &Facts, needed_a: f64, at_board: bool, tails_longest_m: f64) -> Upstream {
    const LINE_70C: f64 = 1.20;
    let (mm2, length_m, most_a) = match (facts.submain, facts.tails_mm2) {
        (Some((mm2, device_a)), _) if at_board && device_a >= needed_a => (mm2, facts.tails_m, device_a),
        // With a sub-main the stated length is the sub-main's; the tails are short by the operators' rule.
        (Some(_), Some(mm2)) => (mm2.max(16.0), facts.tails_m.min(tails_longest_m), f64::INFINITY),
        (None, Some(mm2)) => (mm2.max(16.0), facts.tails_m, f64::INFINITY),
        // Above 100 A the incomer's busbars are not surveyed: their drop is the designer's.
        (_, None) => return Upstream { drop_v_per_a: 0.0, most_a: f64::INFINITY, loop_ohm: 0.0 },
    };
    let line = conductor_r20_mohm_per_m(mm2).unwrap_or(1.15) * LINE_70C;
    let tails_loop = line + conductor_r20_mohm_per_m(16.0).unwrap_or(1.15) * LINE_70C;
    // Nobody surveys the protective conductor of a sub-main: it is taken as the armour of a two-core cable, the worst of
    // the usual ones.
    let armoured = Cable { family: CableFamily::ArmouredXlpe, cores: 2, csa_mm2: mm2 };
    let loop_mohm_per_m = match cable_row(armoured) {
        Some(row) if most_a.is_finite() => row.loop_hot_mohm_per_m().max(tails_loop),
        _ => tails_loop,
    };
    Upstream { drop_v_per_a: 2.0 * line * length_m / 1000.0, most_a, loop_ohm: loop_mohm_per_m * length_m / 1000.0 }
}

/// Whether any run is twin-and-earth outdoors: never, by construction; a property test holds it.
pub fn twin_and_earth_stays_indoors(runs: &[Run]) -> bool {
    runs.iter()
        .all(|run| run.cable.family != CableFamily::TwinAndEarth || (run.surface_m == 0.0 && run.buried_m == 0.0))
}
