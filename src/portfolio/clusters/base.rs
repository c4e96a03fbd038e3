//! What a cluster takes before any planned charging: the recorded peak, or its customers after diversity.

use super::charging::{Point, Points};
use super::{Base, Known};
use crate::portfolio::Ranked;
use crate::quantity::{Band, EXISTING_LOAD_POWER_FACTOR, charging_kw};
use crate::reference::{HomeSize, heat_pump_kw_after_diversity, home_kw_after_diversity, tabulated_point_kw};
use crate::site::Premises;
use crate::verdict::{Judgement, SiteBrief};

/// Phases of a supply that is no home's where the survey does not say: the more, the greater its load.
const PHASES_OF_A_LARGER_SUPPLY: u8 = 3;

/// What a cluster takes without planned charging.
pub(super) struct Existing {
    /// Load, kilovolt-amperes.
    pub(super) kva: Band,
    /// From what.
    pub(super) base: Base,
    /// Its homes in this portfolio.
    pub(super) homes: u32,
    /// Of them, those with a heat pump.
    pub(super) heat_pumps: u32,
    /// Charge points that are there and whose load is not in `kva`.
    pub(super) points: Points,
    /// All charge points that are there.
    pub(super) point_count: u32,
}

/// The load of the sites of a cluster and, where the number of customers is stated, of the others.
///
/// A recorded peak stands as it is: charge points that are there were there. Without one every home counts with its
/// load after diversity, every heat pump with its own on top, and any other site with its whole demand. Customers who
/// are in no row count as homes of which nothing is known, and a site then counts for no less than one of them, so that
/// a further row never lowers the load.
pub(super) fn existing(sites: &[&Ranked], known: &Known) -> Existing {
    let briefs = || sites.iter().map(|site| &site.judgement.brief);
    let count = |which: &dyn Fn(&SiteBrief) -> bool| u32::try_from(briefs().filter(|brief| which(brief)).count());
    let homes = count(&is_home).unwrap_or(u32::MAX);
    let heat_pumps = count(&|brief| is_home(brief) && brief.heat_pump).unwrap_or(u32::MAX);
    let stated =
        |brief: &SiteBrief| brief.existing_charge_points.map_or(0, |points| points.clamp(0.0, 1e6).ceil() as u32);
    let point_count = briefs().map(stated).fold(0, u32::saturating_add);
    let mut points = Points::default();
    if let Some(kva) = known.recorded_peak_kva {
        return Existing { kva: Band::exact(kva), base: Base::Recorded, homes, heat_pumps, points, point_count };
    }
    // The demand of a site that is no home has its charge points in it.
    points.add(Point::of_kw(tabulated_point_kw()), briefs().filter(|brief| is_home(brief)).map(stated).sum());
    let of_unknown = in_kva(home_kw_after_diversity("", HomeSize::Medium));
    let others = known.customers.map(|customers| f64::from(customers) - sites.len() as f64);
    let least = if others.is_some() { of_unknown } else { Band::default() };
    let of_sites: Band = sites.iter().map(|site| at_least(of_site(&site.judgement), least)).sum();
    let of_others = of_unknown.scaled(others.unwrap_or_default().max(0.0));
    let base = if others.is_some() { Base::Customers } else { Base::OwnSites };
    Existing { kva: of_sites.plus(of_others), base, homes, heat_pumps, points, point_count }
}

fn is_home(brief: &SiteBrief) -> bool {
    brief.premises.is_none_or(Premises::is_home)
}

fn in_kva(kw: Band) -> Band {
    kw.scaled(1.0 / EXISTING_LOAD_POWER_FACTOR)
}

fn at_least(band: Band, least: Band) -> Band {
    Band::new(band.low.max(least.low), band.likely.max(least.likely), band.high.max(least.high))
}

/// One site's share of the load, kilovolt-amperes.
fn of_site(judgement: &Judgement) -> Band {
    let brief = &judgement.brief;
    if is_home(brief) {
        let size = HomeSize::of(brief.premises == Some(Premises::Flat), brief.bedrooms);
        let home = home_kw_after_diversity(brief.heating.map_or("", |heating| heating.word()), size);
        let pump = if brief.heat_pump { heat_pump_kw_after_diversity() } else { Band::default() };
        return in_kva(home.plus(pump));
    }
    let of_supply = brief.supply_phases.map(|phases| if phases > 1.0 { PHASES_OF_A_LARGER_SUPPLY } else { 1 });
    let phases = judgement.chosen.as_ref().map(|chosen| chosen.supply_phases).or(of_supply);
    // Amperes at 230 V are kilovolt-amperes whatever the power factor.
    judgement.existing_demand_a.scaled(charging_kw(1.0, phases.unwrap_or(PHASES_OF_A_LARGER_SUPPLY)))
}
