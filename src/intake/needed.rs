//! The least a sheet must say, and the sentence when it does not: what is missing and which heading comes nearest.

use super::evidence::Asked;
use super::headings::column_said;
use super::near::nearest_spelling;
use super::raw::words_of;
use super::table::TableHead;
use super::types::IntakeError;
use crate::site::fields;

/// One thing that some column must say.
struct Need {
    /// Any of these columns says it; the first is the one to name.
    columns: &'static [&'static str],
    /// What no column says.
    lacks: &'static str,
}

const NEEDS: &[Need] = &[
    Need { columns: &["address", "site_id", "uprn"], lacks: "no column says which place a row is" },
    Need { columns: &["cutout_rating_a", "agreed_capacity_kva"], lacks: "no column says what the supply is rated at" },
    Need {
        columns: &["existing_demand_a", "existing_demand_kw", "recorded_peak_kva"],
        lacks: "no column says what load is there already",
    },
    Need {
        columns: &["parking_distance_m", "route_indoor_m", "route_surface_m", "route_buried_m"],
        lacks: "no column says how far the parking is",
    },
];
/// A heading less like a field than this is not worth naming.
const WORTH_NAMING: f64 = 0.3;
/// Letters alone must agree better than words to be worth naming.
const SPELT_ALIKE: f64 = 0.55;

/// Whether columns for these fields, in whatever files, say all that is needed.
pub(super) fn met(named: &[&str]) -> bool {
    NEEDS.iter().all(|need| need.columns.iter().any(|column| named.contains(column)))
}

/// Whether every need is met; else one sentence for all that are not.
pub(super) fn check(head: &TableHead, asked: &[Asked], place: &str) -> Result<(), IntakeError> {
    let missing: Vec<&Need> = NEEDS.iter().filter(|need| !need.columns.iter().any(|name| head.has(name))).collect();
    if missing.is_empty() {
        return Ok(());
    }
    let lacks = missing.iter().map(|need| need.lacks).collect::<Vec<_>>().join(", ");
    let nearest = missing.iter().map(|need| format!("\n  {}", nearest(head, asked, need))).collect();
    Err(IntakeError::MissingColumn { place: place.to_owned(), lacks, nearest })
}

fn nearest(head: &TableHead, asked: &[Asked], need: &Need) -> String {
    let wanted = need.columns.first().copied().unwrap_or_default();
    let said = |at: usize| {
        head.headings.get(at).map(|heading| format!("{} (row {})", column_said(heading), head.row)).unwrap_or_default()
    };
    let contested = head.contested.iter().find(|(field, _)| need.columns.contains(&field.name));
    if let Some((field, claims)) = contested {
        let claims: Vec<String> = claims.iter().map(|at| said(*at)).collect();
        return format!("{} could each be it. Rename the right one {}.", claims.join(" and "), field.name);
    }
    if let Some(one) = asked.iter().find(|one| need.columns.contains(&one.field.name)) {
        return format!(
            "It could be {}, which {}. If that is it, rename it {} or name it in a mapping.",
            said(one.at),
            one.why,
            one.field.name
        );
    }
    let mut best: (f64, Option<usize>) = (WORTH_NAMING, None);
    for (at, heading) in head.headings.iter().enumerate() {
        if head.matches.get(at).is_some_and(Option::is_some) {
            continue;
        }
        let base = words_of(&heading.text);
        for field in fields().iter().filter(|field| need.columns.contains(&field.name)) {
            let spelt = Some(nearest_spelling(field, &base).0).filter(|score| *score >= SPELT_ALIKE).unwrap_or(0.0);
            let score = spelt.max(words_in_common(field.name, &field.headings, &base));
            if score > best.0 {
                best = (score, Some(at));
            }
        }
    }
    match best.1 {
        Some(at) => format!("Nearest heading: {}. If that is it, rename it {wanted}.", said(at)),
        None => format!("No heading comes near. Add a column {wanted}, or rename the one that says it."),
    }
}

/// The greatest share of a spelling's words that stand in a heading.
fn words_in_common(name: &str, headings: &[&str], base: &str) -> f64 {
    let words: Vec<&str> = base.split(' ').collect();
    let name = words_of(name);
    std::iter::once(name.as_str())
        .chain(headings.iter().copied())
        .map(|spelling| {
            let own: Vec<&str> = spelling.split(' ').filter(|word| word.len() > 2).collect();
            let shared = own
                .iter()
                .filter(|word| {
                    words.iter().any(|other| *other == **word || other.len() >= 4 && word.starts_with(other))
                })
                .count();
            if own.is_empty() { 0.0 } else { shared as f64 / own.len().max(words.len()) as f64 }
        })
        .fold(0.0, f64::max)
}
