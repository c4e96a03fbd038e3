//! Whose a site is, what its row says, and what it lacks.

use super::rules_tests::{AS_OF, entry, house, portfolio};
use super::*;
use crate::rules::default_rules;
use crate::site::*;

fn says(entry: &Entry, part: &str) -> bool {
    entry.missing.iter().any(|lack| lack.contains(part))
}

/// A house with another supply number, stated distributor and postcode; an empty text is not asked.
fn at(number: &str, distributor: &str, postcode: &str) -> Site {
    let text = |text: &str| if text.is_empty() { Reading::default() } else { Reading::of(text.to_owned()) };
    let mut site = house();
    site.supply.mpan = text(number);
    site.supply.distributor = text(distributor);
    site.identity.postcode = text(postcode);
    site
}

#[test]
fn the_number_goes_before_the_survey_and_the_survey_before_the_postcode() {
    use KnownBy::*;
    use Operator::*;
    for (number, stated, postcode, operator, from, may_be) in [
        ("1012345678903", "", "", Distributor(10), Mpan, &[][..]),
        ("1812345678900", "", "", Distributor(18), Mpan, &[]),
        ("1012345678903", "22", "PL4 8AA", Distributor(10), Mpan, &[]),
        ("", "22 South West", "YO1 7HH", Distributor(22), Stated, &[]),
        ("", "National Grid", "PL4 8AA", Distributor(22), Postcode, &[]),
        ("", "National Grid", "", NotKnown, Unknown, &[11, 14, 21, 22]),
        ("", "", "PL4 8AA", Distributor(22), Postcode, &[]),
        ("", "", "DN1 2AB", NotKnown, Unknown, &[11, 23]),
        ("", "", "ZR1 4AE", NotKnown, Unknown, &[]),
        ("2412345678904", "", "DN1 2AB", Distributor(24), Mpan, &[11, 23]),
        ("", "31", "PL4 8AA", Distributor(31), Stated, &[22]),
        // A wrong digit names nobody.
        ("1012345678904", "", "", NotKnown, Unknown, &[]),
        ("1012345678904", "13", "", Distributor(13), Stated, &[]),
        ("", "", "BT1 1AA", NorthernIreland, Postcode, &[]),
        ("81234567890", "", "", NorthernIreland, Mpan, &[]),
        ("", "Northern Ireland", "", NorthernIreland, Stated, &[]),
    ] {
        let who = who::who(&at(number, stated, postcode));
        let expected = Who { operator, from, may_be: may_be.to_vec() };
        assert_eq!(who, expected, "{number} {stated} {postcode}");
    }
}

#[test]
fn a_wrong_number_is_told_and_left_out() {
    let wrong = entry(&at("1012345678904", "", "ZR1 4AE"));
    assert_eq!(wrong.supply.number, None);
    assert!(says(&wrong, "1012345678904 fails its check digit"), "{:?}", wrong.missing);
    let none = entry(&at("0012345678900", "", "ZR1 4AE"));
    assert!(none.supply.number.is_none() && none.who.from == KnownBy::Unknown, "{none:?}");
    let right = entry(&at("1012345678903", "", "ZR1 4AE"));
    assert_eq!(right.supply.number.as_deref(), Some("1012345678903"));
    assert!(!says(&right, "supply number"), "{:?}", right.missing);
}

#[test]
fn numbers_postcodes_and_surveys_that_disagree_are_told() {
    assert!(says(&entry(&at("1012345678903", "", "PL4 8AA")), "10 Eastern does not serve this postcode area"));
    assert!(says(&entry(&at("1012345678903", "", "BT1 1AA")), "does not serve this postcode area"));
    assert!(says(&entry(&at("1012345678903", "22", "")), "the survey names 22 South West"));
    assert!(says(&entry(&at("", "", "PL4 8AA")), "known by the postcode alone"));
    assert!(says(&entry(&at("", "", "DN1 2AB")), "one of 11 East Midlands; 23 Yorkshire"));
    assert!(says(&entry(&at("", "", "BT1 1AA")), "11 digits"));
    assert!(says(&entry(&at("1012345678903", "", "QX4 7LP")), "does not have the published shape"));
    let agreed = entry(&at("2212345678905", "22", "PL4 8AA"));
    assert!(!says(&agreed, "disagree") && !says(&agreed, "operator:"), "{:?}", agreed.missing);
}

#[test]
fn sites_of_one_supply_number_name_each_other() {
    let sites: Vec<Site> = (0..6).map(|at| Site { row: 2 + at, site_id: format!("S{at}"), ..house() }).collect();
    let portfolio = portfolio(&sites, default_rules());
    let schedules = schedules(&portfolio, &sites, default_rules(), AS_OF, &|_| None);
    let entry = schedules.of(0).expect("a row");
    assert!(says(entry, "the same supply number stands at S1, S2, S3 and 2 more"), "{:?}", entry.missing);
}

#[test]
fn a_complete_survey_lacks_what_nobody_can_have_yet() {
    let whole = entry(&house());
    let open = "one of";
    let lacks: Vec<&str> = whole.missing.iter().map(AsRef::as_ref).filter(|lack| !lack.contains(open)).collect();
    assert_eq!(lacks, ["make and model of the charge point", "photographs of cut-out, meter and tails"]);
    let mut bare = Site { row: 2, site_id: "S".into(), ..Site::default() };
    bare.supply.cutout_rating_a = Reading::of(100.0);
    bare.load.existing_demand_a = Reading::of(18.0);
    bare.parking.parking_distance_m = Reading::of(10.0);
    let bare = entry(&bare);
    for part in [
        "supply number",
        "operator",
        "postcode",
        "address",
        "UPRN",
        "type of premises",
        "phases of the supply",
        "how the cut-out rating is known",
        "looped",
        "condition of the cut-out",
        "how the existing demand was found",
        "earthing",
        "make and model",
        "photographs",
    ] {
        assert!(says(&bare, part), "{part}: {:?}", bare.missing);
    }
    assert_eq!((bare.route, bare.rules.as_slice()), (Route::AskFirst, &["R4", "R5"][..]));
}

#[test]
fn figures_beyond_sense_are_told() {
    let mut site = house();
    site.supply.cutout_rating_a = Reading::of(60.0);
    site.load.existing_demand_a = Reading::of(120.0);
    assert!(says(&entry(&site), "more than 1.5 times"), "{:?}", entry(&site).missing);
    // 60 A × 1.5 is 90 A: what stands there now and the least setting stay below it.
    site.load.existing_demand_a = Reading::of(50.0);
    assert!(!says(&entry(&site), "more than 1.5 times"), "{:?}", entry(&site).missing);
}

/// Whoever is asked first is asked something: for every case, what would settle it stands on the row.
#[test]
fn a_row_that_is_asked_about_says_what_is_asked() {
    let changes: [fn(&mut Site); 6] = [
        |s| s.supply.looped_service = Reading::unknown(),
        |s| s.supply.cutout_rating_a = Reading::unknown(),
        |s| s.supply.cutout_evidence = Reading::of(CutoutEvidence::Carrier),
        // An operator whose policy gives homes 80 A.
        |s| s.supply.mpan = Reading::of("2212345678905".into()),
        |s| {
            let fields = ["looped_service"; 2];
            s.contradictions.push(Contradiction { rule: "surveys-differ", fields, decides: true });
        },
        |s| {
            s.supply.cutout_rating_a = Reading::of(60.0);
            s.load.existing_demand_a = Reading::of(58.0);
            s.load.demand_method = Reading::of(DemandMethod::Calculated);
        },
    ];
    for (at, change) in changes.into_iter().enumerate() {
        let mut site = house();
        change(&mut site);
        let entry = entry(&site);
        let everyday = |lack: &str| lack.starts_with("make and model") || lack.starts_with("photographs");
        assert!(entry.route != Route::Notify, "case {at}: {:?}", entry.rules);
        assert!(entry.missing.iter().any(|lack| !everyday(lack)), "case {at}: {:?} {:?}", entry.rules, entry.missing);
    }
}

#[test]
fn a_limiter_is_on_the_row_and_never_above_the_cutout() {
    let mut site = house();
    site.supply.cutout_rating_a = Reading::of(60.0);
    site.load.existing_demand_a = Reading::of(44.0);
    let entry = entry(&site);
    let device = entry.device.as_ref().expect("a design");
    assert_eq!((device.limitation, device.quantity, device.phases), (Limitation::Local, 1, 1));
    assert!(device.setpoint_a.is_some_and(|setpoint_a| setpoint_a <= 60.0) && !says(&entry, "above the cut-out"));
}

/// 25 November 2026 is a Wednesday. Eight weeks on is 20 January 2027, 28 days more 17 February.
#[test]
fn dates_follow_from_the_run_or_from_the_programme() {
    use jiff::civil::date;
    let ready = entry(&house());
    assert_eq!((ready.route, ready.dates.planned), (Route::Notify, Some(date(2027, 1, 20))));
    assert_eq!(ready.dates.notify_by, Some(date(2027, 2, 17)));
    assert_eq!((ready.dates.apply_by, ready.dates.answer_by), (None, None));
    // A doubtful cut-out: 4 weeks and 8. Twenty working days on is 23 December; fifty before 17 February 9 December.
    let mut doubtful = house();
    doubtful.supply.cutout_condition = Reading::of(Condition::Doubtful);
    let applied = entry(&doubtful);
    assert_eq!((applied.route, applied.dates.planned), (Route::Apply, Some(date(2027, 2, 17))));
    assert_eq!((applied.dates.answer_by, applied.dates.notify_by), (Some(date(2026, 12, 23)), None));
    assert_eq!(applied.dates.apply_by, Some(date(2026, 12, 9)));
    assert!(!says(&applied, "planned before"));
    // A programme's own day goes before it, and one that comes too soon is told.
    let sites = [doubtful];
    let portfolio = portfolio(&sites, default_rules());
    let soon = schedules(&portfolio, &sites, default_rules(), AS_OF, &|_| Some(date(2026, 12, 22)));
    let soon = soon.of(0).expect("a row");
    assert_eq!((soon.dates.planned, soon.dates.apply_by), (Some(date(2026, 12, 22)), Some(AS_OF)));
    assert!(says(soon, "planned before the operator is likely to have answered"), "{:?}", soon.missing);
}

#[test]
fn who_gets_no_charging_is_told_only_where_the_operator_is_the_way_out() {
    let told = |change: fn(&mut Site)| {
        let mut site = house();
        change(&mut site);
        let sites = [site];
        let portfolio = portfolio(&sites, default_rules());
        let verdict = portfolio.sites[0].judgement.counted_verdict();
        (verdict, schedules(&portfolio, &sites, default_rules(), AS_OF, &|_| None).of(0).is_some())
    };
    assert_eq!(told(|_| {}), (Verdict::Ready, true));
    assert_eq!(told(|s| s.supply.looped_service = Reading::of(true)), (Verdict::Blocked, true));
    let no_parking: fn(&mut Site) = |s| s.parking.parking_type = Reading::of(ParkingType::None);
    assert_eq!(told(no_parking), (Verdict::Blocked, false));
    assert_eq!(
        told(|s| {
            s.parking.parking_type = Reading::of(ParkingType::None);
            s.supply.looped_service = Reading::of(true);
        }),
        (Verdict::Blocked, false)
    );
    // An engineer's word counts.
    assert_eq!(
        told(|s| {
            s.parking.parking_type = Reading::of(ParkingType::None);
            s.identity.override_verdict = Reading::of(Verdict::Ready);
        }),
        (Verdict::Ready, true)
    );
    assert_eq!(told(|s| s.identity.override_verdict = Reading::of(Verdict::Blocked)), (Verdict::Blocked, false));
}
