//! Sheets that the survey contract names beside the survey itself: known by their names or their own headings, so that
//! none is guessed to be a survey. What stands in them is read elsewhere (half-hours, fleets, feeders, outcomes).

use super::raw::{RawCell, RawRow, words_of};

/// A sheet with its name and the headings that tell it, any one of which no survey has.
const KNOWN: &[(&str, &[&str])] = &[
    ("profiles", &[]),
    ("fleet", &["vehicle group", "max ac a", "daily miles mean", "daily miles high"]),
    ("feeders", &["customers", "capacity kva"]),
    ("outcomes", &["verdict on site", "installed cost gbp"]),
];

/// Whether a sheet has the name of one of them.
pub(super) fn is_known(name: &str) -> bool {
    let name = words_of(name);
    KNOWN.iter().any(|(known, _)| *known == name)
}

/// Which of those beside half-hours it is, by its name or by two of its headings.
pub(super) fn known_as(name: &str, beginning: &[RawRow]) -> Option<&'static str> {
    let name = words_of(name);
    KNOWN.iter().filter(|(_, telling)| !telling.is_empty()).find_map(|(known, telling)| {
        let told = beginning.iter().any(|row| {
            let headings: Vec<String> = row
                .cells
                .iter()
                .filter_map(|(_, cell)| match cell {
                    RawCell::Text(text) => Some(words_of(text)),
                    _ => None,
                })
                .collect();
            let has = |heading: &str| headings.iter().any(|own| own == heading);
            let key = has("site id") || has("feeder id");
            let place = has("address") || has("postcode");
            key && !place && telling.iter().any(|heading| has(heading))
        });
        (*known == name || told).then_some(*known)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn row(cells: &[&str]) -> RawRow {
        let cells = (0..).zip(cells).map(|(at, text)| (at, RawCell::Text((*text).to_owned()))).collect();
        RawRow { row: 1, cells }
    }

    #[test]
    fn they_are_known_by_name_or_by_headings_and_a_survey_is_none_of_them() {
        assert_eq!(known_as("Fleet", &[]), Some("fleet"));
        assert_eq!(known_as("Sheet1", &[row(&["site_id", "vehicle_group", "count"])]), Some("fleet"));
        assert_eq!(known_as("x", &[row(&["feeder_id", "capacity_kva", "customers"])]), Some("feeders"));
        assert_eq!(known_as("x", &[row(&["Site ID", "Verdict on site", "hours"])]), Some("outcomes"));
        assert_eq!(known_as("x", &[row(&["site_id", "address", "customers", "cutout_rating_a"])]), None);
        assert_eq!(known_as("profiles", &[]), None);
        assert!(is_known(" Profiles ") && is_known("OUTCOMES") && !is_known("Survey"));
    }
}
