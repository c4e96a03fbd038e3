//! Sheet Findings: one row a finding, with the numbers put into the formula, the limit and where it comes from.

use super::calculation::working;
use super::extent::Extent;
use super::grid::{Cell, Form, Heading, Paper, Row, Rows, Sheet, heading, names};
use super::stands;
use super::{Run, sentence};
use crate::finding::{Finding, Outcome};
use crate::portfolio::Ranked;
use crate::quantity::round_to;

/// The sheet.
pub(super) fn sheet<'a>(run: &'a Run<'a>, extent: Extent) -> Sheet<'a> {
    let sites = run.portfolio.sites.iter().take(extent.detailed);
    let found = sites
        .flat_map(|site| site.judgement.findings.iter().enumerate().map(move |(line, finding)| (site, line, finding)));
    Sheet {
        name: names::FINDINGS,
        subject: "Findings: every check of every site, in working order",
        headings: headings(),
        frozen: 3,
        printed: None,
        paper: Paper::A3,
        rows: Rows::of(found, |(site, line, finding)| row(site, line, finding)),
    }
}

fn headings() -> Vec<Heading<'static>> {
    use Form::{Free, Ordinal, Text, Wrapped};
    vec![
        heading("Rank", 5.5, Ordinal),
        heading("Site", 11.0, Text),
        heading("Check", 22.0, Wrapped),
        heading("Working", 46.0, Wrapped),
        heading("Value", 9.0, Free),
        heading("Limit", 8.0, Free),
        heading("Unit", 7.0, Text),
        heading("Margin", 9.0, Free),
        heading("Outcome", 9.0, Text),
        heading("Effect", 7.0, Text),
        heading("Reason code", 21.5, Text),
        heading("In words", 46.0, Wrapped),
        heading("To be measured on site", 34.0, Wrapped),
        heading("Clause", 16.0, Wrapped),
        heading("Edition", 18.0, Wrapped),
        heading("Source", 24.0, Wrapped),
        heading("Status of the source", 12.0, Wrapped),
    ]
}

/// The outcome as a word.
pub(super) fn outcome(outcome: Outcome) -> &'static str {
    match outcome {
        Outcome::Pass => "pass",
        Outcome::Fail => "fail",
        Outcome::Unknown => "unknown",
        Outcome::Noted => "noted",
    }
}

fn row<'a>(site: &'a Ranked, line: usize, finding: &'a Finding) -> Row<'a> {
    let check = finding.check;
    let figure = |number: Option<f64>| Cell::from(number.map(|number| round_to(number, check.places)));
    vec![
        site.rank.into(),
        stands::on_ranking_once(site, line),
        check.title.into(),
        if check.formula.is_empty() { Cell::Blank } else { Cell::from(working(finding).into_owned()) },
        figure(finding.value),
        figure(finding.limit),
        if finding.value.or(finding.limit).is_some() { check.unit.into() } else { Cell::Blank },
        figure(finding.margin()),
        outcome(finding.outcome).into(),
        finding.effect.word().into(),
        finding.code().unwrap_or_default().into(),
        match sentence::of_finding(finding) {
            text if text.is_empty() => Cell::Blank,
            text => Cell::Text(text),
        },
        check.measure.into(),
        check.clause.into(),
        check.edition.into(),
        check.source.into(),
        check.status.into(),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::fixture;

    #[test]
    fn one_row_a_finding_and_figures_rounded_to_their_places() {
        let fixture = fixture::Fixture::new(12);
        let run = fixture.run();
        let sheet = sheet(&run, Extent::of(&run));
        let columns = sheet.headings.len();
        let rows: Vec<_> = sheet.rows.collect();
        let findings: usize = run.portfolio.sites.iter().map(|site| site.judgement.findings.len()).sum();
        assert_eq!(rows.len(), findings);
        assert!(rows.iter().all(|row| row.len() == columns));
        let drop = rows.iter().find(|row| row[2].shown() == "Voltage drop").expect("the fixture has one");
        assert_eq!(drop[6].shown(), "V");
        assert_eq!(drop[9].shown(), "none");
    }

    #[test]
    fn what_has_to_be_measured_stands_beside_the_finding() {
        let mut fixture = fixture::Fixture::new(1);
        let finding = Finding::new("disconnection").at_most(0.9, 1.09);
        let wanted = finding.check.measure;
        fixture.portfolio.sites[0].judgement.findings = vec![finding];
        let run = fixture.run();
        let sheet = sheet(&run, Extent::of(&run));
        let column =
            sheet.headings.iter().position(|heading| heading.title == "To be measured on site").expect("a column");
        let rows: Vec<_> = sheet.rows.collect();
        assert!(!wanted.is_empty());
        assert_eq!(rows[0][column].shown(), wanted);
    }
}
