//! Of which clusters the operator wants to know early (rule R10 of the operators' common process): several planned
//! installations in a close area, even where each by itself would only be notified.

use super::group::{postcode_unit, spot};
use super::place::counts_near;
use super::take::Taken;
use crate::portfolio::Ranked;
use crate::reference::cluster_figures;
use crate::site::Verdict;
use std::collections::BTreeMap;

/// Installations within the distance are counted up to this many.
const MOST_COUNTED: u32 = 999;

/// How many installations are planned close together; the greatest counts that hold for any site of a cluster.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Early {
    /// In one postcode unit, the whole portfolio counted; `None` where no postcode unit is known.
    pub in_postcode: Option<u32>,
    /// Within the distance of neighbours of one of them (999 is that many or more); `None` without coordinates.
    pub nearby: Option<u32>,
    /// As a share of the customers of the feeder; `None` where they are not stated.
    pub of_customers: Option<f64>,
}

impl Early {
    /// Whether enough are planned in one postcode unit.
    pub fn by_postcode(&self) -> bool {
        self.in_postcode.is_some_and(|count| count >= cluster_figures().early_in_postcode)
    }

    /// Whether enough are planned within the distance.
    pub fn by_distance(&self) -> bool {
        self.nearby.is_some_and(|count| count >= cluster_figures().early_nearby)
    }

    /// Whether enough of a feeder's customers are to get one.
    pub fn by_customers(&self) -> bool {
        self.of_customers.is_some_and(|share| share >= cluster_figures().early_of_customers * (1.0 - 1e-9))
    }

    /// Whether any of them calls for an early word with the operator.
    pub fn due(&self) -> bool {
        self.by_postcode() || self.by_distance() || self.by_customers()
    }
}

/// The counts of every planned site, by its place in the ranking.
pub(super) struct Counts {
    in_postcode: BTreeMap<usize, u32>,
    nearby: BTreeMap<usize, u32>,
}

impl Counts {
    /// Counts the planned installations round every planned site: of all sites that are not blocked.
    pub(super) fn of(sites: &[Ranked]) -> Self {
        let planned = || {
            let all = sites.iter().enumerate().map(|(place, site)| (place, &site.judgement));
            all.filter(|(_, judgement)| judgement.counted_verdict() != Verdict::Blocked)
        };
        let mut units: BTreeMap<String, Vec<usize>> = BTreeMap::new();
        for (place, judgement) in planned() {
            if let Some(unit) = postcode_unit(&judgement.brief.postcode) {
                units.entry(unit).or_default().push(place);
            }
        }
        let counted = |places: Vec<usize>| {
            let count = u32::try_from(places.len()).unwrap_or(u32::MAX);
            places.into_iter().map(move |place| (place, count))
        };
        let (places, spots): (Vec<usize>, Vec<_>) =
            planned().filter_map(|(place, judgement)| Some((place, spot(&judgement.brief)?))).unzip();
        let near = counts_near(&spots, cluster_figures().link_distance_m, MOST_COUNTED);
        Self {
            in_postcode: units.into_values().flat_map(counted).collect(),
            nearby: places.into_iter().zip(near).collect(),
        }
    }

    /// The counts of a cluster.
    pub(super) fn early(&self, taken: &[Taken], customers: Option<u32>) -> Early {
        let greatest =
            |counts: &BTreeMap<usize, u32>| taken.iter().filter_map(|taken| counts.get(&taken.place).copied()).max();
        let of_customers = customers.filter(|customers| *customers > 0 && !taken.is_empty());
        Early {
            in_postcode: greatest(&self.in_postcode),
            nearby: greatest(&self.nearby),
            of_customers: of_customers.map(|customers| taken.len() as f64 / f64::from(customers)),
        }
    }
}
