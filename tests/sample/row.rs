//! One row of the sample sheet and the columns it is written under. Knows headings, not how values came about.

use std::collections::BTreeMap;

/// What stands in one cell.
#[derive(Clone, Debug, PartialEq)]
pub enum Cell {
    /// Text as typed.
    Text(String),
    /// A number without a unit.
    Number(f64),
    /// A real date (a serial number with a date format).
    Date(i64, i64, i64),
    /// A look-up that failed: the error value for "not available".
    NotAvailable,
}

/// One row: cells by column key; a key that is absent is a blank cell.
#[derive(Clone, Debug, Default)]
pub struct Row {
    cells: BTreeMap<&'static str, Cell>,
}

impl Row {
    /// Writes a text.
    pub fn text(&mut self, key: &'static str, text: impl Into<String>) -> &mut Self {
        self.put(key, Cell::Text(text.into()))
    }

    /// Writes a number.
    pub fn number(&mut self, key: &'static str, number: impl Into<f64>) -> &mut Self {
        self.put(key, Cell::Number(number.into()))
    }

    /// Writes any cell.
    pub fn put(&mut self, key: &'static str, cell: Cell) -> &mut Self {
        assert!(COLUMNS.iter().any(|column| column.key == key), "{key} is no column of the sample");
        self.cells.insert(key, cell);
        self
    }

    /// Empties a cell.
    pub fn blank(&mut self, key: &'static str) -> &mut Self {
        self.cells.remove(key);
        self
    }

    /// What stands under a key.
    pub fn get(&self, key: &str) -> Option<&Cell> {
        self.cells.get(key)
    }

    /// The number under a key, if a number stands there.
    pub fn number_at(&self, key: &str) -> Option<f64> {
        match self.get(key) {
            Some(Cell::Number(number)) => Some(*number),
            _ => None,
        }
    }

    /// The text under a key, if a text stands there.
    pub fn text_at(&self, key: &str) -> Option<&str> {
        match self.get(key) {
            Some(Cell::Text(text)) => Some(text),
            _ => None,
        }
    }
}

/// One column of the sample sheet.
pub struct Column {
    /// Survey column it stands for; a name with a leading `own:` belongs to the organisation and means nothing to us.
    pub key: &'static str,
    /// Heading as the organisation wrote it.
    pub heading: &'static str,
    /// Width in characters.
    pub width: f64,
}

const fn column(key: &'static str, heading: &'static str, width: f64) -> Column {
    Column { key, heading, width }
}

/// The columns of the survey sheet, in its order.
pub const COLUMNS: &[Column] = &[
    column("site_id", "Ref", 8.0),
    column("uprn", "UPRN", 15.0),
    column("address", "Address", 38.0),
    column("postcode", "Post code", 10.0),
    column("premises_type", "Type", 11.0),
    column("tenure", "Tenure", 14.0),
    column("lot", "Lot", 18.0),
    column("own:ward", "Ward", 16.0),
    column("own:officer", "Officer ref", 10.0),
    column("survey_date", "Date of survey", 13.0),
    column("survey_method", "How surveyed", 12.0),
    column("mpan", "MPAN (13 digits)", 18.0),
    column("distributor", "DNO no.", 8.0),
    column("metering", "Metering", 13.0),
    column("supply_present", "Supply on site?", 9.0),
    column("unmetered", "Unmetered?", 10.0),
    column("supply_phases", "Phases", 8.0),
    column("cutout_rating_a", "Fuse (A)", 12.0),
    column("cutout_evidence", "Fuse - how known", 14.0),
    column("cutout_condition", "Cut-out condition", 14.0),
    column("looped_service", "Loop?", 9.0),
    column("tails_mm2", "Tails mm2", 10.0),
    column("isolator_present", "Isolator?", 9.0),
    column("earthing_system", "Earthing", 14.0),
    column("ze_ohm", "Ze (ohms)", 9.0),
    column("electrode_position", "Room for earth rod?", 12.0),
    column("fault_level_ka", "PSCC kA", 9.0),
    column("main_bonding_mm2", "Main bonding (mm2)", 11.0),
    column("agreed_capacity_kva", "Agreed capacity kVA", 11.0),
    column("recorded_peak_kva", "Peak kVA last 12 months", 12.0),
    column("feeder_id", "feeder_id", 9.0),
    column("existing_demand_a", "Max demand (A)", 12.0),
    column("demand_method", "Demand - how found", 13.0),
    column("bedrooms", "Beds", 6.0),
    column("heating", "Heating", 14.0),
    column("shower_kw", "Shower kW", 10.0),
    column("cooker_kw", "Cooker kW", 9.0),
    column("heat_pump_kw", "Heat pump kW (elec)", 10.0),
    column("solar_kw", "Solar PV kWp", 8.0),
    column("existing_charge_points", "EV chargers already", 10.0),
    column("own:boiler", "Boiler age", 9.0),
    column("board_type", "Consumer unit", 12.0),
    column("board_condition", "CU condition", 11.0),
    column("board_main_switch_a", "Main switch A", 9.0),
    column("earthing_conductor_mm2", "Earthing conductor mm2", 10.0),
    column("condition_report", "EICR result", 11.0),
    column("condition_report_date", "EICR date", 11.0),
    column("spare_ways", "Spare ways", 8.0),
    column("board_rcd_type", "RCD type", 8.0),
    column("surge_protection", "SPD fitted?", 8.0),
    column("meter_to_board_m", "Meter to CU (m)", 9.0),
    column("submain_mm2", "Sub-main mm2", 9.0),
    column("submain_device_a", "Sub-main fuse A", 9.0),
    column("parking_type", "Parking", 14.0),
    column("bays", "No. of bays", 8.0),
    column("parking_distance_m", "Dist. to parking\n(m)", 11.0),
    column("distance_from", "Measured from", 9.0),
    column("route_indoor_m", "Indoor run (m)", 8.0),
    column("route_surface_m", "Surface run (m)", 8.0),
    column("route_buried_m", "Trench (m)", 8.0),
    column("ground_surface", "Ground", 11.0),
    column("walls", "Walls to drill", 8.0),
    column("covered_parking", "Covered parking?", 10.0),
    column("storeys", "Storeys", 8.0),
    column("mobile_signal", "Mobile signal ok?", 8.0),
    column("listed", "Listed?", 8.0),
    column("consent_status", "Consent", 12.0),
    column("wayleave_status", "Wayleave", 11.0),
    column("year_built", "Year built", 9.0),
    column("asbestos_on_route", "Asbestos on route?", 10.0),
    column("points_wanted", "Points wanted", 8.0),
    column("requested_kw", "kW wanted", 9.0),
    column("vehicles", "Vehicles", 8.0),
    column("daily_miles", "Miles a day", 8.0),
    column("arrive", "Arrive", 8.0),
    column("depart", "Leave", 8.0),
    column("priority", "Priority", 8.0),
    column("notes", "Notes", 40.0),
    column("override_verdict", "override_verdict", 10.0),
    column("override_by", "override_by", 22.0),
    column("override_date", "override_date", 12.0),
    column("override_why", "override_why", 44.0),
    column("latitude", "Lat", 10.0),
    column("longitude", "Long", 10.0),
];
