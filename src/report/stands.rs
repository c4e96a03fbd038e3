//! Where a site stands on the sheets of the workbook, for the jumps between them. It knows no spreadsheet file.

use super::Run;
use super::extent::Extent;
use super::grid::{Cell, Form, GREATEST_ROWS, Heading, folded, names};
use crate::portfolio::Ranked;

/// The identifier of a site, with a jump to its row on Ranking, where sites stand in the order of their ranks.
pub(super) fn on_ranking(ranked: &Ranked) -> Cell<'_> {
    let site = ranked.judgement.brief.site_id.as_str();
    match ranked.rank.checked_add(1) {
        Some(row) if ranked.rank as usize <= GREATEST_ROWS => {
            Cell::Link { text: site.into(), sheet: names::RANKING, row }
        }
        _ => site.into(),
    }
}

/// The identifier on the rows of a site that has several: the first of them has the jump.
pub(super) fn on_ranking_once(ranked: &Ranked, line: usize) -> Cell<'_> {
    if line == 0 { on_ranking(ranked) } else { ranked.judgement.brief.site_id.as_str().into() }
}

/// The sheets that have several rows a site.
const SHEETS: [&str; 3] = [names::FINDINGS, names::MATERIALS, names::LABOUR];

/// How many rows each site has on them, and where they begin.
pub(super) struct Lines {
    /// In rank order: rows before those of the site, and its own.
    sites: Vec<[(u32, u32); SHEETS.len()]>,
}

impl Lines {
    /// Those of a run.
    pub(super) fn of(run: &Run<'_>, extent: Extent) -> Self {
        let mut before = [0_u32; SHEETS.len()];
        let sites = run.portfolio.sites.iter().take(extent.detailed).map(|ranked| {
            let judgement = &ranked.judgement;
            let estimate = judgement.estimate.as_ref();
            let own = [
                judgement.findings.len(),
                estimate.map_or(0, |estimate| estimate.bill.len()),
                estimate.map_or(0, |estimate| estimate.tasks.len()),
            ];
            let own = own.map(|lines| u32::try_from(lines).unwrap_or(u32::MAX));
            let stands = std::array::from_fn(|sheet| (before[sheet], own[sheet])); // both as long as SHEETS
            before = std::array::from_fn(|sheet| before[sheet].saturating_add(own[sheet]));
            stands
        });
        Self { sites: sites.collect() }
    }

    /// Headings of the columns that jump to them.
    pub(super) fn headings<'a>() -> [Heading<'a>; SHEETS.len()] {
        SHEETS.map(|sheet| folded(format!("{sheet}, lines"), 8.5, Form::Whole))
    }

    /// The cells of the site at this place of the ranking, counted from 0: how many lines, with a jump to the first.
    pub(super) fn cells<'a>(&self, place: usize) -> [Cell<'a>; SHEETS.len()] {
        let Some(stands) = self.sites.get(place) else { return [const { Cell::Blank }; SHEETS.len()] };
        std::array::from_fn(|sheet| match stands[sheet] {
            (_, 0) => Cell::Int(0),
            // Headings stand in row 1.
            (before, lines) => Cell::Lines { lines, sheet: SHEETS[sheet], row: before.saturating_add(2) },
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::fixture::Fixture;

    #[test]
    fn a_jump_lands_on_the_first_line_of_its_site_and_that_line_jumps_back() {
        let fixture = Fixture::new(40);
        let run = fixture.run();
        let extent = Extent::of(&run);
        let lines = Lines::of(&run, extent);
        let sheets = [
            super::super::findings::sheet(&run, extent),
            super::super::materials::sheet(&run, extent),
            super::super::labour::sheet(&run, extent),
        ];
        for (at, sheet) in sheets.into_iter().enumerate() {
            let rows: Vec<_> = sheet.rows.collect();
            let mut told = 0;
            for (place, ranked) in run.portfolio.sites.iter().enumerate() {
                let Cell::Lines { lines, sheet: name, row } = lines.cells(place)[at].clone() else { continue };
                assert_eq!(name, sheet.name);
                let own = &rows[row as usize - 2..][..lines as usize];
                assert_eq!(own[0][1], on_ranking(ranked));
                assert!(own[1..].iter().all(|row| row[1] == Cell::from(ranked.judgement.brief.site_id.as_str())));
                told += lines as usize;
            }
            assert_eq!(told, rows.len(), "{}", sheet.name);
        }
    }
}
