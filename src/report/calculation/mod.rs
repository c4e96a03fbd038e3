//! One site's calculation as data, in the order in which a designer works: sections of lines, what they rest on, what
//! has to be measured. Terminal and paper are written from it. It finds nothing and knows no spreadsheet file.

pub(super) mod book;
mod on_site;
pub(super) mod parts;
mod sections;
mod sheet;
pub(super) mod status;

use on_site::Measure;
pub(super) use on_site::SiteTest;
use status::Basis;

use super::figures::plain;
use super::sentence;
use crate::finding::{Effect, Finding, Outcome};
use crate::quantity::round_to;
use crate::verdict::Judgement;
use std::borrow::Cow;

/// Mark of a figure that rests on an assumed value.
pub(super) const ASSUMED: &str = "~";

/// Everything that is reckoned for one site.
pub(super) struct Calculation<'a> {
    /// What is said of the site.
    pub(super) judgement: &'a Judgement,
    /// Checks by subject, in working order.
    pub(super) sections: Vec<Section<'a>>,
    /// What the lines rest on, each source once.
    pub(super) basis: Basis,
    /// What the findings at hand want measured before energising.
    pub(super) measures: Vec<Measure>,
    /// Tests that the arrangement calls for; none where nothing was designed.
    pub(super) tests: Vec<&'static SiteTest>,
}

/// The checks of one subject.
pub(super) struct Section<'a> {
    /// Subject.
    pub(super) title: &'static str,
    /// Its checks.
    pub(super) lines: Vec<Line<'a>>,
}

/// One check with its figures.
pub(super) struct Line<'a> {
    /// Number within the site, from 1.
    pub(super) number: u32,
    /// The finding.
    pub(super) finding: &'a Finding,
    /// Whether the figure found rests on an assumed value.
    pub(super) value_assumed: bool,
    /// Whether its limit does.
    pub(super) limit_assumed: bool,
    /// Number of its source in the table of sources, from 1.
    pub(super) source: u32,
}

impl<'a> Calculation<'a> {
    /// The calculation of a judged site.
    pub(super) fn of(judgement: &'a Judgement) -> Self {
        let mut sections: Vec<Section<'a>> = Vec::new();
        let mut basis = Basis::default();
        let runs = judgement.chosen.as_ref().map(|chosen| chosen.runs.as_slice()).unwrap_or_default();
        for (number, (place, finding)) in (1..).zip(sections::in_working_order(&judgement.findings)) {
            let is_assumed = |fields: &[&str]| judgement.assumed.iter().any(|assumed| fields.contains(&assumed.field));
            let line = Line {
                number,
                finding,
                value_assumed: is_assumed(&place.value_fields),
                limit_assumed: is_assumed(&place.limit_fields),
                source: basis.cite(number, finding, runs),
            };
            match sections.last_mut() {
                Some(section) if section.title == place.section => section.lines.push(line),
                _ => sections.push(Section { title: place.section, lines: vec![line] }),
            }
        }
        let lines = || sections.iter().flat_map(|section| &section.lines);
        let measures = on_site::measures(lines().map(|line| (line.number, line.finding.check.measure)));
        let tests = judgement.chosen.as_ref().map(on_site::tests).unwrap_or_default();
        Self { judgement, sections, basis, measures, tests }
    }

    /// Numbers the sources anew: each line cites `numbers` at the place of its present source.
    pub(super) fn cite_as(&mut self, numbers: &[u32]) {
        for line in self.sections.iter_mut().flat_map(|section| &mut section.lines) {
            let at = usize::try_from(line.source).ok().and_then(|number| number.checked_sub(1));
            if let Some(number) = at.and_then(|at| numbers.get(at)) {
                line.source = *number;
            }
        }
    }

    /// How well the clauses of the tests are known: "memory, common practice".
    pub(super) fn status_of_tests(&self) -> String {
        let mut told: Vec<&str> = Vec::new();
        for test in &self.tests {
            if !told.contains(&test.status) {
                told.push(test.status);
            }
        }
        told.join(", ")
    }

    /// Every line in order.
    #[cfg(test)]
    pub(super) fn lines(&self) -> impl Iterator<Item = &Line<'a>> {
        self.sections.iter().flat_map(|section| &section.lines)
    }
}

impl Line<'_> {
    /// The numbers put into the formula; where the check has none, what the finding is about.
    pub(super) fn working(&self) -> Cow<'static, str> {
        working(self.finding)
    }

    /// The figure found with its unit: "~10.1 V".
    pub(super) fn value(&self) -> String {
        self.finding.value.map_or_else(String::new, |value| self.shown(value, self.value_assumed))
    }

    /// The limit with its direction and unit: "≤ 11.5 V".
    pub(super) fn limit(&self) -> String {
        let sign = if self.finding.check.limit_is_least { "≥" } else { "≤" };
        let limit = self.finding.limit.filter(|limit| limit.is_finite());
        limit.map_or_else(String::new, |limit| format!("{sign} {}", self.shown(limit, self.limit_assumed)))
    }

    /// The room left, with its unit.
    pub(super) fn margin(&self) -> String {
        let places = self.finding.check.places;
        let margin = self.finding.margin().filter(|margin| margin.is_finite());
        margin.map_or_else(String::new, |margin| self.shown(round_to(margin, places), false))
    }

    fn shown(&self, number: f64, assumed: bool) -> String {
        let check = self.finding.check;
        let mark = if assumed { ASSUMED } else { "" };
        let shown = plain(number, check.places);
        // Money is the one unit that stands before its figure.
        match (check.unit, shown.strip_prefix('-')) {
            ("£", Some(owed)) => format!("{mark}-£{owed}"),
            ("£", None) => format!("{mark}£{shown}"),
            ("", _) => format!("{mark}{shown}"),
            (unit, _) => format!("{mark}{shown} {unit}"),
        }
    }

    /// How it came out, in a word that reads in black and white: a figure outside its limit is not met; what fails
    /// without one, or within it, says what it does to the verdict.
    pub(super) fn outcome(&self) -> &'static str {
        let outside = self.finding.margin().is_some_and(|margin| margin < 0.0);
        match self.finding.outcome {
            Outcome::Pass => "pass",
            Outcome::Fail if outside => "not met",
            Outcome::Fail => self.finding.effect.word(),
            Outcome::Unknown => "open",
            Outcome::Noted => "noted",
        }
    }

    /// The clause with the number of the source: "App 4 6.4 [3]".
    pub(super) fn clause(&self) -> String {
        format!("{} [{}]", self.finding.check.clause, self.source).trim_start().to_owned()
    }

    /// What it does to the verdict, in a sentence with the reason's code; empty where it gives no reason.
    pub(super) fn words(&self) -> String {
        let words = sentence::of_finding(self.finding);
        if words.is_empty() {
            return String::new();
        }
        let effect = match self.finding.effect {
            Effect::None => String::new(),
            effect => format!("{}: ", effect.word()),
        };
        format!("{effect}{words} ({})", self.finding.code().unwrap_or_default())
    }
}

/// Whether a finding shows a figure: found, as a limit or put into a formula.
pub(super) fn has_figure(finding: &Finding) -> bool {
    let in_formula = finding.check.formula.contains("{0}") && finding.terms.iter().any(|term| *term != 0.0);
    finding.value.or(finding.limit).is_some() || in_formula
}

/// The formula of a finding with its numbers put in; where there is no formula, or no number for it, what the finding is
/// about. A number that is not there is never shown as nought.
pub(super) fn working(finding: &Finding) -> Cow<'static, str> {
    let formula = finding.check.formula;
    let asks_for_numbers = formula.contains("{0}") || formula.contains("{value}") || formula.contains("{limit}");
    if formula.is_empty() || (asks_for_numbers && !has_figure(finding)) {
        Cow::Borrowed(finding.subject)
    } else {
        Cow::Owned(finding.working())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::fixture::Fixture;

    #[test]
    fn every_finding_stands_on_one_line_and_cites_a_source() {
        let fixture = Fixture::new(24);
        let run = fixture.run();
        for ranked in &run.portfolio.sites {
            let calculation = Calculation::of(&ranked.judgement);
            assert_eq!(calculation.lines().count(), ranked.judgement.findings.len());
            for (line, number) in calculation.lines().zip(1..) {
                assert_eq!(line.number, number);
                let source = &calculation.basis.sources[line.source as usize - 1];
                assert!(source.lines.contains(&number));
            }
            let mut titles: Vec<_> = calculation.sections.iter().map(|section| section.title).collect();
            titles.sort();
            titles.dedup();
            assert_eq!(titles.len(), calculation.sections.len(), "a section is told twice");
        }
    }

    #[test]
    fn a_number_that_is_not_there_is_not_shown() {
        let bare = Finding::new("charging-current").because("over-32-a-a-phase");
        assert!(bare.check.formula.contains("{0}"));
        assert_eq!((working(&bare).as_ref(), has_figure(&bare)), ("", false));
        let with = Finding::new("charging-current").at_least(16.0, 32.0).terms(&[16.0, 1.0, 32.0, 1.0]);
        assert!(working(&with).contains("32 A") && has_figure(&with));
        let of_subject = Finding::new("residual-current").subject("30 mA type A");
        assert!(working(&of_subject).contains("30 mA type A") && !has_figure(&of_subject));
    }

    #[test]
    fn within_its_limit_a_line_says_what_it_does_and_outside_that_it_is_not_met() {
        let fixture = Fixture::new(1);
        let mut judgement = fixture.portfolio.sites[0].judgement.clone();
        judgement.findings = vec![
            Finding::new("limiter-setpoint").because("limiter-needed").at_most(45.0, 54.0),
            Finding::new("limiter-energy").at_least(5.0, 7.3),
            Finding::new("parking").because("no-parking"),
        ];
        let calculation = Calculation::of(&judgement);
        let outcomes: Vec<_> = calculation.lines().map(Line::outcome).collect();
        assert_eq!(outcomes, ["holds", "not met", "stops"]);
    }

    #[test]
    fn a_figure_that_rests_on_an_assumed_value_is_marked() {
        let fixture = Fixture::new(1);
        let mut judgement = fixture.portfolio.sites[0].judgement.clone();
        judgement.findings = vec![
            Finding::new("voltage-drop").at_most(11.126, 11.5),
            Finding::new("breaking-capacity").at_least(16.0, 1.6),
        ];
        let assumed = |field| crate::verdict::Assumed { field, value: "15 m".into(), source: "memory" };
        judgement.assumed = vec![assumed("parking_distance_m")];
        let shown = |judgement: &Judgement| -> Vec<(String, String)> {
            Calculation::of(judgement).lines().map(|line| (line.value(), line.limit())).collect()
        };
        let pair = |value: &str, limit: &str| (value.to_owned(), limit.to_owned());
        assert_eq!(shown(&judgement), [pair("~11.13 V", "≤ 11.5 V"), pair("16 kA", "≥ 1.6 kA")]);
        judgement.assumed = vec![assumed("fault_level_ka")];
        assert_eq!(shown(&judgement), [pair("11.13 V", "≤ 11.5 V"), pair("16 kA", "≥ ~1.6 kA")]);
    }
}
