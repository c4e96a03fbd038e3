//! Figures that checks of protection compare with, and the power-quality class of a charge point by its current
//! (`protection_figures.csv`, `power_quality.csv`).
//!
//! It knows no circuit: it answers with the figure of a row.

use crate::table::Table;
use std::sync::OnceLock;

/// A figure of `protection_figures.csv` by its name; not a number for a name that is not there, which a test excludes
/// for every name in use: no comparison with it holds.
pub fn protection_figure(name: &str) -> f64 {
    static TABLE: OnceLock<Vec<(&'static str, f64)>> = OnceLock::new();
    TABLE
        .get_or_init(|| {
            Table::of(include_str!("tables/protection_figures.csv"))
                .rows()
                .map(|row| (row.kept("figure"), row.needed("value")))
                .collect()
        })
        .iter()
        .find(|(figure, _)| *figure == name)
        .map_or(f64::NAN, |(_, value)| *value)
}

/// The power-quality class of a charge point.
#[derive(Clone, Debug)]
pub struct PowerQuality {
    /// Input current a phase above which the class begins, amperes.
    pub over_a: f64,
    /// Input current a phase up to which it holds, amperes; infinity for the last.
    pub to_a: f64,
    /// Standards for harmonics and flicker.
    pub standards: &'static str,
    /// What goes with them.
    pub condition: &'static str,
}

/// The class of a charge point of `input_a` amperes a phase, above zero.
pub fn power_quality(input_a: f64) -> Option<&'static PowerQuality> {
    static TABLE: OnceLock<Vec<PowerQuality>> = OnceLock::new();
    TABLE
        .get_or_init(|| {
            Table::of(include_str!("tables/power_quality.csv"))
                .rows()
                .map(|row| PowerQuality {
                    over_a: row.needed("over_a"),
                    to_a: row.number("to_a").unwrap_or(f64::INFINITY),
                    standards: row.kept("standards"),
                    condition: row.kept("condition"),
                })
                .collect()
        })
        .iter()
        .find(|class| input_a > class.over_a && input_a <= class.to_a)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_class_changes_above_16_and_above_75_a() {
        let standards = |input_a| power_quality(input_a).map(|class| class.standards);
        assert_eq!(standards(16.0), Some("BS EN 61000-3-2 and BS EN 61000-3-3"));
        assert_eq!(standards(16.1), Some("BS EN 61000-3-12 and BS EN 61000-3-11"));
        assert_eq!(standards(75.1), Some("EREC G5 and EREC P28"));
        assert_eq!(standards(0.0), None);
    }

    #[test]
    fn a_name_that_is_not_there_compares_with_nothing() {
        assert!(protection_figure("no such figure").is_nan());
        assert_eq!(protection_figure("final-residual"), 30.0);
    }
}
