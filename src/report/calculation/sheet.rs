//! One site's calculation as a page to be printed, checked by hand and signed. It writes what `Calculation` holds. No
//! letters are smaller than the usual 9 points, so that the page may be wider than its paper, shrink by a tenth and still
//! be read.

use super::{Calculation, Line, has_figure, parts, status};
use crate::finding::Effect;
use crate::report::page::{Look, Page, Span, span};
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
/// The line below: formula in symbols under the title, then the numbers put in.
const WORKING: (u16, u16) = (11, LAST);
/// Heading of a labelled line, and its words.
const LABEL: (u16, u16) = (0, 3);
const WORDS: (u16, u16) = (4, LAST);
/// The table of sources.
const STATUS: (u16, u16) = (0, 3);
const EDITION: (u16, u16) = (4, 10);
const SOURCES: (u16, u16) = (11, LAST);
/// Last column of the left half, first of the right.
const LEFT: u16 = 13;
const RIGHT: u16 = 14;

fn at<'a>(place: (u16, u16), words: impl Into<String>, look: Look) -> Span<'a> {
    span(place.0, place.1, words.into(), look)
}

/// The page.
pub(super) fn page<'a>(run: &Run<'_>, calculation: &Calculation<'_>) -> Page<'a> {
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
            put(&mut page, line);
        }
    }
    page.may_break();
    arrangement(&mut page, calculation);
    rests_on(&mut page, run, calculation);
    assumed(&mut page, calculation);
    page.beside(measures(calculation), tests(calculation));
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
        at(CLAUSE, "Clause [source, edition]", Look::Head),
    ]);
}

fn put(page: &mut Page<'_>, line: &Line<'_>) {
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
        page.line(vec![at(TITLE, check.expression, Look::Plain), at(WORKING, working, Look::Plain)]);
    }
    let words = line.words();
    // That all is well the figures say already.
    if !words.is_empty() && (line.finding.effect != Effect::None || !has_figure(line.finding)) {
        page.line(vec![at((TITLE.0, LAST), format!("→ {words}"), Look::Plain)]);
    }
}

fn labelled(page: &mut Page<'_>, label: &str, words: impl Into<String>) {
    page.line(vec![at(LABEL, label, Look::Subtitle), at(WORDS, words, Look::Plain)]);
}

fn arrangement(page: &mut Page<'_>, calculation: &Calculation<'_>) {
    let judgement = calculation.judgement;
    let Some(chosen) = &judgement.chosen else { return };
    page.text("Arrangement", Look::Section);
    for (label, words) in parts::arrangement(chosen).into_iter().chain(parts::others(judgement)) {
        labelled(page, label, words);
    }
    if let (Some(materials), Some(cost)) = (parts::materials(judgement), parts::cost(judgement)) {
        labelled(page, "Cost", format!("{materials}; in all {cost}"));
    }
}

/// Each source once, and the count by status.
fn rests_on(page: &mut Page<'_>, run: &Run<'_>, calculation: &Calculation<'_>) {
    let basis = &calculation.basis;
    page.text("What the lines rest on", Look::Section);
    page.line(vec![
        at(STATUS, "Status", Look::Head),
        at(EDITION, "Edition", Look::Head),
        at(SOURCES, "Source (lines that use it)", Look::Head),
    ]);
    for group in basis.by_status() {
        let sources: Vec<String> = group
            .iter()
            .map(|(number, source)| format!("[{number}] {} ({})", source.source, status::list(&source.lines)))
            .collect();
        let Some((_, first)) = group.first() else { continue };
        page.line(vec![
            at(STATUS, first.status.word, if first.status.confirm { Look::Strong } else { Look::Plain }),
            at(EDITION, first.edition, Look::Plain),
            at(SOURCES, sources.join("; "), Look::Plain),
        ]);
    }
    let words = [basis.count(), basis.confirm_words(&run.rules.edition)];
    page.text(words.join(" ").trim_end().to_owned(), Look::Strong);
}

fn section<'a>(place: (u16, u16), title: impl Into<String>) -> Vec<Span<'a>> {
    vec![at(place, title, Look::Section)]
}

/// Assumed values, half of them on either side, and the questions that would settle most.
fn assumed(page: &mut Page<'_>, calculation: &Calculation<'_>) {
    page.text("Assumed, not from the survey", Look::Section);
    let mut left = parts::assumed(calculation.judgement);
    if left.is_empty() {
        left.push("Nothing.".to_owned());
    }
    let right = left.split_off(left.len().div_ceil(2));
    let column = |place, list: Vec<String>| list.into_iter().map(|words| vec![at(place, words, Look::Plain)]).collect();
    page.beside(column((0, LEFT), left), column((RIGHT, LAST), right));
    for question in parts::questions(calculation.judgement) {
        page.text(question, Look::Plain);
    }
}

/// What the findings want measured, with room for the reading and the lines that want it.
fn measures<'a>(calculation: &Calculation<'_>) -> Vec<Vec<Span<'a>>> {
    if calculation.measures.is_empty() {
        return Vec::new();
    }
    let mut lines = vec![section((0, LEFT - 1), "To be measured before energising (lines)")];
    for measure in &calculation.measures {
        let words = format!("{} ({})", measure.words, status::list(&measure.lines));
        lines.push(vec![at((0, LEFT - 3), words, Look::Plain), at((LEFT - 2, LEFT - 1), "", Look::Room)]);
    }
    lines
}

fn tests<'a>(calculation: &Calculation<'_>) -> Vec<Vec<Span<'a>>> {
    if calculation.tests.is_empty() {
        return Vec::new();
    }
    let title = format!("Tests before energising (clauses {})", calculation.status_of_tests());
    let mut lines = vec![section((RIGHT, LAST), title)];
    for test in &calculation.tests {
        lines.push(vec![at((RIGHT, LAST), format!("☐ {} ({})", test.test, test.clause), Look::Plain)]);
    }
    lines
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
    use crate::report::page_writer::{Paper, on_two_sheets};

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
