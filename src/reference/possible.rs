//! What a fact may prove to be while nobody has looked (`possible.csv`): alternatives with weights, for odds, decisive
//! facts and questions, never for a design.

use crate::table::Table;
use std::collections::BTreeMap;
use std::sync::OnceLock;

/// One thing that a fact may prove to be.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Alternative {
    /// The value, as the survey writes it, or in words ("as stated", "a size less").
    pub value: &'static str,
    /// Its weight; the weights of one fact under one condition add to 1.
    pub weight: f64,
}

/// What a fact may prove to be under one condition.
#[derive(Clone, Debug, PartialEq)]
pub struct Alternatives {
    /// Survey field, or what stands for several.
    pub field: &'static str,
    /// The condition, in words.
    pub when: &'static str,
    /// Whether they stand in order: none is better for a verdict than the one before it.
    pub best_first: bool,
    /// The alternatives, in the order of the table.
    pub of: Vec<Alternative>,
}

/// What facts may prove to be, by field and condition.
pub type Possible = BTreeMap<&'static str, BTreeMap<&'static str, Alternatives>>;

/// The whole table.
pub fn possible() -> &'static Possible {
    static TABLE: OnceLock<Possible> = OnceLock::new();
    TABLE.get_or_init(|| {
        let mut all = Possible::new();
        for row in Table::of(include_str!("tables/possible.csv")).rows() {
            let (field, when) = (row.kept("field"), row.kept("when"));
            let best_first = row.text("order") == "best first";
            let entry = all.entry(field).or_default().entry(when).or_insert_with(|| Alternatives {
                field,
                when,
                best_first,
                of: Vec::with_capacity(4),
            });
            entry.of.push(Alternative { value: row.kept("value"), weight: row.needed("weight") });
        }
        all
    })
}
