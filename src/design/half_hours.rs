//! Existing load of a shared supply by half-hour: from its own half-hours where they were read, else the usual run of
//! the day of such premises under its peak. It decides how much energy a limit that follows the load leaves, never what
//! the supply may be asked for.

use super::demand::Demand;
use super::facts::Note;
use crate::quantity::{existing_kw_to_amps, kva_to_amps};
use crate::reference::load_shape;
use crate::rules::Rules;
use crate::site::{HALF_HOURS, Premises, Profile, ProfileUnit, Site};

/// Existing load on the worst phase by half-hour from midnight.
#[derive(Clone, Debug, PartialEq)]
pub enum HalfHourLoad {
    /// Its own half-hours, amperes with the margin of the rules.
    Own {
        /// On a mean day.
        mean_a: Box<[f64; HALF_HOURS]>,
        /// On a high day: each half-hour at its greatest.
        high_a: Box<[f64; HALF_HOURS]>,
    },
    /// The usual run of the day of such premises, as shares of existing demand: it moves with what that proves to be.
    Usual(&'static [f64; HALF_HOURS]),
}

impl HalfHourLoad {
    /// Amperes on a mean day, under this existing demand at its likely value.
    pub fn mean_a(&self, demand: &Demand) -> [f64; HALF_HOURS] {
        match self {
            HalfHourLoad::Own { mean_a, .. } => **mean_a,
            HalfHourLoad::Usual(shape) => shape.map(|share| share * demand.band_a.likely),
        }
    }

    /// Amperes on a high day, under this existing demand at its high end.
    pub fn high_a(&self, demand: &Demand) -> [f64; HALF_HOURS] {
        match self {
            HalfHourLoad::Own { high_a, .. } => **high_a,
            HalfHourLoad::Usual(shape) => shape.map(|share| share * demand.band_a.high),
        }
    }

    /// Whether it is the site's own.
    pub fn is_own(&self) -> bool {
        matches!(self, HalfHourLoad::Own { .. })
    }
}

/// The load of a site by half-hour.
pub(super) fn half_hour_load(
    site: &Site,
    premises: Premises,
    supply_phases: u8,
    rules: &Rules,
    note: Note<'_>,
) -> HalfHourLoad {
    if let Some(profile) = &site.profile {
        return of_profile(profile, supply_phases, rules);
    }
    let word = match premises {
        Premises::House | Premises::Flat => "home",
        Premises::Block => "block",
        Premises::Workplace => "workplace",
        Premises::Depot => "depot",
    };
    note(
        "profiles",
        format!("usual run of the day of a {word}"),
        "no half-hours were read (homes as a published profile, others from memory)",
    );
    HalfHourLoad::Usual(load_shape(word))
}

/// Its own half-hours, with the margin of the rules: they are averages over the half-hour and over the phases.
fn of_profile(profile: &Profile, supply_phases: u8, rules: &Rules) -> HalfHourLoad {
    let amps = |figure: f64| {
        let amps = match profile.unit {
            ProfileUnit::Kw => existing_kw_to_amps(figure, supply_phases),
            ProfileUnit::Kva => kva_to_amps(figure, supply_phases),
        };
        amps * (1.0 + rules.shared.profile_margin)
    };
    // A half-hour that no day has is taken at the highest.
    let filled = |values: &[Option<f64>; HALF_HOURS]| values.map(|value| amps(value.unwrap_or(profile.peak.value)));
    HalfHourLoad::Own { mean_a: Box::new(filled(&profile.mean)), high_a: Box::new(filled(&profile.greatest)) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::design::demand::DemandOrigin;
    use crate::quantity::Band;
    use crate::rules::default_rules;
    use crate::site::ProfilePeak;

    fn demand(low: f64, likely: f64, high: f64) -> Demand {
        let band_a = Band::new(low, likely, high);
        Demand { band_a, against_capacity_a: band_a, origin: DemandOrigin::Estimated }
    }

    fn profile(unit: ProfileUnit) -> Profile {
        let mut profile = Profile {
            unit,
            days: 40,
            span: None,
            mean: [Some(13.8); HALF_HOURS],
            greatest: [Some(20.7); HALF_HOURS],
            peak: ProfilePeak { value: 69.0, date: None, half_hour: 36 },
            gaps: 1,
            coverage: 0.99,
            estimated: 0,
            meters: 1,
        };
        (profile.mean[5], profile.greatest[5]) = (None, None);
        profile.greatest[36] = Some(69.0);
        profile
    }

    /// A load by half-hour under a demand.
    struct Told {
        mean_a: [f64; HALF_HOURS],
        high_a: [f64; HALF_HOURS],
        own: bool,
    }

    fn load_of(site: &Site, premises: Premises, demand: &Demand) -> (Told, Vec<(&'static str, String)>) {
        let mut notes = Vec::new();
        let mut note = |field, shown, _: &'static str| notes.push((field, shown));
        let load = half_hour_load(site, premises, 3, default_rules(), &mut note);
        let (mean_a, high_a, own) = (load.mean_a(demand), load.high_a(demand), load.is_own());
        (Told { mean_a, high_a, own }, notes)
    }

    #[test]
    fn its_own_half_hours_count_with_their_margin_and_a_gap_at_the_peak() {
        let mut site = Site { profile: Some(Box::new(profile(ProfileUnit::Kva))), ..Site::default() };
        let stated = demand(10.0, 15.0, 20.0);
        let (load, notes) = load_of(&site, Premises::Workplace, &stated);
        // 13.8, 20.7 and 69 kVA over three phases of 230 V are 20, 30 and 100 A; a tenth is added.
        assert_eq!(default_rules().shared.profile_margin, 0.1);
        let is = |amps: f64, expected: f64| assert!((amps - expected).abs() < 1e-9, "{amps} for {expected}");
        is(load.mean_a[0], 22.0);
        is(load.high_a[0], 33.0);
        is(load.high_a[36], 110.0);
        is(load.mean_a[36], 22.0);
        is(load.mean_a[5], 110.0);
        is(load.high_a[5], 110.0);
        assert!(load.own && notes.is_empty(), "nothing is assumed: {notes:?}");
        // Kilowatts at the power factor of existing load, 0.95, are more amperes.
        site.profile = Some(Box::new(profile(ProfileUnit::Kw)));
        let (in_kw, _) = load_of(&site, Premises::Workplace, &stated);
        for (kw, kva) in in_kw.mean_a.iter().zip(&load.mean_a) {
            is(*kw, kva / 0.95);
        }
    }

    #[test]
    fn without_half_hours_the_usual_run_of_the_day_lies_under_the_peak_and_is_told() {
        let stated = demand(30.0, 40.0, 52.0);
        for (premises, word) in [
            (Premises::House, "home"),
            (Premises::Flat, "home"),
            (Premises::Block, "block"),
            (Premises::Workplace, "workplace"),
            (Premises::Depot, "depot"),
        ] {
            let (load, notes) = load_of(&Site::default(), premises, &stated);
            let greatest = |amps: &[f64; HALF_HOURS]| amps.iter().copied().fold(0.0, f64::max);
            assert_eq!((greatest(&load.mean_a), greatest(&load.high_a), load.own), (40.0, 52.0, false), "{premises}");
            for ((mean, high), share) in load.mean_a.iter().zip(&load.high_a).zip(load_shape(word)) {
                assert!((mean - 40.0 * share).abs() < 1e-9 && (high - 52.0 * share).abs() < 1e-9, "{premises}");
            }
            let [(field, shown)] = &notes[..] else { panic!("{notes:?}") };
            assert!(*field == "profiles" && shown.contains(word), "{field}: {shown}");
        }
    }
}
