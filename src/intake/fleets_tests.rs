//! Sheets of vehicle groups and of feeders laid over a portfolio, as planners send them.

use super::{Fate, Intake, LayerKind, ReadOptions, read_bytes_with};

const MAIN: &str = "Site ID,UPRN,Address,Postcode,Main fuse (A),Looped,Max demand (A),Cable run (m)\n\
    H1,100001,7 Fennel Row,QX4 7LP,80,,20,12\n\
    H2,100002,9 Fennel Row,QX4 7LP,60,no,20,14\n";

fn laid(with: &[(&str, &str)]) -> Intake {
    let with: Vec<(&str, &[u8])> = with.iter().map(|(name, text)| (*name, text.as_bytes())).collect();
    let intake = read_bytes_with(("Main.csv", MAIN.as_bytes()), &with, &ReadOptions::default()).unwrap();
    for layer in &intake.layers {
        assert_eq!(layer.rows_read, layer.joined() + layer.not_joined(), "{}: {:#?}", layer.name(), layer.lines);
    }
    intake
}

#[test]
fn fleets_and_feeders_go_to_the_sites_that_they_name() {
    let fleet = "site_id,vehicle_group,count,daily_miles_mean,daily_miles_high,arrive,depart,max_ac_a,max_ac_phases\n\
        H1,van,3,50,80,18:00,07:00,16,3\nH9,car,1,20,,,,,\nH1,car,,20,,,,,\nH1,pool,2,30,soon,09:00,17:00,32,1\n";
    let feeders = "feeder_id,capacity_kva,customers\nF1,200,60\nF2,300,\nf1,400,\n";
    let intake = laid(&[("vans.csv", fleet), ("feeders.csv", feeders)]);
    let (vans, mains) = (&intake.layers[0], &intake.layers[1]);
    assert_eq!((vans.kind, vans.joined(), vans.not_joined()), (LayerKind::Fleet, 2, 2));
    let groups = &intake.sites[0].fleet;
    let told: Vec<(&str, u32, Option<f64>)> =
        groups.iter().map(|group| (group.name.as_str(), group.count, group.daily_miles_high)).collect();
    assert_eq!(told, [("van", 3, Some(80.0)), ("pool", 2, None)]);
    assert_eq!((groups[0].arrive, groups[0].max_ac_phases, groups[0].cell.row), (Some(18.0), Some(3), 2));
    assert!(!intake.sites[0].wanted.arrive.was_asked());
    let not_used = vans.lines.iter().find(|line| line.fate == Fate::NotUnderstood).unwrap();
    assert_eq!((not_used.field, not_used.cell.as_str()), ("daily_miles_high", "E5"));
    // Nobody hangs on them, but they are known; the second line of one is not used.
    assert_eq!((mains.kind, mains.joined(), mains.not_joined()), (LayerKind::Feeders, 0, 3));
    assert_eq!(intake.feeders.len(), 2);
    assert_eq!((intake.feeders[0].capacity_kva, intake.feeders[0].customers), (Some(200.0), Some(60)));
}

#[test]
fn a_later_fleet_speaks_for_the_groups_it_names() {
    let one = "site_id,vehicle_group,count,daily_miles_mean\nH1,van,3,50\nH1,car,2,20\n";
    let two = "site_id,vehicle_group,count,daily_miles_mean\nH1,VAN,5,60\n";
    let intake = laid(&[("one.csv", one), ("two.csv", two)]);
    let counts: Vec<u32> = intake.sites[0].fleet.iter().map(|group| group.count).collect();
    assert_eq!(counts, [5, 2]);
    assert!(intake.layers[1].lines[0].remark.contains("one.csv"), "{}", intake.layers[1].lines[0].remark);
}

#[test]
fn sheets_of_the_template_that_nobody_filled_in_are_as_if_not_there() {
    let template = crate::intake::template_workbook().unwrap();
    let options = ReadOptions { whatever_it_lacks: true, ..ReadOptions::default() };
    let intake = read_bytes_with(("Template.xlsx", &template), &[], &options).unwrap();
    assert!(intake.layers.is_empty() && intake.feeders.is_empty());
    // They are known by their names all the same: nobody takes them for a survey.
    assert!(["Fleet", "Feeders", "Profiles"].iter().all(|name| intake.known_sheets.iter().any(|own| own == name)));
}
