//! Sheet Summary, page one: how many and how much, what marginal waits for, what stops most, what unlocks most, where
//! the doubt is, what it rests on, the caution. In that order, on one page, readable in black and white.

mod counts;
mod curve;
mod first;
mod rests;

use super::extent::Extent;
use super::figures::{count, date, thousands};
use super::grid::Cell;
use super::page::{COLUMNS, Look, Page, Span, span};
use super::{Run, programme, sentence};
use crate::finding::Reason;
use crate::site::Verdict;
use crate::verdict::Confidence;
use std::collections::BTreeMap;

/// Reasons, moves and unknowns shown.
const SHOWN: usize = 5;
/// Last column of the left half, first of the right.
const LEFT: u16 = 6;
const RIGHT: u16 = 7;

/// The page.
pub(super) fn page<'a>(run: &'a Run<'a>, extent: Extent) -> Page<'a> {
    let mut page = Page::default();
    head(&mut page, run);
    first::jumps(&mut page, run, extent);
    page.gap();
    let verdict_lines = counts::how_many(&mut page, run);
    first::first(&mut page, run);
    page.gap();
    let by_lot = run.portfolio.summary.lots.len() > 1;
    let curve_words = curve::words(run);
    let over = match (&curve_words, by_lot) {
        (Some(_), _) => "Where money stops buying much",
        (None, true) => "Sites by lot",
        (None, false) => "Sites by verdict",
    };
    let chart_at = page.beside(vec![vec![span(0, LEFT - 1, over, Look::Section)]], waits_and_doubt(run));
    let chart_end = page.lines.len();
    if let Some(words) = curve_words {
        page.text(words, Look::Quiet);
    }
    page.gap();
    page.beside(
        reasons(
            "What stops or holds most (a site may have several)",
            &run.portfolio.summary.reasons,
            (0, LEFT - 1),
            false,
        ),
        reasons("What stops the blocked, first reason", &run.portfolio.summary.blocked_by, (RIGHT, COLUMNS - 2), true),
    );
    page.gap();
    unlocks(&mut page, run);
    let lot_lines = counts::lots(&mut page, &run.portfolio.summary.lots);
    page.gap();
    rests::rests_on(&mut page, run, extent);
    page.curve = curve::curve(run, chart_at + 1, chart_end.saturating_sub(chart_at + 1));
    if page.curve.is_none() {
        page.chart = Some(counts::chart(chart_at + 1, chart_end, verdict_lines, lot_lines));
    }
    page
}

fn head<'a>(page: &mut Page<'a>, run: &'a Run<'a>) {
    let summary = &run.portfolio.summary;
    let judged = run.portfolio.sites.len();
    page.text(
        format!("Charging at {}: {} ready now", count(judged, "site"), thousands(summary.ready.count.into())),
        Look::Title,
    );
    let source = &run.intake.source;
    let noun = if run.intake.sheets.len() > 1 { "sheets" } else { "sheet" };
    let sheets = run.intake.sheets_said();
    let sheet = if sheets.is_empty() { String::new() } else { format!(", {noun} {sheets}") };
    page.text(
        format!("{}{sheet}. As of {}, stance {}. Baywright {}.", source.name, date(run.as_of), run.stance, run.version),
        Look::Subtitle,
    );
    page.text(
        format!(
            "{} read = {} judged + {} set aside (sheet As read says why).",
            count(run.intake.rows.len(), "row"),
            thousands(judged as u64),
            thousands(run.intake.set_aside.len() as u64)
        ),
        Look::Strong,
    );
    page.text(programme::line(run).trim_end().to_owned(), Look::Plain);
}

/// Right of the chart: what marginal waits for, then where the doubt is.
fn waits_and_doubt<'a>(run: &'a Run<'a>) -> Vec<Vec<Span<'a>>> {
    let summary = &run.portfolio.summary;
    let mut lines = vec![vec![span(RIGHT, COLUMNS - 1, "What marginal waits for first", Look::Section)]];
    for (wait, sites) in &summary.waiting {
        let words = match wait.word() {
            "fact" => "a fact somebody has to find out",
            "operator" => "the network operator's answer",
            "consent" => "a consent",
            _ => "works outside an ordinary visit",
        };
        lines.push(counted(words.into(), *sites, summary.marginal.count, RIGHT, COLUMNS - 1));
    }
    lines.push(Vec::new());
    lines.push(vec![span(RIGHT, COLUMNS - 1, "Where the doubt is", Look::Section)]);
    let sites = &run.portfolio.sites;
    let all = u32::try_from(sites.len()).unwrap_or(u32::MAX);
    for (confidence, words) in [
        (Confidence::Surveyed, "surveyed: cut-out, loop and demand known"),
        (Confidence::Partly, "partly surveyed"),
        (Confidence::Desk, "desk only"),
    ] {
        let found = sites.iter().filter(|site| site.judgement.confidence == confidence).count();
        lines.push(counted(words.into(), u32::try_from(found).unwrap_or(u32::MAX), all, RIGHT, COLUMNS - 1));
    }
    let unknowns = tally(sites.iter().flat_map(|site| &site.judgement.decisive_unknowns).copied());
    if let Some(words) = listed(&unknowns) {
        lines.push(vec![span(RIGHT, COLUMNS - 1, format!("Answers that would decide: {words}."), Look::Plain)]);
    }
    let confirm = tally(
        sites
            .iter()
            .filter(|site| site.judgement.counted_verdict() == Verdict::Ready)
            .flat_map(|site| &site.judgement.confirm_first)
            .copied(),
    );
    if let Some(words) = listed(&confirm) {
        lines.push(vec![span(
            RIGHT,
            COLUMNS - 1,
            format!("To confirm at ready sites before booking: {words}."),
            Look::Plain,
        )]);
    }
    let over = sites.iter().filter(|site| site.over_capacity).count();
    if over > 0 {
        let words = format!("With their neighbours {} over what the feeder carries: Clusters.", count(over, "site"));
        lines.push(vec![span(RIGHT, COLUMNS - 1, words, Look::Plain)]);
    }
    let shared = sites.iter().filter(|site| site.shared_with.is_some()).count();
    if shared > 0 {
        let words = format!("{} without a space could share a car park: Ranking.", count(shared, "home"));
        lines.push(vec![span(RIGHT, COLUMNS - 1, words, Look::Plain)]);
    }
    lines
}

fn counted<'a>(words: Cell<'a>, sites: u32, whole: u32, first: u16, last: u16) -> Vec<Span<'a>> {
    let part = if whole == 0 { Cell::Blank } else { Cell::Percent(f64::from(sites) / f64::from(whole)) };
    vec![
        span(first, last - 2, words, Look::Plain),
        span(last - 1, last - 1, sites, Look::Whole),
        span(last, last, part, Look::Share),
    ]
}

/// How often each word stands, commonest first, then by name.
fn tally<'a>(words: impl Iterator<Item = &'a str>) -> Vec<(&'a str, u32)> {
    let mut counts: BTreeMap<&str, u32> = BTreeMap::new();
    for word in words {
        *counts.entry(word).or_default() += 1;
    }
    let mut list: Vec<_> = counts.into_iter().collect();
    list.sort_by_key(|(_, sites)| std::cmp::Reverse(*sites));
    list
}

fn listed(counts: &[(&str, u32)]) -> Option<String> {
    let words: Vec<String> = counts
        .iter()
        .take(4)
        .map(|(field, sites)| format!("{} {}", field_words(field), thousands(u64::from(*sites))))
        .collect();
    (!words.is_empty()).then(|| words.join(", "))
}

/// A survey field as a person says it: "cutout rating" for `cutout_rating_a`.
pub(super) fn field_words(field: &str) -> String {
    const UNITS: [&str; 7] = ["a", "kw", "kva", "ka", "ohm", "m", "mm2"];
    let bare = field.rsplit_once('_').filter(|(_, unit)| UNITS.contains(unit)).map_or(field, |(name, _)| name);
    bare.replace('_', " ")
}

/// A block of counted reasons in columns `first` to `last`. Where every site is counted once (`adds_up`) the rest is
/// added up in a last line; else one more reason is shown in its place.
fn reasons<'a>(
    title: &'static str,
    reasons: &[(&'static Reason, u32)],
    (first, last): (u16, u16),
    adds_up: bool,
) -> Vec<Vec<Span<'a>>> {
    let mut lines = vec![vec![span(first, last, title, Look::Section)]];
    let counted = |words: &'static str, sites: u32| {
        vec![span(first, last - 1, words, Look::Plain), span(last, last, sites, Look::Whole)]
    };
    let shown = SHOWN + usize::from(!adds_up);
    lines.extend(reasons.iter().take(shown).map(|(reason, sites)| counted(title_of(reason), *sites)));
    let other: u32 = reasons.iter().skip(shown).map(|(_, sites)| sites).sum();
    if other > 0 && adds_up {
        lines.push(counted("other", other));
    }
    if reasons.is_empty() {
        lines.push(vec![span(first, last, "nothing", Look::Plain)]);
    }
    lines
}

/// A few words for a reason.
pub(super) fn title_of(reason: &'static Reason) -> &'static str {
    if reason.title.is_empty() { reason.code } else { reason.title }
}

/// The remedies that unlock most for least.
fn unlocks<'a>(page: &mut Page<'a>, run: &'a Run<'a>) {
    let unlocks = &run.portfolio.summary.unlocks;
    if unlocks.is_empty() {
        return;
    }
    page.text("What would move most for least", Look::Section);
    page.line(vec![
        span(0, 6, "Do, in this order", Look::Head),
        span(7, 8, "Who pays", Look::Head),
        span(9, 9, "Sites", Look::HeadRight),
        span(10, 10, "Alone", Look::HeadRight),
        span(11, 11, "So far", Look::HeadRight),
        span(12, 13, "Likely £", Look::HeadRight),
    ]);
    for unlock in unlocks.iter().take(SHOWN) {
        page.line(vec![
            span(0, 6, sentence::as_sentence(unlock.remedy), Look::Plain),
            span(7, 8, unlock.payer, Look::Plain),
            span(9, 9, unlock.sites, Look::Whole),
            span(10, 10, unlock.alone, Look::Whole),
            span(11, 11, unlock.so_far, Look::Whole),
            span(12, 13, unlock.cost.pounds(), Look::Pounds),
        ]);
    }
    page.text(
        "Sites: in whose cheapest way out it is, and the cost of it there. Alone: ready by it alone, if all goes as \
         likely. So far: ready by it and the lines above.",
        Look::Quiet,
    );
    page.gap();
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::fixture;

    #[test]
    fn page_one_answers_in_order_and_adds_up() {
        let fixture = fixture::Fixture::new(40);
        let run = fixture.run();
        let page = page(&run, Extent::of(&run));
        let text: Vec<String> =
            page.lines.iter().flatten().map(|span| span.cell.shown()).filter(|text| !text.is_empty()).collect();
        let at = |words: &str| {
            text.iter().position(|line| line.contains(words)).unwrap_or_else(|| panic!("no {words} in {text:?}"))
        };
        let order = [
            "read =",
            "How many",
            "What marginal waits for",
            "What stops or holds most",
            "What would move most",
            "By lot",
            "What this rests on",
            "A desk-top screen",
        ];
        assert!(order.windows(2).all(|pair| at(pair[0]) < at(pair[1])), "{text:?}");
        assert!(text[at("read =")].contains(&format!("= {} judged + {} set aside", 40, run.intake.set_aside.len())));
        for line in &page.lines {
            for pair in line.windows(2) {
                assert!(pair[0].last < pair[1].first, "spans overlap: {pair:?}");
            }
            assert!(line.iter().all(|span| span.last < COLUMNS && span.first <= span.last));
        }
    }

    #[test]
    fn a_chart_stands_beside_its_lines() {
        let fixture = fixture::Fixture::new(40);
        let run = fixture.run();
        let page = page(&run, Extent::of(&run));
        let curve = page.curve.expect("a curve");
        assert!(curve.lines >= 8 && curve.line + curve.lines < page.lines.len(), "{curve:?}");
        assert!(page.chart.is_none(), "one chart has the room");
        // Where nothing has a price there are bars of sites.
        let mut fixture = fixture::Fixture::new(40);
        fixture.portfolio.sites.iter_mut().for_each(|site| site.judgement.estimate = None);
        let run = fixture.run();
        let page = super::page(&run, Extent::of(&run));
        let chart = page.chart.expect("a chart");
        assert!(page.curve.is_none() && chart.lines >= 8, "{chart:?}");
        assert!(chart.last < page.lines.len() && chart.first <= chart.last);
    }
}
