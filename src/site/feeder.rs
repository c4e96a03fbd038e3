//! A length of the operator's network that several sites hang on, as a sheet of feeders states it.

use super::Cited;

/// One line of a feeder sheet. Blank answers stay blank.
#[derive(Clone, Debug, PartialEq)]
pub struct Feeder {
    /// The key that sites give as `feeder_id`, as written.
    pub feeder_id: String,
    /// What it can carry, kilovolt-amperes.
    pub capacity_kva: Option<f64>,
    /// Highest load recorded, kilovolt-amperes.
    pub recorded_peak_kva: Option<f64>,
    /// Customers connected.
    pub customers: Option<u32>,
    /// Where its line stands.
    pub cell: Cited,
}
