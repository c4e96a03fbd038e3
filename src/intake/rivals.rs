//! Fields that several columns claim alike: settled where the values of exactly one fit, else left contested.

use super::evidence::{FEWEST, Samples, capital, share};
use super::headings::{Heading, Match, column_said, match_but};
use super::raw::RawCell;
use super::signs::{Sign, is_fuse_rating, reads_as};
use super::table::TableHead;
use crate::site::Field;

/// A candidate is settled on when this share of its values fits and of no other's more than the second.
const FITS: f64 = 0.8;
const FITS_NOT: f64 = 0.3;

/// Settles fields that several columns claim alike, where the values of exactly one of them fit.
pub(super) fn settle(head: &mut TableHead, samples: &Samples<'_>, warnings: &mut Vec<String>) {
    let contested = std::mem::take(&mut head.contested);
    for (field, claims) in contested {
        let fits: Vec<f64> = claims.iter().map(|at| fit(field, head.headings.get(*at), samples)).collect();
        let has_values = |at: &usize| {
            let heading = claims.get(*at).and_then(|at| head.headings.get(*at));
            heading.is_some_and(|heading| samples.contains_key(&heading.index))
        };
        let with_values: Vec<usize> = (0..claims.len()).filter(has_values).collect();
        // A twin without values claims nothing, however few the other has.
        let winners: Vec<usize> = match with_values.as_slice() {
            [one] => vec![*one],
            _ => (0..claims.len()).filter(|at| fits.get(*at).is_some_and(|fit| *fit >= FITS)).collect(),
        };
        let others_fail = with_values.len() == 1 || fits.iter().filter(|fit| **fit < FITS).all(|fit| *fit <= FITS_NOT);
        let won = match winners.as_slice() {
            [one] if others_fail => claims.get(*one).copied(),
            _ => None,
        };
        let Some(won) = won else {
            head.contested.push((field, claims));
            continue;
        };
        let alone = head.headings.get(won).map(|heading| match_but(std::slice::from_ref(heading), &[], &|_, _| false));
        let found = alone.and_then(|alone| alone.matches.into_iter().next().flatten());
        let (Some(slot), Some(found), Some(heading)) = (head.matches.get_mut(won), found, head.headings.get(won))
        else {
            continue;
        };
        let others: Vec<String> =
            claims.iter().filter(|at| **at != won).filter_map(|at| head.headings.get(*at)).map(column_said).collect();
        warnings.push(format!(
            "{} is read as {}, because its values fit and those of {} do not.",
            capital(&column_said(heading)),
            field.name,
            others.join(" and ")
        ));
        *slot = Some(Match { evidence: "its values fit, those of its rival do not".to_owned(), ..found });
    }
}

/// Share of a column's values that fit a field; a column without values fits none.
fn fit(field: &Field, heading: Option<&Heading>, samples: &Samples<'_>) -> f64 {
    let cells = heading.and_then(|heading| samples.get(&heading.index)).map_or(&[][..], Vec::as_slice);
    if cells.len() < FEWEST {
        return if cells.is_empty() { 0.0 } else { 0.5 };
    }
    let fits = |cell: &&&RawCell| match field.name {
        "address" => !Sign::Number.is_on(cell) && !Sign::YesNo.is_on(cell) && !Sign::Postcode.is_on(cell),
        "mpan" => Sign::SupplyNumber.is_on(cell),
        "distributor" => {
            Sign::Distributor.is_on(cell) || number_of(cell).is_some_and(|number| (10.0..100.0).contains(&number))
        }
        // What else stands beside a fuse (its standard, its carrier) is a number too.
        "cutout_rating_a" => reads_as(field, cell) && (number_of(cell).is_none_or(is_fuse_rating)),
        _ => reads_as(field, cell),
    };
    share(cells.iter().filter(fits).count(), cells)
}

fn number_of(cell: &RawCell) -> Option<f64> {
    match cell {
        RawCell::Number(number) => Some(*number),
        RawCell::Text(text) => text.trim().parse().ok(),
        _ => None,
    }
}
