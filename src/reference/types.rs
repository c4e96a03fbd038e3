//! The words that tables are looked up by.

use serde::{Deserialize, Serialize};

/// Make-up of a cable.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub enum CableFamily {
    /// Flat twin and earth, 70 degree thermoplastic (BS 6004).
    #[serde(rename = "twin-and-earth")]
    TwinAndEarth,
    /// Steel-wire-armoured, 90 degree thermosetting (BS 5467), used at 70 degree terminals.
    #[serde(rename = "armoured-xlpe")]
    ArmouredXlpe,
    /// Steel-wire-armoured, 70 degree thermoplastic (BS 6346).
    #[serde(rename = "armoured-pvc")]
    ArmouredPvc,
    /// Single-core thermoplastic in conduit or trunking.
    #[serde(rename = "singles")]
    Singles,
}

impl CableFamily {
    /// The word of the contract.
    pub fn word(self) -> &'static str {
        match self {
            CableFamily::TwinAndEarth => "twin-and-earth",
            CableFamily::ArmouredXlpe => "armoured-xlpe",
            CableFamily::ArmouredPvc => "armoured-pvc",
            CableFamily::Singles => "singles",
        }
    }
}

/// One cable of a family. `cores` counts insulated cores (twin-and-earth: 2, its bare protective conductor not counted).
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Cable {
    /// Make-up.
    pub family: CableFamily,
    /// Insulated cores.
    pub cores: u8,
    /// Line conductor, mm2.
    pub csa_mm2: f64,
}

impl Cable {
    /// In words: "6 mm2 3-core armoured".
    pub fn words(&self) -> String {
        match self.family {
            CableFamily::TwinAndEarth => format!("{} mm² twin-and-earth", self.csa_mm2),
            CableFamily::Singles => format!("{} mm² singles in conduit", self.csa_mm2),
            CableFamily::ArmouredXlpe => format!("{} mm² {}-core armoured", self.csa_mm2, self.cores),
            CableFamily::ArmouredPvc => format!("{} mm² {}-core PVC armoured", self.csa_mm2, self.cores),
        }
    }
}

/// Reference method of installation (BS 7671 Appendix 4).
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[allow(missing_docs)] // the letters and numbers are the standard's
pub enum Method {
    #[serde(rename = "A")]
    A,
    #[serde(rename = "B")]
    B,
    #[serde(rename = "C")]
    C,
    #[serde(rename = "D")]
    D,
    #[serde(rename = "E")]
    E,
    #[serde(rename = "100")]
    M100,
    #[serde(rename = "101")]
    M101,
    #[serde(rename = "102")]
    M102,
    #[serde(rename = "103")]
    M103,
}

impl Method {
    /// How many there are.
    pub const COUNT: usize = 9;

    /// The standard's letter or number.
    pub fn word(self) -> &'static str {
        match self {
            Method::A => "A",
            Method::B => "B",
            Method::C => "C",
            Method::D => "D",
            Method::E => "E",
            Method::M100 => "100",
            Method::M101 => "101",
            Method::M102 => "102",
            Method::M103 => "103",
        }
    }
}

/// Tripping characteristic of a circuit-breaker (BS EN 60898).
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize)]
#[allow(missing_docs)]
pub enum Curve {
    B,
    C,
    D,
}

impl Curve {
    /// At how many times its rating a breaker is certain to trip at once (BS EN 60898; print).
    pub fn certain_multiple(self) -> f64 {
        match self {
            Curve::B => 5.0,
            Curve::C => 10.0,
            Curve::D => 20.0,
        }
    }

    /// The letter.
    pub fn word(self) -> &'static str {
        match self {
            Curve::B => "B",
            Curve::C => "C",
            Curve::D => "D",
        }
    }
}
