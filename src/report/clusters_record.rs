//! Sites that hang together, as the JSON document holds them.

use super::Run;
use super::cluster_words::{capacity_words, first_over, talk_words};
use super::record::share;
use crate::portfolio::{Cluster, Ranked, SharedPlace, Taken};
use crate::quantity::round_to;
use schemars::JsonSchema;
use serde::Serialize;

/// Sites on one length of the operator's network; loads in kilovolt-amperes.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct ClusterRecord<'a> {
    /// What it is called: the feeder, the postcode, or "near" and one of its sites.
    pub cluster_id: &'a str,
    /// By what its sites were found to hang together.
    #[schemars(extend("enum" = ["feeder", "postcode", "distance"]))]
    pub grouped_by: &'static str,
    /// All its sites, best ranked first.
    pub site_ids: Vec<&'a str>,
    /// Homes among them.
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
    #[schemars(extend("enum" = ["recorded", "customers", "own sites"]))]
    pub base_from: &'static str,
    /// Load before any planned charging, low end.
    pub base_low_kva: Option<f64>,
    /// Load before any planned charging, likely: this counts.
    pub base_likely_kva: Option<f64>,
    /// Load before any planned charging, high end.
    pub base_high_kva: Option<f64>,
    /// Whether the capacity is stated or assumed.
    #[schemars(extend("enum" = ["stated", "assumed"]))]
    pub capacity_from: &'static str,
    /// Where it comes from, in words.
    pub capacity_source: String,
    /// What it can carry, low end.
    pub capacity_low_kva: Option<f64>,
    /// What it can carry, likely: this decides.
    pub capacity_likely_kva: Option<f64>,
    /// What it can carry, high end.
    pub capacity_high_kva: Option<f64>,
    /// With all planned charging.
    #[serde(flatten)]
    pub load: LoadRecord,
    /// The lowest setting, with which `load_lower_rate_kva` is reckoned, amperes a phase.
    pub lower_rate_a: Option<f64>,
    /// Share of the likely capacity that all planned charging would use, uncontrolled, 0 to 1 and more.
    pub capacity_used: Option<f64>,
    /// How full it is.
    #[schemars(extend("enum" = ["room", "nearly full", "full"]))]
    pub flag: &'static str,
    /// Sites served that fit, uncontrolled.
    pub fit: usize,
    /// Sites served that fit when the planned points are controlled as one group.
    pub fit_controlled: usize,
    /// Sites served that fit at the lowest setting.
    pub fit_lower_rate: usize,
    /// The first site that does not fit, uncontrolled.
    pub first_over: Option<&'a str>,
    /// Installations planned in one postcode unit of it.
    pub planned_in_postcode: Option<u32>,
    /// Installations planned close to one of its sites (999 is that many or more).
    pub planned_nearby: Option<u32>,
    /// Installations planned as a share of the feeder's customers.
    pub planned_of_customers: Option<f64>,
    /// Whether the operator wants to know early.
    pub early_contact: bool,
    /// Whom to talk to.
    pub next_step: String,
    /// The sites that get charging, in the order in which they are served.
    pub served: Vec<ServedRecord<'a>>,
}

/// What a cluster takes.
#[derive(Clone, Copy, Debug, Serialize, JsonSchema)]
pub struct LoadRecord {
    /// Every vehicle charges when it is plugged in: this decides what fits.
    pub load_uncontrolled_kva: Option<f64>,
    /// All charging begins with a night tariff.
    pub load_night_tariff_kva: Option<f64>,
    /// The planned points are controlled as one group.
    pub load_controlled_kva: Option<f64>,
    /// The planned points are set no higher than the lowest setting.
    pub load_lower_rate_kva: Option<f64>,
}

/// One site that is served, and what the cluster takes after it.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct ServedRecord<'a> {
    /// Which site.
    pub site_id: &'a str,
    /// Its charge points.
    pub points: u32,
    /// What they could take at once, kilowatts.
    pub connected_kw: Option<f64>,
    /// What the cluster takes once it is served.
    #[serde(flatten)]
    pub load: LoadRecord,
    /// Whether that is within the likely capacity, uncontrolled.
    pub fits: bool,
}

/// A shared car park for a home without a space of its own.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct SharedWithRecord<'a> {
    /// The car park's site.
    pub site_id: &'a str,
    /// How far it is as the crow flies, metres; null where it is only known to be in the same postcode unit.
    pub distance_m: Option<f64>,
    /// Its points that are left once this home and those ranked before it have one.
    pub points_left: u32,
}

fn tenth(value: f64) -> Option<f64> {
    value.is_finite().then(|| round_to(value, 1))
}

impl LoadRecord {
    fn new(load: &crate::portfolio::After) -> Self {
        Self {
            load_uncontrolled_kva: tenth(load.uncontrolled_kva),
            load_night_tariff_kva: tenth(load.night_tariff_kva),
            load_controlled_kva: tenth(load.controlled_kva),
            load_lower_rate_kva: tenth(load.lower_rate_kva),
        }
    }
}

impl<'a> SharedWithRecord<'a> {
    pub(super) fn new(shared: SharedPlace, sites: &'a [Ranked]) -> Option<Self> {
        Some(Self {
            site_id: &sites.get(shared.place)?.judgement.brief.site_id,
            distance_m: shared.distance_m.and_then(|metres| metres.is_finite().then(|| round_to(metres, 0))),
            points_left: shared.points_left,
        })
    }
}

/// The clusters of a run.
pub(super) fn records<'a>(run: &Run<'a>) -> Vec<ClusterRecord<'a>> {
    run.portfolio.clusters.iter().map(|cluster| record(run, cluster)).collect()
}

fn record<'a>(run: &Run<'a>, cluster: &'a Cluster) -> ClusterRecord<'a> {
    let portfolio = run.portfolio;
    let id = |place: &usize| portfolio.sites.get(*place).map(|site| site.judgement.brief.site_id.as_str());
    let served = |taken: &Taken| {
        Some(ServedRecord {
            site_id: id(&taken.place)?,
            points: taken.points,
            connected_kw: tenth(taken.connected_kw),
            load: LoadRecord::new(&taken.after),
            fits: cluster.carries(taken.after.uncontrolled_kva),
        })
    };
    let (base, capacity, early) = (cluster.base_kva, &cluster.capacity, &cluster.early);
    ClusterRecord {
        cluster_id: &cluster.id,
        grouped_by: cluster.grouped.word(),
        site_ids: cluster.sites.iter().filter_map(id).collect(),
        homes: cluster.homes,
        heat_pumps: cluster.heat_pumps,
        customers: cluster.customers,
        points: cluster.points,
        existing_points: cluster.existing_points,
        base_from: cluster.base.word(),
        base_low_kva: tenth(base.low),
        base_likely_kva: tenth(base.likely),
        base_high_kva: tenth(base.high),
        capacity_from: if capacity.stated.is_some() { "stated" } else { "assumed" },
        capacity_source: capacity_words(cluster),
        capacity_low_kva: tenth(capacity.kva.low),
        capacity_likely_kva: tenth(capacity.kva.likely),
        capacity_high_kva: tenth(capacity.kva.high),
        load: LoadRecord::new(&cluster.load),
        lower_rate_a: tenth(cluster.lower_rate_a),
        capacity_used: share(cluster.share()),
        flag: cluster.flag().word(),
        fit: cluster.fit(|after| after.uncontrolled_kva),
        fit_controlled: cluster.fit(|after| after.controlled_kva),
        fit_lower_rate: cluster.fit(|after| after.lower_rate_kva),
        first_over: first_over(run, cluster),
        planned_in_postcode: early.in_postcode,
        planned_nearby: early.nearby,
        planned_of_customers: early.of_customers.and_then(share),
        early_contact: early.due(),
        next_step: talk_words(cluster),
        served: cluster.taken.iter().filter_map(served).collect(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::fixture::Fixture;

    /// Worked by hand from supply notes 4.3. On 60 kVA that are recorded: points of 7.36, 7.2 (no design), 7.36 and
    /// 4.6 kW. Up to three points each takes its rate. Of four each takes 7.2 - 1.2 ln(4/3)/ln(5/3) = 6.524 kW by its
    /// rate, 6.669 at 7.36 kW, 4.6 at most at 4.6: 24.46. At a night tariff all take their rate: 26.52. Controlled, one
    /// takes 7.2 and four 4 x (2.0 - 0.34 x 0.5632) = 7.23. At 16 A the three designed ones take 3.68 each.
    #[test]
    fn a_small_cluster_as_it_is_written() {
        let fixture = Fixture::clustered(8);
        let run = fixture.run();
        let written = serde_json::to_value(records(&run)).expect("JSON");
        let text = r#"{
            "cluster_id": "F1", "grouped_by": "feeder", "site_ids": ["H0200", "H0228", "H0207", "H0235"],
            "homes": 3, "heat_pumps": 0, "customers": 80, "points": 4, "existing_points": 0,
            "base_from": "recorded", "base_low_kva": 60.0, "base_likely_kva": 60.0, "base_high_kva": 60.0,
            "capacity_from": "stated", "capacity_source": "stated: feeders.csv, row 2",
            "capacity_low_kva": 90.0, "capacity_likely_kva": 90.0, "capacity_high_kva": 90.0,
            "load_uncontrolled_kva": 84.5, "load_night_tariff_kva": 86.5, "load_controlled_kva": 67.2,
            "load_lower_rate_kva": 77.6, "lower_rate_a": 16.0, "capacity_used": 0.9385, "flag": "full",
            "fit": 4, "fit_controlled": 4, "fit_lower_rate": 4, "first_over": null,
            "planned_in_postcode": 1, "planned_nearby": null, "planned_of_customers": 0.05, "early_contact": false,
            "next_step": "Ask the network operator for the feeder's headroom before booking.",
            "served": [
                { "site_id": "H0200", "points": 1, "connected_kw": 7.4, "load_uncontrolled_kva": 67.4,
                  "load_night_tariff_kva": 67.4, "load_controlled_kva": 67.2, "load_lower_rate_kva": 63.7, "fits": true },
                { "site_id": "H0228", "points": 1, "connected_kw": 7.2, "load_uncontrolled_kva": 74.6,
                  "load_night_tariff_kva": 74.6, "load_controlled_kva": 67.2, "load_lower_rate_kva": 70.9, "fits": true },
                { "site_id": "H0207", "points": 1, "connected_kw": 7.4, "load_uncontrolled_kva": 81.9,
                  "load_night_tariff_kva": 81.9, "load_controlled_kva": 67.2, "load_lower_rate_kva": 74.6, "fits": true },
                { "site_id": "H0235", "points": 1, "connected_kw": 4.6, "load_uncontrolled_kva": 84.5,
                  "load_night_tariff_kva": 86.5, "load_controlled_kva": 67.2, "load_lower_rate_kva": 77.6, "fits": true }
            ]
        }"#;
        let expected: serde_json::Value = serde_json::from_str(text).expect("JSON");
        assert_eq!(written[0], expected);
    }
}
