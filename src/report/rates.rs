//! Sheet Rates: what a unit of every item of the bid costs, and at what rate it would be sold. It is an indication: a rate
//! carries the bid's additions evenly, and knows no region.

use super::Run;
use super::grid::{Cell, Form, Heading, Paper, Row, Rows, Sheet, heading, names};
use crate::portfolio::Bid;
use crate::quantity::{Pence, round_to};
use std::collections::BTreeMap;

/// The sheet.
pub(super) fn sheet<'a>(run: &'a Run<'a>, bid: &'a Bid) -> Sheet<'a> {
    let quantities = quantities(run, bid);
    let rows = run.prices.iter().filter_map(move |note| {
        let (quantity, cost) = quantities.get(note.item.as_str())?;
        Some(row(note, *quantity, *cost, bid.uplift))
    });
    Sheet {
        name: names::RATES,
        subject: "Schedule of rates of the bid, before VAT",
        headings: headings(),
        frozen: 1,
        printed: None,
        paper: Paper::A4,
        rows: Rows::few(rows),
    }
}

/// Quantity (of tasks their count) and likely cost of every item in the bid.
fn quantities<'a>(run: &'a Run<'a>, bid: &Bid) -> BTreeMap<&'a str, (f64, Pence)> {
    let mut sums: BTreeMap<&str, (f64, Pence)> = BTreeMap::new();
    let estimates = bid.sites.iter().filter_map(|own| run.portfolio.sites.get(own.at)?.judgement.estimate.as_ref());
    for estimate in estimates {
        let bill = estimate.bill.iter().map(|line| (line.item, line.quantity.likely, line.cost.likely));
        let tasks = estimate.tasks.iter().map(|line| (line.task, line.count.likely, line.cost.likely));
        for (item, quantity, cost) in bill.chain(tasks) {
            let sum = sums.entry(item).or_default();
            *sum = (sum.0 + quantity, sum.1 + cost);
        }
    }
    sums
}

fn headings() -> Vec<Heading<'static>> {
    use Form::{Pence, Tenths, Text, Wrapped};
    vec![
        heading("Item", 26.0, Text),
        heading("Description", 44.0, Wrapped),
        heading("Unit", 14.0, Wrapped),
        heading("Quantity", 10.0, Tenths),
        heading("Direct cost, likely £", 15.5, Pence),
        heading("Direct, £ a unit", 11.0, Pence),
        heading("Rate, £ a unit", 11.0, Pence),
        heading("Basis", 22.0, Wrapped),
    ]
}

fn row<'a>(note: &'a super::PriceNote, quantity: f64, cost: Pence, uplift: f64) -> Row<'a> {
    let each = if quantity > 0.0 { cost.pounds() / quantity } else { 0.0 };
    // "h a metre" is sold by the metre.
    let unit = note.unit.strip_prefix("h a ").unwrap_or(&note.unit);
    vec![
        note.item.as_str().into(),
        note.description.as_str().into(),
        unit.into(),
        round_to(quantity, 1).into(),
        Cell::Money(cost),
        Cell::Money(Pence::from_pounds(each)),
        Cell::Money(Pence::from_pounds(each * uplift)),
        note.basis.as_str().into(),
    ]
}
