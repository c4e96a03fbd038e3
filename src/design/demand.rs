//! Existing demand on the worst phase, and what fits beside it.

use crate::quantity::{Band, existing_kw_to_amps, kva_to_amps};
use crate::reference::household_band;
use crate::rules::Rules;
use crate::site::{DemandMethod, Site};

/// How the figure of existing demand came about; this decides its band and what it may do to a verdict.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DemandOrigin {
    /// Logged or metered.
    Measured,
    /// Half-hour readings: a recorded peak.
    HalfHour,
    /// By diversity factors.
    Calculated,
    /// By eye, or the method is not stated.
    Estimated,
    /// Nobody gave a figure: a table or a share of the capacity stands in.
    Assumed,
}

/// Existing demand on the worst phase, amperes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Demand {
    /// L, E and H against cut-out and tails.
    pub band_a: Band,
    /// L, E and H against agreed capacity, itself a half-hour figure: no band on half-hour readings.
    pub against_capacity_a: Band,
    /// Where it comes from.
    pub origin: DemandOrigin,
}

impl Demand {
    /// Whether the figure counts as measured (a measured or half-hour figure proves itself).
    pub fn is_measured(&self) -> bool {
        matches!(self.origin, DemandOrigin::Measured | DemandOrigin::HalfHour)
    }
}

/// Existing demand of a site: stated amperes, else kilowatts, else recorded peak, else a table or a share of capacity.
pub(super) fn existing_demand(
    site: &Site,
    supply_phases: u8,
    capacity_a: Option<f64>,
    cutout_a: f64,
    rules: &Rules,
    note: &mut dyn FnMut(&'static str, String, &'static str),
) -> Demand {
    let spread = |ends: (&f64, &f64, &f64), shares: [f64; 2], to_amps: &dyn Fn(f64) -> f64| {
        Band::new(to_amps(*ends.0) * shares[0], to_amps(*ends.1), to_amps(*ends.2) * shares[1])
    };
    let (shares, origin) = match site.load.demand_method.value() {
        Some(DemandMethod::Measured) => (rules.demand.measured, DemandOrigin::Measured),
        Some(DemandMethod::Calculated) => (rules.demand.calculated, DemandOrigin::Calculated),
        Some(DemandMethod::Estimated) => (rules.demand.estimated, DemandOrigin::Estimated),
        None => (rules.demand.not_stated, DemandOrigin::Estimated),
    };
    let recorded = site.supply.recorded_peak_kva.ends();
    let recorded_a = recorded.map(|ends| spread(ends, [1.0, 1.0], &|kva| kva_to_amps(kva, supply_phases)));
    let stated = match (site.load.existing_demand_a.ends(), site.load.existing_demand_kw.ends()) {
        (Some(amps), _) => Some(spread(amps, shares, &|amps| amps)),
        (None, Some(kw)) => Some(spread(kw, shares, &|kw| existing_kw_to_amps(kw, supply_phases))),
        (None, None) => None,
    };
    let there_a = points_there_a(site, supply_phases, rules);
    match (stated, recorded_a) {
        (Some(band_a), recorded_a) => {
            // A stated figure is that of everything there, charge points among it; the finding on points already there
            // reckons their ratings beside it.
            Demand { band_a, against_capacity_a: recorded_a.unwrap_or(band_a), origin }
        }
        (None, Some(peak_a)) => {
            let [low, high] = rules.demand.half_hour;
            let band_a = Band::new(peak_a.low * low, peak_a.likely, peak_a.high * high);
            Demand { band_a, against_capacity_a: peak_a, origin: DemandOrigin::HalfHour }
        }
        (None, None) => {
            let band_a = unstated(site, capacity_a, cutout_a, there_a, rules, note);
            Demand { band_a, against_capacity_a: band_a, origin: DemandOrigin::Assumed }
        }
    }
}

/// Current of the charge points already there on the worst phase, amperes, ratings not surveyed.
pub(super) fn points_there_a(site: &Site, supply_phases: u8, rules: &Rules) -> f64 {
    let count = site.load.existing_charge_points.ends().map_or(0.0, |(_, _, high)| high.max(0.0).ceil());
    rules.demand.existing_point_a * (count / f64::from(supply_phases.max(1))).ceil()
}

fn unstated(
    site: &Site,
    capacity_a: Option<f64>,
    cutout_a: f64,
    there_a: f64,
    rules: &Rules,
    note: &mut dyn FnMut(&'static str, String, &'static str),
) -> Band {
    let show = |band: Band| format!("{:.0} A ({:.0} to {:.0})", band.likely, band.low, band.high);
    if site.is_home() {
        let heating = site.load.heating.value().map_or("unknown", |heating| heating.word());
        let shower = site.load.shower_kw.value().map(|kw| kw > 0.0);
        let line = household_band(heating, shower);
        // The band is a paper figure; the low end allows what a calculated figure does.
        let band = Band::new(line.demand_a.low * rules.demand.calculated[0], line.demand_a.likely, line.demand_a.high);
        note("existing_demand_a", show(band), line.source);
        if there_a <= 0.0 {
            return band;
        }
        let why = "not in the band of such a home: added to its demand";
        note("existing_charge_points", format!("{there_a} A a phase"), why);
        Band::new(band.low, band.likely + there_a, band.high + there_a)
    } else {
        let [low, likely, high] = rules.demand.peak_share_of_capacity;
        let whole = capacity_a.map_or(cutout_a, |capacity_a| capacity_a.min(cutout_a));
        let band = Band::new(whole * low, whole * likely, whole * high);
        note("existing_demand_a", show(band), "recorded peak not known: share of capacity (survey practice)");
        band
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::default_rules;
    use crate::site::Reading;

    fn demand_of(site: &Site) -> Demand {
        existing_demand(site, 1, None, 100.0, default_rules(), &mut |_, _, _| {})
    }

    #[test]
    fn each_method_has_its_band() {
        let mut site = Site::default();
        site.load.existing_demand_a = Reading::of(50.0);
        for (method, low, high) in [
            (Some(DemandMethod::Measured), 45.0, 55.0),
            (Some(DemandMethod::Calculated), 30.0, 50.0),
            (Some(DemandMethod::Estimated), 35.0, 65.0),
            (None, 35.0, 65.0),
        ] {
            site.load.demand_method = method.map(Reading::of).unwrap_or_default();
            let band = demand_of(&site).band_a;
            assert!((band.low - low).abs() < 1e-9 && (band.high - high).abs() < 1e-9, "{method:?}: {band:?}");
        }
    }

    #[test]
    fn a_recorded_peak_has_no_band_against_capacity() {
        let mut site = Site::default();
        site.supply.recorded_peak_kva = Reading::of(11.5);
        let demand = demand_of(&site);
        assert_eq!(demand.origin, DemandOrigin::HalfHour);
        assert!((demand.against_capacity_a.high - 50.0).abs() < 1e-9);
        assert!((demand.band_a.high - 60.0).abs() < 1e-9);
    }

    #[test]
    fn a_home_without_a_figure_takes_the_band_of_its_heating() {
        let mut site = Site::default();
        site.load.heating = Reading::of(crate::site::Heating::Gas);
        site.load.shower_kw = Reading::of(0.0);
        let demand = demand_of(&site);
        assert_eq!(demand.band_a.high, 45.0);
        assert_eq!(demand.origin, DemandOrigin::Assumed);
    }
}
