//! Serving the sites of a cluster in rank order: what it takes after each.

use super::base::Existing;
use super::charging::{Point, Points};
use crate::design::Control;
use crate::portfolio::Ranked;
use crate::quantity::charging_kw;
use crate::reference::{Charging, tabulated_point_kw};
use crate::site::Verdict;

/// What a cluster takes, kilovolt-amperes, with charging at unity power factor on top of the base load.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct After {
    /// Every vehicle charges when it is plugged in. This decides what fits.
    pub uncontrolled_kva: f64,
    /// All charging begins with the cheap hours of a night tariff; the base load is the same although it is night.
    pub night_tariff_kva: f64,
    /// The planned points are controlled as one group; those that are there are not.
    pub controlled_kva: f64,
    /// Uncontrolled, but the planned points set no higher than the lowest setting.
    pub lower_rate_kva: f64,
}

/// One site that is served.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Taken {
    /// Its place in the ranking.
    pub place: usize,
    /// Its charge points.
    pub points: u32,
    /// What they could take at once, kilowatts: all at their rate, within a group limit.
    pub connected_kw: f64,
    /// What the cluster takes once it is served.
    pub after: After,
}

/// What is planned at one site.
struct Planned {
    points: u32,
    point: Point,
    lower: Point,
}

/// Points and rates of a site that is not blocked. A site without a design counts as one point of the tabulated rate.
fn planned(site: &Ranked, lower_rate_a: f64) -> Option<Planned> {
    if site.judgement.counted_verdict() == Verdict::Blocked {
        return None;
    }
    let Some(chosen) = &site.judgement.chosen else {
        let point = Point::of_kw(tabulated_point_kw());
        return Some(Planned { points: 1, point, lower: point });
    };
    let points = chosen.points.max(1);
    let share_kw = match chosen.control {
        Control::Group { limit_a, .. } => charging_kw(limit_a, chosen.supply_phases) / f64::from(points),
        Control::None | Control::Local { .. } => f64::INFINITY,
    };
    let at = |setting_a: f64| {
        let rate_kw = charging_kw(setting_a, chosen.phases);
        Point { rate_kw, most_kw: rate_kw.min(share_kw) }
    };
    let lower = at(chosen.setting_a.min(lower_rate_a));
    Some(Planned { points, point: at(chosen.setting_a), lower })
}

/// Serves the sites at `places` one after the other; what each leaves, and what all come to.
pub(super) fn take(sites: &[Ranked], places: &[usize], existing: &Existing, lower_rate_a: f64) -> (Vec<Taken>, After) {
    let there_kw = existing.points.peak_kw(Charging::Uncontrolled);
    let (mut all, mut lower) = (existing.points.clone(), existing.points.clone());
    let mut new = Points::default();
    let load = |all: &Points, lower: &Points, new: &Points| {
        let kva = |kw: f64| existing.kva.likely + kw;
        let uncontrolled_kw = all.peak_kw(Charging::Uncontrolled);
        After {
            uncontrolled_kva: kva(uncontrolled_kw),
            night_tariff_kva: kva(all.peak_kw(Charging::NightTariff)),
            // Two peaks are never above their sum, nor is a controlled load above the one without control.
            controlled_kva: kva((new.peak_kw(Charging::Controlled) + there_kw).min(uncontrolled_kw)),
            lower_rate_kva: kva(lower.peak_kw(Charging::Uncontrolled)),
        }
    };
    let mut after = load(&all, &lower, &new);
    let mut taken = Vec::new();
    for place in places {
        let Some(planned) = sites.get(*place).and_then(|site| planned(site, lower_rate_a)) else { continue };
        all.add(planned.point, planned.points);
        lower.add(planned.lower, planned.points);
        new.add(planned.point, planned.points);
        after = load(&all, &lower, &new);
        let connected_kw = planned.point.most_kw * f64::from(planned.points);
        taken.push(Taken { place: *place, points: planned.points, connected_kw, after });
    }
    (taken, after)
}
