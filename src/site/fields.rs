//! The survey columns as data: names, kinds, units, plausible bounds, meaning and the ways people write them.
//!
//! `fields.csv` is the one list: the reader, the template, the schema and the README table are made from it.

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
        let mut reader = csv::Reader::from_reader(FIELDS_CSV.as_bytes());
        let mut fields = Vec::new();
        for record in reader.records().flatten() {
            let cell = |index: usize| -> &'static str {
                // The table is embedded and read once: leaking its cells makes every name 'static.
                Box::leak(record.get(index).unwrap_or_default().to_owned().into_boxed_str())
            };
            let list = |index: usize| cell(index).split('|').map(str::trim).filter(|word| !word.is_empty()).collect();
            fields.push(Field {
                name: cell(0),
                group: cell(1),
                kind: match cell(2) {
                    "identifier" => FieldKind::Identifier,
                    "number" => FieldKind::Number,
                    "count" => FieldKind::Count,
                    "yes-no" => FieldKind::YesNo,
                    "word" => FieldKind::Word,
                    "date" => FieldKind::Date,
                    "time" => FieldKind::Time,
                    _ => FieldKind::Text,
                },
                unit: cell(3),
                min: cell(4).parse().ok(),
                max: cell(5).parse().ok(),
                words: list(6),
                personal: cell(7) == "yes",
                meaning: cell(8),
                headings: list(9),
            });
        }
        fields
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
}
