//! A card on one sheet of A4, with room to write and to sign on. Letters
//! are of 9 points and shrink to 7 at the fullest sites.

use super::{Block, Card};
use crate::report::page::{Look, Page, Span, span};
use crate::report::page_writer::on_one_sheet;

/// Columns of the page's grid.
const COLUMNS: u16 = 28;
/// Widths of the grid that are tried, screen pixels: the paper takes the first at nine tenths. On a wider page long lines
/// take less height, so that a full card shrinks less.
const WIDTHS_PIXELS: [f64; 4] = [728.0, 780.0, 832.0, 884.0];
const LINE_PT: f64 = 11.25;
const LAST: u16 = COLUMNS - 1;
/// Last column of the left half, first of the right.
const LEFT: u16 = 13;
const RIGHT: u16 = 14;

/// What is found is written here, four on a line.
const FOUND: [[&str; 4]; 3] = [
    ["Fuse seen, A", "Second cable?", "Earthing found", "Ze, Ω"],
    ["Fault current, kA", "Zs at point, Ω", "Insulation, MΩ", "30 mA trips, ms"],
    ["Limit set, A", "Cable laid, m", "Serial number", "Supply off, h"],
];

fn at<'a>(first: u16, last: u16, words: impl Into<String>, look: Look) -> Span<'a> {
    span(first, last, words.into(), look)
}

/// The page, as wide as leaves its letters largest.
pub(super) fn page<'a>(card: &Card) -> Page<'a> {
    let pages = WIDTHS_PIXELS.map(|width_pixels| page_of_width(card, width_pixels));
    let mut best = 0;
    let mut chosen = Page::of_columns(COLUMNS);
    for page in pages {
        let percent = on_one_sheet(&page);
        if percent > best {
            (best, chosen) = (percent, page);
        }
    }
    chosen
}

fn page_of_width<'a>(card: &Card, width_pixels: f64) -> Page<'a> {
    let mut page = Page { width_pixels, line_pt: LINE_PT, ..Page::of_columns(COLUMNS) };
    page.text(format!("Job card  {}", card.title), Look::Title);
    page.text(card.may_start.clone(), Look::Strong);
    page.text(card.next.clone(), Look::Plain);
    pair(&mut page, &card.what, &[&card.place, &card.time]);
    for block in [&card.own, &card.calls, &card.materials] {
        over(&mut page, block);
    }
    run_on(&mut page, &card.tools);
    over(&mut page, &card.stops);
    run_on(&mut page, &card.measures);
    run_on(&mut page, &card.tests);
    found(&mut page);
    page.text(
        "A desk-top design: whoever does the work is licensed for it, isolates and proves dead, looks for buried services \
         and asbestos, and follows local rules and the network operator where they say otherwise.",
        Look::Caution,
    );
    page.text(card.foot.clone(), Look::Quiet);
    page
}

/// A block beside others: each half one cell of many lines, so that neither waits for the other.
fn pair(page: &mut Page<'_>, left: &Block, right: &[&Block]) {
    let right: Vec<&&Block> = right.iter().filter(|block| !block.lines.is_empty()).collect();
    let titles: Vec<&str> = right.iter().map(|block| block.title).collect();
    let title = if left.lines.is_empty() { "" } else { left.title };
    page.line(vec![at(0, LEFT, title, Look::Section), at(RIGHT, LAST, titles.join("; "), Look::Section)]);
    let words: Vec<&str> = right.iter().flat_map(|block| &block.lines).map(String::as_str).collect();
    page.line(vec![at(0, LEFT, left.lines.join("\n"), Look::Plain), at(RIGHT, LAST, words.join("\n"), Look::Plain)]);
}

/// A block over the whole width, its lines halved.
fn over(page: &mut Page<'_>, block: &Block) {
    if block.lines.is_empty() {
        return;
    }
    let mut left = block.lines.clone();
    let right = left.split_off(left.len().div_ceil(2));
    page.text(block.title, Look::Section);
    page.line(vec![at(0, LEFT, left.join("\n"), Look::Plain), at(RIGHT, LAST, right.join("\n"), Look::Plain)]);
}

/// A block of many short lines, one after the other: they are ticked off, and the page is one sheet.
fn run_on(page: &mut Page<'_>, block: &Block) {
    if !block.lines.is_empty() {
        page.text(block.title, Look::Section);
        page.text(block.lines.join("  "), Look::Plain);
    }
}

/// Room for what is found and done, and for names.
fn found(page: &mut Page<'_>) {
    page.text("Found and done", Look::Section);
    for line in FOUND {
        let mut spans = Vec::with_capacity(8);
        for (first, words) in (0..).step_by(7).zip(line) {
            spans.push(at(first, first + 3, words, Look::Plain));
            spans.push(at(first + 4, first + 6, "", Look::Sign));
        }
        page.line(spans);
    }
    page.line(vec![at(0, 5, "Other than on this card", Look::Plain), at(6, LAST, "", Look::Sign)]);
    page.line(vec![at(0, LAST, "", Look::Sign)]);
    for who in ["Work done by", "Tests done by"] {
        page.line(vec![
            at(0, 3, who, Look::Plain),
            at(4, 11, "", Look::Sign),
            at(12, 14, "signature", Look::Plain),
            at(15, 21, "", Look::Sign),
            at(22, 23, "date", Look::Plain),
            at(24, LAST, "", Look::Sign),
        ]);
    }
}

#[cfg(test)]
mod tests {
    use super::super::CardSite;
    use super::*;
    use crate::report::fixture::Fixture;
    use crate::site::Site;

    /// At which 9 point letters are 7 points.
    const LEAST_PERCENT: u16 = 78;

    #[test]
    fn every_card_is_one_sheet_of_legible_letters() {
        for fixture in [Fixture::new(24), Fixture::clustered(24)] {
            let run = fixture.run();
            for ranked in &run.portfolio.sites {
                let brief = &ranked.judgement.brief;
                let site = Site { row: brief.row, site_id: brief.site_id.clone(), ..Site::default() };
                let card = Card::of(&run, CardSite { site: &site, judgement: &ranked.judgement });
                let page = page(&card);
                for line in &page.lines {
                    assert!(line.windows(2).all(|pair| pair[0].last < pair[1].first), "{line:?}");
                    assert!(line.iter().all(|span| span.first <= span.last && span.last <= LAST), "{line:?}");
                }
                let percent = on_one_sheet(&page);
                assert!(percent >= LEAST_PERCENT, "{}: {percent}", card.title);
            }
        }
    }

    #[test]
    fn a_site_that_may_not_start_says_so_before_anything_else() {
        use crate::site::Verdict;
        let fixture = Fixture::new(24);
        let run = fixture.run();
        let mut seen = 0;
        for ranked in &run.portfolio.sites {
            let site = Site::default();
            let card = Card::of(&run, CardSite { site: &site, judgement: &ranked.judgement });
            let held = card.may_start.starts_with("DO NOT START") || card.may_start.starts_with("NO JOB");
            let ready = ranked.judgement.counted_verdict() == Verdict::Ready && ranked.judgement.chosen.is_some();
            assert_eq!(held, !ready, "{}", card.may_start);
            seen += u32::from(held);
            assert!(card.stops.lines.len() >= 8 && card.calls.lines.len() >= 2);
        }
        assert!(seen > 3);
    }
}
