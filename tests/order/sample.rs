//! The order of the sample portfolio: near what no plan can go below, every piece once, every sum that of the bills.

use baywright::estimate::{ItemKind, Piece, PriceBook};
use baywright::intake::{ReadOptions, read_with};
use baywright::order::{CableOrder, Order, order};
use baywright::portfolio::{Choice, NoSuch};
use baywright::portfolio::{Portfolio, Ranked, rank};
use baywright::quantity::CostBand;
use baywright::rules::{OrderRules, Stance, default_rules};
use baywright::site::Verdict;
use baywright::verdict::{Context, judge};
use std::collections::BTreeMap;
use std::path::Path;
use std::sync::OnceLock;

fn portfolio() -> &'static Portfolio {
    static SAMPLE: OnceLock<Portfolio> = OnceLock::new();
    SAMPLE.get_or_init(|| {
        let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("sample-portfolio/portfolio.xlsx");
        let intake = read_with(&file, &[], &ReadOptions::default()).expect("the sample");
        let prices = PriceBook::default_book().clone().with_charge_points(default_rules()).expect("the default book");
        let as_of = intake.newest_date.expect("a date in the sample");
        let context = Context { rules: default_rules(), prices: &prices, stance: Stance::Screen, as_of, odds: false };
        rank(intake.sites.iter().map(|site| judge(site, &context)), default_rules())
    })
}

fn ordered(choice: &Choice) -> Order {
    ordered_by(choice, &default_rules().order)
}

fn ordered_by(choice: &Choice, rules: &OrderRules) -> Order {
    let sites = &portfolio().sites;
    let chosen = choice.chosen(sites).expect("a choice that exists");
    order(sites, &chosen, rules, PriceBook::default_book())
}

fn chosen(fits: impl Fn(&Ranked) -> bool) -> Vec<&'static Ranked> {
    portfolio().sites.iter().filter(|site| fits(site) && site.judgement.estimate.is_some()).collect()
}

fn is_ready(site: &Ranked) -> bool {
    site.judgement.counted_verdict() == Verdict::Ready
}

#[test]
fn every_cable_lies_within_a_hundredth_of_what_no_plan_can_go_below() {
    for choice in [Choice::Ready, Choice::Marginal, Choice::All] {
        let order = ordered(&choice);
        assert!(order.cables.len() > 10, "{} cables", order.cables.len());
        for cable in &order.cables {
            assert!(cable.gap_share() < 0.01, "{choice:?}, {}: {}", cable.item, cable.gap_share());
            assert!(cable.likely_m <= cable.cut_m + 1e-6 && cable.cut_m <= cable.covering_m + 1e-6);
            assert!(cable.covering_m <= cable.bound_m && cable.bound_m <= cable.ordered_m);
        }
        let sum = |of: fn(&CableOrder) -> f64| order.cables.iter().map(of).sum::<f64>();
        let (total, bound) = (sum(|cable| cable.ordered_m), sum(|cable| cable.bound_m));
        assert!(total / bound < 1.01, "{choice:?}: {total} over {bound}");
        // What is ordered unless asked otherwise needs no more than the least that covers the pieces.
        let covering = sum(|cable| cable.covering_m);
        assert!(choice != Choice::Ready || total / covering < 1.01, "{total} over {covering}");
    }
}

#[test]
fn every_piece_of_every_site_is_cut_once_and_long_enough() {
    let order = ordered(&Choice::Ready);
    let mut wanted: BTreeMap<(usize, &str, u32, String), Vec<&Piece>> = BTreeMap::new();
    for (index, site) in portfolio().sites.iter().enumerate().filter(|(_, site)| is_ready(site)) {
        for piece in site.judgement.estimate.iter().flat_map(|estimate| &estimate.pieces) {
            let key = (index, piece.item, piece.number, format!("{:?} {}", piece.role, piece.core));
            wanted.entry(key).or_default().push(piece);
        }
    }
    let total: usize = wanted.values().map(Vec::len).sum();
    let mut cut = 0;
    for cable in &order.cables {
        for drum in &cable.drums {
            let mut left = drum.stock_m;
            for piece in &drum.cuts {
                let key = (piece.site, cable.item, piece.number, format!("{:?} {}", piece.role, cable.core));
                let asked = wanted.get_mut(&key).and_then(Vec::pop).expect("a piece that a site takes, once");
                assert!(piece.length_m >= asked.length_m.high - 1e-6, "shorter than its high length");
                assert!(piece.length_m < asked.length_m.high + 0.5, "more than a step too long");
                left -= piece.length_m;
                assert!((left - piece.left_m).abs() < 1e-6 && left > -1e-6);
                cut += 1;
            }
        }
    }
    assert!(cut == total && total > 150, "{cut} of {total} pieces");
    let numbers: Vec<u32> = order.cables.iter().flat_map(|cable| &cable.drums).map(|drum| drum.number).collect();
    assert!(numbers.iter().copied().eq(1..=numbers.len() as u32), "drums are numbered through");
}

#[test]
fn sums_are_those_of_the_bills_to_the_piece_and_to_the_penny() {
    for (choice, sites) in [
        (Choice::Ready, chosen(is_ready)),
        (Choice::All, chosen(|_| true)),
        (Choice::Lot("3 coast".into()), chosen(|site| is_ready(site) && site.judgement.brief.lot == "3 Coast")),
    ] {
        let order = ordered(&choice);
        assert_eq!(order.sites as usize, sites.len());
        let lines = || sites.iter().flat_map(|site| &site.judgement.estimate).flat_map(|estimate| &estimate.bill);
        let all = || order.items.iter();
        assert_eq!(all().map(|item| item.cost).sum::<CostBand>(), lines().map(|line| line.cost).sum());
        for item in &order.items {
            let quantity: f64 = lines().filter(|line| line.item == item.item).map(|line| line.quantity.likely).sum();
            assert!((item.needed.likely - quantity).abs() < 1e-6, "{}", item.item);
            let is_cable = order.cables.iter().any(|cable| cable.item == item.item);
            // Whole units, or whole packs that add up to it: never one of the smallest too many.
            let in_packs: f64 = item.packs.iter().map(|pack| f64::from(pack.size * pack.count)).sum();
            let one = item.packs.iter().map(|pack| pack.size).min().map_or(1.0, f64::from);
            let smallest = if item.item == "duct" || item.item == "electrode-conductor" { 25.0 } else { one };
            let whole = item.to_order.fract() == 0.0 && (item.packs.is_empty() || item.to_order == in_packs);
            let enough = (0.0..smallest).contains(&(item.to_order - quantity + 1e-6));
            assert!(is_cable || (whole && enough), "{}: {} for {quantity}", item.item, item.to_order);
        }
        let items = lines().map(|line| line.item).collect::<std::collections::BTreeSet<_>>();
        assert_eq!(items.len(), all().count());
    }
}

#[test]
fn only_what_is_bought_or_delivered_is_ordered() {
    let order = ordered(&Choice::All);
    let kind = |code: &str| PriceBook::default_book().items().iter().find(|item| item.code == code).map(|i| i.kind);
    for item in &order.items {
        assert!(matches!(kind(item.item), Some(ItemKind::Material | ItemKind::Service)), "{}", item.item);
    }
    let in_lengths = ["duct", "cable-tray", "trunking-mini", "clips-small", "gland-armoured-small"];
    for code in in_lengths {
        let item = order.items.iter().find(|item| item.item == code).expect("it is in the sample");
        assert!(!item.packs.is_empty(), "{code}");
    }
}

#[test]
fn large_cable_is_cut_to_length_where_that_is_cheaper_and_the_cost_says_so() {
    let order = ordered(&Choice::All);
    let mut cut = 0;
    for item in &order.items {
        let cables = || order.cables.iter().filter(|cable| cable.item == item.item);
        let charges: i64 = cables().map(|cable| cable.charges.0).sum();
        let price = PriceBook::default_book().items().iter().find(|row| row.code == item.item).expect("in the book");
        let pence = (item.to_order * price.figure.likely * 100.0).round() as i64 + charges;
        assert!((item.cost_ordered.expect("it has a price").0 - pence).abs() <= 1, "{}", item.item);
        for drum in cables().flat_map(|cable| &cable.drums).filter(|drum| drum.cut_to_length) {
            cut += 1;
            assert!(drum.cuts.len() == 1 && drum.cuts[0].left_m >= 0.0, "{}: {drum:?}", item.item);
            assert!(charges > 0 && drum.stock_m.fract() == 0.0, "{}: {drum:?}", item.item);
        }
        let small = cables().filter_map(|cable| cable.cable).all(|cable| cable.csa_mm2 <= 6.0);
        assert!(!small || charges == 0, "{}: small cable comes in whole lengths", item.item);
    }
    assert!(cut > 0, "no large piece in the sample");
}

#[test]
fn a_list_chooses_its_sites_and_says_which_it_cannot_order_for() {
    let blocked = portfolio().sites.iter().position(|site| site.judgement.estimate.is_none()).expect("a blocked site");
    let id = |place: usize| portfolio().sites[place].judgement.brief.site_id.clone();
    let list = |sites: Vec<String>| Choice::Named { list: "october.txt".into(), sites };
    let order_of = ordered(&list(vec![id(3), id(0), id(blocked), id(3)]));
    assert_eq!((order_of.sites, order_of.left_out), (2, vec![blocked]));
    let unknown = list(vec![id(0), "nowhere".into()]);
    let refused = unknown.chosen(&portfolio().sites);
    assert_eq!(refused.err(), Some(NoSuch::Sites(vec!["nowhere".into()])));
    let no_lot = Choice::Lot("9 Moon".into()).chosen(&portfolio().sites);
    assert!(matches!(no_lot.err(), Some(NoSuch::Lot(lots)) if lots.len() == 4));
}

#[test]
fn the_margin_of_the_rules_lengthens_pieces_and_nothing_else() {
    let mut rules = default_rules().order.clone();
    rules.length_margin_share = 0.0;
    let bare = ordered_by(&Choice::Ready, &rules);
    let full = ordered(&Choice::Ready);
    let cut = |order: &Order| order.cables.iter().map(|cable| cable.cut_m).sum::<f64>();
    let needed = |order: &Order| order.items.iter().map(|item| (item.item, item.needed, item.cost)).collect::<Vec<_>>();
    assert!(cut(&bare) < cut(&full));
    assert_eq!(needed(&bare), needed(&full));
}
