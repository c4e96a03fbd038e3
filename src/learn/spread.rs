//! Costs and hours that were said against those found: bias, spread of the ratio, and how often the stated band held it.

use super::SideBySide;
use crate::site::Premises;
use std::collections::BTreeMap;

/// How figures did.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Spread {
    /// Sites with both figures.
    pub sites: u32,
    /// Sum of the likely figures said: pounds or hours.
    pub said: f64,
    /// Sum of those found.
    pub found: f64,
    /// Found by said, of the sums: above 1 too little was said.
    pub bias: f64,
    /// Its standard error, sites being drawn by chance; `None` of a single site.
    pub bias_error: Option<f64>,
    /// Median of found by said, site by site.
    pub median: f64,
    /// What that ratio does not exceed one time in ten.
    pub low: f64,
    /// And nine times in ten.
    pub high: f64,
    /// Sites whose figure lay within the stated band, which is to hold it eight times in ten.
    pub within: u32,
}

/// The figures of a group of sites.
#[derive(Clone, Debug, PartialEq)]
pub struct Group {
    /// By what it is a group: "all", "said" (the verdict that counted) or "premises".
    pub by: &'static str,
    /// Which.
    pub name: String,
    /// Its figures.
    pub spread: Spread,
}

/// What was said (low, likely, high) and what was found.
type Pair = (f64, f64, f64, f64);

pub(super) fn costs(sites: &[SideBySide]) -> Vec<Group> {
    groups(sites, |site| {
        let (said, found) = (site.cost_said?, site.cost_found?);
        Some((said.low.pounds(), said.likely.pounds(), said.high.pounds(), found.pounds()))
    })
}

pub(super) fn hours(sites: &[SideBySide]) -> Vec<Group> {
    groups(sites, |site| {
        let (said, found) = (site.hours_said?, site.hours_found?);
        Some((said.low, said.likely, said.high, found))
    })
}

fn groups(sites: &[SideBySide], pair: impl Fn(&SideBySide) -> Option<Pair>) -> Vec<Group> {
    let mut all: BTreeMap<(u8, u8, String), (&'static str, Vec<Pair>)> = BTreeMap::new();
    for site in sites {
        let Some(own) = pair(site).filter(|(_, likely, ..)| *likely > 0.0) else { continue };
        let premises = site.premises.map(Premises::word).unwrap_or_default();
        for (order, by, place, name) in [
            (0, "all", 0, "all"),
            (1, "said", site.said as u8, site.said.word()),
            (2, "premises", site.premises.map_or(u8::MAX, |premises| premises as u8), premises),
        ] {
            if !name.is_empty() {
                all.entry((order, place, name.to_owned())).or_insert_with(|| (by, Vec::new())).1.push(own);
            }
        }
    }
    let group = |((_, _, name), (by, pairs)): ((u8, u8, String), (&'static str, Vec<Pair>))| {
        Some(Group { by, name, spread: Spread::of(&pairs)? })
    };
    all.into_iter().filter_map(group).collect()
}

impl Spread {
    fn of(pairs: &[Pair]) -> Option<Self> {
        let said: f64 = pairs.iter().map(|(_, likely, ..)| likely).sum();
        let found: f64 = pairs.iter().map(|(.., found)| found).sum();
        let bias = found / said;
        let count = pairs.len() as f64;
        // Standard error of a ratio of sums: the residuals round it, by the sum of what was said.
        let squares: f64 = pairs.iter().map(|(_, likely, _, found)| (found - bias * likely).powi(2)).sum();
        let bias_error = (pairs.len() > 1).then(|| (squares * count / (count - 1.0)).sqrt() / said);
        let mut ratios: Vec<f64> = pairs.iter().map(|(_, likely, _, found)| found / likely).collect();
        ratios.sort_by(f64::total_cmp);
        let within = pairs.iter().filter(|(low, _, high, found)| (*low..=*high).contains(found)).count();
        Some(Self {
            sites: u32::try_from(pairs.len()).unwrap_or(u32::MAX),
            said,
            found,
            bias,
            bias_error,
            median: quantile(&ratios, 0.5)?,
            low: quantile(&ratios, 0.1)?,
            high: quantile(&ratios, 0.9)?,
            within: u32::try_from(within).unwrap_or(u32::MAX),
        })
    }
}

/// The value below which a share of sorted values lies, straight between neighbours.
fn quantile(sorted: &[f64], share: f64) -> Option<f64> {
    let place = share * (sorted.len().checked_sub(1)? as f64);
    let (below, above) = (sorted.get(place.floor() as usize)?, sorted.get(place.ceil() as usize)?);
    Some(below + (above - below) * place.fract())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_tenth_too_much_is_a_bias_of_a_tenth() {
        let pairs: Vec<Pair> = (1..=10).map(|n| (f64::from(n), f64::from(n) * 2.0, 1e9, f64::from(n) * 2.2)).collect();
        let spread = Spread::of(&pairs).unwrap();
        assert!((spread.bias - 1.1).abs() < 1e-12 && spread.bias_error.unwrap() < 1e-9);
        assert!((spread.median - 1.1).abs() < 1e-12 && spread.within == 10);
        assert!(Spread::of(&pairs[..1]).unwrap().bias_error.is_none() && Spread::of(&[]).is_none());
        // Quantiles as those of general libraries by default: of 1, 2, 3, 4 a tenth lies below 1.3.
        assert_eq!(quantile(&[1.0, 2.0, 3.0, 4.0], 0.1), Some(1.3));
    }
}
