//! A shared car park of the same portfolio for homes that have no space of their own: the nearest that has points left.
//!
//! A way out that no judgement of one site can see. It adds to the ranking and rewrites nothing.

#[cfg(test)]
mod tests;

use super::clusters::{Grid, postcode_unit, spot};
use super::rank::points_served;
use super::{Ranked, SharedPlace};
use crate::reference::cluster_figures;
use crate::site::{ParkingType, Premises, Verdict};
use std::collections::BTreeMap;

/// Reason of a home that has no space.
const NO_SPACE: &str = "no-parking";

/// Gives each home without a space, in rank order, the nearest car park within a walk that has a point left; where
/// that is not known from coordinates, the best ranked one of its postcode unit.
pub(super) fn share(sites: &mut [Ranked]) {
    let mut left: BTreeMap<usize, u32> = BTreeMap::new();
    let mut grid = Grid::new(cluster_figures().walk_m);
    let mut units: BTreeMap<String, Vec<usize>> = BTreeMap::new();
    for (place, site) in sites.iter().enumerate() {
        let Some(points) = points_to_share(site) else { continue };
        left.insert(place, points);
        if let Some(spot) = spot(&site.judgement.brief) {
            grid.put(spot, place);
        }
        if let Some(unit) = postcode_unit(&site.judgement.brief.postcode) {
            units.entry(unit).or_default().push(place);
        }
    }
    if left.is_empty() {
        return;
    }
    let mut shared: Vec<(usize, SharedPlace)> = Vec::new();
    for (home, site) in sites.iter().enumerate().filter(|(_, site)| has_no_space(site)) {
        let brief = &site.judgement.brief;
        let spot = spot(brief);
        let free = |place: &usize| left.get(place).is_some_and(|points| *points > 0);
        let by_distance = spot.and_then(|spot| {
            let near = grid.near(spot).filter(|(_, place)| free(place));
            // Of two as near the better ranked.
            near.min_by(|(one, a), (two, b)| one.total_cmp(two).then(a.cmp(b)))
        });
        let unit = postcode_unit(&brief.postcode).and_then(|unit| units.get(&unit));
        let in_unit = || unit?.iter().copied().find(free);
        let found = by_distance.map(|(distance_m, place)| (place, Some(distance_m)));
        let Some((place, distance_m)) = found.or_else(|| in_unit().map(|place| (place, None))) else { continue };
        if let Some(points) = left.get_mut(&place) {
            *points -= 1;
            shared.push((home, SharedPlace { place, distance_m, points_left: *points }));
        }
    }
    for (home, place) in shared {
        if let Some(site) = sites.get_mut(home) {
            site.shared_with = Some(place);
        }
    }
}

/// Whether a site is a home that has no space of its own and so gets no charging.
fn has_no_space(site: &Ranked) -> bool {
    let judgement = &site.judgement;
    judgement.brief.premises.is_some_and(Premises::is_home)
        && judgement.counted_verdict() != Verdict::Ready
        && judgement.reasons.iter().any(|reason| reason.code == NO_SPACE)
}

/// The points that a shared car park serves; `None` for what is none or is blocked. A home's own bay among communal ones
/// has one point and is nobody else's.
fn points_to_share(site: &Ranked) -> Option<u32> {
    let judgement = &site.judgement;
    let chosen = judgement.chosen.as_ref().filter(|_| judgement.counted_verdict() != Verdict::Blocked)?;
    let points = points_served(chosen);
    let shared = match judgement.brief.premises? {
        Premises::Block | Premises::Workplace => points > 0,
        Premises::House | Premises::Flat | Premises::Depot => {
            judgement.brief.parking_type == Some(ParkingType::Communal) && points > 1
        }
    };
    shared.then_some(points)
}
