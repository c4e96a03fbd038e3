//! Lines priced and added up.
//!
//! The likely total is the sum of the likely lines, as a quotation adds up, to the penny. Its ends are not the sums of
//! the lines' ends, which would have everything go wrong at once: they are what the total does not exceed one time in
//! ten and nine times in ten, by the doubt of its lines ([`Doubt`]). What goes wrong costs more, so the likely sum lies
//! below the middle.

use super::backing::RestsOn;
use super::cause::Cause;
use super::crews::Crews;
use super::doubt::{Doubt, OfSite};
use super::hours::{CrewTime, hours};
use super::pieces::pieces;
use super::price_book::{Item, ItemIndex, ItemKind, PriceBook};
use super::quantities::Quantities;
use super::take_off::take_off;
use super::types::{BillLine, Estimate, Place, TaskLine};
use crate::design::Arrangement;
use crate::quantity::{Band, CostBand, Pence};

/// Materials, hours and cost of an arrangement at a place.
pub fn estimate(arrangement: &Arrangement, place: &Place, prices: &PriceBook) -> Estimate {
    let counted = Quantities::of(arrangement, place, prices);
    let (mut bill, mut tasks) = (Vec::new(), Vec::new());
    let (mut crew, mut crews) = (CrewTime::default(), Crews::default());
    let (mut doubt, mut hours_doubt) = (OfSite::default(), OfSite::default());
    let mut rests_on = RestsOn::default();
    visit(arrangement, place, &counted, prices, &mut crew, &mut |item, quantity, factor, because| {
        let Some(row) = prices.item(item) else { return };
        let local = place.factor(row.kind);
        let unit_cost = row.unit_cost.times(factor.scaled(local));
        let cost = CostBand::from_pounds(quantity.times(unit_cost));
        rests_on.line(row.backing, cost.likely);
        doubt.line(&priced(quantity, factor.scaled(local), row, prices), &prices.shares);
        if row.kind == ItemKind::Task {
            let hours = quantity.times(row.figure.times(factor));
            let mut figures = counted_figures(quantity, factor);
            figures.push((row.cause, row.figure));
            hours_doubt.line(&figures, &prices.shares);
            let crew_days = crews.task((item, row), hours, &figures, prices);
            let rate = row.labour_rate.and_then(|rate| prices.item(rate)).map_or("", |rate| rate.code);
            let task = TaskLine {
                task: row.code,
                count: quantity,
                hours,
                because,
                cost,
                crew: rate,
                persons: row.crew,
                crew_days,
            };
            tasks.push(task);
        } else {
            bill.push(BillLine { item: row.code, quantity, because, cost });
        }
    });
    let likely = bill.iter().map(|line| line.cost.likely).chain(tasks.iter().map(|line| line.cost.likely)).sum();
    let (doubt, hours_doubt) = (doubt.total(), hours_doubt.total());
    let likely_hours = tasks.iter().map(|line| line.hours.likely).sum();
    let (crew_days, crews) = crews.total(prices);
    // An estimate is kept for every site of a portfolio: without the room that its lists grew into.
    bill.shrink_to_fit();
    tasks.shrink_to_fit();
    Estimate {
        bill,
        tasks,
        cost: band_of(likely, &doubt),
        rests_on,
        doubt,
        hours: ends_of(likely_hours, &hours_doubt),
        hours_doubt,
        crew_days,
        crews,
        labour_band: crew.band(&counted, prices),
        pieces: pieces(arrangement, place, prices),
    }
}

/// The likely cost of the same estimate, to the penny, without its lists.
pub fn likely_cost(arrangement: &Arrangement, place: &Place, prices: &PriceBook) -> Pence {
    let counted = Quantities::of(arrangement, place, prices);
    let mut total = Pence(0);
    visit(arrangement, place, &counted, prices, &mut CrewTime::default(), &mut |item, quantity, factor, _| {
        let Some(row) = prices.item(item) else { return };
        total = total
            + Pence::from_pounds(quantity.likely * (row.unit_cost.likely * (factor.likely * place.factor(row.kind))));
    });
    total
}

fn visit(
    arrangement: &Arrangement,
    place: &Place,
    counted: &Quantities,
    prices: &PriceBook,
    crew: &mut CrewTime,
    line: &mut impl FnMut(ItemIndex, Band, Band, &'static str),
) {
    let trench = prices.known.trench(place.ground_surface);
    take_off(arrangement, place, counted, prices, &mut |item, quantity, because| {
        let factor = if trench == Some(item) { counted.trench_price } else { Band::exact(1.0) };
        line(item, quantity, factor, because);
    });
    *crew = hours(arrangement, place, counted, prices, line);
}

/// Cost of items of the price book in given quantities at a place, such as those of a remedy.
pub fn price_items(items: &[(ItemIndex, f64)], place: &Place, prices: &PriceBook) -> CostBand {
    let (mut doubt, mut likely) = (OfSite::default(), Pence(0));
    for (item, quantity) in items {
        let Some(row) = prices.item(*item) else { continue };
        let quantity = Band::exact(quantity.max(0.0));
        let factor = place.factor(row.kind);
        likely = likely + Pence::from_pounds(quantity.likely * (row.unit_cost.likely * factor));
        doubt.line(&priced(quantity, Band::exact(factor), row, prices), &prices.shares);
    }
    band_of(likely, &doubt.total())
}

/// The figures whose product is the cost of a line, all of it multiplied by a factor.
fn priced(quantity: Band, factor: Band, row: &Item, prices: &PriceBook) -> Vec<(Cause, Band)> {
    let mut figures = counted_figures(quantity, factor);
    figures.extend(prices.figures_of(row));
    figures
}

/// A quantity, and the factor on it as a figure of its own where it is in doubt: that of a trench by its depth.
fn counted_figures(quantity: Band, factor: Band) -> Vec<(Cause, Band)> {
    if factor.low == factor.high {
        vec![(Cause::Survey, quantity.scaled(factor.likely))]
    } else {
        vec![(Cause::Survey, quantity), (Cause::Ground, factor)]
    }
}

/// The likely total, exact in pence, with the ends that its doubt gives.
fn band_of(likely: Pence, doubt: &Doubt) -> CostBand {
    let ends = ends_of(likely.pounds(), doubt);
    CostBand { low: Pence::from_pounds(ends.low).min(likely), likely, high: Pence::from_pounds(ends.high).max(likely) }
}

fn ends_of(likely: f64, doubt: &Doubt) -> Band {
    let (low, high) = doubt.ends();
    Band::new(low, likely, high)
}
