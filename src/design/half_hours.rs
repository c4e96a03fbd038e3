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
        mean_a: [f64; HALF_HOURS],
        /// On a high day: each half-hour at its greatest.
        high_a: [f64; HALF_HOURS],
    },
    /// The usual run of the day of such premises, as shares of existing demand: it moves with what that proves to be.
    Usual(&'static [f64; HALF_HOURS]),
}

impl HalfHourLoad {
    /// Amperes on a mean day, under this existing demand at its likely value.
    pub fn mean_a(&self, demand: &Demand) -> [f64; HALF_HOURS] {
        match self {
            HalfHourLoad::Own { mean_a, .. } => *mean_a,
            HalfHourLoad::Usual(shape) => shape.map(|share| share * demand.band_a.likely),
        }
    }

    /// Amperes on a high day, under this existing demand at its high end.
    pub fn high_a(&self, demand: &Demand) -> [f64; HALF_HOURS] {
        match self {
            HalfHourLoad::Own { high_a, .. } => *high_a,
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
    note("profiles", format!("usual run of the day of a {word}"), "no half-hours were read (memory)");
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
    HalfHourLoad::Own { mean_a: filled(&profile.mean), high_a: filled(&profile.greatest) }
}
