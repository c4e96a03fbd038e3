//! In which section a check stands and on which survey fields its figures rest: `sections.csv`. A row names a check, or
//! a part of `checks.csv` for every check of it that has no row of its own; the order of the rows is that of the page.

use crate::finding::{Check, Finding};
use crate::table::Table;
use std::sync::OnceLock;

/// One row of the table.
#[derive(Debug, PartialEq)]
pub(super) struct Place {
    of: &'static str,
    /// Title of the section.
    pub(super) section: &'static str,
    /// Survey fields behind the figure found.
    pub(super) value_fields: Vec<&'static str>,
    /// Survey fields behind its limit.
    pub(super) limit_fields: Vec<&'static str>,
}

fn places() -> &'static [Place] {
    static PLACES: OnceLock<Vec<Place>> = OnceLock::new();
    PLACES.get_or_init(|| {
        let fields = |text: &'static str| text.split_whitespace().collect();
        Table::of(include_str!("sections.csv"))
            .rows()
            .map(|row| Place {
                of: row.kept("of"),
                section: row.kept("section"),
                value_fields: fields(row.kept("value_fields")),
                limit_fields: fields(row.kept("limit_fields")),
            })
            .collect()
    })
}

/// The row of a check, with its order on the page: its own, else its part's, else the last.
fn place(check: &Check) -> (usize, &'static Place) {
    let rows = || places().iter().enumerate();
    rows()
        .find(|(_, place)| place.of == check.name)
        .or_else(|| rows().find(|(_, place)| place.of == check.part))
        .or_else(|| rows().next_back())
        .unwrap_or((0, &NOWHERE))
}

/// Where a check would stand if the table were empty.
static NOWHERE: Place = Place { of: "", section: "Checks", value_fields: Vec::new(), limit_fields: Vec::new() };

/// The findings as they stand on the page: by section, within it in the order of the rows, then of `checks.csv`; several
/// of one check in the order in which they were found (a sub-main before what it feeds).
pub(super) fn in_working_order(findings: &[Finding]) -> Vec<(&'static Place, &Finding)> {
    let first_of = |section: &str| places().iter().position(|place| place.section == section).unwrap_or_default();
    let mut placed: Vec<_> = findings
        .iter()
        .map(|finding| {
            let (row, place) = place(finding.check);
            ((first_of(place.section), row, finding.check.position), place, finding)
        })
        .collect();
    placed.sort_by_key(|(order, _, _)| *order);
    placed.into_iter().map(|(_, place, finding)| (place, finding)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::finding::checks;
    use crate::site::fields;

    #[test]
    fn every_part_has_its_place_and_every_row_is_of_something() {
        let of = |name: &str| places().iter().filter(|place| place.of == name).count();
        for check in checks() {
            assert!(of(check.part) == 1, "the part {} of {} has no section", check.part, check.name);
        }
        for place in places() {
            let known = checks().iter().any(|check| check.name == place.of || check.part == place.of);
            assert!(known && of(place.of) == 1, "{}", place.of);
        }
    }

    #[test]
    fn every_field_named_is_a_column_of_the_survey() {
        for place in places() {
            for field in place.value_fields.iter().chain(&place.limit_fields) {
                assert!(fields().iter().any(|column| column.name == *field), "{}: {field}", place.of);
            }
        }
    }

    #[test]
    fn supply_comes_before_demand_and_the_sub_main_before_what_it_feeds() {
        let names = [
            "residual-current",
            "current-capacity",
            "submain-capacity",
            "disconnection",
            "voltage-drop",
            "submain-drop",
            "demand-limit",
            "device-rating",
            "cutout-rating",
            "parking",
            "earthing-path",
            "breaking-capacity",
            "protective-conductor-by-table",
        ];
        let findings: Vec<_> = names.iter().map(|name| Finding::new(name)).collect();
        let ordered: Vec<_> = in_working_order(&findings).iter().map(|(_, finding)| finding.check.name).collect();
        assert_eq!(
            ordered,
            [
                "cutout-rating",
                "demand-limit",
                "device-rating",
                "submain-capacity",
                "current-capacity",
                "submain-drop",
                "voltage-drop",
                "disconnection",
                "protective-conductor-by-table",
                "breaking-capacity",
                "earthing-path",
                "residual-current",
                "parking",
            ]
        );
    }
}
