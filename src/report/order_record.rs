//! The order and the cutting list in the JSON document. Names carry their unit.

use super::Run;
use super::cutting::{cable_in_words, run_in_words};
use super::materials::PriceIndex;
use crate::order::{CableOrder, Cut, Drum, OrderItem, Pack};
use crate::quantity::round_to;
use schemars::JsonSchema;
use serde::Serialize;

/// What to buy for the sites chosen.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct OrderRecord<'a> {
    /// Which sites were asked for, in words.
    pub choice: &'a str,
    /// Sites that it is for.
    pub sites: u32,
    /// Sites asked for that nothing was designed for.
    pub left_out: Vec<&'a str>,
    /// Sum of the bills before tax, likely, pounds.
    pub cost_likely_gbp: f64,
    /// What is ordered at likely prices, before tax, pounds.
    pub cost_ordered_gbp: f64,
    /// Items, in the order of the price book.
    pub items: Vec<OrderItemRecord<'a>>,
    /// Cables, each with its drums and what is cut from them.
    pub cables: Vec<CableRecord<'a>>,
}

/// One item over all sites of the order.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct OrderItemRecord<'a> {
    /// Item code of the price book.
    pub item: &'static str,
    /// Unit of the price book; empty where the book does not hold the item.
    pub unit: &'a str,
    /// Sum of the bills, low.
    pub quantity_low: f64,
    /// Likely.
    pub quantity_likely: f64,
    /// High.
    pub quantity_high: f64,
    /// What to order: whole units, lengths and packs; cable in whole drums.
    pub quantity_to_order: f64,
    /// The lengths or packs of that; empty for cable and for what is sold by the unit.
    pub packs: Vec<PackRecord>,
    /// Sites whose bill holds it.
    pub sites: u32,
    /// Sum of the bills before tax, likely, pounds.
    pub cost_likely_gbp: f64,
    /// What is ordered at the likely price, pounds; null where the book does not hold the item.
    pub cost_ordered_gbp: Option<f64>,
}

/// Lengths or packs of one size.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct PackRecord {
    /// What one is: "coil of 50 m".
    pub pack: String,
    /// What one holds, in the unit of the item.
    pub size: u32,
    /// How many to order.
    pub count: u32,
}

/// One cable over all sites of the order.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct CableRecord<'a> {
    /// Item code of the price book.
    pub item: &'static str,
    /// The cable in words.
    pub cable: String,
    /// Pieces.
    pub pieces: u32,
    /// Length laid, likely.
    pub laid_likely_m: f64,
    /// Length of the pieces as they are cut, with the margin of the rules.
    pub cut_m: f64,
    /// Length ordered.
    pub ordered_m: f64,
    /// What is left of drums and coils.
    pub left_over_m: f64,
    /// The least total of stock lengths that covers the pieces.
    pub covering_m: f64,
    /// What no plan can go below.
    pub bound_m: f64,
    /// How far the order lies above that, as a share of it.
    pub gap_share: f64,
    /// Charges for cutting to length before tax, pounds.
    pub cutting_charges_gbp: f64,
    /// Drums and coils, then pieces bought cut to length.
    pub drums: Vec<DrumRecord<'a>>,
}

/// One drum or coil.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct DrumRecord<'a> {
    /// Number within the order.
    pub drum: u32,
    /// Length.
    pub stock_m: f64,
    /// Whether it is made to the length of its one piece, longer than any in stock.
    pub made_to_length: bool,
    /// Whether it is one piece that the seller cuts to length, because that costs less than a drum.
    pub cut_to_length: bool,
    /// What is left once everything is cut.
    pub left_m: f64,
    /// Pieces in the order of cutting.
    pub cuts: Vec<CutRecord<'a>>,
}

/// One piece.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct CutRecord<'a> {
    /// Its site.
    pub site_id: &'a str,
    /// Row of the site in the user's sheet.
    pub row: u32,
    /// Which run it is.
    pub run: String,
    /// Length laid, likely.
    pub laid_likely_m: f64,
    /// Length to cut.
    pub length_m: f64,
}

impl<'a> OrderRecord<'a> {
    /// The order of a run.
    pub fn new(run: &Run<'a>) -> Self {
        let order = run.order;
        let prices = PriceIndex::of(run.prices);
        let id = |index: &usize| run.portfolio.sites.get(*index).map(|site| site.judgement.brief.site_id.as_str());
        let cost = |of: fn(&OrderItem) -> i64| order.items.iter().map(of).sum::<i64>() as f64 / 100.0;
        Self {
            choice: &order.choice,
            sites: order.sites,
            left_out: order.left_out.iter().filter_map(id).collect(),
            cost_likely_gbp: cost(|item| item.cost.likely.0),
            cost_ordered_gbp: cost(|item| item.cost_ordered.map_or(0, |pence| pence.0)),
            items: order.items.iter().map(|item| item_record(item, &prices)).collect(),
            cables: order.cables.iter().map(|cable| cable_record(run, cable)).collect(),
        }
    }
}

fn item_record<'a>(item: &'a OrderItem, prices: &PriceIndex<'a>) -> OrderItemRecord<'a> {
    OrderItemRecord {
        item: item.item,
        unit: prices.words(item.item).1,
        quantity_low: round_to(item.needed.low, 3),
        quantity_likely: round_to(item.needed.likely, 3),
        quantity_high: round_to(item.needed.high, 3),
        quantity_to_order: round_to(item.to_order, 3),
        packs: item.packs.iter().map(pack_record).collect(),
        sites: item.sites,
        cost_likely_gbp: item.cost.likely.pounds(),
        cost_ordered_gbp: item.cost_ordered.map(|pence| pence.pounds()),
    }
}

fn pack_record(pack: &Pack) -> PackRecord {
    PackRecord { pack: pack.words.replace('#', &pack.size.to_string()), size: pack.size, count: pack.count }
}

fn cable_record<'a>(run: &Run<'a>, cable: &'a CableOrder) -> CableRecord<'a> {
    let cut_record = |cut: &'a Cut| {
        let site = run.portfolio.sites.get(cut.site).map(|site| &site.judgement.brief);
        CutRecord {
            site_id: site.map_or("", |site| site.site_id.as_str()),
            row: site.map_or(0, |site| site.row),
            run: run_in_words(cut),
            laid_likely_m: round_to(cut.likely_m, 1),
            length_m: cut.length_m,
        }
    };
    let drum_record = |drum: &'a Drum| DrumRecord {
        drum: drum.number,
        stock_m: drum.stock_m,
        made_to_length: drum.made_to_length,
        cut_to_length: drum.cut_to_length,
        left_m: drum.cuts.last().map_or(drum.stock_m, |cut| cut.left_m),
        cuts: drum.cuts.iter().map(cut_record).collect(),
    };
    CableRecord {
        item: cable.item,
        cable: cable_in_words(cable),
        pieces: cable.pieces,
        laid_likely_m: round_to(cable.likely_m, 1),
        cut_m: cable.cut_m,
        ordered_m: cable.ordered_m,
        left_over_m: round_to(cable.waste_m(), 1),
        covering_m: cable.covering_m,
        bound_m: cable.bound_m,
        cutting_charges_gbp: cable.charges.pounds(),
        gap_share: round_to(cable.gap_share(), 4),
        drums: cable.drums.iter().map(drum_record).collect(),
    }
}
