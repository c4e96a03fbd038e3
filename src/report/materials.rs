//! Sheet Materials: one row a bill line, with the figure of the design that it comes from.

use super::extent::Extent;
use super::grid::{Cell, Form, Heading, Paper, Row, Rows, Sheet, heading, names};
use super::stands;
use super::{PriceNote, Run};
use crate::estimate::BillLine;
use crate::portfolio::Ranked;
use std::collections::BTreeMap;

/// Lines of the price book by item code.
#[derive(Clone)]
pub(super) struct PriceIndex<'a>(BTreeMap<&'a str, &'a PriceNote>);

impl<'a> PriceIndex<'a> {
    /// The lines of a run's price book.
    pub(super) fn of(prices: &'a [PriceNote]) -> Self {
        Self(prices.iter().map(|note| (note.item.as_str(), note)).collect())
    }

    /// What an item is, and what it is counted in; its code and nothing where the book does not hold it.
    pub(super) fn words(&self, item: &'a str) -> (&'a str, &'a str) {
        self.0.get(item).map_or((item, ""), |note| (note.description.as_str(), note.unit.as_str()))
    }

    /// Who a crew is, by its labour rate: the description up to its first comma.
    pub(super) fn crew(&self, rate: &'a str) -> &'a str {
        self.words(rate).0.split(',').next().unwrap_or_default()
    }
}

/// The sheet.
pub(super) fn sheet<'a>(run: &'a Run<'a>, extent: Extent) -> Sheet<'a> {
    let prices = PriceIndex::of(run.prices);
    let lines = run.portfolio.sites.iter().take(extent.detailed).flat_map(|site| {
        let bill = site.judgement.estimate.iter().flat_map(|estimate| &estimate.bill);
        bill.enumerate().map(move |(at, line)| (site, at, line))
    });
    Sheet {
        name: names::MATERIALS,
        subject: "Materials and bought services; costs before VAT",
        headings: headings(),
        frozen: 3,
        printed: None,
        paper: Paper::A4,
        rows: Rows::of(lines, move |(site, at, line)| row((site, at), line, &prices)),
    }
}

fn headings() -> Vec<Heading<'static>> {
    use Form::{Ordinal, Pence, Tenths, Text, Wrapped};
    vec![
        heading("Rank", 5.5, Ordinal),
        heading("Site", 11.0, Text),
        heading("Item", 22.0, Text),
        heading("Description", 40.0, Wrapped),
        heading("Quantity", 9.0, Tenths),
        heading("Unit", 9.0, Text),
        heading("Cost, low £", 11.5, Pence),
        heading("Cost, likely £", 11.5, Pence),
        heading("Cost, high £", 11.5, Pence),
        heading("Quantity from", 40.0, Wrapped),
    ]
}

fn row<'a>((site, at): (&'a Ranked, usize), line: &'a BillLine, prices: &PriceIndex<'a>) -> Row<'a> {
    let (description, unit) = prices.words(line.item);
    let [low, likely, high] = Cell::cost(Some(line.cost));
    vec![
        site.rank.into(),
        stands::on_ranking_once(site, at),
        line.item.into(),
        description.into(),
        line.quantity.likely.into(),
        unit.into(),
        low,
        likely,
        high,
        line.because.into(),
    ]
}
