//! Several columns for one field: the plainest claim wins, and equal claims leave the field unread.
//!
//! It compares headings that are already matched; it matches none itself.

use super::headings::{Heading, Match};
use super::raw::words_of;
use crate::site::{Field, fields};

/// Leaves each field to its strongest claimant. The address alone may be made of several columns.
pub(super) fn settle_claims(
    headings: &[Heading],
    matches: &mut [Option<Match>],
    taken: &[&str],
) -> Vec<(&'static Field, Vec<usize>)> {
    let mut contested = Vec::new();
    for field in fields() {
        let claims: Vec<(usize, u8)> = matches
            .iter()
            .enumerate()
            .filter_map(|(at, found)| {
                found.as_ref().filter(|found| found.field.name == field.name).map(|f| (at, f.strength))
            })
            .collect();
        let Some(strongest) = claims.iter().map(|(_, strength)| *strength).max() else { continue };
        let mut winners: Vec<usize> =
            claims.iter().filter(|(_, strength)| *strength == strongest).map(|(at, _)| *at).collect();
        if winners.len() > 1 {
            // The heading that shares most words with the field's name says most plainly what it is.
            let shared = |at: &usize| headings.get(*at).map_or(0, |heading| words_shared(field.name, &heading.text));
            let most = winners.iter().map(shared).max().unwrap_or_default();
            winners.retain(|at| shared(at) == most);
            // Nothing says it more plainly than the field's own name, without a number or mark beside it.
            let own_name = |at: &usize| {
                headings.get(*at).is_some_and(|heading| heading.text.trim().eq_ignore_ascii_case(field.name))
            };
            if winners.iter().filter(|at| own_name(at)).count() == 1 {
                winners.retain(own_name);
            }
        }
        let lost = winners.len() > 1 && field.name != "address" || taken.contains(&field.name);
        for (at, _) in &claims {
            let goes = lost || !winners.contains(at);
            if let Some(slot) = matches.get_mut(*at).filter(|_| goes) {
                *slot = None;
            }
        }
        if lost && !taken.contains(&field.name) {
            contested.push((field, winners));
        }
    }
    contested
}

fn words_shared(name: &str, heading: &str) -> usize {
    // "Cut-out" and "cutout", "sub-main" and "submain" are one word.
    let heading = words_of(heading).replace("cut out", "cutout").replace("sub main", "submain");
    let name = words_of(name);
    heading.split(' ').filter(|word| name.split(' ').any(|own| own == *word)).count()
}

#[cfg(test)]
mod tests {
    use crate::intake::{ReadOptions, read_bytes};

    #[test]
    fn the_name_itself_goes_before_the_name_with_a_number() {
        let text = "address,existing_demand_a,cutout_rating_a,parking_distance_m,1. existing_demand_a\n\
                    1 Fennel Row,35,80,12,35\n2 Fennel Row,40,80,12,40\n";
        let intake = read_bytes(text.as_bytes(), "a.csv", &ReadOptions::default()).unwrap();
        let field = |at: usize| intake.columns[at].field.map(|field| field.name);
        assert_eq!((field(1), field(4)), (Some("existing_demand_a"), None));
        // Two alike stay a question.
        let text = text.replace("1. existing", "existing");
        assert!(read_bytes(text.as_bytes(), "a.csv", &ReadOptions::default()).is_err());
    }
}
