//! One circuit once more: rating, drop, loop impedance, protective and live conductors (circuit.md 4, 5, 6, 8, 9).
//!
//! Conventions of the engine that are quoted: the one-phase drop governs every circuit, by z; hot figures add as plain
//! numbers; on TT only the protective conductor adds to the electrode; the let-through is that of the origin everywhere;
//! a breaker that trips at once lets through at most I2 x 0.1 s, and where it does not nothing bounds it; where no class is tabulated an overload device that
//! breaks the fault protects the lines.

use super::laying::{Stretch, carries};
use super::published::{Wire, class_energy, zs_limit};

/// One cable of a circuit.
#[derive(Clone, Copy, Debug)]
pub struct Piece<'a> {
    pub wire: &'static Wire,
    pub stretches: &'a [Stretch],
    /// Metres that drop and add impedance.
    pub metres: f64,
}

/// What a circuit is asked and what lies before it.
#[derive(Clone, Copy, Debug)]
pub struct Asked {
    pub ib_a: f64,
    pub in_a: f64,
    pub curve: char,
    pub three: bool,
    pub before_v: f64,
    pub before_m: f64,
    pub before_ohm: f64,
    pub drop_limit_v: f64,
    pub let_through_ka: f64,
    pub tt: bool,
    /// Limit of the residual-current device where one may disconnect.
    pub residual_ohm: Option<f64>,
}

#[derive(Clone, Copy, Debug)]
pub struct Circuit<'a> {
    pub asked: Asked,
    pub first: Piece<'a>,
    pub second: Option<Piece<'a>>,
}

/// Most energy a breaker lets through at the fault where the circuit starts, A2s; `None` where nothing bounds it.
pub fn most_energy(curve: char, in_a: f64, fault_ka: f64) -> Option<f64> {
    let fault_a = fault_ka * 1000.0;
    let trips_at_a = 0.95 * 230.0 / zs_limit(curve, in_a);
    if fault_a < trips_at_a {
        return None;
    }
    let by_time = fault_a * fault_a * 0.1;
    match class_energy(curve, in_a, fault_ka) {
        Some(by_class) => Some(by_class.min(by_time)),
        None => Some(by_time),
    }
}

impl<'a> Circuit<'a> {
    pub fn pieces(&self) -> Vec<Piece<'a>> {
        let mut pieces = vec![self.first];
        pieces.extend(self.second);
        pieces
    }

    pub fn metres(&self) -> f64 {
        self.first.metres + self.second.map_or(0.0, |piece| piece.metres)
    }

    /// Iz, It, the stretch that governs, and whether it belongs to the second cable.
    pub fn iz(&self) -> Option<(f64, f64, Stretch, bool)> {
        let (iz, it, stretch) = carries(self.first.wire, self.asked.three, self.first.stretches)?;
        if let Some(piece) = &self.second {
            let (other_iz, other_it, other) = carries(piece.wire, self.asked.three, piece.stretches)?;
            if other_iz < iz {
                return Some((other_iz, other_it, other, true));
            }
        }
        Some((iz, it, stretch, false))
    }

    /// Volts from the origin.
    pub fn drop_v(&self) -> f64 {
        let mut volts = self.asked.before_v;
        volts += self.first.wire.z_mv[0] * self.asked.ib_a * self.first.metres / 1000.0;
        if let Some(piece) = &self.second {
            volts += piece.wire.z_mv[0] * self.asked.ib_a * piece.metres / 1000.0;
        }
        volts
    }

    fn piece_ohm(&self, piece: &Piece<'_>) -> f64 {
        let mohm_per_m = if self.asked.tt { piece.wire.r2 * piece.wire.r2_hot } else { piece.wire.loop_hot() };
        mohm_per_m * piece.metres / 1000.0
    }

    /// Earth-fault loop, hot.
    pub fn zs_ohm(&self) -> f64 {
        let mut ohm = self.asked.before_ohm + self.piece_ohm(&self.first);
        if let Some(piece) = &self.second {
            ohm += self.piece_ohm(piece);
        }
        ohm
    }

    pub fn breaker_ohm(&self) -> f64 {
        zs_limit(self.asked.curve, self.asked.in_a)
    }

    /// The limit of the device relied on; `None` where nothing disconnects in time.
    pub fn relied_ohm(&self) -> Option<f64> {
        let zs = self.zs_ohm();
        if !self.asked.tt && zs <= self.breaker_ohm() {
            return Some(self.breaker_ohm());
        }
        match self.asked.residual_ohm {
            Some(limit) if zs <= limit => Some(limit),
            _ => None,
        }
    }

    /// Whether a TN breaker is too slow and the residual-current device disconnects.
    pub fn by_residual(&self) -> bool {
        !self.asked.tt && self.zs_ohm() > self.breaker_ohm()
    }

    pub fn by_table_54_7(&self, wire: &Wire) -> bool {
        wire.pe_mm2 + 1e-9 >= wire.pe_least_mm2
    }

    pub fn protective_holds(&self, wire: &Wire) -> bool {
        if self.asked.tt || self.by_table_54_7(wire) {
            return true;
        }
        let withstands = (wire.pe_k * wire.pe_mm2).powi(2);
        match most_energy(self.asked.curve, self.asked.in_a, self.asked.let_through_ka) {
            Some(energy) => energy <= withstands,
            None => false,
        }
    }

    pub fn lines_hold(&self, wire: &Wire) -> bool {
        let withstands = (wire.line_k * wire.cable.csa_mm2).powi(2);
        let asked = &self.asked;
        // Beyond the class table the lines must at least stand its highest line.
        let energy =
            class_energy(asked.curve, asked.in_a, asked.let_through_ka).or(class_energy(asked.curve, asked.in_a, 10.0));
        match energy {
            Some(energy) => energy <= withstands,
            None => true,
        }
    }

    /// The first check that fails; empty where the circuit complies.
    pub fn fails(&self) -> &'static str {
        if self.asked.ib_a > self.asked.in_a {
            return "Ib > In";
        }
        match self.iz() {
            Some((iz, ..)) if iz + 1e-9 >= self.asked.in_a => {}
            _ => return "In > Iz",
        }
        if self.drop_v() > self.asked.drop_limit_v + 1e-9 {
            return "drop";
        }
        if self.relied_ohm().is_none() {
            return "disconnection";
        }
        let mut wires = vec![self.first.wire];
        wires.extend(self.second.map(|piece| piece.wire));
        for wire in wires {
            if !self.protective_holds(wire) {
                return "protective conductor";
            }
            if !self.lines_hold(wire) {
                return "live conductors";
            }
        }
        ""
    }

    /// Second figure: the drop with each conductor at its own temperature (Appendix 4 6.1).
    pub fn warm_v(&self, power_factor: f64) -> f64 {
        let cos = power_factor.clamp(0.0, 1.0);
        let sin = (1.0 - cos * cos).max(0.0).sqrt();
        let mut volts = self.asked.before_v;
        for piece in self.pieces() {
            let (_, it, stretch) = carries(piece.wire, self.asked.three, piece.stretches).unwrap();
            let t0 = if stretch.method == baywright::reference::Method::D { 20.0 } else { 30.0 };
            let f = stretch.factors() / stretch.cc;
            let cooler = (f * f - (self.asked.ib_a / it).powi(2)).max(0.0);
            let ct = (230.0 + 70.0 - cooler * (70.0 - t0)) / (230.0 + 70.0);
            let mv = ct * piece.wire.warm_r_mv * cos + piece.wire.warm_x_mv * sin;
            volts += mv * self.asked.ib_a * piece.metres / 1000.0;
        }
        volts
    }

    /// Second figure: a balanced three-phase load, volts line to line.
    pub fn balanced_v(&self) -> f64 {
        let before = self.asked.before_v * 3.0_f64.sqrt() / 2.0;
        before + self.first.wire.z_mv[1] * self.asked.ib_a * self.metres() / 1000.0
    }

    /// Second figure: the limit with the allowance for long runs, percent; `None` up to 100 m.
    pub fn long_run_percent(&self) -> Option<f64> {
        let metres = self.asked.before_m + self.metres();
        if metres <= 100.0 {
            return None;
        }
        let limit = 100.0 * self.asked.drop_limit_v / 230.0;
        Some(limit + (0.005 * (metres - 100.0)).min(0.5))
    }
}
