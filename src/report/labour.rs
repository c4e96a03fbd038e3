//! Sheet Labour: one row a task, with person-hours and the figure of the design that they come from.

use super::Run;
use super::extent::Extent;
use super::grid::{Cell, Form, Heading, Paper, Row, Sheet, heading, names};
use super::materials::PriceIndex;
use crate::estimate::TaskLine;
use crate::portfolio::Ranked;

/// The sheet.
pub(super) fn sheet<'a>(run: &'a Run<'a>, extent: Extent) -> Sheet<'a> {
    let prices = PriceIndex::of(run.prices);
    let lines = run.portfolio.sites.iter().take(extent.detailed).flat_map(|site| {
        let tasks = site.judgement.estimate.iter().flat_map(|estimate| &estimate.tasks);
        tasks.map(move |line| (site, line))
    });
    Sheet {
        name: names::LABOUR,
        subject: "Labour in person-hours; costs before VAT",
        headings: headings(),
        frozen: 3,
        printed: None,
        paper: Paper::A4,
        rows: Box::new(lines.map(move |(site, line)| row(site, line, &prices))),
    }
}

fn headings() -> Vec<Heading<'static>> {
    use Form::{Hundredths, Ordinal, Pence, Tenths, Text, Wrapped};
    vec![
        heading("Rank", 5.5, Ordinal),
        heading("Site", 11.0, Text),
        heading("Task", 22.0, Text),
        heading("Description", 40.0, Wrapped),
        heading("Count", 8.0, Tenths),
        heading("Hours, low", 8.0, Hundredths),
        heading("Hours, likely", 8.5, Hundredths),
        heading("Hours, high", 8.0, Hundredths),
        heading("Cost, low £", 11.5, Pence),
        heading("Cost, likely £", 11.5, Pence),
        heading("Cost, high £", 11.5, Pence),
        heading("Count from", 40.0, Wrapped),
    ]
}

fn row<'a>(site: &'a Ranked, line: &'a TaskLine, prices: &PriceIndex<'a>) -> Row<'a> {
    let (description, _) = prices.words(line.task);
    let [low, likely, high] = Cell::cost(Some(line.cost));
    vec![
        site.rank.into(),
        site.judgement.brief.site_id.as_str().into(),
        line.task.into(),
        description.into(),
        line.count.likely.into(),
        line.hours.low.into(),
        line.hours.likely.into(),
        line.hours.high.into(),
        low,
        likely,
        high,
        line.because.into(),
    ]
}
