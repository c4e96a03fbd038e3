//! How long operators take to answer, in working days (`operator_times.csv`). It knows no calendar and no site.

use crate::table::Table;
use std::sync::OnceLock;

/// What an operator is asked, and for what kind of supply.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Asked {
    /// An application for charging at a home.
    Home,
    /// The same elsewhere, on a supply metered directly.
    WholeCurrent,
    /// The same on a supply metered through current transformers.
    CurrentTransformer,
    /// The same on a high-voltage supply.
    HighVoltage,
    /// A new connection.
    Connection,
    /// A first word on several installations close together.
    EarlyWord,
}

impl Asked {
    /// Every one.
    pub const ALL: [Asked; 6] = [
        Asked::Home,
        Asked::WholeCurrent,
        Asked::CurrentTransformer,
        Asked::HighVoltage,
        Asked::Connection,
        Asked::EarlyWord,
    ];

    /// Step and premises of its row.
    fn row(self) -> (&'static str, &'static str) {
        match self {
            Asked::Home => ("application", "home"),
            Asked::WholeCurrent => ("application", "whole-current"),
            Asked::CurrentTransformer => ("application", "current-transformer"),
            Asked::HighVoltage => ("application", "high-voltage"),
            Asked::Connection => ("connection", "any"),
            Asked::EarlyWord => ("early word", "any"),
        }
    }
}

/// Working days until the answer.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct OperatorTime {
    /// Low end.
    pub low: u16,
    /// Likely.
    pub likely: u16,
    /// High end.
    pub high: u16,
}

/// How long the answer takes.
pub fn operator_time(asked: Asked) -> OperatorTime {
    static TABLE: OnceLock<Vec<((&'static str, &'static str), OperatorTime)>> = OnceLock::new();
    let table = TABLE.get_or_init(|| {
        let days = |number: f64| number as u16;
        Table::of(include_str!("tables/operator_times.csv"))
            .rows()
            .map(|row| {
                let time = OperatorTime {
                    low: days(row.needed("working_days_low")),
                    likely: days(row.needed("working_days_likely")),
                    high: days(row.needed("working_days_high")),
                };
                ((row.kept("step"), row.kept("premises")), time)
            })
            .collect()
    });
    // A test finds a row for each.
    table.iter().find(|(named, _)| *named == asked.row()).map(|(_, time)| *time).unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_question_has_a_row_and_its_days_are_in_order() {
        for asked in Asked::ALL {
            let OperatorTime { low, likely, high } = operator_time(asked);
            assert!(0 < low && low <= likely && likely <= high, "{asked:?}");
        }
        assert_eq!(Table::of(include_str!("tables/operator_times.csv")).rows().count(), Asked::ALL.len());
    }

    /// SI 2015/698 reg. 5(2): 5 working days for a single low-voltage service; an operator's page: 5 to 65 for all.
    #[test]
    fn no_statutory_time_lies_outside_what_is_printed() {
        for asked in [Asked::WholeCurrent, Asked::CurrentTransformer, Asked::HighVoltage, Asked::Connection] {
            let time = operator_time(asked);
            assert!(time.low >= 5 && time.high <= 65, "{asked:?}");
        }
    }
}
