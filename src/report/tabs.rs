//! Which sheets of rows a run has, in the order of the tabs. What is on them it does not know.

use super::extent::Extent;
use super::grid::Sheet;
use super::{
    Run, as_read, assumptions, bid, clusters, cutting, design, findings, gaps, joined_files, labour, materials,
    operators, order, programme, ranking, rates, scenarios, shared_supplies, tender, visits,
};

/// The sheets, one after the other; pages and the sheets that the workbook reckons with stand between them.
pub(super) fn sheets<'a>(run: &'a Run<'a>, extent: Extent) -> Vec<Sheet<'a>> {
    let mut sheets = vec![ranking::sheet(run, extent), design::sheet(run, extent)];
    // Beside the designs: what several points on one supply come to.
    if shared_supplies::any(run) {
        sheets.extend([shared_supplies::sheet(run, extent), shared_supplies::vehicles_sheet(run, extent)]);
    }
    sheets.extend([findings::sheet(run, extent), materials::sheet(run, extent), labour::sheet(run, extent)]);
    // After what is known of the sites: what is not.
    sheets.extend(run.gaps.map(|found| gaps::sheet(run, found, extent)));
    // Before what is sold: what the sites do to each other.
    if !run.portfolio.clusters.is_empty() {
        sheets.extend([clusters::sheet(run), clusters::sites_sheet(run, extent)]);
    }
    // Then which of them are done, when and by whom, and who must hear of which of them.
    if let Some(found) = run.programme {
        sheets.extend([
            programme::bars_sheet(run, found),
            programme::weekly_sheet(found),
            programme::sites_sheet(run, found),
        ]);
    }
    sheets.extend(operators::sheets(run, extent.detailed));
    // First what it sells for, then what else it could be, then what to buy.
    if let Some(bid) = run.bid {
        sheets.extend([bid::sheet(run, bid), rates::sheet(run, bid), tender::sheet(run, bid)]);
    }
    if !run.scenarios.is_empty() {
        sheets.extend([scenarios::sheet(run), scenarios::moved_sheet(run)]);
    }
    if !run.visits.is_empty() {
        sheets.push(visits::sheet(run));
    }
    sheets.extend([order::sheet(run), cutting::sheet(run), as_read::sheet(run, extent)]);
    if !run.intake.layers.is_empty() {
        sheets.push(joined_files::sheet(run));
    }
    sheets.push(assumptions::sheet(run));
    sheets
}
