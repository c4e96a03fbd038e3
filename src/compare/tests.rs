//! The shape of a comparison on documents of a few sites.

use super::*;
use serde_json::{Value, json};

/// A document of these sites with digests of portfolio, rules and prices.
fn document(digests: [&str; 3], sites: Vec<Value>) -> ResultRead {
    let file = |digest: &str| json!({ "name": format!("{digest}.x"), "sha256": digest });
    let [portfolio, rules, prices] = digests.map(file);
    let whole = json!({
        "baywright": "0.1.0",
        "inputs": { "portfolio": portfolio, "rules": rules, "price_book": prices, "with": [] },
        "summary": { "stance": "screen", "as_of": "2026-11-12" },
        "sites": sites,
    });
    read("a.json", whole.to_string().as_bytes()).unwrap()
}

fn site(id: &str, rank: u32, more: Value) -> Value {
    let mut site = json!({
        "site_id": id, "rank": rank, "verdict": "ready", "uprn": null, "address": format!("{rank} Fennel Row, Tarnholt"),
        "postcode": "QX4 7LP", "reasons": [], "override_verdict": null, "verdict_with_neighbours": null,
        "operator_route": "notify", "charging_current_a": 32.0, "point_phases": 1, "control": "none", "points": 1,
        "points_served": null, "group_limit_a": null, "existing_demand_a": 20.0, "supply_limit_a": 80.0,
        "cost_likely_gbp": 1000.0, "decisive_unknowns": [], "findings": [], "assumed": [],
        "bill": [{ "item": "cable", "quantity": 10.0, "unit": "m", "cost_likely_gbp": 400.0 }],
        "tasks": [{ "task": "lay", "hours_likely": 8.0 }],
    });
    for (name, value) in more.as_object().unwrap() {
        site[name] = value.clone();
    }
    site
}

fn both(one: Vec<Value>, two: Vec<Value>) -> Vec<(usize, usize, By)> {
    let (before, after) = (document(["p", "r", "b"], one), document(["p", "r", "b"], two));
    let mirrored = matching::pairs(&after.sites, &before.sites);
    let pairs = matching::pairs(&before.sites, &after.sites);
    let mut back: Vec<_> = mirrored.iter().map(|pair| (pair.after, pair.before, pair.by)).collect();
    back.sort_by_key(|(_, after, _)| *after);
    let found: Vec<_> = pairs.iter().map(|pair| (pair.before, pair.after, pair.by)).collect();
    assert_eq!(found, back, "swapped results give other pairs");
    found
}

#[test]
fn a_site_is_found_by_its_property_number_then_its_key_then_its_address() {
    let one = vec![
        site("A1", 1, json!({ "uprn": "100001" })),
        site("A2", 2, json!({})),
        site("A3", 3, json!({})),
        site("A4", 4, json!({ "address": "14 Kiln House, Quernholt" })),
        site("A5", 5, json!({ "address": "Rose Cottage" })),
    ];
    let two = vec![
        site("B9", 9, json!({ "uprn": "0100001", "address": "The Old Forge" })),
        site("a2 ", 2, json!({})),
        site("C3", 3, json!({})),
        site("C4", 4, json!({ "address": "14 Kiln Hous Quernholt" })),
        site("A5", 5, json!({ "address": "The Cottage" })),
    ];
    let wanted = [By::Uprn, By::SiteId, By::Address, By::Spelling, By::SiteIdAlone];
    let found = both(one, two);
    assert_eq!(
        found.iter().map(|(before, after, _)| (*before, *after)).collect::<Vec<_>>(),
        [(0, 0), (1, 1), (2, 2), (3, 3), (4, 4)]
    );
    assert_eq!(found.iter().map(|(.., by)| *by).collect::<Vec<_>>(), wanted);
}

#[test]
fn a_key_made_from_a_row_yields_to_the_address() {
    // A row went in above: every made key now stands beside another place.
    let one = vec![
        site("row-0002", 1, json!({ "address": "Rose Cottage, Mill Lane" })),
        site("row-0003", 2, json!({ "address": "Ivy Cottage, Mill Lane" })),
    ];
    let two = vec![
        site("row-0002", 1, json!({ "address": "Elm Cottage, Mill Lane" })),
        site("row-0003", 2, json!({ "address": "Rose Cottage, Mill Lane" })),
        site("row-0004", 3, json!({ "address": "Ivy Cottage, Mill Lane" })),
    ];
    assert_eq!(both(one, two), [(0, 1, By::Address), (1, 2, By::Address)]);
    // The same with sheets named, and where nothing but the key is told.
    let one = vec![site("sheet-2-row-0002", 1, json!({ "address": null, "postcode": null }))];
    assert_eq!(both(one.clone(), one), []);
}

#[test]
fn what_speaks_against_it_or_could_be_two_is_no_match() {
    let at = |id: &str, address: &str| site(id, 1, json!({ "address": address }));
    // Another number, another postcode.
    assert_eq!(both(vec![at("A1", "7 Fennel Row")], vec![at("A1", "9 Fennel Row")]), []);
    let moved = site("A1", 1, json!({ "address": "7 Fennel Row", "postcode": "QX9 9ZZ" }));
    assert_eq!(both(vec![at("A1", "7 Fennel Row")], vec![moved]), []);
    // Two of one key, two as like: neither is taken, and never two for one.
    assert_eq!(
        both(
            vec![at("A1", "7 Fennel Row, Tarnholt"), at("A1", "7 Fennel Row, Tarnholt")],
            vec![at("A1", "7 Fennel Row, Tarnholt")]
        ),
        []
    );
    let alike = vec![at("X1", "7 Fennell Row, Tarnholt"), at("X2", "7 Fennol Row, Tarnholt")];
    assert_eq!(both(vec![at("A1", "7 Fennel Row, Tarnholt")], alike), []);
    // Two that say the same of themselves on both sides, whatever they share.
    let flats = || vec![site("A1", 1, json!({ "uprn": "100001" })), site("A2", 1, json!({ "uprn": "100001" }))];
    assert_eq!(both(flats(), flats()), [(0, 0, By::SiteId), (1, 1, By::SiteId)]);
    // Other property numbers at one address are other places, unless the key says the same.
    let flat = |id: &str, uprn: &str| site(id, 1, json!({ "uprn": uprn }));
    assert_eq!(both(vec![flat("A1", "100001")], vec![flat("A2", "100002")]), []);
    assert_eq!(both(vec![flat("A1", "100001")], vec![flat("A1", "100002")]), [(0, 0, By::SiteId)]);
}

/// The only change between two documents of one site.
fn change_of(digests: [&str; 3], two: Value) -> (Money, Cause, Vec<Fact>) {
    let before = document(["p", "r", "b"], vec![site("A1", 1, json!({}))]);
    let after = document(digests, vec![two]);
    let found = compare(&before, &after);
    let [one] = found.changed.as_slice() else { panic!("{} changes", found.changed.len()) };
    (one.change.money.clone(), one.cause.clone(), one.change.facts.clone())
}

#[test]
fn the_same_quantities_are_a_price_and_others_are_a_design() {
    let dearer = json!({ "cost_likely_gbp": 1040.0,
        "bill": [{ "item": "cable", "quantity": 10.0, "unit": "m", "cost_likely_gbp": 440.0 }] });
    let (money, cause, _) = change_of(["p", "r", "other"], site("A1", 1, dearer));
    assert_eq!((money.kind, money.more()), (MoneyKind::Prices, Some(Pence(4_000))));
    assert_eq!((money.items[0].item.as_str(), money.items.len()), ("cable", 1));
    assert_eq!((cause.inputs, cause.sure), (vec![Input::Prices], true));
    // Labour is what remains of the cost: 600 pounds before, 690 after, for as many hours.
    let (money, ..) = change_of(["p", "r", "other"], site("A1", 1, json!({ "cost_likely_gbp": 1090.0 })));
    assert_eq!((money.kind, money.items[0].item.as_str()), (MoneyKind::Prices, LABOUR));
    assert_eq!((money.items[0].cost_before, money.items[0].cost_after), (Pence(60_000), Pence(69_000)));
    let longer = json!({ "cost_likely_gbp": 1250.0, "tasks": [{ "task": "lay", "hours_likely": 9.0 }],
        "bill": [{ "item": "cable", "quantity": 12.0, "unit": "m", "cost_likely_gbp": 480.0 },
                 { "item": "duct", "quantity": 12.0, "unit": "m", "cost_likely_gbp": 95.0 }] });
    let (money, ..) = change_of(["other", "r", "b"], site("A1", 1, longer));
    assert_eq!(money.kind, MoneyKind::Design);
    let moved: Vec<(&str, i64)> = money.items.iter().map(|item| (item.item.as_str(), item.more().0)).collect();
    assert_eq!(moved, [("duct", 9_500), ("cable", 8_000), (LABOUR, 7_500)]);
    let blocked = json!({ "verdict": "blocked", "cost_likely_gbp": null, "bill": [], "tasks": [] });
    assert_eq!(change_of(["other", "r", "b"], site("A1", 1, blocked)).0.kind, MoneyKind::NoLongerPriced);
}

#[test]
fn a_cause_is_singled_out_where_the_results_do_so_and_left_open_where_not() {
    let stated = || json!({ "decisive_unknowns": [], "existing_demand_a": 30.0, "supply_limit_a": 100.0 });
    let causes = |digests: [&str; 3], more: Value| {
        let (_, cause, _) = change_of(digests, site("A1", 1, more));
        (cause.inputs, cause.sure)
    };
    assert_eq!(causes(["other", "r", "b"], stated()), (vec![Input::Portfolio], true));
    assert_eq!(causes(["p", "other", "b"], stated()), (vec![Input::Rules], true));
    // Answers and prices: another demand is an answer, the price book alone moves a price of the same quantity.
    assert_eq!(causes(["other", "r", "other"], stated()), (vec![Input::Portfolio], true));
    let price = || json!({ "cost_likely_gbp": 1090.0 });
    assert_eq!(causes(["other", "r", "other"], price()), (vec![Input::Prices], true));
    // Rules may do to a fact what an answer does.
    assert_eq!(causes(["other", "other", "b"], stated()), (vec![Input::Portfolio], false));
    let reason = json!({ "verdict": "marginal", "reasons": ["limiter-needed"] });
    assert_eq!(causes(["other", "other", "b"], reason), (vec![Input::Portfolio, Input::Rules], false));
    // Nothing that the results name is another.
    assert_eq!(causes(["p", "r", "b"], stated()), (vec![], false));
}

#[test]
fn facts_that_are_settled_stated_or_assumed_anew_are_told() {
    let assumed = json!({ "assumed": [{ "field": "ze_ohm", "value": "0.35 Ω", "source": "x" }],
        "decisive_unknowns": ["looped_service"] });
    let (.., facts) = change_of(["other", "r", "b"], site("A1", 1, assumed));
    let ze = || ("ze_ohm".to_owned(), "0.35 Ω".to_owned());
    assert_eq!(facts, [Fact::NowDecides("looped_service".into()), Fact::NowAssumed(ze().0, ze().1)]);
}

#[test]
fn ranks_alone_are_listed_above_ten_places_and_newcomers_move_nobody() {
    let ranked = |ids: &[u32]| -> Vec<Value> {
        (1..)
            .zip(ids)
            .map(|(rank, id)| site(&format!("A{id}"), rank, json!({ "address": format!("{id} Fennel Row, Tarnholt") })))
            .collect()
    };
    let before = document(["p", "r", "b"], ranked(&(1..=30).collect::<Vec<_>>()));
    // The last becomes the first, and thirty others stand before all of them.
    let mut ids: Vec<u32> = (101..=130).collect();
    ids.push(30);
    ids.extend(1..=29);
    let after = document(["other", "r", "b"], ranked(&ids));
    let found = compare(&before, &after);
    let listed: Vec<&str> = found.changed.iter().map(|one| one.change.after.site_id.as_str()).collect();
    assert_eq!(listed, ["A30"]);
    assert!(found.changed[0].cause.others_only);
    assert_eq!((found.came.len(), found.went.len()), (30, 0));
    assert_eq!(found.ranks, RankSum { moved: 30, not_listed: 29, greatest: 29 });
}

#[test]
fn an_older_document_is_read_as_far_as_it_goes() {
    let mut old = site("A1", 1, json!({}));
    for name in ["assumed", "bill", "uprn"] {
        old.as_object_mut().unwrap().remove(name);
    }
    let before = document(["p", "r", "b"], vec![old]);
    assert_eq!(before.lacks, ["uprn", "assumed", "bill"]);
    let new = json!({ "uprn": "100001", "assumed": [{ "field": "ze_ohm", "value": "0.35 Ω", "source": "x" }] });
    let same = document(["p", "r", "b"], vec![site("A1", 1, new.clone())]);
    assert!(compare(&before, &same).is_empty(), "what one lacks is no change");
    let mut dearer = new;
    dearer["cost_likely_gbp"] = json!(1100.0);
    let after = document(["p", "r", "other"], vec![site("A1", 1, dearer)]);
    let found = compare(&before, &after);
    assert_eq!(found.changed[0].change.money.kind, MoneyKind::NotTold);
    assert_eq!(found.changed[0].change.money.more(), Some(Pence(10_000)));
}

#[test]
fn what_is_no_result_is_refused_in_a_sentence() {
    for (text, words) in [
        ("", "cannot be read"),
        ("{\"baywright\": \"1\", \"sites\": [", "line 1"),
        ("[1, 2]", "cannot be read"),
        ("{\"type\": \"FeatureCollection\", \"features\": []}", "no \"baywright\""),
        ("{\"baywright\": \"1\"}", "no \"sites\""),
        ("{\"baywright\": \"1\", \"sites\": [{\"site_id\": \"A\"}]}", "missing field `verdict`"),
        ("{\"baywright\": \"1\", \"sites\": [{\"site_id\": \"A\", \"verdict\": \"fine\"}]}", "is no verdict"),
        ("\u{0}\u{1}PK", "cannot be read"),
    ] {
        let said = read("some.json", text.as_bytes()).unwrap_err().to_string();
        assert!(said.starts_with("some.json ") && said.contains(words) && said.ends_with('.'), "{said}");
    }
    let marked = format!("\u{feff}{}", json!({ "baywright": "1", "sites": [] }));
    assert!(read("some.json", marked.as_bytes()).is_ok(), "a mark before UTF-8 is no fault");
}
