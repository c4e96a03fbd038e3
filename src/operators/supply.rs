//! The columns of the supply: what the survey states, with the demand on which the route was judged.

use super::types::SupplyRow;
use super::who::is_of_northern_ireland;
use crate::design::{Facts, hearsay};
use crate::site::{CutoutEvidence, Site, distributor_of_mpan, mpan_check_digit_ok};
use crate::verdict::Judgement;

/// The supply of a site. Demand stands at its high end: that is what the route hangs on.
pub(super) fn supply_row(site: &Site, facts: &Facts, judgement: &Judgement) -> SupplyRow {
    let chosen = judgement.chosen.as_ref().filter(|chosen| !chosen.runs.is_empty());
    SupplyRow {
        number: site.supply.mpan.likely().filter(|number| is_sound(number)).cloned(),
        phases: facts.supply_phases,
        cutout_a: facts.cutout_a,
        looped: looped(site),
        earthing: facts.earthing,
        existing_a: judgement.existing_demand_a.high,
        with_charging_a: chosen.map(|chosen| chosen.maximum_demand_a.high),
    }
}

/// Whether a supply number may be passed on: 13 digits with the right check digit that begin with a distributor, or the
/// 11 digits of Northern Ireland.
pub(super) fn is_sound(number: &str) -> bool {
    is_of_northern_ireland(number) || (mpan_check_digit_ok(number) && distributor_of_mpan(number).is_some())
}

/// Whether the service is looped. A "no" of somebody who has not seen it is no answer.
fn looped(site: &Site) -> Option<bool> {
    let stated = site.supply.looped_service.stated().copied()?;
    (stated || !hearsay(site)).then_some(stated)
}

/// Whether a cut-out of the usual kind is to be expected: not on a supply metered through transformers, without a meter,
/// or not there at all. Each of these has a rule of its own.
pub(super) fn has_cutout(site: &Site, facts: &Facts) -> bool {
    !facts.ct_metered && !site.supply.unmetered.is(true) && !site.supply.supply_present.is(false)
}

/// Whether the rating of the cut-out is known: stated without doubt, and by whom or what, which is no guess and no marking
/// on its carrier.
pub(super) fn cutout_is_known(site: &Site) -> bool {
    let evidence = site.supply.cutout_evidence.value();
    site.supply.cutout_rating_a.stated().is_some()
        && evidence.is_some_and(|evidence| !matches!(evidence, CutoutEvidence::Assumed | CutoutEvidence::Carrier))
}
