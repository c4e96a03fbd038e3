//! Which site of the portfolio a row of another file means: by UPRN, then site_id, then supply number, then address
//! and postcode with a stated score. A row that could mean several, or whose marks contradict each other, is joined to
//! none. It compares marks only and adds no fact to any site.

use super::raw::words_of;
use crate::site::Site;
use std::collections::BTreeMap;

/// Addresses are one place from this likeness (1 is the same), when no other comes within the margin.
const ALIKE: f64 = 0.85;
const MARGIN: f64 = 0.05;
/// Likeness of two addresses of which one holds all words of the other.
const HELD: f64 = 0.95;
/// Words that an address must have beside its numbers to be compared at all.
const FEWEST_WORDS: usize = 2;

/// What a row says about which place it is.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Marks {
    pub uprn: Option<String>,
    pub site_id: Option<String>,
    pub mpan: Option<String>,
    pub postcode: Option<String>,
    /// Words of the address without its postcode.
    pub words: Vec<String>,
    /// Those words of it that have a digit, in order.
    pub numbers: Vec<String>,
}

/// What became of the search.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Found {
    /// One site, by which mark, and for an address how alike.
    One { at: usize, by: &'static str, score: Option<f64> },
    /// None, and why, as a sentence.
    None(String),
}

impl Marks {
    /// The marks of a site. `stated_id` is its key as the user wrote it, if any.
    pub fn of(site: &Site, stated_id: Option<&str>) -> Self {
        let postcode = site.identity.postcode.likely().map(|code| words_of(code).replace(' ', ""));
        let mut address = site.identity.address.likely().map(|text| words_of(text)).unwrap_or_default();
        if let Some(code) = site.identity.postcode.likely().map(|code| words_of(code)) {
            for end in [code.replace(' ', ""), code] {
                if let Some(rest) = address.strip_suffix(end.as_str()) {
                    address = rest.trim_end().to_owned();
                }
            }
        }
        let words: Vec<String> = address.split(' ').filter(|word| !word.is_empty()).map(str::to_owned).collect();
        let numbers = words.iter().filter(|word| has_digit(word)).cloned().collect();
        Self {
            uprn: site.identity.uprn.likely().cloned(),
            site_id: stated_id.map(key).filter(|id| !id.is_empty()),
            mpan: site.supply.mpan.likely().cloned(),
            postcode,
            words,
            numbers,
        }
    }

    /// Why two rows that share one mark cannot be one place after all.
    fn contradiction(&self, other: &Marks, by: &str) -> Option<&'static str> {
        let differ = |one: &Option<String>, two: &Option<String>| matches!((one, two), (Some(a), Some(b)) if a != b);
        if by != "UPRN" && differ(&self.uprn, &other.uprn) {
            return Some("its UPRN is another");
        }
        if by == "address" && differ(&self.mpan, &other.mpan) {
            return Some("its supply number is another");
        }
        if by == "site_id" || by == "supply number" {
            if differ(&self.postcode, &other.postcode) {
                return Some("its postcode is another");
            }
            if !self.numbers.is_empty() && !other.numbers.is_empty() && self.numbers != other.numbers {
                return Some("the numbers in its address are others");
            }
        }
        None
    }

    /// How alike two addresses are, 0 to 1. Different numbers are different places. Words may be spelt differently only
    /// where both postcodes are given and the same, and a number stands in both.
    fn likeness(&self, other: &Marks) -> f64 {
        let plain = |marks: &Marks| marks.words.iter().filter(|word| !has_digit(word)).count();
        let codes = self.postcode.as_ref().zip(other.postcode.as_ref()).map(|(one, two)| one == two);
        if codes == Some(false) || self.numbers != other.numbers || plain(self).min(plain(other)) < FEWEST_WORDS {
            return 0.0;
        }
        if self.words == other.words {
            return 1.0;
        }
        let (short, long) = if self.words.len() <= other.words.len() { (self, other) } else { (other, self) };
        if short.words.iter().all(|word| long.words.contains(word)) {
            return HELD;
        }
        if codes != Some(true) || self.numbers.is_empty() {
            return 0.0;
        }
        strsim::normalized_damerau_levenshtein(&self.words.join(" "), &other.words.join(" "))
    }

    /// Whether two addresses are one in all likelihood; a blank one fits any.
    pub fn same_address(&self, other: &Marks) -> bool {
        self.words.is_empty() || other.words.is_empty() || self.likeness(other) >= ALIKE
    }
}

fn has_digit(word: &str) -> bool {
    word.bytes().any(|byte| byte.is_ascii_digit())
}

/// A key as it is compared: case and blanks aside.
pub(super) fn key(written: &str) -> String {
    written.split_whitespace().collect::<Vec<_>>().join(" ").to_lowercase()
}

/// The sites of the portfolio by their marks.
#[derive(Default)]
pub(super) struct Places {
    marks: Vec<Marks>,
    by_uprn: BTreeMap<String, Vec<usize>>,
    by_id: BTreeMap<String, Vec<usize>>,
    by_mpan: BTreeMap<String, Vec<usize>>,
    by_numbers: BTreeMap<Vec<String>, Vec<usize>>,
}

impl Places {
    /// Indexes the marks of sites, in their order.
    pub fn of(marks: Vec<Marks>) -> Self {
        let mut places = Self::default();
        for (at, mark) in marks.iter().enumerate() {
            let lists = [
                (&mut places.by_uprn, &mark.uprn),
                (&mut places.by_id, &mark.site_id),
                (&mut places.by_mpan, &mark.mpan),
            ];
            for (list, own) in lists {
                if let Some(own) = own {
                    list.entry(own.clone()).or_default().push(at);
                }
            }
            if !mark.words.is_empty() {
                places.by_numbers.entry(mark.numbers.clone()).or_default().push(at);
            }
        }
        places.marks = marks;
        places
    }

    /// The marks of a site.
    pub fn marks(&self, at: usize) -> Option<&Marks> {
        self.marks.get(at)
    }

    /// The site that a row means.
    pub fn find(&self, row: &Marks) -> Found {
        let keyed = [
            ("UPRN", &self.by_uprn, &row.uprn),
            ("site_id", &self.by_id, &row.site_id),
            ("supply number", &self.by_mpan, &row.mpan),
        ];
        let mut against = None;
        for (by, list, own) in keyed {
            let Some(sites) = own.as_ref().and_then(|own| list.get(own)) else { continue };
            let fits = |at: &usize| self.marks.get(*at).is_some_and(|site| row.contradiction(site, by).is_none());
            let mut fitting: Vec<usize> = sites.iter().copied().filter(fits).collect();
            if fitting.len() > 1 {
                // Several with one key: the address may tell which.
                let told: Vec<usize> = fitting
                    .iter()
                    .copied()
                    .filter(|at| self.marks.get(*at).is_some_and(|site| row.likeness(site) >= ALIKE))
                    .collect();
                if told.len() == 1 {
                    fitting = told;
                }
            }
            match fitting.as_slice() {
                [at] => return Found::One { at: *at, by, score: None },
                [] => {
                    let why = sites.first().and_then(|at| self.marks.get(*at)?.contradiction(row, by));
                    against.get_or_insert(format!(
                        "Its {by} is that of a site of the portfolio, but {}.",
                        why.unwrap_or("other marks differ")
                    ));
                }
                several => {
                    return Found::None(format!(
                        "Its {by} is that of {} sites of the portfolio; nothing tells which is meant.",
                        several.len()
                    ));
                }
            }
        }
        // A key that leads to a site which it contradicts is not mended by an address.
        if let Some(why) = against {
            return Found::None(why);
        }
        self.by_address(row)
    }

    fn by_address(&self, row: &Marks) -> Found {
        let mut best: Option<(f64, usize)> = None;
        let mut second = 0.0_f64;
        for at in self.by_numbers.get(&row.numbers).filter(|_| !row.words.is_empty()).into_iter().flatten() {
            let Some(site) = self.marks.get(*at) else { continue };
            if row.contradiction(site, "address").is_some() {
                continue;
            }
            let score = row.likeness(site);
            match best {
                Some((top, _)) if score <= top => second = second.max(score),
                _ => {
                    second = best.map_or(0.0, |(top, _)| top);
                    best = Some((score, *at));
                }
            }
        }
        match best.filter(|(score, _)| *score >= ALIKE) {
            Some((score, _)) if score - second < MARGIN => {
                Found::None("Its address is as like that of several sites; give it a UPRN or a site_id.".to_owned())
            }
            Some((score, at)) => Found::One { at, by: "address", score: Some(score) },
            None => Found::None("No site of the portfolio has its UPRN, site_id, supply number or address.".to_owned()),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::site::Reading;

    fn marks(id: &str, uprn: &str, mpan: &str, address: &str, postcode: &str) -> Marks {
        let mut site = Site::default();
        let given = |text: &str| if text.is_empty() { Reading::default() } else { Reading::of(text.to_owned()) };
        site.identity.uprn = given(uprn);
        site.identity.address = given(address);
        site.identity.postcode = given(postcode);
        site.supply.mpan = given(mpan);
        Marks::of(&site, Some(id))
    }

    fn portfolio() -> Places {
        Places::of(vec![
            marks("H1", "100001", "1012345678903", "7 Fennel Row, Tarnholt", "QX4 7LP"),
            marks("H2", "100002", "", "9 Fennel Row, Tarnholt", "QX4 7LP"),
            marks("H3", "", "", "9 Fennel Row, Quernholt", "QX5 1AA"),
            marks("H4", "", "", "Flat 2, 14 Kiln House", "QX5 1AB"),
            marks("h4", "", "", "Flat 3, 14 Kiln House", "QX5 1AB"),
        ])
    }

    fn one(found: Found) -> (usize, &'static str) {
        match found {
            Found::One { at, by, .. } => (at, by),
            Found::None(why) => panic!("{why}"),
        }
    }

    fn none(found: Found) -> String {
        match found {
            Found::None(why) => why,
            Found::One { at, by, .. } => panic!("joined to {at} by {by}"),
        }
    }

    #[test]
    fn marks_are_tried_in_their_order() {
        let places = portfolio();
        assert_eq!(one(places.find(&marks("H2", "100001", "", "", ""))), (0, "UPRN"));
        assert_eq!(one(places.find(&marks(" h2 ", "", "1012345678903", "", ""))), (1, "site_id"));
        assert_eq!(one(places.find(&marks("", "", "1012345678903", "", ""))), (0, "supply number"));
        assert_eq!(one(places.find(&marks("", "", "", "7 Fennell Row Tarnholt QX4 7LP", "qx4 7lp"))), (0, "address"));
        assert_eq!(one(places.find(&marks("", "", "", "Flat 3 14 Kiln House", ""))), (4, "address"));
    }

    #[test]
    fn what_is_ambiguous_or_contradicts_itself_is_not_joined() {
        let places = portfolio();
        assert!(none(places.find(&marks("H4", "", "", "", ""))).contains("2 sites"));
        assert_eq!(one(places.find(&marks("H4", "", "", "Flat 2, 14 Kiln House", "QX5 1AB"))), (3, "site_id"));
        assert!(none(places.find(&marks("", "", "", "9 Fennel Row", ""))).contains("several"));
        assert_eq!(one(places.find(&marks("", "", "", "9 Fennel Row", "QX51AA"))), (2, "address"));
        assert!(none(places.find(&marks("H2", "100009", "", "", ""))).contains("UPRN"));
        // Rows numbered 1, 2, 3 in two files are no join: the addresses say so.
        assert!(none(places.find(&marks("H1", "", "", "8 Mill Lane", ""))).contains("numbers"));
        assert!(none(places.find(&marks("", "", "", "8 Fennel Row, Tarnholt", "QX4 7LP"))).contains("No site"));
        assert!(none(places.find(&marks("", "", "", "7", "QX4 7LP"))).contains("No site"));
    }

    #[test]
    fn names_without_a_number_are_never_joined_by_a_near_spelling() {
        let places = Places::of(vec![marks("A", "", "", "Rose Cottage, Kiln Road", "QX4 7LP")]);
        assert!(none(places.find(&marks("", "", "", "Rise Cottage, Kiln Road", "QX4 7LP"))).contains("No site"));
        assert_eq!(
            one(places.find(&marks("", "", "", "Rose Cottage, Kiln Road, Tarnholt", "QX4 7LP"))),
            (0, "address")
        );
    }
}
