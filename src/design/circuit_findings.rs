//! What is said of a sized circuit: rating, drop and its second figures, disconnection, conductors under fault, selectivity.
//!
//! It reckons only what is shown beside the governing figures; what decides was reckoned by `sizing`.

use super::RunRole;
use super::conductor::{drop_temperature_factor, long_run_limit_percent};
use super::fault::say_conductors;
use super::findings::Findings;
use super::installation::Rating;
use super::route::Surroundings;
use super::sizing::{Part, Sized};
use crate::quantity::U0_V;
use crate::reference::{CableFamily, Curve, Loaded, Method};

/// The table of a rating and the way of laying that governs, in words.
fn rating_words(family: CableFamily, rating: &Rating) -> &'static str {
    use Surroundings::{Duct, Ground, Indoor, Insulation, Surface};
    match (family, rating.way.method, rating.way.surroundings) {
        (CableFamily::TwinAndEarth, Method::M100, _) => "Table 4D5, method 100",
        (CableFamily::TwinAndEarth, Method::M101, _) => "Table 4D5, method 101",
        (CableFamily::TwinAndEarth, Method::M102, _) => "Table 4D5, method 102",
        (CableFamily::TwinAndEarth, Method::M103, _) => "Table 4D5, method 103",
        (CableFamily::TwinAndEarth, _, Insulation) => "Table 4D5, method C through insulation",
        (CableFamily::TwinAndEarth, ..) => "Table 4D5, method C",
        (CableFamily::Singles, _, Insulation) => "Table 4D1A, method B through insulation",
        (CableFamily::Singles, ..) => "Table 4D1A, method B",
        (_, _, Duct) => "Table 4D4A, method D in a duct",
        (_, _, Ground) => "Table 4D4A, method D in the ground",
        (_, _, Insulation) => "Table 4D4A, method C through insulation",
        (_, Method::E, _) => "Table 4D4A, method E on tray",
        (_, _, Indoor | Surface) => "Table 4D4A, method C",
    }
}

impl Sized {
    /// What was found of it.
    pub(super) fn say(&self, out: &mut Findings<'_>) {
        match self.duty.role {
            RunRole::Final => self.say_final(out),
            RunRole::SubMain => self.say_submain(out),
        }
    }

    /// The route as designed, so that every factor can be followed.
    fn say_route(&self, out: &mut Findings<'_>) {
        let sum = |part: fn(&Part) -> f64| self.parts().map(part).sum::<f64>();
        let route = &self.route;
        out.show("route-as-designed", |f| {
            f.subject(if self.duty.role == RunRole::SubMain { "sub-main" } else { "final circuit" })
                .value(sum(|part| part.stretch_m))
                .terms(&[
                    sum(|part| part.run.indoor_m),
                    sum(|part| part.run.surface_m),
                    sum(|part| part.run.buried_m),
                    sum(|part| part.run.rises_m),
                    route.grouped,
                    route.ambient_c,
                ])
        });
    }

    fn say_final(&self, out: &mut Findings<'_>) {
        let duty = &self.duty;
        self.say_route(out);
        let (design_a, device_a) = (duty.design_current_a, duty.device_a);
        out.show("device-rating", |f| f.at_most(design_a, device_a).terms(&[design_a]));
        say_continuous(design_a, device_a, out);
        self.say_rating("current-capacity", out);
        out.show("voltage-drop", |f| {
            // Of two jointed cables the mean over their lengths, so that the sum can be followed.
            let mean_mv = 1000.0 * (self.drop_v - duty.upstream_drop_v) / (design_a * self.stretch_m()).max(1e-9);
            let row = self.last().row;
            f.at_most(self.drop_v, duty.drop_limit_v)
                .terms(&[
                    if self.is_jointed() { mean_mv } else { row.drop_mv_per_a_m(Loaded::One) },
                    design_a,
                    self.stretch_m(),
                    duty.upstream_drop_v,
                    100.0 * self.drop_v / U0_V,
                ])
                .subject(row.drop_source)
        });
        self.say_second_drops(out);
        let terms = [
            duty.upstream_zs_ohm,
            self.zs_ohm - duty.upstream_zs_ohm,
            self.breaker_limit_ohm,
            0.8 * self.zs_limit_ohm,
            self.cold_ohm,
        ];
        let words = duty.earth_words;
        if self.relies_on_residual() {
            out.say("disconnection-by-rcd", "rcd-disconnects", |f| {
                f.at_most(self.zs_ohm, self.zs_limit_ohm).terms(&terms).subject(words)
            });
        } else {
            let check = if duty.tt { "disconnection-by-rcd" } else { "disconnection" };
            out.show(check, |f| f.at_most(self.zs_ohm, self.zs_limit_ohm).terms(&terms).subject(words));
        }
        for part in self.parts() {
            say_conductors(part.row, duty, out);
        }
        if self.is_jointed() {
            out.say("cable-family", "joint-between-families", |f| f);
        }
    }

    fn say_submain(&self, out: &mut Findings<'_>) {
        let (duty, last) = (&self.duty, self.last());
        self.say_route(out);
        self.say_rating("submain-capacity", out);
        out.show("submain-drop", |f| {
            f.value(self.drop_v).terms(&[
                last.row.drop_mv_per_a_m(Loaded::One),
                duty.design_current_a,
                last.stretch_m,
                duty.upstream_drop_v,
            ])
        });
        let terms = [duty.upstream_zs_ohm, self.zs_ohm - duty.upstream_zs_ohm, self.cold_ohm];
        if self.relies_on_residual() {
            out.say("submain-disconnection", "rcd-disconnects", |f| {
                f.at_most(self.zs_ohm, self.zs_limit_ohm).terms(&terms)
            });
        } else {
            out.show("submain-disconnection", |f| f.at_most(self.zs_ohm, self.zs_limit_ohm).terms(&terms));
        }
        say_conductors(last.row, duty, out);
    }

    fn say_rating(&self, check: &str, out: &mut Findings<'_>) {
        out.show(check, |f| {
            let (rating, factors) = (&self.rating, &self.rating.way.factors);
            let governing = match self.ratings.1 {
                Some(second) if second.capacity_a < self.ratings.0.capacity_a => self.last(),
                _ => &self.first,
            };
            f.at_least(rating.capacity_a, self.duty.device_a)
                .terms(&[
                    rating.table_a,
                    factors.ambient,
                    factors.grouping,
                    factors.insulation,
                    factors.ground,
                    factors.overload,
                ])
                .subject(rating_words(governing.row.cable.family, rating))
        });
    }

    /// Figures that never govern: the drop with the conductor at its own temperature, that of a balanced three-phase
    /// load, and the allowance for a long run.
    fn say_second_drops(&self, out: &mut Findings<'_>) {
        let (duty, power_factor) = (&self.duty, out.rules().circuit.power_factor.clamp(0.0, 1.0));
        let ratings = [Some(self.ratings.0), self.ratings.1];
        let warm = |part: &Part, rating: &Rating| {
            let base_c = if rating.way.method == Method::D { 20.0 } else { 30.0 };
            let factors = &rating.way.factors;
            let heating = factors.product() / factors.overload;
            let factor = drop_temperature_factor(70.0, base_c, heating, duty.design_current_a, rating.table_a);
            let (r_mv, x_mv) = (part.row.drop_70c.r_mv[0], part.row.drop_70c.x_mv[0]);
            let reactive = (1.0 - power_factor * power_factor).max(0.0).sqrt();
            let mv = factor * r_mv * power_factor + x_mv * reactive;
            (factor, mv, mv * duty.design_current_a * part.stretch_m / 1000.0)
        };
        let all: f64 = self.parts().zip(ratings.iter().flatten()).map(|(part, rating)| warm(part, rating).2).sum();
        let (factor, mv, _) = warm(&self.first, &self.ratings.0);
        out.show("voltage-drop-warm", |f| {
            let volts = duty.upstream_drop_v + all;
            f.value(volts).terms(&[
                factor,
                power_factor,
                mv,
                duty.design_current_a,
                self.stretch_m(),
                100.0 * volts / U0_V,
            ])
        });
        if duty.loaded == Loaded::Three {
            out.show("voltage-drop-balanced", |f| {
                // Of the origin's single-phase drop a balanced load takes root three halves, line to line.
                let before_v = duty.upstream_drop_v * 3.0_f64.sqrt() / 2.0;
                let mv = self.first.row.drop_mv_per_a_m(Loaded::Three);
                let volts = before_v + mv * duty.design_current_a * self.stretch_m() / 1000.0;
                let percent = 100.0 * volts / (U0_V * 3.0_f64.sqrt());
                f.value(volts).terms(&[mv, duty.design_current_a, self.stretch_m(), before_v, percent])
            });
        }
        let length_m = duty.upstream_m + self.stretch_m();
        if length_m > LONG_RUN_M {
            out.show("long-run-allowance", |f| {
                let limit_percent = 100.0 * duty.drop_limit_v / U0_V;
                f.value(long_run_limit_percent(limit_percent, length_m)).terms(&[limit_percent, length_m])
            });
        }
    }

    /// Length that drops and adds impedance, metres.
    pub(super) fn stretch_m(&self) -> f64 {
        self.parts().map(|part| part.stretch_m).sum()
    }

    fn parts(&self) -> impl Iterator<Item = &Part> {
        std::iter::once(&self.first).chain(&self.second)
    }
}

/// Length from which the allowance for long runs counts, metres (Appendix 4 6.4, memory).
const LONG_RUN_M: f64 = 100.0;

/// A load of hours against the device: above the share of the rules the board's maker must allow it beside its
/// neighbours.
fn say_continuous(design_a: f64, device_a: f64, out: &mut Findings<'_>) {
    let limit_a = out.rules().circuit.continuous_share * device_a;
    let terms = [out.rules().circuit.continuous_share, device_a];
    if design_a > limit_a + 1e-9 {
        out.say("continuous-duty", "continuous-duty", |f| f.at_most(design_a, limit_a).terms(&terms));
    } else {
        out.show("continuous-duty", |f| f.at_most(design_a, limit_a).terms(&terms));
    }
}

/// Up to which current the final device alone opens: where it is certain to open at once below the least current at
/// which the sub-main's device may. Above that both may; only the maker's tables tell more.
pub(super) fn say_selectivity(submain_a: f64, last: &Sized, level_ka: f64, out: &mut Findings<'_>) {
    /// A C curve may trip at once from five times its rating (BS EN 60898; print).
    const LEAST_INSTANTANEOUS: f64 = 5.0;
    let certain = match last.duty.curve {
        Curve::B => 5.0,
        Curve::C => 10.0,
        Curve::D => 20.0,
    };
    let (may_a, certain_a) = (LEAST_INSTANTANEOUS * submain_a, certain * last.duty.device_a);
    let (limit_a, level_a) = (if certain_a <= may_a { may_a } else { 0.0 }, 1000.0 * level_ka);
    let terms = [LEAST_INSTANTANEOUS, submain_a, certain, last.duty.device_a];
    if level_a > limit_a {
        out.say("selectivity", "selectivity", |f| f.at_least(limit_a, level_a).terms(&terms));
    } else {
        out.show("selectivity", |f| f.at_least(limit_a, level_a).terms(&terms));
    }
}
