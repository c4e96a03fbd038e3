//! Which charging current fits beside the existing demand, by itself or behind a limiter.

use super::Control;
use super::facts::Facts;
use crate::finding::Finding;
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

/// A setting with its control and what the supply says of it.
#[derive(Clone, Debug)]
pub(super) struct Charging {
    pub(super) setting_a: f64,
    pub(super) phases: u8,
    pub(super) control: Control,
    /// Maximum demand on the worst phase, amperes.
    pub(super) maximum_demand_a: Band,
    /// The findings, the deciding one first.
    pub(super) findings: Vec<Finding>,
}

/// What one setting gives: by itself where it fits, else behind a limiter where one works; `None` where neither does.
pub(super) fn at_setting(facts: &Facts, rules: &Rules, setting_a: f64, phases: u8) -> Option<Charging> {
    let supply = Supply::of(facts);
    let (limit_a, existing) = supply.governing();
    let with = |setting_a: f64| existing.plus(Band::exact(setting_a));
    let new_high = existing.high + setting_a;
    if supply.room_a() >= setting_a {
        let threshold = rules.supply.home_threshold_a;
        let decisive = if facts.premises.is_home() && new_high > threshold {
            Finding::new("home-threshold").because("demand-over-60").at_most(new_high, threshold)
        } else {
            Finding::new("demand-limit").because("supply-fits").at_most(new_high, limit_a)
        };
        let mut findings = vec![decisive.terms(&[existing.high, setting_a])];
        if new_high > rules.supply.near_cutout_share * facts.cutout_a {
            findings.push(
                Finding::new("near-cutout")
                    .because("demand-over-90-percent")
                    .at_most(new_high, rules.supply.near_cutout_share * facts.cutout_a)
                    .terms(&[rules.supply.near_cutout_share, facts.cutout_a]),
            );
        }
        return Some(Charging {
            setting_a,
            phases,
            control: Control::None,
            maximum_demand_a: with(setting_a),
            findings,
        });
    }
    if !rules.supply.allow_limiter || !supply.high_within(rules.supply.limiter_share) {
        return None;
    }
    let setpoint_a = rules.supply.limiter_share * limit_a;
    let delivered_kwh = limiter_delivers_kwh(facts, rules, setting_a, phases, setpoint_a);
    let need_kwh = facts.wanted.daily_kwh;
    let code = if delivered_kwh >= need_kwh { "limiter-needed" } else { "limiter-energy-short" };
    let findings = vec![
        Finding::new("limiter-setpoint").because(code).at_most(existing.high, setpoint_a).terms(&[
            rules.supply.limiter_share,
            limit_a,
            existing.high,
        ]),
        Finding::new("limiter-energy")
            .at_least(delivered_kwh, need_kwh)
            .terms(&[mean_headroom_a(facts, rules, setting_a, setpoint_a), facts.wanted.window_h]),
    ];
    let maximum = Band::new(
        with(setting_a).low.min(setpoint_a),
        with(setting_a).likely.min(setpoint_a),
        new_high.min(setpoint_a),
    );
    Some(Charging { setting_a, phases, control: Control::Local { setpoint_a }, maximum_demand_a: maximum, findings })
}

fn mean_headroom_a(facts: &Facts, rules: &Rules, setting_a: f64, setpoint_a: f64) -> f64 {
    let mean_share = if facts.premises.is_home() { rules.demand.home_mean_share } else { 1.0 };
    (setpoint_a - mean_share * facts.demand.band_a.high).min(setting_a)
}

/// Energy a limiter leaves for charging over the plugged-in hours, kilowatt-hours; none below the 6 A pilot floor.
fn limiter_delivers_kwh(facts: &Facts, rules: &Rules, setting_a: f64, phases: u8, setpoint_a: f64) -> f64 {
    let headroom_a = mean_headroom_a(facts, rules, setting_a, setpoint_a);
    if headroom_a < rules.charging.pilot_floor_a {
        return 0.0;
    }
    headroom_a * U0_V * f64::from(phases) * facts.wanted.window_h / 1000.0
}

/// What is said when no useful setting fits, with or without a limiter.
pub(super) fn nothing_fits(facts: &Facts, least_setting_a: f64) -> Charging {
    let supply = Supply::of(facts);
    let (limit_a, existing) = supply.governing();
    let calculated =
        matches!(facts.demand.origin, super::demand::DemandOrigin::Calculated | super::demand::DemandOrigin::Assumed);
    let code = if supply.low_over() && !calculated {
        "demand-over-limit"
    } else if facts.demand.is_measured() {
        "demand-near-limit"
    } else {
        "demand-over-limit-unproven"
    };
    let figure = if code == "demand-over-limit" { existing.low } else { existing.high };
    let finding = Finding::new("demand-limit")
        .because(code)
        .at_most(figure + least_setting_a, limit_a)
        .terms(&[figure, least_setting_a]);
    Charging {
        setting_a: least_setting_a,
        phases: 1,
        control: Control::None,
        maximum_demand_a: existing.plus(Band::exact(least_setting_a)),
        findings: vec![finding],
    }
}
