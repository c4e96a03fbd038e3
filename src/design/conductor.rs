//! A conductor under load and under fault: drop, fault current, the least section that survives it, tabulated rating.
//!
//! Formulas only. Which cable, device and impedance they are fed is the business of `circuit`.

/// Voltage drop of a run, volts: `mV/A/m x Ib x L / 1000`.
///
/// BS 7671 Appendix 4 6.4 (print). `drop_mv` is the tabulated figure in millivolts an ampere a metre, `current_a` the
/// design current in amperes, `length_m` the length of the run in metres; all non-negative. On one phase the result is
/// a share of 230 V, with a three-phase figure one of 400 V.
pub fn drop_v(drop_mv: f64, current_a: f64, length_m: f64) -> f64 {
    drop_mv * current_a * length_m / 1000.0
}

/// What a tabulated resistive drop is multiplied by when the conductor runs cooler than its table says:
/// `(230 + tp - (F2 - Ib2 / It2) (tp - t0)) / (230 + tp)`.
///
/// BS 7671 Appendix 4 6.1 (formula second-hand, from a forum quoting the book). `table_c` is tp, the conductor
/// temperature of the table (70); `base_c` is t0, 30 degrees in air or 20 in the ground; `factor` is F, the product of
/// Ca, Cg and the other factors that heat the cable (those beyond Ca and Cg are derived in the same manner);
/// `design_a` and `tabulated_a` are Ib and It in amperes. Not valid for rewirable fuses or strong third harmonics. Never
/// above 1, and for resistance only: reactance does not change.
pub fn drop_temperature_factor(table_c: f64, base_c: f64, factor: f64, design_a: f64, tabulated_a: f64) -> f64 {
    let cooler = (factor.powi(2) - (design_a / tabulated_a).powi(2)).max(0.0) * (table_c - base_c);
    (230.0 + table_c - cooler) / (230.0 + table_c)
}

/// The limit of voltage drop with the allowance for long runs, percent: 0.005 % for each metre beyond 100 m, at most
/// 0.5 % more.
///
/// BS 7671 Appendix 4 6.4, from memory: it is shown beside the plain limit and never relied on.
pub fn long_run_limit_percent(limit_percent: f64, length_m: f64) -> f64 {
    limit_percent + (0.005 * (length_m - 100.0)).clamp(0.0, 0.5)
}

/// Earth-fault current, amperes: `U0 / Zs`, without Cmin (the highest current at that impedance).
///
/// BS 7671 definition of Zs (print). `volts` is line to earth, `loop_ohm` the whole loop in ohms, above zero: at zero
/// or below the current has no bound, and infinity is the answer, so that nothing proves adequate against it.
pub fn fault_current_a(volts: f64, loop_ohm: f64) -> f64 {
    if loop_ohm > 0.0 { volts / loop_ohm } else { f64::INFINITY }
}

/// Least cross-section by the adiabatic equation, mm2: `sqrt(I2 t) / k`.
///
/// BS 7671 543.1.3 (print). Valid for disconnection in 0.1 to 5 s; below 0.1 s a breaker limits the energy and its
/// let-through is compared with k2 S2 instead. `k` is that of the conductor's material, insulation and start
/// temperature (115 for a copper core at 70 degrees, 51 and 46 for steel armour at 70 and 90 degrees; print).
pub fn adiabatic_mm2(fault_a: f64, seconds: f64, k: f64) -> f64 {
    fault_a * seconds.sqrt() / k
}

/// The rating a cable must have in its table, amperes: `In / (Ca x Cg x Ci x ...)`.
///
/// BS 7671 Appendix 4 5.1.1 (print). `factors` are above 0 and at most 1; a factor of zero asks for an infinite rating.
pub fn least_tabulated_a(device_a: f64, factors: &[f64]) -> f64 {
    device_a / factors.iter().product::<f64>()
}

/// Resistance of a conductor at working temperature as a multiple of that at 20 degrees: `1 + alpha x (T - 20)`.
///
/// For copper alpha is 0.004 (IEC 60228, rounded as in BS 7671 practice; print): 1.20 at 70 degrees, 1.28 at 90. For
/// steel armour it is 0.0045 (print): 1.18 at 60 degrees. Valid from about -10 to 200 degrees.
pub fn hot_factor(alpha_per_degree: f64, celsius: f64) -> f64 {
    1.0 + alpha_per_degree * (celsius - 20.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_dead_short_proves_nothing_adequate() {
        assert!((fault_current_a(230.0, 1.15) - 200.0).abs() < 1e-9);
        assert!(adiabatic_mm2(fault_current_a(230.0, 0.0), 0.4, 115.0).is_infinite());
    }

    #[test]
    fn a_cooler_conductor_drops_less_and_never_more() {
        assert!((drop_temperature_factor(70.0, 30.0, 1.0, 32.0, 47.0) - 0.928_5).abs() < 1e-4);
        assert_eq!(drop_temperature_factor(70.0, 30.0, 0.65, 40.0, 47.0), 1.0);
        assert_eq!(long_run_limit_percent(5.0, 100.0), 5.0);
        assert_eq!(long_run_limit_percent(5.0, 250.0), 5.5);
    }

    #[test]
    fn the_cable_table_uses_the_same_hot_factors() {
        assert!((hot_factor(0.004, 70.0) - 1.20).abs() < 1e-12);
        assert!((hot_factor(0.0045, 60.0) - 1.18).abs() < 1e-12);
    }
}
