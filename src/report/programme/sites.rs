//! Sheet Programme sites: every site with its dates and crews in the order in which they are finished, then those left
//! out, each with why.

use super::super::Run;
use super::super::grid::{Cell, Form, Heading, Paper, Row, Rows, Sheet, folded, heading, names};
use super::super::stands;
use super::words::{beyond_words, why_words};
use crate::programme::{Done, Programme, Visit};
use crate::quantity::round_to;
use std::collections::BTreeMap;

/// The sheet.
pub(in crate::report) fn sheet<'a>(run: &'a Run<'a>, programme: &'a Programme) -> Sheet<'a> {
    let headings = headings();
    let in_sight = headings.iter().filter(|heading| !heading.folds).count();
    let mut done: Vec<&Done> = programme.laid.done.iter().collect();
    done.sort_by_key(|done| (done.finish, done.task));
    let mut visits: BTreeMap<usize, Vec<&Visit>> = BTreeMap::new();
    for visit in &programme.laid.visits {
        visits.entry(visit.task).or_default().push(visit);
    }
    let dated = done.into_iter().filter_map(move |done| {
        let visits = visits.get(&done.task).map(Vec::as_slice).unwrap_or_default();
        of_task(run, programme, done.task, Some((done, visits)), String::new())
    });
    let mut left: Vec<(usize, Option<usize>, String)> = Vec::new();
    for (task, why) in &programme.laid.left_out {
        if let Some(at) = programme.planned.sites.get(*task) {
            left.push((*at, Some(*task), why_words(run, programme, *why)));
        }
    }
    left.extend(programme.planned.beyond.iter().map(|(at, beyond)| (*at, None, beyond_words(*beyond).to_owned())));
    left.sort_by_key(|(at, _, _)| *at);
    let left = left.into_iter().filter_map(move |(at, task, why)| match task {
        Some(task) => of_task(run, programme, task, None, why),
        None => of_site(run, at, why),
    });
    Sheet {
        name: names::PROGRAMME_SITES,
        subject: "Programme sites: in the order finished, then what is left out and why",
        headings,
        frozen: 3,
        printed: u16::try_from(in_sight).ok(),
        paper: Paper::A3,
        rows: Rows::few(dated.chain(left)),
    }
}

fn headings() -> Vec<Heading<'static>> {
    use Form::{Date, Hundredths, Ordinal, Percent, Pounds, Tenths, Text, Whole, Wrapped};
    vec![
        heading("Finished", 11.5, Date),
        heading("Rank", 6.0, Ordinal),
        heading("Site", 11.0, Text),
        heading("Address", 34.0, Wrapped),
        heading("Lot", 14.0, Text),
        heading("Verdict", 14.0, Text),
        heading("Period", 7.0, Ordinal),
        heading("Work begins", 11.5, Date),
        heading("Crews", 22.0, Wrapped),
        heading("Points", 7.0, Whole),
        heading("Cost, likely £", 10.0, Pounds),
        heading("Can begin from", 11.5, Date),
        heading("Finish by", 11.5, Date),
        heading("Why by then", 18.0, Wrapped),
        heading("Left out because", 34.0, Wrapped),
        heading("Must", 6.0, Text),
        folded("Place", 12.0, Text),
        folded("Homes", 7.0, Whole),
        folded("Miles a year", 9.0, Whole),
        folded("Need", 7.0, Hundredths),
        folded("Chance of ready", 9.0, Percent),
        folded("Worth", 8.0, Hundredths),
        folded("Crew-days", 9.5, Tenths),
    ]
}

/// The cells of a site that need no plan: rank, site, address, lot, verdict.
fn named<'a>(run: &'a Run<'a>, at: usize) -> Option<[Cell<'a>; 5]> {
    let site = run.portfolio.sites.get(at)?;
    let brief = &site.judgement.brief;
    Some([
        site.rank.into(),
        stands::on_ranking(site),
        brief.address.as_str().into(),
        brief.lot.as_str().into(),
        Cell::Verdict(site.judgement.counted_verdict(), brief.override_verdict.is_some()),
    ])
}

fn of_site<'a>(run: &'a Run<'a>, at: usize, why: String) -> Option<Row<'a>> {
    let mut row: Row<'a> = vec![Cell::Blank];
    row.extend(named(run, at)?);
    row.extend((0..8).map(|_| Cell::Blank));
    row.push(why.into());
    Some(row)
}

fn of_task<'a>(
    run: &'a Run<'a>,
    programme: &'a Programme,
    number: usize,
    done: Option<(&Done, &[&Visit])>,
    why: String,
) -> Option<Row<'a>> {
    let planned = &programme.planned;
    let (task, worth) = planned.plan.tasks.get(number).zip(planned.worths.get(number))?;
    let begins = done.and_then(|(_, visits)| visits.iter().map(|visit| visit.first.date).min());
    let crews: Vec<&str> = done
        .map_or(&[] as &[&Visit], |(_, visits)| visits)
        .iter()
        .filter_map(|visit| planned.plan.crews.get(visit.crew))
        .map(|crew| crew.name.as_str())
        .collect();
    let last_day = planned.last_days.get(number).and_then(Option::as_ref);
    let quarters: u32 = task.work.iter().map(|work| work.quarters).sum();
    let day = |day: Option<jiff::civil::Date>| day.map_or(Cell::Blank, Cell::Date);
    let mut row: Row<'a> = vec![day(done.map(|(done, _)| done.finish))];
    row.extend(named(run, *planned.sites.get(number)?)?);
    row.extend([
        done.map_or(Cell::Blank, |(done, _)| Cell::Int(done.period as i64 + 1)),
        day(begins),
        crews.join(", ").into(),
        task.points.into(),
        Cell::Money(task.cost),
        Cell::Date(task.not_before),
        day(task.finish_by),
        last_day.map_or("", |(_, why)| why.as_str()).into(),
        why.into(),
        if task.must { "yes" } else { "" }.into(),
        planned.plan.places.get(task.place).map_or("", |place| place.name.as_str()).into(),
        worth.homes.into(),
        round_to(worth.miles_a_year, 0).into(),
        round_to(worth.need, 2).into(),
        Cell::Percent(worth.chance),
        round_to(worth.worth, 2).into(),
        (f64::from(quarters) / 4.0).into(),
    ]);
    Some(row)
}
