//! The survey columns as data: names, kinds, units, plausible bounds, meaning and the ways people write them.
//!
//! `fields.csv` is the one list: the reader, the template, the schema and the README table are made from it.

use crate::table::{Row, Table};
use std::sync::OnceLock;

/// What kind of value a column holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FieldKind {
    /// Free text, kept as written.
    Text,
    /// An identifier: text whose digits must not be rounded or lose zeros.
    Identifier,
    /// A number with a unit.
    Number,
    /// A whole number.
    Count,
    /// yes or no.
    YesNo,
    /// One of a closed list of words.
    Word,
    /// A calendar date.
    Date,
    /// A time of day.
    Time,
}

/// One survey column.
#[derive(Clone, Debug)]
pub struct Field {
    /// Canonical heading, as in the contract.
    pub name: &'static str,
    /// Group on the template: identity, supply, load, board, parking, permissions, wanted.
    pub group: &'static str,
    /// Kind of value.
    pub kind: FieldKind,
    /// Unit of a number ("A", "m", "mm2", ...), empty where there is none.
    pub unit: &'static str,
    /// Lowest plausible number, inclusive.
    pub min: Option<f64>,
    /// Highest plausible number, inclusive.
    pub max: Option<f64>,
    /// The allowed words of a `Word` field.
    pub words: Vec<&'static str>,
    /// Whether the column is read as personal data (left out when a result is shared).
    pub personal: bool,
    /// What it means, for people.
    pub meaning: &'static str,
    /// The ways people head this column, beside its name.
    pub headings: Vec<&'static str>,
}

const FIELDS_CSV: &str = include_str!("fields.csv");

/// All survey columns, in template order.
pub fn fields() -> &'static [Field] {
    static FIELDS: OnceLock<Vec<Field>> = OnceLock::new();
    FIELDS.get_or_init(|| {
        let list = |cell: &'static str| cell.split('|').map(str::trim).filter(|word| !word.is_empty()).collect();
        let field = |row: Row<'_>| Field {
            name: row.kept("name"),
            group: row.kept("group"),
            kind: match row.text("kind") {
                "identifier" => FieldKind::Identifier,
                "number" => FieldKind::Number,
                "count" => FieldKind::Count,
                "yes-no" => FieldKind::YesNo,
                "word" => FieldKind::Word,
                "date" => FieldKind::Date,
                "time" => FieldKind::Time,
                _ => FieldKind::Text,
            },
            unit: row.kept("unit"),
            min: row.number("min"),
            max: row.number("max"),
            words: list(row.kept("words")),
            personal: row.text("personal") == "yes",
            meaning: row.kept("meaning"),
            headings: list(row.kept("headings")),
        };
        Table::of(FIELDS_CSV).rows().map(field).collect()
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_field_is_named_once_and_grouped() {
        let groups = ["identity", "supply", "load", "board", "parking", "permissions", "wanted"];
        let mut seen = std::collections::BTreeSet::new();
        for field in fields() {
            assert!(seen.insert(field.name), "{} stands twice", field.name);
            assert!(groups.contains(&field.group), "{}: group {}", field.name, field.group);
            assert!(!field.meaning.is_empty(), "{} has no meaning", field.name);
            assert_eq!(field.kind == FieldKind::Word, !field.words.is_empty(), "{}: words", field.name);
        }
        assert!(seen.len() >= 70);
    }

    /// The names that other people's sheets rely on: none may go, be renamed or change its group.
    #[test]
    fn the_names_of_the_contract_stand_in_their_order() {
        let contract = [
            (
                "identity",
                "site_id uprn address postcode nation premises_type tenure lot priority survey_date survey_method latitude longitude notes override_verdict override_by override_date override_why",
            ),
            (
                "supply",
                "mpan distributor metering supply_present unmetered supply_phases cutout_rating_a cutout_evidence cutout_condition looped_service tails_mm2 isolator_present earthing_system ze_ohm electrode_position fault_level_ka main_bonding_mm2 agreed_capacity_kva recorded_peak_kva feeder_id",
            ),
            (
                "load",
                "existing_demand_a existing_demand_kw demand_method bedrooms heating shower_kw cooker_kw water_heater_kw heat_pump_kw solar_kw battery_kw existing_charge_points",
            ),
            (
                "board",
                "board_type board_condition board_main_switch_a earthing_conductor_mm2 condition_report condition_report_date submain_mm2 submain_device_a spare_ways board_rcd_type surge_protection meter_to_board_m",
            ),
            (
                "parking",
                "parking_type bays parking_distance_m distance_from route_indoor_m route_surface_m route_buried_m ground_surface walls insulated_length_m ambient_c grouped_circuits covered_parking storeys inlet_position parking_orientation tethered mobile_signal",
            ),
            ("permissions", "listed consent_status wayleave_status year_built asbestos_on_route"),
            ("wanted", "points_wanted requested_kw vehicles daily_miles miles_per_kwh arrive depart"),
        ];
        for (group, names) in contract {
            let own: Vec<&str> = fields().iter().filter(|field| field.group == group).map(|field| field.name).collect();
            let kept: Vec<&str> =
                own.iter().copied().filter(|name| names.split(' ').any(|known| known == *name)).collect();
            assert_eq!(kept, names.split(' ').collect::<Vec<_>>(), "{group}");
        }
    }

    /// Counted beside the name itself.
    #[test]
    fn people_write_each_heading_in_a_dozen_ways_or_more() {
        for field in fields() {
            let name = field.name.replace('_', " ");
            let ways: std::collections::BTreeSet<&str> =
                field.headings.iter().copied().filter(|heading| *heading != name).collect();
            assert!(ways.len() >= 12, "{}: {} ways", field.name, ways.len());
            for way in ways {
                // As the reader compares them: small letters and digits, single blanks.
                let plain = way.split(' ').all(|word| {
                    !word.is_empty() && word.bytes().all(|byte| byte.is_ascii_lowercase() || byte.is_ascii_digit())
                });
                assert!(plain, "{}: {way:?}", field.name);
            }
        }
    }

    #[test]
    fn no_heading_leads_to_two_fields() {
        let mut seen = std::collections::BTreeMap::new();
        for field in fields() {
            let name = field.name.replace('_', " ");
            for heading in field.headings.iter().map(|heading| (*heading).to_owned()).chain([name]) {
                let before = seen.insert(heading.clone(), field.name);
                assert!(before.is_none_or(|other| other == field.name), "{heading}: {before:?} and {}", field.name);
            }
        }
    }
}
