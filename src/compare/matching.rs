//! Which site of one result is which of the other: by UPRN, else by site_id, else by address and postcode. Every step
//! asks the same of both sides, so that swapped results give the same pairs; no site is ever in two of them.

use super::document::SiteRead;
use super::likeness::{ALIKE, MARGIN, Place};
use std::collections::{BTreeMap, BTreeSet};

/// How two sites were found to be one.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum By {
    /// Unique property reference number.
    Uprn,
    /// The user's key, and nothing in the addresses against it.
    SiteId,
    /// The same address and postcode.
    Address,
    /// An address that is spelt otherwise, the postcode the same.
    Spelling,
    /// The user's key, although the address reads otherwise.
    SiteIdAlone,
}

impl By {
    /// Every way, in the order in which they are tried.
    pub const ALL: [By; 5] = [By::Uprn, By::SiteId, By::Address, By::Spelling, By::SiteIdAlone];

    /// A few words for a column.
    pub fn word(self) -> &'static str {
        match self {
            By::Uprn => "UPRN",
            By::SiteId => "site_id",
            By::Address => "address and postcode",
            By::Spelling => "address, spelt otherwise",
            By::SiteIdAlone => "site_id, address reads otherwise",
        }
    }
}

/// One site in both results, by its places in their lists.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pair {
    /// Place in the earlier result.
    pub before: usize,
    /// Place in the later one.
    pub after: usize,
    /// How it was found.
    pub by: By,
    /// How alike the addresses are, 0 to 1, where they were weighed.
    pub likeness: Option<f64>,
}

/// The places of both sides and what is left of them.
struct Sides {
    places: [Vec<Place>; 2],
    left: [BTreeSet<usize>; 2],
    pairs: Vec<Pair>,
}

/// The sites that stand in both, in the order of the later result; those left over stand in one alone.
pub(super) fn pairs(before: &[SiteRead], after: &[SiteRead]) -> Vec<Pair> {
    let places = [before, after].map(|sites| sites.iter().map(Place::of).collect::<Vec<_>>());
    let left = [0, 1].map(|side: usize| (0..places.get(side).map_or(0, Vec::len)).collect());
    let mut sides = Sides { places, left, pairs: Vec::new() };
    sides.by_mark(By::Uprn, |place| some(&place.uprn), |_, _| true);
    // Whoever says the same of itself on both sides is the same, though others share a mark with it.
    sides.by_mark(
        By::SiteId,
        |place| {
            let told = !place.words.is_empty() || !place.uprn.is_empty() || !place.key_is_made;
            let Place { id, uprn, postcode, words, .. } = place;
            (told && !id.is_empty()).then(|| format!("{id}\n{uprn}\n{postcode}\n{}", words.join(" ")))
        },
        |_, _| true,
    );
    // A key made from a row tells only where the row stood: it needs an address that says the same.
    sides.by_mark(
        By::SiteId,
        |place| some(&place.key),
        |one, two| {
            let unknown = one.words.is_empty() || two.words.is_empty();
            let made = one.key_is_made || two.key_is_made;
            !one.elsewhere(two)
                && (one.likeness(two) >= ALIKE || one.words == two.words || (unknown && !made))
                && !(made && (unknown || one.other_property(two)))
        },
    );
    sides.by_mark(
        By::Address,
        |place| (!place.words.is_empty()).then(|| format!("{}|{}", place.words.join(" "), place.postcode)),
        |one, two| !one.other_property(two),
    );
    sides.by_spelling();
    sides.by_mark(
        By::SiteIdAlone,
        |place| some(&place.key).filter(|_| !place.key_is_made),
        |one, two| !one.elsewhere(two) && !one.other_property(two),
    );
    sides.pairs.sort_by_key(|pair| pair.after);
    sides.pairs
}

fn some(text: &str) -> Option<String> {
    (!text.is_empty()).then(|| text.to_owned())
}

impl Sides {
    fn place(&self, side: usize, at: usize) -> Option<&Place> {
        self.places.get(side)?.get(at)
    }

    fn take(&mut self, before: usize, after: usize, by: By, likeness: Option<f64>) {
        let [old, new] = &mut self.left;
        if old.contains(&before) && new.contains(&after) {
            old.remove(&before);
            new.remove(&after);
            self.pairs.push(Pair { before, after, by, likeness });
        }
    }

    /// What is left of both sides by a mark that stands once on each, and to which nothing else speaks against.
    fn by_mark(&mut self, by: By, mark: fn(&Place) -> Option<String>, fits: fn(&Place, &Place) -> bool) {
        let lists: [BTreeMap<String, Vec<usize>>; 2] = [0, 1].map(|side| {
            let mut list: BTreeMap<String, Vec<usize>> = BTreeMap::new();
            for at in self.left.get(side).into_iter().flatten() {
                if let Some(mark) = self.place(side, *at).and_then(mark) {
                    list.entry(mark).or_default().push(*at);
                }
            }
            list
        });
        let [old, new] = lists;
        for (mark, before) in old {
            let ([before], Some([after])) = (before.as_slice(), new.get(&mark).map(Vec::as_slice)) else { continue };
            let one = self.place(0, *before).zip(self.place(1, *after));
            if one.is_some_and(|(one, two)| fits(one, two)) {
                self.take(*before, *after, by, None);
            }
        }
    }

    /// What is left by addresses that are alike: each the best of the other, and no third close behind.
    fn by_spelling(&mut self) {
        // Only the same numbers are compared, so nothing looks at all pairs of a long list.
        let mut groups: BTreeMap<Vec<String>, [Vec<usize>; 2]> = BTreeMap::new();
        for side in [0, 1] {
            for at in self.left.get(side).into_iter().flatten() {
                let Some(place) = self.place(side, *at).filter(|place| !place.words.is_empty()) else { continue };
                let group = groups.entry(place.numbers.clone()).or_default();
                if let Some(list) = group.get_mut(side) {
                    list.push(*at);
                }
            }
        }
        let mut found = Vec::new();
        for [old, new] in groups.into_values() {
            let scores: Vec<(usize, usize, f64)> = old
                .iter()
                .flat_map(|before| new.iter().map(move |after| (*before, *after)))
                .filter_map(|(before, after)| {
                    let (one, two) = self.place(0, before).zip(self.place(1, after))?;
                    let score = if one.other_property(two) { 0.0 } else { one.likeness(two) };
                    (score > 0.0).then_some((before, after, score))
                })
                .collect();
            for (before, after, score) in scores.iter().filter(|(.., score)| *score >= ALIKE) {
                let rival = scores
                    .iter()
                    .filter(|(one, two, _)| (one == before) != (two == after))
                    .any(|(.., other)| score - other < MARGIN);
                if !rival {
                    found.push((*before, *after, *score));
                }
            }
        }
        for (before, after, score) in found {
            self.take(before, after, By::Spelling, Some(score));
        }
    }
}
