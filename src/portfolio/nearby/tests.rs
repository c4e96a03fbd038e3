//! Homes without a space and the car parks that could serve them.

use crate::design::{Arrangement, Shared};
use crate::finding::reason;
use crate::portfolio::clusters::tests::{beside, house};
use crate::portfolio::{Portfolio, SharedPlace};
use crate::site::{ParkingType, Premises, Verdict};
use crate::verdict::Judgement;

fn shared(chosen: &mut Arrangement, points: u32, served: u32) {
    chosen.points = points;
    chosen.shared = Some(Shared {
        group_limit_a: 60.0,
        points_at_once: points,
        points_served: served,
        energy_needed_kwh: 40.0,
        energy_unserved_kwh: 0.0,
        energy_needed_high_kwh: 60.0,
        energy_unserved_high_kwh: 0.0,
        least_group_limit_a: Some(20.0),
        least_group_limit_high_a: Some(30.0),
    });
}

fn at(judgement: &mut Judgement, name: &str, north_m: Option<f64>, postcode: &str) {
    judgement.brief.site_id = name.into();
    judgement.brief.postcode = postcode.into();
    // A degree of latitude is about 111 195 m.
    judgement.brief.latitude = north_m.map(|metres| 52.0 + metres / 111_195.0);
    judgement.brief.longitude = north_m.map(|_| -1.5);
}

/// A home that has no space of its own.
fn home(from: &Judgement, name: &str, north_m: Option<f64>, postcode: &str) -> Judgement {
    let mut judgement = from.clone();
    at(&mut judgement, name, north_m, postcode);
    (judgement.verdict, judgement.reasons) = (Verdict::Blocked, vec![reason("no-parking")]);
    judgement
}

/// A block's car park of so many points.
fn car_park(from: &Judgement, name: &str, north_m: Option<f64>, postcode: &str, served: u32) -> Judgement {
    let mut judgement = from.clone();
    at(&mut judgement, name, north_m, postcode);
    judgement.brief.premises = Some(Premises::Block);
    shared(judgement.chosen.as_mut().expect("a design"), served, served);
    judgement
}

/// Which car park, how far in whole metres, points left.
type Told = (String, Option<f64>, u32);

/// What every home is given, in the order of the ranking.
fn matched(portfolio: &Portfolio) -> Vec<(String, Option<Told>)> {
    let id = |place: usize| portfolio.sites[place].judgement.brief.site_id.clone();
    let told = |shared: SharedPlace| (id(shared.place), shared.distance_m.map(f64::round), shared.points_left);
    let homes = portfolio.sites.iter().filter(|site| !site.judgement.reasons.is_empty());
    let homes = homes.filter(|site| site.judgement.reasons[0].code == "no-parking");
    homes.map(|site| (site.judgement.brief.site_id.clone(), site.shared_with.map(told))).collect()
}

fn some(name: &str, distance_m: Option<f64>, left: u32) -> Option<Told> {
    Some((name.to_owned(), distance_m, left))
}

#[test]
fn the_nearest_with_a_point_left_takes_homes_in_rank_order() {
    let house = house();
    let portfolio = beside(
        vec![
            home(&house, "H1", Some(0.0), ""),
            home(&house, "H2", Some(0.0), ""),
            home(&house, "H3", Some(0.0), ""),
            home(&house, "H4", Some(0.0), ""),
            car_park(&house, "P1", Some(100.0), "", 2),
            car_park(&house, "P2", Some(-300.0), "", 1),
            car_park(&house, "P3", Some(450.0), "", 9),
        ],
        &[],
    );
    let expected = [
        some("P1", Some(100.0), 1),
        some("P1", Some(100.0), 0),
        some("P2", Some(300.0), 0),
        // The last has points but is no walk away.
        None,
    ];
    let found: Vec<_> = matched(&portfolio).into_iter().map(|(_, place)| place).collect();
    assert_eq!(found, expected);
    // Nothing else about a home has changed.
    assert!(
        portfolio
            .sites
            .iter()
            .filter(|site| site.shared_with.is_some())
            .all(|site| site.judgement.verdict == Verdict::Blocked)
    );
}

#[test]
fn without_coordinates_the_postcode_unit_decides() {
    let house = house();
    let portfolio = beside(
        vec![
            home(&house, "H1", None, "ZZ1 2QD"),
            home(&house, "H2", None, "zz12qd"),
            home(&house, "H3", None, "ZZ1 2QE"),
            home(&house, "H4", Some(0.0), "ZZ1 2QD"),
            home(&house, "H5", None, ""),
            car_park(&house, "P1", None, "ZZ1 2QD", 3),
        ],
        &[],
    );
    let found: Vec<_> = matched(&portfolio).into_iter().map(|(_, place)| place).collect();
    assert_eq!(found, [some("P1", None, 2), some("P1", None, 1), None, some("P1", None, 0), None]);
}

#[test]
fn what_is_blocked_or_somebodys_own_is_no_shared_car_park() {
    let house = house();
    let taken = |change: &dyn Fn(&mut Judgement)| {
        let mut place = car_park(&house, "P1", Some(50.0), "", 4);
        change(&mut place);
        let homes = vec![home(&house, "H1", Some(0.0), ""), place];
        matched(&beside(homes, &[])).remove(0).1.is_some()
    };
    assert!(taken(&|_| ()));
    assert!(taken(&|place| place.brief.premises = Some(Premises::Workplace)));
    assert!(!taken(&|place| place.verdict = Verdict::Blocked));
    assert!(!taken(&|place| place.brief.override_verdict = Some(Verdict::Blocked)));
    assert!(!taken(&|place| place.brief.premises = Some(Premises::Depot)));
    assert!(!taken(&|place| place.brief.premises = Some(Premises::Flat)));
    let communal = |place: &mut Judgement| {
        place.brief.premises = Some(Premises::Flat);
        place.brief.parking_type = Some(ParkingType::Communal);
    };
    assert!(taken(&communal));
    assert!(!taken(&|place| {
        communal(place);
        shared(place.chosen.as_mut().expect("a design"), 1, 1);
    }));
    assert!(!taken(&|place| shared(place.chosen.as_mut().expect("a design"), 4, 0)), "no point is served");
    assert!(!taken(&|place| place.chosen = None));
}

#[test]
fn a_home_that_is_blocked_by_something_else_is_given_none() {
    let house = house();
    let mut other = home(&house, "H1", Some(0.0), "");
    other.reasons = vec![reason("loop-yes")];
    let portfolio = beside(vec![other, car_park(&house, "P1", Some(50.0), "", 4)], &[]);
    assert!(portfolio.sites.iter().all(|site| site.shared_with.is_none()));
}
