//! How much of a run the workbook holds. It knows the limits of a worksheet and the length of a run.

use super::Run;
use super::grid::GREATEST_ROWS;

/// Up to this many sites the workbook holds every site in full.
pub const SITES_WITH_FULL_DETAIL: usize = 20_000;
/// Above that, the detail of this many sites by rank.
pub const DETAIL_SITES_OF_A_LONG_RUN: usize = 5_000;

/// Up to this many sites, by rank, can be tried and ranked with other weights within the workbook.
pub const LIVE_SITES: usize = 2_000;

/// How many sites and rows the sheets of the workbook hold.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Extent {
    /// Sites on the sheet Ranking.
    pub ranked: usize,
    /// Sites on Design, Findings, Materials, Labour, Cluster sites and the operators' sheets, the best ranked.
    pub detailed: usize,
    /// Rows on the sheet As read.
    pub as_read: usize,
    /// Sites whose score and checks the workbook reckons itself, the best ranked.
    pub live: usize,
}

impl Extent {
    /// The extent of a run.
    pub fn of(run: &Run<'_>) -> Self {
        let sites = &run.portfolio.sites;
        let wished = if sites.len() > SITES_WITH_FULL_DETAIL { DETAIL_SITES_OF_A_LONG_RUN } else { sites.len() };
        let (mut findings, mut materials, mut tasks, mut detailed) = (0, 0, 0, 0);
        for ranked in sites.iter().take(wished) {
            findings += ranked.judgement.findings.len();
            if let Some(estimate) = &ranked.judgement.estimate {
                materials += estimate.bill.len();
                tasks += estimate.tasks.len();
            }
            if findings.max(materials).max(tasks) > GREATEST_ROWS {
                break;
            }
            detailed += 1;
        }
        let (ranked, as_read) = (sites.len().min(GREATEST_ROWS), run.intake.rows.len().min(GREATEST_ROWS));
        Self { ranked, detailed, as_read, live: ranked.min(LIVE_SITES) }
    }

    /// Whether some site or row of the run is not in the workbook in full.
    pub fn is_cut(&self, run: &Run<'_>) -> bool {
        self.detailed < run.portfolio.sites.len() || self.as_read < run.intake.rows.len()
    }

    /// What is left out, as a sentence; empty when nothing is.
    pub fn sentence(&self, run: &Run<'_>) -> String {
        use super::figures::thousands;
        let mut text = String::new();
        if self.detailed < run.portfolio.sites.len() {
            text = format!(
                "Ranking holds {} sites; Design, Findings, Materials, Labour, Cluster sites and the operators' sheets hold the first {} by rank. The \
                 Parquet file beside this workbook holds all of them in full.",
                thousands(self.ranked as u64),
                thousands(self.detailed as u64)
            );
        }
        if self.live < run.portfolio.sites.len() {
            text.push_str(&format!(
                " Weights and Try a site reckon with the first {} by rank.",
                thousands(self.live as u64)
            ));
        }
        if self.as_read < run.intake.rows.len() {
            text.push_str(&format!(
                " As read holds the first {} of {} rows: a worksheet has no room for more.",
                thousands(self.as_read as u64),
                thousands(run.intake.rows.len() as u64)
            ));
        }
        let pieces = run.order.cables.iter().map(|cable| u64::from(cable.pieces)).sum::<u64>();
        if pieces > GREATEST_ROWS as u64 {
            text.push_str(&format!(
                " Cutting list holds the first {} of {} pieces; --csv and --json give all.",
                thousands(GREATEST_ROWS as u64),
                thousands(pieces)
            ));
        }
        let moved = run.scenarios.iter().map(|scenario| scenario.moved.len()).sum::<usize>();
        if moved > GREATEST_ROWS {
            text.push_str(&format!(
                " What moves holds the first {} of {} rows; --json gives all.",
                thousands(GREATEST_ROWS as u64),
                thousands(moved as u64)
            ));
        }
        text.trim_start().to_owned()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::fixture::Fixture;

    #[test]
    fn a_long_run_keeps_every_site_and_says_what_is_left_out() {
        let fixture = Fixture::new(SITES_WITH_FULL_DETAIL + 1);
        let run = fixture.run();
        let extent = Extent::of(&run);
        assert_eq!((extent.ranked, extent.detailed), (SITES_WITH_FULL_DETAIL + 1, DETAIL_SITES_OF_A_LONG_RUN));
        assert!(extent.is_cut(&run));
        let sentence = extent.sentence(&run);
        assert!(
            sentence.contains("20,001") && sentence.contains("5,000") && sentence.contains("Parquet"),
            "{sentence}"
        );
        assert!(extent.live == LIVE_SITES && sentence.contains("Try a site reckon with the first 2,000"), "{sentence}");
    }

    #[test]
    fn more_pieces_than_a_worksheet_holds_are_told() {
        let mut fixture = Fixture::new(9);
        let cable = fixture.order.cables.first_mut().expect("a cable");
        cable.pieces = 1_200_000;
        let run = fixture.run();
        let sentence = Extent::of(&run).sentence(&run);
        assert!(sentence.contains("Cutting list holds the first 1,048,575 of 1,200,000 pieces"), "{sentence}");
    }

    #[test]
    fn a_usual_run_is_whole() {
        let fixture = Fixture::new(30);
        let run = fixture.run();
        let extent = Extent::of(&run);
        assert_eq!((extent.detailed, extent.as_read), (30, 32));
        assert!(!extent.is_cut(&run) && extent.sentence(&run).is_empty());
    }
}
