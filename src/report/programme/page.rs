//! Page Programme: what is done by when for how much, period by period, what more would add, what is left out and why.

use super::super::Run;
use super::super::figures::{count, date, plain, pounds, thousands};
use super::super::grid::Cell;
use super::super::page::{COLUMNS, Look, Page, Span, span};
use super::words::{beyond_words, gain_words, gap_words, more_words, totals, trade_words, why_words};
use crate::programme::{Programme, Spent, Unspent, spent, weeks};
use crate::quantity::Pence;
use std::collections::BTreeMap;

/// Sites named where something that must be is not.
const NAMED: usize = 12;
const LAST: u16 = COLUMNS - 1;

/// Lines that the drawing of points and spend takes.
const DRAWN_LINES: usize = 17;

/// The page, and the line at which points and spend are drawn.
pub(in crate::report) fn page<'a>(run: &'a Run<'a>, programme: &'a Programme) -> (Page<'a>, usize) {
    let mut page = Page::default();
    head(&mut page, run, programme);
    page.gap();
    periods(&mut page, programme);
    page.gap();
    page.text("Week by week", Look::Section);
    let drawn_at = page.lines.len();
    for _ in 0..DRAWN_LINES {
        page.line(vec![span(0, LAST, Cell::Blank, Look::Plain)]);
    }
    page.gap();
    crews(&mut page, run, programme);
    page.gap();
    page.text("What one more would add", Look::Section);
    for gain in &programme.gains {
        page.line(vec![
            span(0, 6, more_words(run, programme, &gain.more), Look::Plain),
            span(7, LAST, gain_words(gain), Look::Plain),
        ]);
    }
    page.text(
        "Reckoned on the selection, before it is laid on the calendar; more money goes where it adds most.",
        Look::Quiet,
    );
    page.gap();
    left_out(&mut page, run, programme);
    missed(&mut page, run, programme);
    page.gap();
    page.text(
        "Sheet Crews by week draws where each crew is, Points and spend adds up week by week, Programme sites holds every \
         site with its dates or why it is left out. Costs are likely ones before VAT, with what the programme pays of a \
         marginal site's cheapest way out; weeks of waiting are the rules' choice of low, likely or high.",
        Look::Plain,
    );
    page.text(
        "A desk-top programme: book no crew before a qualified designer has verified the site, and connect nothing that \
         waits for the network operator before it has answered.",
        Look::Caution,
    );
    (page, drawn_at)
}

fn head<'a>(page: &mut Page<'a>, run: &'a Run<'a>, programme: &'a Programme) {
    let done = &programme.laid.done;
    let (points, cost) = totals(programme);
    page.text(
        format!(
            "Programme: {} with {} for {}",
            count(done.len(), "site"),
            count(points as usize, "point"),
            pounds(cost)
        ),
        Look::Title,
    );
    let file = run.inputs.programme.as_ref().map_or("", |file| file.name.as_str());
    let plan = &programme.planned.plan;
    let span = plan.periods.first().zip(plan.periods.last());
    let span = span.map(|(first, last)| format!("{} to {}", date(first.from), date(last.to))).unwrap_or_default();
    let last = done.iter().map(|done| done.finish).max();
    let last = last.map(|day| format!(" Last site finished {}.", date(day))).unwrap_or_default();
    page.text(format!("{file}: {span}, {}.{last}", count(plan.crews.len(), "crew")), Look::Subtitle);
    page.text(gap_words(programme), Look::Strong);
}

fn periods(page: &mut Page<'_>, programme: &Programme) {
    let plan = &programme.planned.plan;
    let unspent = match plan.unspent {
        Unspent::Lost => "Period by period; what a period leaves is lost",
        Unspent::Carried => "Period by period; what a period leaves is carried on",
    };
    page.text(unspent, Look::Section);
    let heads = ["Budget", "Spent", "Spent so far", "Sites", "Points", "Points so far"];
    let mut line: Vec<Span<'_>> = vec![span(0, 1, "From", Look::Head), span(2, 3, "To", Look::Head)];
    line.extend((0..).zip(heads).map(|(at, head)| {
        let (first, last) = columns(at);
        span(first, last, head, Look::HeadRight)
    }));
    page.line(line);
    let (mut cost_so_far, mut points_so_far) = (Pence(0), 0);
    for (period, Spent { sites, points, cost }) in plan.periods.iter().zip(spent(plan, &programme.laid)) {
        cost_so_far = cost_so_far + cost;
        points_so_far += points;
        let figures: [(Cell<'_>, Look); 6] = [
            (Cell::Money(period.budget), Look::Pounds),
            (Cell::Money(cost), Look::Pounds),
            (Cell::Money(cost_so_far), Look::Pounds),
            (sites.into(), Look::Whole),
            (points.into(), Look::Whole),
            (points_so_far.into(), Look::Whole),
        ];
        let mut line =
            vec![span(0, 1, Cell::Date(period.from), Look::Plain), span(2, 3, Cell::Date(period.to), Look::Plain)];
        line.extend((0..).zip(figures).map(|(at, (cell, look))| {
            let (first, last) = columns(at);
            span(first, last, cell, look)
        }));
        page.line(line);
    }
}

/// Columns of the figures of a period.
fn columns(at: u16) -> (u16, u16) {
    match at {
        0..=2 => (4 + 2 * at, 5 + 2 * at),
        3 => (10, 10),
        4 => (11, 11),
        _ => (12, 13),
    }
}

fn crews<'a>(page: &mut Page<'a>, run: &'a Run<'a>, programme: &'a Programme) {
    let plan = &programme.planned.plan;
    page.text("Crews", Look::Section);
    let days = |quarters: u32| plain(f64::from(quarters) / 4.0, 1);
    let weeks = weeks(plan, &programme.laid);
    for (number, crew) in plan.crews.iter().enumerate() {
        let worked: u32 = weeks.iter().filter_map(|week| week.quarters.get(number)).sum();
        let sites = programme.laid.visits.iter().filter(|visit| visit.crew == number).count();
        page.line(vec![
            span(0, 3, crew.name.as_str(), Look::Plain),
            span(4, 8, trade_words(run, programme, crew.trade), Look::Plain),
            span(9, LAST, format!("{} days at {}", days(worked), count(sites, "site")), Look::Plain),
        ]);
    }
    page.text(format!("A crew goes from one place to another {}.", times(programme.laid.moves)), Look::Quiet);
}

fn times(number: u32) -> String {
    if number == 1 { "once".to_owned() } else { format!("{} times", thousands(number.into())) }
}

fn left_out<'a>(page: &mut Page<'a>, run: &'a Run<'a>, programme: &'a Programme) {
    let mut counts: BTreeMap<String, u32> = BTreeMap::new();
    for (_, why) in &programme.laid.left_out {
        *counts.entry(why_words(run, programme, *why)).or_default() += 1;
    }
    for (_, beyond) in &programme.planned.beyond {
        *counts.entry(beyond_words(*beyond).to_owned()).or_default() += 1;
    }
    let mut counts: Vec<(String, u32)> = counts.into_iter().collect();
    counts.sort_by_key(|(_, sites)| std::cmp::Reverse(*sites));
    page.text("Left out, and why", Look::Section);
    if counts.is_empty() {
        page.text("nothing", Look::Plain);
    }
    for (words, sites) in counts {
        page.line(vec![span(0, 8, words, Look::Plain), span(9, 9, sites, Look::Whole)]);
    }
}

/// Musts and least shares that are not met, in words that cannot be overlooked.
fn missed<'a>(page: &mut Page<'a>, run: &'a Run<'a>, programme: &'a Programme) {
    let laid = &programme.laid;
    if !laid.musts_missed.is_empty() {
        let ids: Vec<&str> = laid.musts_missed.iter().filter_map(|task| site_id(run, programme, *task)).collect();
        let told = ids.iter().take(NAMED).copied().collect::<Vec<_>>().join(", ");
        let more = if ids.len() > NAMED { format!(" and {} more", ids.len() - NAMED) } else { String::new() };
        page.gap();
        page.text(format!("Must be done and is not: {told}{more}. Programme sites says why."), Look::Caution);
    }
    for share in laid.shares_missed.iter().filter_map(|number| programme.planned.plan.least.get(*number)) {
        let words = format!(
            "No programme was found that gives {} its {} % of the points.",
            share.name,
            plain(share.share * 100.0, 1)
        );
        page.gap();
        page.text(words, Look::Caution);
    }
}

/// The site of a task.
fn site_id<'a>(run: &'a Run<'a>, programme: &Programme, task: usize) -> Option<&'a str> {
    let at = programme.planned.sites.get(task)?;
    Some(run.portfolio.sites.get(*at)?.judgement.brief.site_id.as_str())
}
