//! Bands of a home's existing demand where the survey states none (`household_demand.csv`).

use crate::quantity::Band;
use crate::table::Table;
use std::sync::OnceLock;

/// One line of the table.
#[derive(Clone, Debug)]
pub struct HouseholdBand {
    /// Heating word of the survey, or "unknown".
    pub heating: &'static str,
    /// "yes", "no" or "unknown".
    pub shower: &'static str,
    /// Amperes at 230 V, on paper.
    pub demand_a: Band,
    /// Where it comes from.
    pub source: &'static str,
}

/// The band of a home by heating word and shower; words that are not in the table are taken as unknown.
pub fn household_band(heating: &str, shower: Option<bool>) -> &'static HouseholdBand {
    static TABLE: OnceLock<Vec<HouseholdBand>> = OnceLock::new();
    let rows = TABLE.get_or_init(|| {
        Table::of(include_str!("tables/household_demand.csv"))
            .rows()
            .map(|row| HouseholdBand {
                heating: row.kept("heating"),
                shower: row.kept("shower"),
                demand_a: Band::new(row.needed("low_a"), row.needed("likely_a"), row.needed("high_a")),
                source: row.kept("source"),
            })
            .collect()
    });
    let shower = match shower {
        Some(true) => "yes",
        Some(false) => "no",
        None => "unknown",
    };
    rows.iter()
        .find(|row| row.heating == heating && row.shower == shower)
        .or_else(|| rows.iter().find(|row| row.heating == "unknown" && row.shower == shower))
        // The table has a line for unknown heating with each shower word; a test holds it.
        .unwrap_or(&rows[0])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn unknown_heating_has_the_widest_band() {
        assert_eq!(household_band("gas", Some(false)).demand_a.high, 45.0);
        for shower in [None, Some(true), Some(false)] {
            assert_eq!(household_band("no such heating", shower).heating, "unknown");
        }
    }
}
