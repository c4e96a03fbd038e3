//! Tests only: which figures count as copied down.

use crate::intake::{Intake, ReadOptions, read_bytes};

fn street(homes: usize, cells: impl Fn(usize) -> String) -> Intake {
    let mut text = "address,cutout_rating_a,cutout_evidence,existing_demand_a,parking_distance_m\n".to_owned();
    for at in 1..=homes {
        text.push_str(&format!("{at} Fennel Row,{}\n", cells(at)));
    }
    read_bytes(text.as_bytes(), "Returns.csv", &ReadOptions::default()).unwrap()
}

#[test]
fn one_figure_down_a_whole_street_is_copied_and_one_that_differs_is_not() {
    let copied = street(8, |at| format!("60,,{},12", 30 + at));
    assert!(copied.sites.iter().all(|site| site.copied_down == ["cutout_rating_a", "parking_distance_m"]));
    assert_eq!(copied.warnings.iter().filter(|said| said.contains("copied down")).count(), 2);
    let seen = street(8, |at| format!("60,fuse,{},12", 30 + at));
    assert_eq!(seen.sites[0].copied_down, ["parking_distance_m"], "a fuse that was seen was looked at");
    let one_differs = street(8, |at| format!("60,fuse,{},{}", 30 + at, if at == 3 { 13 } else { 12 }));
    assert!(one_differs.sites.iter().all(|site| site.copied_down.is_empty()));
    let few = street(4, |at| format!("60,,{},12", 30 + at));
    assert!(few.sites.iter().all(|site| site.copied_down.is_empty()));
}
