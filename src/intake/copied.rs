//! Answers that were copied down: one figure for every home of a street or of the whole sheet. Nothing is changed; the
//! sites are marked, so that confidence and odds can follow. How many make it a copy is data (`copied.csv`).

use super::gather::Table;
use super::neighbours::street_of;
use crate::site::{CutoutEvidence, Reading, Site};
use crate::table::Table as Csv;
use std::collections::BTreeMap;
use std::sync::OnceLock;

/// One field that is looked at.
struct Copied {
    field: &'static str,
    street_from: usize,
    sheet_from: usize,
    reading: fn(&Site) -> &Reading<f64>,
}

fn fields() -> &'static [Copied] {
    static FIELDS: OnceLock<Vec<Copied>> = OnceLock::new();
    FIELDS.get_or_init(|| {
        let copied = |row: crate::table::Row<'_>| {
            let (field, reading): (_, fn(&Site) -> &Reading<f64>) = match row.text("field") {
                "cutout_rating_a" => ("cutout_rating_a", |site| &site.supply.cutout_rating_a),
                "existing_demand_a" => ("existing_demand_a", |site| &site.load.existing_demand_a),
                "existing_demand_kw" => ("existing_demand_kw", |site| &site.load.existing_demand_kw),
                "parking_distance_m" => ("parking_distance_m", |site| &site.parking.parking_distance_m),
                _ => return None,
            };
            let from = |column: &str| row.number(column).map_or(usize::MAX, |count| count as usize);
            Some(Copied { field, street_from: from("street_from"), sheet_from: from("sheet_from"), reading })
        };
        Csv::of(include_str!("copied.csv")).rows().filter_map(copied).collect()
    })
}

/// A figure that was read from the fuse itself, its label or the operator's record was looked at, however alike.
fn looked_at(site: &Site, field: &str) -> bool {
    let evidence = site.supply.cutout_evidence.stated();
    let seen = matches!(evidence, Some(CutoutEvidence::Fuse | CutoutEvidence::Label | CutoutEvidence::Operator));
    field == "cutout_rating_a" && seen
}

/// Marks the sites whose answers were copied down; says so in a sentence a field.
pub(super) fn mark(table: &mut Table) -> Vec<String> {
    let sites = &table.sites;
    // Positions of the homes in each street, in a fixed order.
    let mut streets: BTreeMap<String, Vec<usize>> = BTreeMap::new();
    let homes: Vec<usize> = (0..sites.len()).filter(|at| sites.get(*at).is_some_and(Site::is_home)).collect();
    let least = fields().iter().map(|copied| copied.street_from.min(copied.sheet_from)).min().unwrap_or(usize::MAX);
    if homes.len() < least {
        return Vec::new();
    }
    for at in &homes {
        if let Some((street, _)) = sites.get(*at).and_then(street_of) {
            streets.entry(street).or_default().push(*at);
        }
    }
    let mut said = Vec::new();
    let mut marks: Vec<(usize, &'static str)> = Vec::new();
    for copied in fields() {
        let alike = |group: &[usize], from: usize| {
            let value = |at: &usize| sites.get(*at).and_then(|site| (copied.reading)(site).value());
            group.len() >= from
                && group.first().and_then(value).is_some_and(|first| group.iter().all(|at| value(at) == Some(first)))
        };
        let mut found: Vec<usize> = if alike(&homes, copied.sheet_from) {
            homes.clone()
        } else {
            streets.values().filter(|street| alike(street, copied.street_from)).flatten().copied().collect()
        };
        found.retain(|at| sites.get(*at).is_some_and(|site| !looked_at(site, copied.field)));
        if !found.is_empty() {
            said.push(format!(
                "{} is the same for every home of a street or sheet on {} rows: copied down, it lowers confidence and odds.",
                copied.field,
                found.len()
            ));
        }
        marks.extend(found.into_iter().map(|at| (at, copied.field)));
    }
    for (at, field) in marks {
        if let Some(site) = table.sites.get_mut(at) {
            site.copied_down.push(field);
        }
    }
    said
}

#[cfg(test)]
#[path = "copied_tests.rs"]
mod tests;
