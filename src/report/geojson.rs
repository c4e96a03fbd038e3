//! Sites and clusters on a map, as GeoJSON (RFC 7946): WGS 84, longitude before latitude. It holds what a map needs of a
//! site and nothing of the people there: no address, name, telephone or note.

use super::Run;
use super::clusters_record::{self, ClusterRecord};
use super::record::{SiteRecord, records};
use crate::quantity::round_to;
use crate::verdict::SiteBrief;
use schemars::JsonSchema;
use serde::Serialize;
use std::io::{self, Write};

/// Decimal places of a degree: a tenth of a metre (RFC 7946, 11.2: six places are right for most uses).
const PLACES: u32 = 6;

/// Longitude, then latitude, in degrees of WGS 84.
type Position = [f64; 2];

/// The document.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct MapDocument<'a> {
    #[allow(missing_docs)]
    #[serde(rename = "type")]
    #[schemars(extend("const" = "FeatureCollection"))]
    pub kind: &'static str,
    /// The sites in rank order, then the clusters.
    pub features: Vec<MapFeature<'a>>,
}

/// One place.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct MapFeature<'a> {
    #[allow(missing_docs)]
    #[serde(rename = "type")]
    #[schemars(extend("const" = "Feature"))]
    pub kind: &'static str,
    /// Where.
    pub geometry: MapGeometry,
    /// What.
    pub properties: MapProperties<'a>,
}

/// Where; every position is longitude, then latitude.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[serde(tag = "type")]
pub enum MapGeometry {
    /// A site, or the middle of the sites of a cluster.
    Point {
        /// The place.
        coordinates: Position,
    },
    /// What the sites of a cluster span: one ring, counter-clockwise, its first position repeated at its end.
    Polygon {
        /// The ring.
        coordinates: Vec<Vec<Position>>,
    },
}

/// What stands there.
#[derive(Clone, Debug, Serialize, JsonSchema)]
#[serde(tag = "feature")]
#[allow(clippy::large_enum_variant)] // one is held at a time
pub enum MapProperties<'a> {
    /// A site.
    #[serde(rename = "site")]
    Site(MapSite<'a>),
    /// Sites on one length of the operator's network.
    #[serde(rename = "cluster")]
    Cluster(MapCluster<'a>),
}

/// What a map says of a site: the names of the results.
#[derive(Clone, Debug, Serialize, JsonSchema)]
#[allow(missing_docs)]
pub struct MapSite<'a> {
    pub site_id: &'a str,
    #[schemars(extend("enum" = ["ready", "marginal", "blocked"]))]
    pub verdict: &'static str,
    #[schemars(extend("enum" = ["ready", "marginal", "blocked", null]))]
    pub override_verdict: Option<&'static str>,
    #[schemars(extend("enum" = ["ready", "marginal", "blocked", null]))]
    pub verdict_with_neighbours: Option<&'static str>,
    pub rank: u32,
    pub points: Option<u32>,
    pub cost_low_gbp: Option<f64>,
    pub cost_likely_gbp: Option<f64>,
    pub cost_high_gbp: Option<f64>,
    pub reasons: Vec<&'static str>,
    pub next_step: Option<&'a str>,
    pub cluster_id: Option<&'a str>,
}

/// What a map says of a cluster: the names of the results.
#[derive(Clone, Debug, Serialize, JsonSchema)]
#[allow(missing_docs)]
pub struct MapCluster<'a> {
    pub cluster_id: &'a str,
    #[schemars(extend("enum" = ["feeder", "postcode", "distance"]))]
    pub grouped_by: &'static str,
    pub sites: usize,
    /// Of them, those whose coordinates are known: the shape is theirs.
    pub sites_on_the_map: usize,
    pub points: u32,
    pub capacity_low_kva: Option<f64>,
    pub capacity_likely_kva: Option<f64>,
    pub capacity_high_kva: Option<f64>,
    pub base_likely_kva: Option<f64>,
    /// Demand with all planned charging, uncontrolled.
    pub load_uncontrolled_kva: Option<f64>,
    pub load_controlled_kva: Option<f64>,
    pub capacity_used: Option<f64>,
    #[schemars(extend("enum" = ["room", "nearly full", "full"]))]
    pub flag: &'static str,
    pub next_step: String,
}

/// Where a site is, if its coordinates are told and are degrees.
fn position(brief: &SiteBrief) -> Option<Position> {
    let (latitude, longitude) = (brief.latitude?, brief.longitude?);
    let on_earth = latitude.abs() <= 90.0 && longitude.abs() <= 180.0; // false where either is no number
    on_earth.then(|| [round_to(longitude, PLACES), round_to(latitude, PLACES)])
}

/// Sites of a run whose place is known: without any there is no map.
pub fn sites_on_the_map(run: &Run<'_>) -> usize {
    run.portfolio.sites.iter().filter(|site| position(&site.judgement.brief).is_some()).count()
}

/// Writes the map of `run`, a feature a line.
///
/// # Errors
/// When the writer fails.
pub fn write_geojson(run: &Run<'_>, mut writer: impl Write) -> io::Result<()> {
    writer.write_all(b"{\"type\":\"FeatureCollection\",\"features\":[")?;
    let mut begun = false;
    for feature in site_features(run).chain(cluster_features(run)) {
        writer.write_all(if begun { b",\n" } else { b"\n" })?;
        serde_json::to_writer(&mut writer, &feature).map_err(io::Error::from)?;
        begun = true;
    }
    writer.write_all(b"\n]}\n")?;
    writer.flush()
}

fn feature(geometry: MapGeometry, properties: MapProperties<'_>) -> MapFeature<'_> {
    MapFeature { kind: "Feature", geometry, properties }
}

fn site_features<'a>(run: &Run<'a>) -> impl Iterator<Item = MapFeature<'a>> + use<'a> {
    let places = run.portfolio.sites.iter().map(|site| position(&site.judgement.brief));
    records(run).zip(places).filter_map(|(record, place)| {
        let coordinates = place?;
        Some(feature(MapGeometry::Point { coordinates }, MapProperties::Site(site(record))))
    })
}

fn site(record: SiteRecord<'_>) -> MapSite<'_> {
    MapSite {
        site_id: record.site_id,
        verdict: record.verdict,
        override_verdict: record.override_verdict,
        verdict_with_neighbours: record.verdict_with_neighbours,
        rank: record.rank,
        points: record.points,
        cost_low_gbp: record.cost_low_gbp,
        cost_likely_gbp: record.cost_likely_gbp,
        cost_high_gbp: record.cost_high_gbp,
        reasons: record.reasons,
        next_step: record.next_step,
        cluster_id: record.cluster_id,
    }
}

fn cluster_features<'a>(run: &Run<'a>) -> impl Iterator<Item = MapFeature<'a>> + use<'a> {
    let sites = run.portfolio.sites.as_slice();
    clusters_record::records(run).into_iter().zip(&run.portfolio.clusters).filter_map(move |(record, cluster)| {
        let place = |at: &usize| position(&sites.get(*at)?.judgement.brief);
        let places: Vec<Position> = cluster.sites.iter().filter_map(place).collect();
        let geometry = shape(&places)?;
        Some(feature(geometry, MapProperties::Cluster(summed_up(record, places.len()))))
    })
}

fn summed_up(record: ClusterRecord<'_>, on_the_map: usize) -> MapCluster<'_> {
    MapCluster {
        cluster_id: record.cluster_id,
        grouped_by: record.grouped_by,
        sites: record.site_ids.len(),
        sites_on_the_map: on_the_map,
        points: record.points,
        capacity_low_kva: record.capacity_low_kva,
        capacity_likely_kva: record.capacity_likely_kva,
        capacity_high_kva: record.capacity_high_kva,
        base_likely_kva: record.base_likely_kva,
        load_uncontrolled_kva: record.load.load_uncontrolled_kva,
        load_controlled_kva: record.load.load_controlled_kva,
        capacity_used: record.capacity_used,
        flag: record.flag,
        next_step: record.next_step,
    }
}

/// What places span: their hull where it has an area, else their middle; `None` for none.
fn shape(places: &[Position]) -> Option<MapGeometry> {
    let mut ring = hull(places);
    if ring.len() >= 3 {
        ring.extend(ring.first().copied());
        return Some(MapGeometry::Polygon { coordinates: vec![ring] });
    }
    let many = places.len() as f64;
    let middle = |pick: fn(&Position) -> f64| round_to(places.iter().map(pick).sum::<f64>() / many, PLACES);
    (!places.is_empty())
        .then(|| MapGeometry::Point { coordinates: [middle(|[east, _]| *east), middle(|[_, north]| *north)] })
}

/// Which way three positions turn: above zero to the left.
fn turn([ax, ay]: Position, [bx, by]: Position, [cx, cy]: Position) -> f64 {
    (bx - ax) * (cy - ay) - (by - ay) * (cx - ax)
}

/// The corners of the convex hull, counter-clockwise, none repeated and none on a straight side (A. M. Andrew's chains,
/// 1979, from memory). Degrees are taken as a plane: a cluster is small.
fn hull(places: &[Position]) -> Vec<Position> {
    let mut sorted = places.to_vec();
    sorted.sort_by(|[ax, ay], [bx, by]| ax.total_cmp(bx).then(ay.total_cmp(by)));
    sorted.dedup();
    let chain = |places: &mut dyn Iterator<Item = Position>| {
        let mut corners: Vec<Position> = Vec::new();
        for place in places {
            while let [.., one, two] = corners.as_slice() {
                if turn(*one, *two, place) > 0.0 {
                    break;
                }
                corners.pop();
            }
            corners.push(place);
        }
        corners.pop(); // the first of the other chain
        corners
    };
    let mut corners = chain(&mut sorted.iter().copied());
    corners.extend(chain(&mut sorted.iter().rev().copied()));
    corners
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::fixture::Fixture;
    use serde_json::Value;

    #[test]
    fn a_hull_turns_left_at_every_corner_and_holds_every_place() {
        let square = [[0.0, 0.0], [2.0, 0.0], [1.0, 1.0], [2.0, 2.0], [0.0, 2.0], [1.0, 0.0], [0.0, 0.0]];
        assert_eq!(hull(&square), [[0.0, 0.0], [2.0, 0.0], [2.0, 2.0], [0.0, 2.0]]);
        assert!(hull(&[[0.0, 0.0], [1.0, 1.0], [2.0, 2.0]]).len() < 3, "a line has no area");
        assert_eq!(shape(&[[0.0, 0.0], [1.0, 1.0], [2.0, 2.0]]), Some(MapGeometry::Point { coordinates: [1.0, 1.0] }));
        assert_eq!(shape(&[]), None);
        // A drawn cloud: every place is left of, or on, every side.
        let mut state = 7_u64;
        let mut draw = || {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            round_to((state >> 40) as f64 / 16_777_216.0, PLACES)
        };
        for _ in 0..200 {
            let cloud: Vec<Position> = (0..12).map(|_| [draw(), draw()]).collect();
            let corners = hull(&cloud);
            assert!(corners.len() >= 3);
            for at in 0..corners.len() {
                let (one, two) = (corners[at], corners[(at + 1) % corners.len()]);
                assert!(cloud.iter().all(|place| turn(one, two, *place) >= -1e-12));
            }
        }
    }

    fn map(fixture: &Fixture) -> (Value, String) {
        let mut bytes = Vec::new();
        write_geojson(&fixture.run(), &mut bytes).expect("written");
        let text = String::from_utf8(bytes).expect("UTF-8");
        (serde_json::from_str(&text).expect("one document"), text)
    }

    #[test]
    fn a_point_a_site_with_a_place_and_a_shape_a_cluster() {
        let mut fixture = Fixture::clustered(24);
        for (at, site) in fixture.portfolio.sites.iter_mut().enumerate() {
            let step = at as f64 / 1000.0;
            let brief = &mut site.judgement.brief;
            (brief.latitude, brief.longitude) = (Some(52.1 + step * step), Some(-1.5 + step));
            brief.override_by = "A. Person".into();
        }
        fixture.portfolio.sites[0].judgement.brief.latitude = None;
        fixture.portfolio.sites[1].judgement.brief.latitude = Some(95.0);
        let (map, text) = map(&fixture);
        assert_eq!(map["type"], "FeatureCollection");
        assert!(map.get("crs").is_none() && !text.contains("Person"));
        let features = map["features"].as_array().expect("a list");
        let of = |kind: &str| features.iter().filter(|one| one["properties"]["feature"] == kind).collect::<Vec<_>>();
        assert_eq!(of("site").len(), 22);
        assert_eq!(sites_on_the_map(&fixture.run()), 22);
        for one in of("site") {
            assert!(one["geometry"]["type"] == "Point" && one["properties"]["rank"].is_u64());
            let place = one["geometry"]["coordinates"].as_array().expect("a position");
            assert!(place[0].as_f64() < Some(0.0) && place[1].as_f64() > Some(52.0), "longitude first");
            let address = fixture.portfolio.sites.iter().map(|site| site.judgement.brief.address.as_str());
            assert!(address.filter(|address| !address.is_empty()).all(|address| !one.to_string().contains(address)));
        }
        assert_eq!(of("cluster").len(), fixture.portfolio.clusters.len());
        for one in of("cluster") {
            let ring = one["geometry"]["coordinates"][0].as_array().expect("a ring");
            assert!(one["geometry"]["type"] == "Polygon" && ring.first() == ring.last() && ring.len() >= 4);
            assert!(one["properties"]["capacity_likely_kva"].is_number());
        }
    }

    #[test]
    fn without_places_there_is_no_map() {
        let mut fixture = Fixture::new(5);
        for site in &mut fixture.portfolio.sites {
            site.judgement.brief.longitude = None;
        }
        assert_eq!(sites_on_the_map(&fixture.run()), 0);
        assert_eq!(map(&fixture).0["features"], serde_json::json!([]));
    }
}
