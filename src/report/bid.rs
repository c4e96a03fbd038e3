//! Sheet Bid: the whole, then each lot, then each site, with what is added to the direct cost in the order in which it is
//! added. Every line of the whole and of a lot is the sum of its sites, to the penny.

use super::Run;
use super::grid::{Cell, Form, Heading, Paper, Row, Rows, Sheet, heading, names};
use super::stands;
use crate::estimate::Doubt;
use crate::portfolio::{Amounts, Bid, BidLot, BidSite};
use crate::quantity::round_to;

/// The sheet.
pub(super) fn sheet<'a>(run: &'a Run<'a>, bid: &'a Bid) -> Sheet<'a> {
    let whole = std::iter::once(sum("whole", "", &bid.whole));
    let lots = bid.lots.iter().map(|lot| sum("lot", if lot.name.is_empty() { "no lot" } else { &lot.name }, lot));
    Sheet {
        name: names::BID,
        subject: "Bid for chosen sites; every sum is that of its sites",
        headings: headings(run),
        frozen: 3,
        printed: None,
        paper: Paper::A3,
        rows: Rows::few(whole.chain(lots)).and(Rows::of(bid.sites.iter(), |own| site(run, own))),
    }
}

fn headings<'a>(run: &'a Run<'a>) -> Vec<Heading<'a>> {
    use Form::{Pence, Pounds, Tenths, Text, Whole, Wrapped};
    let bid = &run.rules.bid;
    vec![
        heading("Line", 7.0, Text),
        heading("Lot", 13.0, Text),
        heading("Site", 11.0, Text),
        heading("Address", 26.0, Wrapped),
        heading("Sites", 6.0, Whole),
        heading("Points", 7.0, Whole),
        heading("Direct cost, likely £", 13.0, Pence),
        heading(format!("Preliminaries {} %, £", bid.preliminaries_percent), 13.0, Pence),
        heading(format!("Risk to P{}, £", bid.risk_percentile), 13.0, Pence),
        heading(format!("Overhead {} %, £", bid.overhead_percent), 13.0, Pence),
        heading(format!("Profit {} %, £", bid.profit_percent), 13.0, Pence),
        heading("Price before VAT, £", 14.0, Pence),
        heading("VAT, £", 13.0, Pence),
        heading("Price with VAT, £", 14.0, Pence),
        heading("Direct cost, P10 £", 11.0, Pounds),
        heading("Direct cost, P50 £", 11.0, Pounds),
        heading("Direct cost, P80 £", 11.0, Pounds),
        heading("Direct cost, P90 £", 11.0, Pounds),
        heading("Share of the spread, %", 9.0, Tenths),
    ]
}

fn sum<'a>(line: &'static str, name: &'a str, lot: &BidLot) -> Row<'a> {
    let mut cells = vec![line.into(), name.into(), Cell::Blank, Cell::Blank, lot.sites.into(), lot.points.into()];
    cells.extend(amounts(lot.amounts));
    cells.extend(levels(&lot.doubt));
    cells.push(if line == "whole" { percent(1.0) } else { Cell::Blank });
    cells
}

fn site<'a>(run: &'a Run<'a>, own: &BidSite) -> Row<'a> {
    let mut cells: Row<'a> = vec!["site".into()];
    let Some(ranked) = run.portfolio.sites.get(own.at) else { return cells };
    let brief = &ranked.judgement.brief;
    let points = ranked.judgement.chosen.as_ref().map_or(0, |chosen| chosen.points);
    cells.extend([
        Cell::from(brief.lot.as_str()),
        stands::on_ranking(ranked),
        brief.address.as_str().into(),
        1_u32.into(),
        points.into(),
    ]);
    cells.extend(amounts(own.amounts));
    cells.extend(levels(&ranked.judgement.estimate.as_ref().map(|estimate| estimate.doubt).unwrap_or_default()));
    cells.push(percent(own.share_of_spread));
    cells
}

/// A share in per cent to a tenth: most sites carry less than one.
fn percent<'a>(share: f64) -> Cell<'a> {
    Cell::Number(round_to(share * 100.0, 1))
}

fn amounts<'a>(amounts: Amounts) -> [Cell<'a>; 8] {
    [
        amounts.direct,
        amounts.preliminaries,
        amounts.risk,
        amounts.overhead,
        amounts.profit,
        amounts.price(),
        amounts.vat,
        amounts.with_vat(),
    ]
    .map(Cell::Money)
}

fn levels<'a>(doubt: &Doubt) -> [Cell<'a>; 4] {
    let levels = doubt.levels();
    [levels.p10, levels.p50, levels.p80, levels.p90].map(Cell::Money)
}
