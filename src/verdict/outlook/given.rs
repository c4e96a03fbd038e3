//! Odds when some of the open facts are known.

use super::Outlook;
use crate::site::Verdict;
use crate::verdict::types::Odds;

/// One open fact, by its place among an outlook's, and the alternative that it proves to be; the place after the last
/// stands for the year of building.
pub type Known = (usize, u8);

impl Outlook {
    /// Chance of each verdict where these facts prove to be these alternatives. A fact named twice, or an alternative
    /// that does not exist, leaves nothing: all three chances are then 0.
    pub fn odds_where(&self, known: &[Known]) -> Odds {
        let mut sums = [0.0; 3];
        let mut whole = 0.0;
        let year_place = self.open.facts.len();
        for (year, (_, of_year)) in self.open.years.iter().enumerate() {
            if known.iter().any(|(fact, index)| *fact == year_place && usize::from(*index) != year) {
                continue;
            }
            // How likely the year is where these facts prove to be so.
            let likelihood: f64 = known
                .iter()
                .filter_map(|(fact, index)| Some(self.open.facts.get(*fact)?.weight(*index, index + 1, year)))
                .product();
            let of_year = of_year * likelihood;
            whole += of_year;
            for leaf in &self.leaves {
                let mut weight = of_year;
                for (place, (fact, (from, to))) in self.open.facts.iter().zip(leaf.ranges.iter()).enumerate() {
                    weight *= match known.iter().find(|(fact, _)| *fact == place) {
                        Some((_, index)) if (*from..*to).contains(index) => 1.0,
                        Some(_) => 0.0,
                        None => fact.weight(*from, *to, year),
                    };
                    if weight <= 0.0 {
                        break;
                    }
                }
                match leaf.verdict {
                    Verdict::Ready => sums[0] += weight,
                    Verdict::Marginal => sums[1] += weight,
                    Verdict::Blocked => sums[2] += weight,
                }
            }
        }
        if whole <= 0.0 {
            return Odds::default();
        }
        let [ready, marginal, _] = sums.map(|sum: f64| (sum / whole).clamp(0.0, 1.0));
        let marginal = marginal.min(1.0 - ready);
        Odds { ready, marginal, blocked: (1.0 - ready - marginal).max(0.0) }
    }

    /// Chance that an open fact proves to be this alternative.
    pub fn chance(&self, fact: usize, index: u8) -> f64 {
        let years = self.open.years.iter().enumerate();
        match self.open.facts.get(fact) {
            Some(open) => years.map(|(year, (_, weight))| weight * open.weight(index, index + 1, year)).sum(),
            None => self.open.years.get(usize::from(index)).map_or(0.0, |(_, weight)| *weight),
        }
    }
}
