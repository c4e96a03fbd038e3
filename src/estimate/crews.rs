//! How many days each crew is on site: person-hours of its tasks, by the persons who work together and the hours of a
//! working day. It knows no price.
//!
//! A crew is a labour rate of the price book whose unit says how many work together. Its days are
//!
//! ```text
//! crew-days = person-hours on site / (persons of the crew * crew-day)
//! ```
//!
//! with `crew-day` the working hours of the price book. They are not rounded up to whole days. Travel stands outside the
//! working day and desk work outside the site, so neither is in them; visits lost are.

use super::cause::Cause;
use super::doubt::{Doubt, OfSite};
use super::price_book::{Item, ItemIndex, PriceBook};
use super::types::CrewDays;
use crate::quantity::Band;

/// The days of one crew, being added up.
struct Gang {
    rate: ItemIndex,
    persons: u8,
    likely: f64,
    doubt: OfSite,
}

/// The days of every crew of a site.
#[derive(Default)]
pub(super) struct Crews {
    gangs: Vec<Gang>,
    all: OfSite,
}

/// Crew-days a person-hour of a task; `None` for travel and desk work.
fn a_person_hour(item: ItemIndex, row: &Item, prices: &PriceBook) -> Option<f64> {
    let on_site = row.crew > 0 && item != prices.known.travel;
    on_site.then(|| 1.0 / (f64::from(row.crew) * prices.crew_day_h()))
}

impl Crews {
    /// Adds a task: the figures whose product is its person-hours. Answers its own crew-days.
    pub fn task(
        &mut self,
        (item, row): (ItemIndex, &Item),
        hours: Band,
        figures: &[(Cause, Band)],
        prices: &PriceBook,
    ) -> Band {
        let (Some(days), Some(rate)) = (a_person_hour(item, row, prices), row.labour_rate) else {
            return Band::default();
        };
        let mut figures = figures.to_vec();
        figures.push((row.cause, Band::exact(days)));
        self.all.line(&figures, &prices.shares);
        let likely = hours.likely * days;
        match self.gangs.iter_mut().find(|gang| gang.rate == rate) {
            Some(gang) => {
                gang.likely += likely;
                gang.doubt.line(&figures, &prices.shares);
            }
            None => {
                let mut doubt = OfSite::default();
                doubt.line(&figures, &prices.shares);
                self.gangs.push(Gang { rate, persons: row.crew, likely, doubt });
            }
        }
        hours.scaled(days)
    }

    /// All crews together, and each in the order of the price book.
    pub fn total(mut self, prices: &PriceBook) -> (Band, Vec<CrewDays>) {
        self.gangs.sort_by_key(|gang| gang.rate);
        let likely = self.gangs.iter().map(|gang| gang.likely).sum();
        let crews = self.gangs.iter().filter_map(|gang| {
            let rate = prices.item(gang.rate)?.code;
            Some(CrewDays { rate, persons: gang.persons, days: band(gang.likely, &gang.doubt.total()) })
        });
        (band(likely, &self.all.total()), crews.collect())
    }
}

fn band(likely: f64, doubt: &Doubt) -> Band {
    let (low, high) = doubt.ends();
    Band::new(low, likely, high)
}

#[cfg(test)]
mod tests {
    use super::super::samples::{block, car_park, home, simple_home};
    use super::super::{PriceBook, estimate};
    use super::*;

    #[test]
    fn crew_days_are_person_hours_by_persons_and_working_day() {
        let prices = PriceBook::default_book();
        for (arrangement, place) in [(simple_home(), home()), (car_park(), block())] {
            let found = estimate(&arrangement, &place, prices);
            for crew in &found.crews {
                let mine = |task: &&super::super::TaskLine| {
                    let row = prices.by_code(task.task).unwrap();
                    let rate = row.labour_rate.and_then(|rate| prices.item(rate)).unwrap();
                    rate.code == crew.rate && task.task != "travel-and-set-up"
                };
                let hours: f64 = found.tasks.iter().filter(mine).map(|task| task.hours.likely).sum();
                let days = hours / f64::from(crew.persons) / 8.0;
                assert!((crew.days.likely - days).abs() < 1e-9, "{crew:?}: {days}");
                assert!(crew.days.low < crew.days.likely && crew.days.likely < crew.days.high, "{crew:?}");
            }
            let likely = |of: &dyn Fn(&CrewDays) -> f64| -> f64 { found.crews.iter().map(of).sum() };
            assert!((found.crew_days.likely - likely(&|crew| crew.days.likely)).abs() < 1e-9);
            let lines: f64 = found.tasks.iter().map(|task| task.crew_days.likely).sum();
            assert!((found.crew_days.likely - lines).abs() < 1e-9);
            // Crews share causes only in part, so all together are less doubtful than if each went wrong at once.
            let naive = likely(&|crew| crew.days.high);
            assert!(found.crew_days.high <= naive && (found.crews.len() == 1 || found.crew_days.high < naive));
        }
    }

    #[test]
    fn a_longer_working_day_takes_fewer_days() {
        let own = b"item,low,likely,high\ncrew-day,10,10,10\n";
        let longer = PriceBook::from_csv("own.csv", own).unwrap();
        let days = |prices: &PriceBook| estimate(&car_park(), &block(), prices).crew_days.likely;
        assert!((days(&longer) - 0.8 * days(PriceBook::default_book())).abs() < 1e-9);
    }
}
