//! What charge points need together at the peak, each, by how many there are (`charging_diversity.csv`). It knows no
//! site.

use crate::table::Table;
use std::sync::OnceLock;

/// How the vehicles of many points charge.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Charging {
    /// Each begins when it is plugged in.
    Uncontrolled,
    /// All begin with the cheap hours of a night tariff.
    NightTariff,
    /// A group controller shares what the night's energy takes.
    Controlled,
}

impl Charging {
    /// Every way, in the order of the table.
    pub const ALL: [Charging; 3] = [Charging::Uncontrolled, Charging::NightTariff, Charging::Controlled];

    fn column(self) -> &'static str {
        match self {
            Charging::Uncontrolled => "uncontrolled_kw",
            Charging::NightTariff => "night_tariff_kw",
            Charging::Controlled => "controlled_kw",
        }
    }
}

/// The table, drawn out to every whole number of points.
struct Drawn {
    point_kw: f64,
    each_kw: [Vec<f64>; 3],
}

fn drawn() -> &'static Drawn {
    static DRAWN: OnceLock<Drawn> = OnceLock::new();
    DRAWN.get_or_init(|| {
        let table = Table::of(include_str!("tables/charging_diversity.csv"));
        let column = |way: Charging| -> Vec<(f64, f64)> {
            table.rows().map(|row| (row.needed("points"), row.needed(way.column()))).collect()
        };
        let draw = |way: Charging| {
            let knots = column(way);
            let most = knots.last().map_or(0.0, |(points, _)| *points) as u32;
            (1..=most).map(|points| between(&knots, f64::from(points))).collect()
        };
        Drawn {
            point_kw: table.rows().next().map_or(0.0, |row| row.needed("point_kw")),
            each_kw: Charging::ALL.map(draw),
        }
    })
}

/// The figure at so many points: linear in their logarithm between two lines of the table.
fn between(knots: &[(f64, f64)], points: f64) -> f64 {
    let after = knots.partition_point(|(at, _)| *at < points);
    let (Some(high), Some(low)) = (knots.get(after), knots.get(after.saturating_sub(1))) else {
        return knots.last().map_or(0.0, |(_, kw)| *kw);
    };
    if high.0 <= low.0 {
        return high.1;
    }
    low.1 + (high.1 - low.1) * (points / low.0).ln() / (high.0 / low.0).ln()
}

/// Rate of the points of the table, kilowatts.
pub fn tabulated_point_kw() -> f64 {
    drawn().point_kw
}

/// The most points that the table tells apart; more need as much each.
pub fn most_tabulated_points() -> u32 {
    u32::try_from(drawn().each_kw[0].len()).unwrap_or(u32::MAX)
}

/// Kilowatts that each of so many points needs at their common peak, at the rate of the table; 0 for no points.
/// Between lines it is linear in the logarithm of the number; beyond the last line that line holds.
pub fn charging_kw_each(way: Charging, points: u32) -> f64 {
    // A way is its own place in the list of ways.
    let each = &drawn().each_kw[way as usize];
    let at = usize::try_from(points).unwrap_or(usize::MAX).min(each.len());
    at.checked_sub(1).and_then(|at| each.get(at)).copied().unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Supply notes 4.3, read for a block with 20 bays: about 70 kW uncontrolled, 110 at a night tariff, 22 controlled.
    #[test]
    fn twenty_bays_need_what_the_notes_say() {
        let whole = |way| (20.0 * charging_kw_each(way, 20)).round();
        assert_eq!(Charging::ALL.map(whole), [70.0, 110.0, 22.0]);
    }

    #[test]
    fn between_two_lines_it_is_linear_in_the_logarithm() {
        // Halfway from 5 to 20 in the logarithm is 10, which has a line; from 10 to 20 it is 14.14.
        let each = charging_kw_each(Charging::Uncontrolled, 14);
        let by_hand = 4.5 - (14.0_f64 / 10.0).ln() / 2.0_f64.ln();
        assert!((each - by_hand).abs() < 1e-12, "{each} and {by_hand}");
        assert_eq!(charging_kw_each(Charging::Uncontrolled, 10), 4.5);
        assert_eq!(charging_kw_each(Charging::NightTariff, 5_000), 4.1, "beyond the last line");
        assert_eq!(charging_kw_each(Charging::Uncontrolled, 0), 0.0);
        assert_eq!((tabulated_point_kw(), most_tabulated_points()), (7.2, 100));
    }

    #[test]
    fn more_points_need_less_each_and_no_less_together() {
        for way in Charging::ALL {
            for points in 1..most_tabulated_points() {
                let (few, more) = (charging_kw_each(way, points), charging_kw_each(way, points + 1));
                assert!(more <= few && more > 0.0 && few <= tabulated_point_kw(), "{way:?} {points}");
                // A single point has nobody to share with, so a second may bring control and a lower peak.
                let alone = way == Charging::Controlled && points == 1;
                assert!(alone || more * f64::from(points + 1) >= few * f64::from(points), "{way:?} {points}");
            }
        }
    }
}
