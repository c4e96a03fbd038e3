//! When and how much vehicles charge, by use (`charging_habits.csv`).
//!
//! It knows no site: it answers with the figures of a row. Most are derived or from memory; their status stands in the
//! table, and whoever shows what rests on them says so.

use crate::table::Table;
use std::sync::OnceLock;

/// What a car park is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ChargingUse {
    /// Residents, overnight.
    Home,
    /// Staff, in the day.
    Workplace,
    /// A fleet of one shift, overnight.
    Depot,
}

impl ChargingUse {
    /// Every use.
    pub const ALL: [ChargingUse; 3] = [ChargingUse::Home, ChargingUse::Workplace, ChargingUse::Depot];

    fn word(self) -> &'static str {
        match self {
            ChargingUse::Home => "home",
            ChargingUse::Workplace => "workplace",
            ChargingUse::Depot => "depot",
        }
    }
}

/// Habits of the vehicles of one use. Plain figures: whoever knows better changes them.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Habits {
    /// Sessions of a vehicle in a week.
    pub plug_ins_a_week: f64,
    /// Days of a week on which vehicles come, 1 to 7.
    pub days_a_week: f64,
    /// Energy of a session at the wall, kilowatt-hours.
    pub session_kwh: f64,
    /// Mean hour of plugging in, after midnight.
    pub start_mean_h: f64,
    /// Standard deviation of it, hours.
    pub start_spread_h: f64,
    /// Hour of leaving, after midnight.
    pub leave_h: f64,
    /// Hour at which a cheaper tariff begins, after midnight.
    pub tariff_start_h: f64,
    /// Longest random delay after it, minutes; every delay up to it is as likely.
    pub delay_most_min: f64,
    /// Power that a vehicle draws, kilowatts.
    pub kw: f64,
}

/// The habits of a use.
pub fn charging_habits(of: ChargingUse) -> Habits {
    static TABLE: OnceLock<Vec<(&'static str, &'static str, f64)>> = OnceLock::new();
    let table = TABLE.get_or_init(|| {
        Table::of(include_str!("tables/charging_habits.csv"))
            .rows()
            .map(|row| (row.kept("use"), row.kept("figure"), row.needed("value")))
            .collect()
    });
    // Not a number for a figure that is not there, which a test excludes.
    let figure = |name: &str| {
        table.iter().find(|(word, figure, _)| *word == of.word() && *figure == name).map_or(f64::NAN, |row| row.2)
    };
    Habits {
        plug_ins_a_week: figure("plug_ins_a_week"),
        days_a_week: figure("days_a_week"),
        session_kwh: figure("session_kwh"),
        start_mean_h: figure("start_mean_h"),
        start_spread_h: figure("start_spread_h"),
        leave_h: figure("leave_h"),
        tariff_start_h: figure("tariff_start_h"),
        delay_most_min: figure("delay_most_min"),
        kw: figure("kw"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_use_has_every_figure_with_status_and_source() {
        for of in ChargingUse::ALL {
            let own = charging_habits(of);
            let hours = [own.start_mean_h, own.leave_h, own.tariff_start_h];
            assert!(hours.iter().all(|hour| (0.0..24.0).contains(hour)), "{of:?}");
            assert!((1.0..=7.0).contains(&own.days_a_week) && own.plug_ins_a_week <= own.days_a_week, "{of:?}");
            assert!(own.session_kwh > 0.0 && own.kw > 0.0 && own.start_spread_h > 0.0, "{of:?}");
            assert!((0.0..=30.0).contains(&own.delay_most_min), "{of:?}: 1 800 s is the most a point is capable of");
            let stay_h = (own.leave_h - own.start_mean_h).rem_euclid(24.0);
            assert!(own.kw * stay_h > own.session_kwh, "{of:?}: a usual session does not fit its stay");
        }
        let table = Table::of(include_str!("tables/charging_habits.csv"));
        let statuses = ["print", "second-hand", "derived", "memory"];
        for row in table.rows() {
            assert!(statuses.contains(&row.text("status")) && !row.text("source").is_empty(), "{}", row.text("figure"));
        }
        assert_eq!(table.rows().count(), 27);
    }

    #[test]
    fn a_home_session_is_a_year_of_driving_shared_out() {
        // Supply notes 4.3: 8 500 miles a year at 3.5 miles a kilowatt-hour, three sessions a week.
        let own = charging_habits(ChargingUse::Home);
        assert!((own.session_kwh - 8_500.0 / 3.5 / (own.plug_ins_a_week * 52.0)).abs() < 0.05);
    }
}
