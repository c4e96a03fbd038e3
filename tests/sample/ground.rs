//! Where the rows of the sample lie: towns a few kilometres apart, streets about their middles, homes along them. The
//! county is invented, so all of it stands in the open sea. Knows no workbook.

use crate::draws::Draws;
use crate::organisation::{Form, STREETS};
use crate::row::Row;

/// The middle of the county: open water, some 110 km east of the nearest coast. Degrees north and east.
const MIDDLE: (f64, f64) = (53.6, 1.9);
/// Metres of a degree there, north and east (of a sphere of 40 030 km around; the cosine of 53.6 degrees is 0.5934).
const DEGREE_M: (f64, f64) = (111_194.0, 65_983.0);

/// Towns, with metres east and north of the county's middle.
const TOWNS: &[(&str, i64, i64)] = &[
    ("Quernholt", 0, 0),
    ("Tarnholt", 4200, 1500),
    ("Oxlathe", -3100, 5200),
    ("Haddlestow", -6800, 2400),
    ("Skelmarsh", 9500, -3000),
    ("Pellowick", 7400, -7800),
    ("Hythe Ansel", -2500, -6900),
    ("Combe Arrow", -7200, -5100),
    ("Glen Hallin", 1800, 10_400),
];

/// A street whose papers named neither feeder nor more of the postcode than its sector.
const BOUGHT_WITHOUT_PAPERS: &str = "Wicket Green";

/// Directions, east and north, as hundredths of a metre a metre.
const DIRECTIONS: [(i64, i64); 8] =
    [(0, 100), (71, 71), (100, 0), (71, -71), (0, -100), (-71, -71), (-100, 0), (-71, 71)];

/// What is known of where a row lies.
pub struct Place {
    /// Degrees north and east; `None` where nobody took them.
    degrees: Option<(f64, f64)>,
    /// The postcode's sector, where that is all the papers had.
    sector: Option<&'static str>,
}

impl Place {
    /// Writes it into the row.
    pub fn put(&self, row: &mut Row) {
        if let Some((north, east)) = self.degrees {
            row.number("latitude", north).number("longitude", east);
        }
        if let Some(sector) = self.sector {
            row.text("postcode", sector).blank("feeder_id");
        }
    }
}

/// The place of every row, from the rows before anybody typed them in.
pub fn places(rows: &[Row]) -> Vec<Place> {
    rows.iter().map(place).collect()
}

fn place(row: &Row) -> Place {
    let address = row.text_at("address").unwrap_or_default();
    let id = row.text_at("site_id").unwrap_or_default();
    let mut own = Draws::named(&format!("ground {id}"));
    let known = own.chance(93);
    let (_, east, north) = TOWNS.iter().find(|(town, ..)| address.ends_with(town)).expect("a town of the county");
    // Centimetres from the middle of the county.
    let (mut east, mut north) = (east * 100, north * 100);
    let mut go = |direction: usize, metres: i64| {
        let (x, y) = DIRECTIONS[direction % 8];
        (east, north) = (east + x * metres, north + y * metres);
    };
    let street = STREETS.iter().find(|street| address.contains(&format!("{}, {}", street.name, street.town)));
    match street.filter(|_| id.starts_with('H')) {
        Some(street) => {
            let mut draws = Draws::named(&format!("ground {}", street.name));
            let direction = draws.between(0, 7) as usize;
            go(direction, draws.between(120, 420));
            // Numbers run along the street, one side of it; flats are one building.
            let number: String = address.chars().take_while(char::is_ascii_digit).collect();
            let apart_m = match street.form {
                Form::Terrace => 3,
                Form::Semi | Form::Bungalow => 5,
                Form::Detached => 9,
                Form::Flats => 0,
            };
            go(direction + 2, number.parse::<i64>().unwrap_or(0) * apart_m);
        }
        None => {
            let direction = own.between(0, 7) as usize;
            go(direction, own.between(60, 520));
        }
    }
    let at = |middle: f64, centimetres: i64, degree_m: f64| {
        ((middle + centimetres as f64 / 100.0 / degree_m) * 1e5).round() / 1e5
    };
    Place {
        degrees: known.then(|| (at(MIDDLE.0, north, DEGREE_M.0), at(MIDDLE.1, east, DEGREE_M.1))),
        sector: street.filter(|street| street.name == BOUGHT_WITHOUT_PAPERS && id.starts_with('H')).map(|s| s.sector),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Metres between two places that are known.
    fn apart_m(one: &Place, other: &Place) -> Option<f64> {
        let ((a, b), (c, d)) = (one.degrees?, other.degrees?);
        Some(((a - c) * DEGREE_M.0).hypot((b - d) * DEGREE_M.1))
    }

    #[test]
    fn the_county_is_at_sea_streets_lie_together_and_few_places_are_unknown() {
        let mut rows = crate::homes::homes();
        let homes = rows.len();
        rows.extend(crate::shared::shared());
        let places = places(&rows);
        let unknown = places.iter().filter(|place| place.degrees.is_none()).count();
        assert!((10..60).contains(&unknown), "{unknown} of {}", places.len());
        for (north, east) in places.iter().filter_map(|place| place.degrees) {
            assert!((53.4..53.8).contains(&north) && (1.7..2.1).contains(&east), "{north} {east}");
        }
        for (row, next) in (1..homes).map(|at| (at - 1, at)) {
            let street = |at: usize| rows[at].text_at("postcode").map(|code| &code[..5]);
            if let Some(metres) = apart_m(&places[row], &places[next]).filter(|_| street(row) == street(next)) {
                assert!(metres < 1200.0, "{metres} m within a sector");
            }
        }
        assert_eq!(places.iter().filter(|place| place.sector.is_some()).count(), 10);
    }
}
