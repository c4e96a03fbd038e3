//! A schedule as data: tables by operator, rows by site. Sentences and rounding are of those who show it.

use crate::reference::operator;
use crate::site::EarthingSystem;
use jiff::civil::Date;
use std::borrow::Cow;

/// Distributor numbers from here on are independent operators (published description of the supply number).
pub(super) const FIRST_INDEPENDENT: u8 = 24;

/// To whom a table goes; ordered as the tables stand.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Operator {
    /// The distributor with this number.
    Distributor(u8),
    /// The operator of Northern Ireland, which has no number of this kind.
    NorthernIreland,
    /// Not known.
    NotKnown,
}

impl Operator {
    /// The distributor's number, where it has one.
    pub fn distributor(self) -> Option<u8> {
        match self {
            Operator::Distributor(number) => Some(number),
            Operator::NorthernIreland | Operator::NotKnown => None,
        }
    }

    /// Whether it is an independent operator, whose network lies within that of an area operator.
    pub fn is_independent(self) -> bool {
        self.distributor().is_some_and(|number| number >= FIRST_INDEPENDENT)
    }

    /// What it is called: number and area.
    pub fn name(self) -> String {
        match self {
            Operator::Distributor(number) => named(number),
            Operator::NorthernIreland => "Northern Ireland".to_owned(),
            Operator::NotKnown => "not known".to_owned(),
        }
    }
}

/// A distributor by number and area.
pub(super) fn named(number: u8) -> String {
    match operator(number) {
        Some(operator) => format!("{number} {}", operator.area),
        None if number >= FIRST_INDEPENDENT => format!("{number} independent network"),
        None => number.to_string(),
    }
}

/// KnownBy what the operator is known.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum KnownBy {
    /// The first two digits of a supply number whose check digit is right.
    Mpan,
    /// What the survey states.
    Stated,
    /// The postcode's area alone.
    Postcode,
    /// Nothing.
    Unknown,
}

impl KnownBy {
    /// The word of the results.
    pub fn word(self) -> &'static str {
        match self {
            KnownBy::Mpan => "mpan",
            KnownBy::Stated => "stated",
            KnownBy::Postcode => "postcode",
            KnownBy::Unknown => "unknown",
        }
    }
}

/// The operator of a site.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Who {
    /// To whom.
    pub operator: Operator,
    /// KnownBy what it is known.
    pub from: KnownBy,
    /// Area operators that it may be where it is not known, or that an independent network may lie within.
    pub may_be: Vec<u8>,
}

impl Who {
    /// The names of those that it may be.
    pub fn candidates(&self) -> Vec<String> {
        self.may_be.iter().map(|number| named(*number)).collect()
    }
}

/// How the operator is dealt with, laxest first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Route {
    /// Install, then notify.
    Notify,
    /// Ask first: something is not known without which nobody may install and notify.
    AskFirst,
    /// Apply before connecting.
    Apply,
}

impl Route {
    /// The word of the results.
    pub fn word(self, engage_early: bool) -> &'static str {
        match (self, engage_early) {
            (Route::Notify, false) => "notify",
            (Route::AskFirst, false) => "ask first",
            (Route::Apply, false) => "apply",
            (Route::Notify, true) => "engage first, then notify",
            (Route::AskFirst, true) => "engage first, then ask",
            (Route::Apply, true) => "engage first, then apply",
        }
    }
}

/// The supply as the survey states it, and the demand on its worst phase.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct SupplyRow {
    /// Supply number of 13 digits whose check digit is right, or the 11 digits of Northern Ireland.
    pub number: Option<String>,
    /// Phases; assumed where not stated.
    pub phases: u8,
    /// Cut-out or incoming device, amperes; assumed where not stated.
    pub cutout_a: f64,
    /// Whether the service is looped; `None` where nobody who has seen it says.
    pub looped: Option<bool>,
    /// Earthing; `None` where not known.
    pub earthing: Option<EarthingSystem>,
    /// Existing demand, high end, amperes.
    pub existing_a: f64,
    /// Demand with the charging, high end, amperes; `None` without a design.
    pub with_charging_a: Option<f64>,
}

/// How the load is kept within the supply.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[allow(missing_docs)]
pub enum Limitation {
    None,
    Local,
    GroupFixed,
    GroupFollowing,
}

impl Limitation {
    /// In words.
    pub fn word(self) -> &'static str {
        match self {
            Limitation::None => "none",
            Limitation::Local => "local, follows the load",
            Limitation::GroupFixed => "group, fixed",
            Limitation::GroupFollowing => "group, follows the load",
        }
    }
}

/// The charge points of a row.
#[derive(Clone, Debug, PartialEq)]
pub struct Device {
    /// What the rules call it.
    pub name: String,
    /// Whether a vehicle may export through it.
    pub exports: bool,
    /// Whether it is declared to the standards of harmonics and flicker.
    pub declared: bool,
    /// How many.
    pub quantity: u32,
    /// Current set at each, amperes a phase.
    pub current_a: f64,
    /// Phases of each.
    pub phases: u8,
    /// How the load is kept within the supply.
    pub limitation: Limitation,
    /// Current a phase at which the incomer is held or, of a fixed group, that the points take together, amperes.
    pub setpoint_a: Option<f64>,
}

/// What is there already, as far as the survey states it.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
#[allow(missing_docs)]
pub struct Already {
    pub charge_points: Option<f64>,
    pub heat_pump_kw: Option<f64>,
    pub solar_kw: Option<f64>,
    pub battery_kw: Option<f64>,
}

/// The dates of a row; a day beyond the calendar is none.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Dates {
    /// Installation.
    pub planned: Option<Date>,
    /// Last day to apply, to ask or to engage, so that even a late answer is there; the day of the run where it is past.
    pub apply_by: Option<Date>,
    /// Day by which the answer is likely, if it is asked for on the day of the run.
    pub answer_by: Option<Date>,
    /// Last day of the notice.
    pub notify_by: Option<Date>,
}

/// One site on a table.
#[derive(Clone, Debug, PartialEq)]
pub struct Entry {
    /// Its place in the ranking, from 0.
    pub place: usize,
    /// Whose it is.
    pub who: Who,
    /// How that operator is dealt with.
    pub route: Route,
    /// Whether it wants an early word before.
    pub engage_early: bool,
    /// Rules of the operators' process that make it so, by number.
    pub rules: Vec<&'static str>,
    /// The cluster of which the operator wants to know early, by its place.
    pub cluster: Option<usize>,
    /// The supply.
    pub supply: SupplyRow,
    /// The charge points; `None` without a design.
    pub device: Option<Device>,
    /// What is there.
    pub already: Already,
    /// Whether photographs were taken; `None` where that is not known.
    pub photographs: Option<bool>,
    /// When.
    pub dates: Dates,
    /// What a complete row lacks, and what is in doubt.
    pub missing: Vec<Cow<'static, str>>,
}

/// The rows of one operator, in the order in which they are dealt with.
#[derive(Clone, Debug, PartialEq)]
pub struct Table {
    /// To whom.
    pub operator: Operator,
    /// The rows.
    pub entries: Vec<Entry>,
}

/// The tables of a portfolio.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Schedules {
    /// By operator.
    pub tables: Vec<Table>,
    at: Vec<Option<(usize, usize)>>,
}

impl Schedules {
    pub(super) fn new(tables: Vec<Table>, sites: usize) -> Self {
        let mut at = vec![None; sites];
        for (table, of) in tables.iter().enumerate() {
            for (row, entry) in of.entries.iter().enumerate() {
                if let Some(slot) = at.get_mut(entry.place) {
                    *slot = Some((table, row));
                }
            }
        }
        Self { tables, at }
    }

    /// The row of the site at a place in the ranking; `None` where no operator need hear of it.
    pub fn of(&self, place: usize) -> Option<&Entry> {
        let (table, row) = self.at.get(place).copied().flatten()?;
        self.tables.get(table)?.entries.get(row)
    }
}
