//! Results on a map: read back as JSON, with places, shapes and nothing about people.

use crate::{assess, baywright, json, text};
use serde_json::Value;
use std::fs;
use std::path::{Path, PathBuf};

/// Homes on two feeders and by themselves; one has no place, one no place on earth.
const HOMES: &str = "site_id,address,postcode,feeder_id,latitude,longitude,contact name,telephone,notes,cutout_rating_a,\
    cutout_evidence,existing_demand_a,parking_distance_m,premises_type,parking_type\n\
    A1,\"3 Fennel Row, Tarnholt\",QX4 7LP,F1,52.10001,-1.50002,Una Person,0191 498 0000,gate code 4711,80,fuse,20,12,house,driveway\n\
    A2,\"5 Fennel Row, Tarnholt\",QX4 7LP,F1,52.1012,-1.5011,Una Person,,,100,fuse,21,12,house,driveway\n\
    A3,\"7 Fennel Row, Tarnholt\",QX4 7LP,F1,52.1004,-1.4987654321,,,,100,fuse,22,12,house,driveway\n\
    A4,\"9 Fennel Row, Tarnholt\",QX4 7LP,F1,52.1006,-1.5001,,,,,,22,12,house,driveway\n\
    B1,\"1 Kiln Steps, Quernholt\",QX5 1AA,F2,52.2,-1.6,,,,80,fuse,20,12,house,driveway\n\
    B2,\"3 Kiln Steps, Quernholt\",QX5 1AA,F2,52.2002,-1.6002,,,,80,fuse,20,12,house,none\n\
    B3,\"5 Kiln Steps, Quernholt\",QX5 1AA,F2,,,,,,80,fuse,20,12,house,driveway\n";

fn mapped(folder: &Path, homes: &str) -> (PathBuf, String) {
    let place = folder.join("homes.csv");
    fs::write(&place, homes).unwrap();
    let output =
        baywright(&["assess", place.to_str().unwrap(), "--geojson", "--json", "--as-of", "2026-11-25", "--force"]);
    assert!(output.status.success(), "{}", text(&output.stderr));
    (folder.join("homes-assessed.geojson"), text(&output.stdout))
}

#[test]
fn sites_are_points_and_clusters_are_shapes() {
    let folder = tempfile::tempdir().unwrap();
    let (place, said) = mapped(folder.path(), HOMES);
    assert!(said.contains("homes-assessed.geojson"), "{said}");
    let (map, result) = (json(&place), json(&folder.path().join("homes-assessed.json")));
    assert_eq!((&map["type"], map.as_object().unwrap().len()), (&"FeatureCollection".into(), 2));
    let features = map["features"].as_array().unwrap();
    let of =
        |kind: &str| -> Vec<&Value> { features.iter().filter(|one| one["properties"]["feature"] == kind).collect() };
    assert_eq!((of("site").len(), of("cluster").len(), features.len()), (6, 2, 8));
    for one in of("site") {
        let own = &one["properties"];
        let site = result["sites"].as_array().unwrap().iter().find(|site| site["site_id"] == own["site_id"]).unwrap();
        for name in ["verdict", "rank", "cost_likely_gbp", "reasons", "next_step", "points", "cluster_id"] {
            assert_eq!(own[name], site[name], "{name}");
        }
        assert_eq!(one["geometry"]["type"], "Point");
    }
    let third = of("site").into_iter().find(|one| one["properties"]["site_id"] == "A3").unwrap();
    assert_eq!(
        third["geometry"]["coordinates"],
        serde_json::json!([-1.498765, 52.1004]),
        "longitude first, six places"
    );
    for one in of("cluster") {
        let own = &one["properties"];
        let clusters = result["clusters"].as_array().unwrap();
        let cluster = clusters.iter().find(|cluster| cluster["cluster_id"] == own["cluster_id"]).unwrap();
        for name in ["capacity_likely_kva", "load_uncontrolled_kva", "flag", "points"] {
            assert_eq!(own[name], cluster[name], "{name}");
        }
        match own["cluster_id"].as_str() {
            Some("F1") => {
                let ring = one["geometry"]["coordinates"][0].as_array().unwrap();
                assert_eq!((ring.len(), ring.first()), (4, ring.last()), "a triangle; A4 lies within");
                // Counter-clockwise (RFC 7946, 3.1.6): its area by the shoelace formula is above nought.
                let at = |place: &Value, axis: usize| place[axis].as_f64().unwrap();
                let sides =
                    ring.windows(2).map(|two| at(&two[0], 0) * at(&two[1], 1) - at(&two[1], 0) * at(&two[0], 1));
                assert!(sides.sum::<f64>() > 0.0);
            }
            _ => {
                assert_eq!(one["geometry"]["coordinates"], serde_json::json!([-1.6001, 52.2001]), "two have a middle");
                assert_eq!((&own["sites"], &own["sites_on_the_map"]), (&3.into(), &2.into()));
            }
        }
    }
    let written = fs::read_to_string(&place).unwrap();
    for private in ["Person", "0191", "4711", "Fennel", "QX4"] {
        assert!(!written.contains(private), "{private} stands in the map");
    }
    if let Ok(kept) = std::env::var("BAYWRIGHT_KEEP_MAP") {
        fs::copy(&place, kept).unwrap();
    }
}

#[test]
fn without_places_nothing_is_written_and_it_is_said() {
    let folder = tempfile::tempdir().unwrap();
    let homes = HOMES.replace("latitude,longitude", "shelf,drawer");
    let (place, said) = mapped(folder.path(), &homes);
    assert!(!place.exists() && said.contains("No map was written: no site has a latitude and a longitude."), "{said}");
    let plain = assess(&folder.path().join("homes.csv"), &folder.path().join("plain.xlsx"), &[]);
    assert!(plain.exists() && !folder.path().join("plain.geojson").exists(), "a map that nobody asked for");
}
