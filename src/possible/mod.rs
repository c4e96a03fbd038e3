//! What the open facts of a site may prove to be: for each its alternatives with weights, and a site with them settled.
//!
//! The weights are data (`reference/tables/possible.csv`, and the rules' own); here stands when a fact is open, under
//! which condition of the table, and how a survey looks once it is settled. It knows no verdict.

mod conditions;
mod figures;
mod lookup;
mod settle;
mod world;

pub use lookup::{CELLS, Open, OpenFact, fields, open, told};
pub use world::World;

use crate::design::Facts;
use crate::rules::Rules;
use crate::site::Site;

/// What is looked at when it is asked whether a fact is open: the survey, its most likely facts, the policy, and the
/// year of building that is taken (stated or one of several that are possible).
#[derive(Clone, Copy)]
pub struct Look<'a> {
    /// The survey.
    pub site: &'a Site,
    /// Its most likely facts.
    pub facts: &'a Facts,
    /// The policy.
    pub rules: &'a Rules,
    /// Year of building.
    pub year: Option<f64>,
}

/// Which part of a judgement a fact bears on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Bears {
    /// The checks on supply and place alone: no arrangement depends on it.
    Place,
    /// What can be built.
    Design,
}
