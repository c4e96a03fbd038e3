//! A site about which everything is known, drawn from the stated weights, and the same site as a survey leaves it: some
//! facts hidden, some told by somebody who may be wrong.

use super::splitmix::Splitmix;
use baywright::design::facts;
use baywright::possible::{Look, World, open};
use baywright::rules::Rules;
use baywright::site::*;

/// Both sides of one draw.
pub struct Drawn {
    /// What is there.
    pub known: Site,
    /// What the survey says.
    pub surveyed: Site,
}

struct Dice(Splitmix);

impl Dice {
    fn unit(&mut self) -> f64 {
        (self.0.next() >> 11) as f64 / (1_u64 << 53) as f64
    }

    fn one<T: Copy>(&mut self, all: &[T]) -> T {
        all[(self.unit() * all.len() as f64) as usize % all.len()]
    }

    /// Leaves an answer, or hides it: never asked, or asked and not answered.
    fn hide<T>(&mut self, reading: &mut Reading<T>) {
        if self.unit() < 0.5 {
            *reading = if self.unit() < 0.5 { Reading::default() } else { Reading::unknown() };
        }
    }
}

impl Drawn {
    /// The draw of a trial: truth from the weights of `truth`. What depends on a survey that may be wrong (a cut-out read
    /// from its carrier, an estimated demand, a paced distance) is drawn as it is told first, and what is there then
    /// from the weights of such a telling.
    pub fn of_trial(trial: u64, truth: &Rules) -> Drawn {
        let mut dice = Dice(Splitmix(trial.wrapping_mul(0x2545_f491_4f6c_dd1d) ^ 0xca11));
        let told = told(&mut dice, trial);
        let likely = facts(&told, truth).0;
        let open = open(&told, &likely, truth);
        // The year first, then every fact by the weights of that year.
        let mut left = dice.unit();
        let mut year = 0;
        for (place, (_, weight)) in open.years.iter().enumerate() {
            year = place;
            left -= weight;
            if left < 0.0 {
                break;
            }
        }
        let look = Look { site: &told, facts: &likely, rules: truth, year: open.years[year].0 };
        let mut world = World::seen(&told, &likely);
        for fact in &open.facts {
            if fact.is_band() {
                continue;
            }
            let mut left = dice.unit();
            let mut index = 0;
            for place in 0..fact.count() {
                let weight = fact.weight(place, place + 1, year);
                if weight > 0.0 {
                    index = place;
                }
                left -= weight;
                if left < 0.0 {
                    break;
                }
            }
            fact.settle(&mut world, index, &look);
        }
        // Bands are drawn from end to end, not cell by cell.
        world.demand_share = Some(dice.unit());
        world.distance_share = Some(dice.unit());
        let there = world.facts(truth);
        let mut known = world.site;
        known.permissions.year_built = Reading::of(open.years[year].0.unwrap_or(1980.0));
        known.load.existing_demand_a = Reading::of(there.demand.band_a.likely);
        known.load.demand_method = Reading::of(DemandMethod::Measured);
        known.parking.parking_distance_m = Reading::of(there.distance_m.likely);
        let surveyed = surveyed(&mut dice, &told, &known);
        Drawn { known, surveyed }
    }
}

/// What somebody tells before anything else is asked: kind of place, supply, demand, distance.
fn told(dice: &mut Dice, trial: u64) -> Site {
    let mut site = Site { row: 2, site_id: format!("drawn-{trial}"), ..Site::default() };
    let premises = dice.one(&[Premises::House, Premises::House, Premises::House, Premises::Flat]);
    site.identity.premises_type = Reading::of(premises);
    // Telling of a tenure later would open questions of consent that this draw does not follow.
    site.identity.tenure = Reading::of(dice.one(&[Tenure::Owner, Tenure::SocialRent]));
    match dice.one(&[0, 1, 2]) {
        0 => {}
        1 => site.supply.cutout_rating_a = Reading::of(dice.one(&[60.0, 80.0, 100.0])),
        _ => {
            site.supply.cutout_rating_a = Reading::of(dice.one(&[80.0, 100.0]));
            site.supply.cutout_evidence = Reading::of(dice.one(&[CutoutEvidence::Carrier, CutoutEvidence::Assumed]));
        }
    }
    site.load.existing_demand_a = Reading::of(dice.one(&[16.0, 22.0, 26.0, 29.0, 33.0, 37.0, 41.0, 46.0, 52.0, 60.0]));
    site.load.demand_method = match dice.one(&[0, 1, 2]) {
        0 => Reading::default(),
        1 => Reading::of(DemandMethod::Estimated),
        _ => Reading::of(DemandMethod::Calculated),
    };
    if dice.unit() < 0.1 {
        site.supply.earthing_system = Reading::of(EarthingSystem::Tt);
    }
    let metres = dice.one(&[6.0, 9.0, 13.0, 20.0, 35.0, 70.0]);
    let answer = Answer::Doubtful { low: metres * 0.75, likely: metres, high: metres * 1.5 };
    site.parking.parking_distance_m =
        if dice.unit() < 0.3 { Reading { answer, column: None } } else { Reading::of(metres) };
    site
}

/// The survey: what was told stands as it was told, the rest is as it is there or hidden.
fn surveyed(dice: &mut Dice, told: &Site, known: &Site) -> Site {
    let mut site = known.clone();
    site.supply.cutout_rating_a = told.supply.cutout_rating_a.clone();
    site.supply.cutout_evidence = told.supply.cutout_evidence.clone();
    // Some cut-outs were looked at after all.
    if dice.unit() < 0.3 {
        site.supply.cutout_rating_a = known.supply.cutout_rating_a.clone();
        site.supply.cutout_evidence = Reading::of(CutoutEvidence::Fuse);
    }
    site.load.existing_demand_a = told.load.existing_demand_a.clone();
    site.load.demand_method = told.load.demand_method.clone();
    site.parking.parking_distance_m = told.parking.parking_distance_m.clone();
    site.identity.survey_method = Reading::of(SurveyMethod::Visit);
    let permissions = &mut site.permissions;
    dice.hide(&mut permissions.year_built);
    dice.hide(&mut permissions.asbestos_on_route);
    dice.hide(&mut permissions.listed);
    // A blank in a column of consents means that it is still to be asked for: another question than no column.
    if dice.unit() < 0.5 {
        permissions.consent_status = Reading::default();
    }
    dice.hide(&mut site.supply.looped_service);
    dice.hide(&mut site.supply.cutout_condition);
    dice.hide(&mut site.supply.supply_phases);
    if !told.supply.earthing_system.is_stated() {
        dice.hide(&mut site.supply.earthing_system);
    }
    // Where the earthing was not told at first its electrode goes with it; where it was, the electrode is open.
    if !site.supply.earthing_system.is_stated() {
        site.supply.ze_ohm = Reading::default();
    } else if told.supply.earthing_system.is_stated() {
        dice.hide(&mut site.supply.ze_ohm);
    }
    dice.hide(&mut site.supply.fault_level_ka);
    dice.hide(&mut site.board.board_condition);
    dice.hide(&mut site.parking.parking_type);
    dice.hide(&mut site.parking.covered_parking);
    dice.hide(&mut site.parking.storeys);
    site
}
