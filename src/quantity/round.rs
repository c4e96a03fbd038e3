//! The one rounding rule for shown figures: halves away from zero, to the places each quantity deserves.

/// `value` to `places` decimal places, halves away from zero.
///
/// A value that prints as a half (0.125, 2.675) counts as one although its binary form may lie a hair below:
/// a 1e-9 relative nudge settles it, far below any shown digit.
pub fn round_to(value: f64, places: u32) -> f64 {
    let scale = 10_f64.powi(places as i32);
    let scaled = value * scale;
    let rounded = (scaled + scaled.signum() * scaled.abs().max(1.0) * 1e-9).round() / scale;
    if rounded == 0.0 { 0.0 } else { rounded }
}

/// Currents to 0.1 A.
pub fn round_current_a(value: f64) -> f64 {
    round_to(value, 1)
}
/// Lengths to 0.1 m.
pub fn round_length_m(value: f64) -> f64 {
    round_to(value, 1)
}
/// Voltages to 0.01 V.
pub fn round_volts(value: f64) -> f64 {
    round_to(value, 2)
}
/// Percentages to 0.01.
pub fn round_percent(value: f64) -> f64 {
    round_to(value, 2)
}
/// Impedances to 0.001 ohm.
pub fn round_impedance_ohm(value: f64) -> f64 {
    round_to(value, 3)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn halves_go_away_from_zero() {
        assert_eq!(round_to(2.675, 2), 2.68);
        assert_eq!(round_to(-2.675, 2), -2.68);
        assert_eq!(round_to(0.05, 1), 0.1);
        assert_eq!(round_to(-0.01, 1), 0.0);
        assert!(round_to(-0.01, 1).is_sign_positive());
    }
}
