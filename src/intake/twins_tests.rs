//! Tests only: the rows that are one place, found as comparing each with each finds them.

use super::*;
use crate::site::Reading;
use proptest::prelude::*;

fn site(place: &str, uprn: &str, id: &str, mpan: &str) -> Site {
    let stated = |text: &str| if text.is_empty() { Reading::unknown() } else { Reading::of(text.to_owned()) };
    let mut site = Site { site_id: id.to_owned(), ..Site::default() };
    site.identity.address = stated(place);
    site.identity.uprn = stated(uprn);
    site.supply.mpan = stated(mpan);
    site
}

proptest! {
    /// Every other row leaves again, as rows do that are set aside.
    #[test]
    fn twins_are_those_that_comparing_each_with_each_finds(
        drawn in proptest::collection::vec(
            ("(|7 Fennel Row|7 Fennel|8 Fennel Row|Mill)", "(|1|2)", "(|a|b)", "(|x|y)", any::<bool>()), 1..14),
    ) {
        let sites: Vec<Site> = drawn.iter().map(|(place, uprn, id, mpan, _)| site(place, uprn, id, mpan)).collect();
        let mut standing = Standing::of(&sites);
        let mut rows: Vec<usize> = Vec::new();
        for (at, (.., leaves)) in drawn.iter().enumerate() {
            let own = Marks::of(&sites[at]);
            let plainly = rows.iter().find_map(|other| Some((*other, own.one_with(&Marks::of(&sites[*other]))?)));
            prop_assert_eq!(standing.twin_of(at), plainly);
            standing.enter(at);
            rows.push(at);
            if let (true, Some((other, _))) = (*leaves, plainly) {
                standing.leave(other);
                rows.retain(|row| *row != other);
            }
        }
    }
}
