//! A figure with three points (low, likely, high) as a distribution. It knows no cost.
//!
//! Low and high are the least and the most that would not surprise, likely is the mode: a beta distribution on that
//! stretch with the shapes 1 + 4 (m - a) / (b - a) and 1 + 4 (b - m) / (b - a), as estimators use it (PERT; Malcolm and
//! others 1959, shapes from memory). Its mean is (a + 4 m + b) / 6 and its variance (mean - a)(b - mean) / 7, exactly for
//! these shapes; the third moment is that of the beta distribution.

use crate::quantity::Band;

/// Mean, variance and third central moment of a figure.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Moments {
    pub mean: f64,
    pub variance: f64,
    pub third: f64,
}

impl Moments {
    /// Of three points.
    pub fn of(points: Band) -> Moments {
        let Band { low, likely, high } = points;
        let span = high - low;
        if span.partial_cmp(&0.0) != Some(std::cmp::Ordering::Greater) {
            return Moments { mean: likely, variance: 0.0, third: 0.0 };
        }
        let mean = (low + 4.0 * likely + high) / 6.0;
        let variance = (mean - low) * (high - mean) / 7.0;
        let (a, b) = (1.0 + 4.0 * (likely - low) / span, 1.0 + 4.0 * (high - likely) / span);
        // a + b is 6: skewness 2 (b - a) sqrt(7) / (8 sqrt(a b)).
        let skewness = (b - a) * 7.0_f64.sqrt() / (4.0 * (a * b).sqrt());
        Moments { mean, variance, third: skewness * variance.powf(1.5) }
    }
}

/// The figure that a standard normal variable does not exceed with a chance of `share`; ends are cut at one in ten
/// thousand.
pub(super) fn normal_quantile(share: f64) -> f64 {
    let share = share.clamp(1e-4, 1.0 - 1e-4);
    let below = |z: f64| 0.5 * libm::erfc(-z / std::f64::consts::SQRT_2);
    let (mut low, mut high) = (-4.0, 4.0);
    // Halving 52 times leaves less than the last digit.
    for _ in 0..52 {
        let middle = (low + high) / 2.0;
        if below(middle) < share {
            low = middle;
        } else {
            high = middle;
        }
    }
    (low + high) / 2.0
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Moments by summing the density of the beta distribution over a fine grid.
    fn summed(points: Band) -> Moments {
        let span = points.high - points.low;
        let (a, b) = (4.0 * (points.likely - points.low) / span, 4.0 * (points.high - points.likely) / span);
        let grid: Vec<(f64, f64)> = (0..200_000)
            .map(|at| (f64::from(at) + 0.5) / 200_000.0)
            .map(|x| (points.low + span * x, x.powf(a) * (1.0 - x).powf(b)))
            .collect();
        let all: f64 = grid.iter().map(|(_, weight)| weight).sum();
        let of =
            |power: i32, mean: f64| grid.iter().map(|(x, weight)| (x - mean).powi(power) * weight).sum::<f64>() / all;
        let mean = of(1, 0.0);
        Moments { mean, variance: of(2, mean), third: of(3, mean) }
    }

    #[test]
    fn moments_are_those_of_the_density() {
        for points in [
            Band::new(450.0, 600.0, 900.0),
            Band::new(0.0, 0.0, 3.0),
            Band::new(1.0, 2.0, 3.0),
            Band::new(2.0, 9.0, 9.0),
        ] {
            let (closed, summed) = (Moments::of(points), summed(points));
            assert!((closed.mean / summed.mean - 1.0).abs() < 1e-6, "{points:?}");
            assert!((closed.variance / summed.variance - 1.0).abs() < 1e-5, "{points:?}");
            assert!((closed.third - summed.third).abs() < 1e-4 * closed.variance.powf(1.5), "{points:?}");
        }
        assert_eq!(Moments::of(Band::exact(7.0)), Moments { mean: 7.0, variance: 0.0, third: 0.0 });
    }

    #[test]
    fn quantiles_are_those_of_the_table() {
        // Standard normal table: 0.9 at 1.2816, 0.975 at 1.9600.
        for (share, z) in [(0.5, 0.0), (0.8, 0.8416), (0.9, 1.2816), (0.1, -1.2816), (0.975, 1.95996)] {
            assert!((normal_quantile(share) - z).abs() < 1e-4, "{share}");
        }
    }
}
