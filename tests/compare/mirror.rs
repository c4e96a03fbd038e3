//! What must hold between the changes from one result to another and those the other way: each is the mirror of the
//! other, in every list, count and sum.

use serde_json::{Map, Value};
use std::collections::BTreeMap;

/// Names whose values change places when results do; a site of the later result may be plain `site_id`.
fn other_side(name: &str, one_named: bool) -> String {
    match name {
        "came" => "went".to_owned(),
        "went" => "came".to_owned(),
        "reasons_came" => "reasons_went".to_owned(),
        "reasons_went" => "reasons_came".to_owned(),
        "site_id" => "site_id_before".to_owned(),
        "site_id_before" if one_named => "site_id".to_owned(),
        _ if name.contains("before") => name.replace("before", "after"),
        _ => name.replace("after", "before"),
    }
}

/// Words that change places.
fn other_word(word: &str) -> &str {
    match word {
        "no longer assumed" => "now assumed",
        "now assumed" => "no longer assumed",
        "no longer decides" => "decides now",
        "decides now" => "no longer decides",
        "now has a cost" => "no longer has a cost",
        "no longer has a cost" => "now has a cost",
        "now priced" => "no longer priced",
        "no longer priced" => "now priced",
        "came" => "went",
        "went" => "came",
        other => other,
    }
}

/// The document as it must be when its results are swapped; sentences, which read one way, are left out.
fn mirrored(value: &Value, within: &str) -> Value {
    match value {
        Value::Object(fields) => {
            let alone = within == "came" || within == "went";
            let mut other = BTreeMap::new();
            for (name, value) in fields {
                if matches!(name.as_str(), "why" | "said" | "what")
                    && value.is_string()
                    && !fields.contains_key("more_gbp")
                {
                    continue;
                }
                // A site of one result alone has one name; every other record has two.
                let renamed = if alone { name.clone() } else { other_side(name, fields.contains_key("site_id")) };
                let value = match (name.as_str(), value) {
                    ("more_gbp" | "cost_more_gbp" | "places_risen", Value::Number(number)) => {
                        let number = number.as_f64().unwrap();
                        Value::from(if number == 0.0 { 0.0 } else { -number })
                    }
                    _ => mirrored(value, name),
                };
                other.insert(renamed, value);
            }
            named(other)
        }
        Value::Array(list) => sorted(list.iter().map(|value| mirrored(value, within)).collect()),
        Value::String(word) => Value::from(other_word(word)),
        Value::Number(number) => Value::from(number.as_f64().unwrap()),
        other => other.clone(),
    }
}

/// The document itself in the same form: numbers as such, lists in one order.
fn plain(value: &Value) -> Value {
    match value {
        Value::Object(fields) => {
            let kept = fields.iter().filter(|(name, value)| {
                !(matches!(name.as_str(), "why" | "said" | "what")
                    && value.is_string()
                    && !fields.contains_key("more_gbp"))
            });
            named(kept.map(|(name, value)| (name.clone(), plain(value))).collect())
        }
        Value::Array(list) => sorted(list.iter().map(plain).collect()),
        Value::Number(number) => Value::from(number.as_f64().unwrap()),
        other => other.clone(),
    }
}

/// Entries in one order.
fn sorted(mut list: Vec<Value>) -> Value {
    list.sort_by_cached_key(Value::to_string);
    Value::Array(list)
}

/// Fields in one order.
fn named(fields: BTreeMap<String, Value>) -> Value {
    fields.into_iter().collect::<Map<_, _>>().into()
}

/// Holds that `back` is the mirror of `there`.
pub fn assert_mirror(there: &Value, back: &Value, round: &str) {
    let (wanted, found) = (mirrored(there, ""), plain(back));
    for (name, value) in found.as_object().unwrap() {
        assert_eq!(Some(value), wanted.get(name), "{round}: {name} is not mirrored");
    }
    // The order of what matters is the same either way.
    let order = |document: &Value, name: &str| -> Vec<Value> {
        document["changed"].as_array().unwrap().iter().map(|one| one[name].clone()).collect()
    };
    assert_eq!(order(there, "site_id"), order(back, "site_id_before"), "{round}: another order");
}

/// Holds what must hold in any comparison: nobody twice, counts and sums that add up.
pub fn assert_whole(found: &Value, before: &Value, after: &Value, round: &str) {
    let list = |name: &str| found[name].as_array().unwrap();
    let pence = |value: &Value| (value.as_f64().unwrap_or(0.0) * 100.0).round() as i64;
    let parts: i64 = list("cost_parts").iter().map(|part| pence(&part["more_gbp"])).sum();
    let (old, new) = (pence(&found["cost_before_gbp"]), pence(&found["cost_after_gbp"]));
    assert_eq!(new - old, parts, "{round}: the parts do not add up");
    let count = |side: &str| -> u64 {
        list("moves").iter().filter(|one| !one[side].is_null()).map(|one| one["sites"].as_u64().unwrap()).sum()
    };
    let sites = |document: &Value| document["sites"].as_array().unwrap().len() as u64;
    assert_eq!((count("before"), count("after")), (sites(before), sites(after)), "{round}: a site is lost");
    let (both, came, went) = (found["sites_in_both"].as_u64().unwrap(), list("came").len(), list("went").len());
    assert_eq!((both + went as u64, both + came as u64), (sites(before), sites(after)), "{round}");
    for one in list("changed") {
        let more = pence(&one["cost_more_gbp"]);
        let items: i64 = one["items"]
            .as_array()
            .unwrap()
            .iter()
            .map(|item| pence(&item["cost_after_gbp"]) - pence(&item["cost_before_gbp"]))
            .sum();
        let told = matches!(one["cost_moved_by"].as_str(), Some("prices" | "design" | "same"));
        assert!(!told || items == more, "{round}: items of {} come to {items} of {more}", one["site_id"]);
    }
}
