//! Lines priced and added up.
//!
//! The likely total is the sum of the likely lines, as a quotation adds up, to the penny. Its ends are not the sums of
//! the lines' ends, which would have everything go wrong at once: they are what the total does not exceed one time in
//! ten and nine times in ten, by the doubt of its lines ([`Doubt`]). What goes wrong costs more, so the likely sum lies
//! below the middle.

use super::backing::RestsOn;
use super::cause::Cause;
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
    let mut crew = CrewTime::default();
    let (mut doubt, mut hours_doubt) = (OfSite::default(), OfSite::default());
    let mut rests_on = RestsOn::default();
    visit(arrangement, place, &counted, prices, &mut crew, &mut |item, quantity, share, because| {
        let Some(row) = prices.item(item) else { return };
        let factor = share * place.factor(row.kind);
        let unit_cost = row.unit_cost.scaled(factor);
        let cost = CostBand::from_pounds(quantity.times(unit_cost));
        rests_on.line(row.backing, cost.likely);
        doubt.line(&priced(quantity, factor, row, prices), &prices.shares);
        if row.kind == ItemKind::Task {
            let hours = quantity.times(row.figure.scaled(share));
            hours_doubt.line(&[(Cause::Survey, quantity), (row.cause, row.figure.scaled(share))], &prices.shares);
            tasks.push(TaskLine { task: row.code, count: quantity, hours, because, cost });
        } else {
            bill.push(BillLine { item: row.code, quantity, because, cost });
        }
    });
    let likely = bill.iter().map(|line| line.cost.likely).chain(tasks.iter().map(|line| line.cost.likely)).sum();
    let (doubt, hours_doubt) = (doubt.total(), hours_doubt.total());
    let likely_hours = tasks.iter().map(|line| line.hours.likely).sum();
    Estimate {
        bill,
        tasks,
        cost: band_of(likely, &doubt),
        rests_on,
        doubt,
        hours: ends_of(likely_hours, &hours_doubt),
        hours_doubt,
        labour_band: crew.band(&counted, prices),
        pieces: pieces(arrangement, place, prices),
    }
}

/// The likely cost of the same estimate, to the penny, without its lists.
pub fn likely_cost(arrangement: &Arrangement, place: &Place, prices: &PriceBook) -> Pence {
    let counted = Quantities::of(arrangement, place, prices);
    let mut total = Pence(0);
    visit(arrangement, place, &counted, prices, &mut CrewTime::default(), &mut |item, quantity, share, _| {
        let Some(row) = prices.item(item) else { return };
        total = total + Pence::from_pounds(quantity.likely * (row.unit_cost.likely * (share * place.factor(row.kind))));
    });
    total
}

fn visit(
    arrangement: &Arrangement,
    place: &Place,
    counted: &Quantities,
    prices: &PriceBook,
    crew: &mut CrewTime,
    line: &mut impl FnMut(ItemIndex, Band, f64, &'static str),
) {
    take_off(arrangement, place, counted, prices, &mut |item, quantity, because| line(item, quantity, 1.0, because));
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
        doubt.line(&priced(quantity, factor, row, prices), &prices.shares);
    }
    band_of(likely, &doubt.total())
}

/// The figures whose product is the cost of a line, all of it multiplied by a factor.
fn priced(quantity: Band, factor: f64, row: &Item, prices: &PriceBook) -> Vec<(Cause, Band)> {
    let mut figures = vec![(Cause::Survey, quantity.scaled(factor))];
    figures.extend(prices.figures_of(row));
    figures
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
