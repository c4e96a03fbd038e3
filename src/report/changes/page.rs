//! Page one of the workbook of changes: what the results rest on, moves between verdicts, money, reasons, and the
//! changes that matter most.

use super::words::{Words, money_why, name, signed, whole_more, why_in_short};
use super::{MATTER_MOST, input_line, lacks_line, matched_line, side_line};
use crate::compare::{Comparison, VERDICTS};
use crate::quantity::Pence;
use crate::report::figures::count;
use crate::report::grid::Cell;
use crate::report::page::{COLUMNS, Look, Page, Span, span};

/// Reasons and items shown.
const SHOWN: usize = 6;
/// Last column of the left half, first of the right.
const LEFT: u16 = 6;
const RIGHT: u16 = 7;
const LAST: u16 = COLUMNS - 1;

/// The page.
pub(super) fn page(found: &Comparison<'_>, words: &Words<'_>) -> Page<'static> {
    let mut page = Page::default();
    let title = if found.is_empty() {
        "Nothing changed".to_owned()
    } else {
        format!("{} changed, {} came, {} went", count(found.changed.len(), "site"), found.came.len(), found.went.len())
    };
    page.text(title, Look::Title);
    page.text(format!("Before: {}.", side_line(found.before)), Look::Subtitle);
    page.text(format!("After: {}.", side_line(found.after)), Look::Subtitle);
    page.text(matched_line(found), Look::Strong);
    let other: Vec<String> = found.inputs.iter().filter_map(input_line).collect();
    let said = if other.is_empty() { "nothing that they name".to_owned() } else { other.join("; ") };
    page.text(format!("What the results rest on that is another: {said}."), Look::Plain);
    for line in [found.before, found.after].into_iter().filter_map(lacks_line) {
        page.text(line, Look::Caution);
    }
    if found.is_empty() {
        page.gap();
        page.text("No site came or went, and verdict, rank, reasons and cost of all are the same.", Look::Plain);
        return page;
    }
    page.gap();
    page.beside(moves(found), money(found));
    page.gap();
    page.beside(reasons(found, words), items(found, words));
    page.gap();
    let ranks = found.ranks;
    page.text(
        format!(
            "Ranks among the sites of both results: {} moved, by {} at most; {} of them changed in nothing else and are \
             not listed.",
            count(ranks.moved as usize, "site"),
            count(usize::try_from(ranks.greatest).unwrap_or(usize::MAX), "place"),
            ranks.not_listed
        ),
        Look::Plain,
    );
    page.gap();
    page.text("What matters most (all of it: sheet Changed sites)", Look::Section);
    for changed in found.changed.iter().take(MATTER_MOST) {
        page.line(vec![
            span(0, 2, name(&changed.change), Look::Strong),
            span(3, LAST, why_in_short(words, found, changed), Look::Plain),
        ]);
    }
    if found.changed.is_empty() {
        page.text("No site of both results changed.", Look::Plain);
    }
    page
}

fn count_cell(sites: u32) -> Cell<'static> {
    if sites == 0 { Cell::Blank } else { sites.into() }
}

fn moves(found: &Comparison<'_>) -> Vec<Vec<Span<'static>>> {
    let mut lines = vec![vec![span(0, LEFT - 1, "Sites by verdict: before (line), after (column)", Look::Section)]];
    let mut head = vec![span(0, 1, "", Look::Head)];
    let words = VERDICTS.iter().map(|verdict| verdict.word());
    head.extend((2..).zip(words.clone().chain(["went"])).map(|(at, word)| span(at, at, word, Look::HeadRight)));
    lines.push(head);
    for (word, counts) in words.chain(["came"]).zip(&found.moves) {
        let mut line = vec![span(0, 1, word, Look::Plain)];
        line.extend((2..).zip(counts).map(|(at, sites)| span(at, at, count_cell(*sites), Look::Whole)));
        lines.push(line);
    }
    lines
}

fn money(found: &Comparison<'_>) -> Vec<Vec<Span<'static>>> {
    let mut lines = vec![vec![span(RIGHT, LAST, "Likely cost before VAT, sites not blocked", Look::Section)]];
    let line = |words: &'static str, sites: Cell<'static>, money: Pence, looks: [Look; 2]| {
        vec![
            span(RIGHT, LAST - 3, words, looks[0]),
            span(LAST - 2, LAST - 2, sites, Look::Whole),
            span(LAST - 1, LAST, Cell::Money(money), looks[1]),
        ]
    };
    let (plain, strong) = ([Look::Plain, Look::Pounds], [Look::Strong, Look::StrongPounds]);
    lines.push(line("before", Cell::Blank, found.cost.0, strong));
    for part in &found.money {
        lines.push(line(money_why(part.why), part.sites.into(), part.more, plain));
    }
    lines.push(line("after", Cell::Blank, found.cost.1, strong));
    lines.push(line("difference", Cell::Blank, whole_more(found), plain));
    lines
}

fn reasons(found: &Comparison<'_>, words: &Words<'_>) -> Vec<Vec<Span<'static>>> {
    let mut lines = vec![
        vec![span(0, LEFT - 1, "Reasons that came and went, sites of both", Look::Section)],
        vec![
            span(0, LEFT - 3, "", Look::Head),
            span(LEFT - 2, LEFT - 2, "came", Look::HeadRight),
            span(LEFT - 1, LEFT - 1, "went", Look::HeadRight),
        ],
    ];
    lines.extend(found.reasons.iter().take(SHOWN).map(|(code, counts)| {
        vec![
            span(0, LEFT - 3, words.reason(code).to_owned(), Look::Plain),
            span(LEFT - 2, LEFT - 2, count_cell(counts.came), Look::Whole),
            span(LEFT - 1, LEFT - 1, count_cell(counts.went), Look::Whole),
        ]
    }));
    if found.reasons.is_empty() {
        lines.push(vec![span(0, LEFT - 1, "none", Look::Plain)]);
    }
    lines
}

fn items(found: &Comparison<'_>, words: &Words<'_>) -> Vec<Vec<Span<'static>>> {
    let mut lines = vec![vec![span(RIGHT, LAST, "What moves the cost of sites priced in both", Look::Section)]];
    lines.extend(found.items.iter().take(SHOWN).map(|(item, more)| {
        vec![
            span(RIGHT, LAST - 2, words.item(item), Look::Plain),
            span(LAST - 1, LAST, Cell::Money(*more), Look::Pounds),
        ]
    }));
    if found.items.is_empty() {
        lines.push(vec![span(RIGHT, LAST, "nothing", Look::Plain)]);
    }
    let rest: Vec<Pence> = found.items.iter().skip(SHOWN).map(|(_, more)| *more).collect();
    if !rest.is_empty() {
        let words = format!("{} more come to {}", count(rest.len(), "item"), signed(rest.into_iter().sum()));
        lines.push(vec![span(RIGHT, LAST, words, Look::Quiet)]);
    }
    lines
}
