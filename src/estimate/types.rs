//! What an estimate is made of.

use super::price_book::PriceBook;
use crate::quantity::{Band, CostBand};
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
}

impl Place {
    /// The place of a survey. What is not stated is taken from the rules (ground) and the price book (walls); parking
    /// not stated is taken as open.
    pub fn of(site: &Site, rules: &Rules, prices: &PriceBook) -> Place {
        let premises = site.premises();
        let surface = if premises.is_home() { &rules.route.home_ground_surface } else { &rules.route.ground_surface };
        let walls = match site.parking.walls.ends() {
            Some((low, likely, high)) => Band::new(low.max(0.0), likely.max(0.0), high.max(0.0)),
            None => prices.assumed_walls(premises),
        };
        Place {
            premises,
            parking_type: site.parking.parking_type.value(),
            ground_surface: site
                .parking
                .ground_surface
                .value()
                .or_else(|| GroundSurface::from_word(surface))
                .unwrap_or(GroundSurface::Tarmac),
            walls,
            covered: site.parking.covered_parking.is(true),
        }
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
    /// Whole cost, before tax.
    pub cost: CostBand,
    /// Person-hours on site and at the desk.
    pub hours: Band,
    /// How long a crew is on site.
    pub labour_band: LabourBand,
}
