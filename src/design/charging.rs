//! Which charging current fits beside the existing demand, by itself or behind a limiter.

use super::Control;
use super::currents::settings;
use super::demand::DemandOrigin;
use super::facts::Facts;
use super::findings::Findings;
use super::shared::{Group, say_no_session};
use crate::quantity::{Band, U0_V};
use crate::rules::Rules;

/// The supply as a set of limits in amperes a phase. Cut-out and agreed capacity are held against different figures:
/// the fuse sees the minute peak, the capacity a half-hour one.
#[derive(Clone, Copy, Debug)]
pub(super) struct Supply {
    cutout_a: f64,
    capacity_a: Option<f64>,
    against_cutout: Band,
    against_capacity: Band,
}

impl Supply {
    pub(super) fn of(facts: &Facts) -> Self {
        Self {
            cutout_a: facts.cutout_a,
            capacity_a: facts.capacity_a,
            against_cutout: facts.demand.band_a,
            against_capacity: facts.demand.against_capacity_a,
        }
    }

    /// The limit that leaves least room at the high end, and the existing demand held against it.
    pub(super) fn governing(&self) -> (f64, Band) {
        match self.capacity_a {
            Some(capacity_a) if capacity_a - self.against_capacity.high < self.cutout_a - self.against_cutout.high => {
                (capacity_a, self.against_capacity)
            }
            _ => (self.cutout_a, self.against_cutout),
        }
    }

    /// Room at the high end of existing demand, amperes a phase; negative when there is none.
    pub(super) fn room_a(&self) -> f64 {
        let (limit_a, existing) = self.governing();
        limit_a - existing.high
    }

    /// Room at the low end of existing demand, amperes a phase.
    pub(super) fn room_at_low_end_a(&self) -> f64 {
        let by_cutout = self.cutout_a - self.against_cutout.low;
        self.capacity_a.map_or(by_cutout, |capacity_a| by_cutout.min(capacity_a - self.against_capacity.low))
    }

    /// The limit itself: the least of cut-out and agreed capacity.
    pub(super) fn limit_a(&self) -> f64 {
        self.capacity_a.map_or(self.cutout_a, |capacity_a| capacity_a.min(self.cutout_a))
    }

    /// The least limit and the existing demand held against it: what a limiter keeps the incomer within.
    pub(super) fn least(&self) -> (f64, Band) {
        match self.capacity_a {
            Some(capacity_a) if capacity_a < self.cutout_a => (capacity_a, self.against_capacity),
            _ => (self.cutout_a, self.against_cutout),
        }
    }

    /// Current a phase at which a limit that follows the load holds the incomer; `None` where none may be relied on.
    pub(super) fn following_setpoint_a(&self, rules: &Rules) -> Option<f64> {
        let share = rules.supply.limiter_share;
        (rules.supply.allow_limiter && self.high_within(share)).then(|| share * self.least().0)
    }

    /// Existing demand at its high end stays within `share` of every limit.
    fn high_within(&self, share: f64) -> bool {
        self.against_cutout.high <= share * self.cutout_a
            && self.capacity_a.is_none_or(|capacity_a| self.against_capacity.high <= share * capacity_a)
    }

    /// Existing demand at its low end exceeds a limit.
    fn low_over(&self) -> bool {
        self.against_cutout.low > self.cutout_a
            || self.capacity_a.is_some_and(|capacity_a| self.against_capacity.low > capacity_a)
    }
}

/// How a charging current sits on the supply.
#[derive(Clone, Copy, Debug)]
pub(super) enum Fit {
    /// By itself.
    Alone,
    /// Behind a limiter that follows the load.
    Limiter,
    /// By itself, but below the current that is worth having.
    TooSlow {
        /// Least current worth having, amperes.
        useful_a: f64,
    },
    /// Several points behind one group limit.
    Group(Group),
    /// Not at all: not even `least_a` amperes.
    Nothing {
        /// The least current that would be of use.
        least_a: f64,
    },
}

/// A setting with its control and how it fits.
#[derive(Clone, Copy, Debug)]
pub(super) struct Charging {
    pub(super) setting_a: f64,
    pub(super) phases: u8,
    pub(super) control: Control,
    /// Maximum demand on the worst phase, amperes.
    pub(super) maximum_demand_a: Band,
    pub(super) fit: Fit,
}

/// What one setting gives: by itself where it fits, else behind a limiter where one works; `None` where neither does.
pub(super) fn at_setting(facts: &Facts, rules: &Rules, setting_a: f64, phases: u8) -> Option<Charging> {
    let supply = Supply::of(facts);
    if supply.room_a() >= setting_a {
        return Some(alone(&supply, setting_a, phases));
    }
    let setpoint_a = supply.following_setpoint_a(rules)?;
    Some(behind_limiter(&supply, setpoint_a, setting_a, phases))
}

fn alone(supply: &Supply, setting_a: f64, phases: u8) -> Charging {
    let (_, existing) = supply.governing();
    let maximum_demand_a = existing.plus(Band::exact(setting_a));
    Charging { setting_a, phases, control: Control::None, maximum_demand_a, fit: Fit::Alone }
}

fn behind_limiter(supply: &Supply, setpoint_a: f64, setting_a: f64, phases: u8) -> Charging {
    let (_, existing) = supply.least();
    let with = existing.plus(Band::exact(setting_a));
    let maximum_demand_a = Band::new(with.low.min(setpoint_a), with.likely.min(setpoint_a), with.high.min(setpoint_a));
    Charging { setting_a, phases, control: Control::Local { setpoint_a }, maximum_demand_a, fit: Fit::Limiter }
}

/// A setting held as it is, with a limiter or without one: what it comes to for these facts, whether it fits or not.
pub(super) fn held(facts: &Facts, rules: &Rules, setting_a: f64, phases: u8, limiter: bool) -> Charging {
    let supply = Supply::of(facts);
    if limiter {
        return match supply.following_setpoint_a(rules) {
            Some(setpoint_a) => behind_limiter(&supply, setpoint_a, setting_a, phases),
            None => Charging { phases, ..nothing_fits(facts, setting_a, setting_a) },
        };
    }
    if supply.room_a() < setting_a {
        return Charging { phases, ..nothing_fits(facts, setting_a, setting_a) };
    }
    let (_, useful_a) = settings(facts, rules, phases);
    let fit = if setting_a < useful_a { Fit::TooSlow { useful_a } } else { Fit::Alone };
    Charging { fit, ..alone(&supply, setting_a, phases) }
}

/// A setting that fits by itself but is not worth having.
pub(super) fn too_slow(facts: &Facts, rules: &Rules, setting_a: f64, useful_a: f64) -> Option<Charging> {
    let charging = at_setting(facts, rules, setting_a, 1).filter(|charging| charging.control == Control::None)?;
    Some(Charging { fit: Fit::TooSlow { useful_a }, ..charging })
}

/// What stands there when not even `least_a` fits, with or without control: `setting_a` is only shown.
pub(super) fn nothing_fits(facts: &Facts, least_a: f64, setting_a: f64) -> Charging {
    let (_, existing) = Supply::of(facts).governing();
    let maximum_demand_a = existing.plus(Band::exact(least_a));
    Charging { setting_a, phases: 1, control: Control::None, maximum_demand_a, fit: Fit::Nothing { least_a } }
}

impl Charging {
    /// What the supply says of it, the deciding finding first.
    pub(super) fn say(&self, facts: &Facts, rules: &Rules, out: &mut Findings<'_>) {
        match self.fit {
            Fit::Alone => self.say_alone(facts, rules, out),
            Fit::Limiter => self.say_limiter(facts, rules, out),
            Fit::TooSlow { useful_a } => {
                self.say_alone(facts, rules, out);
                out.say("charging-current", "low-current", |f| f.at_least(self.setting_a, useful_a));
            }
            Fit::Group(group) => group.say(facts, rules, out),
            Fit::Nothing { least_a } => {
                say_nothing(facts, least_a, out);
                if facts.wanted.points > 1 {
                    say_no_session(facts, rules, self.setting_a, out);
                }
            }
        }
        let wanted = &facts.wanted;
        let asked_a = wanted.setting_a * f64::from(wanted.phases);
        let given_a = self.setting_a * f64::from(self.phases);
        let comparable = !matches!(self.fit, Fit::Nothing { .. } | Fit::TooSlow { .. });
        if comparable && (given_a < asked_a || self.phases < wanted.phases) {
            out.say("charging-current", "less-than-asked", |f| {
                f.at_least(given_a, asked_a).terms(&[
                    self.setting_a,
                    f64::from(self.phases),
                    wanted.setting_a,
                    f64::from(wanted.phases),
                ])
            });
        }
    }

    fn say_alone(&self, facts: &Facts, rules: &Rules, out: &mut Findings<'_>) {
        let (limit_a, existing) = Supply::of(facts).governing();
        if !say_home_threshold(facts, rules, self.setting_a, out) {
            let (terms, new_high) = ([existing.high, self.setting_a], existing.high + self.setting_a);
            out.say("demand-limit", "supply-fits", |f| f.at_most(new_high, limit_a).terms(&terms));
        }
        say_near_cutout(facts, rules, self.setting_a, out);
    }

    fn say_limiter(&self, facts: &Facts, rules: &Rules, out: &mut Findings<'_>) {
        let Control::Local { setpoint_a } = self.control else {
            return;
        };
        let (limit_a, existing) = Supply::of(facts).least();
        let headroom_a = mean_headroom_a(facts, rules, self.setting_a, setpoint_a);
        let delivered_kwh = limiter_delivers_kwh(facts, rules, headroom_a, self.phases);
        let need_kwh = facts.wanted.daily_kwh;
        let code = if delivered_kwh >= need_kwh { "limiter-needed" } else { "limiter-energy-short" };
        out.say("limiter-setpoint", code, |f| {
            // The figure is within its limit; it is the operator's word that is waited for.
            f.at_most(existing.high, setpoint_a).terms(&[rules.supply.limiter_share, limit_a, existing.high]).noted()
        });
        out.show("limiter-energy", |f| {
            f.at_least(delivered_kwh, need_kwh).terms(&[headroom_a, facts.wanted.window_h, f64::from(self.phases)])
        });
    }
}

fn say_nothing(facts: &Facts, least_a: f64, out: &mut Findings<'_>) {
    let supply = Supply::of(facts);
    let (limit_a, existing) = supply.governing();
    let calculated = matches!(facts.demand.origin, DemandOrigin::Calculated | DemandOrigin::Assumed);
    let code = if supply.low_over() && !calculated {
        "demand-over-limit"
    } else if facts.demand.is_measured() {
        "demand-near-limit"
    } else {
        "demand-over-limit-unproven"
    };
    let figure = if code == "demand-over-limit" { existing.low } else { existing.high };
    out.say("demand-limit", code, |f| f.at_most(figure + least_a, limit_a).terms(&[figure, least_a]));
}

/// Says where a home with `added_a` more comes over the threshold above which its operator wants an application, and
/// whether it does.
pub(super) fn say_home_threshold(facts: &Facts, rules: &Rules, added_a: f64, out: &mut Findings<'_>) -> bool {
    let (threshold_a, at_cutout_a) = (rules.supply.home_threshold_a, facts.demand.band_a.high);
    let new_high = at_cutout_a + added_a;
    let over = facts.premises.is_home() && new_high > threshold_a;
    if over {
        let terms = [at_cutout_a, added_a];
        out.say("home-threshold", "demand-over-60", |f| f.at_most(new_high, threshold_a).terms(&terms));
    }
    over
}

/// A remark where the new demand comes near the cut-out's rating.
pub(super) fn say_near_cutout(facts: &Facts, rules: &Rules, added_a: f64, out: &mut Findings<'_>) {
    let share = rules.supply.near_cutout_share;
    let new_high = facts.demand.band_a.high + added_a;
    if new_high > share * facts.cutout_a {
        out.say("near-cutout", "demand-over-90-percent", |f| {
            f.at_most(new_high, share * facts.cutout_a).terms(&[share, facts.cutout_a])
        });
    }
}

fn mean_headroom_a(facts: &Facts, rules: &Rules, setting_a: f64, setpoint_a: f64) -> f64 {
    let mean_share = if facts.premises.is_home() { rules.demand.home_mean_share } else { 1.0 };
    (setpoint_a - mean_share * facts.demand.band_a.high).min(setting_a)
}

/// Energy a limiter leaves for charging over the plugged-in hours, kilowatt-hours; none below the 6 A pilot floor.
fn limiter_delivers_kwh(facts: &Facts, rules: &Rules, headroom_a: f64, phases: u8) -> f64 {
    if headroom_a < rules.charging.pilot_floor_a {
        return 0.0;
    }
    headroom_a * U0_V * f64::from(phases) * facts.wanted.window_h / 1000.0
}
