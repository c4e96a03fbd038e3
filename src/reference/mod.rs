//! Published tables, embedded with source and status a row, and their typed look-ups.
//!
//! It knows no survey and no design: it answers with what is printed, and with the row it was printed in.
//! A table is a CSV under `tables/`; adding a row needs no change of code.

mod cable;
mod cable_rows;
mod disconnection;
mod diversity;
mod electrode;
mod factor;
mod household;
mod operator;
mod prior;
mod types;

pub use cable::{
    CableRow, Loaded, ProtectiveConductor, ProtectiveKind, TabulatedDrop, cable_row, conductor_r20_mohm_per_m,
    table_54_7_mm2,
};
pub use cable_rows::{armoured, singles, twin_and_earth};
pub use disconnection::{device_ratings, let_through_a2s, let_through_at_most_a2s, zs_limit_ohm};
pub use diversity::{Diversity, HouseholdLoad, UsualCircuits, diversity, usual_circuits};
pub use electrode::rods_in_line_lambda;
pub use factor::{
    ambient_air, ambient_ground, buried_overload, depth_of_laying, grouped_buried, grouped_in_air, grouped_in_ducts,
    grouped_in_layer, grouped_on_tray, insulation, soil_resistivity,
};
pub use household::{HouseholdBand, household_band};
pub use operator::{Operator, operator};
pub use prior::chance;
pub use types::{Cable, CableFamily, Curve, Method};
