//! Diversity factors of homes and small premises, and what a home usually has (`diversity.csv`, `ring_circuits.csv`).
//!
//! It knows no survey: it answers with the printed factors and applies them to currents it is given.

use crate::table::Table;
use std::sync::OnceLock;

/// One kind of load in the household table.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[allow(missing_docs)] // the words are the table's
pub enum HouseholdLoad {
    Lighting,
    Cooker,
    Shower,
    WaterHeater,
    StandardCircuit,
    HeatPump,
}

impl HouseholdLoad {
    /// Every kind.
    pub const ALL: [HouseholdLoad; 6] = [
        HouseholdLoad::Lighting,
        HouseholdLoad::Cooker,
        HouseholdLoad::Shower,
        HouseholdLoad::WaterHeater,
        HouseholdLoad::StandardCircuit,
        HouseholdLoad::HeatPump,
    ];

    fn word(self) -> &'static str {
        match self {
            HouseholdLoad::Lighting => "lighting",
            HouseholdLoad::Cooker => "cooker",
            HouseholdLoad::Shower => "shower",
            HouseholdLoad::WaterHeater => "water-heater",
            HouseholdLoad::StandardCircuit => "standard-circuit",
            HouseholdLoad::HeatPump => "heat-pump",
        }
    }
}

/// Whose factors.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PremisesFactors {
    /// A home.
    Home,
    /// A small shop, store or office.
    Small,
}

impl PremisesFactors {
    fn word(self) -> &'static str {
        match self {
            PremisesFactors::Home => "home",
            PremisesFactors::Small => "small",
        }
    }
}

/// The factors of one kind of load.
#[derive(Clone, Copy, Debug)]
pub struct Diversity {
    /// Of each appliance, amperes taken whole before the shares apply.
    pub taken_whole_a: f64,
    /// Shares of the largest, the second and every other one.
    pub shares: [f64; 3],
    /// Added where the control unit holds a socket-outlet, amperes.
    pub socket_a: f64,
    /// Where the factors come from.
    pub source: &'static str,
    /// How well they are known.
    pub status: &'static str,
}

impl Diversity {
    /// What the table counts, amperes, of appliances that draw `currents_a` at full load, in any order.
    pub fn demand_a(&self, currents_a: &[f64]) -> f64 {
        let mut falling = currents_a.to_vec();
        falling.sort_by(|a, b| b.total_cmp(a));
        let [largest, second, other] = self.shares;
        falling
            .iter()
            .zip([largest, second].into_iter().chain(std::iter::repeat(other)))
            .map(|(current_a, share)| {
                let whole_a = current_a.min(self.taken_whole_a);
                whole_a + share * (current_a - whole_a)
            })
            .sum()
    }
}

/// The factors of a kind of load in a home.
pub fn diversity(load: HouseholdLoad) -> &'static Diversity {
    diversity_in(PremisesFactors::Home, load)
}

/// The factors of a kind of load. Every kind has its row, which a test holds; a missing one would allow no diversity.
pub fn diversity_in(premises: PremisesFactors, load: HouseholdLoad) -> &'static Diversity {
    static TABLE: OnceLock<Vec<(&'static str, &'static str, Diversity)>> = OnceLock::new();
    static NONE: Diversity = Diversity { taken_whole_a: 0.0, shares: [1.0; 3], socket_a: 0.0, source: "", status: "" };
    TABLE
        .get_or_init(|| {
            Table::of(include_str!("tables/diversity.csv"))
                .rows()
                .map(|row| {
                    let factors = Diversity {
                        taken_whole_a: row.number("taken_whole_a").unwrap_or_default(),
                        shares: [row.needed("largest_share"), row.needed("second_share"), row.needed("other_share")],
                        socket_a: row.number("socket_a").unwrap_or_default(),
                        source: row.kept("source"),
                        status: row.kept("status"),
                    };
                    (row.kept("premises"), row.kept("load"), factors)
                })
                .collect()
        })
        .iter()
        .find(|(whose, word, _)| *whose == premises.word() && *word == load.word())
        .map_or(&NONE, |(_, _, factors)| factors)
}

/// What a home of some size usually has, where the survey does not list it.
#[derive(Clone, Copy, Debug)]
pub struct UsualCircuits {
    /// Homes of up to this many bedrooms.
    pub bedrooms_to: f64,
    /// Socket circuits.
    pub circuits: usize,
    /// Device of each, amperes.
    pub device_a: f64,
    /// Connected lighting, amperes.
    pub lighting_a: f64,
    /// Why, and from where (all from memory).
    pub source: &'static str,
}

/// Usual socket circuits and lighting of a home with this many bedrooms.
pub fn usual_circuits(bedrooms: f64) -> UsualCircuits {
    static TABLE: OnceLock<Vec<UsualCircuits>> = OnceLock::new();
    let rows = TABLE.get_or_init(|| {
        Table::of(include_str!("tables/ring_circuits.csv"))
            .rows()
            .map(|row| UsualCircuits {
                bedrooms_to: row.needed("bedrooms_to"),
                circuits: row.needed("circuits") as usize,
                device_a: row.needed("device_a"),
                lighting_a: row.needed("lighting_a"),
                source: row.kept("source"),
            })
            .collect()
    });
    rows.iter().find(|row| bedrooms <= row.bedrooms_to).or(rows.last()).copied().unwrap_or(UsualCircuits {
        bedrooms_to: 0.0,
        circuits: 0,
        device_a: 0.0,
        lighting_a: 0.0,
        source: "",
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_kind_has_its_row() {
        for load in HouseholdLoad::ALL {
            for premises in [PremisesFactors::Home, PremisesFactors::Small] {
                assert!(!diversity_in(premises, load).source.is_empty(), "{premises:?} {load:?}");
            }
        }
        let cookers = diversity_in(PremisesFactors::Small, HouseholdLoad::Cooker);
        assert_eq!(cookers.demand_a(&[10.0, 50.0, 20.0]), 50.0 + 16.0 + 6.0);
    }

    #[test]
    fn shares_go_to_the_largest_first_whatever_the_order() {
        let showers = diversity(HouseholdLoad::Shower);
        assert_eq!(showers.demand_a(&[10.0, 40.0, 30.0]), 72.5);
        assert_eq!(showers.demand_a(&[40.0, 30.0, 10.0]), 72.5);
        assert_eq!(showers.demand_a(&[]), 0.0);
        // A small cooker has no rest to which a share could apply.
        assert_eq!(diversity(HouseholdLoad::Cooker).demand_a(&[8.0]), 8.0);
    }

    #[test]
    fn a_larger_home_has_no_fewer_circuits() {
        let counts = [1.0, 3.0, 6.0, 500.0].map(|bedrooms| usual_circuits(bedrooms).circuits);
        assert_eq!(counts, [1, 2, 3, 3]);
        assert_eq!(usual_circuits(f64::NAN).circuits, 3);
    }
}
