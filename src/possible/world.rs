//! A site with its open facts settled one way.

use crate::design::{DemandOrigin, Facts, facts};
use crate::quantity::Band;
use crate::rules::Rules;
use crate::site::{Answer, CutoutEvidence, Site, SurveyMethod};

/// A survey in which every open fact has an answer that somebody has seen, and where in their bands the existing demand
/// and the length of the route prove to be.
#[derive(Clone, Debug)]
pub struct World {
    /// The survey.
    pub site: Site,
    /// Share of the probability of the demand's band below its value.
    pub demand_share: Option<f64>,
    /// Share of the probability of the distance's band below its value.
    pub distance_share: Option<f64>,
    /// The demand was copied down and is anybody's within this share either way.
    pub demand_within: Option<f64>,
    /// The distance was copied down and is anybody's within this share either way.
    pub distance_within: Option<f64>,
}

/// Shares of the probability below the low and the high end of a band (design rule: the band is 5 to 95 %).
const LOW_SHARE: f64 = 0.05;
const MIDDLE_SHARE: f64 = 0.5;

impl World {
    /// The site as somebody on the spot would state it, before the open facts are settled: answers come from a visit,
    /// nothing contradicts anything, and the cut-out taken is the one that is there.
    pub fn seen(site: &Site, likely: &Facts) -> Self {
        let mut site = site.clone();
        site.identity.survey_method.answer = Answer::Stated(SurveyMethod::Visit);
        site.contradictions.retain(|found| !found.decides);
        for conflict in &mut site.conflicts {
            conflict.open = false;
        }
        let supply = &mut site.supply;
        if !supply.cutout_rating_a.is_stated() {
            supply.cutout_rating_a.answer = Answer::Stated(likely.cutout_a);
        }
        supply.cutout_evidence.answer = Answer::Stated(CutoutEvidence::Fuse);
        if !supply.supply_phases.is_stated() {
            supply.supply_phases.answer = Answer::Stated(f64::from(likely.supply_phases));
        }
        // Copies are told apart by the facts that are open about them.
        site.copied_down.clear();
        World { site, demand_share: None, distance_share: None, demand_within: None, distance_within: None }
    }

    /// What is designed from in this world.
    pub fn facts(&self, rules: &Rules) -> Facts {
        let mut known = facts(&self.site, rules).0;
        if let Some(share) = self.demand_within {
            known.demand.band_a = wider(known.demand.band_a, share);
            known.demand.against_capacity_a = wider(known.demand.against_capacity_a, share);
        }
        if let Some(share) = self.demand_share {
            known.demand.band_a = Band::exact(at_share(known.demand.band_a, share));
            known.demand.against_capacity_a = Band::exact(at_share(known.demand.against_capacity_a, share));
            known.demand.origin = DemandOrigin::Measured;
        }
        if let Some(share) = self.distance_within {
            known.distance_m = wider(known.distance_m, share);
        }
        if let Some(share) = self.distance_share {
            known.distance_m = Band::exact(at_share(known.distance_m, share));
        }
        known
    }
}

fn wider(band: Band, share: f64) -> Band {
    let (low, high) = (band.likely * (1.0 - share), band.likely * (1.0 + share));
    Band::new(band.low.min(low), band.likely, band.high.max(high))
}

/// The value of a band below which a share of its probability lies: straight through the low end at 5 %, the likely
/// value at 50 % and the high end at 95 %, and on beyond the ends with the same slope; never below nothing.
pub(super) fn at_share(band: Band, share: f64) -> f64 {
    let slope = if share <= MIDDLE_SHARE { band.likely - band.low } else { band.high - band.likely };
    (band.likely + slope * (share - MIDDLE_SHARE) / (MIDDLE_SHARE - LOW_SHARE)).max(0.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shares_run_through_the_three_points() {
        let band = Band::new(10.0, 20.0, 50.0);
        for (share, value) in [(0.05, 10.0), (0.5, 20.0), (0.95, 50.0)] {
            assert!((at_share(band, share) - value).abs() < 1e-9);
        }
        assert!(at_share(band, 0.99) > 50.0 && at_share(Band::new(0.0, 1.0, 2.0), 0.0) >= 0.0);
    }
}
