//! One site's calculation as a page to be printed, checked by hand and signed. It writes what `Calculation` holds.

use super::{Calculation, Line, parts, status};
use crate::report::page::{Look, Page, Span, span};
use crate::report::{Run, sentence};

/// Columns of the page's grid.
const COLUMNS: u16 = 28;
/// Sheets of paper that a site may take.
pub(super) const SHEETS: u16 = 2;
const LAST: u16 = COLUMNS - 1;
/// First and last column of what stands on a line: number, title, result, limit, margin, outcome, clause.
const NUMBER: (u16, u16) = (0, 0);
const TITLE: (u16, u16) = (1, 10);
const VALUE: (u16, u16) = (11, 13);
const LIMIT: (u16, u16) = (14, 16);
const MARGIN: (u16, u16) = (17, 19);
const OUTCOME: (u16, u16) = (20, 21);
const CLAUSE: (u16, u16) = (22, LAST);
/// The line below: formula in symbols, numbers put in, source.
const WORKING: (u16, u16) = (11, 21);
/// Heading of a labelled line, and its words.
const LABEL: (u16, u16) = (0, 3);
const WORDS: (u16, u16) = (4, LAST);
/// Last column of the left half, first of the right.
const LEFT: u16 = 13;
const RIGHT: u16 = 14;

fn at<'a>(place: (u16, u16), words: impl Into<String>, look: Look) -> Span<'a> {
    span(place.0, place.1, words.into(), look)
}

/// The page.
pub(super) fn page<'a>(run: &Run<'_>, calculation: &Calculation<'_>) -> Page<'a> {
    let mut page = Page::of_columns(COLUMNS);
    head(&mut page, calculation);
    headings(&mut page);
    for section in &calculation.sections {
        page.text(section.title, Look::Section);
        for line in &section.lines {
            put(&mut page, line);
        }
    }
    arrangement(&mut page, calculation);
    rests_on(&mut page, run, calculation);
    page.gap();
    page.beside(assumed(calculation), tests(calculation));
    measures(&mut page, calculation);
    signatures(&mut page);
    page.text(files(run), Look::Quiet);
    page.text("A desk-top screen: a qualified designer verifies the site before work.", Look::Caution);
    page
}

fn head(page: &mut Page<'_>, calculation: &Calculation<'_>) {
    let judgement = calculation.judgement;
    let brief = &judgement.brief;
    page.text(format!("{}  {}", brief.site_id, parts::place(brief)), Look::Title);
    page.text(parts::heading(judgement), Look::Strong);
    page.text(sentence::why(judgement), Look::Plain);
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
        at(CLAUSE, "Clause [source]; edition", Look::Head),
    ]);
}

fn put(page: &mut Page<'_>, line: &Line<'_>) {
    let check = line.finding.check;
    page.line(vec![
        span(NUMBER.0, NUMBER.1, line.number, Look::Plain),
        at(TITLE, check.title, Look::Strong),
        at(VALUE, line.value(), Look::Strong),
        at(LIMIT, line.limit(), Look::Plain),
        at(MARGIN, line.margin(), Look::Plain),
        at(OUTCOME, line.outcome(), Look::Strong),
        at(CLAUSE, line.clause(), Look::Plain),
    ]);
    let working = line.working();
    if !(working.is_empty() && check.expression.is_empty()) {
        page.line(vec![
            at(TITLE, check.expression, Look::Plain),
            at(WORKING, working, Look::Plain),
            at(CLAUSE, format!("{}; {}", check.edition, check.source), Look::Quiet),
        ]);
    }
    let words = line.words();
    if !words.is_empty() {
        page.line(vec![at((TITLE.0, LAST), format!("→ {words}"), Look::Plain)]);
    }
}

fn labelled(page: &mut Page<'_>, label: &str, words: impl Into<String>) {
    page.line(vec![at(LABEL, label, Look::Head), at(WORDS, words, Look::Plain)]);
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
        at((0, 0), "", Look::Head),
        at((1, 12), "Source", Look::Head),
        at((13, 19), "Edition", Look::Head),
        at((20, 23), "Status", Look::Head),
        at((24, LAST), "Lines", Look::Head),
    ]);
    for (number, source) in (1..).zip(&basis.sources) {
        page.line(vec![
            at((0, 0), format!("[{number}]"), Look::Plain),
            at((1, 12), source.source.as_ref(), Look::Plain),
            at((13, 19), source.edition, Look::Plain),
            at((20, 23), source.status.word, if source.status.confirm { Look::Strong } else { Look::Plain }),
            at((24, LAST), status::list(&source.lines), Look::Plain),
        ]);
    }
    let words = [basis.count(), basis.confirm_words(&run.rules.edition)];
    page.text(words.join(" ").trim_end().to_owned(), Look::Strong);
}

fn section<'a>(place: (u16, u16), title: impl Into<String>) -> Vec<Span<'a>> {
    vec![at(place, title, Look::Section)]
}

fn assumed<'a>(calculation: &Calculation<'_>) -> Vec<Vec<Span<'a>>> {
    let judgement = calculation.judgement;
    let place = (0, LEFT - 1);
    let mut lines = vec![section(place, "Assumed, not from the survey")];
    let assumed = parts::assumed(judgement);
    let none = assumed.is_empty().then(|| "Nothing.".to_owned());
    for words in assumed.into_iter().chain(none).chain(parts::questions(judgement)) {
        lines.push(vec![at(place, words, Look::Plain)]);
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
        lines.push(vec![
            at((RIGHT, LAST - 3), format!("{}: {}", test.test, test.clause), Look::Plain),
            at((LAST - 2, LAST), "", Look::Room),
        ]);
    }
    lines
}

fn measures(page: &mut Page<'_>, calculation: &Calculation<'_>) {
    if calculation.measures.is_empty() {
        return;
    }
    page.text("To be measured on site, before energising", Look::Section);
    for measure in &calculation.measures {
        page.line(vec![
            at((0, 1), status::list(&measure.lines), Look::Plain),
            at((2, LAST - 5), measure.words, Look::Plain),
            at((LAST - 4, LAST), "", Look::Room),
        ]);
    }
}

fn signatures(page: &mut Page<'_>) {
    page.text("Signatures", Look::Section);
    for who in ["Designed by", "Checked by", "Tests done by"] {
        page.line(vec![
            at((0, 3), who, Look::Plain),
            at((4, 11), "", Look::Room),
            at((12, 14), "signature", Look::Plain),
            at((15, 21), "", Look::Room),
            at((22, 23), "date", Look::Plain),
            at((24, LAST), "", Look::Room),
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
    use crate::report::page_writer::whole_height;

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
            assert!(whole_height(&page) < 2.0 * 760.0, "{} points", whole_height(&page));
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
