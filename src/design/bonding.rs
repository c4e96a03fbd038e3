//! Main bonding and earthing conductor: what the survey states against what the supply asks for (544.1, Tables 54.1,
//! 54.7 and 54.8). The rules may raise a size, never lower it. It knows no circuit.

use super::Work;
use super::facts::Facts;
use super::findings::Findings;
use crate::reference::{bonding_other_mm2, bonding_pme_mm2, earthing_tt_mm2, supply_neutral_mm2, table_54_7_mm2};
use crate::rules::Rules;
use crate::site::{EarthingSystem, Reading, Site};

/// State of main bonding and earthing conductor.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Bonding {
    /// Stated, and large enough.
    Sound,
    /// Stated, and too small.
    TooSmall,
    /// Not stated, or not proven for a supply of this size.
    Unproven,
}

/// One conductor: what is there and what is needed, mm2 copper.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct EarthSize {
    /// As stated; the low end where it is in doubt.
    pub stated_mm2: Option<f64>,
    /// The least that the supply asks for.
    pub least_mm2: f64,
    /// What is large enough whatever the supply's neutral is: above 100 A a phase that neutral is a guess.
    pub proven_mm2: f64,
}

impl EarthSize {
    fn state(self) -> Bonding {
        match self.stated_mm2 {
            Some(mm2) if mm2 < self.least_mm2 => Bonding::TooSmall,
            Some(mm2) if mm2 >= self.proven_mm2 => Bonding::Sound,
            _ => Bonding::Unproven,
        }
    }
}

/// Main bonding and earthing conductor of a site.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct EarthSizes {
    /// Main bonding.
    pub bonding: EarthSize,
    /// Earthing conductor.
    pub conductor: EarthSize,
    /// Copper-equivalent neutral of the supply, from the cut-out, mm2.
    pub neutral_mm2: f64,
}

impl EarthSizes {
    /// The worse of the two: one that is too small is certain work, one that is not proven only likely.
    pub fn state(&self) -> Bonding {
        match (self.bonding.state(), self.conductor.state()) {
            (Bonding::TooSmall, _) | (_, Bonding::TooSmall) => Bonding::TooSmall,
            (Bonding::Sound, Bonding::Sound) => Bonding::Sound,
            _ => Bonding::Unproven,
        }
    }

    /// What the survey states against what the supply asks for.
    pub(super) fn of(site: &Site, earthing: Option<EarthingSystem>, cutout_a: f64, rules: &Rules) -> Self {
        let low = |reading: &Reading<f64>| reading.ends().map(|(low, _, _)| *low);
        let neutral_mm2 = supply_neutral_mm2(cutout_a);
        let tt = earthing == Some(EarthingSystem::Tt);
        let large = cutout_a > rules.supply.ct_metering_above_a;
        // TN-S counts as PME: many such services are combined in the street.
        let conductor_mm2 = if tt { earthing_tt_mm2() } else { rules.circuit.earthing_conductor_mm2 };
        let bonding_mm2 = if tt {
            bonding_other_mm2(conductor_mm2)
        } else {
            bonding_pme_mm2(neutral_mm2).max(rules.circuit.main_bonding_mm2)
        };
        let greatest_mm2 = if tt { bonding_other_mm2(f64::INFINITY) } else { bonding_pme_mm2(f64::INFINITY) };
        // A smaller earthing conductor than the table's may be proven by its energy, which no survey tells.
        let by_table_mm2 = if tt { conductor_mm2 } else { table_54_7_mm2(neutral_mm2) };
        let size = |stated_mm2: Option<f64>, least_mm2: f64, greatest_mm2: f64| EarthSize {
            stated_mm2,
            least_mm2,
            proven_mm2: if large { greatest_mm2.max(least_mm2) } else { least_mm2 },
        };
        Self {
            bonding: size(low(&site.supply.main_bonding_mm2), bonding_mm2, greatest_mm2),
            conductor: size(low(&site.board.earthing_conductor_mm2), conductor_mm2, by_table_mm2),
            neutral_mm2,
        }
    }
}

/// What is found of both, and the work where one is too small or not proven.
pub(super) fn say_bonding(facts: &Facts, out: &mut Findings<'_>) {
    let sizes = facts.earth_sizes;
    if facts.bonding != Bonding::Sound {
        out.work(Work::BondingUpgrade { proven: facts.bonding == Bonding::TooSmall });
    }
    for (check, size) in [("bonding", sizes.bonding), ("earthing-conductor", sizes.conductor)] {
        let fill = |f: crate::finding::Finding| {
            let f = f.terms(&[sizes.neutral_mm2, size.proven_mm2]);
            match size.stated_mm2 {
                // Large enough for the rules and not proven for the supply: the size that would prove it is the limit.
                Some(mm2) if mm2 >= size.least_mm2 => f.at_least(mm2, size.proven_mm2),
                Some(mm2) => f.at_least(mm2, size.least_mm2),
                None => crate::finding::Finding { limit: Some(size.least_mm2), ..f },
            }
        };
        if size.state() == Bonding::Sound {
            out.show(check, fill);
        } else {
            out.say(check, "bonding-upgrade", fill);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::default_rules;

    fn sizes(bonding: f64, conductor: f64, earthing: EarthingSystem, cutout_a: f64) -> EarthSizes {
        let mut site = Site::default();
        site.supply.main_bonding_mm2 = Reading::of(bonding);
        site.board.earthing_conductor_mm2 = Reading::of(conductor);
        EarthSizes::of(&site, Some(earthing), cutout_a, default_rules())
    }

    #[test]
    fn a_home_on_pme_needs_10_and_16_and_on_tt_6_and_6() {
        assert_eq!(sizes(10.0, 16.0, EarthingSystem::TnCS, 100.0).state(), Bonding::Sound);
        assert_eq!(sizes(9.9, 16.0, EarthingSystem::TnCS, 100.0).state(), Bonding::TooSmall);
        assert_eq!(sizes(10.0, 10.0, EarthingSystem::TnS, 100.0).state(), Bonding::TooSmall);
        assert_eq!(sizes(6.0, 6.0, EarthingSystem::Tt, 100.0).state(), Bonding::Sound);
    }

    #[test]
    fn above_100_a_only_the_largest_size_of_the_table_is_proven() {
        let at = |bonding, conductor| sizes(bonding, conductor, EarthingSystem::TnCS, 200.0);
        // The neutral is taken as 95 mm²: half of it by the table.
        assert_eq!(at(50.0, 16.0).conductor.proven_mm2, 47.5);
        assert_eq!(at(50.0, 16.0).state(), Bonding::Unproven);
        assert_eq!(at(16.0, 50.0).state(), Bonding::TooSmall);
        assert_eq!(at(25.0, 50.0).state(), Bonding::Unproven);
        assert_eq!(at(50.0, 50.0).state(), Bonding::Sound);
    }

    #[test]
    fn rules_raise_the_bonding_and_never_lower_it() {
        let mut rules = default_rules().clone();
        rules.circuit.main_bonding_mm2 = 16.0;
        let least =
            |cutout_a| EarthSizes::of(&Site::default(), Some(EarthingSystem::TnCS), cutout_a, &rules).bonding.least_mm2;
        assert_eq!(least(100.0), 16.0);
        assert_eq!(least(200.0), 25.0);
    }
}
