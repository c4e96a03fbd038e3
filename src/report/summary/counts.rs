//! Counts and costs by verdict and by lot, and the chart drawn from them.

use crate::portfolio::{Group, Lot};
use crate::quantity::Pence;
use crate::report::Run;
use crate::report::figures::{plain, thousands};
use crate::report::grid::Cell;
use crate::report::materials::PriceIndex;
use crate::report::page::{Chart, Look, Page, Span, span};
use crate::site::Verdict;
use std::collections::BTreeMap;

/// Lots shown one by one; the rest are added up.
const LOTS_SHOWN: usize = 7;

/// The first block; returns the lines of the three verdicts.
pub(super) fn how_many<'a>(page: &mut Page<'a>, run: &'a Run<'a>) -> (usize, usize) {
    let summary = &run.portfolio.summary;
    let all = summary.ready.count + summary.marginal.count + summary.blocked.count;
    page.text("How many, and how much", Look::Section);
    page.line(vec![
        span(0, 2, "", Look::Head),
        span(3, 3, "Sites", Look::HeadRight),
        span(4, 4, "Share", Look::HeadRight),
        span(5, 5, "Points", Look::HeadRight),
        span(6, 7, "Likely, before VAT", Look::HeadRight),
        span(8, 9, "Even chance (P50)", Look::HeadRight),
        span(10, 11, "1 in 10 over (P90)", Look::HeadRight),
        span(12, 13, "Likely, with VAT", Look::HeadRight),
    ]);
    let groups = [
        (Verdict::Ready, &summary.ready),
        (Verdict::Marginal, &summary.marginal),
        (Verdict::Blocked, &summary.blocked),
    ];
    let first = page.lines.len();
    for (verdict, group) in groups {
        let line = page.line(money(Cell::Verdict(verdict, false), group, all, false));
        name(page, line, verdict.word());
    }
    let last = page.lines.len() - 1;
    let (ready, marginal) = (&summary.ready, &summary.marginal);
    let together = Group {
        count: ready.count + marginal.count,
        cost: ready.cost.plus(marginal.cost),
        points: ready.points + marginal.points,
        doubt: [ready.doubt, marginal.doubt].iter().sum(),
        rests_on: ready.rests_on.plus(marginal.rests_on),
        crew_days: ready.crew_days + marginal.crew_days,
        vat: ready.vat + marginal.vat,
    };
    let line = page.line(money("ready and marginal".into(), &together, all, true));
    name(page, line, "ready_and_marginal");
    page.text(how_doubtful(&together), Look::Quiet);
    if let Some(words) = crews(run) {
        page.text(words, Look::Quiet);
    }
    page.text(
        format!(
            "Ready on this screen: {}. Ready if everything that nobody asked is held: {}.{}",
            thousands(summary.ready.count.into()),
            thousands(summary.ready_if_committed.into()),
            match summary.overridden {
                0 => String::new(),
                1 => " An engineer has set 1 verdict.".into(),
                many => format!(" Engineers have set {many} verdicts."),
            }
        ),
        Look::Strong,
    );
    if let Some(likely) = summary.likely_ready {
        page.text(
            format!(
                "Once everything open is settled, {} are likely to prove ready; eight times in ten {} to {} (homes of one \
                 street and age share doubts).",
                thousands(likely.mean.round() as u64),
                thousands(likely.low.round() as u64),
                thousands(likely.high.round() as u64)
            ),
            Look::Plain,
        );
    }
    (first, last)
}

/// Names the figures of a group: `ready_sites`, `ready_likely_gbp`.
fn name(page: &mut Page<'_>, line: usize, group: &str) {
    const FIGURES: [(u16, &str); 6] =
        [(3, "sites"), (5, "points"), (6, "likely_gbp"), (8, "p50_gbp"), (10, "p90_gbp"), (12, "with_vat_gbp")];
    page.names.extend(FIGURES.map(|(column, figure)| (format!("{group}_{figure}"), line, column)));
}

/// What the columns are, and what adding up ends would have said.
fn how_doubtful(together: &Group) -> String {
    let levels = together.doubt.levels();
    let mut said =
        "Likely: the likely costs added; for blocked sites the cheapest way out where one is known, without the \
                    installation. "
            .to_owned();
    if together.doubt.mean() > 0.0 {
        said.push_str(&format!(
            "Sites share causes of doubt: eight times in ten ready and marginal together cost {} to {}; adding every \
             site's low and high would say {} to {}.",
            levels.p10.whole_pounds(),
            levels.p90.whole_pounds(),
            together.cost.low.whole_pounds(),
            together.cost.high.whole_pounds()
        ));
    }
    said
}

/// Days of crews on site: of each verdict, and of each crew.
fn crews(run: &Run<'_>) -> Option<String> {
    let (ready, marginal) = (&run.portfolio.summary.ready, &run.portfolio.summary.marginal);
    let estimates = run.portfolio.sites.iter().map(|site| &site.judgement);
    let estimates = estimates.filter(|judgement| judgement.counted_verdict() != Verdict::Blocked);
    let mut by_crew: BTreeMap<&str, f64> = BTreeMap::new();
    for crew in estimates.filter_map(|judgement| judgement.estimate.as_ref()).flat_map(|estimate| &estimate.crews) {
        *by_crew.entry(crew.rate).or_default() += crew.days.likely;
    }
    let prices = PriceIndex::of(run.prices);
    let each = by_crew.iter().map(|(rate, days)| format!("{} {}", prices.crew(rate).to_lowercase(), whole(*days)));
    let each = each.collect::<Vec<_>>().join(", ");
    let day_h = run.prices.iter().find(|note| note.item == "crew-day").map_or(0.0, |note| note.likely);
    (!each.is_empty()).then(|| {
        format!(
            "Crew-days on site, likely ({} hours, without travel): ready {}, marginal {}; together {each}.",
            plain(day_h, 1),
            whole(ready.crew_days),
            whole(marginal.crew_days)
        )
    })
}

/// A number of days in whole ones, with thousands marks.
fn whole(days: f64) -> String {
    // Days of a portfolio are far below what a whole number holds, and never below 0; a cast of more would only cap it.
    thousands(days.max(0.0).round() as u64)
}

fn money<'a>(name: Cell<'a>, group: &Group, all: u32, strong: bool) -> Vec<Span<'a>> {
    let (whole, pounds) = if strong { (Look::StrongWhole, Look::StrongPounds) } else { (Look::Whole, Look::Pounds) };
    let share = if all == 0 { Cell::Blank } else { Cell::Percent(f64::from(group.count) / f64::from(all)) };
    let levels = group.doubt.levels();
    let level = |pence: Pence| if group.doubt.mean() > 0.0 { Cell::Money(pence) } else { Cell::Blank };
    vec![
        span(0, 2, name, if strong { Look::Strong } else { Look::Plain }),
        span(3, 3, group.count, whole),
        span(4, 4, share, Look::Share),
        span(5, 5, group.points, whole),
        span(6, 7, Cell::Money(group.cost.likely), pounds),
        span(8, 9, level(levels.p50), pounds),
        span(10, 11, level(levels.p90), pounds),
        span(12, 13, Cell::Money(group.cost.likely + group.vat), pounds),
    ]
}

/// The block by lot; returns its lines when there is more than one lot.
pub(super) fn lots<'a>(page: &mut Page<'a>, lots: &'a [Lot]) -> Option<(usize, usize)> {
    if lots.len() < 2 {
        return None;
    }
    page.text("By lot", Look::Section);
    page.line(vec![
        span(0, 2, "", Look::Head),
        span(3, 4, "Share ready", Look::HeadRight),
        span(5, 5, "Ready", Look::HeadRight),
        span(6, 6, "Marginal", Look::HeadRight),
        span(7, 7, "Blocked", Look::HeadRight),
        span(8, 9, "Crew-days, likely", Look::HeadRight),
        span(10, 11, "Likely, before VAT", Look::HeadRight),
        span(12, 13, "1 in 5 over (P80)", Look::HeadRight),
    ]);
    let first = page.lines.len();
    let shown = if lots.len() > LOTS_SHOWN + 1 { LOTS_SHOWN } else { lots.len() };
    for lot in lots.iter().take(shown) {
        let name = if lot.name.is_empty() { "no lot" } else { &lot.name };
        page.line(lot_line(name.into(), lot));
    }
    if shown < lots.len() {
        let rest = lots.iter().skip(shown).fold(Lot::default(), |sum, lot| Lot {
            name: String::new(),
            ready: sum.ready + lot.ready,
            marginal: sum.marginal + lot.marginal,
            blocked: sum.blocked + lot.blocked,
            cost: sum.cost.plus(lot.cost),
            doubt: [sum.doubt, lot.doubt].iter().sum(),
            likely_ready: None,
            crew_days: sum.crew_days + lot.crew_days,
        });
        page.line(lot_line(format!("{} other lots", lots.len() - shown).into(), &rest));
    }
    Some((first, page.lines.len() - 1))
}

fn lot_line<'a>(name: Cell<'a>, lot: &Lot) -> Vec<Span<'a>> {
    let all = lot.ready + lot.marginal + lot.blocked;
    let share = if all == 0 { Cell::Blank } else { Cell::Percent(f64::from(lot.ready) / f64::from(all)) };
    vec![
        span(0, 2, name, Look::Plain),
        span(3, 4, share, Look::Share),
        span(5, 5, lot.ready, Look::Whole),
        span(6, 6, lot.marginal, Look::Whole),
        span(7, 7, lot.blocked, Look::Whole),
        span(8, 9, lot.crew_days, Look::Whole),
        span(10, 11, Cell::Money(lot.cost.likely), Look::Pounds),
        span(12, 13, Cell::Money(lot.doubt.levels().p80), Look::Pounds),
    ]
}

/// The chart beside lines `first` to `end`: by lot where there are lots, else by verdict.
pub(super) fn chart(first: usize, end: usize, verdicts: (usize, usize), lots: Option<(usize, usize)>) -> Chart {
    let (names_at, series, title, words) = match lots {
        Some(lines) => (
            lines,
            vec![5, 6, 7],
            "Sites by lot and verdict",
            "Bars of sites by lot, split into ready, marginal and blocked.".to_owned(),
        ),
        None => {
            (verdicts, vec![3], "Sites by verdict", "Bars of sites by verdict: ready, marginal, blocked.".to_owned())
        }
    };
    Chart {
        line: first,
        lines: end.saturating_sub(first),
        columns: super::LEFT,
        first: names_at.0,
        last: names_at.1,
        names: 0,
        series,
        title,
        words,
    }
}
