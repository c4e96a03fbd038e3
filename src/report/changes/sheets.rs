//! Sheets Changed sites (a row a site, before and after, and why) and Came and went (who stands in one result alone, and
//! who was found again under other marks).

use super::words::{Words, cause, figures, signed, stated, what, why};
use crate::compare::{By, Changed, Comparison, ItemChange, Pair, SiteRead, cost};
use crate::quantity::{Pence, round_to};
use crate::report::grid::{Cell, Form, Heading, Paper, Row, Rows, Sheet, folded, heading, names};

fn text(given: &crate::compare::Given<String>) -> Cell<'_> {
    given.text().into()
}

fn verdict(site: &SiteRead) -> Cell<'static> {
    Cell::Verdict(site.counted(), site.override_verdict.value().is_some())
}

fn money(cost: Option<Pence>) -> Cell<'static> {
    cost.map_or(Cell::Blank, Cell::Money)
}

fn number(given: &crate::compare::Given<f64>) -> Cell<'static> {
    given.value().copied().into()
}

fn rank(site: &SiteRead) -> Cell<'static> {
    site.rank.value().map_or(Cell::Blank, |rank| (*rank).into())
}

/// Columns printed, from the left: up to the item that moves the cost most.
const PRINTED: u16 = 22;

/// The sheet of sites of both results that changed, that which matters most first.
pub(super) fn changed<'a>(found: &'a Comparison<'_>, words: &'a Words<'_>) -> Sheet<'a> {
    Sheet {
        name: names::CHANGED,
        subject: "Sites of both results that changed, before and after; costs before VAT",
        headings: changed_headings(),
        frozen: 2,
        printed: Some(PRINTED),
        paper: Paper::A3,
        rows: Rows::of((1_u32..).zip(&found.changed), move |(order, changed)| {
            changed_row(found, words, order, changed)
        }),
    }
}

fn changed_headings() -> Vec<Heading<'static>> {
    use Form::{Free, Ordinal, Pence, Tenths, Text, Whole, Wrapped};
    vec![
        heading("Order", 6.5, Ordinal),
        heading("Site", 11.0, Text),
        heading("Address", 30.0, Wrapped),
        heading("Lot", 13.0, Text),
        heading("What changed", 22.0, Wrapped),
        heading("Verdict before", 15.0, Text),
        heading("Verdict after", 15.0, Text),
        heading("Why", 70.0, Wrapped),
        heading("Cause", 24.0, Wrapped),
        heading("Rank before", 7.0, Ordinal),
        heading("Rank after", 7.0, Ordinal),
        heading("Places risen among sites of both", 8.5, Whole),
        heading("Current before A", 8.5, Free),
        heading("Current after A", 8.5, Free),
        heading("Points before", 7.5, Whole),
        heading("Points after", 7.5, Whole),
        heading("Cost before £", 12.0, Pence),
        heading("Cost after £", 12.0, Pence),
        heading("Difference £", 12.0, Pence),
        heading("Difference, %", 9.5, Tenths),
        heading("Cost moved by", 13.0, Text),
        heading("Item that moves it most", 34.0, Text),
        heading("Reasons that went", 26.0, Wrapped),
        heading("Reasons that came", 26.0, Wrapped),
        heading("Reasons before", 26.0, Text),
        heading("Reasons after", 26.0, Text),
        heading("Found by", 16.0, Text),
        // In one line each: they are for looking up, and would make every row tall.
        folded("Items that move it, by size", 50.0, Text),
        folded("Facts", 50.0, Text),
        folded("Figures of survey and design", 50.0, Text),
        folded("Checks", 50.0, Text),
    ]
}

fn changed_row<'a>(found: &Comparison<'a>, words: &Words<'_>, order: u32, changed: &Changed<'a>) -> Row<'a> {
    let change = &changed.change;
    let (before, after) = (change.before, change.after);
    let more = change.money.more();
    let share = change
        .money
        .before
        .filter(|before| before.0 != 0)
        .zip(more)
        .map(|(before, more)| round_to(more.pounds() / before.pounds() * 100.0, 1));
    let item = |item: &ItemChange| {
        let amount = if item.same_quantity() {
            String::new()
        } else {
            format!(", {} {} was {}", item.quantity_after, item.unit, item.quantity_before)
        };
        format!("{}{amount}: {}", words.item(&item.item), signed(item.more()))
    };
    let codes =
        |site: &SiteRead| site.reasons.list().iter().map(|code| words.reason(code)).collect::<Vec<_>>().join(", ");
    let surveyed = stated(found, change);
    let list = |parts: Vec<String>| parts.join("; ");
    vec![
        order.into(),
        after.site_id.as_str().into(),
        text(&after.address),
        text(&after.lot),
        what(change).into(),
        verdict(before),
        verdict(after),
        why(words, found, changed).into(),
        cause(&changed.cause).into(),
        rank(before),
        rank(after),
        Cell::Int(change.rose()),
        number(&before.charging_current_a),
        number(&after.charging_current_a),
        number(&before.points),
        number(&after.points),
        money(change.money.before),
        money(change.money.after),
        money(more),
        share.into(),
        change.money.kind.word().into(),
        change.money.items.first().map(|item| words.item(&item.item)).unwrap_or_default().into(),
        words.reasons(&change.reasons_went).into(),
        words.reasons(&change.reasons_came).into(),
        codes(before).into(),
        codes(after).into(),
        change.by.word().into(),
        list(change.money.items.iter().map(item).collect()).into(),
        list(change.facts.iter().map(|fact| words.fact(fact, surveyed)).collect()).into(),
        figures(change).into(),
        list(change.checks.iter().map(|check| words.check(check)).collect()).into(),
    ]
}

/// The sheet of sites of one result alone, and of those found under other marks.
pub(super) fn came_and_went<'a>(found: &'a Comparison<'a>) -> Sheet<'a> {
    let came = Rows::of(found.came.iter(), |site| alone("came", site, false));
    let went = Rows::of(found.went.iter(), |site| alone("went", site, true));
    let again = Rows::of(respelt(found), |(pair, before, after)| {
        let mut row = vec![
            "in both".into(),
            before.site_id.as_str().into(),
            after.site_id.as_str().into(),
            text(&before.address),
            text(&after.address),
            text(&before.postcode),
            text(&after.postcode),
        ];
        row.extend([
            verdict(before),
            verdict(after),
            rank(before),
            rank(after),
            money(cost(before)),
            money(cost(after)),
        ]);
        row.extend([pair.by.word().into(), pair.likeness.map(|likeness| round_to(likeness, 2)).into()]);
        row
    });
    Sheet {
        name: names::CAME_AND_WENT,
        subject: "Sites of one result alone, and sites found again under other marks; costs before VAT",
        headings: came_headings(),
        frozen: 3,
        printed: None,
        paper: Paper::A3,
        rows: came.and(went).and(again),
    }
}

fn came_headings() -> Vec<Heading<'static>> {
    use Form::{Hundredths, Ordinal, Pence, Text, Wrapped};
    vec![
        heading("It", 8.0, Text),
        heading("Site before", 11.0, Text),
        heading("Site after", 11.0, Text),
        heading("Address before", 32.0, Wrapped),
        heading("Address after", 32.0, Wrapped),
        heading("Postcode before", 9.0, Text),
        heading("Postcode after", 9.0, Text),
        heading("Verdict before", 15.0, Text),
        heading("Verdict after", 15.0, Text),
        heading("Rank before", 7.0, Ordinal),
        heading("Rank after", 7.0, Ordinal),
        heading("Cost before £", 12.0, Pence),
        heading("Cost after £", 12.0, Pence),
        heading("Found by", 28.0, Text),
        heading("Likeness of addresses", 9.0, Hundredths),
    ]
}

fn alone<'a>(what: &'static str, site: &'a SiteRead, earlier: bool) -> Row<'a> {
    let mut row = vec![what.into()];
    let pairs = [
        site.site_id.as_str().into(),
        text(&site.address),
        text(&site.postcode),
        verdict(site),
        rank(site),
        money(cost(site)),
    ];
    for cell in pairs {
        row.extend(if earlier { [cell, Cell::Blank] } else { [Cell::Blank, cell] });
    }
    row.extend([Cell::Blank, Cell::Blank]);
    row
}

/// Sites of both whose key, address or postcode is written otherwise.
pub(super) fn respelt<'a>(
    found: &'a Comparison<'a>,
) -> impl Iterator<Item = (&'a Pair, &'a SiteRead, &'a SiteRead)> + Clone + Send {
    found.pairs.iter().filter_map(|pair| {
        let (before, after) = (found.before.sites.get(pair.before)?, found.after.sites.get(pair.after)?);
        let marks = |site: &'a SiteRead| (site.site_id.as_str(), site.address.text(), site.postcode.text());
        let other = marks(before) != marks(after) || matches!(pair.by, By::Spelling | By::SiteIdAlone);
        other.then_some((pair, before, after))
    })
}
