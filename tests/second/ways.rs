//! Every way of giving charging: setting, phases, feed, earthing path, device, cable of every family, make-up and size.
//!
//! Nothing is pruned: each is built, judged by the naive reckoning and kept with its effect.

use super::chain::Task;
use super::circuit::Circuit;
use super::effects::{Load, of_way, unsuitable_rcd, worst};
use super::laid::{Cables, Laid, runs};
use super::laying::Way;
use super::published::{devices, wires};
use super::supply::{Sits, demand_with, device_for, served, short_kwh};
use baywright::design::*;
use baywright::finding::Effect;
use baywright::quantity::Band;
use baywright::reference::{CableFamily, Curve};
use baywright::rules::{ChargePoint, Rules};
use baywright::site::EarthingSystem;

/// How far the earthing paths of a TN supply are searched.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Reach {
    /// The first that is open.
    First,
    /// Every open one.
    Every,
}

/// One way that complies, or that fits only nearer (`built` is then `None`).
pub struct Found {
    pub setting_a: f64,
    pub phases: u8,
    pub effect: Effect,
    /// The worst that the supply says of the charging current, whatever the way.
    pub floor: Effect,
    /// Of several points: those whose daily need is met, and the kilowatt-hours a day that all are short of.
    pub served: f64,
    pub short_kwh: f64,
    pub built: Option<Arrangement>,
}

impl Found {
    pub fn amps(&self) -> f64 {
        self.setting_a * f64::from(self.phases)
    }
}

/// Earthing paths open to a point: its own answer to an open PEN, a separate device where the rules allow one, an
/// electrode where there may be a place for it; where none is open the supply's earth, which stops.
fn paths(facts: &Facts, rules: &Rules, point: &ChargePoint, reach: Reach) -> Vec<EarthingPath> {
    if facts.earthing == Some(EarthingSystem::Tt) {
        return vec![EarthingPath::Electrode];
    }
    let mut paths = Vec::new();
    if point.answers_open_pen && !(point.open_pen_method == "voltage" && facts.supply_phases == 3) {
        paths.push(EarthingPath::SupplyEarthOpenPen);
    }
    // Beside an answer of its own no second device is bought, not even where voltage monitoring may trip at a lawful supply.
    if paths.is_empty() && rules.circuit.allow_open_pen_device {
        paths.push(EarthingPath::SupplyEarthOpenPenDevice);
    }
    if facts.electrode_position != Some(false) {
        paths.push(EarthingPath::Electrode);
    }
    if paths.is_empty() {
        paths.push(EarthingPath::SupplyEarth);
    }
    if reach == Reach::First {
        paths.truncate(1);
    }
    paths
}

/// Leaves out what is bought for the earthing of a point that answers an open PEN by itself, where the answer serves by
/// the same feed with nothing but steps or with nothing worse than what the supply asks anyhow.
///
/// That is a preference of the engine, not a matter of cost: an electrode of its own may let a smaller cable serve.
pub fn preferred(mut found: Vec<Found>) -> Vec<Found> {
    let own = |way: &Found| way.built.as_ref().is_some_and(|built| built.earthing == EarthingPath::SupplyEarthOpenPen);
    let current = |way: &Found| (way.setting_a, way.phases, way.built.as_ref().map(|built| built.feed));
    let serves = |way: &&Found| own(way) && way.effect <= way.floor.max(Effect::Step);
    let served: Vec<_> = found.iter().filter(serves).map(current).collect();
    found.retain(|way| own(way) || !served.contains(&current(way)));
    found
}

/// A group's task by the first earthing path that is open.
fn group_task<'a>(
    facts: &'a Facts,
    rules: &'a Rules,
    (setting_a, phases): (f64, u8),
    (group_a, follows): (f64, Option<f64>),
) -> Task<'a> {
    let path = paths(facts, rules, rules.charge_point(phases).unwrap(), Reach::First)[0];
    let (demand_a, device_a) = (demand_with(facts, sits_of(follows), group_a).high, device_for(rules, setting_a));
    let (feed, group_a) = (Feed::Distribution, Some(group_a));
    Task { facts, rules, setting_a, phases, feed, path, group_a, demand_a, device_a }
}

/// Whether any cable carries a group so large over these metres.
pub fn any_group(
    facts: &Facts,
    rules: &Rules,
    current: (f64, u8),
    (group_a, follows): (f64, Option<f64>),
    metres: f64,
) -> bool {
    let (point, demand) = (rules.charge_point(current.1).unwrap(), demand_with(facts, sits_of(follows), group_a));
    let task = group_task(facts, rules, current, (group_a, follows));
    let (load, floor) = (Load::Group { follows }, Effect::None);
    let way = Made { task, load, point, demand, codes: Vec::new(), works: Vec::new(), floor };
    way.fits_several(metres)
}

/// What a stated sub-main carries, amperes a phase.
pub fn existing_carries_a(facts: &Facts, rules: &Rules, current: (f64, u8)) -> Option<f64> {
    let (_, device_a) = facts.submain?;
    Some(
        group_task(facts, rules, current, (rules.charging.pilot_floor_a, None))
            .existing_carries_a()
            .unwrap_or(device_a),
    )
}

/// Adds every way of one charging current; of several points with this group limit.
pub fn one_current(
    facts: &Facts,
    rules: &Rules,
    reach: Reach,
    (setting_a, phases): (f64, u8),
    load: Load,
    group_a: Option<f64>,
    found: &mut Vec<Found>,
) {
    let point = rules.charge_point(phases).unwrap();
    let demand = match load {
        Load::One(sits) => demand_with(facts, sits, setting_a),
        Load::Group { follows } => demand_with(facts, sits_of(follows), group_a.unwrap()),
        Load::NoSession => demand_with(facts, Sits::Not, rules.charging.pilot_floor_a),
    };
    let mut feeds = vec![Feed::AddedBoard];
    if group_a.is_some() {
        feeds = vec![Feed::Distribution];
    } else if facts.spare_way
        && facts.main_switch_a.is_none_or(|switch_a| switch_a >= demand.high)
        && !unsuitable_rcd(facts, point)
    {
        feeds.push(Feed::SpareWay);
    }
    let before = found.len();
    let (mut nearer, mut floor) = (None, Effect::None);
    for feed in feeds {
        for path in paths(facts, rules, point, reach) {
            let device_a = device_for(rules, setting_a);
            let task = Task { facts, rules, setting_a, phases, feed, path, group_a, demand_a: demand.high, device_a };
            let (codes, works) = of_way(&task, load, point);
            let mut of_supply = Vec::new();
            super::effects::demand(&task, load, &mut of_supply, &mut Vec::new());
            floor = worst(rules, &of_supply);
            let way = Made { task, load, point, demand, codes, works, floor };
            if group_a.is_some() {
                way.several(facts.distance_m.high, &mut |built| {
                    found.push(built());
                    true
                });
            } else {
                way.one(facts.distance_m.high, &mut |built| found.push(built));
            }
            // The way says no-cable-fits or, where even 3 m are too far, no-cable-fits-anywhere.
            let mut fits = false;
            if found.len() == before {
                if group_a.is_some() {
                    fits = way.fits_several(3.0);
                } else {
                    way.one(3.0, &mut |_| fits = true);
                }
                let code = if fits { "no-cable-fits" } else { "no-cable-fits-anywhere" };
                let effect = worst(rules, &way.codes).max(worst(rules, &[code]));
                nearer = Some(nearer.map_or(effect, |best: Effect| best.min(effect)));
            }
        }
    }
    if found.len() == before {
        let (served, short_kwh) = of_group(facts, rules, (setting_a, phases), load, group_a);
        found.push(Found { setting_a, phases, effect: nearer.unwrap(), floor, served, short_kwh, built: None });
    }
}

fn of_group(facts: &Facts, rules: &Rules, point: (f64, u8), load: Load, group_a: Option<f64>) -> (f64, f64) {
    let follows = if let Load::Group { follows } = load { follows } else { None };
    let of =
        |group_a| (served(facts, rules, point, group_a, follows), short_kwh(facts, rules, point, group_a, follows));
    group_a.map_or((0.0, 0.0), of)
}

/// How a group sits on the supply.
fn sits_of(follows: Option<f64>) -> Sits {
    follows.map_or(Sits::Alone, |setpoint_a| Sits::Limiter { setpoint_a })
}

/// A way before its cables.
struct Made<'a> {
    task: Task<'a>,
    load: Load,
    point: &'a ChargePoint,
    demand: Band,
    codes: Vec<&'static str>,
    works: Vec<Work>,
    floor: Effect,
}

fn armoured(family: CableFamily) -> bool {
    matches!(family, CableFamily::ArmouredXlpe | CableFamily::ArmouredPvc)
}

impl<'a> Made<'a> {
    /// Every cable and size that may lie on the way, of one phase or three, of any make-up.
    fn cables(&self, way: &Way, three: bool, core_needed: bool, heavy: bool) -> Vec<Cables> {
        let allowed = &self.task.rules.circuit.cable_families;
        let mut all = Vec::new();
        for wire in wires() {
            let (family, cores) = (wire.cable.family, wire.cable.cores);
            let by_armour = armoured(family) && (cores == 2 || cores == 4);
            let enough = if three { cores >= 4 } else { cores >= 2 };
            if !allowed.contains(&family) || !enough || (core_needed && by_armour) {
                continue;
            }
            let flat = family == CableFamily::TwinAndEarth;
            if flat && (heavy || three) {
                continue;
            }
            if family == CableFamily::Singles && cores != if three { 4 } else { 2 } {
                continue;
            }
            all.push((wire, None));
            let outdoors = way.surface_m > 0.0 || way.buried_m > 0.0;
            if !flat || !outdoors || way.indoor_m <= 0.0 {
                continue;
            }
            for other in wires() {
                let like = armoured(other.cable.family) && !(core_needed && matches!(other.cable.cores, 2 | 4));
                if like && allowed.contains(&other.cable.family) && other.cable.csa_mm2 == wire.cable.csa_mm2 {
                    all.push((wire, Some(other)));
                }
            }
        }
        all
    }

    /// Every final circuit of one point that complies.
    fn one(&self, distance_m: f64, take: &mut dyn FnMut(Found)) {
        let (asked, way) = self.task.single(distance_m);
        let rises_m = self.task.rises_m();
        let laid = Laid::over(&way, self.task.rules);
        for (first, second) in self.cables(&way, asked.three, self.task.island(), false) {
            let Some((first, second)) = laid.pieces(&way, (first, second), rises_m, None) else { continue };
            for in_a in larger_devices(asked.in_a) {
                let circuit = Circuit { asked: super::circuit::Asked { in_a, ..asked }, first, second };
                if circuit.fails().is_empty() {
                    let runs = runs(&way, &circuit, RunRole::Final, 1, rises_m);
                    take(self.built(&circuit, None, runs));
                }
            }
        }
    }

    fn fits_several(&self, distance_m: f64) -> bool {
        let mut fits = false;
        self.several(distance_m, &mut |_| {
            fits = true;
            false
        });
        fits
    }

    /// Every sub-main with every final circuit behind it that complies.
    ///
    /// `take` is given the way to build it and answers whether to go on.
    fn several(&self, distance_m: f64, take: &mut dyn FnMut(&dyn Fn() -> Found) -> bool) {
        let Some((sub_asked, sub_way, count)) = self.task.submain(distance_m) else { return };
        let rises_m = self.task.rises_m();
        let sub_laid = Laid::over(&sub_way, self.task.rules);
        for (wire, _) in self.cables(&sub_way, sub_asked.three, false, true) {
            // A sub-main is armoured.
            if !armoured(wire.cable.family) {
                continue;
            }
            let Some((first, _)) = sub_laid.pieces(&sub_way, (wire, None), rises_m, None) else { continue };
            let submain = Circuit { asked: sub_asked, first, second: None };
            if !submain.fails().is_empty() {
                continue;
            }
            let (asked, way, farthest_m) = self.task.behind(submain.drop_v(), submain.metres(), submain.zs_ohm());
            let laid = Laid::over(&way, self.task.rules);
            for (last, _) in self.cables(&way, asked.three, self.task.island(), true) {
                let Some((first, _)) = laid.pieces(&way, (last, None), rises_m, Some(farthest_m)) else { continue };
                let circuit = Circuit { asked, first, second: None };
                let build = || {
                    let mut all = runs(&sub_way, &submain, RunRole::SubMain, count as u32, rises_m);
                    all.extend(runs(&way, &circuit, RunRole::Final, self.task.facts.wanted.points, rises_m));
                    self.built(&circuit, Some(&submain), all)
                };
                if circuit.fails().is_empty() && !take(&build) {
                    return;
                }
            }
        }
    }

    fn built(&self, circuit: &Circuit<'_>, submain: Option<&Circuit<'_>>, runs: Vec<Run>) -> Found {
        let Task { facts, rules, .. } = self.task;
        let (asked, mut works) = (&circuit.asked, self.works.clone());
        let mut effect = worst(rules, &self.codes);
        let mut say = |code: &str| effect = effect.max(worst(rules, &[code]));
        if circuit.by_residual() || submain.is_some_and(Circuit::by_residual) {
            say("rcd-disconnects");
        }
        if asked.ib_a > rules.circuit.continuous_share * asked.in_a + 1e-9 {
            say("continuous-duty");
        }
        if circuit.second.is_some() {
            say("joint-between-families");
            works.push(Work::JointBox);
        }
        if circuit.pieces().last().unwrap().wire.cable.csa_mm2 > self.point.largest_terminal_mm2 {
            say("terminal-capacity");
            works.push(Work::TerminalBox);
        }
        let spare_v = 230.0 * 0.94 - 207.0;
        let own = self.task.path == EarthingPath::SupplyEarthOpenPen;
        if own && self.point.open_pen_method == "voltage" && circuit.drop_v() > spare_v {
            say("open-pen-voltage");
        }
        let at_origin_ka = self.task.breaking(facts.fault_level_ka).1;
        let mut breaking_ka = at_origin_ka;
        if let Some(submain) = submain {
            let level_ka = self.task.level_behind_ka(submain.first.wire.r1, submain.first.metres);
            let certain_a = if rules.circuit.curve == "B" { 5.0 } else { 10.0 } * asked.in_a;
            let alone_a = if certain_a <= 5.0 * submain.asked.in_a { 5.0 * submain.asked.in_a } else { 0.0 };
            if 1000.0 * level_ka > alone_a {
                say("selectivity");
            }
            breaking_ka = self.task.breaking(level_ka).1;
        }
        if breaking_ka > rules.circuit.residual_device_breaking_ka {
            say(if facts.fault_level_stated { "fault-duty-unmet" } else { "fault-duty" });
        }
        let residual = if self.point.detects_direct_current { Residual::TypeA30 } else { Residual::TypeB30 };
        let poles = |three: bool| if three { 4 } else { 2 };
        let submain_device = submain.map(|submain| Device {
            rating_a: submain.asked.in_a,
            curve: Curve::C,
            poles: poles(submain.asked.three),
            residual: (facts.earthing_open || submain.relied_ohm() != Some(submain.breaker_ohm()))
                .then_some(Residual::Delayed100),
            breaking_ka: at_origin_ka,
        });
        let (control, shared) = match self.load {
            Load::One(Sits::Limiter { setpoint_a }) => (Control::Local { setpoint_a }, None),
            _ => (Control::None, None),
        };
        let (drop_v, zs_ohm) = (circuit.drop_v(), circuit.zs_ohm());
        let arrangement = Arrangement {
            setting_a: self.task.setting_a,
            phases: self.task.phases,
            supply_phases: facts.supply_phases,
            points: facts.wanted.points,
            control,
            feed: self.task.feed,
            device: Device {
                rating_a: asked.in_a,
                curve: Curve::B,
                poles: poles(asked.three),
                residual: Some(residual),
                breaking_ka,
            },
            submain_device,
            runs,
            earthing: self.task.path,
            works,
            maximum_demand_a: self.demand,
            current_capacity_a: circuit.iz().map_or(0.0, |iz| iz.0),
            voltage_drop_v: drop_v,
            voltage_drop_percent: 100.0 * drop_v / 230.0,
            zs_ohm,
            zs_limit_ohm: circuit.relied_ohm().unwrap_or(0.0),
            fault_current_a: 230.0 / zs_ohm,
            shared,
            findings: Vec::new(),
        };
        let Task { setting_a, phases, group_a, .. } = self.task;
        let (served, short_kwh) = of_group(facts, rules, (setting_a, phases), self.load, group_a);
        Found { setting_a, phases, effect, floor: self.floor, served, short_kwh, built: Some(arrangement) }
    }
}

/// The rules' device and the next two larger.
fn larger_devices(in_a: f64) -> Vec<f64> {
    let mut all = vec![in_a];
    all.extend(devices().iter().copied().filter(|rating| *rating > in_a).take(2));
    all
}
