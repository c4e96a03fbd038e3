//! How many sites will prove ready: the mean, and what eight times in ten it lies between.

use super::{Ranked, Street, streets};

/// Standard deviations from the mean to the 10 and the 90 % point of a normal variable.
const TENTH: f64 = 1.281_551_565_545;

/// How many of some sites will prove ready once everything open about them is settled.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct LikelyReady {
    /// Sites that are counted.
    pub of: u32,
    /// Mean.
    pub mean: f64,
    /// One time in ten it is less (P10).
    pub low: f64,
    /// One time in ten it is more (P90).
    pub high: f64,
    /// The 90 % point if every site's doubt were its own, for comparison.
    pub high_alone: f64,
}

/// Mean and band of the sites that `among` picks; `None` where the odds were not asked for.
pub(in crate::portfolio) fn likely_ready(sites: &[Ranked], among: &dyn Fn(&Ranked) -> bool) -> Option<LikelyReady> {
    if !sites.iter().any(|site| among(site) && site.judgement.odds.is_some()) {
        return None;
    }
    let streets = streets(sites, among);
    Some(of_streets(&streets))
}

fn of_streets(streets: &[Street]) -> LikelyReady {
    let (mut of, mut mean, mut alone, mut together) = (0_u32, 0.0, 0.0, 0.0);
    for street in streets {
        for one in 0..street.sites.len() {
            of += 1;
            mean += street.sites.get(one).map_or(0.0, |site| site.ready);
            alone += street.covariance(one, one);
            let others = (0..one).map(|other| 2.0 * street.covariance(one, other));
            together += others.sum::<f64>();
        }
    }
    // The sums of rounded parts may fall below nothing by a hair.
    let spread = (alone + together).max(0.0).sqrt() * TENTH;
    let most = f64::from(of);
    LikelyReady {
        of,
        mean,
        low: (mean - spread).clamp(0.0, most),
        high: (mean + spread).clamp(0.0, most),
        high_alone: (mean + alone.max(0.0).sqrt() * TENTH).clamp(0.0, most),
    }
}

#[cfg(test)]
mod tests {
    use super::super::{Site, heard};
    use super::*;
    use crate::splitmix::Splitmix;
    use std::collections::BTreeMap;

    fn unit(dice: &mut Splitmix) -> f64 {
        (dice.next() >> 11) as f64 / (1_u64 << 53) as f64
    }

    fn street_of(homes: usize, chance_yes: f64, correlation: f64, ready_where_no: f64, seen: &[f64]) -> Street {
        let fact = ("looped_service", "built before 1945");
        let (rates, left) = heard(&[1.0 - chance_yes, chance_yes], seen, correlation);
        let ready = rates[0] * ready_where_no;
        let given = BTreeMap::from([(fact, vec![ready_where_no, 0.0])]);
        let sites = (0..homes).map(|place| Site { place, ready, given: given.clone() }).collect();
        Street { sites, rates: BTreeMap::from([(fact, (rates, left))]) }
    }

    #[test]
    fn mean_and_band_are_those_of_drawing_homes_from_an_urn() {
        // 40 streets of 12 homes: one in five looped, correlation 0.5; 90 % of the others prove ready.
        let streets: Vec<Street> = (0..40).map(|_| street_of(12, 0.2, 0.5, 0.9, &[0.0, 0.0])).collect();
        let said = of_streets(&streets);
        let mut dice = Splitmix(7);
        let mut counts: Vec<f64> = (0..4000)
            .map(|_| {
                let mut ready = 0.0;
                for _ in 0..40 {
                    // Pólya's urn with one ball of the table's weights, and one for each home drawn.
                    let (mut no, mut yes) = (0.8, 0.2);
                    for _ in 0..12 {
                        if unit(&mut dice) * (no + yes) < yes {
                            yes += 1.0;
                        } else {
                            no += 1.0;
                            ready += f64::from(u8::from(unit(&mut dice) < 0.9));
                        }
                    }
                }
                ready
            })
            .collect();
        counts.sort_by(f64::total_cmp);
        let mean = counts.iter().sum::<f64>() / counts.len() as f64;
        assert!((said.mean - mean).abs() < 1.5, "{said:?}, drawn {mean}");
        assert!((said.low - counts[400]).abs() < 4.0, "{said:?}, drawn {}", counts[400]);
        assert!((said.high - counts[3600]).abs() < 4.0, "{said:?}, drawn {}", counts[3600]);
        // Doubts that are shared spread much wider than doubts of each one's own.
        assert!(said.high - said.mean > 2.0 * (said.high_alone - said.mean), "{said:?}");
    }

    #[test]
    fn homes_that_were_seen_speak_for_their_street() {
        let unseen = of_streets(&[street_of(10, 0.2, 0.5, 0.9, &[0.0, 0.0])]);
        let sound = of_streets(&[street_of(10, 0.2, 0.5, 0.9, &[4.0, 0.0])]);
        let looped = of_streets(&[street_of(10, 0.2, 0.5, 0.9, &[0.0, 4.0])]);
        assert!(looped.mean < unseen.mean && unseen.mean < sound.mean);
        assert!(sound.high - sound.low < unseen.high - unseen.low, "{sound:?} {unseen:?}");
    }
}
