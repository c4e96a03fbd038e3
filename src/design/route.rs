//! The cable route: its parts, its plausible length and what it runs through.

use super::facts::Note;
use crate::quantity::Band;
use crate::rules::Rules;
use crate::site::{ParkingType, Reading, Site};

/// What a segment of a route runs through.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Surroundings {
    /// Inside a building, on or in a wall or ceiling.
    Indoor,
    /// Inside a building, through thermal insulation.
    Insulation,
    /// On a surface outdoors.
    Surface,
    /// Laid bare in the ground.
    Ground,
    /// In the ground, in a duct of its own.
    Duct,
}

/// One stretch of a route with one kind of surroundings.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Segment {
    /// What it runs through.
    pub surroundings: Surroundings,
    /// Its length, metres.
    pub length_m: f64,
    /// Temperature round it, air or ground, degrees.
    pub ambient_c: f64,
    /// Circuits grouped along it, this one included.
    pub grouped: f64,
}

/// The cable route, metres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Route {
    /// Inside a building, insulated stretch included.
    pub indoor_m: f64,
    /// On a surface outdoors.
    pub surface_m: f64,
    /// In the ground.
    pub buried_m: f64,
    /// Of the stretch indoors through thermal insulation, as stated; it does not grow with the route.
    pub insulated_m: f64,
    /// Air temperature along it, degrees.
    pub ambient_c: f64,
    /// Temperature of the ground, degrees.
    pub ground_c: f64,
    /// Circuits grouped along it, this one included.
    pub grouped: f64,
    /// In the ground each of them runs in a duct of its own.
    pub ducted: bool,
}

impl Route {
    /// Most segments that a route has.
    pub const SEGMENTS: usize = 4;

    /// Length of the whole route.
    pub fn length_m(&self) -> f64 {
        self.indoor_m + self.surface_m + self.buried_m
    }

    /// Its segments in order from the supply; a route of no length lies on a surface.
    pub fn segments(&self) -> [Option<Segment>; Route::SEGMENTS] {
        let insulated_m = self.insulated_m.clamp(0.0, self.indoor_m.max(0.0));
        let segment = |surroundings: Surroundings, length_m: f64, ambient_c: f64| {
            (length_m > 0.0).then_some(Segment { surroundings, length_m, ambient_c, grouped: self.grouped })
        };
        let underground = if self.ducted { Surroundings::Duct } else { Surroundings::Ground };
        let mut segments = [
            segment(Surroundings::Indoor, self.indoor_m - insulated_m, self.ambient_c),
            segment(Surroundings::Insulation, insulated_m, self.ambient_c),
            segment(Surroundings::Surface, self.surface_m, self.ambient_c),
            segment(underground, self.buried_m, self.ground_c),
        ];
        if segments.iter().all(Option::is_none) {
            segments[2] = Some(Segment {
                surroundings: Surroundings::Surface,
                length_m: 0.0,
                ambient_c: self.ambient_c,
                grouped: self.grouped,
            });
        }
        segments
    }

    /// The same route stretched or shrunk to `length_m`, its parts in proportion.
    pub fn scaled_to(&self, length_m: f64) -> Route {
        let whole = self.length_m();
        if whole <= 0.0 {
            return Route { surface_m: length_m, ..*self };
        }
        let share = length_m / whole;
        Route {
            indoor_m: self.indoor_m * share,
            surface_m: self.surface_m * share,
            buried_m: self.buried_m * share,
            ..*self
        }
    }
}

pub(super) fn route(site: &Site, parking: ParkingType, home: bool, rules: &Rules, note: Note<'_>) -> (Route, Band) {
    let part = |reading: &Reading<f64>| reading.value();
    let parts =
        [part(&site.parking.route_indoor_m), part(&site.parking.route_surface_m), part(&site.parking.route_buried_m)];
    let stated_parts: f64 = parts.iter().flatten().sum();
    let distance = match site.parking.parking_distance_m.ends() {
        Some((low, likely, high)) => Band::new(*low, *likely, *high),
        None if stated_parts > 0.0 => Band::exact(stated_parts),
        None => {
            let [low, likely, high] = if home { rules.route.home_distance_m } else { rules.route.shared_distance_m };
            note("parking_distance_m", format!("{likely} m ({low} to {high})"), "route not known (memory)");
            Band::new(low, likely, high)
        }
    };
    let environment = Route {
        indoor_m: 0.0,
        surface_m: 0.0,
        buried_m: 0.0,
        insulated_m: site.parking.insulated_length_m.ends().map_or(0.0, |(_, _, high)| *high),
        ground_c: rules.route.ground_c,
        ambient_c: site.parking.ambient_c.ends().map_or(rules.route.ambient_c, |(_, _, high)| *high),
        grouped: site.parking.grouped_circuits.ends().map_or(1.0, |(_, _, high)| high.max(1.0)),
        ducted: false,
    };
    let split = if stated_parts > 0.0 {
        let [indoor, surface, buried] = parts.map(Option::unwrap_or_default);
        Route { indoor_m: indoor, surface_m: surface, buried_m: buried, ..environment }
    } else {
        let [indoor, surface, buried] = match parking {
            ParkingType::Garage => rules.route.split_garage,
            ParkingType::Driveway => rules.route.split_driveway,
            ParkingType::Allocated => rules.route.split_allocated,
            ParkingType::Communal | ParkingType::OnStreet | ParkingType::None => rules.route.split_communal,
        };
        note(
            "route_indoor_m",
            format!("{indoor} / {surface} / {buried}"),
            "shares indoors / on a surface / in the ground (rules)",
        );
        Route { indoor_m: indoor, surface_m: surface, buried_m: buried, ..environment }
    };
    // Never below the stated distance; parts that add to more than it rule.
    let likely = distance.likely.max(stated_parts);
    let band = Band::new(distance.low.min(likely), likely, distance.high.max(likely));
    (split.scaled_to(likely), band)
}
