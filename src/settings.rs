//! What the user asked for, and why it could not be done. It does nothing itself: `run` obeys.

use crate::compare::ResultError;
use crate::estimate::PriceBookError;
use crate::intake::IntakeError;
use crate::programme::ProgrammeError;
use crate::report::{self, OutputError};
use crate::rules::{RulesError, Stance};
use jiff::civil::Date;
use std::path::PathBuf;

/// What the user asked for.
#[derive(Clone, Debug, Default)]
#[allow(missing_docs)] // the options of the command line say what each is
pub struct Settings {
    pub portfolio: PathBuf,
    pub sheets: Vec<String>,
    pub mapping: Option<PathBuf>,
    pub save_mapping: Option<PathBuf>,
    pub with: Vec<PathBuf>,
    pub output: Option<PathBuf>,
    pub rules: Option<PathBuf>,
    pub prices: Option<PathBuf>,
    /// Further rules, a scenario each; `None` for the defaults.
    pub more_rules: Vec<Option<PathBuf>>,
    /// Further price books, a scenario each; `None` for the default.
    pub more_prices: Vec<Option<PathBuf>>,
    pub stance: Stance,
    /// Leave out the chance of each verdict and what is read off it.
    pub no_odds: bool,
    pub as_of: Option<Date>,
    pub threads: Option<usize>,
    pub json: bool,
    pub csv: bool,
    pub parquet: bool,
    pub geojson: bool,
    pub force: bool,
    /// Leave out what may be of a person.
    pub share: bool,
    /// How many sites to name for a visit.
    pub visits: usize,
    /// Which sites the bid and the order are for: a word, `lot=NAME` or a file; those counted ready when not given.
    pub chosen: Option<String>,
    /// The file that says which money and crews there are, for a programme.
    pub programme: Option<PathBuf>,
}

/// Why a run could not be done: one sentence for standard error.
#[derive(Debug, thiserror::Error)]
#[allow(missing_docs)] // each carries its own sentence
pub enum RunError {
    #[error(transparent)]
    Intake(#[from] IntakeError),
    #[error(transparent)]
    Rules(#[from] RulesError),
    #[error(transparent)]
    Prices(#[from] PriceBookError),
    #[error(transparent)]
    Programme(#[from] ProgrammeError),
    #[error(transparent)]
    Output(#[from] OutputError),
    #[error(transparent)]
    Compared(#[from] ResultError),
    #[error("cannot read {file}: {why}. Give a result of `baywright assess --json`.")]
    NoResult { file: String, why: String },
    #[error(
        "{file} is no JSON document, and comparing needs one: there is no {wanted} beside it. Run `baywright assess` with \
         --json for it, and give that document."
    )]
    NoJsonBeside { file: String, wanted: String },
    #[error("the template cannot be made: {0}. This is a fault of the program: please report it.")]
    Template(String),
    #[error(
        "this build has no Parquet tables, which --parquet asks for and more than {} sites need. Build with the default \
         features.",
        report::SITES_WITH_FULL_DETAIL
    )]
    NoParquet,
    #[error("{0} does not end in .xlsx, and the result is a workbook. Name it so with -o.")]
    NotWorkbook(String),
    #[error("{0} is named for two things that are to be written. Give each a place of its own.")]
    TwoFiles(String),
    #[error("{cards} job cards are too many for one workbook, which holds {most}. Choose fewer with --site or --for.")]
    TooManyCards { cards: usize, most: usize },
    #[error("interrupted: nothing was written.")]
    Interrupted,
    #[error("cannot start {threads} threads ({why}). Give a smaller --threads.")]
    Threads { threads: usize, why: String },
    #[error("no row of {file} can be judged: {aside} were set aside. `baywright inspect` says why.")]
    NothingToJudge { file: String, aside: usize },
    #[error(
        "{file} has no site {sites}. Give a site_id, a UPRN or a row number as they stand in the sheet (Homes!7 where several sheets are read)."
    )]
    NoSuchSite { file: String, sites: String },
    #[error(
        "cannot choose sites by {file:?}: {why}. Write ready, marginal, all, lot=NAME, or a text file with one site_id a line."
    )]
    OrderList { file: String, why: String },
    #[error("no site stands in lot {lot:?}. {lots}.")]
    NoSuchLot { lot: String, lots: String },
    #[error("{list} names sites that were not judged: {sites}. Each is to be a site_id as the sheet Ranking has it.")]
    NotSites { list: String, sites: String },
    #[error("the rules' as_of = {0:?} is not a date. Write it as \"2026-11-25\".")]
    AsOf(String),
}

impl Settings {
    /// Every file that is read: none of them is ever written to.
    pub(crate) fn inputs(&self) -> Vec<PathBuf> {
        let own = [
            Some(&self.portfolio),
            self.mapping.as_ref(),
            self.rules.as_ref(),
            self.prices.as_ref(),
            self.programme.as_ref(),
        ];
        let order = crate::chosen::file(self.chosen.as_deref()).map(std::path::Path::to_path_buf);
        let scenarios = self.more_rules.iter().chain(&self.more_prices).flatten();
        own.into_iter().flatten().chain(&self.with).chain(scenarios).cloned().chain(order).collect()
    }
}

/// A result is a workbook, and says so by its name.
///
/// # Errors
/// When it does not.
pub(crate) fn must_be_workbook(place: &std::path::Path) -> Result<(), RunError> {
    if place.extension().is_some_and(|ending| ending.eq_ignore_ascii_case("xlsx")) {
        Ok(())
    } else {
        Err(RunError::NotWorkbook(place.display().to_string()))
    }
}
