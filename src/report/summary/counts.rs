//! Counts and costs by verdict and by lot, and the chart drawn from them.

use crate::portfolio::{Group, Lot};
use crate::quantity::Pence;
use crate::report::Run;
use crate::report::figures::thousands;
use crate::report::grid::Cell;
use crate::report::page::{Chart, Look, Page, Span, span};
use crate::site::Verdict;

/// Lots shown one by one; the rest are added up.
const LOTS_SHOWN: usize = 7;

/// The first block; returns the lines of the three verdicts.
pub(super) fn how_many<'a>(page: &mut Page<'a>, run: &'a Run<'a>) -> (usize, usize) {
    let summary = &run.portfolio.summary;
    let vat = run.rules.policy.vat_percent;
    let all = summary.ready.count + summary.marginal.count + summary.blocked.count;
    page.text("How many, and how much", Look::Section);
    page.line(vec![
        span(0, 2, "", Look::Head),
        span(3, 3, "Sites", Look::HeadRight),
        span(4, 4, "Share", Look::HeadRight),
        span(5, 5, "Points", Look::HeadRight),
        span(6, 7, "Low, before VAT", Look::HeadRight),
        span(8, 9, "Likely, before VAT", Look::HeadRight),
        span(10, 11, "High, before VAT", Look::HeadRight),
        span(12, 13, "Likely, with VAT", Look::HeadRight),
    ]);
    let groups = [
        (Verdict::Ready, &summary.ready),
        (Verdict::Marginal, &summary.marginal),
        (Verdict::Blocked, &summary.blocked),
    ];
    let first = page.lines.len();
    for (verdict, group) in groups {
        page.line(money(Cell::Verdict(verdict, false), group, all, vat, false));
    }
    let last = page.lines.len() - 1;
    let together = Group {
        count: summary.ready.count + summary.marginal.count,
        cost: summary.ready.cost.plus(summary.marginal.cost),
        points: summary.ready.points + summary.marginal.points,
    };
    page.line(money("ready and marginal".into(), &together, all, vat, true));
    page.text(
        "Cost of the installations; for blocked sites that of the cheapest way out where one is known, without the \
         installation.",
        Look::Quiet,
    );
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
    (first, last)
}

fn money<'a>(name: Cell<'a>, group: &Group, all: u32, vat: f64, strong: bool) -> Vec<Span<'a>> {
    let (whole, pounds) = if strong { (Look::StrongWhole, Look::StrongPounds) } else { (Look::Whole, Look::Pounds) };
    let share = if all == 0 { Cell::Blank } else { Cell::Percent(f64::from(group.count) / f64::from(all)) };
    let taxed = Pence::from_pounds(group.cost.likely.pounds() * (1.0 + vat / 100.0));
    vec![
        span(0, 2, name, if strong { Look::Strong } else { Look::Plain }),
        span(3, 3, group.count, whole),
        span(4, 4, share, Look::Share),
        span(5, 5, group.points, whole),
        span(6, 7, Cell::Money(group.cost.low), pounds),
        span(8, 9, Cell::Money(group.cost.likely), pounds),
        span(10, 11, Cell::Money(group.cost.high), pounds),
        span(12, 13, Cell::Money(taxed), pounds),
    ]
}

/// The block by lot; returns its lines when there is more than one lot.
pub(super) fn lots<'a>(page: &mut Page<'a>, lots: &'a [Lot]) -> Option<(usize, usize)> {
    if lots.len() < 2 {
        return None;
    }
    page.text("By lot", Look::Section);
    page.line(vec![
        span(0, 4, "", Look::Head),
        span(5, 5, "Ready", Look::HeadRight),
        span(6, 7, "Marginal", Look::HeadRight),
        span(8, 9, "Blocked", Look::HeadRight),
        span(10, 13, "Likely, ready and marginal, before VAT", Look::HeadRight),
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
        });
        page.line(lot_line(format!("{} other lots", lots.len() - shown).into(), &rest));
    }
    Some((first, page.lines.len() - 1))
}

fn lot_line<'a>(name: Cell<'a>, lot: &Lot) -> Vec<Span<'a>> {
    vec![
        span(0, 4, name, Look::Plain),
        span(5, 5, lot.ready, Look::Whole),
        span(6, 7, lot.marginal, Look::Whole),
        span(8, 9, lot.blocked, Look::Whole),
        span(10, 13, Cell::Money(lot.cost.likely), Look::Pounds),
    ]
}

/// The chart beside lines `first` to `end`: by lot where there are lots, else by verdict.
pub(super) fn chart(first: usize, end: usize, verdicts: (usize, usize), lots: Option<(usize, usize)>) -> Chart {
    let (names_at, series, words) = match lots {
        Some(lines) => {
            (lines, vec![5, 6, 8], "Bars of sites by lot, split into ready, marginal and blocked.".to_owned())
        }
        None => (verdicts, vec![3], "Bars of sites by verdict: ready, marginal, blocked.".to_owned()),
    };
    Chart {
        line: first,
        lines: end.saturating_sub(first),
        columns: super::LEFT,
        first: names_at.0,
        last: names_at.1,
        names: 0,
        series,
        words,
    }
}
