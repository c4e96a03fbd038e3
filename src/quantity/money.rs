//! Money in whole pence, before tax.

use crate::quantity::Band;
use serde::Serialize;

/// Whole pence, before tax. Sums are exact; rounding happens once, when a priced line is made.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
pub struct Pence(pub i64);

impl Pence {
    /// A share of it in per cent, to the nearest penny.
    pub fn percent(self, percent: f64) -> Self {
        Self::from_pounds(self.pounds() * percent / 100.0)
    }

    /// The nearest whole penny of an amount in pounds, halves away from zero. Non-finite amounts give zero pence.
    pub fn from_pounds(pounds: f64) -> Self {
        Self((pounds * 100.0).round() as i64)
    }

    /// The amount in pounds, for showing.
    pub fn pounds(self) -> f64 {
        self.0 as f64 / 100.0
    }

    /// Whole pounds with thousands apart, as it stands in sentences: "£4,448".
    pub fn whole_pounds(self) -> String {
        let whole = super::round_to(self.pounds(), 0) as i64;
        let digits = whole.unsigned_abs().to_string();
        let mut text = String::from(if whole < 0 { "-£" } else { "£" });
        for (index, digit) in digits.chars().enumerate() {
            if index > 0 && (digits.len() - index).is_multiple_of(3) {
                text.push(',');
            }
            text.push(digit);
        }
        text
    }
}

impl std::ops::Add for Pence {
    type Output = Pence;
    fn add(self, other: Pence) -> Pence {
        Pence(self.0.saturating_add(other.0))
    }
}

impl std::iter::Sum for Pence {
    fn sum<I: Iterator<Item = Pence>>(iter: I) -> Self {
        iter.fold(Pence(0), |a, b| a + b)
    }
}

/// A cost with its doubt, before tax.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize)]
pub struct CostBand {
    /// Low end.
    pub low: Pence,
    /// Most likely cost.
    pub likely: Pence,
    /// High end.
    pub high: Pence,
}

impl CostBand {
    /// A band in pounds, each point rounded to the penny.
    pub fn from_pounds(pounds: Band) -> Self {
        Self {
            low: Pence::from_pounds(pounds.low),
            likely: Pence::from_pounds(pounds.likely),
            high: Pence::from_pounds(pounds.high),
        }
    }

    /// Point-by-point sum.
    pub fn plus(self, other: CostBand) -> Self {
        Self { low: self.low + other.low, likely: self.likely + other.likely, high: self.high + other.high }
    }
}

impl std::iter::Sum for CostBand {
    fn sum<I: Iterator<Item = CostBand>>(iter: I) -> Self {
        iter.fold(CostBand::default(), CostBand::plus)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pence_round_halves_away_from_zero() {
        assert_eq!(Pence::from_pounds(0.125), Pence(13));
        assert_eq!(Pence::from_pounds(-0.125), Pence(-13));
        assert_eq!(Pence::from_pounds(f64::NAN), Pence(0));
    }
}
