//! Which sites to visit: those whose inspection narrows the count of ready sites and their price most.

use super::{Ranked, Street, streets};

/// A site worth visiting, in the order in which the visits narrow most.
#[derive(Clone, Debug, PartialEq)]
pub struct Visit {
    /// Its place among the ranked sites.
    pub place: usize,
    /// Chance that it proves ready, as the street's visited homes let expect.
    pub ready: f64,
    /// Part of the variance of the count of ready sites that the visit takes away, of what there was before any.
    pub count_share: f64,
    /// The same of the price of the sites that prove ready.
    pub price_share: f64,
    /// Other homes of its street and age about which it tells something.
    pub speaks_for: u32,
}

/// Covariances of one street's sites as visits take doubt away.
struct Left {
    street: Street,
    prices: Vec<f64>,
    /// Row by row.
    covariance: Vec<Vec<f64>>,
}

impl Left {
    fn new(street: Street, sites: &[Ranked]) -> Self {
        let count = street.sites.len();
        let price = |place: usize| {
            let estimate = sites.get(place).and_then(|site| site.judgement.estimate.as_ref());
            estimate.map_or(0.0, |estimate| estimate.cost.likely.pounds())
        };
        let prices = street.sites.iter().map(|site| price(site.place)).collect();
        let covariance =
            (0..count).map(|one| (0..count).map(|other| street.covariance(one, other)).collect()).collect();
        Self { street, prices, covariance }
    }

    /// Variance of the count and of the price.
    fn variances(&self) -> (f64, f64) {
        let (mut of_count, mut of_price) = (0.0, 0.0);
        for (row, price) in self.covariance.iter().zip(&self.prices) {
            of_count += row.iter().sum::<f64>();
            of_price += price * row.iter().zip(&self.prices).map(|(c, price)| c * price).sum::<f64>();
        }
        (of_count, of_price)
    }

    /// What a visit to one site takes away of both.
    fn gain(&self, one: usize) -> (f64, f64) {
        let Some(row) = self.covariance.get(one) else { return (0.0, 0.0) };
        let own = row.get(one).copied().unwrap_or_default();
        if own <= 1e-12 {
            return (0.0, 0.0);
        }
        let with_all: f64 = row.iter().sum();
        let with_prices: f64 = row.iter().zip(&self.prices).map(|(c, price)| c * price).sum();
        (with_all * with_all / own, with_prices * with_prices / own)
    }

    /// The visit is made: what is left of the covariances (as of normal variables, one of them now known).
    fn visit(&mut self, one: usize) {
        let Some(row) = self.covariance.get(one).cloned() else { return };
        let own = row.get(one).copied().unwrap_or_default();
        if own <= 1e-12 {
            return;
        }
        for (line, with_one) in self.covariance.iter_mut().zip(&row) {
            for (cell, with_other) in line.iter_mut().zip(&row) {
                *cell -= with_one * with_other / own;
            }
        }
    }
}

/// At most `count` sites to visit, each the one that narrows most after those before it: count of ready sites and price
/// weigh the same. Sites about which nothing is open are not among them.
pub fn visits(sites: &[Ranked], count: usize) -> Vec<Visit> {
    if count == 0 {
        return Vec::new();
    }
    let mut left: Vec<Left> = streets(sites, &|_| true).into_iter().map(|street| Left::new(street, sites)).collect();
    let (all_count, all_price) = left.iter().map(Left::variances).fold((0.0, 0.0), |a, b| (a.0 + b.0, a.1 + b.1));
    let share = |part: f64, whole: f64| if whole > 0.0 { part / whole } else { 0.0 };
    let best_of = |left: &Left| -> Option<(f64, usize)> {
        let worth = |one: usize| {
            let (of_count, of_price) = left.gain(one);
            share(of_count, all_count) + share(of_price, all_price)
        };
        let all = (0..left.street.sites.len()).map(|one| (worth(one), one)).filter(|(worth, _)| *worth > 0.0);
        // The first of equals: sites stand in the order of the ranking.
        all.fold(
            None,
            |best: Option<(f64, usize)>, next| if best.is_none_or(|best| next.0 > best.0) { Some(next) } else { best },
        )
    };
    let mut best: Vec<Option<(f64, usize)>> = left.iter().map(best_of).collect();
    let mut visits = Vec::with_capacity(count.min(sites.len()));
    while visits.len() < count {
        let mut next: Option<(usize, (f64, usize))> = None;
        for (place, found) in best.iter().enumerate() {
            if let Some(found) = found.filter(|found| next.is_none_or(|(_, most)| found.0 > most.0)) {
                next = Some((place, found));
            }
        }
        let Some((street, (_, one))) = next else { break };
        let Some((here, slot)) = left.get_mut(street).zip(best.get_mut(street)) else { break };
        let (of_count, of_price) = here.gain(one);
        let speaks_for = here.covariance.get(one).map_or(0, |row| row.iter().filter(|c| c.abs() > 1e-9).count());
        if let Some(site) = here.street.sites.get(one) {
            visits.push(Visit {
                place: site.place,
                ready: site.ready,
                count_share: share(of_count, all_count),
                price_share: share(of_price, all_price),
                speaks_for: speaks_for.saturating_sub(1) as u32,
            });
        }
        here.visit(one);
        *slot = best_of(here);
    }
    visits
}
