//! What a programme is made from and what it comes to.

use crate::quantity::Pence;
use jiff::civil::Date;

/// A stretch of the calendar with a budget of its own.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Period {
    /// First day.
    pub from: Date,
    /// Last day.
    pub to: Date,
    /// What may be spent on sites that are finished in it, before tax.
    pub budget: Pence,
}

/// What becomes of money that a period leaves.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Unspent {
    /// It is lost: each period holds its own budget.
    #[default]
    Lost,
    /// The periods after it may spend it.
    Carried,
}

/// People of one trade who work together, one site at a time.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Crew {
    /// What it is called.
    pub name: String,
    /// Its trade, by number.
    pub trade: usize,
    /// First day that it works.
    pub from: Date,
    /// Last day that it works.
    pub to: Date,
}

/// Where tasks stand that one crew does in one go: a street, an estate.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Place {
    /// What it is called.
    pub name: String,
    /// Latitude and longitude, degrees, of its middle.
    pub spot: Option<(f64, f64)>,
}

/// Work of one trade at one site, done by one crew without another site between.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Work {
    /// The trade, by number.
    pub trade: usize,
    /// Quarters of a crew's working day.
    pub quarters: u32,
}

/// One site that may be done.
#[derive(Clone, Debug, PartialEq)]
pub struct Task {
    /// What it is worth when it is finished in the first period; 0 or more.
    pub worth: f64,
    /// What it costs, before tax, in the period in which it is finished.
    pub cost: Pence,
    /// Points that it gives.
    pub points: u32,
    /// Its work, one trade after the other: each begins when the one before it is done.
    pub work: Vec<Work>,
    /// Day before which no work may begin.
    pub not_before: Date,
    /// Day by which it must be finished, if there is one.
    pub finish_by: Option<Date>,
    /// Its place, by number.
    pub place: usize,
    /// Whether it must be done wherever that is possible.
    pub must: bool,
}

/// Tasks that are to give at least a share of all points.
#[derive(Clone, Debug, PartialEq)]
pub struct LeastShare {
    /// What they are called.
    pub name: String,
    /// The share, 0 to 1.
    pub share: f64,
    /// The tasks, by number.
    pub tasks: Vec<usize>,
}

/// What a programme is made from.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Plan {
    /// Sites that may be done.
    pub tasks: Vec<Task>,
    /// Where they stand.
    pub places: Vec<Place>,
    /// Periods, one after the other.
    pub periods: Vec<Period>,
    /// What becomes of money that a period leaves.
    pub unspent: Unspent,
    /// Who works.
    pub crews: Vec<Crew>,
    /// Days on which nobody works, beside Saturdays and Sundays; ascending.
    pub closed: Vec<Date>,
    /// Share of a crew's days that the selection counts on: weather, sickness and days that no site fills take the rest.
    pub usable_share: f64,
    /// What a task is worth in a period as a share of the period before it.
    pub later_share: f64,
    /// Least shares of the points.
    pub least: Vec<LeastShare>,
}

/// The tasks chosen, before they are laid on the calendar.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Selection {
    /// The period in which each task is to be finished; `None` where it is left out.
    pub periods: Vec<Option<usize>>,
    /// What they are worth together.
    pub worth: f64,
    /// No selection is worth more.
    pub bound: f64,
    /// Musts that do not all fit, left out of what must be.
    pub musts_missed: Vec<usize>,
    /// Least shares that no selection was found to reach, by number.
    pub shares_missed: Vec<usize>,
}

/// A quarter of a working day.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Moment {
    /// The day.
    pub date: Date,
    /// Quarter of its working hours, 0 to 3.
    pub quarter: u8,
}

/// One crew at one site.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Visit {
    /// The task, by number.
    pub task: usize,
    /// Which of its works.
    pub work: usize,
    /// The crew, by number.
    pub crew: usize,
    /// First quarter worked.
    pub first: Moment,
    /// Last quarter worked.
    pub last: Moment,
}

/// A task that the programme does.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Done {
    /// The task, by number.
    pub task: usize,
    /// The period that pays for it: that in which it is finished.
    pub period: usize,
    /// Day on which it is finished.
    pub finish: Date,
}

/// Why a task is not done.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Why {
    /// It cannot begin early enough to be finished by the end, or by the day by which it must be.
    TooLate,
    /// No crew has this trade while it could be done.
    NoCrew {
        /// The trade, by number.
        trade: usize,
    },
    /// It costs more than any period that it could be finished in may spend.
    TooDear,
    /// What the money and the crews can do is worth more elsewhere.
    WorthLess,
    /// It was chosen, but no crew had room for it on the calendar.
    NoRoom,
}

/// A programme on the calendar.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Laid {
    /// Every visit, by crew and time.
    pub visits: Vec<Visit>,
    /// The tasks done, by number.
    pub done: Vec<Done>,
    /// The tasks not done, by number, and why.
    pub left_out: Vec<(usize, Why)>,
    /// What it is worth.
    pub worth: f64,
    /// No programme within these periods, budgets and crew-days is worth more.
    pub bound: f64,
    /// Musts that are not done.
    pub musts_missed: Vec<usize>,
    /// Least shares that are not reached, by number.
    pub shares_missed: Vec<usize>,
    /// Times that a crew goes from one place to another.
    pub moves: u32,
}
