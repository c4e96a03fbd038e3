//! The bid of the sample against its own sites: every sum to the penny, risk as the percentile says, one price changing
//! just what contains it.

use baywright::estimate::{Doubt, PriceBook};
use baywright::intake::{ReadOptions, read};
use baywright::portfolio::{Bid, Choice, Portfolio, bid, exclusions, grants, questions, rank};
use baywright::quantity::Pence;
use baywright::rules::{Rules, Stance, default_rules};
use baywright::verdict::{Context, judge};
use rayon::prelude::*;
use std::path::Path;

const AS_OF: jiff::civil::Date = jiff::civil::date(2026, 11, 12);

fn judged(prices: &PriceBook, rules: &Rules) -> Portfolio {
    let sample = Path::new(env!("CARGO_MANIFEST_DIR")).join("sample-portfolio/portfolio.xlsx");
    let intake = read(&sample, &ReadOptions::default()).unwrap();
    let context = Context { rules, prices, stance: Stance::Screen, as_of: AS_OF, odds: false };
    rank(intake.sites.par_iter().map(|site| judge(site, &context)).collect::<Vec<_>>(), rules)
}

fn priced(portfolio: &Portfolio, rules: &Rules) -> Bid {
    let chosen = Choice::Ready.chosen(&portfolio.sites).unwrap();
    bid(&portfolio.sites, &chosen.places, rules).unwrap()
}

#[test]
fn every_sum_is_that_of_its_sites_and_risk_is_what_the_percentile_says() {
    let rules = default_rules();
    let portfolio = judged(PriceBook::default_book(), rules);
    let bid = priced(&portfolio, rules);
    let sum = |of: fn(&baywright::portfolio::Amounts) -> Pence| -> [Pence; 3] {
        [
            bid.sites.iter().map(|site| of(&site.amounts)).sum(),
            bid.lots.iter().map(|lot| of(&lot.amounts)).sum(),
            of(&bid.whole.amounts),
        ]
    };
    for of in [
        (|a| a.direct) as fn(&baywright::portfolio::Amounts) -> Pence,
        |a| a.preliminaries,
        |a| a.risk,
        |a| a.overhead,
        |a| a.profit,
        |a| a.vat,
        |a| a.price(),
        |a| a.with_vat(),
    ] {
        let [sites, lots, whole] = sum(of);
        assert_eq!((sites, lots), (whole, whole));
    }
    assert_eq!(bid.whole.amounts.direct, portfolio.summary.ready.cost.likely, "the bid and the Summary are one sum");
    let at = |own: &baywright::portfolio::BidSite| portfolio.sites[own.at].judgement.estimate.as_ref().unwrap();
    for own in &bid.sites {
        let lines: Pence = at(own).bill.iter().map(|line| line.cost.likely).sum::<Pence>()
            + at(own).tasks.iter().map(|line| line.cost.likely).sum();
        assert_eq!(own.amounts.direct, lines);
    }
    let doubt: Doubt = bid.sites.iter().map(|own| &at(own).doubt).sum();
    let risk = doubt.percentile(rules.bid.risk_percentile / 100.0) - bid.whole.amounts.direct.pounds();
    assert!((bid.whole.amounts.risk.pounds() - risk).abs() < 0.01, "{risk}");
    assert!(risk > 0.0 && bid.sites.iter().all(|site| site.amounts.risk.0 >= 0));
    let shares: f64 = bid.sites.iter().map(|site| site.share_of_spread).sum();
    assert!((shares - 1.0).abs() < 1e-9);
    assert_eq!((bid.riskiest.len(), bid.causes.len()), (10, 3));
    assert!(bid.causes.iter().map(|cause| cause.share()).sum::<f64>() > 0.5);
}

#[test]
fn one_price_changes_just_what_contains_it() {
    let rules = default_rules();
    let before = priced(&judged(PriceBook::default_book(), rules), rules);
    let dear = PriceBook::from_csv("dear.csv", b"item,low,likely,high\ncore-drill-parts,20,44,110\n").unwrap();
    let portfolio = judged(&dear, rules);
    let after = priced(&portfolio, rules);
    assert_eq!(before.sites.len(), after.sites.len());
    let direct = |bid: &Bid, portfolio: &Portfolio| -> std::collections::BTreeMap<String, Pence> {
        bid.sites
            .iter()
            .map(|own| (portfolio.sites[own.at].judgement.brief.site_id.clone(), own.amounts.direct))
            .collect()
    };
    let old = direct(&before, &judged(PriceBook::default_book(), rules));
    let (mut moved, mut stayed) = (0, 0);
    for own in &after.sites {
        let judgement = &portfolio.sites[own.at].judgement;
        let drills = judgement.estimate.as_ref().unwrap().bill.iter().find(|line| line.item == "core-drill-parts");
        let more = own.amounts.direct.0 - old[&judgement.brief.site_id].0;
        match drills {
            // 22 pounds more a hole.
            Some(line) => {
                assert!((more as f64 - line.quantity.likely * 2200.0).abs() <= 1.0, "{}", judgement.brief.site_id);
                moved += 1;
            }
            None => {
                assert_eq!(more, 0, "{}", judgement.brief.site_id);
                stayed += 1;
            }
        }
    }
    assert!(moved > 20, "{moved} moved, {stayed} stayed");
}

#[test]
fn questions_exclusions_and_grants_are_told_and_no_grant_outlives_its_end() {
    let rules = default_rules();
    let portfolio = judged(PriceBook::default_book(), rules);
    let bid = priced(&portfolio, rules);
    let questions = questions(&portfolio.sites, &bid);
    assert!(questions.len() >= 3 && questions.windows(2).all(|pair| pair[0].hangs_on_it >= pair[1].hangs_on_it));
    assert!(exclusions(&portfolio.sites, &bid).iter().all(|exclusion| exclusion.sites > 0));
    let now = grants(&portfolio.sites, &bid, AS_OF);
    let sockets: u32 = now.iter().map(|grant| grant.sockets).sum();
    assert!(sockets > 0);
    for grant in &now {
        // 75 per cent, at most 500 pounds a socket, at most 200 or 40 sockets a year.
        assert!(grant.amount.0 <= i64::from(grant.sockets) * 50_000);
        assert!(grant.code != "landlord" || grant.sockets <= 200);
        assert!(grant.code != "workplace" || grant.sockets <= 40);
    }
    let after = grants(&portfolio.sites, &bid, jiff::civil::date(2027, 4, 1));
    assert!(after.iter().all(|grant| grant.sockets == 0 && grant.amount == Pence(0)));
    assert!(after.iter().any(|grant| grant.too_late > 0));
}
