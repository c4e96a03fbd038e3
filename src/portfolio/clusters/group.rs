//! Which sites hang together: by the feeder that is stated, else by postcode unit, else by distance. It knows no load.

use super::place::{Spot, chains};
use super::{Grouped, feeder_key};
use crate::portfolio::Ranked;
use crate::reference::cluster_figures;
use crate::verdict::SiteBrief;
use std::collections::BTreeMap;

/// Sites that hang together, before anything is said of them.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Group {
    /// By what.
    pub(super) by: Grouped,
    /// As it is called: the feeder, the postcode, or "near" and the first site by its key.
    pub(super) id: String,
    /// By what it is found: the feeder's key, or its postcode without blanks; empty for a group by distance.
    pub(super) key: String,
    /// Places of its sites in the ranking, in its order.
    pub(super) places: Vec<usize>,
}

/// The postcode unit of a site without blanks; `None` where only a part of a postcode is known.
pub(in crate::portfolio) fn postcode_unit(postcode: &str) -> Option<String> {
    let code: String = postcode.chars().filter(|sign| !sign.is_whitespace()).collect::<String>().to_ascii_uppercase();
    let inward = code.len().checked_sub(3).and_then(|at| code.get(at..))?;
    let mut signs = inward.bytes();
    let whole = signs.next().is_some_and(|sign| sign.is_ascii_digit()) && signs.all(|sign| sign.is_ascii_uppercase());
    (whole && code.is_ascii() && (5..=7).contains(&code.len())).then_some(code)
}

/// Where a site lies.
pub(in crate::portfolio) fn spot(brief: &SiteBrief) -> Option<Spot> {
    Spot::of(brief.latitude, brief.longitude)
}

/// Every site in one group, those that nothing tells anything of each in its own; in the order of feeders, postcodes,
/// first sites.
pub(super) fn groups(sites: &[Ranked]) -> Vec<Group> {
    let mut groups: BTreeMap<(Grouped, String), Group> = BTreeMap::new();
    let mut put = |by: Grouped, (key, id): (&str, &str), sorted: String, place: usize| {
        let none = Group { by, id: id.to_owned(), key: key.to_owned(), places: Vec::new() };
        groups.entry((by, sorted)).or_insert(none).places.push(place);
    };
    let (mut loose, mut spots) = (Vec::new(), Vec::new());
    for (place, site) in sites.iter().enumerate() {
        let brief = &site.judgement.brief;
        let feeder = feeder_key(&brief.feeder_id);
        if !feeder.is_empty() {
            put(Grouped::Feeder, (&feeder, brief.feeder_id.trim()), feeder.clone(), place);
        } else if let Some(unit) = postcode_unit(&brief.postcode) {
            put(Grouped::Postcode, (&unit, brief.postcode.trim()), unit.clone(), place);
        } else if let Some(spot) = spot(brief) {
            loose.push(place);
            spots.push(spot);
        }
    }
    let id = |place: usize| sites.get(place).map_or("", |site| site.judgement.brief.site_id.as_str());
    let mut by_chain: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for (place, chain) in loose.iter().zip(chains(&spots, cluster_figures().link_distance_m)) {
        by_chain.entry(chain).or_default().push(*place);
    }
    for places in by_chain.into_values() {
        let named = places.iter().map(|place| id(*place)).min().unwrap_or_default();
        let called = format!("near {named}");
        for place in &places {
            put(Grouped::Distance, ("", &called), named.to_owned(), *place);
        }
    }
    groups.into_values().collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_a_whole_postcode_is_a_unit() {
        assert_eq!(postcode_unit("zz1 2qd").as_deref(), Some("ZZ12QD"));
        assert_eq!(postcode_unit("ZZ12QD"), postcode_unit(" zz1  2QD "));
        for part in ["", "ZZ1", "ZZ12", "ZZ1 2", "ZZ1 2Q", "ZZ1 QQD", "ZZZZ12 2QD", "é1 2QD"] {
            assert_eq!(postcode_unit(part), None, "{part}");
        }
    }
}
