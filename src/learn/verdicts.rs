//! Verdicts that were said against those found on site. Sites without a verdict on site are not in it.

use super::SideBySide;
use crate::site::{Premises, Verdict};
use std::collections::BTreeMap;

/// The verdicts, best first.
pub(super) const VERDICTS: [Verdict; 3] = [Verdict::Ready, Verdict::Marginal, Verdict::Blocked];
/// Bins of the calibration.
const BINS: usize = 5;

/// Counts of sites: a line a verdict said, a column a verdict found; ready, marginal, blocked.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Confusion(pub [[u32; 3]; 3]);

impl Confusion {
    fn add(&mut self, said: Verdict, found: Verdict) {
        let place = |verdict| VERDICTS.iter().position(|own| *own == verdict).unwrap_or_default();
        if let Some(count) = self.0.get_mut(place(said)).and_then(|line| line.get_mut(place(found))) {
            *count += 1;
        }
    }

    /// All sites.
    pub fn sites(&self) -> u32 {
        self.0.iter().flatten().sum()
    }

    /// Sites whose verdict was found as it was said.
    pub fn right(&self) -> u32 {
        self.0.iter().enumerate().filter_map(|(at, line)| line.get(at)).sum()
    }
}

/// What was said in one fifth of the scale of `probability_ready`, and what was found.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Bin {
    /// Sites.
    pub sites: u32,
    /// Mean of what was said.
    pub said: f64,
    /// Share found ready.
    pub ready: f64,
}

/// How a group of sites did.
#[derive(Clone, Debug, PartialEq)]
pub struct Share {
    /// By what it is a group: "lot" or "premises".
    pub by: &'static str,
    /// Which.
    pub name: String,
    /// Sites with a verdict on site.
    pub sites: u32,
    /// Those found as they were said.
    pub right: u32,
    /// Those said ready.
    pub said_ready: u32,
    /// Those found ready.
    pub found_ready: u32,
}

/// How verdicts did.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Verdicts {
    /// The verdict that counts against the one found.
    pub counted: Confusion,
    /// The computed verdict against the one found.
    pub computed: Confusion,
    /// Sites said ready (by the verdict that counts) and found otherwise, by `site_id`.
    pub not_ready: Vec<String>,
    /// Sites with odds and a verdict on site.
    pub with_odds: u32,
    /// Mean squared difference between `probability_ready` and what was found (1 ready, 0 not): less is better.
    pub brier: Option<f64>,
    /// The same for whoever gives every site the share that was found ready.
    pub brier_of_base: Option<f64>,
    /// Calibration, by fifths of the scale; fifths without a site are left out.
    pub bins: Vec<Bin>,
    /// By lot and by premises.
    pub groups: Vec<Share>,
}

impl Verdicts {
    pub(super) fn of(sites: &[SideBySide]) -> Self {
        let mut all = Verdicts::default();
        let mut groups: BTreeMap<(&'static str, String), Share> = BTreeMap::new();
        let mut bins = [Bin::default(); BINS];
        let (mut squares, mut ready) = (0.0, 0.0);
        for site in sites {
            let Some(found) = site.found else { continue };
            all.counted.add(site.said, found);
            all.computed.add(site.computed, found);
            if site.said == Verdict::Ready && found != Verdict::Ready {
                all.not_ready.push(site.site_id.clone());
            }
            let premises = site.premises.map(Premises::word).unwrap_or_default();
            for (by, name) in [("lot", site.lot.as_str()), ("premises", premises)] {
                if name.is_empty() {
                    continue;
                }
                let share = groups.entry((by, name.to_owned())).or_insert_with(|| Share {
                    by,
                    name: name.to_owned(),
                    sites: 0,
                    right: 0,
                    said_ready: 0,
                    found_ready: 0,
                });
                share.sites += 1;
                share.right += u32::from(site.said == found);
                share.said_ready += u32::from(site.said == Verdict::Ready);
                share.found_ready += u32::from(found == Verdict::Ready);
            }
            let Some(said) = site.probability_ready else { continue };
            let was = f64::from(u8::from(found == Verdict::Ready));
            all.with_odds += 1;
            squares += (said - was).powi(2);
            ready += was;
            let place = ((said * BINS as f64) as usize).min(BINS - 1);
            if let Some(bin) = bins.get_mut(place) {
                bin.sites += 1;
                bin.said += said;
                bin.ready += was;
            }
        }
        if all.with_odds > 0 {
            let count = f64::from(all.with_odds);
            let base = ready / count;
            all.brier = Some(squares / count);
            all.brier_of_base = Some(base * (1.0 - base));
        }
        let filled = bins.into_iter().filter(|bin| bin.sites > 0);
        all.bins = filled
            .map(|bin| {
                let count = f64::from(bin.sites);
                Bin { sites: bin.sites, said: bin.said / count, ready: bin.ready / count }
            })
            .collect();
        all.groups = groups.into_values().collect();
        all
    }
}
