//! Sheet Labour: one row a task, with person-hours, days of its crew on site, and the figure of the design that they come from.

use super::Run;
use super::extent::Extent;
use super::grid::{Cell, Form, Heading, Paper, Row, Rows, Sheet, heading, names};
use super::materials::PriceIndex;
use super::stands;
use crate::estimate::TaskLine;
use crate::portfolio::Ranked;

/// The sheet.
pub(super) fn sheet<'a>(run: &'a Run<'a>, extent: Extent) -> Sheet<'a> {
    let prices = PriceIndex::of(run.prices);
    let lines = run.portfolio.sites.iter().take(extent.detailed).flat_map(|site| {
        let tasks = site.judgement.estimate.iter().flat_map(|estimate| &estimate.tasks);
        tasks.enumerate().map(move |(at, line)| (site, at, line))
    });
    Sheet {
        name: names::LABOUR,
        subject: "Labour in person-hours and crew-days; costs before VAT",
        headings: headings(),
        frozen: 3,
        printed: None,
        paper: Paper::A3,
        rows: Rows::of(lines, move |(site, at, line)| row((site, at), line, &prices)),
    }
}

fn headings() -> Vec<Heading<'static>> {
    use Form::{Hundredths, Ordinal, Pence, Tenths, Text, Whole, Wrapped};
    vec![
        heading("Rank", 5.5, Ordinal),
        heading("Site", 11.0, Text),
        heading("Task", 22.0, Text),
        heading("Description", 38.0, Wrapped),
        heading("Count", 8.0, Tenths),
        heading("Hours, low", 8.0, Hundredths),
        heading("Hours, likely", 8.5, Hundredths),
        heading("Hours, high", 8.0, Hundredths),
        heading("Crew", 24.0, Wrapped),
        heading("Persons", 8.0, Whole),
        heading("Crew-days, low", 9.5, Hundredths),
        heading("Crew-days, likely", 9.5, Hundredths),
        heading("Crew-days, high", 9.5, Hundredths),
        heading("Cost, low £", 11.5, Pence),
        heading("Cost, likely £", 11.5, Pence),
        heading("Cost, high £", 11.5, Pence),
        heading("Count from", 38.0, Wrapped),
    ]
}

fn row<'a>((site, at): (&'a Ranked, usize), line: &'a TaskLine, prices: &PriceIndex<'a>) -> Row<'a> {
    let (description, _) = prices.words(line.task);
    let [low, likely, high] = Cell::cost(Some(line.cost));
    // Desk work has no crew, and travel is no part of a working day on site.
    let persons = if line.persons > 0 { Cell::from(line.persons) } else { Cell::Blank };
    let days = line.crew_days;
    let [days_low, days_likely, days_high] =
        [days.low, days.likely, days.high].map(|day| if days.high > 0.0 { Cell::from(day) } else { Cell::Blank });
    vec![
        site.rank.into(),
        stands::on_ranking_once(site, at),
        line.task.into(),
        description.into(),
        line.count.likely.into(),
        line.hours.low.into(),
        line.hours.likely.into(),
        line.hours.high.into(),
        if line.persons > 0 { prices.crew(line.crew).into() } else { "at the desk".into() },
        persons,
        days_low,
        days_likely,
        days_high,
        low,
        likely,
        high,
        line.because.into(),
    ]
}
