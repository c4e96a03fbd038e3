//! Which earlier row is the same place as a row: by its keys, else by its address.
//!
//! A column may say one and the same thing in every row (the town for an address, the estate for a key), so rows are
//! found by what would make two of them one place and never by comparing each with each. It sets nothing aside.

use super::raw::words_of;
use crate::site::Site;
use std::collections::HashMap;
use std::collections::hash_map::DefaultHasher;
use std::hash::{Hash, Hasher};

/// What a site is known by.
struct Marks {
    /// The address as it is compared: its words, with the postcode unless they end with it. Empty without an address.
    place: String,
    /// Those of its words that hold a digit.
    numbers: String,
    uprn: Option<String>,
    id: Option<String>,
    mpan: Option<String>,
    /// Which sheet it stands on, and whether it is a home.
    sheet: u16,
    home: bool,
}

/// By what rows are found again.
#[derive(Clone, Copy, Hash)]
enum By {
    /// A key, and the numbers of the address.
    Uprn,
    Id,
    /// A key, whatever the address.
    UprnAnywhere,
    IdAnywhere,
    /// The address: all rows, and those that lack a key (two that differ in it are two places).
    Place,
    PlaceWithoutUprn,
    PlaceWithoutId,
    PlaceWithoutMpan,
    PlaceAndMpan,
}

/// Rows that stand so far.
pub(super) struct Standing {
    marks: Vec<Marks>,
    /// By the digest of what they are found by; two things of one digest cost a comparison and no more.
    found: HashMap<u64, Vec<usize>>,
    /// Whether any site has no address, and whether any has no key.
    some_nowhere: bool,
    some_keyless: bool,
}

impl Marks {
    fn of(site: &Site) -> Self {
        let mut place = site.identity.address.likely().map(|address| words_of(address)).unwrap_or_default();
        if let Some(postcode) = site.identity.postcode.likely().filter(|_| !place.is_empty()) {
            let postcode = words_of(postcode);
            if !place.ends_with(&postcode) {
                place.push(' ');
                place.push_str(&postcode);
            }
        }
        let numbers = place.split(' ').filter(|word| word.bytes().any(|byte| byte.is_ascii_digit()));
        Self {
            numbers: numbers.collect::<Vec<&str>>().join(" "),
            uprn: site.identity.uprn.likely().cloned(),
            id: Some(site.site_id.clone()).filter(|id| !id.is_empty()),
            mpan: site.supply.mpan.likely().cloned(),
            sheet: site.sheet,
            home: site.is_home(),
            place,
        }
    }

    /// Whether two addresses can be one place: the same numbers in them, and the words of one among those of the other.
    /// An address left blank fits any.
    fn can_be_at(&self, other: &Self) -> bool {
        if self.place == other.place || self.place.is_empty() || other.place.is_empty() {
            return true;
        }
        let words = |marks: &Self| marks.place.split(' ').count();
        let (short, long) = if words(self) <= words(other) { (self, other) } else { (other, self) };
        self.numbers == other.numbers
            && short.place.split(' ').all(|word| long.place.split(' ').any(|other| other == word))
    }

    /// By which mark two sites are one place, if they are.
    fn one_with(&self, other: &Self) -> Option<&'static str> {
        let compare = |one: &Option<String>, two: &Option<String>| match (one, two) {
            (Some(one), Some(two)) => Some(one == two),
            _ => None,
        };
        let by_mpan = compare(&self.mpan, &other.mpan);
        // Two supply numbers are two supplies, whatever the address.
        if by_mpan == Some(false) || !self.can_be_at(other) {
            return None;
        }
        let same_address = self.place == other.place && !self.place.is_empty();
        match (compare(&self.uprn, &other.uprn), compare(&self.id, &other.id), by_mpan) {
            (Some(true), _, _) => Some("UPRN"),
            (_, Some(true), _) => Some("site_id"),
            (_, _, Some(true)) if same_address => Some("supply number and address"),
            (Some(false), _, _) | (_, Some(false), _) => None,
            // A home and the car park beside it may share their address; each has a sheet and a supply of its own.
            _ if self.sheet != other.sheet && self.home != other.home => None,
            _ => same_address.then_some("address"),
        }
    }
}

fn digest(by: By, one: &str, two: &str) -> u64 {
    let mut hasher = DefaultHasher::new();
    (by, one, two).hash(&mut hasher);
    hasher.finish()
}

/// Stands for the numbers of an address that is blank.
const NOWHERE: &str = "nowhere";

impl Standing {
    /// None stands yet of these sites.
    pub fn of(sites: &[Site]) -> Self {
        let marks: Vec<Marks> = sites.iter().map(Marks::of).collect();
        Self {
            found: HashMap::new(),
            some_nowhere: marks.iter().any(|marks| marks.place.is_empty()),
            some_keyless: marks.iter().any(|one| one.uprn.is_none() && one.id.is_none() && one.mpan.is_none()),
            marks,
        }
    }

    /// The first row standing that is the same place, and by which mark.
    pub fn twin_of(&self, at: usize) -> Option<(usize, &'static str)> {
        let own = self.marks.get(at)?;
        let mut lists = Vec::with_capacity(6);
        let keys = [(&own.uprn, By::Uprn, By::UprnAnywhere), (&own.id, By::Id, By::IdAnywhere)];
        for (key, here, anywhere) in keys {
            let Some(key) = key else { continue };
            if own.place.is_empty() {
                lists.push(digest(anywhere, key, ""));
            } else {
                lists.extend([digest(here, key, &own.numbers), digest(here, key, NOWHERE)]);
            }
        }
        if !own.place.is_empty() {
            if let Some(mpan) = &own.mpan {
                lists.push(digest(By::PlaceAndMpan, &own.place, mpan));
            }
            let lacking = match (&own.uprn, &own.id, &own.mpan) {
                (Some(_), _, _) => By::PlaceWithoutUprn,
                (_, Some(_), _) => By::PlaceWithoutId,
                (_, _, Some(_)) => By::PlaceWithoutMpan,
                _ => By::Place,
            };
            lists.push(digest(lacking, &own.place, ""));
        }
        let first = |list: &u64| {
            let rows = self.found.get(list)?;
            rows.iter().find_map(|other| Some((*other, own.one_with(self.marks.get(*other)?)?)))
        };
        lists.iter().filter_map(first).min_by_key(|(other, _)| *other)
    }

    /// Everything that the row is found by.
    fn lists_of(&self, at: usize) -> Vec<u64> {
        let Some(own) = self.marks.get(at) else { return Vec::new() };
        let mut lists = Vec::with_capacity(6);
        let numbers = if own.place.is_empty() { NOWHERE } else { &own.numbers };
        let keys = [(&own.uprn, By::Uprn, By::UprnAnywhere), (&own.id, By::Id, By::IdAnywhere)];
        for (key, here, anywhere) in keys {
            let Some(key) = key else { continue };
            lists.push(digest(here, key, numbers));
            if self.some_nowhere {
                lists.push(digest(anywhere, key, ""));
            }
        }
        if own.place.is_empty() {
            return lists;
        }
        if self.some_keyless {
            lists.push(digest(By::Place, &own.place, ""));
        }
        if let Some(mpan) = &own.mpan {
            lists.push(digest(By::PlaceAndMpan, &own.place, mpan));
        }
        let lacking =
            [(&own.uprn, By::PlaceWithoutUprn), (&own.id, By::PlaceWithoutId), (&own.mpan, By::PlaceWithoutMpan)];
        lists.extend(lacking.into_iter().filter(|(key, _)| key.is_none()).map(|(_, by)| digest(by, &own.place, "")));
        lists
    }

    /// The row stands.
    pub fn enter(&mut self, at: usize) {
        for list in self.lists_of(at) {
            self.found.entry(list).or_default().push(at);
        }
    }

    /// The row stands no longer.
    pub fn leave(&mut self, at: usize) {
        for list in self.lists_of(at) {
            if let Some(rows) = self.found.get_mut(&list)
                && let Ok(place) = rows.binary_search(&at)
            {
                rows.remove(place);
            }
        }
    }
}

#[cfg(test)]
#[path = "twins_tests.rs"]
mod tests;
