//! Lines priced and added up.
//!
//! The likely total is the sum of the likely lines, as a quotation adds up. Its ends are not the sums of the lines'
//! ends, which would have everything go wrong at once. With u the distance of each line's high from its likely, and r
//! the share of doubt that lines have in common (`spread-shared` of the price book, the correlation between any two):
//!
//! ```text
//! high = likely + sqrt( r * (sum u)^2 + (1 - r) * sum u^2 )          and low likewise, downwards
//! ```
//!
//! One line alone keeps its own band; r = 1 gives the plain sums (which `Sum` of cost bands gives too), r = 0 lines
//! that have nothing in common. Lines lean upwards (what goes wrong costs more), so the likely sum lies a little under
//! the mean; with r = 0.3 the band still holds about nine totals in ten.

use super::hours::{CrewTime, hours};
use super::pieces::pieces;
use super::price_book::{ItemIndex, ItemKind, PriceBook};
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
    visit(arrangement, place, &counted, prices, &mut crew, &mut |item, quantity, because| {
        let Some(row) = prices.item(item) else { return };
        let cost = CostBand::from_pounds(quantity.times(row.unit_cost));
        if row.kind == ItemKind::Task {
            let hours = quantity.times(row.figure);
            tasks.push(TaskLine { task: row.code, count: quantity, hours, because, cost });
        } else {
            bill.push(BillLine { item: row.code, quantity, because, cost });
        }
    });
    let shared = prices.figure(prices.known.spread_shared).likely;
    let cost = combine(bill.iter().map(|line| line.cost).chain(tasks.iter().map(|line| line.cost)), shared);
    let mut hours_spread = Spread::default();
    for line in &tasks {
        hours_spread.add(line.hours);
    }
    let (hours, labour_band) = (hours_spread.total(shared), crew.band(&counted, prices));
    Estimate { bill, tasks, cost, hours, labour_band, pieces: pieces(arrangement, place, prices) }
}

/// The likely cost of the same estimate, to the penny, without its lists.
pub fn likely_cost(arrangement: &Arrangement, place: &Place, prices: &PriceBook) -> Pence {
    let counted = Quantities::of(arrangement, place, prices);
    let mut total = Pence(0);
    visit(arrangement, place, &counted, prices, &mut CrewTime::default(), &mut |item, quantity, _| {
        total = total + Pence::from_pounds(quantity.likely * prices.unit_cost(item).likely);
    });
    total
}

fn visit(
    arrangement: &Arrangement,
    place: &Place,
    counted: &Quantities,
    prices: &PriceBook,
    crew: &mut CrewTime,
    line: &mut impl FnMut(ItemIndex, Band, &'static str),
) {
    take_off(arrangement, place, counted, prices, line);
    *crew = hours(arrangement, place, counted, prices, line);
}

/// Cost of items of the price book in given quantities, such as those of a remedy.
pub fn price_items(items: &[(ItemIndex, f64)], prices: &PriceBook) -> CostBand {
    let lines =
        items.iter().map(|(item, quantity)| CostBand::from_pounds(prices.unit_cost(*item).scaled(quantity.max(0.0))));
    combine_costs(lines, prices)
}

/// The total of several costs whose doubts have the price book's share in common.
pub fn combine_costs(costs: impl IntoIterator<Item = CostBand>, prices: &PriceBook) -> CostBand {
    combine(costs, prices.figure(prices.known.spread_shared).likely)
}

fn combine(costs: impl IntoIterator<Item = CostBand>, shared: f64) -> CostBand {
    let mut spread = Spread::default();
    let mut likely = Pence(0);
    for cost in costs {
        likely = likely + cost.likely;
        spread.add(Band { low: cost.low.pounds(), likely: cost.likely.pounds(), high: cost.high.pounds() });
    }
    let total = spread.total(shared);
    // The likely total is exact in pence; only the ends are worked out.
    CostBand {
        low: Pence::from_pounds(total.low).min(likely),
        likely,
        high: Pence::from_pounds(total.high).max(likely),
    }
}

/// Sums from which the band of a total is made.
#[derive(Clone, Copy, Debug, Default)]
struct Spread {
    likely: f64,
    down: f64,
    down_squared: f64,
    up: f64,
    up_squared: f64,
}

impl Spread {
    fn add(&mut self, line: Band) {
        let (down, up) = (line.likely - line.low, line.high - line.likely);
        self.likely += line.likely;
        self.down += down;
        self.down_squared += down * down;
        self.up += up;
        self.up_squared += up * up;
    }

    fn total(self, shared: f64) -> Band {
        let shared = shared.clamp(0.0, 1.0);
        let width = |sum: f64, squares: f64| (shared * sum * sum + (1.0 - shared) * squares).sqrt();
        Band::new(
            (self.likely - width(self.down, self.down_squared)).max(0.0),
            self.likely,
            self.likely + width(self.up, self.up_squared),
        )
    }
}
