//! Published tables, embedded with source and status a row, and their typed look-ups.
//!
//! It knows no survey and no design: it answers with what is printed, and with the row it was printed in.
//! A table is a CSV under `tables/`; adding a row needs no change of code.

mod after_diversity;
mod cable;
mod cable_rows;
mod charging_diversity;
mod disconnection;
mod diversity;
mod earthing;
mod electrode;
mod factor;
mod habits;
mod household;
mod load_shape;
mod network;
mod operator;
mod operator_time;
mod possible;
mod printed;
mod protection;
mod reach;
mod shared_doubt;
mod types;

pub use after_diversity::{HomeSize, heat_pump_kw_after_diversity, home_kw_after_diversity};
pub use cable::{
    CableRow, Loaded, ProtectiveConductor, ProtectiveKind, TabulatedDrop, cable_row, conductor_r20_mohm_per_m,
    table_54_7_mm2,
};
pub use cable_rows::{armoured, singles, twin_and_earth};
pub use charging_diversity::{Charging, charging_kw_each, most_tabulated_points, tabulated_point_kw};
pub use disconnection::{device_ratings, let_through_a2s, let_through_at_most_a2s, zs_limit_ohm};
pub use diversity::{
    Diversity, HouseholdLoad, PremisesFactors, UsualCircuits, diversity, diversity_in, usual_circuits,
};
pub use earthing::{
    EarthingAlternative, OpenPenLoading, bonding_other_mm2, bonding_pme_mm2, buried_earthing_mm2, earthing_alternative,
    earthing_alternatives, earthing_tt_mm2, open_pen_limit_v, open_pen_loadings, supply_neutral_mm2,
    voltage_monitoring_low_v,
};
pub use electrode::rods_in_line_lambda;
pub use factor::{
    Grouping, ambient_air, ambient_ground, buried_overload, depth_of_laying, insulation, soil_resistivity,
};
pub use habits::{ChargingUse, Habits, charging_habits};
pub use household::{HouseholdBand, household_band};
pub use load_shape::load_shape;
pub use network::{ClusterFigures, NetworkBand, cluster_figures, network_band, network_bands};
pub use operator::{Operator, OperatorRule, operator, operator_rules};
pub use operator_time::{Asked, OperatorTime, operator_time};
pub use possible::{Alternative, Alternatives, HOLDING, Holding, PLAUSIBLE, Possible, STOREYS, TENURE, possible};
pub(crate) use printed::printed;
pub use protection::{PowerQuality, power_quality, protection_figure};
pub use reach::{LeadGeometry, lead_geometry};
pub use shared_doubt::shared_doubt;
pub use types::{Cable, CableFamily, Curve, Method};
