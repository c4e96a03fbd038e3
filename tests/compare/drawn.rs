//! Drawn small documents: whatever is other in them, the swapped comparison is the mirror, nobody is lost and sums add
//! up; a document against itself is empty.

use crate::draws::{Draws, number};
use crate::mirror::{assert_mirror, assert_whole};
use baywright::compare::{compare, read};
use baywright::report::write_changes_json;
use serde_json::{Value, json};

const ROUNDS: u64 = 400;

fn finding(draws: &mut Draws) -> Value {
    json!({
        "check": draws.one(&["demand-limit", "voltage-drop", "disconnection"]),
        "value": draws.below(9) as f64, "limit": if draws.chance(50) { Value::Null } else { json!(draws.below(3) as f64) },
        "unit": "A", "outcome": draws.one(&["pass", "fail", "noted"]), "effect": draws.one(&["none", "holds"]),
        "reason": null,
    })
}

/// One site, in a street short enough for sites to meet.
fn site(draws: &mut Draws, at: usize) -> Value {
    let verdict = *draws.one(&["ready", "marginal", "blocked"]);
    let some = |draws: &mut Draws, words: &[&str]| -> Vec<String> {
        words.iter().filter(|_| draws.chance(40)).map(|word| (*word).to_owned()).collect()
    };
    let priced = verdict != "blocked";
    let unit_price = [4.0, 4.4][draws.below(2)];
    let metres = [10.0, 12.0][draws.below(2)];
    let street = *draws.one(&["Fennel Row, Tarnholt", "Fennell Row Tarnholt", "Kiln Steps, Quernholt"]);
    let made = draws.chance(20);
    json!({
        "site_id": if made { format!("row-{:04}", draws.below(9)) } else { format!("H{at}") },
        "rank": at + 1, "verdict": verdict,
        "uprn": if draws.chance(40) { json!(format!("10000{}", draws.below(6))) } else { Value::Null },
        "address": if made || draws.chance(90) { json!(format!("{} {street}", draws.below(5))) } else { Value::Null },
        "postcode": if draws.chance(80) { json!("QX4 7LP") } else { Value::Null },
        "reasons": some(draws, &["cutout-unknown", "limiter-needed", "no-parking"]),
        "override_verdict": if draws.chance(8) { json!("ready") } else { Value::Null },
        "verdict_with_neighbours": if draws.chance(50) { json!(verdict) } else { Value::Null },
        "operator_route": "notify",
        "charging_current_a": if priced { json!([16.0, 32.0][draws.below(2)]) } else { Value::Null },
        "point_phases": 1, "control": draws.one(&["none", "local"]), "points": 1, "points_served": null,
        "group_limit_a": null, "existing_demand_a": draws.below(40) as f64, "supply_limit_a": 80.0,
        "cost_likely_gbp": if priced { json!(metres * unit_price + 30.25 * draws.below(3) as f64) } else { Value::Null },
        "decisive_unknowns": some(draws, &["looped_service", "cutout_evidence"]),
        "findings": (0..draws.below(4)).map(|_| finding(draws)).collect::<Vec<_>>(),
        "assumed": some(draws, &["ze_ohm", "tails_mm2"]).iter()
            .map(|field| json!({ "field": field, "value": format!("{}", draws.below(3)), "source": "x" }))
            .collect::<Vec<_>>(),
        "bill": if priced {
            json!([{ "item": "cable", "quantity": metres, "unit": "m", "cost_likely_gbp": metres * unit_price }])
        } else {
            json!([])
        },
        "tasks": if priced { json!([{ "task": "lay", "hours_likely": 1.5 }]) } else { json!([]) },
    })
}

fn document(draws: &mut Draws) -> Value {
    let file = |draws: &mut Draws| json!({ "name": "a", "sha256": draws.one(&["one", "two"]) });
    let many = draws.below(8);
    let mut sites: Vec<Value> = (0..many).map(|at| site(draws, at)).collect();
    // No result has one key twice.
    let mut taken = std::collections::BTreeSet::new();
    sites.retain(|site| taken.insert(site["site_id"].to_string()));
    if draws.chance(20) {
        // An older document lacks a field.
        let name = *draws.one(&["uprn", "assumed", "bill", "rank", "findings", "cost_likely_gbp"]);
        for site in &mut sites {
            site.as_object_mut().unwrap().remove(name);
        }
    }
    json!({
        "baywright": "0.1.0",
        "inputs": { "portfolio": file(draws), "rules": file(draws), "price_book": file(draws), "with": [] },
        "summary": { "stance": "screen", "as_of": "2026-11-12" },
        "sites": sites,
    })
}

fn changes(before: &Value, after: &Value) -> Value {
    let (one, two) = (read("one", before.to_string().as_bytes()), read("one", after.to_string().as_bytes()));
    let (one, two) = (one.unwrap(), two.unwrap());
    let mut bytes = Vec::new();
    write_changes_json(&compare(&one, &two), &[], &mut bytes).unwrap();
    serde_json::from_slice(&bytes).unwrap()
}

#[test]
fn swapped_documents_give_the_mirror_and_nobody_is_lost_or_doubled() {
    let rounds = number("COMPARE_ROUNDS").unwrap_or(ROUNDS);
    let (mut changed, mut respelt, mut alone) = (0, 0, 0);
    for round in 0..rounds {
        let mut draws = Draws::of(0x0c0a_9a8e, round);
        let (one, two) = (document(&mut draws), document(&mut draws));
        let named = format!("round {round}");
        let (there, back) = (changes(&one, &two), changes(&two, &one));
        assert_mirror(&there, &back, &named);
        assert_whole(&there, &one, &two, &named);
        let many = |name: &str| there[name].as_array().unwrap().len();
        changed += many("changed");
        respelt += many("respelt");
        alone += many("came") + many("went");
        let same = changes(&one, &one);
        let left = |name: &str| same[name].as_array().unwrap().len();
        assert_eq!((left("changed"), left("came"), left("went")), (0, 0, 0), "{named}: a document differs from itself");
        assert_eq!(same["ranks_moved"], 0, "{named}");
    }
    assert!(changed > 300 && respelt > 50 && alone > 300, "the draws have gone blind: {changed}, {respelt}, {alone}");
}
