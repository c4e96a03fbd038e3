//! One site's whole calculation on the terminal, in the order in which a designer works. Every figure can be followed:
//! formula in symbols, numbers put in, result, limit, margin, clause and source. It writes what `calculation` holds.

use super::calculation::{Calculation, Line, parts, status};
use super::figures::{plain, pounds};
use super::materials::PriceIndex;
use super::{Run, sentence};
use crate::site::Verdict;
use crate::verdict::{Judgement, Swing, SwingEnd};

/// Columns of a line's title, result, limit, margin and outcome.
const TITLE_COLUMNS: usize = 44;
const FIGURE_COLUMNS: usize = 14;
const OUTCOME_COLUMNS: usize = 7;

/// The calculation of `judgement`, a site of `run`.
pub fn explain(run: &Run<'_>, judgement: &Judgement) -> String {
    let calculation = Calculation::of(judgement);
    let mut text = String::new();
    head(&mut text, judgement);
    for section in &calculation.sections {
        block(&mut text, section.title);
        for line in &section.lines {
            text.push_str(&line_text(line));
        }
    }
    if let Some(chosen) = &judgement.chosen {
        block(&mut text, "Arrangement");
        for (title, words) in
            parts::arrangement(chosen, judgement.supply_plan.as_deref()).into_iter().chain(parts::others(judgement))
        {
            text.push_str(&format!("  {title}: {words}\n"));
        }
    }
    estimate(&mut text, run, judgement);
    list(&mut text, "Ways out", &parts::ways_out(judgement));
    basis(&mut text, run, &calculation);
    for question in parts::questions(judgement) {
        text.push_str(&format!("\n{question}\n"));
    }
    list(&mut text, "What is open, and what it would change (the rest at its most likely value)", &swings(judgement));
    list(&mut text, "Assumed, not from your sheet", &parts::assumed(judgement));
    on_site(&mut text, &calculation);
    text.push_str("\nA desk-top screen: a qualified designer verifies the site before work.\n");
    text
}

fn block(text: &mut String, title: &str) {
    text.push_str(&format!("\n{title}\n"));
}

fn list(text: &mut String, title: &str, lines: &[String]) {
    if !lines.is_empty() {
        block(text, title);
        for line in lines {
            text.push_str(&format!("  {line}\n"));
        }
    }
}

fn head(text: &mut String, judgement: &Judgement) {
    let brief = &judgement.brief;
    let place = parts::place(brief);
    text.push_str(format!("{}  {place}    {}", brief.site_id, parts::heading(judgement)).trim_end());
    text.push_str(&format!("\n  {}\n", sentence::why_above_findings(judgement)));
    for line in parts::next(judgement) {
        text.push_str(&format!("  {line}\n"));
    }
    let odds = judgement.odds.map_or_else(String::new, |odds| {
        format!(
            "Odds once its unknowns are settled: ready {} %, marginal {} %, blocked {} %. ",
            plain(odds.ready * 100.0, 0),
            plain(odds.marginal * 100.0, 0),
            plain(odds.blocked * 100.0, 0)
        )
    });
    text.push_str(&format!("  {odds}Survey behind it: {}.\n", judgement.confidence.word()));
    text.push_str(&format!("  {}\n", parts::demand(judgement)));
}

/// A line for each open fact that moves the verdict or the cost, from its better to its worse end.
fn swings(judgement: &Judgement) -> Vec<String> {
    let end = |end: &SwingEnd| {
        let cost = end.cost.map_or_else(String::new, |cost| format!(", {}", pounds(cost)));
        format!("{}: {}{cost}, ready with {} %", end.said, end.verdict, plain(end.ready * 100.0, 0))
    };
    let line = |swing: &Swing| {
        let decides = if swing.decides() { "  (decides)" } else { "" };
        format!("{}  {}  ->  {}{decides}", swing.field, end(&swing.better), end(&swing.worse))
    };
    judgement.swings.iter().map(line).collect()
}

/// A check: its figures on one line, formula and numbers on the next, what it says on a third.
fn line_text(line: &Line<'_>) -> String {
    let check = line.finding.check;
    let figures = format!(
        "{:>3}  {}  {}  {}  {}  {}  {}",
        line.number,
        padded(check.title, TITLE_COLUMNS),
        padded(&line.value(), FIGURE_COLUMNS),
        padded(&line.limit(), FIGURE_COLUMNS),
        padded(&margin(line), FIGURE_COLUMNS + 4),
        padded(line.outcome(), OUTCOME_COLUMNS),
        line.clause()
    );
    let mut text = format!("{}\n", figures.trim_end());
    let working = line.working();
    for words in [check.expression, &working] {
        if !words.is_empty() {
            text.push_str(&format!("     {words}\n"));
        }
    }
    let words = line.words();
    if !words.is_empty() {
        text.push_str(&format!("     → {words}\n"));
    }
    text
}

fn margin(line: &Line<'_>) -> String {
    match line.margin() {
        margin if margin.is_empty() => margin,
        margin => format!("margin {margin}"),
    }
}

/// The text filled up with blanks to a width counted in characters.
fn padded(text: &str, width: usize) -> String {
    let mut padded = text.to_owned();
    padded.extend(std::iter::repeat_n(' ', width.saturating_sub(text.chars().count())));
    padded
}

fn estimate(text: &mut String, run: &Run<'_>, judgement: &Judgement) {
    let Some(estimate) = judgement.estimate.as_ref().filter(|_| judgement.verdict != Verdict::Blocked) else { return };
    let prices = PriceIndex::of(run.prices);
    let items = estimate.bill.iter().map(|line| line.item).chain(estimate.tasks.iter().map(|line| line.task));
    let width = items.map(|item| prices.words(item).0.chars().count()).max().unwrap_or(0);
    block(text, "Materials and bought services (likely, before VAT)");
    for line in &estimate.bill {
        let (description, unit) = prices.words(line.item);
        let quantity = format!("{} {unit}", plain(line.quantity.likely, 1));
        text.push_str(&format!(
            "  {}  {:>12}  {:>9}  {}\n",
            padded(description, width),
            quantity.trim_end(),
            pounds(line.cost.likely),
            line.because
        ));
    }
    block(text, "Labour (likely)");
    for line in &estimate.tasks {
        let (description, _) = prices.words(line.task);
        text.push_str(&format!(
            "  {}  {:>10} h  {:>9}  {}\n",
            padded(description, width),
            plain(line.hours.likely, 2),
            pounds(line.cost.likely),
            line.because
        ));
    }
    if let Some(cost) = parts::cost(judgement) {
        text.push_str(&format!("  In all {cost}\n"));
    }
}

/// Sources, each once, and the count of figures by status.
fn basis(text: &mut String, run: &Run<'_>, calculation: &Calculation<'_>) {
    let basis = &calculation.basis;
    block(text, "What the lines rest on");
    for (number, source) in (1..).zip(&basis.sources) {
        text.push_str(&format!(
            "  [{number}] {}; {}: {}; line{} {}\n",
            source.source,
            source.edition,
            source.status.word,
            if source.lines.len() == 1 { "" } else { "s" },
            status::list(&source.lines)
        ));
    }
    for words in [basis.count(), basis.confirm_words(&run.rules.edition)] {
        if !words.is_empty() {
            text.push_str(&format!("  {words}\n"));
        }
    }
}

/// What the findings want measured, and the tests that the arrangement calls for.
fn on_site(text: &mut String, calculation: &Calculation<'_>) {
    if !calculation.measures.is_empty() {
        block(text, "To be measured on site, before energising (line)");
        for measure in &calculation.measures {
            text.push_str(&format!("  [ ] {} ({})\n", measure.words, status::list(&measure.lines)));
        }
    }
    if !calculation.tests.is_empty() {
        block(text, &format!("Tests on site, before energising (clauses {})", calculation.status_of_tests()));
        for test in &calculation.tests {
            text.push_str(&format!("  [ ] {}  {}\n", padded(test.test, 74), test.clause));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::fixture::Fixture;

    #[test]
    fn a_ready_site_is_told_from_demand_to_tests() {
        let fixture = Fixture::new(24);
        let run = fixture.run();
        let ranked = run.portfolio.sites.iter().find(|site| site.judgement.verdict == Verdict::Ready).expect("one");
        let text = explain(&run, &ranked.judgement);
        let at = |words: &str| text.find(words).unwrap_or_else(|| panic!("no {words} in\n{text}"));
        let order = [
            "READY at",
            "Existing demand",
            "Voltage drop",
            "Arrangement",
            "Materials",
            "Labour",
            "What the lines rest on",
            "figures: 4 from print",
            "Assumed, not from your sheet",
            "Tests on site, before energising",
            "A desk-top screen",
        ];
        assert!(order.windows(2).all(|pair| at(pair[0]) < at(pair[1])), "{text}");
        assert!(text.contains("margin "), "{text}");
        assert!(!text.contains("{0}"), "{text}");
    }

    #[test]
    fn every_site_can_be_told() {
        let fixture = Fixture::new(24);
        let run = fixture.run();
        for ranked in &run.portfolio.sites {
            let text = explain(&run, &ranked.judgement);
            assert!(text.starts_with(&ranked.judgement.brief.site_id));
            assert_eq!(text.contains("Tests on site, before energising"), ranked.judgement.chosen.is_some());
        }
    }

    #[test]
    fn what_must_be_measured_is_told_with_the_line_that_wants_it() {
        let fixture = Fixture::new(1);
        let run = fixture.run();
        let mut judgement = run.portfolio.sites[0].judgement.clone();
        judgement.findings = vec![crate::finding::Finding::new("disconnection").at_most(0.9, 1.09)];
        let text = explain(&run, &judgement);
        let check = judgement.findings[0].check;
        assert!(text.contains(check.expression) && text.contains(&format!("[ ] {} (1)", check.measure)), "{text}");
    }
}
