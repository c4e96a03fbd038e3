//! Existing load of a shared supply by half-hour: from its own half-hours where they were read, else the usual run of
//! the day of such premises under its peak. It decides how much energy a limit that follows the load leaves, never what
//! the supply may be asked for.

use super::demand::Demand;
use super::facts::Note;
use crate::quantity::{existing_kw_to_amps, kva_to_amps};
use crate::reference::load_shape;
use crate::rules::Rules;
use crate::site::{HALF_HOURS, Premises, Profile, ProfileUnit, Site};

/// Existing load on the worst phase, amperes, by half-hour from midnight.
#[derive(Clone, Debug, PartialEq)]
pub struct HalfHourLoad {
    /// On a mean day.
    pub mean_a: [f64; HALF_HOURS],
    /// On a high day: each half-hour at its greatest.
    pub high_a: [f64; HALF_HOURS],
    /// Whether it is the site's own; else the usual run of the day of such premises.
    pub own: bool,
}

/// The load of a site by half-hour.
pub(super) fn half_hour_load(
    site: &Site,
    premises: Premises,
    supply_phases: u8,
    demand: &Demand,
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
    let shape = load_shape(word);
    let peak = demand.band_a;
    HalfHourLoad {
        mean_a: shape.map(|share| share * peak.likely),
        high_a: shape.map(|share| share * peak.high),
        own: false,
    }
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
    HalfHourLoad { mean_a: filled(&profile.mean), high_a: filled(&profile.greatest), own: true }
}
