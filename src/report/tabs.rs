//! Which sheets of rows a run has, in the order of the tabs. What is on them it does not know.

use super::extent::Extent;
use super::grid::{Sheet, names};
use super::{
    Run, as_read, assumptions, bid, clusters, cutting, design, findings, gaps, joined_files, labour, materials,
    operators, order, programme, ranking, rates, scenarios, shared_supplies, tender, visits,
};

/// The sheets, one after the other; pages and the sheets that the workbook reckons with stand between them.
pub(super) fn sheets<'a>(run: &'a Run<'a>, extent: Extent) -> Vec<Sheet<'a>> {
    let mut sheets: Vec<Sheet<'a>> = vec![
        ranking::sheet(run, extent),
        design::sheet(run, extent),
        findings::sheet(run, extent),
        materials::sheet(run, extent),
        labour::sheet(run, extent),
        order::sheet(run),
        cutting::sheet(run),
        as_read::sheet(run, extent),
        assumptions::sheet(run),
    ];
    // After what is known of the sites: what is not.
    if let Some(found) = run.gaps {
        let at = sheets.iter().position(|sheet| sheet.name == names::LABOUR).map_or(sheets.len(), |at| at + 1);
        sheets.insert(at, gaps::sheet(run, found, extent));
    }
    // Beside the designs: what several points on one supply come to.
    if shared_supplies::any(run) {
        let at = sheets.iter().position(|sheet| sheet.name == names::DESIGN).map_or(sheets.len(), |at| at + 1);
        sheets.splice(at..at, [shared_supplies::sheet(run, extent), shared_supplies::vehicles_sheet(run, extent)]);
    }
    // Before what is sold: what the sites do to each other.
    if !run.portfolio.clusters.is_empty() {
        let at = sheets.iter().position(|sheet| sheet.name == names::ORDER).unwrap_or(sheets.len());
        sheets.splice(at..at, [clusters::sheet(run), clusters::sites_sheet(run, extent)]);
    }
    // Then which of them are done, when and by whom.
    if let Some(found) = run.programme {
        let at = sheets.iter().position(|sheet| sheet.name == names::ORDER).unwrap_or(sheets.len());
        let own =
            [programme::bars_sheet(run, found), programme::weekly_sheet(found), programme::sites_sheet(run, found)];
        sheets.splice(at..at, own);
    }
    // Beside them: who must hear of which of them.
    let at = sheets.iter().position(|sheet| sheet.name == names::ORDER).unwrap_or(sheets.len());
    sheets.splice(at..at, operators::sheets(run, extent.detailed));
    // Before the order: first what it sells for, then what else it could be, then what to buy.
    let at = sheets.iter().position(|sheet| sheet.name == names::ORDER).unwrap_or(sheets.len());
    if !run.visits.is_empty() {
        sheets.insert(at, visits::sheet(run));
    }
    if !run.scenarios.is_empty() {
        sheets.splice(at..at, [scenarios::sheet(run), scenarios::moved_sheet(run)]);
    }
    if let Some(bid) = run.bid {
        sheets.splice(at..at, [bid::sheet(run, bid), rates::sheet(run, bid), tender::sheet(run, bid)]);
    }
    if !run.intake.layers.is_empty() {
        sheets.insert(sheets.len() - 1, joined_files::sheet(run));
    }
    sheets
}
