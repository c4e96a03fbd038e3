//! What an estimate is made of.

use super::backing::RestsOn;
use super::doubt::Doubt;
use super::price_book::{ItemKind, PriceBook};
use crate::design::{Facts, Run, RunRole};
use crate::quantity::{Band, CostBand};
use crate::reference::Cable;
use crate::rules::Rules;
use crate::site::{GroundSurface, ParkingType, Premises, Site};

/// What the take-off must know of a place besides its arrangement.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Place {
    /// What kind of place it is.
    pub premises: Premises,
    /// Where the vehicle stands; `None` where not stated.
    pub parking_type: Option<ParkingType>,
    /// What a trench goes through.
    pub ground_surface: GroundSurface,
    /// Walls that the route passes.
    pub walls: Band,
    /// Whether the parking is covered: no pedestals, cables on tray.
    pub covered: bool,
    /// Storeys of the building; 0 where not stated.
    pub storeys: f64,
    /// Length of the route as a share of the length designed for: a design takes the longest plausible route, the
    /// quantities its likely one.
    pub length_share: Band,
    /// Width of a bay, metres: final circuits of a car park spread this far apart.
    pub bay_pitch_m: f64,
    /// By what labour costs differ from the price book here.
    pub labour: f64,
    /// By what all other costs differ.
    pub materials: f64,
}

impl Place {
    /// The place of a survey, with the facts that its arrangements were designed from. Walls that the survey does not
    /// count get the spread of the price book.
    pub fn of(site: &Site, facts: &Facts, rules: &Rules, prices: &PriceBook) -> Place {
        let walls = f64::from(facts.walls);
        let walls = match site.parking.walls.ends() {
            Some((low, _, high)) => Band::new(low.max(0.0), walls, *high),
            None => {
                let spread = prices.assumed_walls(facts.premises);
                Band::new(spread.low, walls, spread.high)
            }
        };
        let region = site.identity.postcode.stated().and_then(|postcode| rules.price.region(postcode));
        Place {
            labour: region.map_or(1.0, |region| region.labour),
            materials: region.map_or(1.0, |region| region.materials),
            premises: facts.premises,
            parking_type: Some(facts.parking),
            ground_surface: facts.ground_surface,
            walls,
            covered: facts.covered,
            storeys: facts.storeys,
            length_share: share_of_longest(facts.distance_m),
            bay_pitch_m: rules.route.bay_pitch_m,
        }
    }
}

impl Place {
    /// By what an item's cost differs from the price book here.
    pub(super) fn factor(&self, kind: ItemKind) -> f64 {
        if kind == ItemKind::Task { self.labour } else { self.materials }
    }
}

/// A length and its doubt as shares of its high end.
fn share_of_longest(length_m: Band) -> Band {
    if length_m.high > 0.0 && length_m.low >= 0.0 {
        Band::new(length_m.low / length_m.high, length_m.likely / length_m.high, 1.0)
    } else {
        Band::exact(1.0)
    }
}

/// One line of materials, bought services or network charges.
#[derive(Clone, Debug, PartialEq)]
pub struct BillLine {
    /// Item code of the price book.
    pub item: &'static str,
    /// Quantity in the item's unit; low, likely, high.
    pub quantity: Band,
    /// From which figure of the design the quantity comes, in a few words.
    pub because: &'static str,
    /// Cost, before tax.
    pub cost: CostBand,
}

/// One task.
#[derive(Clone, Debug, PartialEq)]
pub struct TaskLine {
    /// Item code of the price book (a row whose unit is hours a something).
    pub task: &'static str,
    /// How many of it.
    pub count: Band,
    /// Person-hours.
    pub hours: Band,
    /// From which figure of the design it comes.
    pub because: &'static str,
    /// Cost at the task's labour rate, before tax.
    pub cost: CostBand,
    /// Code of its labour rate in the price book, which names the crew.
    pub crew: &'static str,
    /// Persons of the crew; 0 for desk work.
    pub persons: u8,
    /// Days of the crew on site; 0 for travel and desk work.
    pub crew_days: Band,
}

/// Days of one crew on site, travel left out.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CrewDays {
    /// Code of its labour rate in the price book.
    pub rate: &'static str,
    /// Persons who work together.
    pub persons: u8,
    /// Working days, not rounded up; low and high as those of a total.
    pub days: Band,
}

/// One piece of cable, laid in one length without a joint.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Piece {
    /// Item code of the price book.
    pub item: &'static str,
    /// The cable; `None` for data cable.
    pub cable: Option<Cable>,
    /// Colour of a single core; empty for a whole cable.
    pub core: &'static str,
    /// Sub-main or final circuit.
    pub role: RunRole,
    /// Which of the like runs it serves, from 1.
    pub number: u32,
    /// Like runs in all.
    pub of: u32,
    /// Length laid, metres: route, rises and slack, no waste.
    pub length_m: Band,
    /// Metres of the item that a metre is priced as: 1, more for a cable larger than any in the price book.
    pub priced_m: f64,
}

impl Piece {
    /// The piece of a run, without its item.
    pub(super) fn of(run: &Run, number: u32, length_m: Band) -> Self {
        let (cable, role) = (Some(run.cable), run.role);
        Self { item: "", cable, core: "", role, number, of: run.count, length_m, priced_m: 1.0 }
    }
}

/// How long a crew is on site, in words.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, serde::Serialize)]
pub enum LabourBand {
    /// Up to half a day.
    #[serde(rename = "up to half a day")]
    HalfDay,
    /// A day.
    #[serde(rename = "a day")]
    Day,
    /// Two days.
    #[serde(rename = "two days")]
    TwoDays,
    /// Longer.
    #[serde(rename = "longer")]
    Longer,
    /// Longer, with civil works.
    #[serde(rename = "with civil works")]
    CivilWorks,
}

impl LabourBand {
    /// In words, as it stands in results.
    pub fn word(self) -> &'static str {
        match self {
            LabourBand::HalfDay => "up to half a day",
            LabourBand::Day => "a day",
            LabourBand::TwoDays => "two days",
            LabourBand::Longer => "longer",
            LabourBand::CivilWorks => "with civil works",
        }
    }
}

/// Materials, hours and cost of one arrangement.
#[derive(Clone, Debug, PartialEq)]
pub struct Estimate {
    /// Materials and bought services.
    pub bill: Vec<BillLine>,
    /// Tasks.
    pub tasks: Vec<TaskLine>,
    /// Whole cost, before tax: the sum of the likely lines, and what it does not exceed one time in ten and nine in ten.
    pub cost: CostBand,
    /// The likely cost by what its lines rest on.
    pub rests_on: RestsOn,
    /// The cost with its doubt, pounds before tax, to be added to those of other sites.
    pub doubt: Doubt,
    /// Person-hours on site and at the desk, likewise.
    pub hours: Band,
    /// The hours with their doubt.
    pub hours_doubt: Doubt,
    /// Days of all crews on site together: likely the sum of its parts, low and high as those of the cost.
    pub crew_days: Band,
    /// The same crew by crew, in the order of the price book.
    pub crews: Vec<CrewDays>,
    /// How long a crew is on site.
    pub labour_band: LabourBand,
    /// Pieces of cable to cut, run by run.
    pub pieces: Vec<Piece>,
}
