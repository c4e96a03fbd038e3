//! One site's calculation as a page to be printed, checked by hand and signed. It writes what `Calculation` holds. No
//! letters are smaller than the usual 9 points, so that the page may be wider than its paper, shrink by a tenth and still
//! be read.

use super::status::Register;
use super::{Calculation, Line, has_figure, parts, status};
use crate::finding::Effect;
use crate::report::letters::{TEXT_PT, lines};
use crate::report::page::{Look, Page, Span, span};
use crate::report::page_writer::{Paper, on_two_sheets};
use crate::report::{Run, sentence};

/// Columns of the page's grid.
const COLUMNS: u16 = 28;
/// Width of the grid, screen pixels: the paper takes it at nine tenths, with 8 point letters.
const WIDTH_PIXELS: f64 = 728.0;
/// Height of a line, points: close, as on a calculation sheet.
const LINE_PT: f64 = 11.25;
const LAST: u16 = COLUMNS - 1;
/// First and last column of what stands on a line: number, title, result, limit, margin, outcome, clause.
const NUMBER: (u16, u16) = (0, 0);
const TITLE: (u16, u16) = (1, 10);
const VALUE: (u16, u16) = (11, 13);
const LIMIT: (u16, u16) = (14, 16);
const MARGIN: (u16, u16) = (17, 19);
const OUTCOME: (u16, u16) = (20, 21);
const CLAUSE: (u16, u16) = (22, LAST);
/// The line below: formula in symbols under the title, then the numbers put in. They begin under the result where both
/// take no more lines so, else further to the left.
const WORKING_BEGINS: [u16; 4] = [VALUE.0, 9, 7, 5];
/// Heading of a labelled line, and its words.
const LABEL: (u16, u16) = (0, 3);
const WORDS: (u16, u16) = (4, LAST);
/// Name of the sheet of sources.
pub(super) const SOURCES_SHEET: &str = "Sources";
/// The table of sources.
const SOURCE_NUMBER: (u16, u16) = (0, 1);
const SOURCE: (u16, u16) = (2, 9);
const EDITION: (u16, u16) = (10, 15);
const STATUS: (u16, u16) = (16, 19);
const CHECKS: (u16, u16) = (20, LAST);
/// Last column of the left half, first of the right.
const LEFT: u16 = 13;
const RIGHT: u16 = 14;

fn at<'a>(place: (u16, u16), words: impl Into<String>, look: Look) -> Span<'a> {
    span(place.0, place.1, words.into(), look)
}

/// Least percent at which 9 point letters are printed with 8 points.
const LEGIBLE_PERCENT: u16 = 89;

/// The page. Where all of it would be too small to read, remarks on lines whose figures say the same are left out; those
/// that concern safety stay.
pub(super) fn page<'a>(run: &Run<'_>, calculation: &Calculation<'_>) -> Page<'a> {
    let whole = page_with(run, calculation, true);
    match on_two_sheets(&whole) {
        Paper::Scaled { percent: LEGIBLE_PERCENT.., .. } => whole,
        _ => page_with(run, calculation, false),
    }
}

fn page_with<'a>(run: &Run<'_>, calculation: &Calculation<'_>, remarks: bool) -> Page<'a> {
    let mut page = Page { width_pixels: WIDTH_PIXELS, line_pt: LINE_PT, ..Page::of_columns(COLUMNS) };
    head(&mut page, calculation);
    headings(&mut page);
    for section in &calculation.sections {
        page.may_break();
        page.text(section.title, Look::Section);
        for (index, line) in section.lines.iter().enumerate() {
            if index > 0 {
                page.may_break();
            }
            put(&mut page, line, remarks);
        }
    }
    page.may_break();
    arrangement(&mut page, calculation);
    rests_on(&mut page, run, calculation);
    assumed(&mut page, calculation);
    on_site(&mut page, calculation);
    signatures(&mut page);
    page.text(files(run), Look::Subtitle);
    // The later the better, but for what was chosen: that begins a sheet of its own where it can.
    page.breaks.reverse();
    page
}

fn head(page: &mut Page<'_>, calculation: &Calculation<'_>) {
    let judgement = calculation.judgement;
    let brief = &judgement.brief;
    page.text(format!("{}  {}", brief.site_id, parts::place(brief)), Look::Title);
    page.text(parts::heading(judgement), Look::Strong);
    page.text(sentence::why_above_findings(judgement), Look::Plain);
    page.text(parts::next(judgement).join(" "), Look::Plain);
    page.text(
        format!(
            "{} Survey behind it: {}. ~ marks a figure that rests on an assumed value.",
            parts::demand(judgement),
            judgement.confidence.word()
        ),
        Look::Plain,
    );
    page.gap();
}

fn headings(page: &mut Page<'_>) {
    page.line(vec![
        at(NUMBER, "", Look::Head),
        at(TITLE, "Check; formula in symbols", Look::Head),
        at(VALUE, "Result", Look::Head),
        at(LIMIT, "Limit", Look::Head),
        at(MARGIN, "Margin", Look::Head),
        at(OUTCOME, "", Look::Head),
        at(CLAUSE, "Clause [source]", Look::Head),
    ]);
}

fn put(page: &mut Page<'_>, line: &Line<'_>, remarks: bool) {
    let check = line.finding.check;
    page.line(vec![
        at(NUMBER, line.number.to_string(), Look::Plain),
        at(TITLE, check.title, Look::Strong),
        at(VALUE, line.value(), Look::Strong),
        at(LIMIT, line.limit(), Look::Plain),
        at(MARGIN, line.margin(), Look::Plain),
        at(OUTCOME, line.outcome(), Look::Strong),
        at(CLAUSE, line.clause(), Look::Plain),
    ]);
    let working = line.working();
    if check.expression.is_empty() && !working.is_empty() {
        page.line(vec![at((TITLE.0, LAST), working, Look::Plain)]);
    } else if !check.expression.is_empty() {
        let begins = working_begins(check.expression, &working);
        page.line(vec![
            at((TITLE.0, begins - 1), check.expression, Look::Plain),
            at((begins, LAST), working, Look::Plain),
        ]);
    }
    let words = line.words();
    // That all is well the figures say already.
    let safety = line.finding.reason.is_some_and(|reason| reason.safety);
    let least = if remarks || safety { Effect::Note } else { Effect::Step };
    if !words.is_empty() && (line.finding.effect >= least || !has_figure(line.finding)) {
        page.line(vec![at((TITLE.0, LAST), format!("→ {words}"), Look::Plain)]);
    }
}

/// The column in which the numbers begin beside their formula: the first of the choice with the fewest lines.
fn working_begins(expression: &str, working: &str) -> u16 {
    let wide = |columns: u16| f64::from(columns) * WIDTH_PIXELS / f64::from(COLUMNS);
    let taken = |begins: u16| {
        let left = lines(expression, TEXT_PT, wide(begins - TITLE.0));
        left.max(lines(working, TEXT_PT, wide(LAST + 1 - begins)))
    };
    WORKING_BEGINS.into_iter().min_by_key(|begins| taken(*begins)).unwrap_or(VALUE.0)
}

fn labelled(page: &mut Page<'_>, label: &str, words: impl Into<String>) {
    page.line(vec![at(LABEL, label, Look::Subtitle), at(WORDS, words, Look::Plain)]);
}

fn arrangement(page: &mut Page<'_>, calculation: &Calculation<'_>) {
    let judgement = calculation.judgement;
    let Some(chosen) = &judgement.chosen else { return };
    page.text("Arrangement", Look::Section);
    for (label, words) in
        parts::arrangement(chosen, judgement.supply_plan.as_deref()).into_iter().chain(parts::others(judgement))
    {
        labelled(page, label, words);
    }
    if let (Some(materials), Some(cost)) = (parts::materials(judgement), parts::cost(judgement)) {
        labelled(page, "Cost", format!("{materials}; in all {cost}"));
    }
}

/// The count by status, what has to be confirmed, and which lines rest on what.
fn rests_on(page: &mut Page<'_>, run: &Run<'_>, calculation: &Calculation<'_>) {
    let basis = &calculation.basis;
    page.text("What the lines rest on", Look::Section);
    let words = [basis.count(), basis.confirm_words(&run.rules.edition)];
    page.text(words.join(" ").trim_end().to_owned(), Look::Strong);
    page.text(format!("Lines by status: {}.", basis.lines_by_status()), Look::Plain);
    page.text(format!("Lines by edition: {}. Sources: sheet {SOURCES_SHEET}.", basis.lines_by_edition()), Look::Plain);
}

/// The page of sources: each once, with edition, status and the checks that rest on it.
pub(super) fn sources_page<'a>(run: &Run<'_>, register: &Register) -> Page<'a> {
    let mut page = Page { width_pixels: WIDTH_PIXELS, line_pt: LINE_PT, ..Page::of_columns(COLUMNS) };
    page.text("Sources of the calculations", Look::Title);
    page.text(
        format!(
            "A line of a calculation cites its source by the number in brackets. What is from memory or of status not \
             known is to be confirmed against {}.",
            run.rules.edition
        ),
        Look::Plain,
    );
    page.gap();
    page.line(vec![
        at(SOURCE_NUMBER, "", Look::Head),
        at(SOURCE, "Source", Look::Head),
        at(EDITION, "Edition", Look::Head),
        at(STATUS, "Status", Look::Head),
        at(CHECKS, "Checks that rest on it", Look::Head),
    ]);
    for (number, source) in (1..).zip(&register.sources) {
        page.line(vec![
            at(SOURCE_NUMBER, format!("[{number}]"), Look::Plain),
            at(SOURCE, source.source.as_ref(), Look::Plain),
            at(EDITION, source.edition, Look::Plain),
            at(STATUS, source.status.word, if source.status.confirm { Look::Strong } else { Look::Plain }),
            at(CHECKS, source.checks.join("; "), Look::Plain),
        ]);
    }
    page
}

/// Assumed values, half of them on either side, and the questions that would settle most.
fn assumed(page: &mut Page<'_>, calculation: &Calculation<'_>) {
    page.text("Assumed, not from the survey", Look::Section);
    let mut left = parts::assumed(calculation.judgement);
    if left.is_empty() {
        left.push("Nothing.".to_owned());
    }
    let right = left.split_off(left.len().div_ceil(2));
    page.line(vec![
        at((0, LEFT), list(left.into_iter()), Look::Plain),
        at((RIGHT, LAST), list(right.into_iter()), Look::Plain),
    ]);
    for question in parts::questions(calculation.judgement) {
        page.text(question, Look::Plain);
    }
}

/// What the findings want measured, with the lines that want it, beside the tests; each a cell of many lines, so that
/// neither column waits for the other.
fn on_site(page: &mut Page<'_>, calculation: &Calculation<'_>) {
    let boxed = |words: &str, behind: &str| format!("☐ {words} ({behind})");
    let measures = calculation.measures.iter().map(|measure| boxed(measure.words, &status::list(&measure.lines)));
    let tests = calculation.tests.iter().map(|test| boxed(test.test, test.clause));
    let (left, right) = (list(measures), list(tests));
    if left.is_empty() && right.is_empty() {
        return;
    }
    let tests_title = if right.is_empty() {
        String::new()
    } else {
        format!("Tests before energising (clauses {})", calculation.status_of_tests())
    };
    page.line(vec![
        at((0, LEFT), "To be measured before energising (lines)", Look::Section),
        at((RIGHT, LAST), tests_title, Look::Section),
    ]);
    page.line(vec![at((0, LEFT), left, Look::Plain), at((RIGHT, LAST), right, Look::Plain)]);
}

fn list(words: impl Iterator<Item = String>) -> String {
    words.collect::<Vec<_>>().join("\n")
}

fn signatures(page: &mut Page<'_>) {
    page.text("Signatures", Look::Section);
    for who in ["Designed by", "Checked by", "Tests done by"] {
        page.line(vec![
            at((0, 3), who, Look::Plain),
            at((4, 11), "", Look::Sign),
            at((12, 14), "signature", Look::Plain),
            at((15, 21), "", Look::Sign),
            at((22, 23), "date", Look::Plain),
            at((24, LAST), "", Look::Sign),
        ]);
    }
    page.gap();
}

/// The files that the calculation was made from.
fn files(run: &Run<'_>) -> String {
    let short = |digest: &str| digest.chars().take(12).collect::<String>();
    let inputs = run.inputs;
    format!(
        "Spreadsheet {} ({}), rules {} ({}), price book {} ({}), in brackets the first figures of each SHA-256; stance {}; \
         edition in force {}; Baywright {}.",
        inputs.portfolio.name,
        short(&inputs.portfolio.sha256),
        inputs.rules.name,
        short(&inputs.rules.sha256),
        inputs.price_book.name,
        short(&inputs.price_book.sha256),
        run.stance,
        run.rules.edition,
        run.version
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::fixture::Fixture;

    #[test]
    fn every_line_keeps_within_the_grid_and_spans_do_not_overlap() {
        let fixture = Fixture::new(24);
        let run = fixture.run();
        for ranked in &run.portfolio.sites {
            for line in page(&run, &Calculation::of(&ranked.judgement)).lines {
                assert!(line.windows(2).all(|pair| pair[0].last < pair[1].first), "{line:?}");
                assert!(line.iter().all(|span| span.first <= span.last && span.last <= LAST), "{line:?}");
            }
        }
    }

    #[test]
    fn a_site_fits_its_paper_and_has_room_for_three_signatures() {
        let fixture = Fixture::new(24);
        let run = fixture.run();
        for ranked in &run.portfolio.sites {
            let page = page(&run, &Calculation::of(&ranked.judgement));
            // Letters of 9 points stay legible at nine tenths.
            let paper = on_two_sheets(&page);
            assert!(matches!(paper, Paper::Scaled { percent: 89.., .. }), "{paper:?}");
            let all: Vec<String> = page.lines.iter().flatten().map(|span| span.cell.shown()).collect();
            for words in ["Designed by", "Checked by", "Tests done by"] {
                assert!(all.iter().any(|cell| cell == words), "{words}");
            }
            for finding in &ranked.judgement.findings {
                assert!(all.iter().any(|cell| cell == finding.check.title), "{}", finding.check.title);
            }
        }
    }
}
