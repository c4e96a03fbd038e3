//! A second reckoning of every circuit, by textbook formulas: the tabulated method, a power flow by sweeps, short
//! circuits. Plain and slow; it knows sections and nothing of the engine.

use super::describe::Designed;
use super::kept::Section;

pub const U0_V: f64 = 230.0;

/// A complex number: as much of it as a sweep needs.
#[derive(Clone, Copy, Debug)]
struct Complex(f64, f64);

impl Complex {
    fn polar(size: f64, angle: f64) -> Self {
        Self(size * angle.cos(), size * angle.sin())
    }

    fn size(self) -> f64 {
        self.0.hypot(self.1)
    }

    fn angle(self) -> f64 {
        self.1.atan2(self.0)
    }

    fn plus(self, other: Self) -> Self {
        Self(self.0 + other.0, self.1 + other.1)
    }

    fn minus(self, other: Self) -> Self {
        Self(self.0 - other.0, self.1 - other.1)
    }

    fn times(self, other: Self) -> Self {
        Self(self.0 * other.0 - self.1 * other.1, self.0 * other.1 + self.1 * other.0)
    }
}

/// Which figure of the table a drop is reckoned with.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Figure {
    /// Its whole figure: z where the table splits it.
    Whole,
    /// `r cos(phi) + x sin(phi)` at the load's power factor.
    Split,
}

/// The tabulated method, volts: figure x current x length, summed. One phase loaded: line and neutral.
pub fn drop_v(designed: &Designed, figure: Figure) -> f64 {
    let angle = designed.circuit.power_factor.acos();
    let one = |s: &Section| match figure {
        Figure::Whole => s.z_mohm,
        Figure::Split => s.r_mohm * angle.cos() + s.x_mohm * angle.sin(),
    };
    designed.sections.iter().map(|s| 2.0 * one(s) * s.current_a * s.length_m / 1000.0).sum()
}

/// The same, three phases loaded alike, volts from line to neutral.
pub fn drop_balanced_v(designed: &Designed, figure: Figure) -> f64 {
    let angle = designed.circuit.power_factor.acos();
    let one = |s: &Section| match figure {
        Figure::Whole => s.z3_mohm,
        Figure::Split => s.r3_mohm * angle.cos() + s.x3_mohm * angle.sin(),
    };
    designed.sections.iter().map(|s| one(s) * s.current_a * s.length_m / 1000.0).sum()
}

/// The drop with one phase loaded where current goes with voltage to the power of `exponent` (-1 constant power, 0
/// constant current, 1 constant impedance), volts; by sweeps back and forth until nothing moves.
pub fn swept_drop_v(designed: &Designed, exponent: i32) -> f64 {
    let sections = &designed.sections;
    let lag = designed.circuit.power_factor.acos();
    let taken: Vec<f64> = sections
        .iter()
        .enumerate()
        .map(|(index, s)| s.current_a - sections.get(index + 1).map_or(0.0, |next| next.current_a))
        .collect();
    let mut volts = vec![Complex(U0_V, 0.0); sections.len()];
    for _ in 0..200 {
        let loads: Vec<Complex> = volts
            .iter()
            .zip(&taken)
            .map(|(v, amps)| Complex::polar(amps * (v.size() / U0_V).powi(exponent), v.angle() - lag))
            .collect();
        let mut before = Complex(U0_V, 0.0);
        for (index, s) in sections.iter().enumerate() {
            let current = loads[index..].iter().fold(Complex(0.0, 0.0), |sum, load| sum.plus(*load));
            let scale = 2.0 * s.length_m / 1000.0;
            before = before.minus(Complex(s.r_mohm * scale, s.x_mohm * scale).times(current));
            volts[index] = before;
        }
    }
    U0_V - volts.last().map_or(U0_V, |v| v.size())
}

/// Prospective current at the end of these sections, kiloamperes: source reactance at right angles to the cold
/// conductors, of which `conductors` are in the path (one between three phases, two between line and neutral).
pub fn level_ka(source_ka: f64, sections: &[Section], conductors: f64) -> f64 {
    let source_ohm = U0_V / (source_ka * 1000.0);
    let cable_ohm: f64 = sections.iter().map(|s| s.cold_mohm * s.length_m / 1000.0).sum();
    U0_V / source_ohm.hypot(conductors * cable_ohm) / 1000.0
}
