//! Many sites of every kind: no order of rows, no further site and no number of them does harm.

use super::tests::{beside, feeder, house, named, on_feeder};
use super::*;
use crate::design::Control;
use crate::site::{Heating, Premises};
use crate::verdict::Judgement;

/// Sites of every kind, from a small generator.
fn mixed(count: usize) -> Vec<Judgement> {
    let house = house();
    let mut state = 11_u64;
    let mut draw = move |below: u64| {
        state = state.wrapping_mul(6364136223846793005).wrapping_add(1442695040888963407);
        (state >> 33) % below
    };
    let one = |at: usize| {
        let mut judgement = named(&house, &format!("H{at:05}"), |_| ());
        let brief = &mut judgement.brief;
        brief.row = at as u32 + 2;
        match draw(3) {
            0 => brief.feeder_id = format!("F{}", draw(9)),
            1 => brief.postcode = format!("ZZ{} {}QD", draw(4), draw(3)),
            _ => (brief.latitude, brief.longitude) = (Some(52.0 + draw(90) as f64 / 9e3), Some(draw(60) as f64 / 9e3)),
        }
        brief.heat_pump = draw(5) == 0;
        brief.heating = [None, Some(Heating::Gas), Some(Heating::Storage)][draw(3) as usize];
        (brief.bedrooms, brief.premises) = (
            Some(draw(6) as f64),
            [Some(Premises::House), Some(Premises::Flat), Some(Premises::Workplace)][draw(3) as usize],
        );
        brief.existing_charge_points = (draw(6) == 0).then_some(2.0);
        judgement.verdict = [Verdict::Ready, Verdict::Marginal, Verdict::Blocked][draw(3) as usize];
        if let Some(chosen) = &mut judgement.chosen {
            chosen.setting_a = [16.0, 20.0, 32.0][draw(3) as usize];
            chosen.points = 1 + draw(8) as u32;
            if draw(3) == 0 {
                chosen.control = Control::Group { limit_a: 12.0, setpoint_a: None };
            }
        }
        judgement
    };
    (0..count).map(one).collect()
}

fn some_feeders() -> Vec<Feeder> {
    vec![
        feeder("F0", Some(300.0), Some(120.0), Some(60)),
        feeder("f1", Some(150.0), None, Some(40)),
        feeder("F2", None, None, Some(400)),
        feeder("F3", None, Some(90.0), None),
    ]
}

#[test]
fn the_order_of_rows_changes_nothing() {
    let judgements = mixed(300);
    let one = beside(judgements.clone(), &some_feeders());
    assert!(one.clusters.len() > 12 && one.sites.iter().any(|site| site.over_capacity));
    let mut turned: Vec<Judgement> = judgements.iter().rev().cloned().collect();
    turned.rotate_left(77);
    let feeders: Vec<Feeder> = some_feeders().into_iter().rev().collect();
    let other = beside(turned, &feeders);
    assert_eq!(one.clusters, other.clusters);
    let told = |portfolio: &Portfolio| -> Vec<_> {
        let sites = portfolio.sites.iter();
        sites
            .map(|site| (site.cluster_id.clone(), site.with_neighbours, site.over_capacity, site.shared_with))
            .collect()
    };
    assert_eq!(told(&one), told(&other));
}

#[test]
fn one_site_more_never_lowers_the_load_of_its_cluster() {
    let judgements = mixed(160);
    let mut before: std::collections::BTreeMap<(Grouped, String), After> = std::collections::BTreeMap::new();
    for count in 1..=judgements.len() {
        let mut portfolio = beside(judgements[..count].to_vec(), &some_feeders());
        for cluster in portfolio.clusters.drain(..).filter(|cluster| cluster.grouped != Grouped::Distance) {
            let loads =
                |load: After| [load.uncontrolled_kva, load.night_tariff_kva, load.controlled_kva, load.lower_rate_kva];
            // Within a cluster each site served adds to it.
            let steps: Vec<[f64; 4]> = cluster.taken.iter().map(|taken| loads(taken.after)).collect();
            for pair in steps.windows(2) {
                assert!(pair[0].iter().zip(pair[1]).all(|(one, two)| two >= one - 1e-9), "{} {pair:?}", cluster.id);
            }
            if let Some(earlier) = before.insert((cluster.grouped, cluster.id.clone()), cluster.load) {
                let grew = loads(earlier).iter().zip(loads(cluster.load)).all(|(one, two)| two >= one - 1e-9);
                assert!(grew, "{}: {earlier:?} then {:?}", cluster.id, cluster.load);
            }
        }
    }
    assert!(before.len() > 15);
}

/// Were it to look at every pair of sites, or at every site again for each one served, this would take minutes.
#[test]
fn many_sites_on_one_feeder_and_many_in_one_place_take_no_time() {
    let mut judgements = on_feeder(12_000, "F1");
    for (at, judgement) in judgements.iter_mut().enumerate() {
        judgement.brief.feeder_id = if at % 2 == 0 { "F1".into() } else { String::new() };
        (judgement.brief.latitude, judgement.brief.longitude) = (Some(52.0), Some(-1.5));
        judgement.findings.clear();
        if let Some(chosen) = &mut judgement.chosen {
            chosen.setting_a = [16.0, 20.0, 32.0][at % 3];
        }
    }
    let portfolio = beside(judgements, &[feeder("F1", Some(4e4), Some(10.0), None)]);
    assert_eq!(portfolio.clusters.iter().map(|cluster| cluster.points).collect::<Vec<_>>(), [6_000, 6_000]);
    assert_eq!(portfolio.clusters[0].early.nearby, Some(999));
}
