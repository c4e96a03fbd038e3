//! Which sites to do when and by whom: those worth most for the money and the crews of each period, laid on the calendar
//! place by place so that crews do not cross the map.
//!
//! A programme file (`asked`) and ranked sites make a plan (`planned`, `worth`); a selection of it is worth most
//! (`select`) and is laid on the calendar (`lay`). It knows no file's place and no sheet.

mod among;
mod asked;
mod calendar;
mod holidays;
mod lay;
mod more;
mod planned;
mod reach;
mod select;
mod types;
mod weeks;
mod worth;

pub use among::Among;
pub use asked::{Asked, AskedCrew, AskedDeadline, AskedShare, ProgrammeError, read};
pub use holidays::{BankNation, bank_holidays};
pub use lay::lay;
pub use more::{More, with_more};
pub use planned::{Beyond, Planned, Trade, With, planned};
pub use select::select;
pub use types::{
    Crew, Done, Laid, LeastShare, Moment, Period, Place, Plan, Selection, Task, Unspent, Visit, Why, Work,
};
pub use weeks::{Spent, Stay, Week, spent, stays, weeks};
pub use worth::{Worth, cost, lead_weeks, worth};

use self::lay::lay_selected;
use crate::portfolio::Ranked;
use crate::quantity::Pence;
use crate::site::Site;
use jiff::civil::Date;

/// What "a little more money" is, where it is told what more would add.
const MORE_MONEY: Pence = Pence(1_000_000);

/// A programme: the plan, what it comes to, and what more would add.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Programme {
    /// What it is made from.
    pub planned: Planned,
    /// What it comes to.
    pub laid: Laid,
    /// What one more crew of each trade, or a little more money, would add to the selection.
    pub gains: Vec<Gain>,
}

impl Programme {
    /// The day on which the site at this place of the ranking is finished; `None` where it is not done.
    pub fn finish_of(&self, place: usize) -> Option<Date> {
        // Tasks stand in the order of the ranking, and what is done in that of the tasks.
        let task = self.planned.sites.binary_search(&place).ok()?;
        let done = self.laid.done.binary_search_by_key(&task, |done| done.task).ok()?;
        self.laid.done.get(done).map(|done| done.finish)
    }
}

/// What the best selection gains by a little more.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gain {
    /// Of what there is more.
    pub more: More,
    /// Worth.
    pub worth: f64,
    /// Sites; fewer where larger ones take their place.
    pub sites: i64,
    /// Points.
    pub points: i64,
    /// What is spent more, before tax.
    pub cost: Pence,
}

/// The programme of a programme file for ranked sites. `survey` gives the row of a site, for the miles that it serves.
///
/// # Errors
/// When the file names a site or a labour rate that does not exist, or asks what makes no sense.
pub fn programme<'a>(
    asked: &Asked,
    sites: &[Ranked],
    survey: &dyn Fn(&Ranked) -> Option<&'a Site>,
    with: With<'_>,
) -> Result<Programme, ProgrammeError> {
    let planned = planned(asked, sites, survey, with)?;
    let selection = select(&planned.plan);
    let laid = lay_selected(&planned.plan, &selection);
    let gains = gains(&planned, &selection);
    Ok(Programme { planned, laid, gains })
}

/// What more of each thing adds, the selection taken as it stands before it is laid.
fn gains(planned: &Planned, selection: &Selection) -> Vec<Gain> {
    let plan = &planned.plan;
    let without = sums(plan, selection);
    let crews = (0..planned.trades.len()).map(|trade| More::Crew { trade });
    let all = crews.chain(std::iter::once(More::Money(MORE_MONEY)));
    all.map(|more| {
        let plan = with_more(plan, &more);
        let with = sums(&plan, &select(&plan));
        Gain {
            more,
            // Neither selection is always the best there is, and more of something never makes the best worse.
            worth: (with.worth - without.worth).max(0.0),
            sites: with.sites - without.sites,
            points: with.points - without.points,
            cost: Pence(with.cost.0 - without.cost.0),
        }
    })
    .collect()
}

/// A selection added up.
struct Sums {
    worth: f64,
    sites: i64,
    points: i64,
    cost: Pence,
}

fn sums(plan: &Plan, selection: &Selection) -> Sums {
    let chosen = || plan.tasks.iter().zip(&selection.periods).filter(|(_, period)| period.is_some());
    Sums {
        worth: selection.worth,
        sites: i64::try_from(chosen().count()).unwrap_or(i64::MAX),
        points: chosen().map(|(task, _)| i64::from(task.points)).sum(),
        cost: chosen().map(|(task, _)| task.cost).sum(),
    }
}
