//! How many rods an electrode takes in a range of soils, and what they then give. An estimate: the resistance measured
//! on site always rules.

use super::{rod_ohm, rods_in_line_ohm};
use crate::rules::Rules;

/// Most rods in line that the table of factors reaches.
const MOST_RODS: u32 = 10;

/// An electrode for the rules' soil.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct RodDesign {
    /// Rods in line, a rod's length apart.
    pub(super) rods: u32,
    /// Resistance in dry weather at the low, likely and high end of the soil, ohms.
    pub(super) ohm: [f64; 3],
    /// The likely one with the season's margin, ohms.
    pub(super) with_margin_ohm: f64,
    /// Whether that is within the limit; not even ten rods are where it is not.
    pub(super) within: bool,
}

/// One rod in the likely soil, ohms.
pub(super) fn one_rod_ohm(rules: &Rules) -> f64 {
    let circuit = &rules.circuit;
    rod_ohm(circuit.soil_resistivity_ohm_m[1], circuit.rod_length_m, circuit.rod_diameter_m)
}

/// The fewest rods by which the likely soil, with the season's margin, keeps within the stable limit.
pub(super) fn rod_design(rules: &Rules) -> RodDesign {
    let circuit = &rules.circuit;
    let one_a_ohm_metre = rod_ohm(1.0, circuit.rod_length_m, circuit.rod_diameter_m);
    // Resistance is in proportion to resistivity, of one rod and of rods in line.
    let share = |rods: u32| rods_in_line_ohm(one_a_ohm_metre, 1.0, circuit.rod_length_m, rods);
    let [_, likely, _] = circuit.soil_resistivity_ohm_m;
    let within = |share: f64| share * likely * circuit.electrode_season_margin <= circuit.electrode_limit_ohm;
    let fewest = (1..=MOST_RODS).find(|rods| share(*rods).is_some_and(within));
    let rods = fewest.unwrap_or(MOST_RODS);
    let share = share(rods).unwrap_or(one_a_ohm_metre);
    RodDesign {
        rods,
        ohm: circuit.soil_resistivity_ohm_m.map(|rho| rho * share),
        with_margin_ohm: share * likely * circuit.electrode_season_margin,
        within: fewest.is_some(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::default_rules;

    fn in_soil(likely: f64) -> RodDesign {
        let mut rules = default_rules().clone();
        rules.circuit.soil_resistivity_ohm_m = [likely / 2.0, likely, likely * 2.5];
        rod_design(&rules)
    }

    #[test]
    fn one_rod_serves_ordinary_soil_and_sand_takes_more() {
        // 1.2 m of 16 mm in 100 ohm metres: 71.6 ohm, with the margin 143.
        let usual = rod_design(default_rules());
        assert_eq!(usual.rods, 1);
        assert!((usual.ohm[1] - 71.6).abs() < 0.05 && (usual.with_margin_ohm - 143.2).abs() < 0.1, "{usual:?}");
        let rods = [100.0, 139.0, 140.0, 300.0, 600.0].map(|likely| in_soil(likely).rods);
        assert_eq!(rods[..3], [1, 1, 2]);
        assert!(rods[3] > 2 && rods[4] > rods[3], "{rods:?}");
    }

    #[test]
    fn the_figures_are_those_of_the_formulas_and_ten_rods_are_the_end() {
        let sand = in_soil(300.0);
        let one = rod_ohm(300.0, 1.2, 0.016);
        let direct = rods_in_line_ohm(one, 300.0, 1.2, sand.rods).unwrap();
        assert!((sand.ohm[1] - direct).abs() < 1e-9);
        assert!(rods_in_line_ohm(one, 300.0, 1.2, sand.rods - 1).unwrap() * 2.0 > 200.0, "one fewer would not do");
        let rock = in_soil(5000.0);
        assert!(!rock.within && rock.rods == 10 && rock.with_margin_ohm > 200.0);
    }
}
