//! Which sites to do when and by whom: those worth most for the money and the crews of each period, laid on the calendar
//! place by place so that crews do not cross the map.
//!
//! It knows tasks, periods, crews and places; what a site is worth and from which file any of them came it does not.

mod types;

pub use types::{
    Crew, Done, Laid, LeastShare, Moment, Period, Place, Plan, Selection, Task, Unspent, Visit, Why, Work,
};
