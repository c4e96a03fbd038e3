//! What a home adds to a feeder's peak among many (`after_diversity.csv`). It knows no survey and no feeder.

use crate::quantity::Band;
use crate::table::Table;
use std::sync::OnceLock;

/// How large a home is, as far as the table tells sizes apart.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum HomeSize {
    /// A flat of one bedroom or none.
    Small,
    /// Any other home of up to three bedrooms, and a home of unknown size.
    Medium,
    /// Four bedrooms or more.
    Large,
}

impl HomeSize {
    /// The size of a home by kind and bedrooms.
    pub fn of(flat: bool, bedrooms: Option<f64>) -> Self {
        match bedrooms {
            Some(bedrooms) if bedrooms >= 4.0 => Self::Large,
            Some(bedrooms) if flat && bedrooms <= 1.0 => Self::Small,
            _ => Self::Medium,
        }
    }

    fn word(self) -> &'static str {
        match self {
            Self::Small => "small",
            Self::Medium => "medium",
            Self::Large => "large",
        }
    }
}

/// One line of the table.
struct Line {
    heating: Vec<&'static str>,
    size: &'static str,
    kw: Band,
}

/// The word of the line for each heat pump.
const HEAT_PUMP: &str = "each-heat-pump";
/// The word of the line for a home about which nothing is known.
const UNKNOWN: &str = "unknown";

fn line(heating: &str, size: &str) -> Option<Band> {
    static LINES: OnceLock<Vec<Line>> = OnceLock::new();
    let lines = LINES.get_or_init(|| {
        let table = Table::of(include_str!("tables/after_diversity.csv"));
        let line = |row: crate::table::Row<'_>| Line {
            heating: row.kept("heating").split('|').collect(),
            size: row.kept("size"),
            kw: Band::new(row.needed("low_kw"), row.needed("likely_kw"), row.needed("high_kw")),
        };
        table.rows().map(line).collect()
    });
    let fits = |line: &&Line| line.heating.contains(&heating) && (line.size == "any" || line.size == size);
    lines.iter().find(fits).map(|line| line.kw)
}

/// What a home adds to the peak of many, kilowatts, by the survey's word for its heating ("" where it is not known).
/// The electricity of a heat pump is not in it: `heat_pump_kw_after_diversity` comes on top, once for each.
pub fn home_kw_after_diversity(heating: &str, size: HomeSize) -> Band {
    // The table has a line for unknown heating; a test holds it.
    line(heating, size.word()).or_else(|| line(UNKNOWN, size.word())).unwrap_or_default()
}

/// What each heat pump adds to the peak of many, kilowatts.
pub fn heat_pump_kw_after_diversity() -> Band {
    line(HEAT_PUMP, HomeSize::Medium.word()).unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::site::Heating;

    /// Supply notes 4.1: about 1.0 for a small flat, 1.5 with three bedrooms, 2.0 with four or more, heated by gas.
    #[test]
    fn homes_heated_by_gas_go_by_size() {
        let gas = |flat, bedrooms| home_kw_after_diversity("gas", HomeSize::of(flat, bedrooms)).likely;
        assert_eq!([gas(true, Some(1.0)), gas(false, Some(3.0)), gas(false, Some(5.0))], [1.0, 1.5, 2.0]);
        assert_eq!((gas(false, Some(1.0)), gas(true, None)), (1.5, 1.5), "only a small flat is small");
    }

    #[test]
    fn every_word_of_the_survey_has_a_figure_and_so_has_none() {
        for heating in Heating::ALL {
            for size in [HomeSize::Small, HomeSize::Medium, HomeSize::Large] {
                let kw = home_kw_after_diversity(heating.word(), size);
                assert!(kw.low > 0.0 && kw.low <= kw.likely && kw.likely <= kw.high, "{heating} {size:?}");
            }
        }
        let unknown = home_kw_after_diversity("", HomeSize::Medium);
        assert_eq!(home_kw_after_diversity("other", HomeSize::Medium), unknown);
        let likely = |heating| home_kw_after_diversity(heating, HomeSize::Medium).likely;
        assert!(likely("storage") > likely("direct") && likely("direct") > likely("gas"));
    }

    /// Supply notes 4.1: 1.7 kW for each heat pump after diversity, from about 700 installations (second-hand).
    #[test]
    fn a_heat_pump_has_the_published_figure() {
        assert_eq!(heat_pump_kw_after_diversity(), Band::exact(1.7));
    }
}
