//! Sites that hang on one length of the operator's network: what they take together as they are served in rank order,
//! where the capacity ends, and of which clusters the operator wants to know early.
//!
//! It adds and rewrites no judgement. Base load and charging peak are added although they need not fall together, and
//! load is held to be shared evenly over the phases.

mod base;
mod charging;
mod early;
mod group;
#[cfg(test)]
mod many_tests;
mod place;
mod take;
#[cfg(test)]
pub(super) mod tests;

pub use early::Early;
pub use take::{After, Taken};

pub(super) use group::{postcode_unit, spot};
pub(super) use place::Grid;

use super::{Portfolio, Ranked};
use crate::finding::{Effect, Reason, reason};
use crate::quantity::Band;
use crate::reference::{NetworkBand, cluster_figures, network_band};
use crate::rules::Rules;
use crate::site::{Cited, Feeder, Verdict};
use std::collections::BTreeMap;

/// By what sites are held to hang together.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Grouped {
    /// The same feeder is stated.
    Feeder,
    /// The same postcode unit.
    Postcode,
    /// A chain of sites within the distance of neighbours.
    Distance,
}

impl Grouped {
    /// The word of the results.
    pub fn word(self) -> &'static str {
        match self {
            Grouped::Feeder => "feeder",
            Grouped::Postcode => "postcode",
            Grouped::Distance => "distance",
        }
    }
}

/// From what the load before any planned charging was found.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Base {
    /// The peak that was recorded.
    Recorded,
    /// The number of customers that is stated, each after diversity.
    Customers,
    /// The sites of this portfolio alone: how many others there are is not known.
    OwnSites,
}

impl Base {
    /// The word of the results.
    pub fn word(self) -> &'static str {
        match self {
            Base::Recorded => "recorded",
            Base::Customers => "customers",
            Base::OwnSites => "own sites",
        }
    }
}

/// What a cluster's length of network can carry.
#[derive(Clone, Debug, PartialEq)]
pub struct Capacity {
    /// Kilovolt-amperes: the stated figure, or a band of which the likely value decides.
    pub kva: Band,
    /// Where it is stated; `None` where it is assumed.
    pub stated: Option<Cited>,
    /// What is assumed where nothing is stated: by the customers, and no less than carries what is there.
    pub assumed: Option<&'static NetworkBand>,
}

/// How much of the capacity is used.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Flag {
    /// There is room.
    Room,
    /// It is getting full.
    NearlyFull,
    /// It counts as full.
    Full,
}

impl Flag {
    /// The flag of a share of the capacity (supply notes 10).
    pub fn of(share: f64) -> Self {
        let figures = cluster_figures();
        // What is no number is no room.
        match share {
            share if share < figures.nearly_full => Self::Room,
            share if share <= figures.full => Self::NearlyFull,
            _ => Self::Full,
        }
    }

    /// The word of the results.
    pub fn word(self) -> &'static str {
        match self {
            Flag::Room => "room",
            Flag::NearlyFull => "nearly full",
            Flag::Full => "full",
        }
    }
}

/// Sites that hang together, and what they take.
#[derive(Clone, Debug, PartialEq)]
pub struct Cluster {
    /// What it is called: the feeder, the postcode, or "near" and one of its sites.
    pub id: String,
    /// By what its sites were found to hang together.
    pub grouped: Grouped,
    /// Places of all its sites in the ranking, in its order.
    pub sites: Vec<usize>,
    /// Those of them that get charging, in the order in which they are served.
    pub taken: Vec<Taken>,
    /// Homes among its sites.
    pub homes: u32,
    /// Of them, those with a heat pump.
    pub heat_pumps: u32,
    /// Customers on the feeder, where that is stated.
    pub customers: Option<u32>,
    /// Charge points planned.
    pub points: u32,
    /// Charge points that are there.
    pub existing_points: u32,
    /// From what the base load was found.
    pub base: Base,
    /// Load before any planned charging, kilovolt-amperes.
    pub base_kva: Band,
    /// Load with all planned charging, kilovolt-amperes.
    pub load: After,
    /// What it can carry.
    pub capacity: Capacity,
    /// Rate at a lower setting, amperes a phase, with which `After::lower_rate_kva` is reckoned.
    pub lower_rate_a: f64,
    /// Whether the operator wants to know early, with the counts.
    pub early: Early,
}

impl Cluster {
    /// Share of the likely capacity that all planned charging would use, uncontrolled.
    pub fn share(&self) -> f64 {
        self.load.uncontrolled_kva / self.capacity.kva.likely
    }

    /// How full it is with all planned charging, uncontrolled.
    pub fn flag(&self) -> Flag {
        Flag::of(self.share())
    }

    /// Whether a load is within the capacity that decides.
    pub fn carries(&self, kva: f64) -> bool {
        carries(&self.capacity, kva)
    }

    /// How many of the sites served fit when `load` is what counts.
    pub fn fit(&self, load: fn(&After) -> f64) -> usize {
        self.taken.iter().take_while(|taken| self.carries(load(&taken.after))).count()
    }

    /// The place in the ranking of the first site that does not fit; `None` where all do.
    pub fn first_over(&self) -> Option<usize> {
        self.taken.get(self.fit(|after| after.uncontrolled_kva)).map(|taken| taken.place)
    }
}

/// Whether a load is within the likely capacity; a hair of rounding is none.
fn carries(capacity: &Capacity, kva: f64) -> bool {
    kva <= capacity.kva.likely * (1.0 + 1e-9)
}

/// What is known of a cluster's length of network.
#[derive(Clone, Debug, Default)]
struct Known {
    id: String,
    capacity_kva: Option<f64>,
    recorded_peak_kva: Option<f64>,
    customers: Option<u32>,
    cell: Option<Cited>,
}

/// A feeder's key as it is compared: case and blanks aside.
fn feeder_key(written: &str) -> String {
    written.split_whitespace().collect::<Vec<_>>().join(" ").to_lowercase()
}

/// The feeders by key. Of several lines of one feeder each figure on the safe side counts.
fn known(feeders: &[Feeder]) -> BTreeMap<String, Known> {
    let figure = |kva: Option<f64>| kva.filter(|kva| kva.is_finite() && *kva > 0.0);
    let mut known: BTreeMap<String, Known> = BTreeMap::new();
    for feeder in feeders {
        let entry = known.entry(feeder_key(&feeder.feeder_id)).or_default();
        if entry.id.is_empty() {
            entry.id = feeder.feeder_id.trim().to_owned();
        }
        if let Some(kva) = figure(feeder.capacity_kva).filter(|kva| entry.capacity_kva.is_none_or(|least| *kva < least))
        {
            (entry.capacity_kva, entry.cell) = (Some(kva), Some(feeder.cell.clone()));
        }
        let peak = figure(feeder.recorded_peak_kva);
        entry.recorded_peak_kva = peak.into_iter().chain(entry.recorded_peak_kva).reduce(f64::max);
        entry.customers = entry.customers.max(feeder.customers.filter(|customers| *customers > 0));
    }
    known
}

/// The reason of a site that fits alone but not with those ranked before it.
pub fn over_capacity() -> &'static Reason {
    reason("neighbours-over-capacity")
}

/// Lays sites beside their neighbours: clusters with their load, the verdict of each site once those ranked before it
/// are served, and a shared car park for homes that have no space of their own.
pub fn together(portfolio: Portfolio, feeders: &[Feeder], rules: &Rules) -> Portfolio {
    let Portfolio { mut sites, summary, .. } = portfolio;
    let clusters = clusters(&sites, feeders, rules);
    let not_fitting = match rules.effect_of(over_capacity()) {
        Effect::Stops => Verdict::Blocked,
        Effect::Holds => Verdict::Marginal,
        Effect::Step | Effect::Note | Effect::None => Verdict::Ready,
    };
    for cluster in &clusters {
        let served = cluster.fit(|after| after.uncontrolled_kva);
        for place in &cluster.sites {
            let Some(site) = sites.get_mut(*place) else { continue };
            site.cluster_id = Some(cluster.id.clone());
            site.with_neighbours = (cluster.sites.len() > 1).then(|| site.judgement.counted_verdict());
        }
        for taken in cluster.taken.iter().skip(served) {
            let Some(site) = sites.get_mut(taken.place) else { continue };
            site.over_capacity = cluster.sites.len() > 1;
            // The worse of the two: verdicts are ordered from the best.
            site.with_neighbours = site.with_neighbours.map(|alone| alone.max(not_fitting));
        }
    }
    super::nearby::share(&mut sites);
    Portfolio { sites, summary, clusters }
}

/// The clusters, greatest load first: groups of two sites or more, and single sites whose feeder is stated or of which
/// the operator wants to know early.
fn clusters(sites: &[Ranked], feeders: &[Feeder], rules: &Rules) -> Vec<Cluster> {
    let known = known(feeders);
    let counts = early::Counts::of(sites);
    let groups = group::groups(sites).into_iter();
    let mut clusters: Vec<Cluster> = groups
        .filter_map(|group| {
            let stated = known.get(&group.key).filter(|_| group.by == Grouped::Feeder);
            let none = Known::default();
            let cluster = cluster(sites, group, stated.unwrap_or(&none), &counts, rules);
            (cluster.sites.len() > 1 || stated.is_some() || cluster.early.due()).then_some(cluster)
        })
        .collect();
    // Stable: clusters that take as much stay in the order of feeders, postcodes, first sites.
    clusters.sort_by(|one, two| two.load.uncontrolled_kva.total_cmp(&one.load.uncontrolled_kva));
    clusters
}

fn cluster(all: &[Ranked], group: group::Group, known: &Known, counts: &early::Counts, rules: &Rules) -> Cluster {
    let sites: Vec<&Ranked> = group.places.iter().filter_map(|place| all.get(*place)).collect();
    let existing = base::existing(&sites, known);
    let lower_rate_a = rules.charging.setting_steps_a.iter().copied().fold(f64::INFINITY, f64::min);
    let (taken, load) = take::take(all, &group.places, &existing, lower_rate_a);
    let capacity = match known.capacity_kva {
        Some(kva) => Capacity { kva: Band::exact(kva), stated: known.cell.clone(), assumed: None },
        None => {
            let band = network_band(known.customers, existing.kva.likely);
            Capacity { kva: band.capacity_kva, stated: None, assumed: Some(band) }
        }
    };
    Cluster {
        id: if known.id.is_empty() { group.id } else { known.id.clone() },
        grouped: group.by,
        homes: existing.homes,
        heat_pumps: existing.heat_pumps,
        customers: known.customers,
        points: taken.iter().map(|taken| taken.points).sum(),
        existing_points: existing.point_count,
        base: existing.base,
        base_kva: existing.kva,
        early: counts.early(&taken, known.customers),
        sites: group.places,
        taken,
        load,
        capacity,
        lower_rate_a,
    }
}
