//! The sample's programme as its user gets it: what its file asks, held against the document, site by site.

use super::{assessed, baywright, root, sample, text, with_copy};
use jiff::ToSpan;
use jiff::civil::Date;
use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};
use std::fs;

fn file() -> String {
    fs::read_to_string(root().join("sample-portfolio/programme.toml")).unwrap()
}

/// The sample's document with a programme file of this text.
fn programmed(asked: &str) -> Value {
    let folder = tempfile::tempdir().unwrap();
    let place = folder.path().join("programme.toml");
    fs::write(&place, asked).unwrap();
    assessed(&sample(), &["--programme", place.to_str().unwrap()]).1
}

fn list<'a>(document: &'a Value, name: &str) -> &'a [Value] {
    document["programme"][name].as_array().unwrap()
}

fn date(value: &Value) -> Date {
    value.as_str().unwrap().parse().unwrap()
}

fn by_site(document: &Value) -> BTreeMap<&str, &Value> {
    document["sites"].as_array().unwrap().iter().map(|site| (site["site_id"].as_str().unwrap(), site)).collect()
}

fn ids<'a>(document: &'a Value, name: &str) -> BTreeSet<&'a str> {
    list(document, name).iter().map(|site| site["site_id"].as_str().unwrap()).collect()
}

#[test]
fn the_samples_programme_keeps_what_its_file_asks() {
    let document = programmed(&file());
    let sites = by_site(&document);
    let (done, left) = (ids(&document, "done"), ids(&document, "left_out"));
    assert_eq!(done.len() + left.len(), sites.len());
    assert!(done.is_disjoint(&left) && done.len() > 100, "{}", done.len());
    let as_of = date(&document["summary"]["as_of"]);
    let periods = list(&document, "periods");
    let mut spent = vec![0.0; periods.len()];
    let mut worth = 0.0;
    for done in list(&document, "done") {
        let site = sites[done["site_id"].as_str().unwrap()];
        let period = done["period"].as_u64().unwrap() as usize - 1;
        let (begins, finished) = (date(&done["begins"]), date(&done["finished"]));
        let counted = site["override_verdict"].as_str().unwrap_or_else(|| site["verdict"].as_str().unwrap());
        assert_ne!(counted, "blocked", "{site}");
        assert!(date(&periods[period]["from"]) <= finished && finished <= date(&periods[period]["to"]), "{done}");
        let weeks = site["weeks_likely"].as_i64().unwrap_or(0);
        assert!(begins >= as_of.checked_add(weeks.weeks()).unwrap() && begins <= finished, "{done}");
        let (cost, installation) = (done["cost_gbp"].as_f64().unwrap(), site["cost_likely_gbp"].as_f64().unwrap());
        assert!(if counted == "ready" { cost == installation } else { cost >= installation }, "{done}");
        spent[period] += cost;
        worth += done["worth"].as_f64().unwrap() * 0.99_f64.powi(period as i32);
        // The notice to the operator follows the day on which the site is finished.
        if let Some(notify_by) = site["operator_schedule"]["notify_by"].as_str() {
            assert_eq!(notify_by.parse::<Date>().unwrap(), finished.checked_add(28.days()).unwrap(), "{done}");
        }
    }
    let (mut budget_so_far, mut spent_so_far) = (0.0, 0.0);
    for (period, spent) in periods.iter().zip(&spent) {
        assert!((period["spent_gbp"].as_f64().unwrap() - spent).abs() < 0.005, "{period}");
        budget_so_far += period["budget_gbp"].as_f64().unwrap();
        spent_so_far += spent;
        assert!(spent_so_far <= budget_so_far + 0.005, "{period}");
    }
    let (found, bound) =
        (document["programme"]["worth"].as_f64().unwrap(), document["programme"]["bound"].as_f64().unwrap());
    assert!((found - worth).abs() < 0.02, "{found} {worth}");
    assert!(found <= bound + 1e-3 && found > 0.97 * bound, "{found} {bound}");
}

#[test]
fn musts_must_nots_last_days_and_a_crew_that_is_not_there_are_obeyed() {
    let plain = programmed(&file());
    let sites = by_site(&plain);
    let ready = |id: &&&str| sites[**id]["verdict"] == "ready" && sites[**id]["override_verdict"].is_null();
    let left = ids(&plain, "left_out");
    let must = left.iter().find(ready).expect("a ready site that is left out");
    let must_not = list(&plain, "done")[0]["site_id"].as_str().unwrap();
    let asked = file()
        .replace("# must = [\"H0004\"]", &format!("must = [{must:?}]"))
        .replace("# must_not = [\"H0017\"]", &format!("must_not = [{must_not:?}]"));
    let asked = format!("{asked}\n[[finish_by]]\ndate = 2027-05-31\nwhy = \"the grant ends\"\n");
    let document = programmed(&asked);
    let done = ids(&document, "done");
    assert!(done.contains(must) && !done.contains(must_not));
    assert!(list(&document, "musts_missed").is_empty());
    assert!(list(&document, "done").iter().all(|done| date(&done["finished"]) <= jiff::civil::date(2027, 5, 31)));

    let ground = "[[crew]]\nname = \"Ground\"\ndoes = [\"rate-groundworks\"]\n";
    assert!(file().contains(ground));
    let document = programmed(&file().replace(ground, ""));
    let why = |site: &Value| site["why"].as_str().unwrap().to_owned();
    let without =
        list(&document, "left_out").iter().filter(|site| why(site).starts_with("no crew for it: Groundworks"));
    let dug = |site: &&Value| {
        let crews = sites[site["site_id"].as_str().unwrap()]["crews"].as_array();
        crews.is_some_and(|crews| crews.iter().any(|crew| crew["crew"] == "rate-groundworks"))
    };
    let without: Vec<&Value> = without.collect();
    assert!(!without.is_empty() && without.iter().all(&dug));
    assert!(!list(&document, "done").iter().any(|site| dug(&site)));
}

#[test]
fn a_programme_file_that_cannot_be_obeyed_gets_a_sentence_and_leaves_nothing() {
    for (from, to, told) in [
        ("rate-groundworks", "rate-diggers", "no labour rate of a crew in the price book"),
        ("# must = [\"H0004\"]", "must = [\"H9999\"]", "must names sites that were not judged: \"H9999\""),
        ("period_months = 3", "period_months = \"three\"", "programme.toml: line"),
        ("2027-01-04", "9999-12-01", "is not a date"),
        (
            "# [[least]]\n# lot = \"North\"\n# percent",
            "[[least]]\nlot = \"North\"\npercent",
            "no site of lot North can be done",
        ),
    ] {
        let (folder, copy) = with_copy(&sample());
        let place = folder.path().join("programme.toml");
        assert!(file().contains(from), "{from}");
        fs::write(&place, file().replacen(from, to, 1)).unwrap();
        let output = baywright(&["assess", copy.to_str().unwrap(), "--programme", place.to_str().unwrap()]);
        let said = text(&output.stderr);
        assert_eq!(output.status.code(), Some(1), "{said}");
        assert!(said.contains(told) && said.contains("programme.toml: "), "{said}");
        assert_eq!(super::names_in(folder.path()), ["portfolio.xlsx", "programme.toml"]);
    }
}
