//! What an estimate is made of.

use crate::quantity::{Band, CostBand};

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
