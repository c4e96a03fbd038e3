//! Units, bands and money: how a number is made, converted and rounded.
//!
//! Electrical figures are plain `f64` whose unit is in the name (`zs_ohm`, `limit_a`, `route_m`);
//! this room holds what must be done in one way only: conversions at the edge, rounding, and pence.
//! It knows nothing of any other room.

mod band;
mod money;
mod round;

pub use band::Band;
pub use money::{CostBand, Pence};
pub use round::{round_current_a, round_impedance_ohm, round_length_m, round_percent, round_to, round_volts};

/// Nominal line-to-earth voltage U0 in volts (BS 7671 Part 2, low-voltage public supply).
pub const U0_V: f64 = 230.0;

/// Factor of the lowest supply voltage in loop impedances (BS 7671 Table 41.3; print).
pub const CMIN: f64 = 0.95;

/// Nominal line-to-line voltage in volts, the base of a three-phase percentage drop.
pub const LINE_TO_LINE_V: f64 = 400.0;
/// Power factor at which existing kilowatts become amperes (survey practice, contract of the survey columns).
pub const EXISTING_LOAD_POWER_FACTOR: f64 = 0.95;

/// Amperes a phase of an existing load in kilowatts, shared evenly over `phases` (1 or 3), at 0.95 power factor.
pub fn existing_kw_to_amps(kw: f64, phases: u8) -> f64 {
    kva_to_amps(kw / EXISTING_LOAD_POWER_FACTOR, phases)
}

/// Amperes a phase of an apparent power in kilovolt-amperes, shared evenly over `phases` (1 or 3).
pub fn kva_to_amps(kva: f64, phases: u8) -> f64 {
    kva * 1000.0 / (U0_V * f64::from(phases.max(1)))
}

/// Kilowatts drawn by a charge point at `amps` a phase on `phases` phases; charging is taken at unity power factor.
pub fn charging_kw(amps: f64, phases: u8) -> f64 {
    amps * U0_V * f64::from(phases) / 1000.0
}

/// Neutral current of a three-phase load at equal power factor, amperes, from the line currents.
///
/// `sqrt((I1 - 0.5 (I2 + I3))2 + (0.866 (I2 - I3))2)`, the formula of BS 7671 Annex A722 (second-hand).
pub fn neutral_a(lines_a: [f64; 3]) -> f64 {
    let [one, two, three] = lines_a;
    (one - 0.5 * (two + three)).hypot(3.0_f64.sqrt() / 2.0 * (two - three))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn conversions_match_the_operators_kva_convention() {
        // Operators' design convention: 13.8 kVA is 60 A, 69 kVA is 3 x 100 A.
        assert!((kva_to_amps(13.8, 1) - 60.0).abs() < 1e-9);
        assert!((kva_to_amps(69.0, 3) - 100.0).abs() < 1e-9);
        assert!((charging_kw(32.0, 1) - 7.36).abs() < 1e-9);
        assert!((existing_kw_to_amps(9.5, 1) - 43.478).abs() < 1e-3);
    }
}
