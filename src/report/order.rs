//! Sheet Order schedule: one row an item for the sites chosen, with what to order and in which lengths and packs; for
//! cable the drums, what is left of them, and how near that comes to what no plan can go below. How cable is cut it does
//! not know.

use super::Run;
use super::figures::{plain, thousands};
use super::grid::{Cell, Form, Heading, Paper, Row, Rows, Sheet, heading, names};
use super::materials::PriceIndex;
use crate::order::{CableOrder, Drum, Order, OrderItem, Pack};
use crate::portfolio::Choice;
use crate::quantity::{CostBand, Pence, round_to};
use std::collections::BTreeMap;

/// The sheet.
pub(super) fn sheet<'a>(run: &'a Run<'a>) -> Sheet<'a> {
    let prices = PriceIndex::of(run.prices);
    let order = run.order;
    let rows = order.items.iter().map(move |item| row(item, order, &prices));
    Sheet {
        name: names::ORDER,
        subject: "Order schedule: everything for the sites chosen; costs before VAT",
        headings: headings(),
        frozen: 1,
        printed: None,
        paper: Paper::A3,
        rows: Rows::few(rows).then([total(order)]).then(remark(run)),
    }
}

fn headings() -> Vec<Heading<'static>> {
    use Form::{Free, Pence, Percent, Tenths, Text, Whole, Wrapped};
    vec![
        heading("Item", 24.0, Text),
        heading("Description", 40.0, Wrapped),
        heading("In drums, coils, lengths and packs", 34.0, Wrapped),
        heading("Unit", 7.0, Text),
        heading("To order (whole units, drums and packs)", 11.5, Free),
        heading("Needed, low", 9.0, Free),
        heading("Needed, likely", 9.0, Free),
        heading("Needed, high", 9.0, Free),
        heading("Sites", 6.5, Whole),
        heading("Cost, likely £", 12.0, Pence),
        heading("Cost of what is ordered, charges for cutting in it £", 12.0, Pence),
        heading("Pieces", 7.5, Whole),
        heading("Laid, likely m", 9.5, Tenths),
        heading("Cut, with margin m", 9.5, Tenths),
        heading("Left over m", 8.5, Tenths),
        heading("Left over, share of the order", 10.0, Percent),
        heading("Least any plan can order m", 10.5, Tenths),
        heading("Above that", 8.0, Percent),
    ]
}

fn row<'a>(item: &'a OrderItem, order: &'a Order, prices: &PriceIndex<'a>) -> Row<'a> {
    let (description, unit) = prices.words(item.item);
    let cables: Vec<&CableOrder> = order.cables.iter().filter(|cable| cable.item == item.item).collect();
    let shown = |quantity: f64| Cell::Number(round_to(quantity, 1));
    let mut cells: Row<'a> = vec![
        item.item.into(),
        description.into(),
        if cables.is_empty() { packs_in_words(&item.packs) } else { drums_in_words(&cables) }.into(),
        unit.into(),
        shown(item.to_order),
        shown(item.needed.low),
        shown(item.needed.likely),
        shown(item.needed.high),
        item.sites.into(),
        Cell::Money(item.cost.likely),
        item.cost_ordered.map_or(Cell::Blank, Cell::Money),
    ];
    cells.extend(lengths(&cables));
    cells
}

/// Pieces, lengths and shares of some cables together; blanks for none.
fn lengths<'a>(cables: &[&CableOrder]) -> [Cell<'a>; 7] {
    if cables.is_empty() {
        return [const { Cell::Blank }; 7];
    }
    let sum = |of: fn(&CableOrder) -> f64| cables.iter().map(|cable| of(cable)).sum::<f64>();
    let (ordered_m, bound_m) = (sum(|cable| cable.ordered_m), sum(|cable| cable.bound_m));
    let waste_m = sum(CableOrder::waste_m);
    let share = |part: f64, whole: f64| if whole > 0.0 { Cell::Percent(part / whole) } else { Cell::Blank };
    [
        Cell::Int(cables.iter().map(|cable| i64::from(cable.pieces)).sum()),
        round_to(sum(|cable| cable.likely_m), 1).into(),
        round_to(sum(|cable| cable.cut_m), 1).into(),
        round_to(waste_m, 1).into(),
        share(waste_m, ordered_m),
        round_to(bound_m, 1).into(),
        share((ordered_m - bound_m).max(0.0), bound_m),
    ]
}

/// "3 × 500 m, 1 × 100 m, made to length 640 m", with make-up or colour before where an item stands for several.
pub(super) fn drums_in_words(cables: &[&CableOrder]) -> String {
    let one = |cable: &&CableOrder| {
        let words = count_of_drums(&cable.drums);
        match (cable.core, cable.cable) {
            ("", Some(make)) if cables.len() > 1 => format!("{}: {words}", make.words()),
            ("", _) => words,
            (core, _) => format!("{core}: {words}"),
        }
    };
    cables.iter().map(one).collect::<Vec<_>>().join("; ")
}

fn count_of_drums(drums: &[Drum]) -> String {
    let mut counts: BTreeMap<(bool, bool, std::cmp::Reverse<u64>), u32> = BTreeMap::new();
    for drum in drums {
        let decimetres = (drum.stock_m * 10.0).round() as u64;
        *counts.entry((drum.cut_to_length, drum.made_to_length, std::cmp::Reverse(decimetres))).or_default() += 1;
    }
    let words = counts.iter().map(|((cut, made, std::cmp::Reverse(decimetres)), count)| {
        let length = plain(*decimetres as f64 / 10.0, 1);
        match (cut, made) {
            (true, _) => format!("{count} cut to {length} m"),
            (_, true) => format!("{count} made to {length} m"),
            _ => format!("{count} × {length} m"),
        }
    });
    words.collect::<Vec<_>>().join(", ")
}

/// "3 × coil of 50 m, 1 × coil of 25 m".
fn packs_in_words(packs: &[Pack]) -> String {
    let one = |pack: &Pack| {
        let words = pack.words.replace('#', &pack.size.to_string());
        format!("{} × {words}", thousands(pack.count.into()))
    };
    packs.iter().map(one).collect::<Vec<_>>().join(", ")
}

fn total(order: &Order) -> Row<'_> {
    let cost: CostBand = order.items.iter().map(|item| item.cost).sum();
    let ordered: Pence = order.items.iter().filter_map(|item| item.cost_ordered).sum();
    let cables: Vec<&CableOrder> = order.cables.iter().collect();
    let all = || cables.iter().flat_map(|cable| &cable.drums);
    let cut_to_length = all().filter(|drum| drum.cut_to_length).count();
    let drums = all().count() - cut_to_length;
    let counted = [(drums, "drums and coils"), (cut_to_length, "cut to length")];
    let counted = counted.iter().filter(|(count, _)| *count > 0).map(|(count, what)| format!("{count} {what}"));
    let drums_in_words = counted.collect::<Vec<_>>().join(", ");
    let what = format!("{} items for {}", order.items.len(), order.choice);
    let mut cells: Row<'_> = vec!["Total".into(), what.into(), drums_in_words.into()];
    cells.extend(std::iter::repeat_n(Cell::Blank, 5));
    cells.extend([order.sites.into(), Cell::Money(cost.likely), Cell::Money(ordered)]);
    cells.extend(lengths(&cables));
    cells
}

/// A row for sites asked for that nothing is ordered for; none where there is none.
fn remark<'a>(run: &'a Run<'a>) -> Option<Row<'a>> {
    let left_out = &run.order.left_out;
    let sites = left_out.iter().filter_map(|index| run.portfolio.sites.get(*index));
    let names: Vec<&str> = sites.map(|site| site.judgement.brief.site_id.as_str()).collect();
    let shown = names.get(..SHOWN).unwrap_or(&names).join(", ");
    let more = if names.len() > SHOWN { format!(" and {} more", names.len() - SHOWN) } else { String::new() };
    let text = format!("Nothing was designed for, so nothing is ordered: {shown}{more}");
    let cells = || ["Left out".into(), text.into()].into_iter().chain(std::iter::repeat_n(Cell::Blank, 16)).collect();
    (!names.is_empty()).then(cells)
}

/// What the order is for, as a line for the terminal; empty where it is for all the ready sites, as it is unless asked
/// otherwise.
pub(super) fn line(run: &Run<'_>) -> String {
    let order = run.order;
    if order.choice == Choice::default().words() && order.left_out.is_empty() {
        return String::new();
    }
    let left_out = match order.left_out.len() {
        0 => String::new(),
        more => format!(", {more} left out since nothing was designed for them"),
    };
    format!("Order schedule and Cutting list: {}, {} sites{left_out}\n", order.choice, order.sites)
}

/// Sites named in that row.
const SHOWN: usize = 20;

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::fixture::Fixture;

    #[test]
    fn a_row_an_item_and_a_total_that_is_their_sum_to_the_penny() {
        let fixture = Fixture::new(40);
        let run = fixture.run();
        let sheet = sheet(&run);
        let columns = sheet.headings.len();
        let rows: Vec<_> = sheet.rows.collect();
        // A site that an engineer calls ready although nothing could be designed for it is named at the end.
        assert_eq!(rows.len(), run.order.items.len() + 2);
        assert!(rows.iter().all(|row| row.len() == columns));
        let (left_out, rows) = rows.split_last().expect("rows");
        assert!(left_out[1].shown().contains(&run.portfolio.sites[run.order.left_out[0]].judgement.brief.site_id));
        let pence = |row: &Row<'_>| if let Cell::Money(pence) = row[9] { pence } else { panic!("no cost") };
        let (last, items) = rows.split_last().expect("a total");
        assert_eq!(pence(last), items.iter().map(pence).sum());
        let ready =
            run.portfolio.sites.iter().filter(|site| site.judgement.counted_verdict() == crate::site::Verdict::Ready);
        let bills: CostBand = ready
            .flat_map(|site| &site.judgement.estimate)
            .flat_map(|estimate| &estimate.bill)
            .map(|line| line.cost)
            .sum();
        assert_eq!(pence(last), bills.likely);
        assert!(items.iter().any(|row| row[2].shown().contains('×')));
    }

    #[test]
    fn packs_are_counted_by_size() {
        let pack = |size, count| Pack { size, count, words: "coil of # m" };
        assert_eq!(packs_in_words(&[pack(50, 1200), pack(25, 1)]), "1,200 × coil of 50 m, 1 × coil of 25 m");
        assert_eq!(packs_in_words(&[]), "");
    }

    #[test]
    fn drums_are_counted_by_length() {
        let drum =
            |stock_m, made_to_length| Drum { number: 1, stock_m, made_to_length, cut_to_length: false, cuts: vec![] };
        let cut = Drum { cut_to_length: true, ..drum(33.0, false) };
        let drums = [drum(640.5, true), drum(100.0, false), cut, drum(500.0, false), drum(500.0, false)];
        assert_eq!(count_of_drums(&drums), "2 × 500 m, 1 × 100 m, 1 made to 640.5 m, 1 cut to 33 m");
    }
}
