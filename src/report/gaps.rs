//! Sheet Survey gaps: which answers to chase over the portfolio, in the order of value, then the questions of each site;
//! and the same questions as a table for letters, a line a site. What an answer is worth it does not know.

use super::Run;
use super::extent::Extent;
use super::flat::guarded;
use super::grid::{Cell, Form, Heading, Paper, Row, Rows, Sheet, heading, names};
use super::stands;
use crate::portfolio::{AskSum, Gaps, SiteQuestion, SiteQuestions};
use crate::quantity::{Pence, round_to};
use std::io::{self, Write};

/// Questions of a line of the table for letters.
const IN_A_LETTER: usize = 6;

/// The sheet.
pub(super) fn sheet<'a>(run: &'a Run<'a>, gaps: &'a Gaps, extent: Extent) -> Sheet<'a> {
    let list = (1..).zip(&gaps.asks).map(|(place, ask)| of_portfolio(place, ask));
    let sites = gaps.of_sites.iter().filter(move |site| site.at < extent.detailed);
    let questions = sites.flat_map(|site| site.questions.iter().enumerate().map(move |(line, one)| (site, line, one)));
    Sheet {
        name: names::GAPS,
        subject: "Survey gaps: which answers to chase; costs before VAT",
        headings: headings(),
        frozen: 2,
        printed: None,
        paper: Paper::A3,
        rows: Rows::few(list.chain([in_all(gaps)]))
            .and(Rows::of(questions, move |(site, line, question)| of_site(run, (site, line), question))),
    }
}

fn headings() -> Vec<Heading<'static>> {
    use Form::{Hundredths, Ordinal, Pence, Text, Whole, Wrapped};
    vec![
        heading("Order", 6.5, Ordinal),
        heading("Site", 11.0, Text),
        heading("Address", 30.0, Wrapped),
        heading("Asked for", 31.0, Wrapped),
        heading("Question (fields, for all sites)", 54.0, Wrapped),
        heading("What to photograph or send", 54.0, Wrapped),
        heading("How", 18.0, Text),
        heading("Who answers", 41.0, Wrapped),
        heading("Sites", 7.0, Whole),
        heading("Settles alone (one site: chance)", 10.0, Hundredths),
        heading("Settles after those above", 10.0, Hundredths),
        heading("Cost a site £", 9.5, Pence),
        heading("Cost in all £", 11.0, Pence),
    ]
}

/// A line of the portfolio's list.
fn of_portfolio(place: u32, ask: &AskSum) -> Row<'_> {
    vec![
        place.into(),
        "all sites".into(),
        Cell::Blank,
        ask.asking.said.into(),
        ask.fields.join(", ").into(),
        Cell::Blank,
        ask.asking.how.into(),
        ask.asking.who.into(),
        ask.sites.into(),
        round_to(ask.alone, 2).into(),
        round_to(ask.after, 2).into(),
        Cell::Money(ask.cost_each),
        Cell::Money(ask.cost),
    ]
}

/// The line under the list: what all of it comes to.
fn in_all(gaps: &Gaps) -> Row<'_> {
    let unsettled = gaps.sites - gaps.settled.min(gaps.sites);
    let after: f64 = gaps.asks.iter().map(|ask| ask.after).sum();
    vec![
        Cell::Blank,
        "all sites".into(),
        Cell::Blank,
        "all of it".into(),
        format!(
            "{} of {} sites are settled as it is: one verdict has {:.0} % of their odds or more, or an engineer decided.",
            gaps.settled,
            gaps.sites,
            100.0 * gaps.settled_share
        )
        .into(),
        Cell::Blank,
        Cell::Blank,
        Cell::Blank,
        unsettled.into(),
        Cell::Blank,
        round_to(after, 2).into(),
        Cell::Blank,
        Cell::Money(gaps.asks.iter().map(|ask| ask.cost).sum::<Pence>()),
    ]
}

/// A question of a site, the one on this line of its own, counted from 0.
fn of_site<'a>(run: &'a Run<'a>, (site, line): (&'a SiteQuestions, usize), question: &'a SiteQuestion) -> Row<'a> {
    let before = line.checked_sub(1).and_then(|line| site.questions.get(line)).map_or(0.0, |before| before.settled);
    let ranked = run.portfolio.sites.get(site.at);
    let brief = ranked.map(|ranked| &ranked.judgement.brief);
    vec![
        Cell::Int(line as i64 + 1),
        ranked.map_or(Cell::Blank, |ranked| stands::on_ranking_once(ranked, line)),
        brief.map_or(Cell::Blank, |brief| brief.address.as_str().into()),
        question.asking.said.into(),
        question.question.as_ref().into(),
        question.asking.photograph.into(),
        question.asking.how.into(),
        question.asking.who.into(),
        Cell::Blank,
        round_to(question.alone, 2).into(),
        round_to(question.settled - before, 2).into(),
        Cell::Blank,
        Cell::Blank,
    ]
}

/// Writes the questions that can be put in a letter as comma-separated text, a line a site, in UTF-8 with the mark by
/// which spreadsheet programs know the encoding.
///
/// # Errors
/// When the writer fails.
pub fn write_questions_csv(run: &Run<'_>, gaps: &Gaps, mut writer: impl Write) -> io::Result<()> {
    writer.write_all("\u{feff}".as_bytes())?;
    let mut csv = csv::Writer::from_writer(writer);
    let numbered = (1..=IN_A_LETTER).flat_map(|place| [format!("question_{place}"), format!("photograph_{place}")]);
    let first = ["site_id", "address", "postcode", "lot"].map(str::to_owned);
    csv.write_record(first.into_iter().chain(numbered))?;
    for site in &gaps.of_sites {
        let Some(brief) = run.portfolio.sites.get(site.at).map(|site| &site.judgement.brief) else { continue };
        let letter = site.questions.iter().filter(|question| question.asking.letter);
        let mut texts: Vec<&str> =
            letter.take(IN_A_LETTER).flat_map(|question| [&*question.question, question.asking.photograph]).collect();
        if texts.is_empty() {
            continue;
        }
        texts.resize(2 * IN_A_LETTER, "");
        let first = [&brief.site_id, &brief.address, &brief.postcode, &brief.lot].map(String::as_str);
        for text in first.into_iter().chain(texts) {
            csv.write_field(guarded(text).as_bytes())?;
        }
        csv.write_record(None::<&[u8]>)?;
    }
    csv.flush()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::fixture::Fixture;

    fn fixture() -> Fixture {
        let mut fixture = Fixture::new(12);
        fixture.with_gaps();
        fixture
    }

    #[test]
    fn the_list_stands_first_its_sums_below_and_then_every_question() {
        let fixture = fixture();
        let run = fixture.run();
        let gaps = run.gaps.expect("gaps");
        let sheet = sheet(&run, gaps, Extent::of(&run));
        let columns = sheet.headings.len();
        let rows: Vec<_> = sheet.rows.collect();
        let questions: usize = gaps.of_sites.iter().map(|site| site.questions.len()).sum();
        assert_eq!(rows.len(), gaps.asks.len() + 1 + questions);
        assert!(rows.iter().all(|row| row.len() == columns));
        let number = |cell: &Cell<'_>| cell.shown().parse::<f64>().expect("a number");
        let (list, below) = rows.split_at(gaps.asks.len());
        for column in [10, 12] {
            let sum: f64 = list.iter().map(|row| number(&row[column])).sum();
            assert!((sum - number(&below[0][column])).abs() < 0.01, "column {column}");
        }
        assert!(below[2..].iter().all(|row| !row[4].shown().is_empty() && !row[1].shown().is_empty()));
    }

    #[test]
    fn a_letter_asks_people_only_and_runs_no_formula() {
        let mut fixture = fixture();
        fixture.portfolio.sites[1].judgement.brief.address = "=1+1".into();
        let run = fixture.run();
        let mut bytes = Vec::new();
        write_questions_csv(&run, run.gaps.expect("gaps"), &mut bytes).expect("written");
        let text = String::from_utf8(bytes).expect("UTF-8");
        assert!(text.starts_with("\u{feff}site_id,address,postcode,lot,question_1,photograph_1,question_2,"));
        let mut reader = csv::Reader::from_reader(text.trim_start_matches('\u{feff}').as_bytes());
        let rows: Vec<_> = reader.records().map(|row| row.expect("a row")).collect();
        // The site that only the operator can answer for gets no letter.
        assert_eq!(rows.len(), 1);
        assert_eq!((&rows[0][1], rows[0].len()), ("'=1+1", 16));
        assert!(rows[0][4].ends_with('?') && rows[0][5].contains("Open no cover") && rows[0][8].is_empty());
    }
}
