//! The doubt of a cost (or of hours) in a form that adds up: over lines, sites, lots and a whole portfolio.
//!
//! Costs share causes: copper is dear everywhere at once, a labour rate is one rate, a surveyor who paced lengths short
//! at one house did so at the next. Low plus low plus low is therefore not a portfolio's low, and neither are its sites
//! independent. Every line is a product of figures, each with three points and a [`Cause`]:
//!
//! ```text
//! cost = mean * (1 + d1 + d2 + ...),     d = sd * ( sqrt(e) * E + sqrt(s) * S + sqrt(1 - e - s) * own )
//! ```
//!
//! with E the same everywhere for the cause, S the same within a site, e and s the shares of the price book
//! (`doubt-*-everywhere`, `doubt-*-site`). The three points of a figure
//! are read as [`three_points`](super::three_points) has it. Means and variances
//! are then exact sums; what a product of figures adds beyond the first order stands with what is the
//! line's own. The third moment of a shared part is that of parts which rise and fall together: the cube of the sum of
//! cube roots. Percentiles are those of the gamma distribution with the same three moments (Wilson and Hilferty 1931),
//! and lie between the sum of all lows and the sum of all
//! highs.
//!
//! It knows no item and no design.

use super::cause::{Cause, Shares};
use super::three_points::{Moments, normal_quantile};
use crate::quantity::{Band, Pence};
use std::sync::LazyLock;

/// Sums of parts that rise and fall together: of their deviations, and of the cube roots of their third moments.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
struct Together {
    deviation: f64,
    lean: f64,
}

impl Together {
    fn add(&mut self, other: Together) {
        self.deviation += other.deviation;
        self.lean += other.lean;
    }

    fn variance(self) -> f64 {
        self.deviation * self.deviation
    }

    fn third(self) -> f64 {
        self.lean * self.lean * self.lean
    }
}

/// The doubt of a total. Totals of different sites add; lines of one site go through [`OfSite`].
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Doubt {
    mean: f64,
    least: f64,
    most: f64,
    everywhere: [Together; Cause::ALL.len()],
    /// What the site does not share with others, by cause.
    own: [f64; Cause::ALL.len()],
    own_third: f64,
}

impl Doubt {
    /// Mean of the total.
    pub fn mean(&self) -> f64 {
        self.mean
    }

    /// Variance of the total.
    pub fn variance(&self) -> f64 {
        self.everywhere.iter().map(|part| part.variance()).sum::<f64>() + self.own.iter().sum::<f64>()
    }

    /// Standard deviation of the total.
    pub fn deviation(&self) -> f64 {
        self.variance().sqrt()
    }

    /// What a cause has to do with the variance: the part that all sites share and the parts of single sites.
    pub fn variance_by(&self, cause: Cause) -> (f64, f64) {
        let at = cause as usize;
        (self.everywhere.get(at).map_or(0.0, |part| part.variance()), self.own.get(at).copied().unwrap_or_default())
    }

    /// How much of the whole's variance hangs on this part of it: the covariance of part and whole. The parts of a
    /// whole add up to its variance.
    pub fn part_in(&self, whole: &Doubt) -> f64 {
        let shared = self.everywhere.iter().zip(&whole.everywhere);
        shared.map(|(part, all)| part.deviation * all.deviation).sum::<f64>() + self.own.iter().sum::<f64>()
    }

    /// The figure that the total does not exceed with a chance of `share` (0.5 for P50), between the sum of all lows and the
    /// sum of all highs.
    pub fn percentile(&self, share: f64) -> f64 {
        self.at(normal_quantile(share))
    }

    /// The same at a standard normal quantile.
    fn at(&self, z: f64) -> f64 {
        let deviation = self.deviation();
        if deviation.partial_cmp(&0.0) != Some(std::cmp::Ordering::Greater) {
            return self.mean;
        }
        let third = self.everywhere.iter().map(|part| part.third()).sum::<f64>() + self.own_third;
        let skewness = third / (deviation * deviation * deviation);
        let standard = if skewness.abs() < 1e-6 {
            z
        } else {
            let cube = 1.0 + skewness * z / 6.0 - skewness * skewness / 36.0;
            2.0 / skewness * (cube * cube * cube - 1.0)
        };
        (self.mean + deviation * standard).clamp(self.least, self.most.max(self.least))
    }

    /// The same in other units, such as with a factor on every price.
    pub fn scaled(mut self, factor: f64) -> Doubt {
        for figure in [&mut self.mean, &mut self.least, &mut self.most] {
            *figure *= factor;
        }
        for part in &mut self.everywhere {
            part.deviation *= factor;
            part.lean *= factor;
        }
        for part in &mut self.own {
            *part *= factor * factor;
        }
        self.own_third *= factor * factor * factor;
        self
    }
}

impl std::ops::AddAssign<&Doubt> for Doubt {
    fn add_assign(&mut self, other: &Doubt) {
        self.mean += other.mean;
        self.least += other.least;
        self.most += other.most;
        for (part, more) in self.everywhere.iter_mut().zip(&other.everywhere) {
            part.add(*more);
        }
        for (part, more) in self.own.iter_mut().zip(&other.own) {
            *part += more;
        }
        self.own_third += other.own_third;
    }
}

impl<'a> std::iter::Sum<&'a Doubt> for Doubt {
    fn sum<I: Iterator<Item = &'a Doubt>>(doubts: I) -> Doubt {
        doubts.fold(Doubt::default(), |mut total, doubt| {
            total += doubt;
            total
        })
    }
}

/// Quantiles of the chances that every site is told for, looked for once.
static USUAL: LazyLock<[f64; 4]> = LazyLock::new(|| [0.1, 0.5, 0.8, 0.9].map(normal_quantile));

/// What a total is not above, with four chances.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Levels {
    /// One time in ten.
    pub p10: Pence,
    /// One time in two.
    pub p50: Pence,
    /// Four times in five.
    pub p80: Pence,
    /// Nine times in ten.
    pub p90: Pence,
}

impl Doubt {
    /// The levels of a cost in pounds, to the penny.
    pub fn levels(&self) -> Levels {
        let [p10, p50, p80, p90] = USUAL.map(|z| Pence::from_pounds(self.at(z)));
        Levels { p10, p50, p80, p90 }
    }

    /// What the total does not exceed one time in ten and nine times in ten.
    pub(super) fn ends(&self) -> (f64, f64) {
        let [p10, _, _, p90] = *USUAL;
        (self.at(p10), self.at(p90))
    }
}

/// The lines of one site, added.
#[derive(Clone, Copy, Debug, Default)]
pub struct OfSite {
    total: Doubt,
    together: [Together; Cause::ALL.len()],
}

impl OfSite {
    /// Adds a line: the product of figures, each with its cause. A line whose mean is nothing adds nothing.
    pub fn line(&mut self, figures: &[(Cause, Band)], shares: &[Shares; Cause::ALL.len()]) {
        let mut mean = 1.0;
        let (mut least, mut most) = (1.0, 1.0);
        // Of the product, relative to its mean; and of its first order alone.
        let (mut variance, mut third) = (0.0, 0.0);
        let (mut first_order, mut first_third) = (0.0, 0.0);
        let mut heaviest = (0.0, None);
        for (cause, points) in figures {
            let moments = Moments::of(*points);
            mean *= moments.mean;
            least *= points.low;
            most *= points.high;
            if moments.mean <= 0.0 {
                continue;
            }
            let relative = moments.variance / (moments.mean * moments.mean);
            let lean = moments.third / (moments.mean * moments.mean * moments.mean);
            third += lean + 6.0 * variance * relative + 3.0 * (third * relative + variance * lean) + third * lean;
            variance += relative + variance * relative;
            first_order += relative;
            first_third += lean;
            if relative > heaviest.0 {
                heaviest = (relative, Some(*cause));
            }
        }
        self.total.mean += mean;
        self.total.least += least;
        self.total.most += most;
        if mean <= 0.0 {
            return;
        }
        for (cause, points) in figures {
            self.figure(*cause, Moments::of(*points), mean, shares);
        }
        // What the product adds is the line's own; it stands with the figure that is doubted most.
        if let Some(slot) = heaviest.1.and_then(|cause| self.total.own.get_mut(cause as usize)) {
            *slot += mean * mean * (variance - first_order);
        }
        self.total.own_third += mean * mean * mean * (third - first_third);
    }

    fn figure(&mut self, cause: Cause, moments: Moments, line_mean: f64, shares: &[Shares; Cause::ALL.len()]) {
        let at = cause as usize;
        let Some(shares) = shares.get(at) else { return };
        if moments.variance <= 0.0 {
            return;
        }
        let scale = line_mean / moments.mean;
        let deviation = moments.variance.sqrt() * scale;
        let third = moments.third * scale * scale * scale;
        let everywhere = shares.everywhere.clamp(0.0, 1.0);
        let site = shares.site.clamp(0.0, 1.0 - everywhere);
        let own = 1.0 - everywhere - site;
        // All three parts lean alike, so that together they lean as the figure does.
        let root = (third / (everywhere.powf(1.5) + site.powf(1.5) + own.powf(1.5))).cbrt();
        let part = |share: f64| Together { deviation: deviation * share.sqrt(), lean: root * share.sqrt() };
        if let Some(slot) = self.total.everywhere.get_mut(at) {
            slot.add(part(everywhere));
        }
        if let Some(slot) = self.together.get_mut(at) {
            slot.add(part(site));
        }
        let alone = part(own);
        if let Some(slot) = self.total.own.get_mut(at) {
            *slot += alone.variance();
        }
        self.total.own_third += alone.third();
    }

    /// The doubt of the site.
    pub fn total(self) -> Doubt {
        let mut total = self.total;
        for (slot, together) in total.own.iter_mut().zip(&self.together) {
            *slot += together.variance();
            total.own_third += together.third();
        }
        total
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const ALONE: [Shares; 7] = [Shares { everywhere: 0.0, site: 0.0 }; 7];

    #[test]
    fn what_is_shared_adds_as_it_stands_and_what_is_not_adds_in_squares() {
        let band = Band { low: 80.0, likely: 100.0, high: 150.0 };
        let one = Moments::of(band).variance;
        let total = |shares: Shares, sites: usize| {
            let each = |_| {
                let mut site = OfSite::default();
                site.line(&[(Cause::Copper, band)], &[shares; 7]);
                site.line(&[(Cause::Copper, band)], &[shares; 7]);
                site.total()
            };
            (0..sites).map(each).collect::<Vec<_>>().iter().sum::<Doubt>()
        };
        let alone = total(Shares::default(), 3);
        assert!((alone.variance() - 6.0 * one).abs() < 1e-9);
        let everywhere = total(Shares { everywhere: 1.0, site: 0.0 }, 3);
        assert!((everywhere.variance() - 36.0 * one).abs() < 1e-9);
        let site = total(Shares { everywhere: 0.0, site: 1.0 }, 3);
        assert!((site.variance() - 3.0 * 4.0 * one).abs() < 1e-9);
        for doubt in [alone, everywhere, site] {
            assert!((doubt.mean() - 6.0 * Moments::of(band).mean).abs() < 1e-9);
            assert!(doubt.percentile(0.1) < doubt.percentile(0.5) && doubt.percentile(0.5) < doubt.percentile(0.9));
        }
        assert!(everywhere.percentile(0.9) > site.percentile(0.9) && site.percentile(0.9) > alone.percentile(0.9));
    }

    #[test]
    fn a_product_has_the_mean_and_variance_of_a_product() {
        let (length, price) = (Band::new(8.0, 10.0, 20.0), Band::new(3.0, 4.0, 7.0));
        let mut site = OfSite::default();
        site.line(&[(Cause::Survey, length), (Cause::Copper, price)], &ALONE);
        let (x, y) = (Moments::of(length), Moments::of(price));
        let total = site.total();
        assert!((total.mean() - x.mean * y.mean).abs() < 1e-9);
        let exact = x.variance * y.variance + x.variance * y.mean.powi(2) + y.variance * x.mean.powi(2);
        assert!((total.variance() - exact).abs() < 1e-9);
    }

    #[test]
    fn parts_of_a_whole_add_up_to_its_variance() {
        let shares = [Shares { everywhere: 0.4, site: 0.3 }; 7];
        let sites: Vec<Doubt> = (1..5)
            .map(|at| {
                let mut site = OfSite::default();
                let more = f64::from(at);
                site.line(&[(Cause::Ground, Band::new(10.0, 20.0 * more, 90.0 * more))], &shares);
                site.line(
                    &[(Cause::Hours, Band::new(1.0, 2.0, 4.0)), (Cause::LabourRate, Band::new(40.0, 55.0, 75.0))],
                    &shares,
                );
                site.total()
            })
            .collect();
        let whole: Doubt = sites.iter().sum();
        let parts: f64 = sites.iter().map(|site| site.part_in(&whole)).sum();
        assert!((parts / whole.variance() - 1.0).abs() < 1e-12);
        let causes: f64 = Cause::ALL.iter().map(|cause| whole.variance_by(*cause)).map(|(all, own)| all + own).sum();
        assert!((causes / whole.variance() - 1.0).abs() < 1e-12);
    }

    #[test]
    fn without_doubt_every_percentile_is_the_figure() {
        let mut site = OfSite::default();
        site.line(&[(Cause::Equipment, Band::exact(12.5))], &ALONE);
        assert_eq!(site.total().percentile(0.9), 12.5);
        assert_eq!(Doubt::default().percentile(0.1), 0.0);
    }
}
