//! Which sites to do when and by whom: those worth most for the money and the crews of each period, laid on the calendar
//! place by place so that crews do not cross the map.
//!
//! It knows tasks, periods, crews and places; what a site is worth and from which file any of them came it does not.

mod calendar;
mod holidays;
mod lay;
mod more;
mod reach;
mod select;
mod types;

pub use holidays::{BankNation, bank_holidays};
pub use lay::lay;
pub use more::{More, with_more};
pub use select::select;
pub use types::{
    Crew, Done, Laid, LeastShare, Moment, Period, Place, Plan, Selection, Task, Unspent, Visit, Why, Work,
};
