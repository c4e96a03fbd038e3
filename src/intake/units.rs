//! Units and doubts as data: what a unit is called and what one of it is, how wide each mark of doubt makes a figure.
//!
//! It knows the two tables (`units.csv`, `doubt.csv`) and nothing of cells or fields.

use std::collections::{BTreeMap, HashMap};
use std::sync::OnceLock;

pub(super) const UNITS_CSV: &str = include_str!("units.csv");
const DOUBT_CSV: &str = include_str!("doubt.csv");

/// What a unit measures. `m` is a metre for a length and a milliohm for a resistance: the quantity decides.
pub(super) type Quantity = &'static str;

/// A unit in which a figure was written.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Unit {
    /// current, power, apparent, resistance, fault, length, area, temperature, angle, distance, economy.
    pub quantity: Quantity,
    /// What one of it is in the quantity's own unit (A, kW, kVA, ohm, kA, m, mm2, degrees, miles, miles/kWh).
    pub factor: f64,
}

/// Why a figure is not exact.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Doubt {
    /// About, roughly, c., ~, ish.
    Approximate,
    /// A question mark, or a remark beside the number.
    Queried,
    /// At least, over, a plus sign.
    AtLeast,
    /// At most, up to, under.
    AtMost,
    /// Two values were given.
    Between,
    /// A queried or approximate rating of a fuse, which comes in steps and errs to the low side.
    QueriedRating,
    /// The rating of a device, told by telephone.
    ToldByPhone,
    /// The rating of a device, inferred at a desk.
    FromDesk,
}

/// Every quantity of `units.csv`.
pub(super) const QUANTITIES: &[Quantity] = &[
    "current",
    "power",
    "apparent",
    "resistance",
    "fault",
    "length",
    "area",
    "temperature",
    "angle",
    "distance",
    "economy",
];

fn units() -> &'static BTreeMap<Quantity, HashMap<String, f64>> {
    static UNITS: OnceLock<BTreeMap<Quantity, HashMap<String, f64>>> = OnceLock::new();
    UNITS.get_or_init(|| {
        let mut units: BTreeMap<Quantity, HashMap<String, f64>> = BTreeMap::new();
        for record in csv::Reader::from_reader(UNITS_CSV.as_bytes()).records().flatten() {
            let (Some(written), Some(quantity), Some(factor)) = (record.get(0), record.get(1), record.get(2)) else {
                continue;
            };
            let quantity = QUANTITIES.iter().find(|known| **known == quantity);
            if let (Some(quantity), Ok(factor)) = (quantity, factor.parse()) {
                units.entry(*quantity).or_default().insert(written.to_owned(), factor);
            }
        }
        units
    })
}

/// The unit that `written` names among `quantities`, the first that has it.
pub(super) fn unit_named(written: &str, quantities: &[Quantity]) -> Option<Unit> {
    quantities.iter().find_map(|quantity| {
        let factor = *units().get(quantity)?.get(written)?;
        Some(Unit { quantity, factor })
    })
}

/// The low and high share of a figure under a doubt, from `doubt.csv`.
pub(super) fn shares(doubt: Doubt) -> (f64, f64) {
    static SHARES: OnceLock<BTreeMap<Doubt, (f64, f64)>> = OnceLock::new();
    let table = SHARES.get_or_init(|| {
        let mut table = BTreeMap::new();
        for record in csv::Reader::from_reader(DOUBT_CSV.as_bytes()).records().flatten() {
            let doubt = match record.get(0) {
                Some("approximate") => Doubt::Approximate,
                Some("queried") => Doubt::Queried,
                Some("at-least") => Doubt::AtLeast,
                Some("at-most") => Doubt::AtMost,
                Some("queried-rating") => Doubt::QueriedRating,
                Some("told-by-phone") => Doubt::ToldByPhone,
                Some("from-desk") => Doubt::FromDesk,
                _ => continue,
            };
            let share = |index: usize| record.get(index).and_then(|cell| cell.parse().ok());
            if let (Some(low), Some(high)) = (share(1), share(2)) {
                table.insert(doubt, (low, high));
            }
        }
        table
    });
    table.get(&doubt).copied().unwrap_or((1.0, 1.0))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn doubt_widens_and_never_narrows() {
        for doubt in [
            Doubt::Approximate,
            Doubt::Queried,
            Doubt::AtLeast,
            Doubt::AtMost,
            Doubt::QueriedRating,
            Doubt::ToldByPhone,
            Doubt::FromDesk,
        ] {
            let (low, high) = shares(doubt);
            assert!(low <= 1.0 && high >= 1.0 && low < high, "{doubt:?}");
        }
    }
}
