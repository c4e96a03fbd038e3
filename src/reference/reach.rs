//! Usual sizes of vehicles and leads, for whether a lead reaches the inlet (`lead_geometry.csv`). It knows no site.

use crate::table::Table;
use std::sync::OnceLock;

/// Sizes in metres.
#[derive(Clone, Copy, Debug)]
pub struct LeadGeometry {
    /// Length of the vehicle.
    pub vehicle_length_m: f64,
    /// Width of the vehicle.
    pub vehicle_width_m: f64,
    /// From an end of the vehicle to an inlet on its flank.
    pub flank_inset_m: f64,
    /// Between the vehicle and a wall or post at the head of the bay.
    pub end_gap_m: f64,
    /// Between the vehicle and a wall beside the drive.
    pub side_gap_m: f64,
    /// Height of the point's connector.
    pub point_height_m: f64,
    /// Height of the inlet.
    pub inlet_height_m: f64,
    /// Length of a driver's own lead.
    pub own_lead_m: f64,
}

/// The sizes; a missing row would be 0, which a test excludes.
pub fn lead_geometry() -> &'static LeadGeometry {
    static TABLE: OnceLock<LeadGeometry> = OnceLock::new();
    TABLE.get_or_init(|| {
        let table = Table::of(include_str!("tables/lead_geometry.csv"));
        let of =
            |name: &str| table.rows().find(|row| row.text("figure") == name).map_or(0.0, |row| row.needed("value_m"));
        LeadGeometry {
            vehicle_length_m: of("vehicle-length"),
            vehicle_width_m: of("vehicle-width"),
            flank_inset_m: of("flank-inset"),
            end_gap_m: of("end-gap"),
            side_gap_m: of("side-gap"),
            point_height_m: of("point-height"),
            inlet_height_m: of("inlet-height"),
            own_lead_m: of("own-lead"),
        }
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_size_has_its_row() {
        let LeadGeometry {
            vehicle_length_m,
            vehicle_width_m,
            flank_inset_m,
            end_gap_m,
            side_gap_m,
            point_height_m,
            inlet_height_m,
            own_lead_m,
        } = *lead_geometry();
        let all = [vehicle_width_m, flank_inset_m, end_gap_m, side_gap_m, point_height_m, inlet_height_m, own_lead_m];
        assert!(all.iter().all(|metres| *metres > 0.0));
        assert!(vehicle_length_m > vehicle_width_m && vehicle_length_m > 2.0 * flank_inset_m);
    }
}
