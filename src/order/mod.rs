//! What to buy for chosen sites: every item of their bills added up, in whole lengths and packs, and their cable cut
//! from the lengths in which it is sold.
//!
//! It only adds and cuts; it knows judgements, rules and prices, no file and no sheet. When something is delivered it
//! does not know: there is no programme yet.

mod cut_to_length;
mod cutting;
mod how_bought;
mod stock_lengths;

pub use cutting::{Cutting, Either, cut, cut_or_buy};
pub use how_bought::Pack;

use crate::design::RunRole;
use crate::estimate::{Item, Piece, PriceBook};
use crate::portfolio::{Chosen, Ranked};
use crate::quantity::{Band, CostBand, Pence};
use crate::reference::{Cable, CableFamily};
use crate::rules::OrderRules;
use cutting::UNIT;
use std::collections::{BTreeMap, BTreeSet};

/// Lengths are cut in whole decimetres.
const DM_PER_M: f64 = 10.0;
/// Longest piece that is cut, metres; nothing longer is a run of cable.
const LONGEST_PIECE_M: f64 = 100_000.0;

/// Everything to buy for some sites.
#[derive(Clone, Debug, Default)]
pub struct Order {
    /// Which sites were asked for, in words.
    pub choice: String,
    /// Sites that it is for.
    pub sites: u32,
    /// Sites asked for that it holds nothing of, since nothing was designed for them: their places in the ranking.
    pub left_out: Vec<usize>,
    /// Items, in the order of the price book.
    pub items: Vec<OrderItem>,
    /// Cable by item, size and colour, in the same order.
    pub cables: Vec<CableOrder>,
}

/// One item over all sites of an order.
#[derive(Clone, Debug, PartialEq)]
pub struct OrderItem {
    /// Item code of the price book.
    pub item: &'static str,
    /// Sum of the bills, in the item's unit; low and high as if all sites came out low or high together.
    pub needed: Band,
    /// What to order, in the item's unit: cable in whole drums, what is sold in lengths or packs in whole ones,
    /// everything else the likely sum rounded up to a whole unit, each over the whole order. Site by site a part of a
    /// unit is a chance that it is needed, or a part that the next site uses.
    pub to_order: f64,
    /// Lengths or packs of that, the longest first; empty for cable and for what is sold by the unit.
    pub packs: Vec<Pack>,
    /// Sites whose bill holds it.
    pub sites: u32,
    /// Sum of the bills, before tax.
    pub cost: CostBand,
    /// What is ordered at the likely price, charges for cutting to length included, before tax; `None` where the price book does not hold the item.
    pub cost_ordered: Option<Pence>,
}

/// One cable over all sites of an order.
#[derive(Clone, Debug, PartialEq)]
pub struct CableOrder {
    /// Item code of the price book.
    pub item: &'static str,
    /// The cable; `None` for data cable.
    pub cable: Option<Cable>,
    /// Colour of a single core; empty for a whole cable.
    pub core: &'static str,
    /// Pieces to cut.
    pub pieces: u32,
    /// Length laid, likely, metres.
    pub likely_m: f64,
    /// Length of the pieces as they are cut, metres.
    pub cut_m: f64,
    /// Length ordered, metres.
    pub ordered_m: f64,
    /// The least total of stock lengths that covers `cut_m`, metres; what is bought cut to length counts as it is.
    pub covering_m: f64,
    /// What no plan can go below with the same pieces bought cut to length, metres.
    pub bound_m: f64,
    /// Metres of the item that a metre is priced as.
    pub priced_m: f64,
    /// Drums and coils, each with what is cut from it; then pieces bought cut to length.
    pub drums: Vec<Drum>,
    /// Charges for cutting to length, before tax.
    pub charges: Pence,
}

impl CableOrder {
    /// What is left of drums and coils, metres.
    pub fn waste_m(&self) -> f64 {
        (self.ordered_m - self.cut_m).max(0.0)
    }

    /// How far the order lies above what no plan can go below, as a share of it.
    pub fn gap_share(&self) -> f64 {
        if self.bound_m > 0.0 { (self.ordered_m / self.bound_m - 1.0).max(0.0) } else { 0.0 }
    }
}

/// One drum or coil.
#[derive(Clone, Debug, PartialEq)]
pub struct Drum {
    /// Number within the order, from 1.
    pub number: u32,
    /// Length, metres.
    pub stock_m: f64,
    /// Whether it is made to the length of its one piece, longer than any in stock.
    pub made_to_length: bool,
    /// Whether it is one piece that the seller cuts to length, because that costs less than a drum.
    pub cut_to_length: bool,
    /// Pieces in the order of cutting.
    pub cuts: Vec<Cut>,
}

/// One piece cut from a drum.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cut {
    /// Place of its site in the ranking, from 0.
    pub site: usize,
    /// Sub-main or final circuit.
    pub role: RunRole,
    /// Which of the like runs, from 1.
    pub number: u32,
    /// Like runs in all.
    pub of: u32,
    /// Length laid, likely, metres.
    pub likely_m: f64,
    /// Length to cut, metres.
    pub length_m: f64,
    /// What is left on the drum after it, metres.
    pub left_m: f64,
}

/// What to buy for chosen sites of a portfolio.
pub fn order(sites: &[Ranked], asked: &Chosen, rules: &OrderRules, prices: &PriceBook) -> Order {
    let estimated = |place: &usize| sites.get(*place).is_some_and(|site| site.judgement.estimate.is_some());
    let (chosen, left_out): (Vec<usize>, Vec<usize>) = asked.places.iter().copied().partition(estimated);
    let book: BTreeMap<&str, (usize, &Item)> =
        prices.items().iter().enumerate().map(|(place, item)| (item.code, (place, item))).collect();
    let place = |item: &str| book.get(item).map_or(usize::MAX, |(place, _)| *place);
    let price = |item: &str| book.get(item).map_or(0.0, |(_, row)| row.figure.likely);
    let cables = cables(sites, &chosen, rules, place, price);
    let mut items = sums(sites, &chosen);
    for item in &mut items {
        let drums = || cables.iter().filter(|cable| cable.item == item.item);
        if drums().next().is_some() {
            item.to_order = drums().map(|cable| cable.ordered_m * cable.priced_m).sum();
        }
        let charges: Pence = drums().map(|cable| cable.charges).sum();
        let likely = book.get(item.item).map(|(_, row)| row.figure.likely);
        item.cost_ordered = likely.map(|price| Pence::from_pounds(item.to_order * price) + charges);
    }
    items.sort_by_key(|item| (place(item.item), item.item));
    Order { choice: asked.words.clone(), sites: chosen.len() as u32, left_out, items, cables }
}

/// The bills of the chosen sites, added up by item.
fn sums(sites: &[Ranked], chosen: &[usize]) -> Vec<OrderItem> {
    let mut items: BTreeMap<&'static str, OrderItem> = BTreeMap::new();
    for site in chosen.iter().filter_map(|index| sites.get(*index)) {
        let mut here = BTreeSet::new();
        for line in site.judgement.estimate.iter().flat_map(|estimate| &estimate.bill) {
            let item = items.entry(line.item).or_insert(OrderItem {
                item: line.item,
                needed: Band::default(),
                to_order: 0.0,
                packs: Vec::new(),
                sites: 0,
                cost: CostBand::default(),
                cost_ordered: None,
            });
            item.needed = item.needed.plus(line.quantity);
            item.cost = item.cost.plus(line.cost);
            item.sites += u32::from(here.insert(line.item));
        }
    }
    let whole = |item: OrderItem| {
        let units = (item.needed.likely - 1e-6).ceil().max(0.0);
        let packs = how_bought::packs(item.item, units as u64);
        let in_packs: f64 = packs.iter().map(|pack| f64::from(pack.count) * f64::from(pack.size)).sum();
        OrderItem { to_order: in_packs.max(units), packs, ..item }
    };
    items.into_values().map(whole).collect()
}

/// Cables that are cut from the same drums: place of the item in the price book, make-up, size in hundredths of a mm2,
/// colour.
type CableKey = (usize, &'static str, Option<CableFamily>, i64, &'static str);

/// The pieces of the chosen sites, cut cable by cable.
fn cables(
    sites: &[Ranked],
    chosen: &[usize],
    rules: &OrderRules,
    place: impl Fn(&str) -> usize,
    price: impl Fn(&str) -> f64,
) -> Vec<CableOrder> {
    let mut by_cable: BTreeMap<CableKey, Vec<(usize, &Piece)>> = BTreeMap::new();
    for index in chosen {
        let estimate = sites.get(*index).and_then(|site| site.judgement.estimate.as_ref());
        for piece in estimate.iter().flat_map(|estimate| &estimate.pieces) {
            let size = piece.cable.map_or(0, |cable| (cable.csa_mm2 * 100.0).round() as i64);
            let key = (place(piece.item), piece.item, piece.cable.map(|cable| cable.family), size, piece.core);
            by_cable.entry(key).or_default().push((*index, piece));
        }
    }
    let mut drums_before = 0;
    by_cable.into_values().map(|pieces| one_cable(&pieces, rules, &price, &mut drums_before)).collect()
}

/// Length at which a piece is cut, decimetres: its likely length, the margin of the rules towards its high end, rounded
/// up to the step of the rules.
fn length_to_cut_dm(length_m: Band, rules: &OrderRules) -> u32 {
    let wanted_m = length_m.likely + rules.length_margin_share * (length_m.high - length_m.likely);
    let step_dm = (rules.cut_step_m * DM_PER_M).round().max(1.0);
    let steps = (wanted_m.clamp(0.0, LONGEST_PIECE_M) * DM_PER_M / step_dm - 1e-6).ceil().max(0.0);
    (steps * step_dm) as u32
}

fn one_cable(
    pieces: &[(usize, &Piece)],
    rules: &OrderRules,
    price: impl Fn(&str) -> f64,
    drums_before: &mut u32,
) -> CableOrder {
    let metres = |decimetres: u64| decimetres as f64 / DM_PER_M;
    let first = pieces.first().map(|(_, piece)| *piece);
    let (item, cable) = first.map_or(("", None), |piece| (piece.item, piece.cable));
    let (csa_mm2, priced_m) = (cable.map_or(0.0, |cable| cable.csa_mm2), first.map_or(1.0, |piece| piece.priced_m));
    let lengths: Vec<u32> = pieces.iter().map(|(_, piece)| length_to_cut_dm(piece.length_m, rules)).collect();
    let stock_m = stock_lengths::stock_lengths_m(item, csa_mm2);
    let stock: Vec<u32> = stock_m.iter().map(|length| length * DM_PER_M as u32).collect();
    let terms = cut_to_length::terms(item, csa_mm2);
    let bought_dm = |length: u32| terms.map_or(length, |terms| terms.bought_m(length) * DM_PER_M as u32);
    let alone = |length: &u32| cost_alone(bought_dm(*length), terms?.charge, price(item) * priced_m / DM_PER_M);
    let alone: Vec<Option<u64>> = lengths.iter().map(alone).collect();
    let Either { plan, alone, .. } = cut_or_buy(&lengths, &stock, &alone);
    let whole = plan.drums.iter().map(|drum| (drum.stock, drum.made_to_length, false, drum.pieces.clone()));
    let length_of = |index: &usize| lengths.get(*index).copied().unwrap_or(0);
    let cut_alone = alone.iter().map(|index| (bought_dm(length_of(index)), false, true, vec![*index]));
    let drums = whole.chain(cut_alone).map(|(stock, made_to_length, cut_to_length, on_it)| {
        *drums_before += 1;
        let mut left = u64::from(stock);
        let cuts = on_it.iter().filter_map(|index| {
            let ((site, piece), length) = (pieces.get(*index)?, u64::from(*lengths.get(*index)?));
            left = left.saturating_sub(length);
            Some(Cut {
                site: *site,
                role: piece.role,
                number: piece.number,
                of: piece.of,
                likely_m: piece.length_m.likely,
                length_m: metres(length),
                left_m: metres(left),
            })
        });
        let (number, cuts, stock_m) = (*drums_before, cuts.collect(), metres(u64::from(stock)));
        Drum { number, stock_m, made_to_length, cut_to_length, cuts }
    });
    let drums: Vec<Drum> = drums.collect();
    let alone_used: u64 = alone.iter().map(|index| u64::from(length_of(index))).sum();
    let alone_bought: u64 = alone.iter().map(|index| u64::from(bought_dm(length_of(index)))).sum();
    CableOrder {
        item,
        cable,
        core: first.map_or("", |piece| piece.core),
        pieces: drums.iter().map(|drum| drum.cuts.len() as u32).sum(),
        likely_m: pieces.iter().map(|(_, piece)| piece.length_m.likely).sum(),
        cut_m: metres(plan.used + alone_used),
        ordered_m: metres(plan.ordered + alone_bought),
        covering_m: metres(plan.covering + alone_bought),
        bound_m: metres(plan.bound + alone_bought),
        priced_m,
        drums,
        charges: alone.iter().filter_map(|_| terms).map(|terms| terms.charge).sum(),
    }
}

/// What a piece costs cut to length, in thousandths of a decimetre of the cable, rounded up; `None` where the cable has
/// no price to weigh the charge against.
fn cost_alone(bought_dm: u32, charge: Pence, pounds_a_dm: f64) -> Option<u64> {
    let charge = charge.pounds() / pounds_a_dm * UNIT as f64;
    (pounds_a_dm > 0.0 && charge < 1e12).then(|| u64::from(bought_dm) * UNIT + charge.ceil() as u64)
}
