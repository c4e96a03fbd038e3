//! Earth electrodes and the broken PEN: rods, rods in line, the limit on TT, and what a lost neutral does to the earth.
//!
//! Formulas only. A computed electrode is an estimate: the resistance measured on site always rules.

use crate::quantity::{U0_V, neutral_a};
use crate::reference::rods_in_line_lambda;
use std::f64::consts::PI;

/// Voltage between the main earthing terminal and Earth that an open PEN may cause (722.411.4.1; print).
const OPEN_PEN_LIMIT_V: f64 = 70.0;
/// Touch voltage that a residual-current device on TT must not let pass (411.5.3; print).
const TOUCH_LIMIT_V: f64 = 50.0;
/// Factor of the highest supply voltage (BS 7671, Cmax; print).
const CMAX: f64 = 1.1;

/// Resistance of one vertical rod, ohms: `rho / (2 pi L) x (ln(8 L / d) - 1)`.
///
/// BS 7430 (formula seen in print in an earthing calculation report). `rho_ohm_m` is the resistivity of uniform soil,
/// `length_m` the buried length and `diameter_m` the diameter in metres; valid while the rod is much longer than thick.
pub fn rod_ohm(rho_ohm_m: f64, length_m: f64, diameter_m: f64) -> f64 {
    rho_ohm_m / (2.0 * PI * length_m) * ((8.0 * length_m / diameter_m).ln() - 1.0)
}

/// Resistance of `rods` equal rods in line, ohms: `R1 x (1 + lambda alpha) / n` with `alpha = rho / (2 pi R1 s)`.
///
/// BS 7430 (formula print; the factor print for two rods, memory for more). `spacing_m` is at least the rod's length.
/// `None` above ten rods, where the table of factors ends.
pub fn rods_in_line_ohm(one_ohm: f64, rho_ohm_m: f64, spacing_m: f64, rods: u32) -> Option<f64> {
    let lambda = rods_in_line_lambda(rods)?;
    Some(with_lambda_ohm(one_ohm, rho_ohm_m, spacing_m, rods, lambda))
}

/// The same with a factor given by the caller, for a published calculation that names its own.
pub fn with_lambda_ohm(one_ohm: f64, rho_ohm_m: f64, spacing_m: f64, rods: u32, lambda: f64) -> f64 {
    let alpha = rod_coupling(one_ohm, rho_ohm_m, spacing_m);
    one_ohm * (1.0 + lambda * alpha) / f64::from(rods.max(1))
}

/// How strongly rods `spacing_m` apart see each other, no unit: `rho / (2 pi R1 s)` (BS 7430; print).
pub fn rod_coupling(one_ohm: f64, rho_ohm_m: f64, spacing_m: f64) -> f64 {
    rho_ohm_m / (2.0 * PI * one_ohm * spacing_m)
}

/// Greatest electrode resistance on TT for a residual-current device, ohms: `50 V / I_dn`.
///
/// BS 7671 411.5.3 and Table 41.5 (second-hand). `residual_a` is the rated residual current in amperes, above zero.
pub fn tt_electrode_limit_ohm(residual_a: f64) -> f64 {
    TOUCH_LIMIT_V / residual_a
}

/// Greatest rated residual current for an electrode, amperes: `50 V / R_A` (411.5.3; second-hand).
pub fn tt_residual_limit_a(electrode_ohm: f64) -> f64 {
    TOUCH_LIMIT_V / electrode_ohm
}

/// Greatest resistance of the additional electrode by which a single-phase PME installation answers an open PEN, ohms:
/// `70 x U0 / (I x (Cmax x U0 - 70))`.
///
/// BS 7671 722.411.4.1 indent (ii): the limit of 70 V is print, the formula is derived (load U0 / I in series with the
/// electrode, at the highest supply voltage) and agrees with the remembered annex. `maximum_demand_a` includes charging,
/// above zero. The answer is about one ohm, which rods seldom reach.
pub fn open_pen_electrode_limit_ohm(maximum_demand_a: f64) -> f64 {
    OPEN_PEN_LIMIT_V * U0_V / (maximum_demand_a * (CMAX * U0_V - OPEN_PEN_LIMIT_V))
}

/// Neutral current of a three-phase load at equal power factor, amperes, from the line currents.
///
/// `sqrt((I1 - 0.5 (I2 + I3))2 + (0.866 (I2 - I3))2)`, the formula of Annex A722 (second-hand).
pub fn neutral_current_a(lines_a: [f64; 3]) -> f64 {
    neutral_a(lines_a)
}

/// Voltage that the earthing terminal of a three-phase PME installation takes when its PEN opens, volts.
///
/// `IN / (sum of I / U0 + 1 / RA)`, by Millman's theorem at equal power factor (derived); without an electrode
/// `U0 x IN / sum of I`. It depends on the balance at that moment, so several credible loadings are tried, charging
/// alone on one phase among them. No load at all gives no voltage.
pub fn open_pen_voltage_v(lines_a: [f64; 3], electrode_ohm: Option<f64>) -> f64 {
    let load_siemens = lines_a.iter().sum::<f64>() / U0_V;
    let earth_siemens = electrode_ohm.map_or(0.0, |ohm| 1.0 / ohm);
    let whole = load_siemens + earth_siemens;
    if whole > 0.0 { neutral_current_a(lines_a) / whole } else { 0.0 }
}

/// Greatest resistance of the additional electrode by which a three-phase PME installation keeps within 70 V when its
/// PEN opens at this loading, ohms: `1 / (IN / 70 - sum of I / U0)`.
///
/// The formula of [`open_pen_voltage_v`] solved for the electrode (derived). `None` where the loading keeps within 70 V
/// without one.
pub fn open_pen_electrode_limit_three_phase_ohm(lines_a: [f64; 3]) -> Option<f64> {
    let needed_siemens = neutral_current_a(lines_a) / OPEN_PEN_LIMIT_V - lines_a.iter().sum::<f64>() / U0_V;
    (needed_siemens > 0.0).then(|| 1.0 / needed_siemens)
}

/// Whether a loading keeps within the 70 V of 722.411.4.1 indents (i) and (ii) when the PEN opens.
pub fn open_pen_holds(lines_a: [f64; 3], electrode_ohm: Option<f64>) -> bool {
    open_pen_voltage_v(lines_a, electrode_ohm) <= OPEN_PEN_LIMIT_V
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_balanced_load_moves_nothing_and_one_phase_alone_takes_the_whole_voltage() {
        assert!(neutral_current_a([32.0; 3]).abs() < 1e-9);
        assert!((open_pen_voltage_v([32.0, 0.0, 0.0], None) - 230.0).abs() < 1e-9);
        assert_eq!(open_pen_voltage_v([0.0; 3], None), 0.0);
    }

    #[test]
    fn the_electrode_of_its_limit_just_holds() {
        let limit = open_pen_electrode_limit_ohm(60.0);
        let volts = CMAX * U0_V * limit / (limit + U0_V / 60.0);
        assert!((volts - 70.0).abs() < 1e-9);
    }

    #[test]
    fn a_three_phase_electrode_of_its_limit_just_holds_and_the_table_has_the_same_70_v() {
        assert_eq!(OPEN_PEN_LIMIT_V, crate::reference::open_pen_limit_v());
        let lines = [64.0, 32.0, 32.0];
        let limit = open_pen_electrode_limit_three_phase_ohm([100.0, 10.0, 10.0]).unwrap();
        assert!((open_pen_voltage_v([100.0, 10.0, 10.0], Some(limit)) - 70.0).abs() < 1e-9);
        assert!(open_pen_holds(lines, None) && open_pen_electrode_limit_three_phase_ohm(lines).is_none());
    }

    #[test]
    fn more_rods_are_better_and_beyond_the_table_there_is_no_answer() {
        let one = rod_ohm(100.0, 2.4, 0.016);
        let of = |rods| rods_in_line_ohm(one, 100.0, 2.4, rods).unwrap();
        assert_eq!(of(1), one);
        assert!((2..=10).all(|rods| of(rods) < of(rods - 1)));
        assert_eq!(rods_in_line_ohm(one, 100.0, 2.4, 11), None);
    }
}
