//! Rating factors (Tables 4B1 to 4B4, 4C1 to 4C3, 52.2; Appendix 4 5.1.1). Between lines the harsher line is taken;
//! no factor above 1 is given, because none of the favourable ones has been seen in print.

use crate::table::Table;
use std::sync::OnceLock;

/// One line of the factor table.
struct Line {
    table: &'static str,
    variant: &'static str,
    value: f64,
    factor: f64,
}

fn lines() -> &'static [Line] {
    static TABLE: OnceLock<Vec<Line>> = OnceLock::new();
    TABLE.get_or_init(|| {
        Table::of(include_str!("tables/correction_factors.csv"))
            .rows()
            .filter_map(|row| {
                Some(Line {
                    table: row.kept("table"),
                    variant: row.kept("variant"),
                    value: row.number("value").unwrap_or_default(),
                    factor: row.number("factor")?,
                })
            })
            .collect()
    })
}

/// The factor of the first line whose value reaches `at`, capped at 1; `None` beyond the table.
fn next_line(table: &str, variant: &str, at: f64) -> Option<f64> {
    lines()
        .iter()
        .filter(|line| line.table == table && line.variant == variant)
        .find(|line| line.value >= at)
        .map(|line| line.factor.min(1.0))
}

/// Ca in air for 70 degree cable; `None` above 60 degrees, where the table ends.
pub fn ambient_air(celsius: f64) -> Option<f64> {
    next_line("4B1", "70C thermoplastic", celsius)
}

/// Ca in the ground for 70 degree cable; `None` above 60 degrees.
pub fn ambient_ground(celsius: f64) -> Option<f64> {
    next_line("4B2", "70C thermoplastic", celsius)
}

/// How circuits lie beside each other; the table of Cg and its lines follow from it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Grouping {
    /// Bunched in air or on a surface (print); to 20 circuits.
    Bunched,
    /// In one layer on a wall, touching (print); to nine.
    Layer,
    /// In one layer on perforated tray, touching (memory); to nine.
    Tray,
    /// Touching in the ground (memory but for four circuits); to six.
    Buried,
    /// In the ground in ducts that touch, one cable in each (memory); to six.
    Ducts,
}

impl Grouping {
    fn table(self) -> (&'static str, &'static str) {
        match self {
            Grouping::Bunched => ("4C1", "bunched in air, on a surface, embedded or enclosed"),
            Grouping::Layer => ("4C1", "single layer on wall/floor/unperforated tray, touching"),
            Grouping::Tray => ("4C1", "single layer multicore on perforated tray, touching"),
            Grouping::Buried => ("4C2", "multicore direct buried, clearance nil (touching)"),
            Grouping::Ducts => ("4C3", "one multicore per single-way duct, duct clearance nil (touching)"),
        }
    }

    /// Cg for so many circuits; one circuit is 1, `None` where the table ends (an engineer's factor is needed).
    pub fn factor(self, circuits: f64) -> Option<f64> {
        if circuits <= 1.0 {
            return Some(1.0);
        }
        let (table, variant) = self.table();
        next_line(table, variant, circuits)
    }

    /// The most circuits that the table knows.
    pub fn most(self) -> f64 {
        let (table, variant) = self.table();
        let known = lines().iter().filter(|line| line.table == table && line.variant == variant);
        known.map(|line| line.value).fold(1.0, f64::max)
    }
}

/// Cs for soil of this thermal resistivity, K m/W, in ducts or laid direct; tabulated ratings assume 2.5 (memory: never
/// above 1). `None` above 3.
pub fn soil_resistivity(k_m_per_w: f64, ducted: bool) -> Option<f64> {
    next_line("4B3", if ducted { "in buried ducts" } else { "direct buried" }, k_m_per_w)
}

/// Cd for cable laid `depth_m` deep, in ducts or direct; tabulated ratings assume 0.7 m (memory: never above 1). `None`
/// beyond the table.
pub fn depth_of_laying(depth_m: f64, ducted: bool) -> Option<f64> {
    next_line("4B4", if ducted { "in buried ducts" } else { "direct buried" }, depth_m)
}

/// Ci for `length_m` surrounded by thermal insulation (method C rating), never interpolated; 0.50 from half a metre.
pub fn insulation(length_m: f64) -> f64 {
    if length_m <= 0.0 {
        return 1.0;
    }
    next_line("52.2", "derate of method C (or the exposed method)", length_m * 1000.0).unwrap_or(0.50)
}

/// Cc for a cable in the ground that needs overload protection.
pub fn buried_overload() -> f64 {
    lines().iter().find(|line| line.table == "App 4 5.1.1" && line.variant == "underground").map_or(0.9, |l| l.factor)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn between_lines_the_harsher_one_rules() {
        assert_eq!(ambient_air(35.0), Some(0.94));
        assert_eq!(ambient_air(31.0), Some(0.94));
        assert_eq!(ambient_air(20.0), Some(1.0));
        assert_eq!(ambient_air(61.0), None);
        assert_eq!(Grouping::Bunched.factor(4.0), Some(0.65));
        assert_eq!(Grouping::Bunched.factor(10.0), Some(0.45));
        assert_eq!(Grouping::Buried.factor(7.0), None);
        assert_eq!(Grouping::Ducts.factor(6.0), Some(0.60));
        assert_eq!(Grouping::Ducts.factor(1.0), Some(1.0));
        let most = [Grouping::Bunched, Grouping::Layer, Grouping::Tray, Grouping::Buried, Grouping::Ducts];
        assert_eq!(most.map(Grouping::most), [20.0, 9.0, 9.0, 6.0, 6.0]);
        assert_eq!(insulation(0.06), 0.78);
        assert_eq!(insulation(3.0), 0.50);
        assert_eq!(buried_overload(), 0.9);
    }
}
