//! Which sites come first and what they cost, and where the other answers stand: for a reader who has this workbook and
//! nothing else.

use crate::portfolio::Ranked;
use crate::quantity::{CostBand, Pence};
use crate::report::Run;
use crate::report::extent::Extent;
use crate::report::figures::{count, pounds};
use crate::report::grid::{Cell, names};
use crate::report::page::{Look, Page, span};
use crate::site::Verdict;

/// Sites named.
const FIRST: usize = 10;

/// The line of the first sites, and the line that says where to look.
pub(super) fn first<'a>(page: &mut Page<'a>, run: &'a Run<'a>) {
    let ready = |site: &&Ranked| site.judgement.counted_verdict() == Verdict::Ready;
    let sites: Vec<&Ranked> = run.portfolio.sites.iter().filter(ready).take(FIRST).collect();
    if !sites.is_empty() {
        let priced = |site: &&Ranked| site.judgement.estimate.as_ref().map(|estimate| estimate.cost);
        let said = |site: &&Ranked| {
            let id = &site.judgement.brief.site_id;
            priced(site).map_or_else(|| format!("{id} no price"), |cost| format!("{id} {}", pounds(cost.likely)))
        };
        let sum = sites.iter().filter_map(priced).fold(CostBand::default(), CostBand::plus);
        let listed: Vec<String> = sites.iter().map(said).collect();
        page.text(
            format!(
                "First {} by rank, likely before VAT: {}. Together {} ({} to {}, ends added).",
                if listed.len() == FIRST { "ten".to_owned() } else { listed.len().to_string() },
                listed.join(", "),
                pounds(sum.likely),
                pounds(sum.low),
                pounds(sum.high)
            ),
            Look::Strong,
        );
    }
}

/// Columns of the grid that a jump takes.
const JUMP: u16 = 2;

/// A line of jumps to the sheets that answer most.
pub(super) fn jumps(page: &mut Page<'_>, run: &Run<'_>, extent: Extent) {
    let any = |sheet, there: bool| there.then_some(sheet);
    let sheets = [
        any(names::RANKING, extent.ranked > 0),
        any(names::FINDINGS, extent.detailed > 0),
        any(names::GAPS, run.gaps.is_some()),
        any(names::PROGRAMME, run.programme.is_some()),
        any(names::CLUSTERS, !run.portfolio.clusters.is_empty()),
        any(names::AS_READ, true),
        any(names::ASSUMPTIONS, true),
        any(names::MATERIALS, extent.detailed > 0),
        any(names::ORDER, true),
    ];
    let sheets = sheets.into_iter().flatten().take(usize::from(page.columns / JUMP));
    let jumps = (0..).step_by(usize::from(JUMP)).zip(sheets);
    let spans = jumps.map(|(first, sheet)| {
        let jump = Cell::Link { text: sheet.into(), sheet, row: 1 };
        span(first, first + JUMP - 1, jump, Look::Plain)
    });
    page.line(spans.collect());
}

/// Where each question is answered.
pub(super) fn where_to_look(page: &mut Page<'_>, run: &Run<'_>) {
    let blocked: Pence = run.portfolio.summary.blocked.cost.likely;
    let sites = count(run.portfolio.sites.len(), "site");
    let ways = if blocked > Pence::default() { " and Cheapest way out" } else { "" };
    page.text(
        format!(
            "Where to look: sheet Ranking has the {sites} in order, one a row: why each is held (Why), what would change that \
             (Next step{ways}), who is asked and who pays (Waits for, Who pays, Network operator), what it costs. Findings has \
             every check of a site, Survey gaps whom to ask for what, Assumptions each value that is not from your sheet."
        ),
        Look::Quiet,
    );
}
