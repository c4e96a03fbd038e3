//! Doubts that the homes of one street and age share: how many sites will prove ready, and which to visit.
//!
//! Whether a site proves ready is a variable of 0 or 1 with the chance of its odds. Homes of one postcode and age share
//! part of what is not known about them: a fact's alternatives have a rate of their own in each street, spread about the
//! weights of the table as a Dirichlet variable is, with the correlation that `shared_doubts.csv` gives (the rates of an
//! urn in which each home that is looked at counts as one draw). Means, variances and covariances follow in closed form.
//!
//! Homes of a street that were looked at speak for its others here, and nowhere else: no row's odds hear of them.

mod band;
mod visits;

pub use band::LikelyReady;
pub use visits::{Visit, visits};

pub(super) use band::likely_ready;

use super::Ranked;
use crate::reference::shared_doubt;
use crate::site::Verdict;
use std::collections::BTreeMap;

/// A site as a 0-or-1 variable.
#[derive(Clone, Debug)]
struct Site {
    /// Its place among the sites.
    place: usize,
    /// Chance that it proves ready, its street's visited homes heard.
    ready: f64,
    /// Per shared fact: the chance that it proves ready for each alternative.
    given: BTreeMap<Fact, Vec<f64>>,
}

/// A shared fact under one condition.
type Fact = (&'static str, &'static str);

/// Homes of one postcode and age, or a site by itself.
#[derive(Clone, Debug, Default)]
struct Street {
    sites: Vec<Site>,
    /// Per shared fact: the rate of each alternative, and the correlation that is left, the visited homes heard.
    rates: BTreeMap<Fact, (Vec<f64>, f64)>,
}

impl Street {
    /// Covariance of two of its sites (variance for one and the same).
    fn covariance(&self, one: usize, other: usize) -> f64 {
        let Some((a, b)) = self.sites.get(one).zip(self.sites.get(other)) else {
            return 0.0;
        };
        if one == other {
            return a.ready * (1.0 - a.ready);
        }
        let shared = self.rates.iter().map(|(fact, (rates, correlation))| {
            let Some((given_a, given_b)) = a.given.get(fact).zip(b.given.get(fact)) else {
                return 0.0;
            };
            let mean = |given: &[f64]| -> f64 { rates.iter().zip(given).map(|(rate, ready)| rate * ready).sum() };
            let together: f64 = rates.iter().zip(given_a.iter().zip(given_b)).map(|(rate, (a, b))| rate * a * b).sum();
            correlation * (together - mean(given_a) * mean(given_b))
        });
        // Two variables of 0 or 1 cannot vary together more than each by itself.
        let most = (a.ready * (1.0 - a.ready) * b.ready * (1.0 - b.ready)).sqrt();
        shared.sum::<f64>().clamp(-most, most)
    }
}

/// The streets of some sites, in the order of postcode and age; sites without a postcode stand by themselves.
fn streets(sites: &[Ranked], among: &dyn Fn(&Ranked) -> bool) -> Vec<Street> {
    let mut groups: BTreeMap<(String, &'static str, usize), Vec<usize>> = BTreeMap::new();
    for (place, site) in sites.iter().enumerate().filter(|(_, site)| among(site)) {
        let postcode = &site.judgement.brief.postcode;
        let age = site.judgement.outlook.as_ref().map_or("", |outlook| outlook.age());
        let alone = if postcode.is_empty() { place + 1 } else { 0 };
        groups.entry((postcode.clone(), age, alone)).or_default().push(place);
    }
    groups.into_values().map(|places| street(sites, &places)).collect()
}

fn street(sites: &[Ranked], places: &[usize]) -> Street {
    let mut told: BTreeMap<(&'static str, &'static str), f64> = BTreeMap::new();
    let outlooks = || places.iter().filter_map(|place| sites.get(*place)?.judgement.outlook.as_ref());
    for (field, value) in outlooks().flat_map(|outlook| outlook.told()) {
        *told.entry((*field, *value)).or_default() += 1.0;
    }
    let mut street = Street::default();
    for place in places {
        let Some(site) = sites.get(*place) else { continue };
        let judgement = &site.judgement;
        // An engineer's word is no chance.
        let settled = judgement.brief.override_verdict.map(|verdict| f64::from(u8::from(verdict == Verdict::Ready)));
        let (Some(outlook), None) = (&judgement.outlook, settled) else {
            let ready = settled.or(judgement.odds.map(|odds| odds.ready)).unwrap_or_default();
            street.sites.push(Site { place: *place, ready, given: BTreeMap::new() });
            continue;
        };
        let mut ready = outlook.odds().ready;
        let mut given_all = BTreeMap::new();
        for (index, open) in outlook.open_facts().iter().enumerate() {
            let correlation = shared_doubt(open.field);
            if correlation <= 0.0 || places.len() < 2 {
                continue;
            }
            let given: Vec<f64> = (0..open.count()).map(|value| outlook.odds_where(&[(index, value)]).ready).collect();
            let chances: Vec<f64> = (0..open.count()).map(|value| outlook.chance(index, value)).collect();
            let (rates, _) = street.rates.entry((open.field, open.when)).or_insert_with(|| {
                let seen: Vec<f64> = (0..open.count())
                    .map(|value| told.get(&(open.field, open.value(value))).copied().unwrap_or_default())
                    .collect();
                heard(&chances, &seen, correlation)
            });
            let moved = rates.iter().zip(&chances).zip(&given).map(|((rate, chance), ready)| (rate - chance) * ready);
            ready += moved.sum::<f64>();
            given_all.insert((open.field, open.when), given);
        }
        street.sites.push(Site { place: *place, ready: ready.clamp(0.0, 1.0), given: given_all });
    }
    street
}

/// Rates of a street in which so many homes were seen to have each alternative, and the correlation left between the
/// others: an urn of `1 / correlation - 1` balls with the table's weights, and one for each home seen.
fn heard(chances: &[f64], seen: &[f64], correlation: f64) -> (Vec<f64>, f64) {
    let balls = 1.0 / correlation.max(1e-9) - 1.0;
    let all_seen: f64 = seen.iter().sum();
    let rate = |(chance, seen): (&f64, &f64)| {
        if balls + all_seen > 0.0 { (balls * chance + seen) / (balls + all_seen) } else { *chance }
    };
    (chances.iter().zip(seen).map(rate).collect(), 1.0 / (balls + all_seen + 1.0))
}
