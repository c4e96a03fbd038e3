//! Published tables, embedded with source and status a row, and their typed look-ups.
//!
//! It knows no survey and no design: it answers with what is printed, and with the row it was printed in.
//! A table is a CSV under `tables/`; adding a row needs no change of code.

mod cable;
mod disconnection;
mod diversity;
mod electrode;
mod factor;
mod household;
mod operator;
mod prior;
mod types;

pub use cable::{
    CableRow, Loaded, ProtectiveConductor, ProtectiveKind, armoured, cable_row, conductor_r20_mohm_per_m,
    table_54_7_mm2, twin_and_earth,
};
pub use disconnection::{device_ratings, let_through_a2s, zs_limit_ohm};
pub use diversity::{Diversity, HouseholdLoad, UsualCircuits, diversity, usual_circuits};
pub use electrode::rods_in_line_lambda;
pub use factor::{
    ambient_air, ambient_ground, buried_overload, grouped_buried, grouped_in_air, grouped_in_ducts, insulation,
};
pub use household::{HouseholdBand, household_band};
pub use operator::{Operator, operator};
pub use prior::chance;
pub use types::{Cable, CableFamily, Curve, Method};
