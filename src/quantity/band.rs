//! A figure with its doubt: low, likely, high.

use serde::Serialize;

/// Three points of one figure; `low <= likely <= high` is kept by the constructors.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct Band {
    /// Low end (about the 5 % point).
    pub low: f64,
    /// Most likely value.
    pub likely: f64,
    /// High end (about the 95 % point).
    pub high: f64,
}

impl Band {
    /// A band from three points, put in order if they are not.
    pub fn new(low: f64, likely: f64, high: f64) -> Self {
        Self { low: low.min(likely), likely, high: high.max(likely) }
    }

    /// A figure known exactly.
    pub fn exact(value: f64) -> Self {
        Self { low: value, likely: value, high: value }
    }

    /// Each point multiplied by the matching point of a non-negative `other`.
    pub fn times(self, other: Band) -> Self {
        Self { low: self.low * other.low, likely: self.likely * other.likely, high: self.high * other.high }
    }

    /// Every point multiplied by a non-negative `factor`.
    pub fn scaled(self, factor: f64) -> Self {
        self.times(Band::exact(factor))
    }

    /// Point-by-point sum.
    pub fn plus(self, other: Band) -> Self {
        Self { low: self.low + other.low, likely: self.likely + other.likely, high: self.high + other.high }
    }
}

impl std::iter::Sum for Band {
    fn sum<I: Iterator<Item = Band>>(iter: I) -> Self {
        iter.fold(Band::default(), Band::plus)
    }
}
