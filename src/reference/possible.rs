//! What a fact may prove to be while nobody has looked (`possible.csv`): alternatives with weights, for odds, decisive
//! facts and questions, never for a design.

use crate::table::Table;
use std::collections::BTreeMap;
use std::sync::OnceLock;

/// An alternative of less weight than this is not plausible.
pub const PLAUSIBLE: f64 = 0.05;

/// Field, condition and value of an alternative.
pub type Holding = (&'static str, &'static str, &'static str);

/// Alternatives that hold a site as long as they are plausible: with a weight below that the hold goes.
pub const HOLDING: [Holding; 2] = [STOREYS, TENURE];
/// A block may be high enough for building control's consent.
pub const STOREYS: Holding = ("storeys", "storeys not known", "8");
/// A home may be let, and its landlord be asked.
pub const TENURE: Holding = ("tenure", "tenure not known", "private rent");

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

impl Alternatives {
    /// The weight of a value; none for one that is not among them.
    pub fn weight_of(&self, value: &str) -> Option<f64> {
        self.of.iter().find(|alternative| alternative.value == value).map(|alternative| alternative.weight)
    }
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
