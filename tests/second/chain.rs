//! From the origin to a point: tails or existing sub-main, new sub-main, final circuit; what each circuit is asked.
//!
//! Conventions of the engine that are quoted: a spare way and a distribution board hang on the stated sub-main where its
//! device carries the current (taken as two-core armoured, its reactance at right angles), else on the tails (at least 16 mm2, short by the operators' rule where there is a
//! sub-main); over 100 A the incomer is not reckoned; a route measured from a board behind a sub-main is longer by its
//! length when fed from the intake; rises and ends are added at both ends of every run, half of them to each cable of a
//! jointed one; a sub-main has 0.6 of the drop, a C curve and the next preferred device; final circuits behind it have
//! the mean length, and drop and impedance of the farthest; as many of them are grouped as can draw their full current at
//! once on one side of the board, up to where the table of factors ends.

use super::circuit::Asked;
use super::laying::Way;
use super::published::{copper, wire};
use super::supply::{next_device, submains};
use baywright::design::{EarthingPath, Facts, Feed};
use baywright::reference::{Cable, CableFamily, Method};
use baywright::rules::{AboveGround, Rules};
use baywright::site::{DistanceFrom, EarthingSystem, GroundSurface};

/// One way of giving charging, before its cables.
#[derive(Clone, Copy, Debug)]
pub struct Task<'a> {
    pub facts: &'a Facts,
    pub rules: &'a Rules,
    pub setting_a: f64,
    pub phases: u8,
    pub feed: Feed,
    pub path: EarthingPath,
    /// Amperes a phase of the group where there are several points.
    pub group_a: Option<f64>,
    /// Maximum demand, high end.
    pub demand_a: f64,
    pub device_a: f64,
}

/// What lies before a circuit.
struct Before {
    volts_per_a: f64,
    metres: f64,
    most_a: f64,
    ohm: f64,
}

impl Task<'_> {
    pub fn tt(&self) -> bool {
        self.path == EarthingPath::Electrode
    }

    /// The electrode earths the point apart from the supply.
    pub fn island(&self) -> bool {
        self.tt() && self.facts.earthing != Some(EarthingSystem::Tt)
    }

    pub fn rises_m(&self) -> f64 {
        2.0 * (self.rules.route.rise_m + self.rules.route.ends_m)
    }

    fn before(&self) -> Before {
        let facts = self.facts;
        let hot = |mm2: f64| 1.20 * copper(mm2).unwrap_or(1.15);
        let needed_a = self.group_a.unwrap_or(self.setting_a);
        if let Some((mm2, device_a)) = facts.submain
            && self.feed != Feed::AddedBoard
            && device_a >= needed_a
        {
            let armoured = Cable { family: CableFamily::ArmouredXlpe, cores: 2, csa_mm2: mm2 };
            let plain = hot(mm2) + hot(16.0);
            let (loop_hot, x_mv) = match wire(armoured) {
                Some(armoured) => (armoured.loop_hot().max(plain), armoured.warm_x_mv),
                None => (plain, 0.0),
            };
            let r_mv = 2.0 * hot(mm2);
            return Before {
                volts_per_a: (r_mv * r_mv + x_mv * x_mv).sqrt() * facts.tails_m / 1000.0,
                metres: facts.tails_m,
                most_a: device_a,
                ohm: loop_hot * facts.tails_m / 1000.0,
            };
        }
        let Some(mm2) = facts.tails_mm2 else {
            return Before { volts_per_a: 0.0, metres: 0.0, most_a: f64::INFINITY, ohm: 0.0 };
        };
        let mm2 = mm2.max(16.0);
        let mut metres = facts.tails_m;
        if facts.submain.is_some() {
            metres = metres.min(self.rules.supply.tails_longest_m);
        }
        Before {
            volts_per_a: 2.0 * hot(mm2) * metres / 1000.0,
            metres,
            most_a: f64::INFINITY,
            ohm: (hot(mm2) + hot(16.0)) * metres / 1000.0,
        }
    }

    fn asked_at_origin(&self, tt: bool) -> Asked {
        let (facts, rules) = (self.facts, self.rules);
        let before = self.before();
        let electrode_ohm = match facts.electrode_ohm {
            Some(ohm) if !self.island() => ohm.min(rules.circuit.electrode_limit_ohm),
            _ => rules.circuit.electrode_limit_ohm,
        };
        Asked {
            ib_a: self.setting_a,
            in_a: self.device_a,
            curve: rules.circuit.curve.chars().next().unwrap_or('B'),
            three: self.phases == 3,
            before_v: before.volts_per_a * self.demand_a.min(before.most_a),
            before_m: before.metres,
            before_ohm: if tt { electrode_ohm } else { facts.ze_ohm + before.ohm },
            drop_limit_v: rules.circuit.drop_limit_percent / 100.0 * 230.0,
            let_through_ka: facts.let_through_ka,
            tt,
            residual_ohm: (tt || rules.circuit.rcd_as_fault_protection).then_some(rules.circuit.electrode_greatest_ohm),
        }
    }

    /// The final circuit of one point: what it is asked, and its way.
    pub fn single(&self, distance_m: f64) -> (Asked, Way) {
        let facts = self.facts;
        let mut way = Way::of(&facts.route).this_long(distance_m);
        if self.feed == Feed::AddedBoard && facts.submain.is_some() && facts.distance_from != Some(DistanceFrom::Intake)
        {
            way.indoor_m += facts.tails_m;
        }
        (self.asked_at_origin(self.tt()), way)
    }

    /// The sub-main of several points: what it is asked, its way, and how many lie side by side.
    pub fn submain(&self, distance_m: f64) -> Option<(Asked, Way, f64)> {
        let group_a = self.group_a?;
        let (count, current_a) = submains(self.facts, self.setting_a, self.phases, group_a);
        let tt = self.tt() && !self.island();
        let origin = self.asked_at_origin(tt);
        let asked = Asked {
            ib_a: current_a,
            in_a: next_device(current_a)?,
            curve: 'C',
            three: self.facts.supply_phases == 3,
            drop_limit_v: 0.6 * origin.drop_limit_v,
            residual_ohm: (tt || self.rules.circuit.rcd_as_fault_protection).then_some(50.0 / 0.1),
            ..origin
        };
        let mut way = Way::of(&self.facts.route).this_long(distance_m);
        way.grouped = way.grouped.max(count);
        Some((asked, way, count))
    }

    /// A final circuit behind a sub-main that drops so much and has this loop: what it is asked, its way (of mean
    /// length), and the metres of the farthest.
    pub fn behind(&self, drop_v: f64, metres: f64, zs_ohm: f64) -> (Asked, Way, f64) {
        let (facts, rules) = (self.facts, self.rules);
        let origin = self.asked_at_origin(self.tt());
        let asked = Asked {
            before_v: drop_v,
            before_m: origin.before_m + metres,
            before_ohm: if self.island() { origin.before_ohm } else { zs_ohm },
            ..origin
        };
        let points = f64::from(facts.wanted.points);
        let side_m = rules.route.bay_pitch_m * (points - 1.0) / 2.0;
        let mean_m = rules.shared.distribution_spacing_m + side_m / 2.0;
        let farthest_m = rules.shared.distribution_spacing_m + side_m + self.rises_m();
        let buried = facts.route.buried_m > 0.0;
        let draws_a = self.group_a.unwrap_or(0.0) * f64::from(facts.supply_phases);
        let at_full = (draws_a / (self.setting_a * f64::from(self.phases))).ceil().min(points);
        let one_side = (at_full / 2.0).ceil().max(1.0);
        let grouped = one_side.max(facts.route.grouped);
        let clipped = rules.route.armoured_above_ground == AboveGround::Clipped;
        let table_ends = if buried {
            6.0
        } else if clipped {
            20.0
        } else {
            9.0
        };
        let way = Way {
            indoor_m: 0.0,
            surface_m: if buried { 0.0 } else { mean_m },
            buried_m: if buried { mean_m } else { 0.0 },
            insulated_m: 0.0,
            grouped: grouped.min(table_ends),
            ducted: facts.ground_surface != GroundSurface::Soft,
            ..Way::of(&facts.route)
        };
        (asked, way, farthest_m)
    }

    /// What a stated sub-main carries: its device, or its conductor clipped or buried where that is less.
    pub fn existing_carries_a(&self) -> Option<f64> {
        let (mm2, device_a) = self.facts.submain?;
        let three = self.facts.supply_phases == 3;
        let cores = if three { 4 } else { 2 };
        let Some(wire) = wire(Cable { family: CableFamily::ArmouredXlpe, cores, csa_mm2: mm2 }) else {
            return Some(device_a);
        };
        let clipped_a = wire.rating(Method::C, three)?;
        let buried_a = wire.rating(Method::D, three)? * 0.9;
        Some(clipped_a.min(buried_a).min(device_a))
    }

    /// Whether the device of a stated sub-main exceeds what its conductor carries even clipped to a surface.
    pub fn existing_unprotected(&self) -> bool {
        let Some((mm2, device_a)) = self.facts.submain else { return false };
        let three = self.facts.supply_phases == 3;
        let cable = Cable { family: CableFamily::ArmouredXlpe, cores: if three { 4 } else { 2 }, csa_mm2: mm2 };
        wire(cable).and_then(|wire| wire.rating(Method::C, three)).is_some_and(|clipped_a| device_a > clipped_a)
    }

    /// The current a stated sub-main must carry; `None` where it is not asked to.
    pub fn existing_needed_a(&self) -> Option<f64> {
        // All of the existing load may stand behind it.
        (self.feed != Feed::AddedBoard).then_some(self.demand_a)
    }

    /// Breaking capacity that suffices without a higher rating, and the one fitted, at `level_ka`.
    pub fn breaking(&self, level_ka: f64) -> (f64, f64) {
        let circuit = &self.rules.circuit;
        let usual_ka = circuit.device_breaking_ka[0];
        // Annex ZB: a consumer unit, one phase, behind at most 100 A.
        let unit = self.facts.supply_phases == 1 && self.facts.cutout_a <= 100.0 && self.feed != Feed::Distribution;
        let carried_ka = if unit { circuit.conditional_rating_ka.max(usual_ka) } else { usual_ka };
        if level_ka <= carried_ka {
            return (carried_ka, usual_ka);
        }
        for rating in &circuit.device_breaking_ka {
            if *rating >= level_ka {
                return (carried_ka, *rating);
            }
        }
        (carried_ka, level_ka)
    }

    /// Prospective current behind a sub-main of cold lines, kA: source taken as reactance.
    pub fn level_behind_ka(&self, r20_mohm_per_m: f64, metres: f64) -> f64 {
        let source = 230.0 / (self.facts.fault_level_ka.max(0.1) * 1000.0);
        let lines = if self.facts.supply_phases == 3 { 1.0 } else { 2.0 };
        let cable = lines * r20_mohm_per_m * metres / 1000.0;
        230.0 / (source * source + cable * cable).sqrt() / 1000.0
    }
}
