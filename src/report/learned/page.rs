//! Page one of the workbook of outcomes.

use super::LearnedRun;
use super::words::{
    CAUTIONS, bins, brier, by_chance, factor, group, left_out, matched, rests_on, right, rival, shares, tasks_left,
    weight, weights_left,
};
use crate::learn::Group;
use crate::quantity::{Pence, round_to};
use crate::report::figures::count;
use crate::report::grid::{Cell, names};
use crate::report::page::{COLUMNS, Look, Page, Span, span};
use crate::site::Verdict;

/// Last column.
const LAST: u16 = COLUMNS - 1;
/// Sites said ready and found otherwise that are named on the page.
const NAMED: usize = 12;

/// The page.
pub(super) fn page<'a>(run: &LearnedRun<'a>) -> Page<'a> {
    let learned = run.learned;
    let verdicts = &learned.verdicts;
    let mut page = Page::default();
    page.text("Outcomes", Look::Title);
    page.text(matched(run), Look::Subtitle);
    page.text(rests_on(run), Look::Subtitle);
    if !run.not_used.is_empty() {
        let said = format!(
            "{} of the outcomes could not be used: sheet {}.",
            count(run.not_used.len(), "thing"),
            names::NOT_USED
        );
        page.text(said, Look::Caution);
    }
    CAUTIONS.iter().for_each(|line| page.text(*line, Look::Caution));
    page.gap();
    page.text("Verdicts", Look::Section);
    page.text(right(verdicts), Look::Plain);
    if verdicts.counted.sites() > 0 {
        confusion(run, &mut page);
    }
    for line in [brier(verdicts), bins(verdicts), shares(verdicts, "lot"), shares(verdicts, "premises")] {
        page.text(line.unwrap_or_default(), Look::Plain);
    }
    not_ready(run, &mut page);
    page.gap();
    spreads(&mut page, "Cost, pounds before VAT", &learned.cost, |pounds| Cell::Money(Pence::from_pounds(pounds)));
    page.gap();
    spreads(&mut page, "Person-hours of the crews", &learned.hours, |hours| Cell::Number(round_to(hours, 0)));
    page.gap();
    page.text(format!("Task hours proposed (all: sheet {})", names::TASK_HOURS), Look::Section);
    let tasks = learned.tasks.tasks.iter().filter(|task| task.proposed.is_some());
    list(&mut page, tasks.map(|task| factor(run, task)).collect());
    page.text(tasks_left(run).unwrap_or_default(), Look::Plain);
    page.gap();
    page.text(format!("Weights proposed (all: sheet {})", names::PRIORS), Look::Section);
    let weights = || learned.weights.all.iter().filter(|weight| weight.proposed.is_some());
    list(&mut page, weights().map(weight).collect());
    page.text(weights_left(run).unwrap_or_default(), Look::Plain);
    page.text(by_chance(run).unwrap_or_default(), Look::Plain);
    weights().filter_map(rival).for_each(|line| page.text(line, Look::Plain));
    left_out(run).into_iter().for_each(|line| page.text(line, Look::Plain));
    page
}

fn list(page: &mut Page<'_>, lines: Vec<String>) {
    if lines.is_empty() {
        page.text("None.", Look::Plain);
    }
    lines.into_iter().for_each(|line| page.text(line, Look::Plain));
}

fn confusion(run: &LearnedRun<'_>, page: &mut Page<'_>) {
    let verdicts = [Verdict::Ready, Verdict::Marginal, Verdict::Blocked];
    let mut head = vec![span(0, 2, "said (line), found (column)", Look::Head)];
    head.extend((3..).zip(verdicts).map(|(at, verdict)| span(at, at, verdict.word(), Look::HeadRight)));
    page.line(head);
    for (verdict, counts) in verdicts.iter().zip(&run.learned.verdicts.counted.0) {
        let mut line = vec![span(0, 2, verdict.word(), Look::Plain)];
        line.extend((3..).zip(counts).map(|(at, sites)| span(at, at, *sites, Look::Whole)));
        page.line(line);
    }
}

/// Sites said ready and found otherwise, each with the way to its row.
fn not_ready<'a>(run: &LearnedRun<'a>, page: &mut Page<'a>) {
    let all = &run.learned.verdicts.not_ready;
    if all.is_empty() {
        return;
    }
    page.text(format!("Said ready and found otherwise, {} (the first):", count(all.len(), "site")), Look::Strong);
    let mut spans: Vec<Span<'a>> = Vec::new();
    for (at, site) in (0_u16..).zip(all.iter().take(NAMED)) {
        let row = run.learned.sites.iter().position(|own| own.site_id == *site).unwrap_or_default();
        let row = u32::try_from(row).unwrap_or_default() + 2;
        let place = at % 6 * 2;
        if place == 0 && !spans.is_empty() {
            page.line(std::mem::take(&mut spans));
        }
        let link = Cell::Link { text: site.as_str().into(), sheet: names::OUTCOME_SITES, row };
        spans.push(span(place, place + 1, link, Look::Plain));
    }
    page.line(spans);
}

fn spreads<'a>(page: &mut Page<'a>, title: &'static str, groups: &[Group], figure: impl Fn(f64) -> Cell<'a>) {
    page.text(title, Look::Section);
    if groups.is_empty() {
        page.text("No site has it both said and found.", Look::Plain);
        return;
    }
    let heads = ["sites", "said", "found", "found/said", "± error", "median", "tenth", "nine tenths", "within band"];
    let mut head = vec![span(0, 2, "", Look::Head)];
    head.extend((3..=11).zip(heads).map(|(at, title)| span(at, at, title, Look::HeadRight)));
    page.line(head);
    for own in groups {
        let spread = own.spread;
        let ratio = |ratio: f64| Cell::Number(round_to(ratio, 2));
        let cells = [
            spread.sites.into(),
            figure(spread.said),
            figure(spread.found),
            ratio(spread.bias),
            spread.bias_error.map_or(Cell::Blank, ratio),
            ratio(spread.median),
            ratio(spread.low),
            ratio(spread.high),
            Cell::Percent(f64::from(spread.within) / f64::from(spread.sites.max(1))),
        ];
        let mut line = vec![span(0, 2, group(own), Look::Plain)];
        line.extend((3_u16..=11).zip(cells).map(|(at, cell)| {
            let look = match &cell {
                Cell::Money(_) => Look::Pounds,
                Cell::Percent(_) => Look::Share,
                Cell::Int(_) => Look::Whole,
                _ => Look::Plain,
            };
            span(at, at, cell, look)
        }));
        page.line(line);
    }
    page.line(vec![span(0, LAST, "The stated band is to hold 80 % of them.", Look::Quiet)]);
}
