//! Circuit-breakers: loop impedance for disconnection (Table 41.3), let-through energy, preferred ratings.

use super::types::Curve;
use crate::quantity::{CMIN, U0_V};
use crate::table::Table;
use std::sync::OnceLock;

/// Greatest earth-fault loop impedance for a breaker, ohms, for a final circuit (0.4 s; B and C also serve 5 s).
///
/// From Table 41.3 as tabulated; a rating that is not tabulated (above 125 A) is answered by the table's formula
/// U0 x 0.95 / Ia with Ia = 5, 10 or 20 In, cut (not rounded) to 0.01 ohm.
pub fn zs_limit_ohm(curve: Curve, rating_a: f64) -> f64 {
    static TABLE: OnceLock<Vec<(Curve, f64, f64)>> = OnceLock::new();
    let rows = TABLE.get_or_init(|| {
        Table::of(include_str!("tables/disconnection.csv"))
            .rows()
            .filter(|row| row.number("disconnection_time_s") == Some(0.4))
            .filter_map(|row| {
                let curve = match row.text("breaker_type") {
                    "B" => Curve::B,
                    "C" => Curve::C,
                    "D" => Curve::D,
                    _ => return None,
                };
                Some((curve, row.number("rated_current_a")?, row.number("zs_max_ohm")?))
            })
            .collect()
    });
    rows.iter().find(|row| row.0 == curve && row.1 == rating_a).map_or_else(
        || {
            let certain_a = curve.certain_multiple() * rating_a.max(1.0);
            (U0_V * CMIN / certain_a * 100.0).floor() / 100.0
        },
        |row| row.2,
    )
}

/// Let-through energy of an energy-limiting class 3 breaker at a fault of `fault_ka`, A2s: the value of the next higher
/// tabulated fault and rating of its own characteristic. `None` above 10 kA or 40 A and for a characteristic that the
/// table does not hold (C lets more through than B), where only the maker's curve tells. All values are memory.
pub fn let_through_a2s(curve: Curve, rating_a: f64, fault_ka: f64) -> Option<f64> {
    static TABLE: OnceLock<Vec<(&'static str, [f64; 3])>> = OnceLock::new();
    TABLE
        .get_or_init(|| {
            Table::of(include_str!("tables/let_through.csv"))
                .rows()
                .map(|row| {
                    let figures = ["rating_to_a", "fault_ka", "i2t_a2s"];
                    (row.kept("curve"), figures.map(|column| row.needed(column)))
                })
                .collect()
        })
        .iter()
        .filter(|(letter, _)| *letter == curve.word())
        .find(|(_, [to_a, ka, _])| rating_a <= *to_a && fault_ka <= *ka)
        .map(|(_, [_, _, energy])| *energy)
}

/// The same at the highest fault that the class table holds, for what must hold at every higher fault too; `None` where
/// the table does not hold the device.
pub fn let_through_at_most_a2s(curve: Curve, rating_a: f64) -> Option<f64> {
    const HIGHEST_KA: f64 = 10.0;
    let_through_a2s(curve, rating_a, HIGHEST_KA)
}

/// Preferred ratings of breakers, amperes, rising.
pub fn device_ratings() -> &'static [f64] {
    static TABLE: OnceLock<Vec<f64>> = OnceLock::new();
    TABLE.get_or_init(|| {
        Table::of(include_str!("tables/device_ratings.csv")).rows().map(|row| row.needed("rating_a")).collect()
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn printed_limits_are_found_and_the_formula_continues_on_the_safe_side() {
        assert_eq!(zs_limit_ohm(Curve::B, 32.0), 1.37);
        assert_eq!(zs_limit_ohm(Curve::B, 10.0), 4.37);
        assert_eq!(zs_limit_ohm(Curve::C, 160.0), 0.13);
    }

    #[test]
    fn let_through_takes_the_next_higher_line() {
        assert_eq!(let_through_a2s(Curve::B, 40.0, 4.6), Some(54_000.0));
        assert_eq!(let_through_a2s(Curve::B, 20.0, 3.0), Some(18_000.0));
        assert_eq!(let_through_a2s(Curve::B, 40.0, 12.0), None);
        assert_eq!(let_through_a2s(Curve::B, 63.0, 3.0), None);
        assert_eq!(let_through_a2s(Curve::C, 32.0, 3.0), None);
        assert_eq!(let_through_at_most_a2s(Curve::B, 16.0), Some(70_000.0));
        assert_eq!(let_through_a2s(Curve::B, 16.0, 10.1), None, "ten kiloamperes is the highest line");
    }
}
