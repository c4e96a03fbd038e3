//! Whose network a site hangs on: by its supply number, else as stated, else by its postcode. It knows no judgement.

use super::types::{FIRST_INDEPENDENT, KnownBy, Operator, Who};
use crate::site::{Site, distributor_of_mpan, distributors_at, distributors_named, mpan_check_digit_ok};

/// Digits of a meter point in Northern Ireland.
const DIGITS_OF_NORTHERN_IRELAND: usize = 11;

/// The operator of a site. A number whose check digit is wrong names nobody.
pub(super) fn who(site: &Site) -> Who {
    let postcode = site.identity.postcode.likely().map(String::as_str).unwrap_or_default();
    let here = distributors_at(postcode).unwrap_or_default();
    let of = |number: u8, from: KnownBy| {
        let may_be = if number >= FIRST_INDEPENDENT { here.to_vec() } else { Vec::new() };
        Who { operator: Operator::Distributor(number), from, may_be }
    };
    if let Some(number) = distributor(site) {
        return of(number, KnownBy::Mpan);
    }
    if is_northern_ireland(site) {
        let eleven = site.supply.mpan.likely().is_some_and(|number| is_of_northern_ireland(number));
        let from = match (eleven, is_in_northern_ireland(postcode)) {
            (true, _) => KnownBy::Mpan,
            (false, true) => KnownBy::Postcode,
            (false, false) => KnownBy::Stated,
        };
        return Who { operator: Operator::NorthernIreland, from, may_be: Vec::new() };
    }
    let stated = stated(site);
    if let [one] = stated.as_slice() {
        return of(*one, KnownBy::Stated);
    }
    // A name of several areas, of which the postcode may leave one.
    let mut may_be: Vec<u8> = here.iter().copied().filter(|n| stated.is_empty() || stated.contains(n)).collect();
    if let [one] = may_be.as_slice() {
        return of(*one, KnownBy::Postcode);
    }
    if may_be.is_empty() {
        may_be = stated;
    }
    Who { operator: Operator::NotKnown, from: KnownBy::Unknown, may_be }
}

/// The distributors that the survey states.
pub(super) fn stated(site: &Site) -> Vec<u8> {
    site.supply.distributor.likely().map(|text| distributors_named(text)).unwrap_or_default()
}

/// The distributor of a supply number whose check digit is right.
fn distributor(site: &Site) -> Option<u8> {
    let core = site.supply.mpan.likely().filter(|core| mpan_check_digit_ok(core))?;
    distributor_of_mpan(core)
}

/// Whether a number is one of Northern Ireland.
pub(super) fn is_of_northern_ireland(number: &str) -> bool {
    number.len() == DIGITS_OF_NORTHERN_IRELAND && number.bytes().all(|digit| digit.is_ascii_digit())
}

/// Whether a postcode lies in Northern Ireland: its one area.
pub(super) fn is_in_northern_ireland(postcode: &str) -> bool {
    postcode.strip_prefix("BT").is_some_and(|rest| rest.starts_with(|sign: char| sign.is_ascii_digit()))
}

fn is_northern_ireland(site: &Site) -> bool {
    let words = |text: Option<&String>| text.is_some_and(|text| text.eq_ignore_ascii_case("northern ireland"));
    words(site.identity.nation.likely())
        || words(site.supply.distributor.likely())
        || site.identity.postcode.likely().is_some_and(|postcode| is_in_northern_ireland(postcode))
        || site.supply.mpan.likely().is_some_and(|number| is_of_northern_ireland(number))
}
